//! `lampwright states` as a person runs it.

use crate::support::*;
use serde_json::Value;

fn states(arguments: &[&str]) -> (i32, String) {
    let run = lampwright(&[&["states"], arguments].concat());
    (run.code, run.out)
}

#[track_caller]
fn says(text: &str, line: &str) {
    assert!(text.lines().any(|known| known == line), "{line}\n{text}");
}

#[test]
fn a_sound_program_is_proven_and_judged_in_every_state() {
    let (code, text) = states(&["patterns/harbor-patrol-car.json"]);
    assert_eq!(code, 0, "{text}");
    // warning 3, gear 2, ambient 2, tailgate 2 and two lights 2 each: worked out by hand.
    says(
        &text,
        "states: 96 of 96 combinations of 6 signals are possible",
    );
    says(
        &text,
        "guarantee tailgate-dark: proven in all 48 states it speaks of",
    );
    says(
        &text,
        "judged: 48 drives that stand for 96 states; 0 findings",
    );
    assert!(text.contains("It is not a medical clearance"));
    // Half of the states have the tailgate open, and so has a drive that is written only when all are.
    let (_, all) = states(&["patterns/harbor-patrol-car.json", "--all"]);
    assert!(text.contains("and 36 more, written with --all"), "{text}");
    assert_eq!(
        all.lines().filter(|line| line.starts_with("    ")).count(),
        48,
        "{all}"
    );
}

#[test]
fn a_broken_guarantee_is_refuted_with_a_state_in_the_fewest_words() {
    let (code, text) = states(&[
        "patterns/faulty-breakdown-truck.json",
        "--severity",
        "error",
    ]);
    assert_eq!(code, 1);
    says(
        &text,
        "guarantee crew-dark: refuted in 1 state; in warning on, deck-crew yes, rest default: heads deck-left, deck-right and winch are lit",
    );
    says(&text, "heads that are never lit: step-right, bed-light");
    assert!(
        text.contains("in 2 states (1 drive): error LW004"),
        "{text}"
    );
}

#[test]
fn what_is_not_judged_is_said_and_is_no_clean_result() {
    let (code, text) = states(&["patterns/harbor-patrol-car.json", "--most-drives", "47"]);
    assert_eq!(code, 1);
    says(
        &text,
        "rules: not run over all states: 48 distinct drives are more than --most-drives 47",
    );
}

#[test]
fn machines_read_the_same() {
    let (code, text) = states(&["patterns/faulty-breakdown-truck.json", "--format", "json"]);
    assert_eq!(code, 1);
    let json: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(json["combinations"], 8);
    // Two of three switches are never on at once.
    assert_eq!(json["states"], 6);
    let drives = &json["parts"][1]["drives"];
    let n_states: u64 = drives
        .as_array()
        .unwrap()
        .iter()
        .map(|drive| drive["states"].as_u64().unwrap())
        .sum();
    assert_eq!(n_states, 6);
    let crew = &json["guarantees"][0];
    assert_eq!(crew["result"], "refuted");
    assert_eq!(crew["first"]["signals"]["deck-crew"], "yes");
    let findings = json["judged"]["findings"].as_array().unwrap();
    assert!(findings.len() > 50, "{}", findings.len());
    assert!(findings.iter().all(|found| {
        let n_states = found["states"].as_u64().unwrap();
        (1..=6).contains(&n_states) && !found["finding"]["message"].as_str().unwrap().is_empty()
    }));
}

#[test]
fn a_file_that_is_not_there_could_not_be_run() {
    assert_eq!(states(&["patterns/none.json"]).0, 2);
}
