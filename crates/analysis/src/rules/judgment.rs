//! What one rule says about one state or one program, before the states are put together.

use crate::quantity::{Limit, Quantity};
use crate::report::Finding;

/// What a rule says.
#[derive(Clone, PartialEq, Debug)]
pub enum Judgment {
    /// It looked.
    Checked {
        /// What it found; none means passed.
        findings: Vec<Finding>,
        /// The tightest margin it saw.
        tightest: Option<Margin>,
        /// What the verdict does not cover; empty when there is nothing to add.
        note: String,
    },
    /// There is nothing to look at.
    NotApplicable(String),
    /// It could not look.
    NotEvaluated(String),
}

impl Judgment {
    /// There is nothing to look at.
    pub(crate) fn not_applicable(why: impl Into<String>) -> Self {
        Self::NotApplicable(why.into())
    }

    /// It could not look.
    pub(crate) fn not_evaluated(why: impl Into<String>) -> Self {
        Self::NotEvaluated(why.into())
    }
}

/// How near something came to its limit.
#[derive(Clone, PartialEq, Debug)]
pub struct Margin {
    /// Distance to the limit as a share of the limit; below zero when outside.
    pub share: f64,
    /// In words: "0.5 Hz (30 per minute) below the limit at pattern x lane left".
    pub text: String,
}

impl Margin {
    /// The margin of a value at a place; none when the limit has no end.
    #[must_use]
    #[inline(never)]
    pub fn of(value: Quantity, limit: Limit, place: &str) -> Option<Self> {
        let distance = limit.margin(value)?;
        let end = if limit.at_most.map(|most| most.less(value)) == Some(distance) {
            limit.at_most?
        } else {
            limit.at_least?
        };
        let scale = end.in_units().abs();
        let share = if scale > 0.0 {
            distance.in_units() / scale
        } else {
            distance.in_units()
        };
        let text = format!(
            "{} against {} at {place}",
            value.text_apart_from(&[end]),
            limit.text()
        );
        Some(Self { share, text })
    }

    /// The nearer of two.
    #[must_use]
    #[inline(never)]
    pub fn tighter(one: Option<Self>, other: Option<Self>) -> Option<Self> {
        match (one, other) {
            (Some(one), Some(other)) => Some(if other.share < one.share { other } else { one }),
            (one, other) => one.or(other),
        }
    }
}
