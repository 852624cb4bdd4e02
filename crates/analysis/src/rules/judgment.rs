//! What one rule says about one state or one program, before the states are put together.

use crate::quantity::{Limit, Quantity};
use crate::report::Finding;
use std::fmt;

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
        let mut margin = None;
        Self::tighten(&mut margin, value, limit, &place);
        margin
    }

    /// Puts the margin of a value at a place where a wider one stood; only then are its words written.
    #[inline(never)]
    pub fn tighten(
        tightest: &mut Option<Self>,
        value: Quantity,
        limit: Limit,
        place: &dyn fmt::Display,
    ) {
        let below = limit.at_most.map(|most| (most.less(value), most));
        let above = limit.at_least.map(|least| (value.less(least), least));
        let nearer = match (below, above) {
            (Some(below), Some(above)) => Some(if above.0 < below.0 { above } else { below }),
            (one, other) => one.or(other),
        };
        let Some((distance, end)) = nearer else {
            return;
        };
        let scale = end.in_units().abs();
        let share = if scale > 0.0 {
            distance.in_units() / scale
        } else {
            distance.in_units()
        };
        if tightest.as_ref().is_none_or(|known| share < known.share) {
            let value = value.text_apart_from(&[end]);
            let text = format!("{value} against {} at {place}", limit.text());
            *tightest = Some(Self { share, text });
        }
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
