//! LW061: a dimming carrier beats with the pulses, so the light of a lamp swells and fades from flash to flash.

use super::carriers::{dimmed, heads, pulses};
use super::{
    Context, Draft, Judgment, Known, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use crate::Ratio;
use crate::facts::{beat_hz, chopped};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{Color, HeadId, Place, RuleCode, Severity};

/// Carrier that beats with the pulses.
pub(super) struct CarrierBeats;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(61),
    name: "carrier-beats",
    summary: "A dimming carrier beats with the pulses, so flashes that should be alike swell and fade",
    group: RuleGroup::Power,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source {
        document: "carrier against the period of the pattern",
        edition: "",
        clause: "",
        says: "a period that is no whole number of carrier periods moves the carrier's phase from flash to flash; a swing of a twentieth is taken as the most that matters",
        known: Known::Proposal,
    }],
    parameters: &[Parameter {
        name: "most_swing_percent",
        label: "largest swing of a flash's light as a share of what it should be",
        unit: "%",
        default: 5_000,
        range: (0, 200_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: page!("pages/lw061.md"),
};

/// One beat that some heads share.
struct Beat<'a> {
    beat: Ratio,
    swing: Ratio,
    hertz: u32,
    heads: Vec<&'a HeadId>,
    color: Color,
}

impl Rule for CarrierBeats {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let most = Quantity::thousandths(options.thousandths("most_swing_percent"), Unit::Percent);
        let limit = Limit::at_most(most);
        let mut found: Vec<Beat<'_>> = Vec::new();
        let mut n_pulses = 0;
        for dimmed in dimmed(context, options) {
            let level = &dimmed.emitter.level;
            let swing = pulses(level)
                .into_iter()
                .filter_map(|(pulse, level)| chopped(pulse, dimmed.hertz, level))
                .map(|chopped| chopped.spread)
                .max();
            let Some(swing) = swing else { continue };
            n_pulses += 1;
            let beat = beat_hz(dimmed.hertz, level.period());
            if beat == Ratio::ZERO || limit.admits(Quantity::of(swing.times(100), Unit::Percent)) {
                continue;
            }
            let known = found.iter_mut().find(|known| {
                (known.beat, known.swing, known.hertz) == (beat, swing, dimmed.hertz)
            });
            match known {
                Some(known) => known.heads.push(&dimmed.head.head),
                None => found.push(Beat {
                    beat,
                    swing,
                    hertz: dimmed.hertz,
                    heads: vec![&dimmed.head.head],
                    color: dimmed.emitter.color,
                }),
            }
        }
        if n_pulses == 0 {
            return Judgment::not_applicable("no carrier dims a pulse");
        }
        let findings = found
            .into_iter()
            .filter_map(|found| {
                let first = (*found.heads.first()?).clone();
                let swing = Quantity::of(found.swing.times(100), Unit::Percent);
                Some(
                    Draft::new(options, SOURCE, Place::Emitter(first, found.color))
                        .head(found.heads.first())
                        .measured(swing, limit)
                        .say(
                            format!(
                                "the flashes of {} swell and fade by {} at {}, since the period is no whole number of periods of the carrier of {} Hz, at most {most} wanted",
                                heads(&found.heads),
                                swing.text_apart_from(&[most]),
                                Quantity::of(found.beat, Unit::Hertz),
                                found.hertz
                            ),
                            "Make the pattern's period a whole number of carrier periods, choose a faster carrier, or let the carrier start anew with each pulse",
                        ),
                )
            })
            .collect();
        Judgment::Checked {
            findings,
            tightest: None,
            note: String::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};

    fn pulse(period: &str, end: &str) -> String {
        format!("head a front red carrier=100\nlane a period {period} ms: 0-{end}@200")
    }

    #[test]
    fn a_period_of_whole_carrier_periods_repeats_the_same_flash() {
        passes(61, &pulse("500", "45"));
        let found = finding(61, &pulse("501", "45"));
        // 50.1 carrier periods: a tenth of a turn every 501 ms.
        assert!(found.message.contains("0.2 Hz"), "{}", found.message);
    }

    #[test]
    fn a_pulse_of_whole_carrier_periods_does_not_swing() {
        passes(61, &pulse("501", "50"));
    }

    /// 1 ms short of ten carrier periods: 0 to 1 ms of 19.8 ms, 5.05 %.
    #[test]
    fn the_swing_has_a_limit() {
        passes(61, &pulse("501", "99.01"));
        finding(61, &pulse("501", "99"));
    }
}
