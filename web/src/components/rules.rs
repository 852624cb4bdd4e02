//! The profile beside the program: every rule of the book, whether it is chosen and how, and what it came to.
//!
//! Invariant: each change is one step of the history; what the rule book says is only shown.

use super::findings::counted;
use super::repair::{Field, field, form_fields};
use super::results::Judged;
use super::table::{micros, on_number};
use crate::platform::lower;
use crate::profiles::PROFILES;
use crate::store::{Dispatch, use_dispatch, use_document};
use lampwright_analysis::coverage::{Coverage, coverage};
use lampwright_analysis::quantity::{Quantity, Unit};
use lampwright_analysis::report::{Outcome, Verdict};
use lampwright_analysis::rules::{Parameter, Source};
use lampwright_editor::Action;
use lampwright_formats::read_profile;
use lampwright_model::{
    Condition, Confirmation, Edit, Profile, RuleChoice, RuleCode, Severity, Target,
};
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
    let open = use_state(|| None::<RuleCode>);
    let (Some(dispatch), Some(document), Some(judged)) =
        (use_dispatch(), use_document(), props.judged.as_ref())
    else {
        return html! { <p class="panel">{ "Judging all states…" }</p> };
    };
    // What is shown of the profile is the present one; outcomes are of the last judgment.
    let mut rows = coverage(document.committed_program(), &judged.report);
    lampwright_timing::sort_by(&mut rows, |one, other| {
        (one.meta.group, one.meta.code).cmp(&(other.meta.group, other.meta.code))
    });
    rows.retain(|row| is_wanted(row, &lower(&wanted)));
    let profile = &document.committed_program().profile;
    let on_filter = {
        let wanted = wanted.clone();
        Callback::from(move |event: InputEvent| {
            wanted.set(value_of(&event));
        })
    };
    let mut group = None;
    html! {
        <div class="view column rules">
            <div class="row">
                <label>{ "Profile " }<Field id="profile-title" value={profile.title.clone()}
                    on_change={on_change(&dispatch, "Name the profile", |profile, text| profile.title = text)} /></label>
                <label>{ "Applies in " }<Field id="profile-jurisdiction" value={profile.jurisdiction.clone()}
                    on_change={on_change(&dispatch, "Set the jurisdiction", |profile, text| profile.jurisdiction = text)} /></label>
                <label>{ "Start from " }
                    <select id="profile-start" onchange={on_change(&dispatch, "Start from a shipped profile", start_from)}>
                        <option value="" selected=true>{ "a shipped profile…" }</option>
                        { for PROFILES.iter().map(|(title, _)| html! { <option value={*title}>{ *title }</option> }) }
                    </select>
                </label>
            </div>
            <label class="row nowrap">{ "Find" }<input class="input grow" type="search" id="rule-filter" oninput={on_filter}
                placeholder="code, word, source, chosen, unverified, failed" /></label>
            <p class="quiet" role="status">{ format!("{} shown, {} chosen; outcomes over {}", counted(rows.len(), "rule"), profile.rules.len(), counted(judged.report.judged.len(), "state")) }</p>
            <table>
                <caption class="only-spoken">{ "Rules of the book, the profile's choice, and what each came to" }</caption>
                <thead><tr><th scope="col">{ "Rule" }</th><th scope="col">{ "Severity" }</th><th scope="col">{ "Outcome" }</th></tr></thead>
                <tbody>{ for rows.iter().map(|row| {
                    let heading = (group != Some(row.meta.group)).then(|| html! {
                        <tr><th colspan="3" scope="rowgroup"><h3>{ format!("Group {}", row.meta.group.name()) }</h3></th></tr>
                    });
                    group = Some(row.meta.group);
                    let is_open = *open == Some(row.meta.code);
                    html! { <>
                        { for heading }
                        { line(&dispatch, row, is_open, &open) }
                        if is_open {
                            <tr><td colspan="3">{ details(&dispatch, row, profile, props) }</td></tr>
                        }
                    </> }
                }) }</tbody>
            </table>
        </div>
    }
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
) -> Html {
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
    html! {
        <tr>
            <td><div class="row nowrap">
                <input type="checkbox" checked={is_chosen} onchange={choose} aria-label={format!("Choose {code} {}", meta.name)} />
                <button type="button" class="plain name" aria-expanded={if is_open { "true" } else { "false" }} onclick={toggle}>
                    <span class="code">{ code.to_string() }</span>{ " " }{ meta.name }
                </button>
                if meta.is_always_run { <span class="tag">{ "always run" }</span> }
            </div></td>
            <td>
                if is_chosen {
                    <select onchange={severity} aria-label={format!("Severity of {code}")}>
                        <option value="" selected={row.severity == meta.severity}>{ format!("{} (own)", meta.severity.name()) }</option>
                        { for SEVERITIES.into_iter().filter(|known| *known != meta.severity).map(|known| html! {
                            <option value={known.name()} selected={row.severity == known}>{ known.name() }</option>
                        }) }
                    </select>
                } else {
                    { meta.severity.name() }
                }
            </td>
            <td>{ for row.outcome.map(|outcome| outcome_html(outcome, row.n_judged)) }</td>
        </tr>
    }
}

const SEVERITIES: [Severity; 3] = [Severity::Error, Severity::Warning, Severity::Info];

fn outcome_html(outcome: &Outcome, n_judged: usize) -> Html {
    let (class, detail) = match &outcome.verdict {
        Verdict::Passed { margin } if margin.is_empty() => ("passed", String::new()),
        Verdict::Passed { margin } => ("passed", format!("margin {margin}")),
        Verdict::Failed {
            n_findings,
            n_waived,
        } => {
            let mut text = counted(*n_findings, "finding");
            if *n_waived > 0 {
                text.push_str(&format!(", {n_waived} waived"));
            }
            ("error", text)
        }
        Verdict::NotApplicable { why } | Verdict::NotEvaluated { why } => ("info", why.clone()),
    };
    html! { <>
        <span class={classes!("severity", class)}>{ outcome.verdict.name() }</span>
        if outcome.is_unverified {
            { " " }<span class="tag">{ "unverified" }</span>
        }
        if !detail.is_empty() {
            { format!(" {detail}") }
        }
        if outcome.n_states > 0 {
            <span class="quiet">{ format!(" in {} of {n_judged} states", outcome.n_states) }</span>
        }
        if !outcome.note.is_empty() {
            <br/><span class="quiet">{ outcome.note.clone() }</span>
        }
    </> }
}

fn details(dispatch: &Dispatch, row: &Coverage<'_>, profile: &Profile, props: &Props) -> Html {
    let (meta, code) = (row.meta, row.meta.code);
    let chosen = profile.rules.iter().find(|choice| choice.code == code);
    let is_unverified = row.limits.iter().any(|limit| limit.is_unverified)
        || (row.confirmed.is_none()
            && meta
                .sources
                .iter()
                .any(|source| source.known.needs_confirmation()));
    html! {
        <div class="column details">
            <p class="row"><span>{ meta.summary }</span>
                <button type="button" class="plain" onclick={props.on_explain.reform(move |_: MouseEvent| code)} aria-label={format!("Explain {code}")}>{ "Explain" }</button>
            </p>
            { for meta.parameters.iter().zip(&row.limits).map(|(parameter, limit)| html! {
                <label class="row">
                    <span>{ parameter.label }</span>
                    <Field kind="number" is_disabled={chosen.is_none()} id={format!("{code}-{}", parameter.name)}
                        value={number(limit.thousandths)} on_change={set_parameter(dispatch, code, parameter)} />
                    <span class="quiet">{ format!("{} (own {}, from {} to {})", parameter.unit, number(parameter.default), number(parameter.range.0), number(parameter.range.1)) }</span>
                    if limit.is_unverified { <span class="tag">{ "unverified" }</span> }
                </label>
            }) }
            <p>{ format!("Looks at: {}", chosen.map_or_else(|| "nothing, it is not chosen".to_owned(), scope)) }</p>
            <ul class="bullets">{ for meta.sources.iter().map(|source| html! { <li>{ source_text(source) }</li> }) }</ul>
            if let Some(confirmed) = row.confirmed {
                <p class="row">
                    <span>{ format!("Confirmed by {} on {}: {}", confirmed.by, confirmed.date, confirmed.source) }</span>
                    <button type="button" onclick={take_back(dispatch, code)}>{ "Take back" }</button>
                </p>
            } else if is_unverified && chosen.is_some() {
                <details>
                    <summary>{ "Confirm…" }</summary>
                    <form class="column" onsubmit={confirm(dispatch, code)}>
                        <p>{ "A limit known from memory, from a weak source or as a proposal only warns until the agency confirms it with its own source" }</p>
                        { form_fields(&[("confirm-source", "Source: document, edition, clause", "text"), ("confirm-by", "Confirmed by", "text"), ("confirm-date", "Date", "date")]) }
                        <p><button type="submit" class="main">{ format!("Confirm the limits of {code}") }</button></p>
                    </form>
                </details>
            }
        </div>
    }
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

/// In which states, at which heads and patterns.
fn scope(choice: &RuleChoice) -> String {
    let ids = |ids: &[lampwright_model::PatternId]| -> String {
        let ids: Vec<&str> = ids.iter().map(|id| id.as_str()).collect();
        ids.join(", ")
    };
    let mut text = choice.when.as_ref().map_or_else(
        || "all states".to_owned(),
        |when| format!("states with {}", condition(when)),
    );
    let heads: Vec<String> = choice
        .heads
        .iter()
        .map(|target| match target {
            Target::All => "all heads".to_owned(),
            Target::Head(id) => format!("head {id}"),
            Target::Group(id) => format!("group {id}"),
        })
        .collect();
    text.push_str("; ");
    text.push_str(if heads.is_empty() { "all heads" } else { "" });
    text.push_str(&heads.join(", "));
    match choice.only_patterns.as_slice() {
        [] => text.push_str("; all patterns"),
        only => text.push_str(&format!("; only patterns {}", ids(only))),
    }
    if !choice.except_patterns.is_empty() {
        text.push_str(&format!(" but {}", ids(&choice.except_patterns)));
    }
    text
}

/// "mode blocking or calling, or door open".
fn condition(when: &Condition) -> String {
    let alternatives: Vec<String> = when
        .0
        .iter()
        .map(|alternative| {
            let parts: Vec<String> = alternative
                .0
                .iter()
                .map(|(signal, values)| {
                    let values: Vec<&str> = values.iter().map(|value| value.as_str()).collect();
                    format!("{signal} {}", values.join(" or "))
                })
                .collect();
            parts.join(" and ")
        })
        .collect();
    alternatives.join(", or ")
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
fn on_change(
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

fn value_of(event: &Event) -> String {
    match event.target_dyn_into::<HtmlInputElement>() {
        Some(input) => input.value(),
        None => event
            .target_dyn_into::<HtmlSelectElement>()
            .map_or_else(String::new, |select| select.value()),
    }
}

/// Takes over a shipped profile; confirmations and scopes of before go with the old one, and come back with undo.
fn start_from(profile: &mut Profile, title: String) {
    let shipped = PROFILES.iter().find(|(known, _)| **known == title);
    if let Some(new) = shipped.and_then(|(_, text)| read_profile(text.as_bytes()).profile) {
        *profile = new;
    }
}

fn set_parameter(
    dispatch: &Dispatch,
    code: RuleCode,
    parameter: &'static Parameter,
) -> Callback<Event> {
    let sending = dispatch.clone();
    on_number(dispatch, None, move |text| {
        // A number with three decimals reads in thousandths of any unit.
        let value = micros(text)?.get();
        let (least, most) = parameter.range;
        if !(least..=most).contains(&value) {
            return None;
        }
        let label = format!("Set {} of {code}", parameter.name);
        Some(altered(&sending, &label, |profile| {
            let parameters = &mut choice(profile, code).parameters;
            parameters.retain(|(name, _)| name != parameter.name);
            if value != parameter.default {
                parameters.push((parameter.name.to_owned(), value));
            }
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
