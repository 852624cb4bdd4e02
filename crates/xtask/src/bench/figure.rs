//! A measured figure: least, median, 95th percentile and most of repeated measurements.
//!
//! Invariant: made of at least one measurement, and the four never fall.

use std::fmt;

use serde_json::Value;

use crate::process::Problem;

/// What came of measuring the same thing repeatedly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Figure {
    pub(super) least: f64,
    pub(super) median: f64,
    /// The smallest measurement that at least 95 % do not exceed.
    pub(super) p95: f64,
    pub(super) most: f64,
    pub(super) n_repeats: usize,
}

impl Figure {
    /// The figure of some measurements; none without any.
    pub(super) fn of(mut measurements: Vec<f64>) -> Option<Self> {
        measurements.sort_by(f64::total_cmp);
        let n_repeats = measurements.len();
        let at = |percent: usize| -> Option<f64> {
            let rank = (n_repeats * percent).div_ceil(100);
            measurements.get(rank.checked_sub(1)?).copied()
        };
        Some(Self {
            least: measurements.first().copied()?,
            median: at(50)?,
            p95: at(95)?,
            most: measurements.last().copied()?,
            n_repeats,
        })
    }

    /// The figure of a JSON list of numbers.
    pub(super) fn of_times(times: &Value) -> Result<Self, Problem> {
        let measurements = times
            .as_array()
            .map(|times| times.iter().filter_map(Value::as_f64).collect::<Vec<f64>>());
        measurements
            .and_then(Self::of)
            .ok_or_else(|| Problem::new("a list of times is missing", "report this as a fault"))
    }

    /// The same in another unit.
    pub(super) fn scaled(self, factor: f64) -> Self {
        Self {
            least: self.least * factor,
            median: self.median * factor,
            p95: self.p95 * factor,
            most: self.most * factor,
            ..self
        }
    }
}

impl fmt::Display for Figure {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "median {:.2}", self.median)?;
        if self.n_repeats > 1 {
            write!(
                formatter,
                ", 95 % within {:.2}, least {:.2}, most {:.2}, of {}",
                self.p95, self.least, self.most, self.n_repeats
            )?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn percentiles_are_measurements_that_were_made() {
        let figure = Figure::of((1..=100).rev().map(f64::from).collect());
        assert_eq!(
            figure,
            Some(Figure {
                least: 1.0,
                median: 50.0,
                p95: 95.0,
                most: 100.0,
                n_repeats: 100
            })
        );
        let one = Figure::of(vec![7.0]).map(|figure| (figure.median, figure.p95));
        assert_eq!(one, Some((7.0, 7.0)));
    }

    #[test]
    fn nothing_measured_is_no_figure() {
        assert_eq!(Figure::of(Vec::new()), None);
        assert!(Figure::of_times(&Value::Null).is_err());
    }
}
