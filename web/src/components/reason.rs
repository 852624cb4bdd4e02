//! Why the selected heads do what they do: one look-up in the resolved drive.

use super::vehicle::light_words;
use crate::store::{Dispatch, use_dispatch, use_document};
use lampwright_editor::{Action, EditorState};
use lampwright_model::{Decision, HeadDrive, ItemId, LayerId, Place};
use yew::prelude::*;

/// What each selected head does, which layer decided, which dim layers scaled it, and what is hidden below.
#[component]
pub(crate) fn Reason() -> Html {
    let (Some(dispatch), Some(document)) = (use_dispatch(), use_document()) else {
        return Html::default();
    };
    let results = document.results();
    let selected: Vec<&HeadDrive> = results
        .drive
        .heads
        .iter()
        .filter(|head| document.selection().heads.contains(&head.head))
        .collect();
    html! {
        <section class="panel reason" aria-labelledby="reason-title">
            <h2 id="reason-title">{ "Why it does this" }</h2>
            if selected.is_empty() {
                <p class="quiet">{ "Press a head on the vehicle, or focus the vehicle and use the arrow keys" }</p>
            }
            <div class="heads">{ for selected.iter().take(SHOWN).map(|head| reason(&dispatch, &document, head)) }</div>
            if selected.len() > SHOWN {
                <p class="quiet">{ format!("and {} more heads; the States view lists all", selected.len() - SHOWN) }</p>
            }
        </section>
    }
}

/// How many heads are explained at once.
const SHOWN: usize = 4;

fn reason(dispatch: &Dispatch, document: &EditorState, head: &HeadDrive) -> Html {
    let program = document.program();
    let known = program
        .vehicle
        .heads
        .iter()
        .find(|known| known.id == head.head);
    let title = known.map_or_else(|| head.head.to_string(), |known| known.label.clone());
    html! {
        <div key={head.head.as_str().to_owned()}>
            <h3>{ title }</h3>
            <dl>
                if let Some(known) = known {
                    <dt>{ "Place" }</dt>
                    <dd>{ format!("zone {}, {} side, facing {}, clock {}", known.zone().name(), known.side().name(), known.facing,
                        known.clock.as_ref().map_or("controller", |clock| clock.as_str())) }</dd>
                }
                <dt>{ "Does" }</dt>
                <dd>{ light_words(head) }</dd>
                <dt>{ "Decided by" }</dt>
                <dd>{ decided(dispatch, document, head) }</dd>
                { for played(dispatch, head) }
                <dt>{ "Dimmed by" }</dt>
                <dd>{ dims(document, head) }</dd>
                <dt>{ "Hidden below" }</dt>
                <dd>{ hidden(dispatch, document, head) }</dd>
                if !head.missing_colors.is_empty() {
                    <dt>{ "Not possible" }</dt>
                    <dd>{ format!("the layer asks for {}, which the head does not have", head.missing_colors.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")) }</dd>
                }
            </dl>
        </div>
    }
}

/// The label of a layer.
pub(crate) fn layer_label(document: &EditorState, id: &LayerId) -> String {
    let program = document.program();
    program
        .layers
        .iter()
        .find(|layer| layer.id == *id)
        .map(|layer| layer.label.clone())
        .or_else(|| {
            program
                .dims
                .iter()
                .find(|dim| dim.id == *id)
                .map(|dim| dim.label.clone())
        })
        .filter(|label| !label.is_empty())
        .unwrap_or_else(|| id.to_string())
}

fn decided(dispatch: &Dispatch, document: &EditorState, head: &HeadDrive) -> Html {
    match &head.decided_by {
        Decision::Nothing => {
            html! { { "no layer that holds addresses it, so it is dark" } }
        }
        Decision::Layer(id) => layer_link(dispatch, document, id),
    }
}

fn layer_link(dispatch: &Dispatch, document: &EditorState, id: &LayerId) -> Html {
    let on_go = {
        let (dispatch, id) = (dispatch.clone(), id.clone());
        Callback::from(move |_: MouseEvent| {
            dispatch.send(Action::JumpTo(Place::Item(ItemId::Layer(id.clone())), None));
        })
    };
    html! {
        <button type="button" class="plain" onclick={on_go}>{ layer_label(document, id) }</button>
    }
}

fn played(dispatch: &Dispatch, head: &HeadDrive) -> Option<Html> {
    let lanes: Vec<Html> = head
        .emitters
        .iter()
        .flat_map(|emitter| emitter.lanes.iter().map(move |lane| (emitter.color, lane)))
        .map(|(color, lane)| {
            let on_go = {
                let (dispatch, place) = (
                    dispatch.clone(),
                    Place::Lane(lane.pattern.clone(), lane.lane.clone()),
                );
                Callback::from(move |_: MouseEvent| {
                    dispatch.send(Action::JumpTo(place.clone(), None));
                })
            };
            html! {
                <button type="button" class="plain" onclick={on_go}>
                    { format!("{} · lane {} ({color}, offset {})", lane.pattern, lane.lane, lane.offset) }
                </button>
            }
        })
        .collect();
    (!lanes.is_empty()).then(|| {
        html! { <><dt>{ "Plays" }</dt><dd>{ for lanes }</dd></> }
    })
}

fn dims(document: &EditorState, head: &HeadDrive) -> String {
    if head.dims.is_empty() {
        return "nothing".into();
    }
    head.dims
        .iter()
        .map(|id| {
            let factor = document
                .program()
                .dims
                .iter()
                .find(|dim| dim.id == *id)
                .map_or(String::new(), |dim| format!(" (× {})", dim.factor));
            format!("{}{factor}", layer_label(document, id))
        })
        .collect::<Vec<_>>()
        .join(", ")
}

fn hidden(dispatch: &Dispatch, document: &EditorState, head: &HeadDrive) -> Html {
    if head.hidden.is_empty() {
        return html! { { "nothing" } };
    }
    html! { <>{ for head.hidden.iter().map(|id| layer_link(dispatch, document, id)) }</> }
}
