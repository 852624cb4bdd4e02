//! The profile beside the program: every rule of the book, whether it is chosen and how, and what it came to.
//!
//! Invariant: each change is one step of the history; what the rule book says is only shown.

use super::findings::counted;
use super::profile::{Opened, bar};
use super::repair::{Field, FieldProps, field, form_fields};
use super::results::Judged;
use super::table::on_number;
use crate::platform::lower;
use crate::store::{Dispatch, use_dispatch, use_document};
use crate::tag::{Tag, button, columns, component, link, said, tag, text};
use lampwright_analysis::coverage::{Coverage, coverage};
use lampwright_analysis::quantity::{Quantity, Unit};
use lampwright_analysis::report::{Outcome, Verdict};
use lampwright_analysis::rules::{Parameter, Source};
use lampwright_editor::{Action, ScopeList, parameter_value, scope_lists, scope_toggled};
use lampwright_model::{Confirmation, Edit, Profile, Program, RuleChoice, RuleCode, Severity};
use web_sys::{HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

/// Properties of [`Rules`].
#[derive(Properties, PartialEq)]
pub(crate) struct Props {
    /// The last judgment of all states.
    pub(crate) judged: Option<Judged>,
    /// Explains a rule.
    pub(crate) on_explain: Callback<RuleCode>,
}

/// The profile and its coverage.
#[component]
pub(crate) fn Rules(props: &Props) -> Html {
    let wanted = use_state(String::new);
    let is_all = use_state(|| false);
    let open = use_state(|| None::<RuleCode>);
    let opened = use_state(Opened::default);
    let (Some(dispatch), Some(document), Some(judged)) =
        (use_dispatch(), use_document(), props.judged.as_ref())
    else {
        return said(
            "p",
            "panel",
            "Judging the default state and every situation…",
        )
        .done();
    };
    // What is shown of the profile is the present one; outcomes are of the last judgment.
    let program = document.committed_program();
    let mut rows = coverage(program, &judged.report);
    lampwright_timing::sort_by(&mut rows, |one, other| {
        (one.meta.group, one.meta.code).cmp(&(other.meta.group, other.meta.code))
    });
    let n_rules = rows.len();
    // A search looks at the whole book, else what the profile leaves out is one line.
    let is_folded = wanted.trim().is_empty() && !*is_all && !program.profile.rules.is_empty();
    rows.retain(|row| (!is_folded || row.is_run) && is_wanted(row, &lower(&wanted)));
    let n_folded = if is_folded { n_rules - rows.len() } else { 0 };
    let on_filter = {
        let wanted = wanted.clone();
        Callback::from(move |event: InputEvent| {
            wanted.set(value_of(&event));
        })
    };
    let words = format!(
        "{} shown, {} chosen; outcomes over {}",
        counted(rows.len(), "rule"),
        program.profile.rules.len(),
        counted(judged.report.judged.len(), "state")
    );
    let mut body = tag("tbody", "");
    let mut group = None;
    for row in &rows {
        if group != Some(row.meta.group) {
            group = Some(row.meta.group);
            let title = format!("Group {}", row.meta.group.name());
            body = body.tag(
                tag("tr", "").tag(
                    tag("th", "")
                        .with("colspan", "3")
                        .with("scope", "rowgroup")
                        .tag(text("h3", "", title)),
                ),
            );
        }
        let is_open = *open == Some(row.meta.code);
        body = body.tag(line(&dispatch, row, is_open, &open));
        if is_open {
            let details = details(&dispatch, row, program, props);
            body = body.tag(tag("tr", "").tag(tag("td", "").with("colspan", "3").tag(details)));
        }
    }
    let fold = (n_folded > 0 || *is_all).then(|| {
        let words = if *is_all {
            "Show the chosen rules only".to_owned()
        } else {
            format!(
                "Show {} that the profile does not choose",
                counted(n_folded, "rule")
            )
        };
        let is_all = is_all.clone();
        tag("p", "").tag(link(
            words,
            Callback::from(move |_: MouseEvent| is_all.set(!*is_all)),
        ))
    });
    tag("div", "view column rules")
        .tag(bar(&dispatch, &program.profile, &opened))
        .tag(
            said("label", "row nowrap", "Find").tag(
                tag("input", "input grow")
                    .with("type", "search")
                    .with("id", "rule-filter")
                    .with(
                        "placeholder",
                        "code, word, source, chosen, unverified, failed",
                    )
                    .on_input(on_filter),
            ),
        )
        .tag(text("p", "quiet", words).with("role", "status"))
        .tag(
            tag("table", "")
                .tag(said(
                    "caption",
                    "only-spoken",
                    "Rules of the book, the profile's choice, and what each came to",
                ))
                .tag(columns(&[
                    ("Rule", false),
                    ("Severity", false),
                    ("Outcome", false),
                ]))
                .tag(body),
        )
        .maybe(fold)
        .done()
}

fn is_wanted(row: &Coverage<'_>, wanted: &str) -> bool {
    let mut text = format!(
        "{} {} {} {}",
        row.meta.code,
        row.meta.name,
        row.meta.summary,
        row.meta.group.name()
    );
    for source in row.meta.sources {
        text.push_str(source.document);
    }
    let words = [
        (row.is_chosen, " chosen"),
        (
            row.limits.iter().any(|limit| limit.is_unverified),
            " unverified ",
        ),
        (
            true,
            row.outcome.map_or("", |outcome| outcome.verdict.name()),
        ),
    ];
    for (_, word) in words.iter().filter(|(holds, _)| *holds) {
        text.push_str(word);
    }
    lower(&text).contains(wanted.trim())
}

fn line(
    dispatch: &Dispatch,
    row: &Coverage<'_>,
    is_open: bool,
    open: &UseStateHandle<Option<RuleCode>>,
) -> Tag {
    let (meta, code) = (row.meta, row.meta.code);
    let toggle = {
        let open = open.clone();
        Callback::from(move |_: MouseEvent| open.set((!is_open).then_some(code)))
    };
    let is_chosen = row.is_chosen;
    let label = if is_chosen { "Leave out" } else { "Choose" };
    let choose = on_change(dispatch, &format!("{label} {code}"), move |profile, _| {
        profile.rules.retain(|choice| choice.code != code);
        if !is_chosen {
            choice(profile, code);
        }
    });
    let severity = on_change(
        dispatch,
        &format!("Set severity of {code}"),
        move |profile, text| {
            choice(profile, code).severity =
                SEVERITIES.into_iter().find(|known| known.name() == text);
        },
    );
    let box_label = format!("Choose {code} {}", meta.name);
    let name = tag("button", "plain name")
        .with("type", "button")
        .with("aria-expanded", if is_open { "true" } else { "false" })
        .on_click(toggle)
        .tag(text("span", "code", code.to_string()))
        .say(" ")
        .say(meta.name);
    let first = tag("div", "row nowrap")
        .tag(
            tag("input", "")
                .with("type", "checkbox")
                .checked(is_chosen)
                .on_change(choose)
                .with_text("aria-label", box_label),
        )
        .tag(name)
        .maybe(
            meta.is_always_run
                .then(|| said("span", "tag", "always run")),
        );
    let second = if is_chosen {
        let own = format!("{} (own)", meta.severity.name());
        let others = SEVERITIES
            .into_iter()
            .filter(|known| *known != meta.severity)
            .map(|known| {
                said("option", "", known.name())
                    .with("value", known.name())
                    .flag("selected", row.severity == known)
            });
        tag("select", "")
            .on_change(severity)
            .with_text("aria-label", format!("Severity of {code}"))
            .tag(
                text("option", "", own)
                    .with("value", "")
                    .flag("selected", row.severity == meta.severity),
            )
            .tags(others)
    } else {
        said("span", "", meta.severity.name())
    };
    let third = row
        .outcome
        .map(|outcome| outcome_tag(outcome, row.n_judged));
    tag("tr", "")
        .key(code.to_string())
        .tag(tag("td", "").tag(first))
        .tag(tag("td", "").tag(second))
        .tag(tag("td", "").maybe(third))
}

const SEVERITIES: [Severity; 3] = [Severity::Error, Severity::Warning, Severity::Info];

fn outcome_tag(outcome: &Outcome, n_judged: usize) -> Tag {
    let (class, detail) = match &outcome.verdict {
        Verdict::Passed { margin } if margin.is_empty() => ("severity passed", String::new()),
        Verdict::Passed { margin } => ("severity passed", format!(" margin {margin}")),
        Verdict::Failed {
            n_findings,
            n_waived,
        } => {
            let mut text = format!(" {}", counted(*n_findings, "finding"));
            if *n_waived > 0 {
                text.push_str(&format!(", {n_waived} waived"));
            }
            ("severity error", text)
        }
        Verdict::NotApplicable { why } | Verdict::NotEvaluated { why } => {
            ("severity info", format!(" {why}"))
        }
    };
    let states = (outcome.n_states > 0).then(|| {
        let words = format!(" in {} of {n_judged} states", outcome.n_states);
        text("span", "quiet", words)
    });
    let note = (!outcome.note.is_empty()).then(|| text("span", "quiet", outcome.note.clone()));
    tag("div", "")
        .tag(said("span", class, outcome.verdict.name()))
        .say(" ")
        .maybe(
            outcome
                .is_unverified
                .then(|| said("span", "tag", "unverified")),
        )
        .text(detail)
        .maybe(states)
        .maybe(note.is_some().then(|| tag("br", "")))
        .maybe(note)
}

fn details(dispatch: &Dispatch, row: &Coverage<'_>, program: &Program, props: &Props) -> Tag {
    let (meta, code) = (row.meta, row.meta.code);
    let chosen = program
        .profile
        .rules
        .iter()
        .find(|choice| choice.code == code);
    let is_unverified = row.limits.iter().any(|limit| limit.is_unverified)
        || (row.confirmed.is_none()
            && meta
                .sources
                .iter()
                .any(|source| source.known.needs_confirmation()));
    let explain = link(
        "Explain".into(),
        props.on_explain.reform(move |_: MouseEvent| code),
    )
    .with_text("aria-label", format!("Explain {code}"));
    let limits = meta
        .parameters
        .iter()
        .zip(&row.limits)
        .map(|(parameter, limit)| {
            let input = component::<Field>(FieldProps {
                id: format!("{code}-{}", parameter.name).into(),
                kind: "number",
                value: number(limit.thousandths),
                is_required: false,
                is_disabled: chosen.is_none(),
                on_change: set_parameter(dispatch, code, parameter),
            });
            let words = format!(
                "{} (own {}, from {} to {})",
                parameter.unit,
                number(parameter.default),
                number(parameter.range.0),
                number(parameter.range.1)
            );
            tag("label", "row")
                .tag(said("span", "", parameter.label))
                .child(input)
                .tag(text("span", "quiet", words))
                .maybe(
                    limit
                        .is_unverified
                        .then(|| said("span", "tag", "unverified")),
                )
        });
    let mut all = tag("div", "column details")
        .tag(
            tag("p", "row")
                .tag(said("span", "", meta.summary))
                .tag(explain),
        )
        .tags(limits);
    all = match chosen {
        None => all.tag(said("p", "", "Looks at: nothing, it is not chosen")),
        Some(choice) => all.tag(said("p", "", "Looks at:")).tags(
            scope_lists(program, choice)
                .into_iter()
                .map(|list| scope(dispatch, code, list)),
        ),
    };
    let sources = meta
        .sources
        .iter()
        .map(|source| text("li", "", source_text(source)));
    all = all.tag(tag("ul", "bullets").tags(sources));
    if let Some(confirmed) = row.confirmed {
        let words = format!(
            "Confirmed by {} on {}: {}",
            confirmed.by, confirmed.date, confirmed.source
        );
        return all.tag(
            tag("p", "row")
                .tag(text("span", "", words))
                .tag(button("Take back", take_back(dispatch, code))),
        );
    }
    if !is_unverified || chosen.is_none() {
        return all;
    }
    let fields = form_fields(&[
        (
            "confirm-source",
            "Source: document, edition, clause",
            "text",
        ),
        ("confirm-by", "Confirmed by", "text"),
        ("confirm-date", "Date", "date"),
    ]);
    let send =
        text("button", "main", format!("Confirm the limits of {code}")).with("type", "submit");
    all.tag(
        tag("details", "").tag(said("summary", "", "Confirm…")).tag(
            tag("form", "column")
                .on_submit(confirm(dispatch, code))
                .tag(said("p", "", "A limit known from memory, from a weak source or as a proposal only warns until the agency confirms it with its own source"))
                .child(fields)
                .tag(tag("p", "").tag(send)),
        ),
    )
}

/// One list of what a rule is narrowed to: each thing is taken away by pressing it, and added from a choice.
fn scope(dispatch: &Dispatch, code: RuleCode, list: ScopeList) -> Tag {
    let part = list.part;
    let send = {
        let dispatch = dispatch.clone();
        move |value: &str| {
            let program = dispatch.live.editor().committed_program().clone();
            if let Ok((label, edit)) = scope_toggled(&program, code, part, value) {
                dispatch.send(Action::Edit { label, edit });
            }
        }
    };
    let mut row = tag("div", "row").tag(said("span", "", list.title));
    if list.named.is_empty() {
        row = row.tag(said("span", "quiet", list.while_empty));
    }
    for item in list.named {
        let (send, value) = (send.clone(), item.value);
        let remove = Callback::from(move |_: MouseEvent| send(&value));
        let spoken = format!("Take {} away from {}", item.label, list.title);
        row = row.tag(
            text("button", "", format!("{} ×", item.label))
                .with("type", "button")
                .on_click(remove)
                .with_text("aria-label", spoken),
        );
    }
    if list.free.is_empty() {
        return row;
    }
    let add = Callback::from(move |event: Event| {
        if let Some(select) = event.target_dyn_into::<HtmlSelectElement>() {
            let value = select.value();
            select.set_value("");
            send(&value);
        }
    });
    let options = list
        .free
        .into_iter()
        .map(|item| text("option", "", item.label).with_text("value", item.value));
    let spoken = format!("Add to {} of {code}", list.title);
    row.tag(
        tag("select", "")
            .on_change(add)
            .with_text("aria-label", spoken)
            .tag(
                said("option", "", "add…")
                    .with("value", "")
                    .flag("selected", true),
            )
            .tags(options),
    )
}

/// Document, how it is known, and what it sets.
pub(crate) fn source_text(source: &Source) -> String {
    format!(
        "{} ({}): {}",
        source.title(),
        source.known.name(),
        source.says
    )
}

/// A value in thousandths as decimal text.
pub(crate) fn number(thousandths: i64) -> String {
    Quantity::thousandths(thousandths, Unit::Count).to_string()
}

/// The choice of a rule; one with the rule's own figures when there was none.
fn choice(profile: &mut Profile, code: RuleCode) -> &mut RuleChoice {
    let at = profile.rules.partition_point(|known| known.code < code);
    let at = match profile.rules.iter().position(|known| known.code == code) {
        Some(found) => found,
        None => {
            profile.rules.insert(at, RuleChoice::of(code));
            at
        }
    };
    &mut profile.rules[at]
}

/// Changes the profile as one step.
fn change(dispatch: &Dispatch, label: &str, alter: impl FnOnce(&mut Profile)) {
    dispatch.send(altered(dispatch, label, alter));
}

fn altered(dispatch: &Dispatch, label: &str, alter: impl FnOnce(&mut Profile)) -> Action {
    let mut profile = dispatch.live.editor().committed_program().profile.clone();
    alter(&mut profile);
    Action::Edit {
        label: label.to_owned(),
        edit: Edit::SetProfile(profile),
    }
}

/// Changes the profile with the text of a field or list.
pub(super) fn on_change(
    dispatch: &Dispatch,
    label: &str,
    alter: impl Fn(&mut Profile, String) + 'static,
) -> Callback<Event> {
    let (dispatch, label) = (dispatch.clone(), label.to_owned());
    Callback::from(move |event: Event| {
        let text = value_of(&event);
        change(&dispatch, &label, |profile| alter(profile, text));
    })
}

pub(crate) fn value_of(event: &Event) -> String {
    match event.target_dyn_into::<HtmlInputElement>() {
        Some(input) => input.value(),
        None => event
            .target_dyn_into::<HtmlSelectElement>()
            .map_or_else(String::new, |select| select.value()),
    }
}

fn set_parameter(
    dispatch: &Dispatch,
    code: RuleCode,
    parameter: &'static Parameter,
) -> Callback<Event> {
    let sending = dispatch.clone();
    on_number(dispatch, None, move |text| {
        let value = parameter_value(parameter, text)?;
        let label = format!("Set {} of {code}", parameter.name);
        Ok(altered(&sending, &label, |profile| {
            let choice = choice(profile, code);
            choice.parameters.retain(|(name, _)| name != parameter.name);
            if value != parameter.default {
                choice.parameters.push((parameter.name.to_owned(), value));
            }
            // What the agency confirmed were the values as they stood.
            choice.confirmed = None;
        }))
    })
}

fn confirm(dispatch: &Dispatch, code: RuleCode) -> Callback<SubmitEvent> {
    let dispatch = dispatch.clone();
    Callback::from(move |event: SubmitEvent| {
        event.prevent_default();
        let confirmation = Confirmation {
            source: field("confirm-source"),
            by: field("confirm-by"),
            date: field("confirm-date"),
        };
        if confirmation.source.is_empty() || confirmation.by.is_empty() {
            return;
        }
        change(
            &dispatch,
            &format!("Confirm the limits of {code}"),
            |profile| {
                choice(profile, code).confirmed = Some(confirmation);
            },
        );
    })
}

fn take_back(dispatch: &Dispatch, code: RuleCode) -> Callback<MouseEvent> {
    let dispatch = dispatch.clone();
    Callback::from(move |_: MouseEvent| {
        change(
            &dispatch,
            &format!("Take back the confirmation of {code}"),
            |profile| {
                choice(profile, code).confirmed = None;
            },
        );
    })
}
