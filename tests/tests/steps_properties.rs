//! Properties of step tables: without rounding they read back as the same lanes, with rounding no edge moves more than half a tick, and no text breaks the reader.

#![expect(
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use lampwright_analysis::report::FoundIn;
use lampwright_analysis::steps::{steps_of_pattern, steps_of_state};
use lampwright_formats::{MOST_PROBLEMS, read_steps_csv, write_steps_c, write_steps_csv};
use lampwright_model::{Program, State, resolve};
use lampwright_tests::generate;
use lampwright_timing::{Micros, Waveform};
use proptest::prelude::*;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn a_table_without_rounding_reads_back_as_the_same_lanes(program in generate::program()) {
        // A table without a lane has nothing to read, and the reader says so.
        for pattern in program.patterns.iter().filter(|pattern| !pattern.lanes.is_empty()) {
            let hand_over = steps_of_pattern(&program, &pattern.id, Micros(1)).unwrap();
            prop_assert_eq!(&hand_over.changed, &[]);
            let text = write_steps_csv(&hand_over.table);
            let outcome = read_steps_csv(text.as_bytes());
            prop_assert_eq!(&outcome.problems, &[]);
            let again = outcome.table.unwrap().to_pattern(pattern.id.clone(), pattern.label.clone());
            let again = again.unwrap();
            prop_assert_eq!(&again.lanes, &pattern.lanes);
            prop_assert_eq!(again.period, pattern.period);
        }
    }

    #[test]
    fn no_edge_moves_more_than_half_a_tick_and_all_are_on_it(
        program in generate::program(),
        tick in 1..60_000_i64,
    ) {
        let tick = Micros(tick);
        let state = State::default_of(&program);
        let mut tables = vec![steps_of_state(&program, &FoundIn::DefaultState, &state, tick).table];
        for pattern in &program.patterns {
            tables.push(steps_of_pattern(&program, &pattern.id, tick).unwrap().table);
        }
        for table in &tables {
            for column in &table.columns {
                prop_assert_eq!(column.period.wrap(tick), Micros::ZERO);
                prop_assert_eq!(column.steps[0].at, Micros::ZERO);
                for step in &column.steps {
                    prop_assert_eq!(step.at.wrap(tick), Micros::ZERO);
                    prop_assert!(step.at < column.period);
                    prop_assert!(2 * step.rounded_by.get().abs() <= tick.get());
                }
                prop_assert!(column.steps.windows(2).all(|pair| pair[0].at < pair[1].at));
            }
            let again = read_steps_csv(write_steps_csv(table).as_bytes());
            if table.columns.is_empty() {
                prop_assert_eq!(again.table, None);
                continue;
            }
            prop_assert_eq!(&again.problems, &[]);
            let again = again.table.unwrap();
            prop_assert_eq!(again.columns.len(), table.columns.len());
            for (read, written) in again.columns.iter().zip(&table.columns) {
                prop_assert_eq!(read.pulses(), written.pulses());
                prop_assert_eq!(read.period, written.period);
            }
            // Labels stand in the comment above, which nothing in them ends.
            let text = write_steps_c(table);
            let (above, code) = text.split_once("*/").unwrap();
            prop_assert!(above.starts_with("/*") && !above[2..].contains("/*"));
            prop_assert!(code.starts_with("\n#include <stdint.h>"));
            prop_assert_eq!(code.matches('{').count(), code.matches('}').count());
            let n_steps: usize = table.columns.iter().map(|column| column.steps.len()).sum();
            prop_assert!(code.matches("u, ").count() >= n_steps);
        }
    }

    /// Every lit emitter of a state finds its own course in some column of the table.
    #[test]
    fn a_table_of_a_state_without_rounding_holds_every_course(program in generate::program()) {
        let state = State::default_of(&program);
        let table = steps_of_state(&program, &FoundIn::DefaultState, &state, Micros(1)).table;
        let courses: Vec<Waveform> = table.columns.iter().map(|column| column.course()).collect();
        for head in &resolve(&program, &state).heads {
            for emitter in &head.emitters {
                prop_assert!(courses.contains(&emitter.level));
            }
        }
        prop_assert!(table.drives.len() == table.columns.len());
    }

    #[test]
    fn no_text_breaks_the_reader(
        rows in proptest::collection::vec("[ab,0-9.\"#-]{0,24}", 0..12),
        bytes in proptest::collection::vec(any::<u8>(), 0..64),
    ) {
        let text = format!("lane,period_ms,time_ms,level_permille,color\n{}\n", rows.join("\n"));
        for bytes in [text.as_bytes(), &bytes] {
            let outcome = read_steps_csv(bytes);
            prop_assert!(outcome.problems.len() <= MOST_PROBLEMS);
            prop_assert_eq!(outcome.table.is_some(), outcome.problems.is_empty());
        }
    }
}

/// A pattern nobody plays is not judged, and the table says so.
#[test]
fn an_unplayed_pattern_is_said_to_be_unjudged() {
    let text = include_str!("../../patterns/rescue-tender.json");
    let mut parts = lampwright_formats::read_program(text.as_bytes())
        .program
        .unwrap()
        .to_parts();
    parts.layers.clear();
    let (program, _) = Program::admit(parts);
    let id = program.patterns[0].id.clone();
    let table = steps_of_pattern(&program, &id, Micros(7_000))
        .unwrap()
        .table;
    assert!(
        table
            .notes
            .iter()
            .any(|note| note.contains("no layer plays the pattern")),
        "{:?}",
        table.notes
    );
}
