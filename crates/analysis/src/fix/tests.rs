//! What fixes are offered for the faults of small programs, and that they do what they say.

use super::*;
use crate::check;
use crate::rules::sketch;

/// The labels of the fixes of the first finding of a rule, each of which was held against a check of its own.
#[track_caller]
fn labels(code: u16, text: &str) -> Vec<String> {
    let code = RuleCode(code);
    let program = sketch::program(code, text);
    let report = check(&program);
    let finding = report
        .findings
        .iter()
        .find(|finding| finding.code == code)
        .unwrap();
    fixes(&program, &report, finding, &CheckSettings::default())
        .into_iter()
        .map(|tried| {
            let fixed = program.apply(&tried.fix.edit).unwrap();
            assert_eq!(fixed, tried.program);
            let after = check(&fixed);
            assert_eq!(after, tried.report);
            assert!(
                after
                    .findings
                    .iter()
                    .all(|other| other.code != code || other.place != finding.place),
                "{}: {:#?}",
                tried.fix.label,
                after.findings
            );
            tried.fix.label
        })
        .collect()
}

#[test]
fn a_rate_past_its_band_is_brought_to_the_end_of_the_band() {
    let fast = labels(1, "head a front red\nlane a period 200 ms: 0-20");
    assert_eq!(
        fast,
        ["Stretch pattern a from 200 ms to 250 ms, all its pulses with it"]
    );
    let slow = labels(1, "head a front red\nlane a period 2000 ms: 0-500");
    assert_eq!(
        slow,
        ["Shorten pattern a from 2000 ms to 1000 ms, all its pulses with it"]
    );
}

/// At 250 ms the gap would be 143 ms, too short to end a flash, so the pattern is stretched further.
#[test]
fn a_rate_is_brought_further_inside_where_the_gap_needs_it() {
    let labels = labels(1, "head a front red\nlane a period 210 ms: 0-90");
    assert_eq!(
        labels,
        ["Stretch pattern a from 210 ms to 313 ms, all its pulses with it"]
    );
}

#[test]
fn a_dark_gap_too_short_is_opened_toward_the_pulse_before() {
    let labels = labels(1, "head a front red\nlane a period 250 ms: 0-100");
    assert_eq!(
        labels.first().map(String::as_str),
        Some(
            "Shorten the pulse before the longest dark gap of pattern a lane all, so that the gap is 160 ms"
        )
    );
}

#[test]
fn an_opened_gap_may_run_past_the_end_of_the_period() {
    // Lit from 200 to 250 and from 0 to 50: the gap from 50 to 200 grows toward the pulse at its start.
    let program = sketch::program(
        RuleCode(1),
        "head a front red\nlane a period 250 ms: 0-50 200-250",
    );
    let report = check(&program);
    let tried = fixes(
        &program,
        &report,
        report.findings.first().unwrap(),
        &CheckSettings::default(),
    );
    let Some(Edit::SetPulses { pulses, .. }) = tried.first().map(|tried| &tried.fix.edit) else {
        panic!("{tried:?}")
    };
    let spans: Vec<(i64, i64)> = pulses
        .iter()
        .map(|pulse| (pulse.start.get(), pulse.end().get()))
        .collect();
    assert_eq!(spans, [(0, 40_000), (200_000, 250_000)]);
}

#[test]
fn sides_in_step_are_parted_by_half_a_period() {
    let apart = labels(
        11,
        "head a front-left red\nhead b front-right red\nlane a period 500 ms: 0-100\nlane b period 500 ms: 0-100\nguarantee sides alternate a b",
    );
    assert_eq!(apart, ["Delay the right side by 250 ms, half a period"]);
    let together = labels(
        11,
        "head a front-left red\nhead b front-right red\nlane a b period 500 ms: 0-100\nguarantee sides alternate a b",
    );
    assert_eq!(together, ["Delay the right side by 250 ms, half a period"]);
}

/// The other pair is not declared to alternate, so it stays as it is.
#[test]
fn only_the_heads_declared_to_alternate_are_delayed() {
    let text = "head a front-left red\nhead b front-right red\nhead c rear-right red\nlane a period 500 ms: 0-100\nlane b period 500 ms: 0-100\nlane c period 500 ms: 0-100\nguarantee sides alternate a b";
    for code in [11, 41] {
        let code = RuleCode(code);
        let program = sketch::program(code, text);
        let report = check(&program);
        let finding = report
            .findings
            .iter()
            .find(|finding| finding.code == code)
            .unwrap();
        let tried = fixes(&program, &report, finding, &CheckSettings::default());
        let fixed = &tried.first().unwrap().program;
        let offsets: Vec<i64> = fixed
            .layers
            .iter()
            .map(|layer| match &layer.action {
                lampwright_model::Action::Play { bindings, .. } => {
                    bindings.iter().map(|binding| binding.offset.get()).sum()
                }
                _ => 0,
            })
            .collect();
        assert_eq!(offsets, [0, 250_000, 0], "{code}");
    }
}

#[test]
fn heads_promised_dark_get_a_layer_on_top() {
    let labels = labels(
        41,
        "head a front red\nlane a period 500 ms: 0-100\nguarantee crew be-dark a",
    );
    assert_eq!(
        labels,
        ["Put a layer on top that keeps the heads of guarantee crew dark while it holds"]
    );
}

#[test]
fn an_arrow_lit_too_briefly_is_lit_longer_and_one_too_fast_is_stretched() {
    let lit = labels(
        4,
        "head a rear amber\nlane a period 2000 ms: 0-900\nrule LW004 only_patterns=a",
    );
    assert_eq!(
        lit,
        ["Lengthen the pulses of pattern a lane all to 50 % lit"]
    );
    let fast = labels(
        4,
        "head a rear amber\nlane a period 1000 ms: 0-600\nrule LW004 only_patterns=a",
    );
    assert_eq!(
        fast,
        ["Stretch pattern a from 1000 ms to 1500 ms, all its pulses with it"]
    );
}

#[test]
fn an_output_over_its_rating_plays_lower_or_is_dimmed() {
    let labels = labels(
        30,
        "head a front red 2A output=o\noutput o 1A\nlane a period 500 ms: 0-100",
    );
    assert_eq!(labels.len(), 2, "{labels:?}");
    assert!(
        labels
            .first()
            .is_some_and(|label| label.starts_with("Lower what plays on output o to"))
    );
    assert!(
        labels
            .last()
            .is_some_and(|label| label.starts_with("Dim the heads on output o to"))
    );
}

#[test]
fn a_fuse_over_its_share_plays_lower() {
    let labels = labels(
        31,
        "head a front red 10A output=o\noutput o 20A fuse=f\nfuse f 6A\nlane a period 400 ms: 0-100",
    );
    assert!(!labels.is_empty());
}

#[test]
fn waivers_that_accept_nothing_are_removed() {
    let labels = labels(
        40,
        "head a front red\nlane a period 500 ms: 0-100\nwaiver LW001\nwaiver LW002",
    );
    assert_eq!(labels, ["Remove the 2 waivers that accept nothing"]);
}

#[test]
fn what_no_mechanical_change_mends_is_offered_none() {
    let none = labels(
        14,
        "head a front red\nhead b rear red\nlane a period 500 ms: 0-100",
    );
    assert_eq!(none, [""; 0]);
}
