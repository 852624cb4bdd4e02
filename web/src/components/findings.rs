//! Findings by severity, and one outcome per rule.

use lampwright_analysis::report::{Finding, FoundIn, Outcome, Report, Verdict};
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
            && self.on_explain == other.on_explain
            && self.current == other.current
    }
}

/// All findings, the gravest first, each one press from its place.
#[component]
pub(crate) fn Findings(props: &Props) -> Html {
    let report = &props.report;
    let groups = [Severity::Error, Severity::Warning, Severity::Info].map(|severity| {
        let found: Vec<(usize, &Finding)> = report
            .findings
            .iter()
            .enumerate()
            .filter(|(_, finding)| finding.severity == severity)
            .collect();
        (severity, found)
    });
    html! {
        <section class="panel findings" id="findings" tabindex="-1" aria-labelledby="findings-title">
            <h2 id="findings-title">{ "Findings" }</h2>
            <p class="quiet">{ summary(report) }</p>
            if report.findings.is_empty() {
                <p>{ nothing_found(report) }</p>
            }
            { for groups.iter().filter(|(_, found)| !found.is_empty()).map(|(severity, found)| html! {
                <section key={severity.name()} aria-label={format!("{} findings", severity.name())}>
                    <h3><span class={classes!("severity", severity.name())}>{ heading(*severity, found.len()) }</span></h3>
                    <ul>{ for found.iter().map(|(index, finding)| entry(props, *index, finding)) }</ul>
                </section>
            }) }
            if !report.profile_problems.is_empty() {
                <h3>{ "The profile asks for what no rule offers" }</h3>
                <ul>{ for report.profile_problems.iter().map(|problem| html! { <li>{ problem.to_string() }</li> }) }</ul>
            }
        </section>
    }
}

fn summary(report: &Report) -> String {
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
    text.push_str(&format!(
        "; {} judged by {}",
        counted(report.judged.len(), "state"),
        counted(report.n_rules_chosen, "chosen rule")
    ));
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

fn counted(n: usize, word: &str) -> String {
    if n == 1 {
        format!("1 {word}")
    } else {
        format!("{n} {word}s")
    }
}

fn entry(props: &Props, index: usize, finding: &Finding) -> Html {
    let on_go = {
        let on_go = props.on_go.clone();
        Callback::from(move |_: MouseEvent| on_go.emit(index))
    };
    let on_explain = {
        let (on_explain, code) = (props.on_explain.clone(), finding.code);
        Callback::from(move |_: MouseEvent| on_explain.emit(code))
    };
    let meta = rules::rule(finding.code).map(|rule| rule.meta());
    let source = meta.and_then(|meta| meta.sources.get(finding.source?));
    let is_current = props.current == Some(index);
    html! {
        <li key={index} class={classes!("finding", is_current.then_some("is-current"))}>
            <button type="button" class="go" onclick={on_go} aria-current={is_current.then_some("true")}>
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
                if !finding.help.is_empty() {
                    <p>{ finding.help.clone() }</p>
                }
                <p class="row">
                    if let Some(source) = source {
                        <span>{ format!("Source: {} ({})", source.title(), source.known.name()) }</span>
                    }
                    if finding.is_unverified {
                        <span class="tag">{ "unverified limit" }</span>
                    }
                    if finding.depends_on_reading {
                        <span class="tag">{ "depends on reading" }</span>
                    }
                    if !finding.counts() {
                        <span class="tag">{ "waived" }</span>
                    }
                    <button type="button" class="plain" onclick={on_explain} aria-label={format!("Explain {}", finding.code)}>{ "Explain" }</button>
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

/// Properties of [`Outcomes`].
#[derive(Properties)]
pub(crate) struct OutcomeProps {
    /// What judging gave.
    pub(crate) report: Rc<Report>,
    /// Explains a rule.
    pub(crate) on_explain: Callback<RuleCode>,
}

impl PartialEq for OutcomeProps {
    fn eq(&self, other: &Self) -> bool {
        Rc::ptr_eq(&self.report, &other.report) && self.on_explain == other.on_explain
    }
}

/// What every rule came to; silence is never a pass.
#[component]
pub(crate) fn Outcomes(props: &OutcomeProps) -> Html {
    html! {
        <details class="panel outcomes">
            <summary><h2 class="inline">{ outcome_summary(&props.report) }</h2></summary>
            <table>
                <caption>{ "What each rule came to in the judged states" }</caption>
                <thead><tr><th scope="col">{ "Rule" }</th><th scope="col">{ "Outcome" }</th></tr></thead>
                <tbody>{ for props.report.outcomes.iter().map(|outcome| outcome_row(props, outcome)) }</tbody>
            </table>
        </details>
    }
}

fn outcome_summary(report: &Report) -> String {
    let count = |wanted: fn(&Verdict) -> bool| {
        report
            .outcomes
            .iter()
            .filter(|outcome| wanted(&outcome.verdict))
            .count()
    };
    format!(
        "Outcomes: {} passed, {} failed, {} not applicable, {} not evaluated",
        count(|verdict| matches!(verdict, Verdict::Passed { .. })),
        count(|verdict| matches!(verdict, Verdict::Failed { .. })),
        count(|verdict| matches!(verdict, Verdict::NotApplicable { .. })),
        count(|verdict| matches!(verdict, Verdict::NotEvaluated { .. })),
    )
}

fn outcome_row(props: &OutcomeProps, outcome: &Outcome) -> Html {
    let name = rules::rule(outcome.code).map_or("", |rule| rule.meta().name);
    let on_explain = {
        let (on_explain, code) = (props.on_explain.clone(), outcome.code);
        Callback::from(move |_: MouseEvent| on_explain.emit(code))
    };
    let (class, detail) = match &outcome.verdict {
        Verdict::Passed { margin } if margin.is_empty() => ("passed", String::new()),
        Verdict::Passed { margin } => ("passed", format!("margin {margin}")),
        Verdict::Failed {
            n_findings,
            n_waived: 0,
        } => ("error", counted(*n_findings, "finding")),
        Verdict::Failed {
            n_findings,
            n_waived,
        } => (
            "error",
            format!("{}, {n_waived} waived", counted(*n_findings, "finding")),
        ),
        Verdict::NotApplicable { why } | Verdict::NotEvaluated { why } => ("info", why.clone()),
    };
    html! {
        <tr key={outcome.code.to_string()}>
            <td>
                <button type="button" class="plain" onclick={on_explain} aria-label={format!("Explain {} {name}", outcome.code)}>
                    <span class="code">{ outcome.code.to_string() }</span>
                </button>
                <span>{ name }</span>
            </td>
            <td>
                <span class={classes!("severity", class)}>{ outcome.verdict.name() }</span>
                if outcome.is_unverified {
                    { " " }<span class="tag">{ "unverified limit" }</span>
                }
                if !detail.is_empty() {
                    <br/>{ detail }
                }
                if !outcome.note.is_empty() {
                    <br/><span class="quiet">{ outcome.note.clone() }</span>
                }
            </td>
        </tr>
    }
}
