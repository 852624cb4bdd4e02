//! The shipped profiles: each names only what the rule book has, reads and writes the same, and judges every demo.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

#[path = "../../web/src/profiles.rs"]
mod listed;

use lampwright_analysis::check;
use lampwright_analysis::report::{Report, Verdict};
use lampwright_analysis::rules::{RULES, rule};
use lampwright_formats::{read_profile, read_program, write_profile};
use lampwright_model::{Confirmation, Parts, Profile, Program, RuleChoice, RuleCode, Severity};
use std::fs;
use std::path::{Path, PathBuf};

fn patterns() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../patterns")
}

fn json_files(folder: &Path) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| {
            path.extension()
                .is_some_and(|extension| extension == "json")
        })
        .collect();
    files.sort();
    files
}

/// Every shipped profile with its file's name.
fn profiles() -> Vec<(String, Profile)> {
    json_files(&patterns().join("profiles"))
        .iter()
        .map(|path| {
            let outcome = read_profile(&fs::read(path).unwrap());
            let name = path.file_stem().unwrap().to_string_lossy().into_owned();
            assert_eq!(outcome.problems, [], "{name}");
            (name, outcome.profile.unwrap())
        })
        .collect()
}

fn demos() -> Vec<Program> {
    json_files(&patterns())
        .iter()
        .map(|path| read_program(&fs::read(path).unwrap()).program.unwrap())
        .collect()
}

fn judged(program: &Program, profile: &Profile) -> Report {
    let (program, lacks) = Program::admit(Parts {
        profile: profile.clone(),
        ..program.to_parts()
    });
    assert_eq!(lacks, []);
    check(&program)
}

#[test]
fn every_profile_is_written_the_way_it_is_read() {
    for path in json_files(&patterns().join("profiles")) {
        let text = fs::read_to_string(&path).unwrap();
        let outcome = read_profile(text.as_bytes());
        assert_eq!(outcome.problems, [], "{}", path.display());
        let written = write_profile(&outcome.profile.unwrap(), &outcome.about);
        if std::env::var_os("UPDATE_GOLDEN").is_some() {
            fs::write(&path, &written).unwrap();
        } else {
            assert_eq!(written, text, "{}", path.display());
        }
    }
}

#[test]
fn the_app_lists_every_profile_by_its_title() {
    let shipped: Vec<(String, String)> = profiles()
        .into_iter()
        .map(|(name, profile)| (profile.title, name))
        .collect();
    let listed = listed::PROFILES.iter();
    let listed: Vec<(String, String)> = listed
        .map(|(title, name)| ((*title).to_owned(), (*name).to_owned()))
        .collect();
    assert_eq!(listed, shipped);
}

/// Only what is new starts with rules: a file is judged by what it says itself.
#[test]
fn a_file_without_a_profile_is_judged_by_no_chosen_rule() {
    let text = br#"{"format": "lampwright-program", "version": 1, "name": "old"}"#;
    let outcome = read_program(text);
    assert_eq!(outcome.problems, []);
    let program = outcome.program.unwrap();
    assert_eq!(program.profile, Profile::default());
    assert_eq!(check(&program).n_rules_chosen, 0);
}

#[test]
fn the_starting_set_speaks_of_no_jurisdiction() {
    let (_, profile) = profiles()
        .into_iter()
        .find(|(name, _)| name == "starting-set")
        .unwrap();
    assert!(profile.jurisdiction.starts_with("No jurisdiction"));
    let text = fs::read(patterns().join("profiles/starting-set.json")).unwrap();
    let about = read_profile(&text).about;
    assert!(about.contains("local law and the agency's specification decide"));
    // The screening is in it as a whole, and nothing is narrowed or made less grave.
    for code in 20..=23 {
        let choice = profile.rules.iter().find(|choice| choice.code.0 == code);
        assert_eq!(choice, Some(&RuleChoice::of(RuleCode(code))));
    }
}

#[test]
fn every_profile_names_known_rules_and_parameters_and_where_it_applies() {
    let profiles = profiles();
    assert!(profiles.len() >= 7, "one per family of sources");
    for (name, profile) in &profiles {
        assert!(!profile.title.is_empty(), "{name}");
        assert!(!profile.jurisdiction.is_empty(), "{name}");
        assert!(!profile.rules.is_empty(), "{name}");
        let report = judged(&Program::default(), profile);
        assert_eq!(report.profile_problems, [], "{name}");
        assert_eq!(report.n_rules_chosen, profile.rules.len(), "{name}");
        for choice in &profile.rules {
            assert!(rule(choice.code).is_some(), "{name} {}", choice.code);
            assert!(
                choice.confirmed.is_none(),
                "{name}: only an agency confirms"
            );
        }
    }
}

#[test]
fn every_rule_is_in_some_profile() {
    let profiles = profiles();
    for rule in RULES {
        let meta = rule.meta();
        let is_chosen = profiles
            .iter()
            .any(|(_, profile)| profile.rules.iter().any(|choice| choice.code == meta.code));
        assert!(is_chosen, "{} {} is in no profile", meta.code, meta.name);
    }
}

#[test]
fn every_profile_judges_every_demo_and_no_chosen_rule_is_silent() {
    for program in demos() {
        for (name, profile) in profiles() {
            let report = judged(&program, &profile);
            assert_eq!(report.outcomes.len(), RULES.len());
            for choice in &profile.rules {
                let verdict = &report.outcome(choice.code).unwrap().verdict;
                if let Verdict::NotEvaluated { why } | Verdict::NotApplicable { why } = verdict {
                    assert_ne!(why, "not in the profile", "{name} {}", choice.code);
                    assert!(!why.is_empty(), "{name} {}", choice.code);
                }
            }
        }
    }
}

/// What needs confirmation never makes an error in a shipped profile; confirmed, the same finding does.
#[test]
fn an_unverified_limit_warns_until_the_agency_confirms_it() {
    let program = demos()
        .into_iter()
        .find(|program| program.name.contains("reakdown"))
        .unwrap();
    let mut profile = profiles()
        .into_iter()
        .find(|(name, _)| name == "un-r65-special-warning-lamps")
        .unwrap()
        .1;
    let of_r65 = |report: &Report| -> Vec<(bool, Severity)> {
        report
            .findings
            .iter()
            .filter(|finding| finding.code.0 == 3 && !finding.depends_on_reading)
            .map(|finding| (finding.is_unverified, finding.severity))
            .collect()
    };
    let before = of_r65(&judged(&program, &profile));
    assert!(!before.is_empty());
    assert!(
        before
            .iter()
            .all(|found| *found == (true, Severity::Warning))
    );
    profile
        .rules
        .iter_mut()
        .find(|choice| choice.code.0 == 3)
        .unwrap()
        .confirmed = Some(Confirmation {
        source: "our copy, Annex 5".into(),
        by: "A. Clerk".into(),
        date: "2026-01-02".into(),
    });
    let after = of_r65(&judged(&program, &profile));
    assert_eq!(after.len(), before.len());
    assert!(after.iter().all(|found| *found == (false, Severity::Error)));
    let (confirmed, _) = Program::admit(Parts {
        profile,
        ..program.to_parts()
    });
    let report = check(&confirmed);
    let finding = report
        .findings
        .iter()
        .find(|finding| finding.code.0 == 3)
        .unwrap();
    let shown = lampwright_render::json::finding(&confirmed, finding);
    assert_eq!(shown["confirmed"]["by"], "A. Clerk");
    assert!(
        lampwright_render::report::finding_text(&confirmed, finding)
            .contains("confirmed by A. Clerk on 2026-01-02 from our copy, Annex 5")
    );
}

#[test]
fn the_published_schema_takes_every_profile_and_refuses_a_wrong_one() {
    let schema = serde_json::from_str(&lampwright_formats::profile_schema()).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    for path in json_files(&patterns().join("profiles")) {
        let mut tree: serde_json::Value =
            serde_json::from_slice(&fs::read(&path).unwrap()).unwrap();
        assert!(validator.is_valid(&tree), "{}", path.display());
        tree["profile"]["rules"][0]["code"] = "LW1".into();
        assert!(!validator.is_valid(&tree), "{}", path.display());
    }
}
