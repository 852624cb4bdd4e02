//! The profile against the program: for every known rule whether it was chosen, where it ran, what it came to, and on what its limits rest.
//!
//! Invariant: one row per known rule, by code, so that what was left out is seen as well.
//! Absent: judging, which made the report, and wording beyond numbers with units.

use crate::quantity::{Quantity, Unit};
use crate::report::{Outcome, Report};
use crate::rules::{Known, Options, Parameter, RULES, RuleMeta, Source};
use lampwright_model::{Confirmation, Program, Severity};

/// One rule of the book against one program.
#[derive(Clone, Debug)]
pub struct Coverage<'a> {
    /// The rule.
    pub meta: &'static RuleMeta,
    /// Whether the profile lists it.
    pub is_chosen: bool,
    /// Whether it runs: listed, or run whatever the profile says.
    pub is_run: bool,
    /// Whether the profile narrows the states, heads or patterns it looks at.
    pub is_narrowed: bool,
    /// Severity of its findings, before what is unverified is lowered.
    pub severity: Severity,
    /// What it came to; none only for a report of another program.
    pub outcome: Option<&'a Outcome>,
    /// How many states were judged.
    pub n_judged: usize,
    /// Its limits as they were used.
    pub limits: Vec<UsedLimit>,
    /// Sources that no limit of the profile's rests on, such as a definition.
    pub other_sources: Vec<&'static Source>,
    /// The agency's confirmation.
    pub confirmed: Option<&'a Confirmation>,
}

/// A limit as it was used.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct UsedLimit {
    /// Name in a profile.
    pub name: &'static str,
    /// What it is.
    pub label: &'static str,
    /// Its value in thousandths of the unit.
    pub thousandths: i64,
    /// The rule's own value in thousandths of the unit.
    pub own_thousandths: i64,
    /// Its unit; empty when it has none.
    pub unit: &'static str,
    /// Whether the profile set it in place of the rule's own.
    pub is_set: bool,
    /// Where it comes from; the profile's word when it set another value.
    pub source: Option<&'static Source>,
    /// How it is known.
    pub known: Option<Known>,
    /// Whether it needs the agency's confirmation and lacks it.
    pub is_unverified: bool,
}

impl UsedLimit {
    /// A parameter of a rule as a profile has it; with the rule's own figure when the rule is not run.
    #[must_use]
    pub fn of(
        meta: &'static RuleMeta,
        parameter: &'static Parameter,
        options: Option<&Options<'_>>,
    ) -> Self {
        let thousandths = options.map_or(parameter.default, |options| {
            options.thousandths(parameter.name)
        });
        let source = meta.sources.get(parameter.source);
        Self {
            name: parameter.name,
            label: parameter.label,
            thousandths,
            own_thousandths: parameter.default,
            unit: parameter.unit,
            is_set: thousandths != parameter.default,
            source,
            known: source.map(|source| source.known),
            is_unverified: options.map_or_else(
                || source.is_some_and(|source| source.known.needs_confirmation()),
                |options| options.is_unverified(parameter.source),
            ),
        }
    }

    /// "4 Hz", "160 ms".
    #[must_use]
    pub fn value_text(&self) -> String {
        self.in_unit(self.thousandths)
    }

    /// The same of the rule's own value.
    #[must_use]
    pub fn own_text(&self) -> String {
        self.in_unit(self.own_thousandths)
    }

    fn in_unit(&self, thousandths: i64) -> String {
        let number = Quantity::thousandths(thousandths, Unit::Count);
        if self.unit.is_empty() {
            number.to_string()
        } else {
            format!("{number} {}", self.unit)
        }
    }
}

/// One row per known rule.
#[must_use]
pub fn coverage<'a>(program: &'a Program, report: &'a Report) -> Vec<Coverage<'a>> {
    RULES
        .iter()
        .map(|rule| {
            let meta = rule.meta();
            let choice = program
                .profile
                .rules
                .iter()
                .find(|choice| choice.code == meta.code);
            let options = Options::of(program, meta);
            let limits: Vec<UsedLimit> = meta
                .parameters
                .iter()
                .map(|parameter| UsedLimit::of(meta, parameter, options.as_ref()))
                .collect();
            Coverage {
                meta,
                is_chosen: choice.is_some(),
                is_run: options.is_some(),
                is_narrowed: options.as_ref().is_some_and(Options::is_narrowed),
                severity: choice
                    .and_then(|choice| choice.severity)
                    .unwrap_or(meta.severity),
                outcome: report.outcome(meta.code),
                n_judged: report.judged.len(),
                other_sources: meta
                    .sources
                    .iter()
                    .enumerate()
                    .filter(|(index, _)| {
                        meta.parameters
                            .iter()
                            .all(|parameter| parameter.source != *index)
                    })
                    .map(|(_, source)| source)
                    .collect(),
                limits,
                confirmed: choice.and_then(|choice| choice.confirmed.as_ref()),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check;
    use crate::report::Verdict;
    use crate::rules::sketch;
    use lampwright_model::RuleCode;

    fn row<'a>(rows: &'a [Coverage<'_>], code: u16) -> &'a Coverage<'a> {
        rows.iter()
            .find(|row| row.meta.code == RuleCode(code))
            .unwrap()
    }

    #[test]
    fn every_rule_has_a_row_with_what_was_used() {
        let program = sketch::program(
            RuleCode(1),
            "head a front red\nlane a period 500 ms: 0-100\nrule LW001 most_hz=3 confirmed",
        );
        let report = check(&program);
        let rows = coverage(&program, &report);
        assert_eq!(rows.len(), RULES.len());
        let chosen = row(&rows, 1);
        assert!(chosen.is_chosen && chosen.confirmed.is_some());
        let outcome = chosen.outcome.unwrap();
        assert!(matches!(outcome.verdict, Verdict::Passed { .. }));
        assert_eq!((outcome.n_states, chosen.n_judged), (1, 1));
        let most = chosen.limits.iter().find(|limit| limit.name == "most_hz");
        assert_eq!(most.unwrap().value_text(), "3 Hz");
        assert!(most.unwrap().is_set);
        assert!(chosen.limits.iter().all(|limit| !limit.is_unverified));
        let left_out = row(&rows, 2);
        assert!(!left_out.is_chosen && !left_out.is_run);
        assert_eq!(left_out.outcome.unwrap().n_states, 0);
        let always = row(&rows, 41);
        assert!(always.is_run || !always.meta.is_always_run);
    }
}
