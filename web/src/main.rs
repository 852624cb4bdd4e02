//! Entry point of the browser front end.
//!
//! Invariant: no domain logic lives in this crate; it shows what the core crates compute.
//! Absent: any request but for files of the app itself.

mod above;
mod app;
mod components;
mod demos;
mod example;
mod handing;
mod judging;
mod keys;
mod later;
mod live;
mod markdown;
mod opening;
mod painter;
mod part;
mod platform;
mod profiles;
mod saving;
mod session;
mod shelf;
mod store;
mod tabs;
mod tag;

fn main() {
    saving::start(|start| {
        let props = app::Props {
            start: std::rc::Rc::new(start),
        };
        yew::Renderer::<app::App>::with_props(props).render();
    });
}
