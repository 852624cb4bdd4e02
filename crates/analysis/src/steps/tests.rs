//! Tables of sketches, with what rounding does to their verdicts.

use super::*;
use crate::rules::sketch;

const HEADS: &str = "
    output o1 9A
    output o2 9A
    head a front-left red output=o1
    head b front-right red output=o1
    head c rear-left amber output=o2
    head d rear-right amber
";

fn program(text: &str) -> Program {
    sketch::program(RuleCode(1), &format!("{HEADS}\n{text}"))
}

fn names(hand_over: &HandOver) -> Vec<&str> {
    let columns = hand_over.table.columns.iter();
    columns.map(|column| column.name.as_str()).collect()
}

fn default_table(program: &Program, tick_ms: i64) -> HandOver {
    let state = State::default_of(program);
    steps_of_state(
        program,
        &FoundIn::DefaultState,
        &state,
        Micros::from_ms(tick_ms),
    )
}

/// A rate of 4 Hz is inside SAE J595's band; 250 ms stays on a tick of 5 ms, and 240 ms with one of 40 ms.
#[test]
fn a_rate_pushed_over_its_limit_by_rounding_is_named() {
    let program = program("play p period 250 ms: a 0-60; b 125-185");
    let id = PatternId::new("p").unwrap();
    let fine = steps_of_pattern(&program, &id, Micros::from_ms(5)).unwrap();
    assert_eq!(fine.changed, []);
    assert!(
        fine.table.notes[0].contains("none"),
        "{:?}",
        fine.table.notes
    );
    let coarse = steps_of_pattern(&program, &id, Micros::from_ms(40)).unwrap();
    let changed: Vec<(RuleCode, &str)> = coarse
        .changed
        .iter()
        .map(|change| (change.code, change.before.as_str()))
        .collect();
    assert!(changed.contains(&(RuleCode(1), "passed")), "{changed:?}");
    let notes = &coarse.table.notes;
    assert!(
        notes.contains(
            &"LW001 flash-rate-outside-sae-band: passed before, failed 2 times after".into()
        ),
        "{notes:?}"
    );
}

#[test]
fn the_largest_rounding_is_told_with_its_place() {
    let program = program("play p period 500 ms: a 0-104; b 250-350");
    let id = PatternId::new("p").unwrap();
    let table = steps_of_pattern(&program, &id, Micros::from_ms(10))
        .unwrap()
        .table;
    assert_eq!(
        table.notes[0],
        "Rounding: at most 4 ms, a at 100 ms is 4 ms earlier"
    );
}

#[test]
fn a_period_that_is_not_on_the_tick_is_told_with_its_rate() {
    let program = program("play p period 500 ms: a 0-100; b 250-350");
    let id = PatternId::new("p").unwrap();
    let notes = |tick_ms| {
        let table = steps_of_pattern(&program, &id, Micros::from_ms(tick_ms));
        table.unwrap().table.notes
    };
    assert_eq!(
        notes(70)[1],
        "Period: 500 ms becomes 490 ms and repeats at 2.041 Hz (122.449 per minute) instead of 2 Hz (120 per minute)"
    );
    assert!(!notes(10).iter().any(|note| note.starts_with("Period")));
}

#[test]
fn an_unknown_pattern_has_no_table() {
    let id = PatternId::new("none").unwrap();
    assert_eq!(steps_of_pattern(&program(""), &id, Micros(1)), None);
}

#[test]
fn emitters_of_an_output_share_a_column_as_long_as_they_agree() {
    let together = program("lane a b period 500 ms: 0-100\nlane d period 500 ms: 250-350");
    assert_eq!(
        names(&default_table(&together, 10)),
        ["o1", "o2", "d.amber"]
    );
    let apart = program("play p period 500 ms: a 0-100; b 250-350");
    let table = default_table(&apart, 10);
    assert_eq!(names(&table), ["o1", "b.red", "o2", "d.amber"]);
    assert!(
        table
            .table
            .drives
            .iter()
            .any(|note| note.contains("differs from the others on output o1")),
        "{:?}",
        table.table.notes
    );
}

#[test]
fn a_state_judged_on_the_tick_names_what_changes() {
    let program = program("lane a b period 250 ms: 0-60");
    assert_eq!(default_table(&program, 5).changed, []);
    let coarse = default_table(&program, 40);
    assert!(
        coarse
            .changed
            .iter()
            .any(|change| change.code == RuleCode(1)),
        "{:?}",
        coarse.changed
    );
}

/// The default state and a situation that is the same share each finding in the report; rounding one of them parts the two, and is no change of a verdict.
#[test]
fn findings_that_two_states_share_are_no_change() {
    let program = program("lane a b period 198 ms: 0-73\nsituation same");
    let state = State::default_of(&program);
    let same = FoundIn::Situation(program.situations[0].id.clone());
    let tick = Micros::from_ms(10);
    for found_in in [FoundIn::DefaultState, same] {
        let table = steps_of_state(&program, &found_in, &state, tick);
        assert!(
            table.table.notes[0].contains("3 ms"),
            "{:?}",
            table.table.notes
        );
        assert_eq!(table.changed, []);
    }
}

#[test]
fn a_table_of_a_state_on_the_tick_is_the_drive() {
    let program =
        program("play p period 500 ms: a 0-100 200-300; b 0-100 200-300\nsteady c amber 300");
    let state = State::default_of(&program);
    let drive = lampwright_model::resolve(&program, &state);
    let table = default_table(&program, 10).table;
    assert_eq!(table.columns[0].course(), *drive.heads[0].emitters[0].level);
    assert_eq!(table.columns[1].course(), *drive.heads[2].emitters[0].level);
}
