//! Judging a program: every chosen rule on the default state and every situation, put together into one report.
//!
//! Invariant: pure and deterministic; every known rule gets an outcome.
//! Absent: the states without a name, see [`states`](crate::states).

use crate::judging::Judging;
use crate::light::DirectionTable;
use crate::report::{
    Finding, FoundIn, NOT_IN_PROFILE, Outcome, Report, ScreenedState, Verdict, WorstDirection,
};
use crate::rules::{
    CheckSettings, Context, Judgment, Margin, Options, RULES, Rule, RuleGroup, Whole, labelled,
    profile_problems, rule,
};
use crate::screening::{Band, cautions};
use lampwright_model::{Program, RuleCode, State, Waiver};
use std::cmp::Reverse;

/// Judges the default state and every situation of a program.
#[must_use]
pub fn check(program: &Program) -> Report {
    check_with(program, &CheckSettings::default())
}

/// The same with chosen settings.
#[must_use]
pub fn check_with(program: &Program, settings: &CheckSettings) -> Report {
    let table = DirectionTable::new(&program.vehicle, settings.light);
    let mut judging = Judging::of_program(program, *settings);
    while judging.step(program, &table) {}
    judging
        .finish()
        .map_or_else(Report::default, |(_, report)| report)
}

/// The default state and every situation, resolved, measured and screened once each.
#[must_use]
pub fn contexts<'a>(program: &'a Program, settings: &CheckSettings) -> Vec<Context<'a>> {
    let table = DirectionTable::new(&program.vehicle, settings.light);
    judged_states(program)
        .map(|(found_in, state)| Context::of(program, found_in, &state, &table, settings))
        .collect()
}

/// The default state and every situation.
pub(crate) fn judged_states(program: &Program) -> impl Iterator<Item = (FoundIn, State)> {
    let default = (FoundIn::DefaultState, State::default_of(program));
    let situations = program.situations.iter().map(|situation| {
        (
            FoundIn::Situation(situation.id.clone()),
            State::of_situation(program, situation),
        )
    });
    std::iter::once(default).chain(situations)
}

/// Judges one state for live feedback; rules of the whole program say that they were not evaluated.
///
/// `table` is that of the program's vehicle, made once and kept while the vehicle stays.
#[must_use]
pub fn check_state<'a>(
    program: &'a Program,
    found_in: FoundIn,
    state: &State,
    table: &DirectionTable,
    settings: &CheckSettings,
) -> (Context<'a>, Report) {
    let context = Context::of(program, found_in, state, table, settings);
    let report = judge(program, std::slice::from_ref(&context), false, settings);
    (context, report)
}

/// Runs the chosen rules over states that are already measured.
#[must_use]
pub fn judge(
    program: &Program,
    contexts: &[Context<'_>],
    is_complete: bool,
    settings: &CheckSettings,
) -> Report {
    let mut run = Run::new(program, contexts, is_complete, settings);
    while run.step(program, contexts) {}
    run.finish()
}

const UNUSED_WAIVER: RuleCode = RuleCode(40);

/// The chosen rules run one after the other, all over the same states.
#[derive(Debug)]
pub(crate) struct Run {
    is_complete: bool,
    waivers_used: Vec<bool>,
    rules_run: Vec<RuleCode>,
    n_steps: usize,
    report: Report,
}

impl Run {
    pub(crate) fn new(
        program: &Program,
        contexts: &[Context<'_>],
        is_complete: bool,
        settings: &CheckSettings,
    ) -> Self {
        Self {
            is_complete,
            waivers_used: vec![false; program.waivers.len()],
            rules_run: Vec::new(),
            n_steps: 0,
            report: Report {
                judged: contexts
                    .iter()
                    .map(|context| context.found_in.clone())
                    .collect(),
                screened: contexts.iter().map(screened_state).collect(),
                profile_problems: profile_problems(&program.profile, |code| {
                    rule(code).map(Rule::meta)
                }),
                n_rules_chosen: program
                    .profile
                    .rules
                    .iter()
                    .filter(|choice| rule(choice.code).is_some())
                    .count(),
                screening_changes: settings
                    .screen
                    .core
                    .changes()
                    .into_iter()
                    .map(|change| {
                        format!(
                            "{} {}, default {}",
                            change.name, change.value, change.default
                        )
                    })
                    .collect(),
                ..Report::default()
            },
        }
    }

    /// Runs the next rule; false when there is none left.
    pub(crate) fn step(&mut self, program: &Program, contexts: &[Context<'_>]) -> bool {
        // A rule about waivers has to see which of them were used, so it runs last.
        let is_last = |rule: &&dyn Rule| rule.meta().code == UNUSED_WAIVER;
        let first = RULES.iter().copied().filter(|rule| !is_last(rule));
        let last = RULES.iter().copied().filter(is_last);
        let Some(rule) = first.chain(last).nth(self.n_steps) else {
            return false;
        };
        self.n_steps += 1;
        self.rule(rule, program, contexts);
        true
    }

    fn rule(&mut self, rule: &'static dyn Rule, program: &Program, contexts: &[Context<'_>]) {
        let meta = rule.meta();
        let Some(options) = Options::of(program, meta) else {
            self.report.outcomes.push(Outcome {
                code: meta.code,
                verdict: Verdict::NotEvaluated {
                    why: NOT_IN_PROFILE.into(),
                },
                note: String::new(),
                is_unverified: false,
                n_states: 0,
            });
            return;
        };
        let looked_at: Vec<&Context<'_>> = contexts
            .iter()
            .filter(|context| options.looks_at_state(program, &context.drive.state))
            .collect();
        let whole = Whole {
            program,
            contexts: &looked_at,
            is_complete: self.is_complete,
            waivers_used: &self.waivers_used,
            rules_run: &self.rules_run,
        };
        let n_looked_at = looked_at.len();
        let mut is_of_whole = false;
        let judgments = match rule.judge_whole(&whole, &options) {
            _ if looked_at.is_empty() => vec![(
                FoundIn::Program,
                Judgment::not_applicable("no judged state is one the profile puts under this rule"),
            )],
            Some(judgment) => {
                is_of_whole = true;
                vec![(FoundIn::Program, judgment)]
            }
            None => looked_at
                .iter()
                .map(|context| (context.found_in.clone(), rule.judge(context, &options)))
                .collect(),
        };
        let mut summary = Summary::default();
        if looked_at.len() < contexts.len() {
            summary.notes.push(format!(
                "looks at {} of {} judged states, by the profile",
                looked_at.len(),
                contexts.len()
            ));
        }
        for (found_in, judgment) in judgments {
            summary.add(found_in, judgment);
        }
        for finding in &mut summary.findings {
            finding.message = labelled(&program.vehicle, &finding.message);
            finding.waived_by = waiver_of(&program.waivers, finding);
            if let Some(used) = finding
                .waived_by
                .and_then(|index| self.waivers_used.get_mut(index))
            {
                *used = true;
            }
        }
        self.rules_run.push(meta.code);
        let is_unverified = (0..meta.sources.len()).any(|source| options.is_unverified(source));
        if is_of_whole && summary.n_checked > 0 {
            summary.n_checked = n_looked_at;
        }
        self.report
            .outcomes
            .push(summary.outcome(meta.code, is_unverified));
        self.report.findings.extend(summary.findings);
    }

    pub(crate) fn finish(mut self) -> Report {
        lampwright_timing::sort_by(&mut self.report.outcomes, |one, other| {
            one.code.cmp(&other.code)
        });
        lampwright_timing::sort_by(&mut self.report.findings, |one, other| {
            let key = |finding: &Finding| {
                (
                    Reverse(finding.severity),
                    finding.code,
                    finding.place.clone(),
                )
            };
            let state = |finding: &Finding| {
                self.report
                    .judged
                    .iter()
                    .position(|judged| *judged == finding.found_in)
            };
            key(one)
                .cmp(&key(other))
                .then_with(|| state(one).cmp(&state(other)))
                .then_with(|| one.message.cmp(&other.message))
        });
        self.report.cautions = cautions_for(&self.report, &self.rules_run);
        self.report
    }
}

/// The judgments of one rule over all states.
#[derive(Default)]
struct Summary {
    findings: Vec<Finding>,
    tightest: Option<Margin>,
    notes: Vec<String>,
    n_checked: usize,
    not_applicable: Option<String>,
    not_evaluated: Vec<String>,
}

impl Summary {
    fn add(&mut self, found_in: FoundIn, judgment: Judgment) {
        match judgment {
            Judgment::NotApplicable(why) => {
                self.not_applicable.get_or_insert(why);
            }
            Judgment::NotEvaluated(why) => {
                if !self.not_evaluated.contains(&why) {
                    self.not_evaluated.push(why);
                }
            }
            Judgment::Checked {
                findings,
                tightest,
                note,
            } => {
                self.n_checked += 1;
                self.tightest = Margin::tighter(self.tightest.take(), tightest);
                if !note.is_empty() && !self.notes.contains(&note) {
                    self.notes.push(note);
                }
                for finding in findings {
                    self.put(&found_in, finding);
                }
            }
        }
    }

    /// Findings that differ in nothing but the state are one.
    fn put(&mut self, found_in: &FoundIn, mut finding: Finding) {
        finding.found_in = found_in.clone();
        let same = self.findings.iter_mut().find(|known| {
            let mut with_its_states = finding.clone();
            with_its_states.found_in = known.found_in.clone();
            with_its_states.also_in.clone_from(&known.also_in);
            with_its_states == **known
        });
        match same {
            Some(known) if known.found_in == *found_in => {}
            Some(known) => known.also_in.push(found_in.clone()),
            None => self.findings.push(finding),
        }
    }

    fn outcome(&self, code: RuleCode, is_unverified: bool) -> Outcome {
        let mut note = self.notes.join("; ");
        let n_waived = self
            .findings
            .iter()
            .filter(|finding| finding.waived_by.is_some())
            .count();
        let verdict = if self.n_checked > 0 && !self.findings.is_empty() {
            Verdict::Failed {
                n_findings: self.findings.len() - n_waived,
                n_waived,
            }
        } else if !self.not_evaluated.is_empty() {
            Verdict::NotEvaluated {
                why: self.not_evaluated.join("; "),
            }
        } else if self.n_checked > 0 {
            Verdict::Passed {
                margin: self
                    .tightest
                    .as_ref()
                    .map(|margin| margin.text.clone())
                    .unwrap_or_default(),
            }
        } else {
            Verdict::NotApplicable {
                why: self
                    .not_applicable
                    .clone()
                    .unwrap_or_else(|| "no state was judged".into()),
            }
        };
        if matches!(verdict, Verdict::Failed { .. }) {
            for why in &self.not_evaluated {
                if !note.is_empty() {
                    note.push_str("; ");
                }
                note.push_str("partly not evaluated: ");
                note.push_str(why);
            }
        }
        let is_looked_at = matches!(verdict, Verdict::Passed { .. } | Verdict::Failed { .. });
        Outcome {
            code,
            verdict,
            note,
            is_unverified: is_unverified && is_looked_at,
            n_states: self.n_checked,
        }
    }
}

/// The first waiver of the finding's rule whose place is its place, or that has none.
fn waiver_of(waivers: &[Waiver], finding: &Finding) -> Option<usize> {
    let place = finding.place.to_string();
    waivers.iter().position(|waiver| {
        waiver.rule == finding.code && waiver.place.as_ref().is_none_or(|named| *named == place)
    })
}

fn screened_state(context: &Context<'_>) -> ScreenedState {
    let directions = &context.screened.directions;
    let worst = directions
        .iter()
        .filter_map(|direction| {
            let result = direction.result.as_ref().as_ref().ok()?;
            Some(WorstDirection {
                azimuth_degrees: direction.azimuth_degrees,
                n: result.n(),
                n_red: result.n_red(),
                band: result.band()?,
                is_bound: result.bound.is_some(),
            })
        })
        .max_by_key(|worst| {
            (
                worst.band.rank(),
                worst.n,
                worst.n_red,
                Reverse(worst.azimuth_degrees),
            )
        });
    ScreenedState {
        found_in: context.found_in.clone(),
        worst,
        n_not_screened: directions
            .iter()
            .filter(|direction| direction.result.is_err())
            .count(),
        n_directions: directions.len(),
    }
}

/// Who fits the wiring.
pub const WIRING_CAUTION: &str =
    "Currents depend on the lamp data entered; a qualified installer fits and fuses the wiring.";

fn cautions_for(report: &Report, rules_run: &[RuleCode]) -> Vec<&'static str> {
    let mut texts = Vec::new();
    let worst: Vec<WorstDirection> = report
        .screened
        .iter()
        .filter_map(|state| state.worst)
        .collect();
    if !worst.is_empty() {
        texts.extend(cautions::STANDING);
        texts.extend([
            cautions::ANALOGY,
            cautions::NOT_PROOF,
            cautions::REGULATIONS,
        ]);
        if worst.iter().any(|worst| worst.band != Band::Low) {
            texts.push(cautions::FIVE_SECONDS);
        }
        if worst.iter().any(|worst| worst.is_bound) {
            texts.push(cautions::PHASES_UNKNOWN);
        }
        texts.push(cautions::PROPOSALS);
    }
    let is_power =
        |code: &RuleCode| rule(*code).is_some_and(|rule| rule.meta().group == RuleGroup::Power);
    if rules_run.iter().any(is_power) {
        texts.push(WIRING_CAUTION);
    }
    texts
}
