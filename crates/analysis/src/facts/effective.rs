//! Effective intensity: the steady light that is seen as far as a flash (formulas F2, F3, F4 and F6 of the photometric sources).
//!
//! The law was found at the threshold of seeing, by night, and says nothing of glare; methods differ by two thirds for trains of short pulses, so each figure carries its method.
//! Invariant: floating point, by + − × ÷ alone, so that all targets give the same bits; no limit is held against it.
//! Absent: the shapes of single pulses, which are rectangular here; Allard's own formula, and sums that leave out the gaps.

use super::{Longest, TimingFacts};
use lampwright_timing::{Micros, Waveform};

/// The visual time constant of the formulas, seconds (Blondel and Rey 1911 measured 0.21 s; 0.2 s is later practice, second-hand).
pub const VISUAL_SECONDS: f64 = 0.2;

/// Time before the flash that is followed exactly; what lies further back counts by its mean.
const MEMORY_SECONDS: f64 = 200.0;
/// Steps of one period beyond which the work would show; no lamp is programmed so finely.
const MOST_STRETCHES: usize = 1000;
/// Instants looked at inside a stretch, besides its end.
const INNER: u32 = 8;

/// A stretch of one intensity.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Stretch {
    /// Its start, seconds.
    pub start: f64,
    /// Its end, seconds.
    pub end: f64,
    /// Intensity, candela.
    pub candela: f64,
}

impl Stretch {
    fn energy(self) -> f64 {
        self.candela * (self.end - self.start)
    }
}

/// Blondel and Rey over a whole train: light by `a` plus the time from first start to last end, candela.
#[must_use]
pub fn blondel_rey(flash: &[Stretch], a: f64) -> f64 {
    match (flash.first(), flash.last()) {
        (Some(first), Some(last)) => energy(flash) / (a + last.end - first.start),
        _ => 0.0,
    }
}

/// Blondel, Rey and Douglas: the same over that part of the train which makes it largest, candela.
///
/// The best part under a trial value is the run of stretches with the largest excess over it; its own value is the next trial, and the last one is the maximum (Dinkelbach's method).
#[must_use]
pub fn blondel_rey_douglas(flash: &[Stretch], a: f64) -> f64 {
    let mut best = 0.0;
    loop {
        let (mut energy, mut start, mut largest) = (0.0, 0.0, None::<(f64, f64)>);
        let mut is_running = false;
        for stretch in flash {
            // What came before is worth keeping only while it exceeds the trial value over its time.
            if !is_running || energy <= best * (stretch.start - start) {
                (energy, start, is_running) = (0.0, stretch.start, true);
            }
            energy += stretch.energy();
            let excess = energy - best * (stretch.end - start);
            if largest.is_none_or(|(known, _)| excess > known) {
                largest = Some((excess, energy / (a + stretch.end - start)));
            }
        }
        match largest {
            Some((_, value)) if value > best => best = value,
            _ => return best,
        }
    }
}

/// Form factor: light by `a` plus light over the largest intensity, candela.
#[must_use]
pub fn form_factor(flash: &[Stretch], a: f64) -> f64 {
    let largest = largest(flash);
    if largest > 0.0 {
        let energy = energy(flash);
        energy / (a + energy / largest)
    } else {
        0.0
    }
}

/// Modified Allard: the largest value of the light seen through the kernel a / (a + t)², of a flash alone, candela.
#[must_use]
pub fn modified_allard(flash: &[Stretch], a: f64) -> f64 {
    let seen = |at: f64| seen(flash.iter().copied(), at, a);
    largest_of(flash, seen)
}

/// The effective intensity of a light that repeats.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct EffectiveIntensity {
    /// Modified Allard of the light as it repeats, candela.
    pub modified_allard: f64,
    /// Blondel-Rey-Douglas of the strongest single flash, candela; none for light that never goes dark.
    pub blondel_rey_douglas: Option<f64>,
    /// Form factor of the strongest single flash, candela; none for light that never goes dark.
    pub form_factor: Option<f64>,
}

impl EffectiveIntensity {
    /// Of a level in per mille of a peak in candela; none for light that does not change, or in too many steps.
    ///
    /// A flash is closed by a dark gap longer than half the longest one, as for rhythms.
    #[must_use]
    pub fn of(level: &Waveform, peak_candela: f64) -> Option<Self> {
        let pieces: Vec<Stretch> = level
            .pieces()
            .filter(|(_, level)| *level > 0)
            .map(|(lit, level)| Stretch {
                start: seconds(lit.start),
                end: seconds(lit.end()),
                candela: peak_candela * level as f64 / 1000.0,
            })
            .collect();
        if level.is_constant() || pieces.is_empty() || pieces.len() > MOST_STRETCHES {
            return None;
        }
        let a = VISUAL_SECONDS;
        let flashes = single_flashes(level, &pieces);
        let strongest = |of: fn(&[Stretch], f64) -> f64| {
            flashes
                .iter()
                .map(|flash| of(flash, a))
                .reduce(|one, other| if other > one { other } else { one })
        };
        Some(Self {
            modified_allard: repeated(level, &pieces, a),
            blondel_rey_douglas: strongest(blondel_rey_douglas),
            form_factor: strongest(form_factor),
        })
    }
}

/// The stretches of each flash of one period, those over its end unrolled.
fn single_flashes(level: &Waveform, pieces: &[Stretch]) -> Vec<Vec<Stretch>> {
    let timing = TimingFacts::of(level);
    let Longest::Lasts(longest) = timing.longest_dark else {
        return Vec::new();
    };
    let period = seconds(level.period());
    let flashes = timing.flashes(Micros(longest.0 / 2 + 1));
    flashes
        .list
        .iter()
        .map(|flash| {
            let (start, end) = (seconds(flash.start), seconds(flash.end));
            [0.0, period]
                .into_iter()
                .flat_map(|later| {
                    pieces.iter().map(move |piece| Stretch {
                        start: piece.start + later,
                        end: piece.end + later,
                        candela: piece.candela,
                    })
                })
                .filter(|piece| piece.start >= start - HALF_MICRO && piece.end <= end + HALF_MICRO)
                .collect()
        })
        .collect()
}

/// Whole microseconds in seconds are told apart by half of one.
const HALF_MICRO: f64 = 0.000_000_5;

/// Modified Allard of light that has repeated without end.
fn repeated(level: &Waveform, pieces: &[Stretch], a: f64) -> f64 {
    let period = seconds(level.period());
    let mean = energy(pieces) / period;
    let n_before = (1_u32..)
        .find(|n| f64::from(*n) * period >= MEMORY_SECONDS)
        .unwrap_or(1);
    let from = -f64::from(n_before) * period;
    largest_of(pieces, |at| {
        let repeats = (0..=n_before).flat_map(|n| {
            let earlier = f64::from(n) * period;
            pieces.iter().map(move |piece| Stretch {
                start: piece.start - earlier,
                end: piece.end - earlier,
                candela: piece.candela,
            })
        });
        // All that came before has the rest of the kernel's weight.
        seen(repeats, at, a) + mean * a / (a + at - from)
    })
}

/// Light up to an instant through the kernel, candela.
fn seen(light: impl Iterator<Item = Stretch>, at: f64, a: f64) -> f64 {
    let share = |elapsed: f64| {
        if elapsed > 0.0 {
            elapsed / (a + elapsed)
        } else {
            0.0
        }
    };
    light
        .map(|stretch| stretch.candela * (share(at - stretch.start) - share(at - stretch.end)))
        .sum()
}

/// The largest value at the end of a stretch or at some instants inside it: in the dark it only falls.
fn largest_of(flash: &[Stretch], value: impl Fn(f64) -> f64) -> f64 {
    flash
        .iter()
        .flat_map(|stretch| {
            let step = (stretch.end - stretch.start) / f64::from(INNER);
            (1..=INNER).map(move |n| stretch.end - f64::from(INNER - n) * step)
        })
        .map(value)
        .fold(0.0, |one, other| if other > one { other } else { one })
}

fn energy(flash: &[Stretch]) -> f64 {
    flash.iter().map(|stretch| stretch.energy()).sum()
}

fn largest(flash: &[Stretch]) -> f64 {
    flash
        .iter()
        .map(|stretch| stretch.candela)
        .fold(0.0, |one, other| if other > one { other } else { one })
}

fn seconds(time: Micros) -> f64 {
    time.0 as f64 / 1_000_000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flash(stretches: &[(f64, f64, f64)]) -> Vec<Stretch> {
        stretches
            .iter()
            .map(|(start, end, candela)| Stretch {
                start: *start,
                end: *end,
                candela: *candela,
            })
            .collect()
    }

    #[track_caller]
    fn near(found: f64, expected: f64, relative: f64) {
        assert!(
            (found - expected).abs() <= relative * expected.abs(),
            "{found}, expected {expected}"
        );
    }

    /// Calculated from the formulas, in the photometric cases E8: 100 ms at 1000 cd, then 200 ms at 100 cd.
    #[test]
    fn the_faint_end_of_a_flash_takes_nothing_away() {
        let two_levels = flash(&[(0.0, 0.1, 1000.0), (0.1, 0.3, 100.0)]);
        near(blondel_rey_douglas(&two_levels, 0.2), 1000.0 / 3.0, 1e-9);
        near(form_factor(&two_levels, 0.2), 375.0, 1e-9);
        near(modified_allard(&two_levels, 0.2), 1000.0 / 3.0, 1e-9);
        near(blondel_rey(&two_levels, 0.2), 240.0, 1e-9);
    }

    /// The best part by trying every pair of ends, which the method has to find.
    #[test]
    fn the_best_part_is_that_of_all_pairs_of_ends() {
        let mut seed = 1_u32;
        let mut next = || {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(seed >> 16) / 65_536.0
        };
        for _ in 0..300 {
            let mut now = 0.0;
            let light: Vec<Stretch> = (0..7)
                .map(|_| {
                    let start = now + 0.3 * next();
                    let end = start + 0.01 + 0.2 * next();
                    now = end;
                    Stretch {
                        start,
                        end,
                        candela: 1000.0 * next(),
                    }
                })
                .collect();
            let best = (0..7)
                .flat_map(|first| (first..7).map(move |last| (first, last)))
                .map(|(first, last)| blondel_rey(&light[first..=last], 0.2))
                .fold(0.0, f64::max);
            near(blondel_rey_douglas(&light, 0.2), best, 1e-12);
        }
    }

    /// Photometric cases E12: 100 ms at 1, 2 and 4 Hz, and 250 ms at 2 Hz, calculated apart from this code.
    #[test]
    fn light_that_repeats_is_seen_with_what_came_before() {
        for (period_ms, on_ms, allard, alone) in [
            (1000, 100, 357.303_134_316, 333.333_333_333),
            (500, 100, 408.306_130_277, 333.333_333_333),
            (250, 100, 540.774_930_093, 333.333_333_333),
            (500, 250, 722.583_034_731, 555.555_555_556),
        ] {
            // Over the end of the period, which changes nothing.
            let ms = Micros::from_ms;
            let level = Waveform::from_pulses(ms(period_ms), [(ms(0), ms(on_ms), 1000)])
                .unwrap()
                .shifted(ms(period_ms - 60));
            let found = EffectiveIntensity::of(&level, 1000.0).unwrap();
            near(found.modified_allard, allard, 1e-5);
            near(found.blondel_rey_douglas.unwrap(), alone, 1e-6);
            near(found.form_factor.unwrap(), alone, 1e-6);
        }
    }

    /// High and low without dark: only modified Allard is defined (photometric sources, section 1.3).
    #[test]
    fn light_without_dark_has_one_method_and_steady_light_none() {
        let ms = Micros::from_ms;
        let pulses = [(ms(0), ms(125), 1000), (ms(125), ms(125), 100)];
        let level = Waveform::from_pulses(ms(250), pulses).unwrap();
        let found = EffectiveIntensity::of(&level, 1000.0).unwrap();
        assert_eq!((found.blondel_rey_douglas, found.form_factor), (None, None));
        assert!(found.modified_allard > 550.0 && found.modified_allard < 1000.0);
        assert_eq!(
            EffectiveIntensity::of(&Waveform::constant(1000), 1000.0),
            None
        );
    }
}
