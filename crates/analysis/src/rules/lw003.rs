//! LW003: a light breaks the timing of UN Regulation No. 65, under both readings of a flash made of several pulses.

use super::lights::{Light, lights, longest_dark};
use super::{
    Context, Draft, Judgment, Known, Margin, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use crate::facts::{Flash, TimingFacts};
use crate::quantity::{Limit, Quantity, Unit};
use crate::report::Finding;
use lampwright_model::{RuleCode, Severity};
use lampwright_timing::Micros;

/// Flash timing outside UN R65.
pub(super) struct FlashTimingOutsideUnR65;

const FREQUENCY: usize = 0;
const ON_TIME: usize = 1;
const OFF_TIME: usize = 2;
const THRESHOLD: usize = 3;

static META: RuleMeta = RuleMeta {
    code: RuleCode(3),
    name: "flash-timing-outside-un-r65",
    summary: "A light flashes outside 2 to 4 Hz, is lit for more than 0.4 of an interval or dark for less than 100 ms",
    group: RuleGroup::Timing,
    severity: Severity::Error,
    since: "0.1.0",
    sources: &[
        Source {
            document: "UN Regulation No. 65",
            edition: "00 series",
            clause: "Annex 5, table",
            says: "flash frequency 2 Hz to 4 Hz",
            known: Known::Memory,
        },
        Source {
            document: "UN Regulation No. 65",
            edition: "00 series",
            clause: "Annex 5, table",
            says: "on-time at most 0.4 / f; whether the on-time of several pulses is their sum or first start to last end is not known",
            known: Known::Memory,
        },
        Source {
            document: "UN Regulation No. 65",
            edition: "00 series",
            clause: "Annex 5, table",
            says: "off-time at least 0.1 s",
            known: Known::Memory,
        },
        Source {
            document: "UN Regulation No. 65",
            edition: "00 series",
            clause: "",
            says: "a light is on while its intensity exceeds one tenth of the peak",
            known: Known::Weak,
        },
    ],
    parameters: &[
        Parameter {
            name: "least_hz",
            label: "least flash frequency",
            unit: "Hz",
            default: 2_000,
            range: (10, 100_000),
            source: FREQUENCY,
        },
        Parameter {
            name: "most_hz",
            label: "largest flash frequency",
            unit: "Hz",
            default: 4_000,
            range: (10, 100_000),
            source: FREQUENCY,
        },
        Parameter {
            name: "most_on_percent",
            label: "largest on-time as a share of the interval",
            unit: "%",
            default: 40_000,
            range: (0, 100_000),
            source: ON_TIME,
        },
        Parameter {
            name: "least_off_ms",
            label: "least off-time, which also ends a flash",
            unit: "ms",
            default: 100_000,
            range: (0, 10_000_000),
            source: OFF_TIME,
        },
        Parameter {
            name: "lit_above_percent",
            label: "share of the peak above which a light is on",
            unit: "%",
            default: 10_000,
            range: (0, 90_000),
            source: THRESHOLD,
        },
    ],
    is_always_run: false,
    page: page!("pages/lw003.md"),
};

impl Rule for FlashTimingOutsideUnR65 {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let lights = lights(context, options);
        if lights.list.is_empty() {
            return Judgment::not_applicable(lights.why_empty());
        }
        let limits = Limits::of(options);
        let mut findings = Vec::new();
        let mut tightest = None;
        for light in &lights.list {
            limits.judge(light, options, &mut findings, &mut tightest);
        }
        Judgment::Checked {
            findings,
            tightest,
            note: "on-time of several pulses judged both as their sum and from first start to last end"
                .into(),
        }
    }
}

struct Limits {
    frequency: Limit,
    on_percent: i64,
    least_off: Micros,
    lit_above: i64,
}

impl Limits {
    fn of(options: &Options<'_>) -> Self {
        let hertz = |name| Quantity::thousandths(options.thousandths(name), Unit::Hertz);
        Self {
            frequency: Limit::between(hertz("least_hz"), hertz("most_hz")),
            on_percent: options.thousandths("most_on_percent"),
            least_off: Micros(options.thousandths("least_off_ms")),
            lit_above: options.thousandths("lit_above_percent"),
        }
    }

    /// The largest on-time of an interval: a share of it, exact.
    fn most_on(&self, interval: Micros) -> Quantity {
        Quantity::new(
            i128::from(interval.0) * i128::from(self.on_percent),
            100_000 * 1_000,
            Unit::Milliseconds,
        )
    }

    fn interval_help(&self) -> String {
        let interval = |rate: Quantity| {
            let (numerator, denominator) = rate.fraction();
            Quantity::new(1000 * denominator, numerator, Unit::Milliseconds)
        };
        match (self.frequency.at_most, self.frequency.at_least) {
            (Some(most), Some(least)) => format!(
                "Make every interval from flash to flash {} to {}",
                interval(most),
                interval(least)
            ),
            _ => "Change the interval from flash to flash".into(),
        }
    }

    fn judge(
        &self,
        light: &Light<'_>,
        options: &Options<'_>,
        findings: &mut Vec<Finding>,
        tightest: &mut Option<Margin>,
    ) {
        let threshold = light.level.maximum() * self.lit_above / 100_000;
        let timing = TimingFacts::above(light.level, threshold);
        let flashes = timing.flashes(self.least_off);
        let on_heads = light.on_heads();
        let draft = |source| {
            Draft::new(options, source, light.place.clone())
                .lane(light.lane_id())
                .head(light.heads.first())
        };
        if flashes.list.is_empty() {
            let longest = Quantity::of_time(longest_dark(&timing));
            let least = Quantity::of_time(self.least_off);
            findings.push(
                draft(OFF_TIME)
                    .span(light.on_lane(Micros::ZERO, light.level.period()))
                    .measured(longest, Limit::at_least(least))
                    .say(
                        format!(
                            "off-time {}{on_heads}, at least {least} wanted",
                            longest.text_apart_from(&[least])
                        ),
                        format!("Open a dark gap of at least {least} after each flash"),
                    ),
            );
            return;
        }
        let mut note = |value, limit| {
            Margin::tighten(tightest, value, limit, &light.place);
        };
        let hertz = |flash: &Flash| Quantity::of(flash.rate().hz(), Unit::Hertz);
        let worst = flashes
            .list
            .iter()
            .min_by_key(|flash| self.frequency.margin(hertz(flash)));
        if let Some(flash) = worst {
            let rate = hertz(flash);
            if self.frequency.admits(rate) {
                note(rate, self.frequency);
            } else {
                let ends = self.frequency.ends();
                findings.push(
                    draft(FREQUENCY)
                        .span(light.on_lane(flash.start, flash.interval))
                        .measured(rate, self.frequency)
                        .say(
                            format!(
                                "an interval of {} is {}{on_heads}, {} wanted",
                                Quantity::of_time(flash.interval),
                                rate.text_apart_from(&ends),
                                self.frequency.text()
                            ),
                            self.interval_help(),
                        ),
                );
            }
        }
        // The flash whose time goes furthest past its limit, or comes nearest to it.
        let furthest = |time: fn(&Flash) -> Micros| {
            flashes.list.iter().min_by_key(|flash| {
                self.most_on(flash.interval)
                    .less(Quantity::of_time(time(flash)))
            })
        };
        let sum = furthest(|flash| flash.light);
        let envelope = furthest(|flash| flash.envelope());
        let (Some(by_sum), Some(by_envelope)) = (sum, envelope) else {
            return;
        };
        let most_of_sum = self.most_on(by_sum.interval);
        let most_of_envelope = self.most_on(by_envelope.interval);
        let light_sum = Quantity::of_time(by_sum.light);
        let first_to_last = Quantity::of_time(by_envelope.envelope());
        let help = |most: Quantity| {
            format!("Shorten the pulses to at most {most} per flash or lengthen the interval")
        };
        if light_sum > most_of_sum {
            findings.push(
                draft(ON_TIME)
                    .span(light.on_lane(by_sum.start, by_sum.end - by_sum.start))
                    .measured(light_sum, Limit::at_most(most_of_sum))
                    .say(
                        format!(
                            "on-time {}{on_heads}, at most {most_of_sum} of an interval of {} wanted",
                            light_sum.text_apart_from(&[most_of_sum]),
                            Quantity::of_time(by_sum.interval)
                        ),
                        help(most_of_sum),
                    ),
            );
        } else if first_to_last > most_of_envelope {
            findings.push(
                draft(ON_TIME)
                    .reading_differs(true)
                    .span(light.on_lane(by_envelope.start, by_envelope.envelope()))
                    .measured(first_to_last, Limit::at_most(most_of_envelope))
                    .say(
                        format!(
                            "depends on reading{on_heads}: the pulses of a flash add up to {light_sum}, within {most_of_sum}; from first start to last end they last {}, at most {most_of_envelope} wanted",
                            first_to_last.text_apart_from(&[most_of_envelope])
                        ),
                        "Move the pulses of a flash closer together, or confirm the reading with the text of the regulation",
                    ),
            );
        } else {
            note(first_to_last, Limit::at_most(most_of_envelope));
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, findings, passes};
    use lampwright_model::Severity;

    fn one_lane(period: &str, pulses: &str) -> String {
        format!("head a front blue\nlane a period {period} ms: {pulses}")
    }

    #[test]
    fn limits_from_memory_warn_until_they_are_confirmed() {
        let text = one_lane("501", "0-100");
        let found = finding(3, &text);
        assert_eq!(found.severity, Severity::Warning);
        assert!(found.is_unverified);
        let confirmed = finding(3, &format!("{text}\nrule LW003 confirmed"));
        assert_eq!(confirmed.severity, Severity::Error);
        assert!(!confirmed.is_unverified);
    }

    #[test]
    fn intervals_and_on_times_are_inclusive_at_their_limits() {
        passes(3, &one_lane("500", "0-200"));
        passes(3, &one_lane("250", "0-100"));
        assert!(
            finding(3, &one_lane("500", "0-200.001"))
                .message
                .contains("on-time 200.001 ms")
        );
        assert!(
            finding(3, &one_lane("249.999", "0-99"))
                .message
                .contains("interval")
        );
    }

    /// With gaps of 99 ms nothing ends a flash, with 100 ms each pulse is one.
    #[test]
    fn the_off_time_is_inclusive() {
        let found = finding(3, &one_lane("250", "0-151"));
        assert!(
            found.message.contains("off-time 99 ms"),
            "{}",
            found.message
        );
        let at_the_limit = findings(3, &one_lane("250", "0-150"));
        assert!(
            at_the_limit
                .iter()
                .all(|found| found.message.contains("on-time"))
        );
        assert_eq!(at_the_limit.len(), 1);
    }

    /// Case C10 of the flash rules: 90 ms of light spread over 210 ms of an interval of 500 ms.
    #[test]
    fn readings_that_disagree_say_so() {
        let found = finding(3, &one_lane("500", "0-30 90-120 180-210"));
        assert!(found.depends_on_reading);
        assert!(
            found.message.starts_with("depends on reading"),
            "{}",
            found.message
        );
        passes(3, &one_lane("500", "0-30 85-115 170-200"));
    }

    #[test]
    fn a_trough_of_a_tenth_of_the_peak_is_dark_and_above_it_is_not() {
        passes(3, &one_lane("500", "0-200 200-500@100"));
        let found = finding(3, &one_lane("500", "0-200 200-500@101"));
        assert!(found.message.contains("off-time 0 ms"), "{}", found.message);
    }
}
