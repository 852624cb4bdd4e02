//! The examples on the rules' pages are run, so that no page says what its rule does not do.

use super::{RULES, sketch};
use crate::report::{Report, Verdict};
use lampwright_model::{Action, Program, RuleCode};
use lampwright_timing::Micros;

/// The fenced blocks of a page as `(words after the fence, text)`.
fn examples(page: &str) -> Vec<(Vec<&str>, String)> {
    let mut found = Vec::new();
    let mut lines = page.lines();
    while let Some(line) = lines.next() {
        if let Some(info) = line.strip_prefix("```") {
            let text: Vec<&str> = lines.by_ref().take_while(|line| *line != "```").collect();
            found.push((info.split_whitespace().collect(), text.join("\n")));
        }
    }
    found
}

fn verdict(report: &Report, code: RuleCode) -> &Verdict {
    &report.outcome(code).unwrap().verdict
}

#[test]
fn every_page_has_a_failing_and_a_passing_example_and_both_are_true() {
    for rule in RULES {
        let meta = rule.meta();
        let (mut n_fails, mut n_passes) = (0, 0);
        for (info, text) in examples(meta.page) {
            let report = sketch::report(meta.code, &text);
            let verdict = verdict(&report, meta.code);
            let of_rule = || {
                report
                    .findings
                    .iter()
                    .filter(|finding| finding.code == meta.code)
            };
            match info.first() {
                Some(&"fails") => {
                    n_fails += 1;
                    assert!(
                        matches!(
                            verdict,
                            Verdict::Failed {
                                n_findings: 1..,
                                ..
                            }
                        ),
                        "{}: {verdict:?}\n{text}",
                        meta.code
                    );
                    assert_eq!(
                        of_rule().all(|finding| finding.is_unverified),
                        info.contains(&"unverified"),
                        "{}\n{text}",
                        meta.code
                    );
                }
                Some(&"passes") => {
                    n_passes += 1;
                    assert!(
                        matches!(verdict, Verdict::Passed { .. }),
                        "{}: {verdict:?}\n{text}",
                        meta.code
                    );
                }
                // What a rule says of that for which no limit is known.
                Some(&"unjudged") => {
                    n_fails += 1;
                    assert!(
                        matches!(verdict, Verdict::NotEvaluated { .. }),
                        "{}: {verdict:?}\n{text}",
                        meta.code
                    );
                }
                other => panic!(
                    "{}: an example fails, passes or is unjudged, not {other:?}",
                    meta.code
                ),
            }
        }
        assert!(
            n_fails > 0 && n_passes > 0,
            "{} lacks an example",
            meta.code
        );
    }
}

/// What a rule says of a program, without instants, and without places: of two patterns a finding names the one listed first.
fn said(program: &Program, code: RuleCode) -> (Verdict, Vec<String>) {
    let report = crate::check(program);
    let findings = report
        .findings
        .iter()
        .filter(|finding| finding.code == code)
        .map(|finding| {
            format!(
                "{:?} {} {:?}",
                finding.severity, finding.depends_on_reading, finding.measured
            )
        })
        .collect();
    (verdict(&report, code).clone(), findings)
}

/// All that plays begins later by the same time, and the patterns are listed the other way round.
fn later_and_turned(program: &Program, delay: Micros) -> Program {
    let mut parts = program.to_parts();
    for layer in &mut parts.layers {
        if let Action::Play { bindings, .. } = &mut layer.action {
            for binding in bindings {
                binding.offset += delay;
            }
        }
    }
    parts.patterns.reverse();
    for pattern in &mut parts.patterns {
        pattern.lanes.reverse();
    }
    Program::admit(parts).0
}

#[test]
fn no_example_changes_its_verdict_by_a_common_shift_or_another_order() {
    for rule in RULES {
        let meta = rule.meta();
        for (_, text) in examples(meta.page) {
            let program = sketch::program(meta.code, &text);
            let before = said(&program, meta.code);
            for delay in [1, 137_123, 999_999] {
                let after = said(&later_and_turned(&program, Micros(delay)), meta.code);
                assert_eq!(before, after, "{} later by {delay} µs\n{text}", meta.code);
            }
        }
    }
}

#[test]
fn every_page_names_its_rule_and_has_the_same_sections() {
    for rule in RULES {
        let meta = rule.meta();
        let title = format!("# {} {}", meta.code, meta.name);
        assert!(meta.page.starts_with(&title), "{title}");
        let mut from = 0;
        for section in [
            "## What it checks",
            "## Why",
            "## Limits and sources",
            "## How to fix",
            "## Examples",
        ] {
            let at = meta.page[from..].find(section);
            from += at
                .unwrap_or_else(|| panic!("{} lacks {section}, or it stands elsewhere", meta.code));
        }
        for source in meta.sources {
            assert!(
                meta.page.contains(source.known.name()),
                "{} does not say \"{}\"",
                meta.code,
                source.known.name()
            );
        }
    }
}

#[test]
fn the_registry_is_sorted_and_its_parameters_are_sound() {
    assert!(RULES.is_sorted_by(|one, other| one.meta().code < other.meta().code));
    let mut names: Vec<&str> = RULES.iter().map(|rule| rule.meta().name).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), RULES.len());
    for rule in RULES {
        let meta = rule.meta();
        assert!(!meta.sources.is_empty(), "{} has no source", meta.code);
        for parameter in meta.parameters {
            let (least, most) = parameter.range;
            assert!(
                (least..=most).contains(&parameter.default),
                "{} {}",
                meta.code,
                parameter.name
            );
            assert!(
                meta.sources.get(parameter.source).is_some(),
                "{} {}",
                meta.code,
                parameter.name
            );
        }
    }
}
