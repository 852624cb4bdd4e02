//! Reports for machines, profiles, coverage and fixes, as the binary gives them.

use crate::support::*;
use quick_junit::{NonSuccessKind, Report, TestCase, TestCaseStatus};
use serde_json::Value;
use std::fs;

const FAULTY: &str = "patterns/faulty-breakdown-truck.json";

/// One red head that flashes every 249 ms, with one waived and one confirmed rule.
const SMALL: &str = r#"{
  "format": "lampwright-program",
  "version": 1,
  "name": "nose lamp",
  "vehicle": {
    "heads": [
      {"id": "nose", "x_m": 2, "y_m": 0, "z_m": 1, "facing_deg": 0, "emitters": [{"color": "red"}]}
    ]
  },
  "patterns": [
    {
      "id": "beat",
      "period_ms": 249,
      "tick_ms": 1,
      "lanes": [{"role": "all", "pulses": [{"start_ms": 0, "length_ms": 80}]}]
    }
  ],
  "layers": [
    {
      "id": "always",
      "play": {"pattern": "beat", "bindings": [{"lane": "all", "heads": ["all"]}]}
    }
  ],
  "profile": {
    "title": "test",
    "jurisdiction": "none",
    "rules": [
      {"code": "LW001"},
      {"code": "LW002"},
      {
        "code": "LW003",
        "confirmed": {"source": "our copy", "by": "A. Clerk", "date": "2026-01-02"}
      }
    ]
  },
  "waivers": [
    {"rule": "LW002", "reason": "no ambulance", "by": "B. Chief", "date": "2026-02-03"}
  ]
}
"#;

fn small() -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("small.json");
    fs::write(&path, SMALL).unwrap();
    let path = path.to_str().unwrap().to_owned();
    (folder, path)
}

/// The schema is the one of the OASIS Standard SARIF 2.1.0, as the crate serde-sarif 0.8.0 (MIT) carries it.
///
/// One of its patterns, of a member that is not written here, has a stray bracket that no strict reader takes; it stands here the way it was meant.
fn sarif_errors(log: &Value) -> Vec<String> {
    let text = fs::read_to_string(root().join("tests/reference/sarif-schema-2.1.0.json")).unwrap();
    let stray = "^[a-zA-Z]{2}|^[a-zA-Z]{2}-[a-zA-Z]{2}]?$";
    assert!(text.contains(stray));
    let text = text.replace(stray, "^[a-zA-Z]{2}(-[a-zA-Z]{2})?$");
    let schema: Value = serde_json::from_str(&text).unwrap();
    let validator = jsonschema::options()
        .should_validate_formats(true)
        .build(&schema)
        .unwrap();
    validator
        .iter_errors(log)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect()
}

#[test]
fn sarif_is_valid_by_the_published_schema_and_the_schema_can_refuse() {
    let broken = tempfile::tempdir().unwrap();
    let path = broken.path().join("a b.json");
    fs::write(&path, "{\"format\": ").unwrap();
    let Run { code, out, .. } = lampwright(&[
        "check",
        "patterns",
        path.to_str().unwrap(),
        "--format",
        "sarif",
        "--outcomes",
    ]);
    assert_eq!(code, 2);
    let mut log: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(sarif_errors(&log), Vec::<String>::new());
    let first = &log["runs"][0];
    assert_eq!(first["invocations"][0]["executionSuccessful"], false);
    assert!(first["artifacts"].as_array().unwrap().len() > 20);
    log["runs"][0]["results"][0]["level"] = "grave".into();
    assert!(!sarif_errors(&log).is_empty());
}

#[test]
fn sarif_says_where_by_what_rule_and_who_accepted_it() {
    let (_folder, path) = small();
    let Run { code, out, .. } = lampwright(&["check", &path, "--format", "sarif"]);
    assert_eq!(code, 1);
    let log: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(sarif_errors(&log), Vec::<String>::new());
    let driver = &log["runs"][0]["tool"]["driver"];
    let results = log["runs"][0]["results"].as_array().unwrap();
    let of = |code: &str| {
        results
            .iter()
            .find(|result| result["ruleId"] == code)
            .unwrap()
    };
    let fast = of("LW001");
    assert_eq!(fast["level"], "error");
    let rule = &driver["rules"][usize::try_from(fast["ruleIndex"].as_u64().unwrap()).unwrap()];
    assert_eq!(rule["id"], "LW001");
    assert!(
        rule["help"]["markdown"]
            .as_str()
            .unwrap()
            .contains("## Why")
    );
    assert_eq!(rule["properties"]["sources"][0]["known"], "read");
    let location = &fast["locations"][0];
    assert_eq!(location["physicalLocation"]["region"]["startLine"], 15);
    assert_eq!(
        location["logicalLocations"][0]["fullyQualifiedName"],
        "/patterns/0/lanes/0"
    );
    assert!(fast.get("suppressions").is_none());
    let waived = of("LW002");
    assert_eq!(
        waived["suppressions"][0]["justification"],
        "no ambulance (B. Chief, 2026-02-03)"
    );
    let confirmed = of("LW003");
    assert_eq!(confirmed["properties"]["confirmed"]["by"], "A. Clerk");
    assert_eq!(confirmed["properties"]["is_unverified"], false);
}

#[test]
fn a_terminal_can_open_what_each_first_line_names() {
    let (_folder, path) = small();
    let Run { out, .. } = lampwright(&["check", &path]);
    let line = out.lines().find(|line| line.contains("LW001")).unwrap();
    assert!(
        line.starts_with(&format!("{path}:15:17: error LW001")),
        "{line}"
    );
    assert!(
        out.contains("confirmed by A. Clerk on 2026-01-02 from our copy"),
        "{out}"
    );
    fs::write(&path, SMALL.replace("\"tick_ms\": 1,", "\"tick_ms\": 1,,")).unwrap();
    let Run { out, .. } = lampwright(&["check", &path]);
    assert!(out.contains(&format!("{path}:14:20: problem ")), "{out}");
}

#[test]
fn junit_has_a_suite_per_file_and_a_case_per_rule() {
    let (_folder, path) = small();
    let Run { code, out, .. } = lampwright(&["check", &path, FAULTY, "--format", "junit"]);
    assert_eq!(code, 1);
    assert_eq!(
        out,
        lampwright(&["check", &path, FAULTY, "--format", "junit"]).out,
        "two runs differ"
    );
    let report = Report::deserialize_from_str(&out).unwrap();
    assert_eq!(report.test_suites.len(), 2);
    let n_rules = lampwright_analysis::rules::RULES.len();
    let suite = report
        .test_suites
        .iter()
        .find(|suite| suite.name.as_str() == path)
        .unwrap();
    assert_eq!(suite.test_cases.len(), n_rules + 1);
    let case = |code: &str| -> &TestCase {
        suite
            .test_cases
            .iter()
            .find(|case| case.name.as_str().starts_with(code))
            .unwrap()
    };
    assert!(matches!(
        case("LW001").status,
        TestCaseStatus::NonSuccess {
            kind: NonSuccessKind::Failure,
            ..
        }
    ));
    // Waived, so it does not fail, and yet it is not silent.
    let waived = case("LW002");
    assert!(matches!(waived.status, TestCaseStatus::Success { .. }));
    assert!(
        waived
            .system_out
            .as_ref()
            .unwrap()
            .as_str()
            .contains("no ambulance")
    );
    let TestCaseStatus::Skipped { message, .. } = &case("LW004").status else {
        panic!("a rule that is not run is skipped")
    };
    assert!(
        message
            .as_ref()
            .unwrap()
            .as_str()
            .contains("not in the profile")
    );
}

#[test]
fn the_rich_report_draws_the_lane_below_the_message() {
    let (_folder, path) = small();
    let Run { out, .. } = lampwright(&["check", &path, "--format", "rich"]);
    check_golden("rich-small.txt", &out.replace(&path, "small.json"));
    assert!(!out.contains('\u{1b}'), "no colors off a terminal");
    let Run { out: colored, .. } =
        lampwright(&["check", &path, "--format", "rich", "--color", "always"]);
    assert!(colored.contains("\u{1b}[1;31merror\u{1b}[0m"));
}

#[test]
fn heads_that_are_never_lit_are_told_one_by_one_and_what_they_share_once() {
    let head = |n: i32| {
        format!(
            r#"{{"id": "h{n}", "x_m": {n}, "y_m": 0, "z_m": 1, "facing_deg": 0, "emitters": [{{"color": "red"}}]}}"#
        )
    };
    let heads: Vec<String> = (0..8).map(head).collect();
    let text = format!(
        r#"{{"format": "lampwright-program", "version": 1, "name": "dark", "vehicle": {{"heads": [{}]}}, "profile": {{"rules": [{{"code": "LW014"}}]}}}}"#,
        heads.join(", ")
    );
    let told = |format: &str| {
        let run = lampwright_reading(&["check", "-", "--format", format], &text);
        assert_eq!(run.code, 1, "{}", run.err);
        run.out
    };
    for format in ["text", "rich"] {
        let out = told(format);
        for n in 0..8 {
            assert!(
                out.contains(&format!("head h{n} is lit in none of 1 state")),
                "{out}"
            );
        }
        assert_eq!(
            out.matches("help: Let a layer address it").count(),
            1,
            "{out}"
        );
        assert!(out.contains("findings: 0 errors, 8 warnings"), "{out}");
    }
    // A machine gets each finding whole.
    let json: Value = serde_json::from_str(&told("json")).unwrap();
    assert_eq!(
        json.to_string()
            .matches("is lit in none of 1 state")
            .count(),
        8
    );
    let sarif: Value = serde_json::from_str(&told("sarif")).unwrap();
    assert_eq!(sarif["runs"][0]["results"].as_array().unwrap().len(), 8);
}

#[test]
fn a_profile_file_takes_the_place_of_the_programs_own() {
    let (_folder, path) = small();
    let ambulance = "patterns/profiles/ambulance-specification.json";
    let Run { code, out, .. } = lampwright(&["check", &path, "--profile", ambulance, "--outcomes"]);
    assert_eq!(code, 0, "the only finding is waived");
    // Rules the profile leaves out are one line together.
    assert!(!out.contains("LW001 "), "{out}");
    assert!(
        out.contains(" rules not evaluated, not in the profile; `lampwright coverage` lists them"),
        "{out}"
    );
    assert!(out.contains("  LW002 "), "{out}");
    assert!(out.contains("waived LW002"), "{out}");
    let Run { code, err, .. } = lampwright(&["check", &path, "--profile", FAULTY]);
    assert_eq!(code, 2);
    assert!(err.contains("the profile is not used"), "{err}");
}

#[test]
fn a_limit_that_the_profile_set_is_told_beside_its_source() {
    let (_folder, path) = small();
    let own = SMALL.replace(
        r#"{"code": "LW001"}"#,
        r#"{"code": "LW001", "parameters": {"most_hz": 3}}"#,
    );
    fs::write(&path, own).unwrap();
    let Run { out, .. } = lampwright(&["check", &path]);
    assert!(
        out.contains("(read; the profile sets 3 Hz in place of 4 Hz as largest flash rate)"),
        "{out}"
    );
    let Run { out, .. } = lampwright(&["check", &path, "--format", "sarif"]);
    let log: Value = serde_json::from_str(&out).unwrap();
    let results = log["runs"][0]["results"].as_array().unwrap();
    let fast = results
        .iter()
        .find(|result| result["ruleId"] == "LW001")
        .unwrap();
    let set = &fast["properties"]["set_by_profile"][0];
    assert_eq!(
        (&set["name"], &set["unit"]),
        (&"most_hz".into(), &"Hz".into())
    );
    assert_eq!((&set["value"], &set["own"]), (&3.0.into(), &4.0.into()));
}

#[test]
fn coverage_lists_every_rule_with_what_it_rests_on() {
    let (_folder, path) = small();
    let Run { code, out, .. } = lampwright(&["coverage", &path]);
    assert_eq!(code, 0);
    for rule in lampwright_analysis::rules::RULES {
        assert!(out.contains(&format!("{} {} (", rule.meta().code, rule.meta().name)));
    }
    assert!(out.contains("looked in 1 of 1 judged states; failed, 1 finding"));
    assert!(out.contains("confirmed by A. Clerk on 2026-01-02 from our copy"));
    let Run { out: json, .. } = lampwright(&["coverage", &path, "--format", "json"]);
    let table: Value = serde_json::from_str(&json).unwrap();
    let rows = table["rules"].as_array().unwrap();
    assert_eq!(rows[0]["outcome"]["n_states"], 1);
    assert_eq!(rows[0]["limits"][1]["value"], 4.0);
    assert_eq!(rows[0]["limits"][2]["is_unverified"], true);
}

#[test]
fn a_fix_is_shown_first_and_written_only_when_asked_for() {
    let (_folder, path) = small();
    let Run { code, out, .. } = lampwright(&["fix", &path, "--code", "LW001"]);
    assert_eq!(code, 0, "{out}");
    assert!(out.contains("*1. Stretch pattern beat from 249 ms to 250 ms"));
    assert!(
        out.contains("-      \"period_ms\": 249,\n+      \"period_ms\": 250,"),
        "{out}"
    );
    assert!(out.contains("findings of LW001 1 before, 0 after"));
    assert!(out.contains("not written"));
    assert_eq!(fs::read_to_string(&path).unwrap(), SMALL);
    let Run { code, out, .. } = lampwright(&["fix", &path, "--code", "LW001", "--write"]);
    assert_eq!(code, 0);
    assert!(out.contains("written to"));
    let Run { out: after, .. } = lampwright(&["check", &path, "--outcomes"]);
    assert!(
        after.contains("LW001 flash-rate-outside-sae-band: passed"),
        "{after}"
    );
    let Run { code, out, .. } = lampwright(&["fix", &path, "--code", "LW001"]);
    assert_eq!((code, out.contains("finds nothing to mend")), (0, true));
}

#[test]
fn a_fix_never_writes_over_what_could_not_be_read() {
    let (_folder, path) = small();
    let odd = SMALL.replace(
        "\"name\": \"nose lamp\",",
        "\"name\": \"nose lamp\", \"mood\": 1,",
    );
    fs::write(&path, &odd).unwrap();
    let Run { code, err, .. } = lampwright(&["fix", &path, "--code", "LW001", "--write"]);
    assert_eq!(code, 2);
    assert!(err.contains("would be lost"), "{err}");
    assert_eq!(fs::read_to_string(&path).unwrap(), odd);
    assert_eq!(lampwright(&["fix", &path, "--code", "LW999"]).code, 2);
}

/// Broken files among good ones, more than the cores take at once, in every format.
#[test]
fn many_files_come_in_order_whatever_is_wrong_with_some() {
    let folder = tempfile::tempdir().unwrap();
    for number in 0..120 {
        let text = match number % 10 {
            3 => String::new(),
            7 => SMALL.replace("\"length_ms\": 80", "\"length_ms\": 800"),
            _ => SMALL.to_owned(),
        };
        fs::write(folder.path().join(format!("{number:03}.json")), text).unwrap();
    }
    let path = folder.path().to_str().unwrap();
    let Run {
        code, out: text, ..
    } = lampwright(&["check", path]);
    assert_eq!(code, 2);
    let heads: Vec<&str> = text
        .lines()
        .filter(|line| line.starts_with("== "))
        .collect();
    assert_eq!(heads.len(), 120);
    assert!(heads.is_sorted());
    assert_eq!(text.matches("could not be judged").count(), 12);
    for format in ["json", "sarif", "junit", "rich"] {
        let first = lampwright(&["check", path, "--format", format]).out;
        assert_eq!(
            first,
            lampwright(&["check", path, "--format", format]).out,
            "{format}"
        );
    }
}

#[test]
fn a_place_without_such_a_finding_is_refused_with_the_places_there_are() {
    let fix = ["fix", FAULTY, "--code", "LW001", "--place"];
    let at = |place: &'static str| lampwright(&[&fix[..], &[place]].concat());
    let Run { code, out, err } = at("pattern red-hury lane all");
    assert_eq!((code, out.as_str()), (2, ""));
    assert_eq!(
        err,
        "lampwright: no finding of LW001 at that place; its places are \
         pattern red-hurry lane all; pattern roof-crawl lane left; \
         pattern roof-crawl lane right; pattern winch-endless lane all\n"
    );
    let Run { code, out, err } = at("pattern red-hurry lane all");
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    assert!(out.contains("*1. Stretch pattern red-hurry"), "{out}");
    let (_folder, path) = small();
    fs::write(&path, SMALL.replace("249", "250")).unwrap();
    let Run { code, err, .. } =
        lampwright(&["fix", &path, "--code", "LW001", "--place", "pattern beat"]);
    assert_eq!(code, 2);
    assert!(err.contains("nothing at any other place"), "{err}");
}

/// The text with a SARIF replacement, whose columns count letters as the run says.
fn replaced(text: &str, replacement: &Value) -> String {
    let place = |line: &str, column: &str| {
        let number = |key: &str| {
            usize::try_from(replacement["deletedRegion"][key].as_u64().unwrap()).unwrap() - 1
        };
        let lines: Vec<&str> = text.split_inclusive('\n').collect();
        let before: usize = lines[..number(line)].iter().map(|line| line.len()).sum();
        let letters = lines[number(line)].chars().take(number(column));
        before + letters.map(char::len_utf8).sum::<usize>()
    };
    let range = place("startLine", "startColumn")..place("endLine", "endColumn");
    let mut out = text.to_owned();
    out.replace_range(
        range,
        replacement["insertedContent"]["text"].as_str().unwrap(),
    );
    out
}

#[test]
fn a_fix_in_sarif_put_into_the_text_takes_the_finding_away() {
    let (_folder, path) = small();
    let Run { code, out, .. } = lampwright(&["check", &path, "--format", "sarif", "--fixes"]);
    assert_eq!(code, 1);
    let log: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(sarif_errors(&log), Vec::<String>::new());
    let results = log["runs"][0]["results"].as_array().unwrap();
    let finding = |results: &[Value]| {
        results
            .iter()
            .find(|result| result["ruleId"] == "LW001" && result["level"] == "error")
            .cloned()
    };
    let fixes = finding(results).unwrap()["fixes"].clone();
    let fix = &fixes[0];
    assert!(!fix["description"]["text"].as_str().unwrap().is_empty());
    let change = &fix["artifactChanges"][0];
    assert_eq!(change["artifactLocation"]["index"], 0);
    let mut text = fs::read_to_string(&path).unwrap();
    let replacements = change["replacements"].as_array().unwrap();
    assert!(!replacements.is_empty());
    // From the end, so that the places before stay what they are.
    for replacement in replacements.iter().rev() {
        text = replaced(&text, replacement);
    }
    fs::write(&path, &text).unwrap();
    let Run { out, .. } = lampwright(&["check", &path, "--format", "sarif"]);
    let log: Value = serde_json::from_str(&out).unwrap();
    let notes = &log["runs"][0]["invocations"][0]["toolExecutionNotifications"];
    assert_eq!(notes.as_array().unwrap().len(), 0, "{notes}");
    assert_eq!(
        finding(log["runs"][0]["results"].as_array().unwrap()),
        None,
        "{text}"
    );
    let Run { code, err, .. } = lampwright(&["check", &path, "--fixes"]);
    assert_eq!(code, 2);
    assert!(err.contains("--fixes is part of SARIF reports"), "{err}");
}
