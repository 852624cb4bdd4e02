//! LW062: a dimming carrier modulates the light more than IEEE 1789 allows at its frequency.

use super::carriers::{dimmed, heads};
use super::{
    Context, Draft, Judgment, Known, Margin, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use crate::facts::ModulationPractice;
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{Color, HeadId, Place, RuleCode, Severity};
use lampwright_timing::SortedMap;

/// Carrier that modulates too much.
pub(super) struct CarrierModulatesTooMuch;

const SOURCE: usize = 0;

/// Modulation of light that a carrier switches off altogether, percent.
const FULL_DEPTH: i64 = 100;

static META: RuleMeta = RuleMeta {
    code: RuleCode(62),
    name: "carrier-modulates-too-much",
    summary: "A dimming carrier modulates the light more than IEEE 1789 allows at its frequency",
    group: RuleGroup::Power,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source {
        document: "IEEE 1789",
        edition: "2015, as a public design note transcribes it",
        clause: "8.1.1",
        says: "low risk: modulation in percent below 0.025 f under 90 Hz, below 0.08 f up to 1250 Hz; no observable effect: below 0.01 f under 90 Hz, below 0.0333 f up to 3000 Hz; seizures: below 5 % under 90 Hz",
        known: Known::SecondHand,
    }],
    parameters: &[Parameter {
        name: "practice",
        label: "1 low risk, 2 no observable effect, 3 seizures alone",
        unit: "",
        default: 1_000,
        range: (1_000, 3_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: page!("pages/lw062.md"),
};

impl Rule for CarrierModulatesTooMuch {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let (practice, name) = match options.thousandths("practice") {
            ..2_000 => (ModulationPractice::LowRisk, "low risk"),
            2_000..3_000 => (ModulationPractice::NoEffect, "no observable effect"),
            _ => (ModulationPractice::Seizure, "no risk of seizures"),
        };
        let mut by_hertz: SortedMap<u32, Vec<(&HeadId, Color)>> = SortedMap::default();
        for dimmed in dimmed(context, options) {
            by_hertz.change(dimmed.hertz, |lamps| {
                lamps.push((&dimmed.head.head, dimmed.emitter.color));
            });
        }
        if by_hertz.is_empty() {
            return Judgment::not_applicable("no carrier dims a head");
        }
        let depth = Quantity::whole(FULL_DEPTH, Unit::Percent);
        let mut findings = Vec::new();
        let mut tightest = None;
        for (hertz, lamps) in by_hertz {
            let Some(most) = practice.most_percent(hertz) else {
                continue;
            };
            let most = Quantity::of(most, Unit::Percent);
            let limit = Limit::at_most(most);
            let mut ids: Vec<&HeadId> = lamps.iter().map(|(head, _)| *head).collect();
            ids.dedup();
            if limit.admits(depth) {
                let place = format_args!("carrier {hertz} Hz");
                Margin::tighten(&mut tightest, depth, limit, &place);
                continue;
            }
            let Some((head, color)) = lamps.first() else {
                continue;
            };
            findings.push(
                Draft::new(options, SOURCE, Place::Emitter((*head).clone(), *color))
                    .head(ids.first())
                    .measured(depth, limit)
                    .say(
                        format!(
                            "a carrier of {hertz} Hz dims {} with a modulation of {depth}, at most {most} wanted at that frequency for {name}",
                            heads(&ids)
                        ),
                        format!(
                            "Dim with a carrier above {} Hz, or by reducing the current itself",
                            practice.free_above_hz()
                        ),
                    ),
            );
        }
        Judgment::Checked {
            findings,
            tightest,
            note: "looks at the carrier while a lamp is lit, not at the flashes".into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    fn dimmed(carrier: &str) -> String {
        format!("head a front red carrier={carrier}\nlane a period 500 ms: 0-100@300")
    }

    /// 0.08 times 1250 is 100 %.
    #[test]
    fn full_depth_is_low_risk_from_1250_hz() {
        passes(62, &dimmed("1250"));
        let found = finding(62, &dimmed("1249"));
        assert!(
            found.message.contains("at most 99.92 %"),
            "{}",
            found.message
        );
    }

    /// 0.0333 times 3000 is 99.9 %; above 3000 Hz nothing is limited.
    #[test]
    fn full_depth_has_no_observable_effect_above_3000_hz() {
        let at = |carrier: &str| format!("{}\nrule LW062 practice=2", dimmed(carrier));
        finding(62, &at("3000"));
        passes(62, &at("3001"));
    }

    /// Under 90 Hz less than 5 % is demanded, from there on nothing.
    #[test]
    fn the_practice_on_seizures_ends_at_90_hz() {
        let at = |carrier: &str| format!("{}\nrule LW062 practice=3", dimmed(carrier));
        let found = finding(62, &at("89"));
        assert!(found.message.contains("at most 5 %"), "{}", found.message);
        passes(62, &at("90"));
    }

    #[test]
    fn full_level_and_linear_dimming_are_not_modulated() {
        for text in [
            "head a front red carrier=100\nsteady a",
            "head a front red\nsteady a 300",
        ] {
            let verdict = verdict(62, text);
            assert!(
                matches!(verdict, Verdict::NotApplicable { .. }),
                "{verdict:?}"
            );
        }
    }
}
