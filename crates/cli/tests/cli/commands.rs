//! What each command says, and the code it leaves with.

use crate::support::*;
use serde_json::Value;
use std::fs;
use std::process::Command;

/// One red head on the nose that flashes with this period, judged by these rules.
fn small_program(period_ms: &str, rules: &str) -> String {
    format!(
        r#"{{"format": "lampwright-program", "version": 1, "name": "nose lamp",
  "vehicle": {{"heads": [{{"id": "nose", "label": "nose", "x_m": 2, "y_m": 0, "z_m": 1, "facing_deg": 0, "emitters": [{{"color": "red"}}]}}]}},
  "patterns": [{{"id": "beat", "label": "beat", "period_ms": {period_ms}, "tick_ms": 1,
    "lanes": [{{"role": "all", "pulses": [{{"start_ms": 0, "length_ms": 80}}]}}]}}],
  "layers": [{{"id": "always", "label": "always", "play": {{"pattern": "beat", "bindings": [{{"lane": "all", "heads": ["all"]}}]}}}}],
  "profile": {{"title": "test", "jurisdiction": "none", "rules": [{rules}]}}}}"#
    )
}

/// A folder with files of these names and texts.
fn folder(files: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        let path = folder.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    folder
}

fn path_of(folder: &tempfile::TempDir) -> &str {
    folder.path().to_str().unwrap()
}

#[test]
fn the_faulty_program_is_reported_as_reviewed() {
    let run = lampwright(&[
        "check",
        "patterns/faulty-breakdown-truck.json",
        "--outcomes",
    ]);
    assert_eq!(run.code, 1);
    assert_eq!(run.err, "");
    check_golden("faulty-breakdown-truck.txt", &run.out);
}

#[test]
fn clean_programs_and_library_patterns_exit_0_and_show_no_progress_off_a_terminal() {
    let programs = lampwright(&[
        "check",
        "patterns/harbor-patrol-car.json",
        "patterns/incident-support-van.json",
        "patterns/rescue-tender.json",
    ]);
    assert_eq!(programs.code, 0, "{}", programs.out);
    let library = lampwright(&["check", "patterns/library"]);
    assert_eq!(library.code, 0, "{}", library.out);
    assert!(library.out.matches(", valid").count() >= 20);
    assert_eq!(library.err, "");
}

#[test]
fn wherever_a_band_is_shown_the_cautions_are_shown() {
    let run = lampwright(&["check", "patterns/harbor-patrol-car.json"]);
    assert!(run.out.contains("worst band"));
    assert!(run.out.contains("It is not a medical clearance"));
    let run = lampwright(&[
        "measure",
        "patterns/harbor-patrol-car.json",
        "--situation",
        "quay-day",
    ]);
    assert!(run.out.contains("band LOW"), "{}", run.out);
    assert!(run.out.contains("It is not a medical clearance"));
}

/// The band of LW001 was read, its gap is from memory; LW003 is from memory altogether, so it only warns.
#[test]
fn the_chosen_severity_decides_the_exit_code() {
    let text = small_program("600", r#"{"code": "LW003"}"#);
    let folder = folder(&[("warns.json", &text)]);
    let path = path_of(&folder);
    assert_eq!(lampwright(&["check", path]).code, 1);
    assert_eq!(lampwright(&["check", path, "--severity", "info"]).code, 1);
    assert_eq!(lampwright(&["check", path, "--severity", "error"]).code, 0);
}

#[test]
fn a_rate_just_above_the_limit_is_not_rounded_onto_it() {
    let text = small_program("249", r#"{"code": "LW001"}"#);
    let folder = folder(&[("fast.json", &text)]);
    let run = lampwright(&["check", path_of(&folder), "--severity", "error"]);
    assert_eq!(run.code, 1);
    assert!(
        run.out.contains(
            "error LW001 flash-rate-outside-sae-band at pattern beat lane all: flash rate 4.016 Hz (240.964 per minute) on head nose, at most 4 Hz (240 per minute) wanted"
        ),
        "{}",
        run.out
    );
}

#[test]
fn a_profile_without_rules_is_not_a_pass() {
    let folder = folder(&[("bare.json", &small_program("500", ""))]);
    let run = lampwright(&["check", path_of(&folder)]);
    assert_eq!(run.code, 2);
    assert!(
        run.out.contains("the profile chooses no rules"),
        "{}",
        run.out
    );
}

#[test]
fn what_a_profile_asks_for_in_vain_is_a_problem() {
    let text = small_program(
        "500",
        r#"{"code": "LW999"}, {"code": "LW001", "parameters": {"most_hertz": 3}}, {"code": "LW002", "parameters": {"gap_ms": -1}}"#,
    );
    let folder = folder(&[("odd.json", &text)]);
    let run = lampwright(&["check", path_of(&folder)]);
    assert_eq!(run.code, 1);
    for path in [
        "profile.rules[0].code: ",
        "profile.rules[1].parameters.most_hertz: ",
        "profile.rules[2].parameters.gap_ms: ",
    ] {
        assert!(run.out.contains(path), "{path}\n{}", run.out);
    }
}

#[test]
fn one_bad_file_never_stops_the_rest() {
    let good = small_program("500", r#"{"code": "LW001"}"#);
    let unknown_key = good.replacen("\"name\"", "\"nane\": 1, \"name\"", 1);
    let files = folder(&[
        ("a-no-json.json", "{\"format\": "),
        ("b-good.json", &good),
        ("c-deeper/d-empty.json", ""),
        ("e-unknown-key.json", &unknown_key),
        ("f-not-looked-at.txt", "{"),
    ]);
    let run = lampwright(&["check", path_of(&files)]);
    assert_eq!(run.code, 2);
    let position = |text: &str| {
        run.out
            .find(text)
            .unwrap_or_else(|| panic!("{text} is not in\n{}", run.out))
    };
    assert!(position("a-no-json.json") < position("b-good.json"));
    assert!(position("b-good.json") < position("c-deeper/d-empty.json"));
    assert!(position("c-deeper/d-empty.json") < position("e-unknown-key.json"));
    assert!(!run.out.contains("f-not-looked-at"));
    assert!(run.out.contains("could not be judged"));
    assert!(run.out.contains("LW001") || run.out.contains("1 passed"));
    assert!(run.out.contains("problem nane: "), "{}", run.out);
    let only_unknown = folder(&[("e-unknown-key.json", &unknown_key)]);
    assert_eq!(lampwright(&["check", path_of(&only_unknown)]).code, 1);
}

#[test]
fn a_file_that_is_too_large_is_refused_by_its_size() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("huge.json");
    // A hole in a file takes no room on the disk.
    fs::File::create(&path)
        .unwrap()
        .set_len(10_000_000_000)
        .unwrap();
    let run = lampwright(&["check", path.to_str().unwrap()]);
    assert_eq!(run.code, 2);
    assert!(
        run.out.contains("10000000000 bytes, at most"),
        "{}",
        run.out
    );
}

#[test]
fn paths_that_lead_nowhere_are_said_and_exit_2() {
    let missing = lampwright(&["check", "no/such/file.json"]);
    assert_eq!(missing.code, 2);
    assert!(
        missing.out.contains("could not be judged"),
        "{}",
        missing.out
    );
    let empty = tempfile::tempdir().unwrap();
    let nothing = lampwright(&["check", path_of(&empty)]);
    assert_eq!(nothing.code, 2);
    assert!(nothing.err.contains("no files to check"), "{}", nothing.err);
    assert_eq!(lampwright(&["check"]).code, 2);
}

#[test]
fn json_has_a_version_every_outcome_and_the_same_bytes_each_time() {
    let run = lampwright(&["check", "patterns", "--format", "json"]);
    assert_eq!(run.code, 1);
    assert_eq!(
        run.out,
        lampwright(&["check", "patterns", "--format", "json"]).out
    );
    let report: Value = serde_json::from_str(&run.out).unwrap();
    assert_eq!(report["format"], "lampwright-report");
    assert_eq!(report["version"], 1);
    let files = report["files"].as_array().unwrap();
    let paths: Vec<&str> = files
        .iter()
        .map(|file| file["path"].as_str().unwrap())
        .collect();
    assert!(paths.is_sorted());
    let faulty = files
        .iter()
        .find(|file| file["path"] == "patterns/faulty-breakdown-truck.json")
        .unwrap();
    let n_rules = lampwright_analysis::rules::RULES.len();
    assert_eq!(
        faulty["report"]["outcomes"].as_array().unwrap().len(),
        n_rules
    );
    let arrow = faulty["report"]["findings"]
        .as_array()
        .unwrap()
        .iter()
        .find(|finding| finding["code"] == "LW004")
        .unwrap();
    assert_eq!(arrow["measured"]["exact"], "1/1");
    assert_eq!(arrow["limit"]["at_most"]["exact"], "2/3");
    assert_eq!(arrow["source"]["known"], "second-hand");
    assert!(!faulty["report"]["cautions"].as_array().unwrap().is_empty());
}

#[test]
fn resolve_says_what_each_head_does_and_why() {
    let file = "patterns/faulty-breakdown-truck.json";
    let run = lampwright(&["resolve", file, "--situation", "crew-at-deck"]);
    assert_eq!(run.code, 0);
    check_golden("resolve-crew-at-deck.txt", &run.out);
    let set = lampwright(&[
        "resolve",
        file,
        "--set",
        "warning=on",
        "--set",
        "deck-crew=yes",
    ]);
    assert_eq!(set.code, 0, "{}", set.err);
    let json = lampwright(&["resolve", file, "--format", "json"]);
    let drive: Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(drive["format"], "lampwright-drive");
}

#[test]
fn measure_gives_rates_per_second_and_per_minute() {
    let file = "patterns/incident-support-van.json";
    let run = lampwright(&["measure", file, "--situation", "responding-day"]);
    assert_eq!(run.code, 0);
    assert!(
        run.out.contains("pulses 1.25 Hz (75 per minute)"),
        "{}",
        run.out
    );
    assert!(run.out.contains("alternator at idle"));
    let json = lampwright(&[
        "measure",
        file,
        "--situation",
        "responding-day",
        "--format",
        "json",
    ]);
    let facts: Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(facts["directions"].as_array().unwrap().len(), 72);
}

#[test]
fn an_unknown_state_says_what_there_is() {
    let file = "patterns/faulty-breakdown-truck.json";
    for (arguments, words) in [
        (
            ["--situation", "moonlight"],
            "there is no situation moonlight; there are: working",
        ),
        (
            ["--set", "moon=full"],
            "there is no signal moon; there are: warning",
        ),
        (
            ["--set", "warning=purple"],
            "signal warning has no value purple; it has: ",
        ),
        (["--set", "warning"], "SIGNAL=VALUE wanted"),
    ] {
        let run = lampwright(&["resolve", file, arguments[0], arguments[1]]);
        assert_eq!(run.code, 2);
        assert!(run.err.contains(words), "{}", run.err);
        assert_eq!(run.out, "");
    }
}

#[test]
fn explain_shows_the_page_of_every_rule() {
    for rule in lampwright_analysis::rules::RULES {
        let code = rule.meta().code.to_string();
        let run = lampwright(&["explain", &code.to_lowercase()]);
        assert_eq!(run.code, 0);
        assert!(run.out.starts_with(&format!("# {code} ")), "{}", run.out);
    }
    let unknown = lampwright(&["explain", "LW999"]);
    assert_eq!(unknown.code, 2);
    assert!(unknown.err.contains("there is no rule LW999"));
}

#[test]
fn rules_lists_each_with_source_and_how_it_is_known() {
    let run = lampwright(&["rules"]);
    assert_eq!(run.code, 0);
    for rule in lampwright_analysis::rules::RULES {
        let meta = rule.meta();
        assert!(run.out.contains(&format!("{} {} (", meta.code, meta.name)));
        for source in meta.sources {
            assert!(
                run.out
                    .contains(&format!("({}): {}", source.known.name(), source.says))
            );
        }
    }
    let json: Value =
        serde_json::from_str(&lampwright(&["rules", "--format", "json"]).out).unwrap();
    assert_eq!(json["rules"][0]["parameters"][1]["default"], 4.0);
}

#[test]
fn schema_prints_the_published_schemas() {
    let program = lampwright(&["schema"]);
    assert_eq!(program.code, 0);
    assert_eq!(
        program.out.trim_end(),
        lampwright_formats::program_schema().trim_end()
    );
    let pattern = lampwright(&["schema", "--pattern"]);
    assert_eq!(
        pattern.out.trim_end(),
        lampwright_formats::pattern_schema().trim_end()
    );
}

#[cfg(unix)]
#[test]
fn a_named_pipe_is_not_waited_for_and_a_pipe_from_the_shell_is_read() {
    let folder = folder(&[("b.json", &small_program("500", r#"{"code": "LW001"}"#))]);
    let pipe = folder.path().join("a.json");
    assert!(
        Command::new("mkfifo")
            .arg(&pipe)
            .status()
            .unwrap()
            .success()
    );
    for path in [path_of(&folder), pipe.to_str().unwrap()] {
        let run = lampwright(&["check", path]);
        assert_eq!(run.code, 2, "{}", run.out);
        assert!(
            run.out.contains("not a regular file, not read"),
            "{}",
            run.out
        );
    }
    let mut cat = Command::new("cat")
        .arg(folder.path().join("b.json"))
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let status = Command::new(env!("CARGO_BIN_EXE_lampwright"))
        .args(["check", "/dev/stdin"])
        .stdin(cat.stdout.take().unwrap())
        .stdout(std::process::Stdio::null())
        .status()
        .unwrap();
    cat.wait().unwrap();
    assert_eq!(status.code(), Some(0));
}

#[cfg(unix)]
#[test]
fn a_file_below_folders_that_link_to_each_other_is_judged_once() {
    use std::os::unix::fs::symlink;
    let good = small_program("500", r#"{"code": "LW001"}"#);
    let inside = folder(&[("a.json", &good), ("deep/b.json", &good)]);
    let outside = folder(&[("c.json", &good)]);
    symlink(".", inside.path().join("again")).unwrap();
    symlink("..", inside.path().join("deep/up")).unwrap();
    symlink("deep", inside.path().join("also")).unwrap();
    symlink(outside.path(), inside.path().join("other")).unwrap();
    let run = lampwright(&["check", path_of(&inside)]);
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{}", run.out);
    let heads: Vec<&str> = run
        .out
        .lines()
        .filter_map(|line| line.strip_prefix("== "))
        .map(|path| path.strip_prefix(path_of(&inside)).unwrap())
        .collect();
    assert_eq!(heads, ["/a.json", "/deep/b.json", "/other/c.json"]);
}

#[test]
fn a_reader_that_leaves_early_does_not_change_the_exit_code() {
    let faulty = "patterns/faulty-breakdown-truck.json";
    let clean = "patterns/rescue-tender.json";
    let broken = folder(&[("broken.json", "{")]);
    let broken = broken.path().join("broken.json");
    let code_unread = |arguments: &[&str]| {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let output = Command::new(env!("CARGO_BIN_EXE_lampwright"))
            .current_dir(root())
            .args(arguments)
            .stdout(writer)
            .output()
            .unwrap();
        assert_eq!(String::from_utf8(output.stderr).unwrap(), "");
        output.status.code().unwrap()
    };
    for format in ["text", "rich", "json", "sarif", "junit"] {
        for (file, code) in [(faulty, 1), (clean, 0), (broken.to_str().unwrap(), 2)] {
            let unread = code_unread(&["check", file, "--format", format]);
            assert_eq!(unread, code, "{format} {file}");
        }
    }
    assert_eq!(code_unread(&["check", faulty, "--watch"]), 1);
    assert_eq!(code_unread(&["rules"]), 0);
}
