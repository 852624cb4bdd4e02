//! What a person does about a finding: try a mechanical change first, or accept it with a reason.
//!
//! Invariant: nothing changes before the person says so, and then as one step of the history.

use super::dialog::dialog;
use super::fields::{NOW, WHOLE, decimal, named};
use super::findings::counts;
use super::results::{Asked, Judged};
use crate::platform::clock::Timeout;
use crate::platform::{clock, element};
use crate::store::Dispatch;
use crate::tag::{Tag, columns, component, said, tag, text, together};
use lampwright_analysis::fix::{TriedFix, fixes};
use lampwright_analysis::report::Finding;
use lampwright_analysis::rules::CheckSettings;
use lampwright_editor::{Action, changes};
use lampwright_model::{Edit, Waiver};
use std::rc::Rc;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// The text of a field, without blanks around it.
pub(crate) fn field(id: &str) -> String {
    element::<HtmlInputElement>(id)
        .map_or_else(String::new, |input| input.value().trim().to_owned())
}

/// Properties of [`Field`].
#[derive(Properties)]
pub(crate) struct FieldProps {
    /// Identifier, unique on the page.
    pub(crate) id: AttrValue,
    /// Type of the field.
    #[prop_or("text")]
    pub(crate) kind: &'static str,
    /// What it starts with.
    pub(crate) value: String,
    /// Whether a form needs it.
    #[prop_or_default]
    pub(crate) is_required: bool,
    /// Whether it can only be read.
    #[prop_or_default]
    pub(crate) is_disabled: bool,
    /// Called when it was changed; the same thing for the same identifier.
    #[prop_or_default]
    pub(crate) on_change: Callback<Event>,
}

impl PartialEq for FieldProps {
    fn eq(&self, other: &Self) -> bool {
        self.id == other.id && self.value == other.value && self.is_disabled == other.is_disabled
    }
}

/// A field that keeps what is being typed while the page around it is shown anew.
#[component]
pub(crate) fn Field(props: &FieldProps) -> Html {
    let input = tag("input", "input")
        .with_text("id", props.id.to_string())
        .with_text(NOW, props.value.clone());
    let input = if props.kind == "number" {
        decimal(input, WHOLE)
    } else {
        named(input.with("type", props.kind))
    };
    input
        .value(props.value.clone())
        .flag("required", props.is_required)
        .flag("disabled", props.is_disabled)
        .on_change(props.on_change.clone())
        .done()
}

/// Fields of a form with identifier, label and type; a date starts with today.
pub(crate) fn form_fields(fields: &[(&'static str, &'static str, &'static str)]) -> Html {
    together(fields.iter().map(|&(id, label, kind)| {
        let input = component::<Field>(FieldProps {
            id: AttrValue::Static(id),
            kind,
            value: if kind == "date" {
                clock::today()
            } else {
                String::new()
            },
            is_required: true,
            is_disabled: false,
            on_change: Callback::noop(),
        });
        tag("label", "field")
            .tag(said("span", "", label))
            .child(input)
    }))
}

/// How long the dialog stands before changes are tried, in milliseconds, so that it is painted.
const TRY_AFTER_MS: i32 = 50;

/// The dialog that is open about a finding, if any; `is_present` says whether the program that was judged is the one that is open.
pub(crate) fn dialogs(
    asked: &Asked,
    dispatch: &Dispatch,
    judged: Option<&Judged>,
    is_present: bool,
    on_close: &Callback<()>,
) -> Html {
    match (asked, judged) {
        (Asked::Fix(finding), Some(judged)) => component::<Fixing>(FixingProps {
            finding: finding.clone(),
            dispatch: dispatch.clone(),
            judged: judged.clone(),
            is_present,
            on_close: on_close.clone(),
        }),
        (Asked::Fix(..), None) => Html::default(),
        (Asked::Waive(finding), _) => waive_dialog(dispatch, finding, on_close),
    }
}

/// Properties of [`Fixing`].
#[derive(Properties)]
pub(crate) struct FixingProps {
    finding: Finding,
    dispatch: Dispatch,
    judged: Judged,
    is_present: bool,
    on_close: Callback<()>,
}

impl PartialEq for FixingProps {
    fn eq(&self, other: &Self) -> bool {
        // The finding stays as long as the dialog.
        self.judged == other.judged && self.is_present == other.is_present
    }
}

/// Tries what takes a finding away, and shows what came of it.
#[component]
pub(crate) fn Fixing(props: &FixingProps) -> Html {
    let tried = use_state(|| None::<Rc<Vec<TriedFix>>>);
    let timer = use_mut_ref(|| None::<Timeout>);
    {
        // A change of an older program would undo what was done since.
        let untried = tried.is_none() && props.is_present;
        let (tried, finding, judged) = (tried.clone(), props.finding.clone(), props.judged.clone());
        use_effect_with((untried, props.judged.clone()), move |_| {
            *timer.borrow_mut() = untried
                .then(|| {
                    Timeout::new(TRY_AFTER_MS, move || {
                        let settings = CheckSettings::default();
                        let fixes = fixes(&judged.program, &judged.report, &finding, &settings);
                        tried.set(Some(Rc::new(fixes)));
                    })
                })
                .flatten();
        });
    }
    let tried = tried.as_ref().map(|tried| tried.as_slice());
    fix_dialog(
        &props.dispatch,
        &props.judged,
        &props.finding,
        tried,
        &props.on_close,
    )
}

/// The changes that take a finding away, each with what it changes and what judging it again says; none while they are being tried.
fn fix_dialog(
    dispatch: &Dispatch,
    judged: &Judged,
    finding: &Finding,
    tried: Option<&[TriedFix]>,
    on_close: &Callback<()>,
) -> Html {
    let title = format!("Fix {} at {}", finding.code, finding.place);
    let body = tag("div", "").tag(text("p", "text", finding.message.clone()));
    let body = match tried {
        None => body
            .tag(said("p", "", "Trying changes on a copy of the program…").with("role", "status")),
        Some([]) => {
            let words = format!(
                "No mechanical change takes this finding away without a new one as grave: {}",
                finding.help
            );
            body.tag(text("p", "", words).with("role", "status"))
        }
        Some(tried) => body.tags(tried.iter().map(|fix| one(dispatch, judged, fix, on_close))),
    };
    dialog("fix", title, "Cancel", on_close, body.inside())
}

fn one(dispatch: &Dispatch, judged: &Judged, tried: &TriedFix, on_close: &Callback<()>) -> Tag {
    let apply = {
        let (dispatch, on_close, fix) = (dispatch.clone(), on_close.clone(), tried.fix.clone());
        Callback::from(move |_: MouseEvent| {
            dispatch.send(Action::Edit {
                label: fix.label.clone(),
                edit: fix.edit.clone(),
            });
            on_close.emit(());
        })
    };
    let rows = changes(&judged.program, &tried.program)
        .into_iter()
        .map(|change| {
            tag("tr", "")
                .tag(text("th", "", change.what).with("scope", "row"))
                .tag(text("td", "", change.before))
                .tag(text("td", "", change.after))
        });
    let words = format!(
        "Judged again: this finding is gone; {}, before {}",
        counts(&tried.report),
        counts(&judged.report)
    );
    let apply = said("button", "main", "Apply")
        .with("type", "button")
        .on_click(apply);
    tag("section", "column")
        .tag(text("h3", "", tried.fix.label.clone()))
        .tag(
            tag("table", "")
                .tag(columns(&[
                    ("Changes", false),
                    ("Before", false),
                    ("After", false),
                ]))
                .tag(tag("tbody", "").tags(rows)),
        )
        .tag(text("p", "", words))
        .tag(tag("p", "").tag(apply))
}

/// Reason, person and date for accepting a finding.
fn waive_dialog(dispatch: &Dispatch, finding: &Finding, on_close: &Callback<()>) -> Html {
    let submit = {
        let (dispatch, on_close) = (dispatch.clone(), on_close.clone());
        let (code, place) = (finding.code, finding.place.to_string());
        Callback::from(move |event: SubmitEvent| {
            event.prevent_default();
            let is_everywhere = element::<HtmlInputElement>("waive-everywhere")
                .is_some_and(|input| input.checked());
            let waiver = Waiver {
                rule: code,
                place: (!is_everywhere).then(|| place.clone()),
                reason: field("waive-reason"),
                by: field("waive-by"),
                date: field("waive-date"),
            };
            if waiver.reason.is_empty() || waiver.by.is_empty() {
                return;
            }
            let mut waivers = dispatch.live.editor().committed_program().waivers.clone();
            waivers.push(waiver);
            set(&dispatch, format!("Waive {code}"), waivers);
            on_close.emit(());
        })
    };
    let everywhere = tag("input", "")
        .with("type", "checkbox")
        .with("id", "waive-everywhere");
    let form = tag("form", "column")
        .on_submit(submit)
        .child(form_fields(&[
            ("waive-reason", "Reason", "text"),
            ("waive-by", "Accepted by", "text"),
            ("waive-date", "Date", "date"),
        ]))
        .tag(
            tag("label", "")
                .tag(everywhere)
                .text(format!(" Everywhere, not only at {}", finding.place)),
        )
        .tag(tag("p", "").tag(said("button", "main", "Waive").with("type", "submit")));
    let body = tag("div", "")
        .tag(text("p", "text", finding.message.clone()))
        .tag(said("p", "text quiet", "A waiver is kept in the program and printed with every report. Local law and the agency's specification decide what may be waived"))
        .tag(form);
    let title = format!("Waive {} at {}", finding.code, finding.place);
    dialog("waive", title, "Cancel", on_close, body.inside())
}

/// Takes a waiver back.
pub(crate) fn remove_waiver(dispatch: &Dispatch, waiver: &Waiver) {
    let mut waivers = dispatch.live.editor().committed_program().waivers.clone();
    waivers.retain(|known| known != waiver);
    set(
        dispatch,
        format!("Remove the waiver of {}", waiver.rule),
        waivers,
    );
}

fn set(dispatch: &Dispatch, label: String, waivers: Vec<Waiver>) {
    let edit = Edit::SetWaivers(waivers);
    dispatch.send(Action::Edit { label, edit });
}
