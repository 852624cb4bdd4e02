//! Flashes by direction around the vehicle in the shown state.

use crate::store::use_document;
use lampwright_analysis::screening::cautions;
use yew::prelude::*;

/// The worst direction of the shown state.
#[component]
pub(crate) fn Screening() -> Html {
    let Some(_document) = use_document() else {
        return Html::default();
    };
    html! {
        <div class="view column">
            <p>{ cautions::NOT_A_CLEARANCE }</p>
        </div>
    }
}
