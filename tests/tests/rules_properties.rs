//! What must change no verdict: a common shift in time, and the order in which lanes are listed.
#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use lampwright_analysis::check;
use lampwright_analysis::report::Report;
use lampwright_analysis::rules::RULES;
use lampwright_formats::read_program;
use lampwright_model::{Action, Condition, Edit, Item, Program, RuleChoice, Target};
use lampwright_timing::Micros;
use proptest::prelude::*;
use std::path::Path;
use std::sync::LazyLock;

/// Every demo program, under every rule of the book, with all its heads named to each.
static PROGRAMS: LazyLock<Vec<(Program, Said)>> = LazyLock::new(|| {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../patterns");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| {
            path.extension()
                .is_some_and(|extension| extension == "json")
        })
        .collect();
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let program = read_program(&std::fs::read(path).unwrap()).program.unwrap();
            let program = under_every_rule(&program);
            let said = said(&check(&program));
            (program, said)
        })
        .collect()
});

fn under_every_rule(program: &Program) -> Program {
    let mut parts = program.to_parts();
    for rule in RULES {
        let code = rule.meta().code;
        let chosen = &mut parts.profile.rules;
        if chosen.iter().all(|choice| choice.code != code) {
            chosen.push(RuleChoice {
                heads: vec![Target::All],
                when: Some(Condition::always()),
                ..RuleChoice::of(code)
            });
        }
    }
    let (program, problems) = Program::admit(parts);
    assert_eq!(problems, []);
    program
}

/// What a report says, without instants.
type Said = (Vec<String>, Vec<String>);

fn said(report: &Report) -> Said {
    let outcomes = report
        .outcomes
        .iter()
        .map(|outcome| format!("{} {:?}", outcome.code, outcome.verdict))
        .collect();
    let findings = report
        .findings
        .iter()
        .map(|finding| {
            format!(
                "{} {:?} {} {:?} {:?} {:?}",
                finding.code,
                finding.severity,
                finding.place,
                finding.found_in,
                finding.measured,
                finding.margin
            )
        })
        .collect();
    (outcomes, findings)
}

fn shifted(program: &Program, delay: Micros) -> Program {
    let edits = program
        .layers
        .iter()
        .map(|layer| {
            let mut layer = layer.clone();
            if let Action::Play { bindings, .. } = &mut layer.action {
                for binding in bindings {
                    binding.offset += delay;
                }
            }
            Edit::Put(Item::Layer(layer))
        })
        .collect();
    program.apply(&Edit::Together(edits)).unwrap()
}

fn with_lanes_turned(program: &Program, by: usize) -> Program {
    let edits = program
        .patterns
        .iter()
        .map(|pattern| {
            let mut pattern = pattern.clone();
            let n_lanes = pattern.lanes.len().max(1);
            pattern.lanes.rotate_left(by % n_lanes);
            Edit::Put(Item::Pattern(pattern))
        })
        .collect();
    program.apply(&Edit::Together(edits)).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3, ..ProptestConfig::default() })]

    #[test]
    fn a_common_shift_in_time_changes_no_verdict(delay in 1_i64..5_000_000) {
        for (program, before) in PROGRAMS.iter() {
            prop_assert_eq!(&said(&check(&shifted(program, Micros(delay)))), before);
        }
    }

    #[test]
    fn the_order_of_lanes_changes_no_verdict(by in 1_usize..12) {
        for (program, before) in PROGRAMS.iter() {
            prop_assert_eq!(&said(&check(&with_lanes_turned(program, by))), before);
        }
    }
}

#[test]
fn judging_twice_says_the_same_to_the_letter() {
    for (program, _) in PROGRAMS.iter() {
        assert!(
            check(program) == check(program),
            "two reports on {} differ",
            program.name
        );
    }
}
