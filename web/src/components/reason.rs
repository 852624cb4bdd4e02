//! Why the selected heads do what they do: one look-up in the resolved drive.

use super::vehicle::light_words;
use crate::store::{Dispatch, use_dispatch, use_document};
use crate::tag::{Tag, entry, link, said, tag, text};
use lampwright_editor::{Action, EditorState};
use lampwright_model::{Decision, HeadDrive, ItemId, LayerId, Place};
use yew::prelude::*;

/// What each selected head does, which layer decided, which dim layers scaled it, and what is hidden below.
#[component]
pub(crate) fn Reason() -> Html {
    let (Some(dispatch), Some(document)) = (use_dispatch(), use_document()) else {
        return Html::default();
    };
    let driven = document.driven();
    let selected: Vec<&HeadDrive> = driven
        .drive
        .heads
        .iter()
        .filter(|head| document.selection().heads.contains(&head.head))
        .collect();
    let heads = selected
        .iter()
        .take(SHOWN)
        .map(|head| reason(&dispatch, &document, head));
    tag("section", "panel reason")
        // It scrolls, and may have nothing in it that takes the focus.
        .with("tabindex", "0")
        .with("aria-labelledby", "reason-title")
        .tag(said("h2", "", "Why it does this").with("id", "reason-title"))
        .maybe(selected.is_empty().then(|| {
            said(
                "p",
                "quiet",
                "Press a head on the vehicle, or focus the vehicle and use the arrow keys",
            )
        }))
        .tag(tag("div", "heads").tags(heads))
        .maybe((selected.len() > SHOWN).then(|| {
            let words = format!(
                "and {} more heads; the States view lists all",
                selected.len() - SHOWN
            );
            text("p", "quiet", words)
        }))
        .done()
}

/// How many heads are explained at once.
const SHOWN: usize = 4;

fn reason(dispatch: &Dispatch, document: &EditorState, head: &HeadDrive) -> Tag {
    let program = document.program();
    let known = program
        .vehicle
        .heads
        .iter()
        .find(|known| known.id == head.head);
    let title = known.map_or_else(|| head.head.to_string(), |known| known.label.clone());
    let mut list = tag("dl", "");
    if let Some(known) = known {
        let words = format!(
            "zone {}, {} side, facing {}, clock {}",
            known.zone().name(),
            known.side().name(),
            known.facing,
            known
                .clock
                .as_ref()
                .map_or("controller", |clock| clock.as_str())
        );
        list = entry(list, "Place", words);
    }
    list = entry(list, "Does", light_words(head))
        .tag(said("dt", "", "Decided by"))
        .tag(decided(dispatch, document, head));
    list = played(dispatch, head, list);
    list = entry(list, "Dimmed by", dims(document, head))
        .tag(said("dt", "", "Hidden below"))
        .tag(hidden(dispatch, document, head));
    if !head.missing_colors.is_empty() {
        let colors: Vec<&str> = head
            .missing_colors
            .iter()
            .map(|color| color.name())
            .collect();
        let words = format!(
            "the layer asks for {}, which the head does not have",
            colors.join(", ")
        );
        list = entry(list, "Not possible", words);
    }
    tag("div", "")
        .key(head.head.to_string())
        .tag(text("h3", "", title))
        .tag(list)
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

fn decided(dispatch: &Dispatch, document: &EditorState, head: &HeadDrive) -> Tag {
    match &head.decided_by {
        Decision::Nothing => said("dd", "", "no layer that holds addresses it, so it is dark"),
        Decision::Layer(id) => tag("dd", "").tag(layer_link(dispatch, document, id)),
    }
}

fn layer_link(dispatch: &Dispatch, document: &EditorState, id: &LayerId) -> Tag {
    place_link(
        dispatch,
        Place::Item(ItemId::Layer(id.clone())),
        layer_label(document, id),
    )
}

/// A button that goes to a place.
fn place_link(dispatch: &Dispatch, place: Place, words: String) -> Tag {
    let dispatch = dispatch.clone();
    let on_go = move |_: MouseEvent| dispatch.send(Action::JumpTo(place.clone(), None));
    link(words, Callback::from(on_go))
}

fn played(dispatch: &Dispatch, head: &HeadDrive, list: Tag) -> Tag {
    let mut lanes = tag("dd", "");
    let mut is_played = false;
    for emitter in &head.emitters {
        for lane in &emitter.lanes {
            let words = format!(
                "{} · lane {} ({}, offset {})",
                lane.pattern, lane.lane, emitter.color, lane.offset
            );
            let place = Place::Lane(lane.pattern.clone(), lane.lane.clone());
            lanes = lanes.tag(place_link(dispatch, place, words));
            is_played = true;
        }
    }
    if is_played {
        list.tag(said("dt", "", "Plays")).tag(lanes)
    } else {
        list
    }
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

fn hidden(dispatch: &Dispatch, document: &EditorState, head: &HeadDrive) -> Tag {
    if head.hidden.is_empty() {
        return said("dd", "", "nothing");
    }
    let links = head
        .hidden
        .iter()
        .map(|id| layer_link(dispatch, document, id));
    tag("dd", "").tags(links)
}
