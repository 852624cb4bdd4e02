//! LW046: a rapid beacon does not play the steps of the approved sequence.

use super::flash_rule::unnamed;
use super::meta::{Known, RuleMeta, Source};
use super::shares::is_flashing;
use super::{Context, Draft, Judgment, Margin, Options, Rule};
use crate::facts::Set;
use crate::quantity::{Limit, Quantity};
use lampwright_model::{Place, Side};
use lampwright_timing::{Micros, Waveform};

/// Steps of a rapid beacon other than the approved ones.
pub(super) struct RapidBeaconStepsWrong;

const STEPS: usize = 0;

/// Length of the sequence.
const SEQUENCE: Micros = Micros(800_000);
/// When left and right are lit, each for 50 ms, by the milliseconds of their starts.
const LEFT_MS: [i64; 4] = [0, 200, 400, 500];
const RIGHT_MS: [i64; 4] = [100, 300, 400, 500];
const STEP: Micros = Micros(50_000);

static META: RuleMeta = RuleMeta::timing(
    46,
    "rapid-beacon-steps-wrong",
    "A rapid beacon does not play the twelve steps of the approved sequence",
    &[
        Source::of(
            "FHWA Interim Approval 21",
            "20 March 2018",
            "",
            "left 50 ms, dark 50, right 50, dark 50, left 50, dark 50, right 50, dark 50, both 50, dark 50, both 50, dark 250; the sum of 800 ms checks",
            Known::Memory,
        ),
        Source::of(
            "FHWA Interim Approval 21",
            "20 March 2018, as told by a state training center",
            "",
            "800 ms each, the first step left for 50 ms",
            Known::SecondHand,
        ),
    ],
    &[],
    page!("pages/lw046.md"),
);

impl Rule for RapidBeaconStepsWrong {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        if let Some(judgment) = unnamed(options, "a rapid beacon") {
            return judgment;
        }
        let lamps = |side: Side| -> Vec<usize> {
            context
                .facts
                .heads
                .iter()
                .enumerate()
                .filter(|(index, head)| {
                    head.side == side
                        && options.looks_at_head(*index)
                        && is_flashing(context, options, *index, None)
                })
                .map(|(index, _)| index)
                .collect()
        };
        let light = |side| {
            context
                .facts
                .group_of(Set::Side(side), &lamps(side))
                .light
                .filter(|light| !light.is_constant())
        };
        let place = Place::Pair("left", "right");
        let limit = Limit::at_most(Quantity::of_time(Micros::ZERO));
        let (left, right) = match (light(Side::Left), light(Side::Right)) {
            (None, None) => return Judgment::not_applicable("nothing the profile names flashes"),
            (Some(left), Some(right)) => (left, right),
            (left, _) => {
                let side = if left.is_none() { "left" } else { "right" };
                let finding = Draft::new(options, STEPS, place).say(
                    format!("no lamp on the {side} flashes, or they drift; the sequence wants both sides"),
                    "Let a lamp on each side play its part of the sequence",
                );
                return checked(vec![finding], None);
            }
        };
        let Some(wrong) = time_off_the_steps(&left, &right) else {
            return Judgment::not_evaluated(
                "left and right have no common period of at most 120 s with the sequence",
            );
        };
        let wrong = Quantity::of_time(wrong);
        let margin = Margin::of(wrong, limit, &place.to_string());
        let findings = if limit.admits(wrong) {
            Vec::new()
        } else {
            let finding = Draft::new(options, STEPS, place).measured(wrong, limit).say(
                format!("left or right differs from the steps of the sequence for {wrong} of the common period"),
                "Left at 0, 200, 400 and 500 ms, right at 100, 300, 400 and 500 ms, each for 50 ms of 800 ms",
            );
            vec![finding]
        };
        checked(findings, margin)
    }
}

fn checked(findings: Vec<crate::report::Finding>, tightest: Option<Margin>) -> Judgment {
    Judgment::Checked {
        findings,
        tightest,
        note: String::new(),
    }
}

/// Time within the common period in which either side is not as the sequence has it, with the sequence begun where that is least.
fn time_off_the_steps(left: &Waveform, right: &Waveform) -> Option<Micros> {
    let is_lit = |light: &Waveform| light.map(|value| i64::from(value > 0));
    let (left, right) = (is_lit(left), is_lit(right));
    let steps = |starts: [i64; 4]| {
        let pulses = starts.map(|start| (Micros(start * 1_000), STEP, 1));
        Waveform::from_pulses(SEQUENCE, pulses).ok()
    };
    let (left_steps, right_steps) = (steps(LEFT_MS)?, steps(RIGHT_MS)?);
    left.stretches_above(0)
        .into_iter()
        .flat_map(|stretch| LEFT_MS.map(|start| stretch.start - Micros(start * 1_000)))
        .filter_map(|shift| {
            let off = |light: &Waveform, steps: &Waveform| {
                let differs = |one: i64, other: i64| i64::from(one != other);
                light.combine(&steps.shifted(shift), differs).ok()
            };
            let either = off(&left, &left_steps)?
                .max(&off(&right, &right_steps)?)
                .ok()?;
            Some(either.time_above(0))
        })
        .min()
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{edges, finding};

    #[test]
    fn every_step_is_held_to_a_microsecond_wherever_the_sequence_begins() {
        edges(
            46,
            "head a front-left amber\nhead b front-right amber\nrule LW046 heads=a heads=b\n",
            &[
                "lane a period 800 ms: 0-50 200-250 400-450 500-550\nlane b period 800 ms: 100-150 300-350 400-450 500-550",
                "lane a period 800 ms: 0-50 100-150 400-450 600-650\nlane b period 800 ms: 0-50 100-150 500-550 700-750",
            ],
            &[
                "lane a period 800 ms: 0-50 200-250 400-450 500-550.001\nlane b period 800 ms: 100-150 300-350 400-450 500-550",
                "lane a period 800 ms: 0-50 200-250 400-450 500-550\nlane b period 800 ms: 100.001-150 300-350 400-450 500-550",
                "lane a period 800 ms: 0-50 200-250 400-450 500-550\nlane b period 800 ms: 100-150 300-350 400-450 500-550 offset 0.001",
                "lane a period 800 ms: 0-50 200-250 400-450 500-550",
            ],
        );
    }

    #[test]
    fn how_long_it_is_wrong_is_said() {
        let found = finding(
            46,
            "head a front-left amber\nhead b front-right amber\nrule LW046 heads=a heads=b\nlane a period 800 ms: 0-50 200-250 400-450 500-551\nlane b period 800 ms: 100-150 300-350 400-450 500-550",
        );
        assert!(found.message.contains("for 1 ms"), "{}", found.message);
    }
}
