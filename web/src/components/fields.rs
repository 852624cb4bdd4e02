//! What a pattern has besides its pulses: name, period, tick, and its lanes as a whole.

use super::table::{micros, milliseconds, on_number};
use crate::keys;
use crate::store::{use_dispatch, use_document};
use lampwright_editor::{Action, CommandId, PlatformTask};
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// Commands on the open pattern and the focused lane, in the order of their buttons.
const COMMANDS: [(CommandId, &str); 5] = [
    (CommandId::AddPattern, "Add pattern"),
    (CommandId::RemovePattern, "Remove pattern"),
    (CommandId::MoveLaneUp, "Lane up"),
    (CommandId::MoveLaneDown, "Lane down"),
    (CommandId::RemoveLane, "Remove lane"),
];

/// Name, period and tick of the open pattern.
#[component]
pub(crate) fn PatternFields() -> Html {
    let (Some(dispatch), Some(document)) = (use_dispatch(), use_document()) else {
        return Html::default();
    };
    let Some(pattern) = document.open_pattern() else {
        return html! {
            <p>{ "This program has no pattern yet: add one first" }
                <button type="button" onclick={dispatch.callback(|_: MouseEvent| Action::AddPattern)}>{ "Add pattern" }</button>
            </p>
        };
    };
    let rename = {
        let dispatch = dispatch.clone();
        Callback::from(move |event: Event| {
            if let Some(input) = event.target_dyn_into::<HtmlInputElement>() {
                dispatch.send(Action::RenamePattern(input.value()));
            }
        })
    };
    let set_period = on_number(&dispatch, None, |text| micros(text).map(Action::SetPeriod));
    let set_tick = on_number(&dispatch, None, |text| micros(text).map(Action::SetTick));
    let run = |id: CommandId| {
        let dispatch = dispatch.clone();
        Callback::from(move |_: MouseEvent| {
            keys::run(&dispatch, id, &Callback::from(|_: PlatformTask| {}));
        })
    };
    html! {
        <details class="pattern">
            <summary>{ format!("Pattern and lanes: period {}, tick {}", pattern.period, pattern.tick) }</summary>
            <div class="row">
                <label>{ "Name " }<input class="input" id="pattern-name" value={pattern.label.clone()} onchange={rename} /></label>
                <label>{ "Period " }<input type="number" class="input" id="pattern-period" step="any" value={milliseconds(pattern.period)} onchange={set_period} />{ " ms" }</label>
                <label>{ "Tick " }<input type="number" class="input" id="pattern-tick" step="any" value={milliseconds(pattern.tick)} onchange={set_tick} />{ " ms" }</label>
                { for COMMANDS.into_iter().map(|(id, words)| html! {
                    <button type="button" key={words} onclick={run(id)}>{ words }</button>
                }) }
            </div>
        </details>
    }
}
