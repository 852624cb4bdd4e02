//! LW035: a fuse is larger than the current its wire may carry.

use super::wires::{Ampacity, NO_WIRES, PARAMETERS, TABLE, ampacity_of};
use super::{Context, Draft, Judgment, Margin, Options, Rule, RuleGroup, RuleMeta, Whole};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{ItemId, Place, RuleCode, Severity};

/// Fuse larger than its wire.
pub(super) struct FuseLargerThanWire;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(35),
    name: "fuse-larger-than-wire",
    summary: "A fuse is rated higher than a wire behind it may carry, so the wire burns first",
    group: RuleGroup::Power,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[TABLE],
    parameters: &PARAMETERS,
    is_always_run: false,
    page: page!("pages/lw035.md"),
};

impl Rule for FuseLargerThanWire {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, _context: &Context<'_>, _options: &Options<'_>) -> Judgment {
        Judgment::not_applicable("looks at the program as a whole")
    }

    fn judge_whole(&self, whole: &Whole<'_, '_>, options: &Options<'_>) -> Option<Judgment> {
        let vehicle = &whole.program.vehicle;
        let mut findings = Vec::new();
        let mut tightest = None;
        let mut unknown = Vec::new();
        let mut n_fused = 0;
        for output in &vehicle.outputs {
            let (Some(wire), Some(fuse)) = (output.wire, &output.fuse) else {
                continue;
            };
            let Some(fuse) = vehicle.fuses.iter().find(|known| known.id == *fuse) else {
                continue;
            };
            n_fused += 1;
            let Ampacity::Amperes(most) = ampacity_of(wire.size, options) else {
                unknown.push(&output.id);
                continue;
            };
            let limit = Limit::at_most(most);
            let rating = Quantity::thousandths(fuse.rating.0, Unit::Amperes);
            let place = Place::Item(ItemId::Output(output.id.clone()));
            if limit.admits(rating) {
                Margin::tighten(&mut tightest, rating, limit, &place);
                continue;
            }
            findings.push(Draft::new(options, SOURCE, place).measured(rating, limit).say(
                format!(
                    "fuse {} of {rating} feeds output {} through {}, which may carry {most} by a table for boats, taken as a stand-in",
                    fuse.id,
                    output.id,
                    super::wires::size(wire.size)
                ),
                "Have a qualified installer choose a smaller fuse or a thicker wire",
            ));
        }
        Some(super::wires::conclude(
            n_fused, NO_WIRES, findings, tightest, &unknown,
        ))
    }
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    fn fused(fuse: &str, wire: &str) -> String {
        format!(
            "head a front red 1A output=o\noutput o 5A fuse=f wire={wire}/2/wire\nfuse f {fuse}\nsteady a"
        )
    }

    /// 16 gauge, 80 degrees insulation: 20 A (33 CFR 183.425 Table 5, read).
    #[test]
    fn the_fuse_may_equal_what_the_wire_carries() {
        passes(35, &fused("20A", "16awg"));
        let found = finding(35, &fused("20.001A", "16awg"));
        assert!(
            found.message.contains("may carry 20 A"),
            "{}",
            found.message
        );
    }

    #[test]
    fn the_profile_sets_insulation_and_factors() {
        let text = fused("15A", "16awg");
        passes(35, &format!("{text}\nrule LW035 insulation_c=60"));
        passes(
            35,
            &format!("{text}\nrule LW035 insulation_c=105 bundle_percent=60"),
        );
        finding(
            35,
            &format!("{text}\nrule LW035 insulation_c=105 bundle_percent=59.999"),
        );
        finding(
            35,
            &format!(
                "{text}\nrule LW035 insulation_c=105 bundle_percent=70 engine_space_percent=85"
            ),
        );
    }

    #[test]
    fn square_millimeters_are_never_turned_into_a_gauge() {
        let verdict = verdict(35, &fused("90A", "1.5mm2"));
        assert!(
            matches!(verdict, Verdict::NotEvaluated { .. }),
            "{verdict:?}"
        );
    }
}
