//! Findings by severity, the waived ones apart.

use super::repair::remove_waiver;
use crate::store::use_dispatch;
use lampwright_analysis::report::{Finding, FoundIn, Report};
use lampwright_analysis::rules;
use lampwright_model::{Program, RuleCode, Severity};
use std::rc::Rc;
use yew::prelude::*;

/// Properties of [`Findings`].
#[derive(Properties)]
pub(crate) struct Props {
    /// The program judged.
    pub(crate) program: Rc<Program>,
    /// What judging it gave.
    pub(crate) report: Rc<Report>,
    /// Goes to the place of a finding, by index.
    pub(crate) on_go: Callback<usize>,
    /// Tries fixes of a finding, by index.
    pub(crate) on_fix: Callback<usize>,
    /// For each finding whether there is a fix to try.
    pub(crate) fixable: Rc<Vec<bool>>,
    /// Waives a finding, by index.
    pub(crate) on_waive: Callback<usize>,
    /// Explains a rule.
    pub(crate) on_explain: Callback<RuleCode>,
    /// The finding gone to last.
    pub(crate) current: Option<usize>,
}

impl PartialEq for Props {
    fn eq(&self, other: &Self) -> bool {
        Rc::ptr_eq(&self.program, &other.program)
            && Rc::ptr_eq(&self.report, &other.report)
            && self.on_go == other.on_go
            && self.on_fix == other.on_fix
            && self.on_waive == other.on_waive
            && Rc::ptr_eq(&self.fixable, &other.fixable)
            && self.on_explain == other.on_explain
            && self.current == other.current
    }
}

/// All findings, the gravest first, each one press from its place.
#[component]
pub(crate) fn Findings(props: &Props) -> Html {
    let report = &props.report;
    let dispatch = use_dispatch();
    let waived: Vec<(usize, &Finding)> = report
        .findings
        .iter()
        .enumerate()
        .filter(|(_, finding)| !finding.counts())
        .collect();
    let on_remove = |finding: &Finding| {
        let waiver = finding
            .waived_by
            .and_then(|at| props.program.waivers.get(at))?
            .clone();
        let (dispatch, words) = (
            dispatch.clone()?,
            format!(
                "Waived by {} on {}: {}",
                waiver.by, waiver.date, waiver.reason
            ),
        );
        let remove = Callback::from(move |_: MouseEvent| remove_waiver(&dispatch, &waiver));
        Some(
            html! { <p class="row"><span>{ words }</span><button type="button" class="plain" onclick={remove} aria-label={format!("Remove waiver of {}", finding.code)}>{ "Remove waiver" }</button></p> },
        )
    };
    let groups = [Severity::Error, Severity::Warning, Severity::Info].map(|severity| {
        let found: Vec<(usize, &Finding)> = report
            .findings
            .iter()
            .enumerate()
            .filter(|(_, finding)| finding.severity == severity && finding.counts())
            .collect();
        (severity, found)
    });
    html! {
        <section class="panel findings" id="findings" tabindex="-1" aria-labelledby="findings-title">
            <h2 id="findings-title">{ "Findings" }</h2>
            <p class="quiet">{ format!("{} judged by {}", counted(report.judged.len(), "state"), counted(report.n_rules_chosen, "chosen rule")) }</p>
            if report.findings.is_empty() {
                <p>{ nothing_found(report) }</p>
            }
            { for groups.iter().filter(|(_, found)| !found.is_empty()).map(|(severity, found)| html! {
                <section key={severity.name()} aria-label={format!("{} findings", severity.name())}>
                    <h3><span class={classes!("severity", severity.name())}>{ heading(*severity, found.len()) }</span></h3>
                    <ul>{ for found.iter().map(|(index, finding)| entry(props, *index, finding, Html::default())) }</ul>
                </section>
            }) }
            if !waived.is_empty() {
                <section aria-label="Waived findings">
                    <h3>{ format!("Waived ({})", waived.len()) }</h3>
                    <ul>{ for waived.iter().map(|(index, finding)| entry(props, *index, finding, on_remove(finding).unwrap_or_default())) }</ul>
                </section>
            }
            if !report.profile_problems.is_empty() {
                <h3>{ "The profile asks for what no rule offers" }</h3>
                <ul>{ for report.profile_problems.iter().map(|problem| html! { <li>{ problem.to_string() }</li> }) }</ul>
            }
        </section>
    }
}

/// "2 errors, 1 warning, 0 remarks, 1 waived".
pub(crate) fn counts(report: &Report) -> String {
    let count = |severity: Severity| {
        report
            .findings
            .iter()
            .filter(|finding| finding.severity == severity && finding.counts())
            .count()
    };
    let waived = report
        .findings
        .iter()
        .filter(|finding| !finding.counts())
        .count();
    let mut text = format!(
        "{}, {}, {}",
        counted(count(Severity::Error), "error"),
        counted(count(Severity::Warning), "warning"),
        counted(count(Severity::Info), "remark"),
    );
    if waived > 0 {
        text.push_str(&format!(", {waived} waived"));
    }
    text
}

fn nothing_found(report: &Report) -> &'static str {
    if report.n_rules_chosen == 0 {
        "The profile chooses no rules: nothing was judged"
    } else {
        "Nothing found by the chosen rules in the judged states; see the outcomes for what was not evaluated"
    }
}

fn heading(severity: Severity, n_found: usize) -> String {
    match severity {
        Severity::Error => format!("■ Errors ({n_found})"),
        Severity::Warning => format!("▲ Warnings ({n_found})"),
        Severity::Info => format!("● Remarks ({n_found})"),
    }
}

pub(crate) fn counted(n: usize, word: &str) -> String {
    if n == 1 {
        format!("1 {word}")
    } else {
        format!("{n} {word}s")
    }
}

fn entry(props: &Props, index: usize, finding: &Finding, waiver: Html) -> Html {
    let press = |callback: &Callback<usize>| callback.reform(move |_: MouseEvent| index);
    let is_fixable = finding.counts() && props.fixable.get(index) == Some(&true);
    let on_explain = {
        let (on_explain, code) = (props.on_explain.clone(), finding.code);
        Callback::from(move |_: MouseEvent| on_explain.emit(code))
    };
    let meta = rules::rule(finding.code).map(|rule| rule.meta());
    let source = meta.and_then(|meta| meta.sources.get(finding.source?));
    let is_current = props.current == Some(index);
    html! {
        <li key={index} class={classes!("finding", is_current.then_some("is-current"))}>
            <button type="button" class="go" onclick={press(&props.on_go)} aria-current={is_current.then_some("true")}>
                <span class="code">{ finding.code.to_string() }</span>{ " " }
                <span>{ finding.message.clone() }</span>
                <br/>
                <span class="quiet">{ place_text(&props.program, finding) }</span>
            </button>
            <div class="more">
                if let Some(measured) = finding.measured {
                    <span class="number">{ "measured " }{ measured.text_apart_from(&finding.limit.map(|limit| limit.ends()).unwrap_or_default()) }</span>
                }
                if let Some(limit) = finding.limit {
                    { "; limit " }{ limit.text() }
                }
                if let Some(margin) = finding.margin {
                    <span class="number">{ "; margin " }{ margin.to_string() }</span>
                }
                if !finding.help.is_empty() {
                    <p>{ finding.help.clone() }</p>
                }
                <p class="row">
                    if let Some(source) = source {
                        <span>{ format!("Source: {} ({})", source.title(), source.known.name()) }</span>
                    }
                    if finding.is_unverified {
                        <span class="tag">{ "unverified" }</span>
                    }
                    if finding.depends_on_reading {
                        <span class="tag">{ "depends on reading" }</span>
                    }
                </p>
                { waiver }
                <p class="row">
                    <button type="button" class="plain" onclick={on_explain} aria-label={format!("Explain {}", finding.code)}>{ "Explain" }</button>
                    <button type="button" class="plain" onclick={press(&props.on_go)} aria-label={format!("Go to {}", finding.place)}>{ "Go to" }</button>
                    if is_fixable {
                        <button type="button" class="plain" onclick={press(&props.on_fix)} aria-label={format!("Fix {} at {}", finding.code, finding.place)}>{ "Fix…" }</button>
                    }
                    if finding.counts() {
                        <button type="button" class="plain" onclick={press(&props.on_waive)} aria-label={format!("Waive {} at {}", finding.code, finding.place)}>{ "Waive…" }</button>
                    }
                </p>
            </div>
        </li>
    }
}

/// Where and in which states, in words.
fn place_text(program: &Program, finding: &Finding) -> String {
    let mut text = finding.place.to_string();
    let states: Vec<String> = std::iter::once(&finding.found_in)
        .chain(&finding.also_in)
        .map(|found_in| state_text(program, found_in))
        .collect();
    if let Some(first) = states.first() {
        text.push_str(" · ");
        text.push_str(first);
    }
    match states.len() {
        0 | 1 => {}
        n => text.push_str(&format!(" and {} more", n - 1)),
    }
    text
}

/// The name of a judged state.
pub(crate) fn state_text(program: &Program, found_in: &FoundIn) -> String {
    match found_in {
        FoundIn::Program => "whole program".into(),
        FoundIn::DefaultState => "default state".into(),
        FoundIn::Situation(id) => program
            .situations
            .iter()
            .find(|situation| situation.id == *id)
            .map_or_else(|| id.to_string(), |situation| situation.label.clone()),
        FoundIn::State(state) => state.describe(program),
    }
}
