//! Patterns kept to be used again: what is told of each, and finding one.
//!
//! Invariant: what is told of a pattern is measured of its pulses, never read from its words.
//! Absent: where patterns are kept and how their files are read; judging them, see [`crate::trial`].

use crate::trial::Class;
use lampwright_analysis::facts::{Rate, TimingFacts};
use lampwright_model::{Lane, Pattern};
use lampwright_timing::{Micros, Waveform};

/// Dark gap that closes a flash in what is told of a pattern (SAE J595 and J845, from memory).
const CLOSING_GAP: Micros = Micros::from_ms(160);

/// What is told of a pattern besides its words.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Figures {
    /// How often its quickest lane flashes; none for steady light and where no dark gap ends a flash.
    pub rate: Option<Rate>,
    /// Most pulses in a flash.
    pub n_pulses: usize,
}

impl Figures {
    /// Measures a pattern; light counts as off at a tenth of a lane's peak, so that a high and low has a rate.
    #[must_use]
    pub fn of(pattern: &Pattern) -> Self {
        let mut figures = Self {
            rate: None,
            n_pulses: 0,
        };
        for lane in &pattern.lanes {
            let Some(course) = course(pattern, lane) else {
                continue;
            };
            let timing = TimingFacts::above(&course, course.maximum() / 10);
            let flashes = timing.flashes(CLOSING_GAP);
            let most = flashes.list.iter().map(|flash| flash.pulses).max();
            figures.n_pulses = figures.n_pulses.max(most.unwrap_or(0));
            if let Some(rate) = flashes.rate()
                && figures.rate.is_none_or(|known| rate.hz() > known.hz())
            {
                figures.rate = Some(rate);
            }
        }
        figures
    }

    /// "75 per minute, 1.25 Hz", or why there is no rate.
    #[must_use]
    pub fn rate_text(&self) -> String {
        match self.rate {
            Some(rate) => lampwright_analysis::quantity::Quantity::of(
                rate.hz(),
                lampwright_analysis::quantity::Unit::Hertz,
            )
            .text_apart_from(&[]),
            None => "none: no dark gap".into(),
        }
    }
}

/// The course of a lane in per mille; none for a lane that is no lane.
pub fn course(pattern: &Pattern, lane: &Lane) -> Option<Waveform> {
    let pulses = lane
        .pulses
        .iter()
        .map(|pulse| (pulse.start, pulse.length, pulse.level.per_mille()));
    Waveform::from_pulses(pattern.period, pulses).ok()
}

/// What is looked for; what is not given does not count.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Query {
    /// Words that all have to occur in the name or the description, in any order.
    pub words: String,
    /// Least rate in thousandths of a flash per minute.
    pub least_rate: Option<i64>,
    /// Largest rate in thousandths of a flash per minute.
    pub most_rate: Option<i64>,
    /// Pulses per flash, in thousandths: between two whole numbers lies no pattern.
    pub n_pulses: Option<i64>,
    /// The gravest verdict that will do.
    pub worst: Option<Class>,
}

impl Query {
    /// Why nothing can be found, whatever patterns there are.
    #[must_use]
    pub fn why_empty(&self) -> Option<&'static str> {
        let is_reversed =
            matches!((self.least_rate, self.most_rate), (Some(least), Some(most)) if least > most);
        if is_reversed {
            Some("the least rate is above the most")
        } else if self
            .n_pulses
            .is_some_and(|n_pulses| n_pulses < 0 || n_pulses % 1000 != 0)
        {
            Some("pulses are counted in whole numbers")
        } else {
            None
        }
    }

    /// Whether a pattern is what is looked for; `class` is none while it has not been judged.
    #[must_use]
    pub fn fits(&self, label: &str, about: &str, figures: &Figures, class: Option<Class>) -> bool {
        let text = format!("{label} {about}").to_ascii_lowercase();
        let words = self.words.to_ascii_lowercase();
        let has_words = words.split_whitespace().all(|word| text.contains(word));
        // Compared as flashes by periods, so that no rate is rounded.
        let is_at_least = |least: i64| {
            figures
                .rate
                .is_some_and(|rate| side(rate) >= i128::from(least) * i128::from(rate.period.0))
        };
        let is_at_most = |most: i64| {
            figures
                .rate
                .is_some_and(|rate| side(rate) <= i128::from(most) * i128::from(rate.period.0))
        };
        has_words
            && self.least_rate.is_none_or(is_at_least)
            && self.most_rate.is_none_or(is_at_most)
            && self.n_pulses.is_none_or(|wanted| {
                i64::try_from(figures.n_pulses) == Ok(wanted / 1000) && wanted % 1000 == 0
            })
            && self
                .worst
                .is_none_or(|worst| class.is_some_and(|class| class <= worst))
    }
}

/// Flashes by the microseconds of a minute, in thousandths.
fn side(rate: Rate) -> i128 {
    rate.flashes as i128 * 60_000_000_000
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::builder::{Arrangement, PulseLength, Wish, build};

    fn figures(wish: &Wish) -> Figures {
        Figures::of(&build(wish).expect("it can be built").pattern)
    }

    #[test]
    fn a_query_takes_what_fits_in_every_respect() {
        // 75 per minute a side, two pulses of 75 ms.
        let figures = figures(&Wish {
            n_pulses: 2,
            length: PulseLength::Time(Micros::from_ms(75)),
            ..Wish::default()
        });
        let fits = |query: Query| {
            query.fits(
                "Alternating double flash",
                "Left, then right",
                &figures,
                Some(Class::Remarks),
            )
        };
        assert_eq!(figures.n_pulses, 2);
        assert!(fits(Query::default()));
        let words = |words: &str| Query {
            words: words.into(),
            ..Query::default()
        };
        assert!(fits(words("DOUBLE left")));
        assert!(!fits(words("double sweep")));
        let rates = |least: i64, most: i64| Query {
            least_rate: Some(least),
            most_rate: Some(most),
            ..Query::default()
        };
        assert!(fits(rates(75_000, 75_000)));
        assert!(!fits(rates(75_001, 90_000)));
        assert!(!fits(rates(60_000, 74_999)));
        let pulses = |n: i64| Query {
            n_pulses: Some(n),
            ..Query::default()
        };
        assert!(fits(pulses(2_000)));
        assert!(!fits(pulses(1_000)));
        // Half a pulse is no pulse.
        assert!(!fits(pulses(2_500)));
        assert_eq!(
            pulses(2_500).why_empty(),
            Some("pulses are counted in whole numbers")
        );
        assert_eq!(
            rates(75_001, 75_000).why_empty(),
            Some("the least rate is above the most")
        );
        assert_eq!(rates(75_000, 75_000).why_empty(), None);
        let worst = |class: Class| Query {
            worst: Some(class),
            ..Query::default()
        };
        assert!(fits(worst(Class::Warnings)));
        assert!(fits(worst(Class::Remarks)));
        assert!(!fits(worst(Class::Clean)));
        // Not judged is not passed.
        assert!(!worst(Class::Errors).fits("", "", &figures, None));
    }

    #[test]
    fn steady_light_has_no_rate_and_no_pulses() {
        let figures = figures(&Wish {
            arrangement: Arrangement::Steady,
            ..Wish::default()
        });
        assert_eq!((figures.rate, figures.n_pulses), (None, 0));
        let some_rate = Query {
            least_rate: Some(1),
            ..Query::default()
        };
        assert!(!some_rate.fits("", "", &figures, None));
    }
}
