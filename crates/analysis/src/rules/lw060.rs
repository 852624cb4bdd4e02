//! LW060: a dimming carrier is so slow that flashes of one length are lit unequally long.

use super::carriers::{dimmed, heads, pulses};
use super::{
    Context, Draft, Judgment, Known, Margin, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use crate::facts::{Chopped, chopped};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{Color, HeadId, Place, RuleCode, Severity};
use lampwright_timing::Micros;

/// Carrier too slow for a pulse.
pub(super) struct CarrierTooSlow;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(60),
    name: "carrier-too-slow",
    summary: "A dimming carrier is so slow that the lit time of a pulse depends on its phase",
    group: RuleGroup::Power,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source {
        document: "pulse chopped by a free-running carrier",
        edition: "",
        clause: "",
        says: "lit time varies by what a part of a carrier period can hold; a tenth is taken as the most that matters",
        known: Known::Proposal,
    }],
    parameters: &[Parameter {
        name: "most_spread_percent",
        label: "largest spread of the lit time as a share of what it should be",
        unit: "%",
        default: 10_000,
        range: (0, 200_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: page!("pages/lw060.md"),
};

/// One spread that some heads share.
struct Spread<'a> {
    pulse: Micros,
    level: i64,
    hertz: u32,
    chopped: Chopped,
    heads: Vec<&'a HeadId>,
    color: Color,
}

impl Rule for CarrierTooSlow {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let most = Quantity::thousandths(options.thousandths("most_spread_percent"), Unit::Percent);
        let limit = Limit::at_most(most);
        let mut tightest = None;
        let mut found: Vec<Spread<'_>> = Vec::new();
        let mut n_pulses = 0;
        for dimmed in dimmed(context, options) {
            let worst = pulses(&dimmed.emitter.level)
                .into_iter()
                .filter_map(|(pulse, level)| {
                    Some((pulse, level, chopped(pulse, dimmed.hertz, level)?))
                })
                .max_by(|one, other| {
                    (one.2.spread.cmp(&other.2.spread)).then_with(|| other.0.cmp(&one.0))
                });
            let Some((pulse, level, chopped)) = worst else {
                continue;
            };
            n_pulses += 1;
            let spread = Quantity::of(chopped.spread.times(100), Unit::Percent);
            if limit.admits(spread) {
                let place = format_args!("head {}", dimmed.head.head);
                Margin::tighten(&mut tightest, spread, limit, &place);
                continue;
            }
            let known = found.iter_mut().find(|known| {
                (known.pulse, known.level, known.hertz) == (pulse, level, dimmed.hertz)
            });
            match known {
                Some(known) => known.heads.push(&dimmed.head.head),
                None => found.push(Spread {
                    pulse,
                    level,
                    hertz: dimmed.hertz,
                    chopped,
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
                let spread = Quantity::of(found.chopped.spread.times(100), Unit::Percent);
                let ms = |value| Quantity::of(value, Unit::Milliseconds);
                Some(
                    Draft::new(options, SOURCE, Place::Emitter(first, found.color))
                        .head(found.heads.first())
                        .measured(spread, limit)
                        .say(
                            format!(
                                "a pulse of {} at {} ‰ of {} is lit {} to {} by a carrier of {} Hz, {} apart, at most {most} wanted",
                                Quantity::of_time(found.pulse),
                                found.level,
                                heads(&found.heads),
                                ms(found.chopped.least_ms),
                                ms(found.chopped.most_ms),
                                found.hertz,
                                spread.text_apart_from(&[most])
                            ),
                            "Choose a faster carrier, make the pulse a whole number of carrier periods, or let the carrier start anew with each pulse",
                        ),
                )
            })
            .collect();
        Judgment::Checked {
            findings,
            tightest,
            note: String::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    fn pulse(end: &str, carrier: &str) -> String {
        format!("head a front red carrier={carrier}\nlane a period 500 ms: 0-{end}@200")
    }

    /// The worked case of the electrical facts, section 4.2: 45 ms at 100 Hz and 20 % is lit 8 to 10 ms.
    #[test]
    fn forty_five_milliseconds_at_a_hundred_hertz() {
        let found = finding(60, &pulse("45", "100"));
        assert!(found.message.contains("8 ms to 10 ms"), "{}", found.message);
        assert!(found.message.contains("22.222 %"), "{}", found.message);
        passes(60, &pulse("50", "100"));
        passes(60, &pulse("45", "1000"));
    }

    /// A pulse 1 ms short of 100 ms loses from nothing to 1 of its 19.8 ms: 5.05 %; 2 ms short, 2 of 19.6: 10.2 %; 1.961 short just 10 %.
    #[test]
    fn a_tenth_is_the_limit() {
        passes(60, &pulse("98.04", "100"));
        finding(60, &pulse("98.039", "100"));
        passes(
            60,
            &format!(
                "{}\nrule LW060 most_spread_percent=22.223",
                pulse("45", "100")
            ),
        );
    }

    #[test]
    fn a_pulse_over_the_end_of_the_period_is_one_pulse() {
        let text = "head a front red carrier=100\nlane a period 500 ms: 0-25@200 475-500@200";
        passes(60, text);
    }

    #[test]
    fn full_level_and_steady_light_have_no_pulse_to_chop() {
        for lane in ["lane a period 500 ms: 0-45", "steady a 200"] {
            let verdict = verdict(60, &format!("head a front red carrier=100\n{lane}"));
            assert!(
                matches!(verdict, Verdict::NotApplicable { .. }),
                "{verdict:?}"
            );
        }
    }
}
