//! LW070: one lamp of a mirrored pair is missing from a pattern.

use super::{
    Context, Draft, Judgment, Known, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use lampwright_model::{Color, Decision, Head, ItemId, Place, RuleCode, Severity, Side};

/// One lamp of a pair left out.
pub(super) struct PairIncomplete;

const PRACTICE: usize = 0;
const MIRROR: usize = 1;

/// How far axes of a pair may be from mirroring each other, millidegrees (our own choice).
const MOST_TURNED: i64 = 10_000;

static META: RuleMeta = RuleMeta {
    code: RuleCode(70),
    name: "pair-incomplete",
    summary: "One lamp of a left and right pair flashes and no layer says anything of the other",
    group: RuleGroup::Practice,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[
        Source::practice(
            "lamps that mirror each other play one pattern; a lamp left out is an installer's usual mistake",
        ),
        Source {
            document: "what counts as mirrored",
            edition: "",
            clause: "",
            says: "within 0.1 m of the mirrored place and 10° of the mirrored axis, with a color in common",
            known: Known::Proposal,
        },
    ],
    parameters: &[Parameter {
        name: "most_off_m",
        label: "how far a lamp may be from the mirrored place along each axis",
        unit: "m",
        default: 100,
        range: (0, 2_000),
        source: MIRROR,
    }],
    is_always_run: false,
    page: page!("pages/lw070.md"),
};

impl Rule for PairIncomplete {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let most_off = options.thousandths("most_off_m");
        let heads = &context.program.vehicle.heads;
        let mut findings = Vec::new();
        let mut n_pairs = 0;
        for (index, (head, facts)) in heads.iter().zip(&context.facts.heads).enumerate() {
            if !options.looks_at_head(index) {
                continue;
            }
            let partner = heads
                .iter()
                .zip(&context.facts.heads)
                .enumerate()
                .filter(|(other, (partner, _))| {
                    options.looks_at_head(*other) && are_mirrored(head, partner, most_off)
                })
                .min_by_key(|(_, (partner, _))| {
                    let off = (partner.x.0 - head.x.0).abs()
                        + (partner.y.0 + head.y.0).abs()
                        + (partner.z.0 - head.z.0).abs();
                    (off, partner.id.clone())
                });
            let Some((_, (partner, partner_facts))) = partner else {
                continue;
            };
            let lane = facts
                .emitters
                .iter()
                .filter(|emitter| !emitter.level.is_constant())
                .find_map(|emitter| emitter.lanes.first());
            let Some(lane) = lane.filter(|lane| options.looks_at_pattern(&lane.pattern)) else {
                continue;
            };
            n_pairs += 1;
            if partner_facts.decided_by != Decision::Nothing {
                continue;
            }
            let place = Place::Item(ItemId::Head(partner.id.clone()));
            findings.push(
                Draft::new(options, PRACTICE, place)
                    .head(Some(&&partner.id))
                    .say(
                        format!(
                            "head {} plays pattern {} and its mirror image head {} is dark, no layer that holds speaks of it",
                            head.id, lane.pattern, partner.id
                        ),
                        "Bind the other lamp to a lane of the pattern, or hold it dark in a layer if that is meant",
                    ),
            );
        }
        if n_pairs == 0 {
            return Judgment::not_applicable("no lamp with a mirror image flashes");
        }
        Judgment::Checked {
            findings,
            tightest: None,
            note: String::new(),
        }
    }
}

/// Whether one head is the mirror image of the other across the vehicle's middle.
fn are_mirrored(one: &Head, other: &Head, most_off: i64) -> bool {
    let turned = (one.facing.0 + other.facing.0).rem_euclid(360_000);
    let has_color = |color: Color| other.emitter(color).is_some();
    one.side() != Side::Center
        && other.side() != Side::Center
        && one.side() != other.side()
        && (one.x.0 - other.x.0).abs() <= most_off
        && (one.y.0 + other.y.0).abs() <= most_off
        && (one.z.0 - other.z.0).abs() <= most_off
        && turned.min(360_000 - turned) <= MOST_TURNED
        && one.emitters.iter().any(|emitter| has_color(emitter.color))
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    fn pair(y: &str, rest: &str) -> String {
        format!(
            "head l rear-left amber y=0.8\nhead r rear-right amber y={y}\nlane l period 500 ms: 0-100\n{rest}"
        )
    }

    #[test]
    fn a_lamp_left_out_is_named_by_its_place() {
        let found = finding(70, &pair("-0.8", ""));
        assert_eq!(found.place.to_string(), "head r");
        passes(70, &pair("-0.8", "lane r period 500 ms: 250-350"));
    }

    #[test]
    fn a_lamp_that_a_layer_keeps_dark_is_meant_to_be() {
        passes(70, &pair("-0.8", "dark d r"));
    }

    #[test]
    fn a_tenth_of_a_meter_off_is_still_mirrored() {
        finding(70, &pair("-0.9", ""));
        let verdict = verdict(70, &pair("-0.901", ""));
        assert!(
            matches!(verdict, Verdict::NotApplicable { .. }),
            "{verdict:?}"
        );
        finding(
            70,
            &format!("{}\nrule LW070 most_off_m=0.101", pair("-0.901", "")),
        );
    }
}
