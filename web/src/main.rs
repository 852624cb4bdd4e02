//! Entry point of the browser front end.
//!
//! Invariant: no domain logic lives in this crate; it shows what the core crates compute.
//! Absent: any network request.

use yew::prelude::*;

/// The whole page.
#[component]
fn Page() -> Html {
    html! { <main><h1>{ "Lampwright" }</h1></main> }
}

fn main() {
    yew::Renderer::<Page>::new().render();
}
