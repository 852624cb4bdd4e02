//! A fix that is offered takes its finding away, whatever the program; the fixed program is a program.

#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use lampwright_analysis::fix::{MOST_FIXES, fixes};
use lampwright_analysis::report::{Finding, Report};
use lampwright_analysis::rules::CheckSettings;
use lampwright_analysis::{check, check_with};
use lampwright_formats::{read_program, write_program};
use lampwright_model::Program;
use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use std::fmt::Write as _;

/// How many fixes were offered for the first finding of each of these rules; each was applied anew and judged anew.
fn offered(program: &Program, codes: &[u16]) -> Result<usize, TestCaseError> {
    let report = check(program);
    let mut n_offered = 0;
    let first_of = |code: &u16| report.findings.iter().find(|found| found.code.0 == *code);
    for finding in codes.iter().filter_map(first_of) {
        let tried = fixes(program, &report, finding, &CheckSettings::default());
        prop_assert!(tried.len() <= MOST_FIXES);
        for tried in tried {
            n_offered += 1;
            let fixed = program.apply(&tried.fix.edit).unwrap();
            let text = write_program(&fixed);
            let again = read_program(text.as_bytes());
            prop_assert_eq!(again.program.as_ref(), Some(&fixed));
            let after = check_with(&fixed, &CheckSettings::default());
            let label = &tried.fix.label;
            prop_assert!(!has(&after, finding), "{}", label);
            let n_worse = after
                .findings
                .iter()
                .filter(|found| {
                    found.counts()
                        && found.severity >= finding.severity
                        && !report
                            .findings
                            .iter()
                            .any(|known| known.code == found.code && known.place == found.place)
                })
                .count();
            prop_assert_eq!(n_worse, 0, "{}", label);
        }
    }
    Ok(n_offered)
}

/// Whether the report still says the same of the same place.
fn has(report: &Report, finding: &Finding) -> bool {
    report.findings.iter().any(|other| {
        other.code == finding.code
            && other.place == finding.place
            && other.lane == finding.lane
            && other.message == finding.message
    })
}

#[test]
fn every_fix_of_the_faulty_program_mends_its_finding() {
    let text = include_bytes!("../../patterns/faulty-breakdown-truck.json");
    let program = read_program(text).program.unwrap();
    assert!(offered(&program, &[1, 11, 30, 31, 40, 41]).unwrap() >= 6);
}

/// Two heads, one lane of one to three pulses each, judged by rate, gap, alternation and output rules.
fn program() -> impl Strategy<Value = Program> {
    let lane = (
        150_i64..2500,
        prop::collection::vec((1_i64..200, 1_i64..200), 1..4),
    );
    (lane.clone(), lane, 1_u32..40, any::<bool>()).prop_map(|(left, right, rating, same)| {
        let right = if same { left.clone() } else { right };
        let mut patterns = String::new();
        for (index, (least_period, pulses)) in [left, right].iter().enumerate() {
            let mut at = 0;
            let mut list = Vec::new();
            for (length, gap) in pulses {
                list.push(format!(r#"{{"start_ms": {at}, "length_ms": {length}}}"#));
                at += length + gap;
            }
            let _ = write!(
                patterns,
                r#"{}{{"id": "p{index}", "period_ms": {}, "tick_ms": 1, "lanes": [{{"role": "all", "pulses": [{}]}}]}}"#,
                if index == 0 { "" } else { "," },
                at.max(*least_period),
                list.join(",")
            );
        }
        let text = format!(
            r#"{{"format": "lampwright-program", "version": 1,
  "vehicle": {{"outputs": [{{"id": "o", "rating_a": 0.{rating:02}}}], "heads": [
    {{"id": "l", "x_m": 2, "y_m": 0.5, "z_m": 1, "facing_deg": 0, "emitters": [{{"color": "red", "full_current_a": 0.2, "output": "o"}}]}},
    {{"id": "r", "x_m": 2, "y_m": -0.5, "z_m": 1, "facing_deg": 0, "emitters": [{{"color": "red"}}]}}]}},
  "patterns": [{patterns}],
  "layers": [
    {{"id": "a", "play": {{"pattern": "p0", "bindings": [{{"lane": "all", "heads": ["head:l"]}}]}}}},
    {{"id": "b", "play": {{"pattern": "p1", "bindings": [{{"lane": "all", "heads": ["head:r"]}}]}}}}],
  "guarantees": [{{"id": "g", "heads": ["all"], "must": "alternate"}}],
  "profile": {{"title": "t", "rules": [{{"code": "LW001"}}, {{"code": "LW003"}}, {{"code": "LW011"}}, {{"code": "LW030"}}]}}}}"#
        );
        let outcome = read_program(text.as_bytes());
        assert_eq!(outcome.problems, [], "{text}");
        outcome.program.unwrap()
    })
}

#[test]
fn a_fix_that_is_offered_takes_its_finding_away() {
    let mut runner = TestRunner::new(ProptestConfig::with_cases(24));
    let n_offered = std::cell::Cell::new(0);
    runner
        .run(&program(), |program| {
            n_offered.set(n_offered.get() + offered(&program, &[1, 3, 11, 30])?);
            Ok(())
        })
        .unwrap();
    assert!(n_offered.get() > 0, "no program was offered a fix");
}
