//! Facts against worked cases from published and calculated sources; each case in `reference/` carries its own source.
//!
//! Every case of both files is either run here, every expected number of it, or named with the reason why not; anything else fails.
//! The cases are compiled in, so the same functions run natively and as WebAssembly.

#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test may stop at the first surprise"
)]

mod bits;
mod electrical;
mod flash_rules;
mod loads;

pub use bits::{FINGERPRINT, fingerprint};
pub use electrical::electrical_cases;
pub use flash_rules::flash_rule_cases;

use lampwright_analysis::Ratio;
use lampwright_timing::{Micros, Waveform};
use serde_json::Value;
use std::cell::RefCell;
use std::collections::BTreeSet;

/// One case, with a record of which expected values were compared.
pub(crate) struct Case<'a> {
    pub(crate) id: &'a str,
    pub(crate) inputs: &'a Value,
    pub(crate) expected: &'a Value,
    relative: f64,
    absolute: f64,
    pub(crate) seen: RefCell<BTreeSet<String>>,
}

impl Case<'_> {
    #[track_caller]
    pub(crate) fn close(&self, what: &str, expected: f64, found: f64) {
        let allowed = self.absolute.max(self.relative * expected.abs());
        assert!(
            (found - expected).abs() <= allowed,
            "{} {what}: expected {expected}, found {found}",
            self.id
        );
    }

    #[track_caller]
    pub(crate) fn number(&self, key: &str, found: f64) {
        self.seen.borrow_mut().insert(key.into());
        let expected = self.expected[key].as_f64();
        self.close(key, expected.expect("a number"), found);
    }

    #[track_caller]
    pub(crate) fn numbers(&self, key: &str, found: &[f64]) {
        self.seen.borrow_mut().insert(key.into());
        let expected = numbers(&self.expected[key]);
        assert_eq!(expected.len(), found.len(), "{} {key}", self.id);
        for (expected, found) in expected.iter().zip(found) {
            self.close(key, *expected, *found);
        }
    }

    #[track_caller]
    pub(crate) fn equal(&self, key: &str, found: Value) {
        self.seen.borrow_mut().insert(key.into());
        assert_eq!(self.expected[key], found, "{} {key}", self.id);
    }

    /// Expected values that are left out, with the reason.
    pub(crate) fn left_out(&self, keys: &[&str], _reason: &str) {
        let mut seen = self.seen.borrow_mut();
        for key in keys {
            assert!(seen.insert((*key).into()), "{} {key} was compared", self.id);
        }
    }

    #[track_caller]
    pub(crate) fn finish(&self) {
        let expected: BTreeSet<String> =
            self.expected.as_object().unwrap().keys().cloned().collect();
        assert_eq!(
            *self.seen.borrow(),
            expected,
            "{}: values compared",
            self.id
        );
    }

    pub(crate) fn number_in(&self, key: &str) -> f64 {
        self.inputs[key].as_f64().expect("a number")
    }
}

pub(crate) fn numbers(value: &Value) -> Vec<f64> {
    value
        .as_array()
        .expect("a list")
        .iter()
        .map(|number| number.as_f64().expect("a number"))
        .collect()
}

/// Runs every case of a file; `run` says whether it knows the case.
pub(crate) fn run_all(text: &str, not_run: &[(&str, &str)], run: impl Fn(&Case<'_>) -> bool) {
    let file: Value = serde_json::from_str(text).unwrap();
    let mut names = BTreeSet::new();
    for case in file["cases"].as_array().unwrap() {
        let id = case["id"].as_str().unwrap();
        let case = Case {
            id,
            inputs: &case["inputs"],
            expected: &case["expected"],
            relative: case["tolerance"]["rel"].as_f64().unwrap_or(0.0),
            absolute: case["tolerance"]["abs"].as_f64().unwrap_or(0.0),
            seen: RefCell::default(),
        };
        names.insert(id.to_owned());
        let is_listed = not_run.iter().any(|(name, _)| *name == id);
        let is_run = run(&case);
        assert!(
            is_run != is_listed,
            "{id}: run {is_run}, listed as not run {is_listed}"
        );
        if is_run {
            case.finish();
        }
    }
    for (name, _) in not_run {
        assert!(
            names.contains(*name),
            "{name} is listed but not in the file"
        );
    }
}

/// A time in milliseconds written as a fraction, `"12000/11"`.
pub(crate) fn fraction(value: &Value) -> Ratio {
    let text = value.as_str().expect("a fraction");
    let (top, bottom) = text.split_once('/').unwrap_or((text, "1"));
    Ratio::new(top.parse().unwrap(), bottom.parse().unwrap())
}

/// A time as whole microseconds times `scale`.
pub(crate) fn scaled(milliseconds: Ratio, scale: i128) -> Micros {
    let time = milliseconds.times(1000 * scale);
    assert_eq!(time.denominator(), 1, "{time} is no whole number");
    Micros(time.numerator().try_into().unwrap())
}

/// The least factor that makes every time of the pulses and the period whole.
pub(crate) fn scale_of(times: &[Ratio]) -> i128 {
    (1..=1000)
        .find(|scale| {
            times
                .iter()
                .all(|time| time.times(1000 * scale).denominator() == 1)
        })
        .unwrap()
}

pub(crate) fn pulse_times(list: &Value) -> Vec<(Ratio, Ratio)> {
    list.as_array()
        .unwrap()
        .iter()
        .map(|pulse| (fraction(&pulse["start_ms"]), fraction(&pulse["on_ms"])))
        .collect()
}

pub(crate) fn course(period: Ratio, pulses: &[(Ratio, Ratio)], scale: i128) -> Waveform {
    Waveform::from_pulses(
        scaled(period, scale),
        pulses
            .iter()
            .map(|(start, on)| (scaled(*start, scale), scaled(*on, scale), 1000)),
    )
    .unwrap()
}
