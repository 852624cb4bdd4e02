//! Beam models: the share of the peak intensity a head sends into a direction.
//!
//! Floating point through `libm` alone, rounded once to whole microcandela.

use lampwright_model::{Beam, Millidegrees};

/// Share of the peak at a horizontal angle from the beam axis, degrees, left above zero, within -180 to 180.
///
/// Half-peak angles give a Gaussian, `exp(-ln 2 (angle / half angle)^2)` (calculated; photometry facts, section 5.1), and zero from 90 degrees off the axis on, behind the face.
/// A table is followed by straight lines and is zero outside, so a measured table may reach behind the face.
#[must_use]
pub fn horizontal_fraction(beam: &Beam, degrees: f64) -> f64 {
    match beam {
        Beam::AllRound { .. } => 1.0,
        Beam::HalfPeak { horizontal, .. } => {
            if degrees.abs() >= 90.0 {
                0.0
            } else {
                gaussian(degrees, *horizontal)
            }
        }
        Beam::Table { horizontal, .. } => {
            let next = horizontal.partition_point(|(angle, _)| angle.in_units() <= degrees);
            let before = next.checked_sub(1).and_then(|place| horizontal.get(place));
            match (before, horizontal.get(next)) {
                (Some(left), Some(right)) => {
                    let from = left.0.in_units();
                    let share = (degrees - from) / (right.0.in_units() - from);
                    let (low, high) = (f64::from(left.1), f64::from(right.1));
                    (low + (high - low) * share) / 1000.0
                }
                (Some(last), None) if last.0.in_units() >= degrees => f64::from(last.1) / 1000.0,
                _ => 0.0,
            }
        }
    }
}

/// Share of the peak at an angle above or below the beam axis, degrees: a Gaussian of the half-peak angle.
#[must_use]
pub fn vertical_fraction(beam: &Beam, degrees: f64) -> f64 {
    let (Beam::HalfPeak { vertical, .. }
    | Beam::Table { vertical, .. }
    | Beam::AllRound { vertical }) = beam;
    gaussian(degrees, *vertical)
}

fn gaussian(degrees: f64, half_peak: Millidegrees) -> f64 {
    let ratio = degrees / half_peak.in_units();
    libm::exp(-std::f64::consts::LN_2 * ratio * ratio)
}

/// Intensity in whole microcandela at full level, rounded once, of a peak in millicandela at angles in degrees from the axis.
#[must_use]
#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    reason = "peaks stay below 2^53 microcandela and fractions within 0 to 1"
)]
pub fn intensity_microcandela(
    beam: &Beam,
    peak_millicandela: i64,
    horizontal_degrees: f64,
    vertical_degrees: f64,
) -> i64 {
    let fraction =
        horizontal_fraction(beam, horizontal_degrees) * vertical_fraction(beam, vertical_degrees);
    libm::round(peak_millicandela as f64 * 1000.0 * fraction) as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    const WIDE: Beam = Beam::HalfPeak {
        horizontal: Millidegrees(20_000),
        vertical: Millidegrees(5_000),
    };

    #[test]
    fn half_the_peak_at_the_half_peak_angles() {
        // Definition of the half-peak angle; photometry facts, section 5.1.
        assert_eq!(intensity_microcandela(&WIDE, 1000, 0.0, 0.0), 1_000_000);
        assert_eq!(intensity_microcandela(&WIDE, 1000, -20.0, 0.0), 500_000);
        assert_eq!(intensity_microcandela(&WIDE, 1000, 0.0, 5.0), 500_000);
        assert_eq!(intensity_microcandela(&WIDE, 1000, 20.0, -5.0), 250_000);
    }

    #[test]
    fn nothing_shines_behind_the_face() {
        let beam = Beam::HalfPeak {
            horizontal: Millidegrees(90_000),
            vertical: Millidegrees(5_000),
        };
        assert!(horizontal_fraction(&beam, 89.9) > 0.5);
        assert!(horizontal_fraction(&beam, 90.0) <= 0.0);
        assert!(horizontal_fraction(&beam, -120.0) <= 0.0);
    }

    #[test]
    fn a_table_is_followed_by_straight_lines_and_ends() {
        let beam = Beam::Table {
            horizontal: vec![
                (Millidegrees(-30_000), 0),
                (Millidegrees(0), 1000),
                (Millidegrees(10_000), 500),
            ],
            vertical: Millidegrees(90_000),
        };
        let at = |degrees| (horizontal_fraction(&beam, degrees) * 1000.0).round();
        assert!((at(-15.0) - 500.0).abs() < 1e-9);
        assert!((at(5.0) - 750.0).abs() < 1e-9);
        assert!((at(10.0) - 500.0).abs() < 1e-9);
        assert!(at(10.1).abs() < 1e-9);
        assert!(at(-31.0).abs() < 1e-9);
    }

    #[test]
    fn an_all_round_lamp_shines_everywhere() {
        let beam = Beam::AllRound {
            vertical: Millidegrees(4_000),
        };
        assert_eq!(intensity_microcandela(&beam, 7, 180.0, 4.0), 3_500);
    }
}
