//! Properties of resolving and judging: what is kept from an earlier program, and doing it in steps, changes nothing.

#![cfg(not(target_arch = "wasm32"))]

use lampwright_analysis::rules::CheckSettings;
use lampwright_analysis::{check_with, contexts, judge};
use lampwright_model::{Edit, LaneCourses, Program, State, resolve, resolve_with};
use lampwright_tests::generate;
use proptest::prelude::*;

/// The default state and that of every situation.
fn states(program: &Program) -> Vec<State> {
    let situations = program
        .situations
        .iter()
        .map(|situation| State::of_situation(program, situation));
    std::iter::once(State::default_of(program))
        .chain(situations)
        .collect()
}

/// The program with one lane after the other without its last pulse.
fn edited(program: &Program) -> Vec<Program> {
    let lanes = program
        .patterns
        .iter()
        .flat_map(|pattern| pattern.lanes.iter().map(move |lane| (pattern, lane)));
    lanes
        .filter_map(|(pattern, lane)| {
            let (_, rest) = lane.pulses.split_last()?;
            program
                .apply(&Edit::SetPulses {
                    pattern: pattern.id.clone(),
                    lane: lane.role.clone(),
                    pulses: rest.to_vec(),
                })
                .ok()
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn what_is_left_of_the_last_time_changes_no_drive(program in generate::program()) {
        let mut courses = LaneCourses::default();
        for program in std::iter::once(program.clone()).chain(edited(&program)) {
            for state in states(&program) {
                let drive = resolve_with(&program, &state, &mut courses);
                prop_assert_eq!(drive, resolve(&program, &state));
            }
        }
    }

    #[test]
    fn judging_in_steps_says_what_judging_at_once_says(program in generate::program()) {
        let settings = CheckSettings::default();
        let at_once = judge(&program, &contexts(&program, &settings), true, &settings);
        prop_assert_eq!(check_with(&program, &settings), at_once);
    }
}
