//! Reading program files: everything that is wrong is listed with its path, everything else is kept.

#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use lampwright_formats::{read_pattern, read_program, write_pattern, write_program};
use lampwright_model::{Action, Color, Must, Program};
use lampwright_timing::{Level, Micros};

/// An invented van with every kind of part in the file.
const FULL: &str = include_str!("data/every-part.json");

/// Reads [`FULL`] with the first text replaced, expects these problems, and gives what was read.
#[track_caller]
fn check_change(from: &str, to: &str, expected: &[&str]) -> Program {
    assert!(FULL.contains(from), "{from} must stand in the file");
    check(&FULL.replacen(from, to, 1), expected).unwrap()
}

#[track_caller]
fn check(text: &str, expected: &[&str]) -> Option<Program> {
    let outcome = read_program(text.as_bytes());
    let problems: Vec<String> = outcome.problems.iter().map(ToString::to_string).collect();
    assert_eq!(problems, expected);
    assert_eq!(outcome.n_more_problems, 0);
    outcome.program
}

#[test]
fn every_part_is_read_without_a_problem_and_written_as_it_was() {
    let program = check(FULL, &[]).unwrap();
    let written = write_program(&program);
    for (written, expected) in written.lines().zip(FULL.lines()) {
        assert_eq!(written, expected);
    }
    assert_eq!(written.len(), FULL.len());
}

#[test]
fn values_arrive_in_the_units_of_the_model() {
    let program = check(FULL, &[]).unwrap();
    let pulses = &program.patterns[0].lanes[0].pulses;
    assert_eq!(pulses[0].length, Micros(83_333));
    assert_eq!(pulses[0].level, Level::FULL);
    assert_eq!(pulses[1].level, Level::nearest(500));
    assert_eq!(pulses[1].color, Some(Color::White));
    let emitter = &program.vehicle.heads[0].emitters[0];
    assert_eq!(emitter.peak.unwrap().0, 900_125);
    assert_eq!(emitter.full_current.unwrap().0, 598);
    assert_eq!(emitter.chromaticity.unwrap().y, 605);
    assert_eq!(program.signals[0].on_lost, 1);
    assert_eq!(program.signals[1].on_lost, program.signals[1].default);
    assert!(program.layers[1].when.is_always());
    assert_eq!(program.layers[2].when.0.len(), 0);
    assert!(matches!(program.layers[2].action, Action::Dark { .. }));
    assert_eq!(program.guarantees[0].must, Must::Alternate);
    assert_eq!(program.profile.rules[0].parameters[1].1, 4500);
}

#[test]
fn a_name_that_would_fill_the_page_is_cut_and_reported() {
    let name = |n_letters| format!("\"name\": \"{}\"", "ä".repeat(n_letters));
    let whole = check_change(r#""name": "Quay patrol van""#, &name(1_000), &[]);
    let cut = check_change(
        r#""name": "Quay patrol van""#,
        &name(1_001),
        &["name: found 1001 letters, expected at most 1000 letters"],
    );
    assert_eq!(cut.name, whole.name);
}

#[test]
fn a_head_that_cannot_be_read_does_not_take_the_others_along() {
    let program = check_change(
        "\"x_m\": 1.2",
        "\"x_m\": \"front\"",
        &[
            "vehicle.heads[0].x_m: found \"front\", expected a number with at most 3 decimals",
            "vehicle.groups[0].heads: found \"roof-left\", expected the id of a head",
        ],
    );
    let heads: Vec<&str> = program
        .vehicle
        .heads
        .iter()
        .map(|head| head.id.as_str())
        .collect();
    assert_eq!(heads, ["roof-right", "mast"]);
}

#[test]
fn indices_are_those_of_the_file_when_items_before_were_lost() {
    let text = FULL.replacen("\"x_m\": 1.2", "\"x_m\": null", 1).replacen(
        "\"clock\": \"own\"",
        "\"clock\": \"other\"",
        1,
    );
    check(
        &text,
        &[
            "vehicle.heads[0].x_m: found null, expected a number with at most 3 decimals",
            "vehicle.heads[2].clock: found \"other\", expected the id of a clock",
            "vehicle.groups[0].heads: found \"roof-left\", expected the id of a head",
        ],
    );
    let text = FULL
        .replacen("\"start_ms\": 0,", "\"start_ms\": \"0\",", 1)
        .replacen(
            "\"length_ms\": 83.333, \"level\": 500",
            "\"length_ms\": 0, \"level\": 500",
            1,
        );
    check(
        &text,
        &[
            "patterns[0].lanes[0].pulses[0].start_ms: found \"0\", expected a number with at most 3 decimals",
            "patterns[0].lanes[0].pulses[1].length_ms: found 0 ms, expected more than 0 ms",
        ],
    );
}

#[test]
fn nothing_refers_to_what_was_dropped() {
    let program = check_change(
        "\"rating_a\": 20",
        "\"rating_a\": 0",
        &[
            "vehicle.fuses[0].rating_a: found 0 thousandths, expected more than 0 A",
            "vehicle.outputs[0].fuse: found \"F1\", expected the id of a fuse",
        ],
    );
    assert_eq!(program.vehicle.outputs[0].fuse, None);
}

#[test]
fn what_may_be_absent_counts_as_absent_when_it_is_wrong() {
    let program = check_change(
        "\"peak_cd\": 900.125",
        "\"peak_cd\": \"bright\"",
        &[
            "vehicle.heads[0].emitters[0].peak_cd: found \"bright\", expected a number with at most 3 decimals",
        ],
    );
    assert!(
        program.vehicle.heads[0].emitters[0]
            .peak_or_assumed()
            .is_assumed
    );
    check_change(
        "\"name\": \"Van 3\"",
        "\"name\": 3",
        &["vehicle.name: found 3, expected a text"],
    );
}

#[test]
fn a_layer_with_a_wrong_condition_is_lost_not_widened() {
    let program = check_change(
        "{\"light\": \"night\"}",
        "{\"light\": 7}",
        &[
            "layers[0].when[1].light: found 7, expected an id of 1 to 64 letters, digits, '-', '_' or '.'",
        ],
    );
    assert_eq!(program.layers.len(), 2);
    assert_eq!(program.layers[0].id.as_str(), "mast-on");
}

#[test]
fn an_unknown_key_is_a_problem_that_loses_nothing() {
    let program = check_change(
        "\"color\": \"amber\", \"level\": 400",
        "\"color\": \"amber\", \"level\": 400, \"levle\": 300",
        &["layers[1].hold.levle: found the unknown key \"levle\", expected \"level\""],
    );
    assert_eq!(program.layers.len(), 3);
    check_change(
        "\"width_m\": 2",
        "\"width\": 2",
        &["vehicle.outline.width: found the unknown key \"width\", expected \"width_m\""],
    );
    check_change(
        "\"about\": \"Invented",
        "\"remark\": \"Invented",
        &[
            "remark: found the unknown key \"remark\", expected one of the keys name, about, vehicle, patterns, signals, controls, layers, dims, situations, impossible, guarantees, profile, waivers",
        ],
    );
}

#[test]
fn a_missing_required_key_is_named() {
    check_change(
        "\"rating_a\": 20",
        "\"rating\": 20",
        &[
            "vehicle.fuses[0].rating: found the unknown key \"rating\", expected \"rating_a\"",
            "vehicle.fuses[0].rating_a: found nothing, expected this key, which is required",
            "vehicle.outputs[0].fuse: found \"F1\", expected the id of a fuse",
        ],
    );
}

#[test]
fn a_repeated_key_is_a_problem() {
    let program = check_change(
        "\"name\": \"Van 3\"",
        "\"name\": \"Van 3\", \"name\": \"Van 4\"",
        &["vehicle.name: found the same key again, expected a key only once"],
    );
    assert_eq!(program.vehicle.name, "Van 3");
    check_change(
        "{\"lowest_rate\": 1,",
        "{\"lowest_rate\": 1, \"lowest_rate\": 2,",
        &[
            "profile.rules[0].parameters.lowest_rate: found the same key again, expected a key only once",
        ],
    );
}

#[test]
fn a_time_finer_than_a_microsecond_is_refused_not_rounded() {
    let path = "patterns[0].lanes[0].pulses[0].length_ms";
    let program = check_change(
        "83.333",
        "83.3331",
        &[&format!(
            "{path}: found 83.3331, expected a number with at most 3 decimals"
        )],
    );
    assert_eq!(program.patterns[0].lanes[0].pulses.len(), 1);
    let program = check_change(
        "83.333",
        "8.33331e1",
        &[&format!(
            "{path}: found 8.33331e1, expected a number with at most 3 decimals"
        )],
    );
    assert_eq!(program.patterns[0].lanes[0].pulses.len(), 1);
    let program = check_change("\"period_ms\": 1000", "\"period_ms\": 1.00e3", &[]);
    assert_eq!(program.patterns[0].period, Micros::from_ms(1000));
}

#[test]
fn exactly_one_of_several_keys_must_stand() {
    check_change(
        "\"hold\": {",
        "\"dark\": {\"heads\": []}, \"hold\": {",
        &["layers[1]: found hold and dark, expected exactly one of play, hold, dark"],
    );
    check_change(
        "\"gauge_awg\": 16, ",
        "",
        &[
            "vehicle.outputs[0].wire: found none of them, expected exactly one of gauge_awg, area_mm2",
        ],
    );
}

#[test]
fn words_are_checked_against_those_there_are() {
    check_change(
        "\"must\": \"alternate\"",
        "\"must\": \"blink\"",
        &[
            "guarantees[0].must: found \"blink\", expected one of be-dark be-steady play-in-step alternate",
        ],
    );
}

#[test]
fn the_format_must_be_right() {
    let other = FULL.replacen("lampwright-program", "lampwright-pattern", 1);
    let expected = "format: found \"lampwright-pattern\", expected \"lampwright-program\"";
    assert_eq!(check(&other, &[expected]), None);
    check_change(
        "\"format\": \"lampwright-program\",",
        "",
        &["format: found nothing, expected \"lampwright-program\""],
    );
}

#[test]
fn a_newer_version_is_refused_by_name() {
    let expected = "version: found a file written by a newer version, 2, expected at most version 1, the newest this one reads";
    let newer = FULL.replacen("\"version\": 1", "\"version\": 2", 1);
    assert_eq!(check(&newer, &[expected]), None);
    check_change(
        "\"version\": 1",
        "\"version\": 0",
        &["version: found 0, expected a whole number from 1 to 1"],
    );
    check_change(
        "\"version\": 1,",
        "",
        &["version: found nothing, expected a whole number from 1 to 1"],
    );
}

#[test]
fn a_file_cut_short_gives_its_line_and_column_and_what_stands_before() {
    let cut = FULL.find("\"id\": \"roof-right\"").unwrap();
    let program = check(
        &FULL[..cut],
        &["line 62, column 9: found the end of the file, expected a key in quotes"],
    )
    .unwrap();
    assert_eq!(program.vehicle.heads.len(), 1);
    assert_eq!(program.vehicle.outputs.len(), 2);
}

#[test]
fn a_fault_in_the_middle_keeps_what_stands_before() {
    let program = check_change(
        "\"kind\": \"vehicle\",",
        "\"kind\": \"vehicle\"",
        &["line 142, column 7: found '\"', expected ',' or '}'"],
    );
    assert_eq!(program.signals.len(), 1);
    assert_eq!(program.patterns.len(), 1);
}

#[test]
fn what_is_no_program_at_all_says_so() {
    let name = "a lampwright-program file";
    check(
        "",
        &[&format!("file: found an empty file, expected {name}")],
    );
    check(
        " \n",
        &[&format!("file: found an empty file, expected {name}")],
    );
    check(
        "[1]",
        &[&format!(
            "file: found a list of 1, expected {name}, an object"
        )],
    );
    check("hello", &["line 1, column 1: found 'h', expected a value"]);
    check(
        "{} {}",
        &[
            "line 1, column 4: found '{', expected the end of the file",
            "format: found nothing, expected \"lampwright-program\"",
            "version: found nothing, expected a whole number from 1 to 1",
        ],
    );
}

#[test]
fn bytes_that_are_no_text_give_their_place() {
    let mut bytes = FULL.as_bytes().to_vec();
    let place = FULL.find("Roof left").unwrap();
    bytes[place] = 0xff;
    let outcome = read_program(&bytes);
    assert_eq!(
        outcome.problems[0].to_string(),
        "line 22, column 19: found another byte, expected text in UTF-8"
    );
    assert_eq!(outcome.program.unwrap().vehicle.fuses.len(), 1);
}

#[test]
fn a_byte_order_mark_is_no_problem() {
    check(&format!("\u{feff}{FULL}"), &[]);
}

#[test]
fn a_pattern_file_is_read_and_written() {
    let program = read_program(FULL.as_bytes()).program.unwrap();
    let text = write_pattern(&program.patterns[0], "For both sides.");
    let outcome = read_pattern(text.as_bytes());
    assert_eq!(outcome.problems, []);
    assert_eq!(outcome.pattern.as_ref(), program.patterns.first());
    assert_eq!(outcome.about, "For both sides.");

    let broken = text.replacen("\"period_ms\": 1000", "\"period_ms\": 200", 1);
    let problems = read_pattern(broken.as_bytes()).problems;
    assert_eq!(problems[0].path, "pattern.lanes[0].pulses[1].start_ms");
    assert_eq!(read_pattern(FULL.as_bytes()).pattern, None);
}
