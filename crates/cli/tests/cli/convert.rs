//! Step tables as a person asks for them, and the standard input by its dash.

use crate::support::*;
use std::fs;
use std::process::Command;

/// One red head that flashes twice in 500 ms or once in 250 ms, judged by the rate of SAE J595.
fn program(period_ms: &str, pulses: &str) -> String {
    format!(
        r#"{{"format": "lampwright-program", "version": 1, "name": "nose lamp",
  "vehicle": {{"heads": [{{"id": "nose", "label": "nose", "x_m": 2, "y_m": 0, "z_m": 1, "facing_deg": 0, "emitters": [{{"color": "red", "output": "o1"}}]}}],
    "outputs": [{{"id": "o1", "label": "one", "rating_a": 5}}]}},
  "patterns": [{{"id": "beat", "label": "beat", "period_ms": {period_ms}, "tick_ms": 1,
    "lanes": [{{"role": "all", "pulses": [{pulses}]}}]}}],
  "layers": [{{"id": "always", "label": "always", "play": {{"pattern": "beat", "bindings": [{{"lane": "all", "heads": ["all"]}}]}}}}],
  "profile": {{"title": "test", "jurisdiction": "none", "rules": [{{"code": "LW001"}}]}}}}"#
    )
}

const DOUBLE: &str = r#"{"start_ms": 0, "length_ms": 75}, {"start_ms": 125, "length_ms": 75}"#;

fn rows(csv: &str) -> Vec<&str> {
    csv.lines().filter(|line| !line.starts_with('#')).collect()
}

#[test]
fn a_pattern_becomes_rows_and_the_rows_become_the_pattern() {
    let text = program("500", DOUBLE);
    let table = lampwright_reading(
        &[
            "convert",
            "-",
            "--pattern",
            "beat",
            "--tick",
            "5ms",
            "--to",
            "csv",
        ],
        &text,
    );
    assert_eq!(table.code, 0, "{}", table.err);
    assert_eq!(
        rows(&table.out)[1..],
        [
            "all,500,0,1000,,0",
            "all,500,75,0,,0",
            "all,500,125,1000,,0",
            "all,500,200,0,,0"
        ]
    );
    assert!(table.out.contains("# Program: nose lamp"));
    assert!(table.out.contains("# Rounding: none"));
    assert!(
        table
            .err
            .contains("local law and the agency's specification decide")
    );
    let back = lampwright_reading(
        &["convert", "-", "--to", "pattern", "--pattern", "again"],
        &table.out,
    );
    assert_eq!(back.code, 0, "{}", back.err);
    assert!(back.out.contains(r#""id": "again""#));
    // By the name the table carries.
    assert!(back.out.contains(r#""label": "beat""#), "{}", back.out);
    assert!(
        back.out.contains(r#"{"start_ms": 125, "length_ms": 75}"#),
        "{}",
        back.out
    );
    let checked = lampwright_reading(&["check", "-"], &back.out);
    assert_eq!(checked.code, 0);
    assert!(checked.out.contains("1 lane, valid"), "{}", checked.out);
}

/// 250 ms is 4 Hz, the upper end of SAE J595's band; on a tick of 40 ms it becomes 240 ms.
#[test]
fn a_verdict_that_rounding_changes_is_said_and_gives_exit_code_1() {
    let text = program("250", r#"{"start_ms": 0, "length_ms": 60}"#);
    let exact = lampwright_reading(
        &[
            "convert",
            "-",
            "--pattern",
            "beat",
            "--tick",
            "500us",
            "--to",
            "csv",
        ],
        &text,
    );
    assert_eq!(exact.code, 0, "{}", exact.err);
    for what in [["--pattern", "beat"].as_slice(), &[]] {
        let mut arguments = vec!["convert", "-", "--tick", "40ms", "--to", "csv"];
        arguments.extend(what);
        let coarse = lampwright_reading(&arguments, &text);
        assert_eq!(coarse.code, 1, "{}", coarse.err);
        assert!(
            coarse
                .err
                .contains("LW001 flash-rate-outside-sae-band: passed before, failed once after"),
            "{}",
            coarse.err
        );
        assert!(coarse.out.contains("rounding changes 1 rule\n"));
        assert!(coarse.out.contains(",240,0,1000,,0\n"), "{}", coarse.out);
    }
}

#[test]
fn a_situation_of_a_demo_is_a_table_of_its_outputs() {
    let van = "patterns/incident-support-van.json";
    let run = lampwright_reading(
        &[
            "convert",
            van,
            "--situation",
            "responding-night",
            "--tick",
            "15",
            "--to",
            "csv",
        ],
        "",
    );
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(run.err.contains("Rounding: at most 5 ms"), "{}", run.err);
    assert!(run.out.contains(
        "# roof-front-left-amber drives Roof front, left middle amber; Roof front, left inner amber"
    ));
    assert!(rows(&run.out).len() > 100);
    let wrong = lampwright_reading(
        &[
            "convert",
            van,
            "--situation",
            "nowhere",
            "--tick",
            "15",
            "--to",
            "csv",
        ],
        "",
    );
    assert_eq!(wrong.code, 2);
    assert!(
        wrong
            .err
            .contains("there is no situation nowhere; there are: parked-day")
    );
}

/// The C of every demo and of some library patterns is taken without a warning, and the numbers in it are those of the CSV.
#[test]
fn the_c_array_compiles_and_holds_the_steps() {
    let folder = tempfile::tempdir().unwrap();
    let source = folder.path().join("table.c");
    let mut sources = vec![
        "patterns/rescue-tender.json".to_owned(),
        "patterns/faulty-breakdown-truck.json".into(),
    ];
    for entry in fs::read_dir(root().join("patterns/library"))
        .unwrap()
        .take(3)
    {
        sources.push(entry.unwrap().path().to_string_lossy().into_owned());
    }
    for file in &sources {
        let run = lampwright_reading(&["convert", file, "--tick", "10ms", "--to", "c"], "");
        assert!(run.code < 2, "{}", run.err);
        let csv = lampwright_reading(&["convert", file, "--tick", "10ms", "--to", "csv"], "");
        // A program that prints each step as a row of ticks.
        let main = "\n#include <stdio.h>\nint main(void) {\n    for (uint32_t lane = 0; lane < lampwright_n_lanes; lane++)\n        for (uint32_t step = 0; step < lampwright_lanes[lane].n_steps; step++)\n            printf(\"%s,%lu,%lu,%u\\n\", lampwright_lanes[lane].name,\n                (unsigned long)lampwright_lanes[lane].period_ticks * 10,\n                (unsigned long)lampwright_lanes[lane].steps[step].time_ticks * 10,\n                (unsigned)lampwright_lanes[lane].steps[step].level_permille);\n    return 0;\n}\n";
        fs::write(&source, format!("{}{main}", run.out)).unwrap();
        let binary = folder.path().join("table");
        let compiled = Command::new("cc")
            .args(["-std=c99", "-Wall", "-Wextra", "-Werror", "-pedantic", "-o"])
            .args([&binary, &source])
            .output();
        let Ok(compiled) = compiled else {
            // Without a compiler its shape is all that can be looked at.
            assert_eq!(run.out.matches('{').count(), run.out.matches('}').count());
            continue;
        };
        assert!(
            compiled.status.success(),
            "{}",
            String::from_utf8_lossy(&compiled.stderr)
        );
        let printed = Command::new(&binary).output().unwrap().stdout;
        let expected: Vec<String> = rows(&csv.out)[1..]
            .iter()
            .map(|row| row.splitn(5, ',').take(4).collect::<Vec<_>>().join(","))
            .collect();
        let printed = String::from_utf8(printed).unwrap();
        assert_eq!(printed.lines().collect::<Vec<_>>(), expected, "{file}");
    }
}

#[test]
fn what_cannot_be_converted_says_why() {
    let text = program("500", DOUBLE);
    let check = |arguments: &[&str], input: &str, expected: &str| {
        let run = lampwright_reading(arguments, input);
        assert_eq!(run.code, 2, "{}", run.err);
        assert!(run.err.contains(expected), "{}", run.err);
        assert_eq!(run.out, "");
    };
    check(&["convert", "-", "--to", "csv"], &text, "--tick 10ms");
    check(
        &["convert", "-", "--to", "csv", "--tick", "0ms"],
        &text,
        "0.001ms to 60s wanted",
    );
    check(
        &["convert", "-", "--to", "csv", "--tick", "1.2345ms"],
        &text,
        "wanted",
    );
    check(
        &[
            "convert",
            "-",
            "--to",
            "c",
            "--tick",
            "5",
            "--pattern",
            "none",
        ],
        &text,
        "there is no pattern none; there are: beat",
    );
    check(
        &["convert", "-", "--to", "c", "--tick", "5"],
        "[]",
        "neither a program nor a pattern",
    );
    check(
        &["convert", "-", "--to", "pattern"],
        "lane,period_ms,time_ms,level_permille\na,500,0,2000\n",
        "-: line 2: found 2000, expected level_permille from 0 to 1000",
    );
}

#[test]
fn the_dash_is_the_standard_input() {
    let run = lampwright_reading(&["check", "-", "--format", "json"], &program("500", DOUBLE));
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(run.out.contains(r#""name": "nose lamp""#));
    let broken = lampwright_reading(&["check", "-"], "{");
    assert!(broken.code > 0);
    assert!(broken.out.contains("-:1:2: problem"), "{}", broken.out);
    let watched = lampwright_reading(&["check", "-", "--watch"], "");
    assert_eq!(watched.code, 2);
    assert!(
        watched
            .err
            .contains("cannot look at the standard input again")
    );
    let written = lampwright_reading(&["fix", "-", "--code", "LW001", "--write"], "");
    assert_eq!(written.code, 2);
    assert!(written.err.contains("cannot change the standard input"));
}
