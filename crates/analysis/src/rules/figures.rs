//! The figures that timing rules have in common, as parameters of a rule.
//!
//! Invariant: a name stands for one quantity in one unit, whichever rule has it, so that the shared judgments find it.
//! Absent: figures of one rule alone.

use super::Parameter;

/// Name of the dark gap that ends a flash.
pub(crate) const GAP: &str = "gap_ms";
/// Name of the most different intervals of a regular light.
pub(crate) const MOST_INTERVALS: &str = "most_intervals";
/// Name of the least lit share.
pub(crate) const LEAST_LIT: &str = "least_lit_percent";
/// Name of the largest lit share.
pub(crate) const MOST_LIT: &str = "most_lit_percent";
/// Name of the largest lit time against the dark.
pub(crate) const MOST_LIT_TO_DARK: &str = "most_lit_to_dark";

/// Fewest flashes per minute.
pub(crate) const fn least_per_minute(value: i64, source: usize) -> Parameter {
    rate(
        "least_per_minute",
        "fewest flashes per minute",
        value,
        source,
    )
}

/// Most flashes per minute.
pub(crate) const fn most_per_minute(value: i64, source: usize) -> Parameter {
    rate("most_per_minute", "most flashes per minute", value, source)
}

/// A parameter in flashes per minute under another name.
pub(crate) const fn rate(
    name: &'static str,
    label: &'static str,
    value: i64,
    source: usize,
) -> Parameter {
    Parameter {
        name,
        label,
        unit: "per minute",
        default: value * 1_000,
        range: (1_000, 6_000_000),
        source,
    }
}

/// Least or largest flashes per second: `least_hz`, `most_hz`.
pub(crate) const fn hz(
    name: &'static str,
    label: &'static str,
    value: i64,
    source: usize,
) -> Parameter {
    Parameter {
        name,
        label,
        unit: "Hz",
        default: value * 1_000,
        range: (10, 100_000),
        source,
    }
}

/// The dark gap that ends a flash, 160 ms.
pub(crate) const fn gap(source: usize) -> Parameter {
    Parameter {
        name: GAP,
        label: "dark gap that ends a flash",
        unit: "ms",
        default: 160_000,
        range: (0, 10_000_000),
        source,
    }
}

/// Most different intervals of a regular light.
pub(crate) const fn most_intervals(source: usize) -> Parameter {
    Parameter {
        name: MOST_INTERVALS,
        label: "most different intervals of a regular light",
        unit: "",
        default: 2_000,
        range: (1_000, 1_000_000),
        source,
    }
}

/// Least share of the period that is lit, per cent.
pub(crate) const fn least_lit(percent: i64, source: usize) -> Parameter {
    share(LEAST_LIT, "least lit share of the period", percent, source)
}

/// Largest share of the period that is lit, per cent.
pub(crate) const fn most_lit(percent: i64, source: usize) -> Parameter {
    share(MOST_LIT, "largest lit share of the period", percent, source)
}

/// A parameter in per cent.
pub(crate) const fn share(
    name: &'static str,
    label: &'static str,
    percent: i64,
    source: usize,
) -> Parameter {
    Parameter {
        name,
        label,
        unit: "%",
        default: percent * 1_000,
        range: (0, 100_000),
        source,
    }
}

/// Longest light against the dark: two thirds of a period are twice the dark, which per cent could not say exactly.
pub(crate) const fn most_lit_to_dark(times: i64, source: usize) -> Parameter {
    Parameter {
        name: MOST_LIT_TO_DARK,
        label: "lit time at most so many times the dark",
        unit: "times",
        default: times * 1_000,
        range: (0, 1_000_000),
        source,
    }
}
