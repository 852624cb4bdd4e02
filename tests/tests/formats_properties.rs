//! Properties of the program file: what is written reads back equal, and no text at all breaks the reader.

use lampwright_formats::{MOST_PROBLEMS, read_pattern, read_program, write_pattern, write_program};
use lampwright_model::{Action, Battery, Milliamps, Millidegrees, Millimeters, Must, Program};
use lampwright_tests::generate;
use lampwright_timing::Micros;
use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::{Value, json};

/// Whatever was read is a program that writes and reads back equal; the list of problems is bounded.
fn check_outcome(bytes: &[u8]) -> Result<(), TestCaseError> {
    let outcome = read_program(bytes);
    prop_assert!(outcome.problems.len() <= MOST_PROBLEMS);
    prop_assert!(outcome.program.is_some() || !outcome.problems.is_empty());
    if let Some(program) = outcome.program {
        let again = read_program(write_program(&program).as_bytes());
        prop_assert_eq!(again.problems, Vec::new());
        prop_assert_eq!(again.program, Some(program));
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(192))]

    #[test]
    fn generated_parts_are_admitted_whole(parts in generate::parts()) {
        let (program, problems) = Program::admit(parts.clone());
        prop_assert_eq!(problems, Vec::new());
        prop_assert_eq!(program.to_parts(), parts);
    }

    #[test]
    fn a_written_program_reads_back_equal(program in generate::program()) {
        let text = write_program(&program);
        let outcome = read_program(text.as_bytes());
        prop_assert_eq!(outcome.problems, Vec::new());
        prop_assert_eq!(outcome.n_more_problems, 0);
        let again = outcome.program.unwrap_or_default();
        prop_assert_eq!(&again, &program);
        prop_assert_eq!(write_program(&again), text);
    }

    #[test]
    fn whatever_a_program_admits_can_be_read_back(
        mut parts in generate::parts(),
        amount in prop_oneof![any::<i64>(), -2_000_000_000..=2_000_000_000_i64],
    ) {
        let current = Milliamps(amount);
        parts.vehicle.outline.length = Millimeters(amount);
        parts.vehicle.supply.alternator_idle = Some(current);
        parts.vehicle.supply.other_load = current;
        parts.vehicle.supply.battery = Some(Battery::MilliampHours(amount));
        for head in &mut parts.vehicle.heads {
            head.facing = Millidegrees(amount);
        }
        for layer in &mut parts.layers {
            if let Action::Play { bindings, .. } = &mut layer.action {
                bindings.truncate(1);
                bindings.iter_mut().for_each(|binding| binding.offset = Micros(amount));
            }
        }
        for guarantee in &mut parts.guarantees {
            guarantee.must = Must::TotalCurrentAtMost(current);
        }
        let (program, _) = Program::admit(parts);
        let outcome = read_program(write_program(&program).as_bytes());
        prop_assert_eq!(outcome.problems, Vec::new());
        prop_assert_eq!(outcome.program, Some(program));
    }

    #[test]
    fn a_written_program_is_json_to_any_reader(program in generate::program()) {
        let tree: Value = serde_json::from_str(&write_program(&program)).unwrap();
        prop_assert_eq!(&tree["name"].as_str().unwrap_or_default(), &program.name);
    }

    #[test]
    fn what_another_writer_makes_of_it_reads_the_same(program in generate::program()) {
        // Without its spaces; members sorted, which only changes the order of signals and parameters in their objects.
        let tree: Value = serde_json::from_str(&write_program(&program)).unwrap();
        let outcome = read_program(tree.to_string().as_bytes());
        let again = outcome.program.unwrap_or_default();
        prop_assert_eq!(&again.vehicle, &program.vehicle);
        prop_assert_eq!(&again.patterns, &program.patterns);
    }

    #[test]
    fn a_written_pattern_reads_back_equal(pattern in generate::pattern(), about in generate::text()) {
        let text = write_pattern(&pattern, &about);
        let outcome = read_pattern(text.as_bytes());
        prop_assert_eq!(outcome.problems, Vec::new());
        prop_assert_eq!(outcome.pattern, Some(pattern));
        prop_assert_eq!(outcome.about, about);
    }

    #[test]
    fn changed_bytes_never_break_the_reader(
        program in generate::program(),
        changes in proptest::collection::vec((any::<Index>(), any::<Option<u8>>()), 1..8),
    ) {
        let mut bytes = write_program(&program).into_bytes();
        for (place, change) in changes {
            let place = place.index(bytes.len());
            match change {
                Some(byte) => bytes[place] = byte,
                None => drop(bytes.remove(place)),
            }
        }
        check_outcome(&bytes)?;
    }

    #[test]
    fn a_file_cut_anywhere_gives_what_stands_before(
        program in generate::program(),
        cut in any::<Index>(),
    ) {
        let text = write_program(&program);
        let bytes = &text.as_bytes()[..cut.index(text.trim_end().len())];
        check_outcome(bytes)?;
        let outcome = read_program(bytes);
        prop_assert!(!outcome.problems.is_empty());
        for head in outcome.program.iter().flat_map(|program| &program.vehicle.heads) {
            prop_assert!(program.vehicle.heads.contains(head));
        }
        for pattern in outcome.program.iter().flat_map(|program| &program.patterns) {
            prop_assert!(program.patterns.contains(pattern));
        }
    }

    #[test]
    fn changed_values_never_break_the_reader(
        program in generate::program(),
        changes in proptest::collection::vec((any::<Index>(), 0..VALUES_TRIED), 1..5),
    ) {
        let mut tree: Value = serde_json::from_str(&write_program(&program)).unwrap();
        for (place, value) in changes {
            let n_values = count(&tree);
            replace(&mut tree, &mut place.index(n_values), other_value(value).as_ref());
        }
        check_outcome(tree.to_string().as_bytes())?;
    }

    #[test]
    fn any_bytes_never_break_the_reader(bytes in any::<Vec<u8>>()) {
        check_outcome(&bytes)?;
        let _ = read_pattern(&bytes);
    }
}

const VALUES_TRIED: usize = 12;

/// A value of another kind; none stands for taking the value away.
fn other_value(index: usize) -> Option<Value> {
    Some(match index {
        0 => return None,
        1 => Value::Null,
        2 => json!(true),
        3 => json!(-1),
        4 => json!(0.0005),
        5 => json!(1e300),
        6 => json!(i64::MAX),
        7 => json!(""),
        8 => json!("all"),
        9 => json!([]),
        10 => json!({}),
        _ => json!({"id": [null]}),
    })
}

fn count(value: &Value) -> usize {
    1 + match value {
        Value::Array(items) => items.iter().map(count).sum(),
        Value::Object(members) => members.values().map(count).sum(),
        _ => 0,
    }
}

/// Replaces the value that `place` counts down to; true when it is to be taken away from what holds it.
fn replace(value: &mut Value, place: &mut usize, other: Option<&Value>) -> bool {
    if *place == 0 {
        *place = usize::MAX;
        return match other {
            None => true,
            Some(other) => {
                *value = other.clone();
                false
            }
        };
    }
    if *place == usize::MAX {
        return false;
    }
    *place -= 1;
    match value {
        Value::Array(items) => items.retain_mut(|item| !replace(item, place, other)),
        Value::Object(members) => members.retain(|_, member| !replace(member, place, other)),
        _ => {}
    }
    false
}
