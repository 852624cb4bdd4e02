//! The judgment that rate rules share: flashes per time inside a band, under a stated reading of what a flash is.
//!
//! A flash is a pulse or a train of pulses closed by a dark gap.
//! The gap of such a rule is known less well than its band, so every other gap is tried beside it: only when none of them brings the rate into the band is the verdict the band's own.

use super::lights::{Light, longest_dark};
use super::{Draft, Options};
use crate::facts::{Flashes, Rate};
use crate::quantity::{Limit, Quantity, Unit};
use crate::report::Finding;
use lampwright_timing::Micros;

/// What a rate rule asks.
pub(crate) struct RateBand {
    /// The band, hertz.
    pub(crate) limit: Limit,
    /// Dark gap that closes a flash, inclusive.
    pub(crate) gap: Micros,
    /// Index of the source of the band.
    pub(crate) band_source: usize,
    /// Index of the source of the gap.
    pub(crate) gap_source: usize,
}

/// Says of how many lights the verdict rests on the gap; empty for none.
pub(crate) fn note_on_gap(n_by_gap: usize, options: &Options<'_>, band: &RateBand) -> String {
    if n_by_gap == 0 {
        return String::new();
    }
    format!(
        "{n_by_gap} within the band only because a dark gap below {} does not end a flash ({})",
        Quantity::of_time(band.gap),
        options
            .known(band.gap_source)
            .map_or("unknown", super::Known::name)
    )
}

/// A light within the band.
pub(crate) struct Passed {
    /// Its rate.
    pub(crate) rate: Quantity,
    /// Whether counting every pulse it would be outside.
    pub(crate) rests_on_gap: bool,
}

/// Judges one light.
pub(crate) fn judge_light(
    light: &Light<'_>,
    options: &Options<'_>,
    band: &RateBand,
) -> Result<Passed, Box<Finding>> {
    let limit = band.limit;
    let draft = Draft::new(options, band.band_source, light.place.clone())
        .lane(light.lane_id())
        .head(light.heads.first());
    let flashes = light.timing.flashes(band.gap);
    let pulses = light.timing.flashes(Micros::ZERO);
    let (rate, naive) = (hertz(&flashes), hertz(&pulses));
    if limit.admits(rate) {
        return Ok(Passed {
            rate,
            rests_on_gap: !limit.admits(naive),
        });
    }
    let ends = limit.ends();
    let on_heads = light.on_heads();
    let whole = light.on_lane(Micros::ZERO, light.level.period());
    if pulses.list.is_empty() {
        // Neither reading finds a flash, but whether a dimmed stretch ends one is no source's word.
        return Err(Box::new(
            draft
                .resting_on(band.gap_source)
                .span(whole)
                .measured(rate, limit)
                .say(
                    format!(
                        "never goes dark{on_heads}, so no flash ends; flash rate {} wanted",
                        limit.text()
                    ),
                    "Leave a dark gap after each flash, or hold the light steady",
                ),
        ));
    }
    if flashes.list.is_empty() {
        let longest = Quantity::of_time(longest_dark(light.timing));
        let gap = Quantity::of_time(band.gap);
        if breaks_whatever_the_gap(light, limit) {
            return Err(Box::new(draft.span(whole).measured(naive, limit).say(
                format!(
                    "flash rate {}{on_heads} counting every pulse, {} wanted; no dark gap reaches {gap}, the longest is {longest}, so as trains of pulses no flash ends",
                    naive.text_apart_from(&ends),
                    limit.text()
                ),
                format!("Stretch the period and leave a dark gap of at least {gap} after each flash"),
            )));
        }
        return Err(Box::new(
            draft
                .resting_on(band.gap_source)
                .reading_differs(limit.admits(naive))
                .span(whole)
                .measured(longest, Limit::at_least(gap))
                .say(
                    format!(
                        "longest dark gap {}{on_heads}, at least {gap} wanted, so no flash ends; counting every pulse the rate is {}",
                        longest.text_apart_from(&[gap]),
                        naive.text_apart_from(&ends)
                    ),
                    format!("Open a dark gap of at least {gap} after each flash, or stretch the period"),
                ),
        ));
    }
    let is_too_fast = limit.at_most.is_some_and(|most| rate > most);
    let reading = if naive == rate {
        String::new()
    } else {
        format!("; counting every pulse {}", naive.text_apart_from(&ends))
    };
    let bound = if is_too_fast {
        limit.at_most
    } else {
        limit.at_least
    };
    let end = bound.unwrap_or(rate);
    let period = period_for(flashes.list.len(), end, is_too_fast);
    let (word, period_word) = if is_too_fast {
        ("at most", "at least")
    } else {
        ("at least", "at most")
    };
    Err(Box::new(
        draft
            .resting_on(if breaks_whatever_the_gap(light, limit) {
                band.band_source
            } else {
                band.gap_source
            })
            .reading_differs(limit.admits(naive))
            .span(whole)
            .measured(rate, limit)
            .say(
                format!(
                    "flash rate {}{on_heads}, {word} {end} wanted{reading}",
                    rate.text_apart_from(&[end])
                ),
                format!(
                    "Make the period {period_word} {period} for its {}",
                    super::count(flashes.list.len(), "flash", "flashes")
                ),
            ),
    ))
}

/// Whether no dark gap at all, taken as the one that ends a flash, gives a rate within the limit.
///
/// Only the gaps that occur in the light make a difference, and a longer one than all of them gives no flash.
fn breaks_whatever_the_gap(light: &Light<'_>, limit: Limit) -> bool {
    let pulses = light.timing.flashes(Micros::ZERO);
    let mut gaps: Vec<Micros> = pulses.list.iter().map(|flash| flash.off).collect();
    gaps.sort_unstable();
    gaps.dedup();
    let none = Quantity::whole(0, Unit::Hertz);
    !limit.admits(none)
        && gaps
            .into_iter()
            .all(|gap| !limit.admits(hertz(&light.timing.flashes(gap))))
}

/// Flashes per time over the period.
pub(crate) fn hertz(flashes: &Flashes) -> Quantity {
    Quantity::of(
        flashes.rate().map_or(crate::Ratio::ZERO, Rate::hz),
        Unit::Hertz,
    )
}

/// The period at which so many flashes run at a rate, rounded to the safe side by whole microseconds.
pub(crate) fn period_for(n_flashes: usize, rate: Quantity, round_up: bool) -> Quantity {
    let (numerator, denominator) = rate.fraction();
    let numerator = numerator.max(1);
    let micros = n_flashes as i128 * 1_000_000 * denominator;
    let whole = if round_up {
        (micros + numerator - 1) / numerator
    } else {
        micros / numerator
    };
    Quantity::new(whole, 1000, Unit::Milliseconds)
}
