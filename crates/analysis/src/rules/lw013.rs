//! LW013: a head that plays a pattern never goes dark.

use super::{
    Context, Draft, Judgment, Options, Parameter, Rule, RuleGroup, RuleMeta, Source, listed,
};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{Color, HeadId, LaneUse, Place, RuleCode, Severity};

/// A head that plays a pattern and never goes dark.
pub(super) struct HeadNeverDark;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(13),
    name: "head-never-dark",
    summary: "A color of a head plays a pattern and yet never goes dark",
    group: RuleGroup::Heads,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source::practice(
        "a lamp that plays a pattern goes dark between its flashes; steady light is asked for by a layer that holds it",
    )],
    parameters: &[Parameter {
        name: "dark_at_most_per_mille",
        label: "level that still counts as dark",
        unit: "‰",
        default: 0,
        range: (0, 999_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: page!("pages/lw013.md"),
};

struct NeverDark<'a> {
    lane: &'a LaneUse,
    n_lanes: usize,
    least: i64,
    is_constant: bool,
    color: Color,
    heads: Vec<&'a HeadId>,
}

impl Rule for HeadNeverDark {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        // Levels are whole per mille, so the fraction of the parameter does not matter.
        let dark = options.thousandths("dark_at_most_per_mille") / 1000;
        let mut n_played = 0;
        let mut found: Vec<NeverDark<'_>> = Vec::new();
        for (index, head) in context.facts.heads.iter().enumerate() {
            for emitter in &head.emitters {
                let Some(lane) = emitter.lanes.first() else {
                    continue;
                };
                let is_looked_at = options.looks_at_head(index)
                    && emitter
                        .lanes
                        .iter()
                        .all(|lane| options.looks_at_pattern(&lane.pattern));
                if !is_looked_at || emitter.level.maximum() == 0 {
                    continue;
                }
                n_played += 1;
                let least = emitter.level.minimum();
                if least <= dark {
                    continue;
                }
                let known = found.iter_mut().find(|known| {
                    known.n_lanes == 1
                        && emitter.lanes.len() == 1
                        && known.lane.pattern == lane.pattern
                        && known.lane.lane == lane.lane
                        && known.least == least
                        && known.color == emitter.color
                });
                match known {
                    Some(known) => known.heads.push(&head.head),
                    None => found.push(NeverDark {
                        lane,
                        n_lanes: emitter.lanes.len(),
                        least,
                        is_constant: emitter.level.is_constant(),
                        color: emitter.color,
                        heads: vec![&head.head],
                    }),
                }
            }
        }
        if n_played == 0 {
            return Judgment::not_applicable("nothing plays a pattern");
        }
        let limit = Limit::at_most(Quantity::whole(dark, Unit::LevelPerMille));
        let findings = found
            .into_iter()
            .map(|found| {
                let place = match found.heads.as_slice() {
                    [one] => Place::Emitter((*one).clone(), found.color),
                    _ => Place::Lane(found.lane.pattern.clone(), found.lane.lane.clone()),
                };
                let verb = if found.heads.len() == 1 { "plays" } else { "play" };
                let how = if found.is_constant {
                    "is lit without change"
                } else {
                    "never goes dark"
                };
                Draft::new(options, SOURCE, place)
                    .lane((found.lane.pattern.clone(), found.lane.lane.clone()))
                    .head(found.heads.first())
                    .measured(Quantity::whole(found.least, Unit::LevelPerMille), limit)
                    .say(
                        format!(
                            "{} {how} at {} ‰ or more while {} {} {verb} pattern {}",
                            found.color,
                            found.least,
                            if found.heads.len() == 1 { "head" } else { "heads" },
                            listed(&found.heads),
                            found.lane.pattern
                        ),
                        "Leave a dark gap between the pulses, or hold the head steady in a layer if steady light is meant",
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
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    #[test]
    fn a_dark_gap_of_a_microsecond_is_dark() {
        passes(13, "head a front amber\nlane a period 500 ms: 0-499.999");
        let found = finding(13, "head a front amber\nlane a period 500 ms: 0-500");
        assert!(
            found.message.contains("lit without change"),
            "{}",
            found.message
        );
    }

    #[test]
    fn a_low_level_counts_as_dark_when_the_profile_says_so() {
        let text = "head a front amber\nlane a period 500 ms: 0-250 250-500@100";
        finding(13, text);
        passes(
            13,
            &format!("{text}\nrule LW013 dark_at_most_per_mille=100"),
        );
        finding(13, &format!("{text}\nrule LW013 dark_at_most_per_mille=99"));
    }

    #[test]
    fn steady_light_of_a_holding_layer_is_meant() {
        let verdict = verdict(13, "head a front amber\nsteady a");
        assert!(
            matches!(verdict, Verdict::NotApplicable { .. }),
            "{verdict:?}"
        );
    }
}
