//! LW066: a head beside an arrow flashes while the arrow plays.

use super::{
    Context, Draft, Judgment, Known, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
    heads_listed,
};
use crate::facts::HeadFacts;
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{Head, HeadId, ItemId, Place, RuleCode, Severity, Zone};

/// Flashing head beside an arrow.
pub(super) struct ArrowFightsFlashing;

const PRACTICE: usize = 0;
const DISTANCE: usize = 1;

static META: RuleMeta = RuleMeta {
    code: RuleCode(66),
    name: "arrow-fights-flashing",
    summary: "A head beside an arrow flashes another pattern while the arrow plays",
    group: RuleGroup::Practice,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[
        Source::practice(
            "heads beside an arrow stay dark or steady while it plays, or nobody can read it",
        ),
        Source {
            document: "what counts as beside",
            edition: "",
            clause: "",
            says: "within half a meter",
            known: Known::Proposal,
        },
    ],
    parameters: &[Parameter {
        name: "least_apart_m",
        label: "distance from which a flashing head is no longer beside the arrow",
        unit: "m",
        default: 500,
        range: (0, 20_000),
        source: DISTANCE,
    }],
    is_always_run: false,
    page: page!("pages/lw066.md"),
};

impl Rule for ArrowFightsFlashing {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        if !options.names_patterns() {
            return Judgment::not_evaluated("the profile does not name the arrow's patterns");
        }
        let least = options.thousandths("least_apart_m");
        let heads = || {
            context
                .facts
                .heads
                .iter()
                .zip(&context.program.vehicle.heads)
                .filter(|(facts, _)| facts.zone == Zone::C)
        };
        let arrow: Vec<&Head> = heads()
            .filter(|(facts, _)| plays(facts, options))
            .map(|(_, head)| head)
            .collect();
        if arrow.is_empty() {
            return Judgment::not_applicable("no arrow plays toward the rear");
        }
        let mut found: Vec<(i128, &HeadId, &HeadId)> = Vec::new();
        let mut nearest_far: Option<i128> = None;
        for (facts, head) in heads() {
            let flashes = facts
                .emitters
                .iter()
                .any(|emitter| !emitter.level.is_constant());
            if !flashes || plays(facts, options) {
                continue;
            }
            let Some((squared, neighbor)) = arrow
                .iter()
                .map(|other| (squared_distance(head, other), &other.id))
                .min()
            else {
                continue;
            };
            if squared < i128::from(least) * i128::from(least) {
                found.push((squared, &head.id, neighbor));
            } else {
                nearest_far = Some(nearest_far.map_or(squared, |known| known.min(squared)));
            }
        }
        lampwright_timing::sort(&mut found);
        let limit = Limit::at_least(meters(i128::from(least) * i128::from(least)));
        let Some((squared, _, neighbor)) = found.first().copied() else {
            let tightest = nearest_far.and_then(|squared| {
                super::Margin::of(meters(squared), limit, "the nearest flashing head")
            });
            return Judgment::Checked {
                findings: Vec::new(),
                tightest,
                note: String::new(),
            };
        };
        let ids: Vec<&HeadId> = found.iter().map(|(_, head, _)| *head).collect();
        let place = ids.first().map_or(Place::Vehicle, |head| {
            Place::Item(ItemId::Head((*head).clone()))
        });
        let finding = Draft::new(options, PRACTICE, place)
            .head(ids.first())
            .measured(meters(squared), limit)
            .say(
                format!(
                    "{} {} beside the arrow while it plays, the nearest {} m from its head {neighbor}, at least {} m wanted",
                    heads_listed(&ids),
                    if ids.len() == 1 { "flashes" } else { "flash" },
                    meters(squared).number_apart_from(&limit.ends()),
                    Quantity::thousandths(least, Unit::Count)
                ),
                "Hold these heads dark or steady in a layer above, while the arrow plays",
            );
        Judgment::Checked {
            findings: vec![finding],
            tightest: None,
            note: String::new(),
        }
    }
}

/// Whether a head shows one of the arrow's patterns.
fn plays(facts: &HeadFacts, options: &Options<'_>) -> bool {
    facts.emitters.iter().any(|emitter| {
        emitter.timing.is_lit()
            && emitter
                .lanes
                .iter()
                .any(|lane| options.looks_at_pattern(&lane.pattern))
    })
}

/// In square millimeters, exact.
fn squared_distance(one: &Head, other: &Head) -> i128 {
    [
        one.x.0 - other.x.0,
        one.y.0 - other.y.0,
        one.z.0 - other.z.0,
    ]
    .into_iter()
    .map(|apart| i128::from(apart) * i128::from(apart))
    .sum()
}

/// Meters of a square distance in square millimeters, for showing.
#[expect(
    clippy::cast_precision_loss,
    reason = "for showing; the limit is held against the square"
)]
fn meters(squared: i128) -> Quantity {
    Quantity::rounded(libm::sqrt(squared as f64) / 1000.0, Unit::Count)
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    fn beside(y: &str, other: &str) -> String {
        format!(
            "head arrow rear amber y=0\nhead deck rear red y={y}\nlane arrow period 1500 ms: 0-750\n{other}\nrule LW066 only_patterns=arrow"
        )
    }

    #[test]
    fn half_a_meter_apart_is_not_beside() {
        let flash = "lane deck period 500 ms: 0-100";
        passes(66, &beside("0.5", flash));
        let found = finding(66, &beside("0.499", flash));
        assert!(
            found.message.contains("0.499 m from its head arrow"),
            "{}",
            found.message
        );
        finding(66, &format!("{} least_apart_m=0.501", beside("0.5", flash)));
    }

    #[test]
    fn steady_light_beside_an_arrow_does_not_fight_it() {
        passes(66, &beside("0.2", "steady deck"));
    }

    #[test]
    fn without_named_patterns_nothing_is_guessed() {
        let verdict = verdict(66, "head a rear amber\nlane a period 500 ms: 0-100");
        assert!(
            matches!(verdict, Verdict::NotEvaluated { .. }),
            "{verdict:?}"
        );
    }
}
