//! LW054: a modulated motorcycle headlamp is outside its rate, its share of full power or its trough.

use super::flash_rule::{least_per_minute, most_per_minute, share, unnamed};
use super::lights::lights;
use super::meta::{Known, RuleMeta, Source};
use super::rate_band::hertz;
use super::{Context, Draft, Judgment, Margin, Options, Rule};
use crate::facts::TimingFacts;
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_timing::Micros;

/// Headlamp modulation outside its limits.
pub(super) struct HeadlampModulationOutsideLimits;

const FEDERAL: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    54,
    "headlamp-modulation-outside-limits",
    "A modulated motorcycle headlamp is outside 240 ± 40 cycles per minute, 50 % to 70 % at full power, or a trough of 17 %",
    &[
        Source::of(
            "FMVSS 108",
            "2010 text",
            "S10.17.5.1",
            "240 ± 40 cycles per minute, full power for 50 % to 70 % of each cycle, lowest intensity at least 17 % of the highest",
            Known::SecondHand,
        ),
        Source::of(
            "Missouri Revised Statutes",
            "2015",
            "307.128",
            "the same figures",
            Known::Read,
        ),
    ],
    &[
        least_per_minute(200, FEDERAL),
        most_per_minute(280, FEDERAL),
        share(
            "least_full_percent",
            "least share of a cycle at full power",
            50,
            FEDERAL,
        ),
        share(
            "most_full_percent",
            "largest share of a cycle at full power",
            70,
            FEDERAL,
        ),
        share(
            "least_trough_percent",
            "least level against the largest",
            17,
            FEDERAL,
        ),
    ],
    page!("pages/lw054.md"),
);

impl Rule for HeadlampModulationOutsideLimits {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        if let Some(judgment) = unnamed(options, "a modulated headlamp") {
            return judgment;
        }
        let lights = lights(context, options);
        if lights.list.is_empty() {
            return Judgment::not_applicable(lights.why_empty());
        }
        let percent = |name| Quantity::thousandths(options.thousandths(name), Unit::Percent);
        let per_minute =
            |name| Quantity::new(i128::from(options.thousandths(name)), 60_000, Unit::Hertz);
        let mut findings = Vec::new();
        let mut tightest = None;
        for light in &lights.list {
            let peak = light.level.maximum();
            let at_full = TimingFacts::above(light.level, peak - 1);
            let trough = i128::from(light.level.minimum()) * 100;
            for (value, limit, what, help) in [
                (
                    hertz(&at_full.flashes(Micros::ZERO)),
                    Limit::between(
                        per_minute("least_per_minute"),
                        per_minute("most_per_minute"),
                    ),
                    "is modulated at",
                    "Set the period to 214.3 ms to 300 ms for each time at full power",
                ),
                (
                    Quantity::of(at_full.duty.times(100), Unit::Percent),
                    Limit::between(percent("least_full_percent"), percent("most_full_percent")),
                    "share at full power is",
                    "Change how long it stays at full power",
                ),
                (
                    Quantity::new(trough, i128::from(peak), Unit::Percent),
                    Limit::at_least(percent("least_trough_percent")),
                    "trough against the peak is",
                    "Raise the lower level",
                ),
            ] {
                if limit.admits(value) {
                    Margin::tighten(&mut tightest, value, limit, &light.place);
                    continue;
                }
                findings.push(
                    Draft::new(options, FEDERAL, light.place.clone())
                        .lane(light.lane_id())
                        .head(light.heads.first())
                        .span(light.on_lane(Micros::ZERO, light.level.period()))
                        .measured(value, limit)
                        .say(
                            format!(
                                "headlamp {what} {}{}, {} wanted",
                                value.text_apart_from(&limit.ends()),
                                light.on_heads(),
                                limit.text()
                            ),
                            help,
                        ),
                );
            }
        }
        Judgment::Checked {
            findings,
            tightest,
            note: "level taken for intensity; the light sensor that turns modulation off in the dark is not judged".into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    /// Case N11 of the flash rules has 60 % at full power and troughs of 17 % and 16 %.
    #[test]
    fn rate_share_and_trough_are_inclusive() {
        edges(
            54,
            "head a front white\nrule LW054 heads=a\nlane a period ",
            &[
                "250 ms: 0-150 150-250@170",
                "250 ms: 0-125 125-250@170",
                "250 ms: 0-175 175-250@170",
                "300 ms: 0-180 180-300@200",
                "214.286 ms: 0-120 120-214.286@200",
            ],
            &[
                "250 ms: 0-150 150-250@169",
                "250 ms: 0-150 150-250@160",
                "250 ms: 0-124.999 124.999-250@170",
                "250 ms: 0-175.001 175.001-250@170",
                "300.001 ms: 0-180 180-300.001@200",
                "214.285 ms: 0-120 120-214.285@200",
                "250 ms: 0-150",
            ],
        );
    }
}
