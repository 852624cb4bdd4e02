//! Findings by severity, the waived ones apart.

use super::repair::remove_waiver;
use crate::store::use_dispatch;
use crate::tag::{Tag, link, said, tag, text};
use lampwright_analysis::report::{Finding, FoundIn, Report};
use lampwright_analysis::{Standing, alike, others_named};
use lampwright_model::{Profile, Program, RuleCode, Severity};
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
        // What is called does the same for the same report.
        Rc::ptr_eq(&self.program, &other.program)
            && Rc::ptr_eq(&self.report, &other.report)
            && Rc::ptr_eq(&self.fixable, &other.fixable)
            && self.current == other.current
    }
}

/// All findings, the gravest first, each one press from its place.
#[component]
pub(crate) fn Findings(props: &Props) -> Html {
    let report = &props.report;
    let dispatch = use_dispatch();
    let lists = use_memo(Judgment(report.clone()), |judgment| {
        alike(&judgment.0.findings)
    });
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
        let label = format!("Remove waiver of {}", finding.code);
        Some(tag("p", "row").tag(text("span", "", words)).tag(said_link(
            "Remove waiver",
            label,
            remove,
        )))
    };
    let n_states = counted(report.judged.len(), "state");
    let words = format!("{n_states}. {}", judged_by(&props.program.profile));
    let mut panel = tag("section", "panel findings")
        .with("id", "findings")
        .with("tabindex", "-1")
        .with("aria-labelledby", "findings-title")
        .tag(said("h2", "", "Findings").with("id", "findings-title"))
        .tag(text("p", "quiet", words))
        .maybe(
            report
                .findings
                .is_empty()
                .then(|| said("p", "", nothing_found(report))),
        );
    for severity in [Severity::Error, Severity::Warning, Severity::Info] {
        let (mut list, mut n_found) = (tag("ul", ""), 0);
        for indices in lists.iter() {
            let finding = |index: &usize| Some((*index, report.findings.get(*index)?));
            let mut found = indices.iter().filter_map(finding);
            if let Some((index, first)) = found.next()
                && first.severity == severity
                && first.counts()
            {
                let others: Vec<_> = found.collect();
                n_found += 1 + others.len();
                list = list.tag(entry(props, index, first, None));
                list = list.maybe(alike_others(props, index, &others));
            }
        }
        let title = text("span", "", heading(severity, n_found))
            .with_text("class", format!("severity {}", severity.name()));
        panel = panel.maybe((n_found > 0).then(|| {
            tag("section", "")
                .with_text("aria-label", format!("{} findings", severity.name()))
                .tag(tag("h3", "").tag(title))
                .tag(list)
        }));
    }
    if !waived.is_empty() {
        let title = format!("Waived ({})", waived.len());
        let list = waived
            .iter()
            .map(|(index, finding)| entry(props, *index, finding, on_remove(finding)));
        panel = panel.tag(
            tag("section", "")
                .with("aria-label", "Waived findings")
                .tag(text("h3", "", title))
                .tag(tag("ul", "").tags(list)),
        );
    }
    if !report.profile_problems.is_empty() {
        let problems = report
            .profile_problems
            .iter()
            .map(|problem| text("li", "", problem.to_string()));
        panel = panel
            .tag(said("h3", "", "The profile asks for what no rule offers"))
            .tag(tag("ul", "").tags(problems));
    }
    panel.done()
}

/// A report compared by identity.
struct Judgment(Rc<Report>);

impl PartialEq for Judgment {
    fn eq(&self, other: &Self) -> bool {
        Rc::ptr_eq(&self.0, &other.0)
    }
}

/// Findings that say the same as one before, folded away under their names.
fn alike_others(props: &Props, first: usize, others: &[(usize, &Finding)]) -> Option<Tag> {
    let findings: Vec<&Finding> = others.iter().map(|(_, finding)| *finding).collect();
    let names = others_named(&props.program.vehicle, &findings);
    let is_current = others
        .iter()
        .any(|(index, _)| props.current == Some(*index));
    let list = others
        .iter()
        .map(|(index, finding)| entry(props, *index, finding, None));
    (!others.is_empty()).then(|| {
        let details = tag("details", "")
            .flag("open", is_current)
            .tag(text("summary", "", format!("The same of {names}")))
            .tag(tag("ul", "").tags(list));
        tag("li", "alike")
            .key(format!("alike {first}"))
            .tag(details)
    })
}

/// "2 errors, 1 warning, 0 infos, 1 waived".
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
        counted(count(Severity::Info), "info"),
    );
    if waived > 0 {
        text.push_str(&format!(", {waived} waived"));
    }
    text
}

/// Which profile judges: "Judged by 18 rules of the profile Starting set of general rules".
pub(crate) fn judged_by(profile: &Profile) -> String {
    let n_rules = counted(profile.rules.len(), "rule");
    match profile.title.as_str() {
        _ if profile.rules.is_empty() => "The profile chooses no rule to judge by".into(),
        "" => format!("Judged by {n_rules} of a profile without a name"),
        title => format!("Judged by {n_rules} of the profile {title}"),
    }
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
        Severity::Info => format!("● Infos ({n_found})"),
    }
}

pub(crate) fn counted(n: usize, word: &str) -> String {
    if n == 1 {
        format!("1 {word}")
    } else {
        format!("{n} {word}s")
    }
}

fn entry(props: &Props, index: usize, finding: &Finding, waiver: Option<Tag>) -> Tag {
    let press = |callback: &Callback<usize>| callback.reform(move |_: MouseEvent| index);
    let is_fixable = finding.counts() && props.fixable.get(index) == Some(&true);
    let code = finding.code;
    let on_explain = props.on_explain.reform(move |_: MouseEvent| code);
    let is_current = props.current == Some(index);
    let go = tag("button", "go")
        .with("type", "button")
        .with_if(is_current, "aria-current", "true")
        .on_click(press(&props.on_go))
        .tag(text("span", "code", code.to_string()))
        .say(" ")
        .tag(text("span", "", finding.message.clone()))
        .tag(tag("br", ""))
        .tag(text("span", "quiet", place_text(&props.program, finding)));
    let mut more = tag("div", "more");
    if let Some(measured) = finding.measured {
        let ends = finding.limit.map(|limit| limit.ends()).unwrap_or_default();
        let words = format!("measured {}", measured.text_apart_from(&ends));
        more = more.tag(text("span", "number", words));
    }
    if let Some(limit) = finding.limit {
        more = more.text(format!("; limit {}", limit.text()));
    }
    if let Some(margin) = finding.margin {
        more = more.tag(text("span", "number", format!("; margin {margin}")));
    }
    if !finding.help.is_empty() {
        more = more.tag(text("p", "", finding.help.clone()));
    }
    let mut known = tag("p", "row");
    if let Some(standing) = Standing::of(&props.program, finding) {
        known = known.tag(text("span", "", format!("Source: {}", standing.text())));
    }
    for (is_set, words) in [
        (finding.is_unverified, "unverified"),
        (finding.depends_on_reading, "depends on reading"),
    ] {
        if is_set {
            known = known.tag(said("span", "tag", words));
        }
    }
    let place = &finding.place;
    let more = more.tag(known).maybe(waiver).tag(
        tag("p", "row")
            .tag(said_link("Explain", format!("Explain {code}"), on_explain))
            .tag(said_link(
                "Go to",
                format!("Go to {place}"),
                press(&props.on_go),
            ))
            .maybe(is_fixable.then(|| {
                let label = format!("Fix {code} at {place}");
                said_link("Fix…", label, press(&props.on_fix))
            }))
            .maybe(finding.counts().then(|| {
                let label = format!("Waive {code} at {place}");
                said_link("Waive…", label, press(&props.on_waive))
            })),
    );
    let class = if is_current {
        "finding is-current"
    } else {
        "finding"
    };
    tag("li", class).key(index.to_string()).tag(go).tag(more)
}

/// A button in a text, with a longer name where it is spoken.
fn said_link(words: &'static str, label: String, on_click: Callback<MouseEvent>) -> Tag {
    link(words.into(), on_click).with_text("aria-label", label)
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
