//! The profile as a whole: its name, where it applies, and where its rules come from and go to.
//!
//! Invariant: rules that are taken over are one step of the history; what a file has wrong, or the program lacks, is listed.

use super::findings::counted;
use super::repair::{Field, FieldProps};
use super::rules::{on_change, value_of};
use crate::platform::{beside, files};
use crate::profiles::PROFILES;
use crate::store::Dispatch;
use crate::tag::{Tag, button, component, said, tag, text};
use lampwright_editor::{Action, profile_for};
use lampwright_formats::{read_profile, write_profile};
use lampwright_model::{Edit, Profile};
use std::rc::Rc;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// Most bytes of a file that are read.
const MOST_BYTES: usize = 16 * 1024 * 1024;

/// Name of a picked file, and its bytes or why it could not be read.
pub(super) type Picked = (String, Result<Vec<u8>, String>);

/// A field that reads the picked file.
pub(super) fn file_field(
    id: &'static str,
    label: &'static str,
    ending: &'static str,
    on_read: Callback<Picked>,
) -> Tag {
    let on_change = Callback::from(move |event: Event| {
        let Some(input) = event.target_dyn_into::<HtmlInputElement>() else {
            return;
        };
        if let Some(file) = input.files().and_then(|files| files.get(0)) {
            let on_read = on_read.clone();
            files::read(&file, MOST_BYTES, move |name, bytes| {
                on_read.emit((name, bytes));
            });
        }
        // The same file may be picked again after it was changed.
        input.set_value("");
    });
    said("label", "row", label).tag(
        tag("input", "")
            .with("id", id)
            .with("type", "file")
            .with("accept", ending)
            .on_change(on_change),
    )
}

/// What was wrong with the profile opened last.
#[derive(Clone, PartialEq, Default)]
pub(super) struct Opened {
    /// What came of it; empty when nothing was wrong.
    title: String,
    problems: Rc<[String]>,
}

/// Name, place, start, open and download.
pub(super) fn bar(dispatch: &Dispatch, profile: &Profile, opened: &UseStateHandle<Opened>) -> Tag {
    let named = |id: &'static str, label: &'static str, value: &str, on_change| {
        said("label", "", label).child(component::<Field>(FieldProps {
            id: AttrValue::Static(id),
            kind: "text",
            value: value.to_owned(),
            is_required: false,
            is_disabled: false,
            on_change,
        }))
    };
    let set_title = on_change(dispatch, "Name the profile", |profile, text| {
        profile.title = text;
    });
    let set_place = on_change(dispatch, "Set the jurisdiction", |profile, text| {
        profile.jurisdiction = text;
    });
    let start = {
        let (dispatch, opened) = (dispatch.clone(), opened.clone());
        Callback::from(move |event: Event| {
            let stem = value_of(&event);
            let (dispatch, opened) = (dispatch.clone(), opened.clone());
            beside::read(&format!("profiles/{stem}.json"), move |text| {
                take_over(&dispatch, &opened, &stem, text.map(String::into_bytes));
            });
        })
    };
    let shipped = PROFILES
        .iter()
        .map(|(title, stem)| said("option", "", title).with("value", stem));
    let open = {
        let (dispatch, opened) = (dispatch.clone(), opened.clone());
        Callback::from(move |(name, bytes): Picked| take_over(&dispatch, &opened, &name, bytes))
    };
    let download = {
        let profile = profile.clone();
        Callback::from(move |_: MouseEvent| {
            let name = files::file_name(&format!("{} profile", profile.title));
            // What the browser refuses it says itself.
            let _ = files::download(&name, &write_profile(&profile, ""));
        })
    };
    let problems = (!opened.title.is_empty()).then(|| {
        let list = opened.problems.iter();
        tag("div", "notice")
            .with("role", "status")
            .with("id", "profile-problems")
            .tag(text("p", "", opened.title.clone()))
            .tag(tag("ul", "bullets").tags(list.map(|words| text("li", "", words.clone()))))
    });
    tag("div", "column")
        .tag(
            tag("div", "row")
                .tag(named(
                    "profile-title",
                    "Profile ",
                    &profile.title,
                    set_title,
                ))
                .tag(named(
                    "profile-jurisdiction",
                    "Applies in ",
                    &profile.jurisdiction,
                    set_place,
                ))
                .tag(
                    said("label", "", "Start from ").tag(
                        tag("select", "")
                            .with("id", "profile-start")
                            .on_change(start)
                            .tag(
                                said("option", "", "a shipped profile…")
                                    .with("value", "")
                                    .flag("selected", true),
                            )
                            .tags(shipped),
                    ),
                )
                .tag(file_field("profile-file", "Open profile ", ".json", open))
                .tag(button("Download profile", download)),
        )
        .maybe(problems)
}

/// Takes over the rules of a file into the program; what could not be taken over is listed.
fn take_over(
    dispatch: &Dispatch,
    opened: &UseStateHandle<Opened>,
    name: &str,
    bytes: Result<Vec<u8>, String>,
) {
    let mut problems = Vec::new();
    let mut taken = None;
    match bytes {
        Err(why) => problems.push(why),
        Ok(bytes) => {
            let outcome = read_profile(&bytes);
            problems.extend(outcome.problems.iter().map(ToString::to_string));
            if let Some(profile) = outcome.profile {
                let program = dispatch.live.editor().committed_program().clone();
                let (profile, lacks) = profile_for(&program, profile);
                problems.extend(lacks.iter().map(ToString::to_string));
                taken = Some(profile);
            }
        }
    }
    let mut title = String::new();
    if !problems.is_empty() {
        title.push_str(name);
        title.push_str(": ");
        title.push_str(&counted(problems.len(), "problem"));
        title.push_str(if taken.is_some() {
            "; what is listed was left out"
        } else {
            ", not taken over"
        });
    }
    opened.set(Opened {
        title,
        problems: problems.into(),
    });
    if let Some(profile) = taken {
        dispatch.send(Action::Edit {
            label: format!("Take over the profile {}", profile.title),
            edit: Edit::SetProfile(profile),
        });
    }
}
