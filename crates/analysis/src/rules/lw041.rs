//! LW041: a guarantee of the program does not hold in a judged state.

use super::{
    Context, Draft, Judgment, Known, Options, Rule, RuleGroup, RuleMeta, Source, heads_listed,
    listed, together,
};
use crate::facts::{Facts, HeadFacts};
use crate::quantity::{Limit, Quantity, Unit};
use crate::report::Finding;
use lampwright_model::{
    Color, Guarantee, HeadId, ItemId, Must, Place, Program, RuleCode, Severity,
};

/// A guarantee that does not hold.
pub(super) struct GuaranteeBroken;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(41),
    name: "guarantee-broken",
    summary: "A guarantee does not hold in the default state or in a situation",
    group: RuleGroup::Document,
    severity: Severity::Error,
    since: "0.1.0",
    sources: &[Source {
        document: "guarantees of the program",
        edition: "",
        clause: "",
        says: "what the agency promises about heads in some states",
        known: Known::Stated,
    }],
    parameters: &[],
    is_always_run: true,
    page: page!("pages/lw041.md"),
};

impl Rule for GuaranteeBroken {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let program = context.program;
        if program.guarantees.is_empty() {
            return Judgment::not_applicable("there are no guarantees");
        }
        let active: Vec<&Guarantee> = program
            .guarantees
            .iter()
            .filter(|guarantee| context.drive.state.meets(program, &guarantee.when))
            .collect();
        if active.is_empty() {
            return Judgment::not_applicable("no guarantee speaks of this state");
        }
        Judgment::Checked {
            findings: active
                .into_iter()
                .filter_map(|guarantee| judge_guarantee(context, options, guarantee))
                .collect(),
            tightest: None,
            note: "all other states not yet proven".into(),
        }
    }
}

/// What breaks a guarantee.
struct Broken<'a> {
    heads: Vec<&'a HeadId>,
    what: String,
    measured: Option<(Quantity, Limit)>,
}

fn judge_guarantee(
    context: &Context<'_>,
    options: &Options<'_>,
    guarantee: &Guarantee,
) -> Option<Finding> {
    let broken = breaks(context.program, &context.facts, guarantee)?;
    let mut draft = Draft::new(
        options,
        SOURCE,
        Place::Item(ItemId::Guarantee(guarantee.id.clone())),
    )
    .head(broken.heads.first());
    if let Some((value, limit)) = broken.measured {
        draft = draft.measured(value, limit);
    }
    let label = if guarantee.label.is_empty() {
        guarantee.id.to_string()
    } else {
        format!("{} \"{}\"", guarantee.id, guarantee.label)
    };
    Some(draft.say(
        format!("guarantee {label} is broken: {}", broken.what),
        "Change the layer that decides these heads in this state, or the guarantee",
    ))
}

/// What breaks a guarantee of the program in a state of these facts; none when it holds there.
pub(crate) fn why_broken(
    program: &Program,
    facts: &Facts,
    guarantee: &Guarantee,
) -> Option<String> {
    breaks(program, facts, guarantee).map(|broken| broken.what)
}

fn breaks<'a>(program: &Program, facts: &'a Facts, guarantee: &Guarantee) -> Option<Broken<'a>> {
    let indices = program.heads_of(&guarantee.heads);
    let heads: Vec<&HeadFacts> = indices
        .iter()
        .filter_map(|index| facts.heads.get(*index))
        .collect();
    let those = |is_broken: &dyn Fn(&HeadFacts) -> bool| -> Vec<&'a HeadId> {
        heads
            .iter()
            .filter(|head| is_broken(head))
            .map(|head| &head.head)
            .collect()
    };
    let plain = |heads: Vec<&'a HeadId>, one: &str, many: &str| {
        (!heads.is_empty()).then(|| Broken {
            what: match heads.as_slice() {
                [only] => format!("head {only} {one}"),
                several => format!("heads {} {many}", listed(several)),
            },
            heads,
            measured: None,
        })
    };
    match &guarantee.must {
        Must::BeDark => plain(those(&|head| peak(head) > 0), "is lit", "are lit"),
        Must::BeSteady => plain(
            those(&|head| {
                head.emitters
                    .iter()
                    .any(|emitter| !emitter.level.is_constant())
            }),
            "changes its light",
            "change their light",
        ),
        Must::ShowOnly(colors) => shows(&heads, &|color| !colors.contains(&color)),
        Must::ShowNever(colors) => shows(&heads, &|color| colors.contains(&color)),
        Must::LevelAtMost(level) => {
            let most = Quantity::whole(level.per_mille(), Unit::LevelPerMille);
            let worst = heads.iter().map(|head| peak(head)).max()?;
            level_broken(
                those(&|head| peak(head) > level.per_mille()),
                worst,
                Limit::at_most(most),
                "reach up to",
            )
        }
        Must::LevelAtLeast(level) => {
            let least = Quantity::whole(level.per_mille(), Unit::LevelPerMille);
            let worst = heads.iter().map(|head| peak(head)).min()?;
            level_broken(
                those(&|head| peak(head) < level.per_mille()),
                worst,
                Limit::at_least(least),
                "reach no more than",
            )
        }
        Must::PlayInStep => out_of_step(facts, &indices, &heads),
        Must::Alternate => not_in_turn(facts, &indices),
        Must::TotalCurrentAtMost(most) => {
            let limit = Limit::at_most(Quantity::thousandths(most.0, Unit::Amperes));
            let mean = Quantity::of(facts.electrical.vehicle.mean, Unit::Amperes);
            (!limit.admits(mean)).then(|| Broken {
                heads: Vec::new(),
                what: format!(
                    "the lamps draw {} on the mean, {} wanted",
                    mean.text_apart_from(&limit.ends()),
                    limit.text()
                ),
                measured: Some((mean, limit)),
            })
        }
    }
}

/// The highest level any emitter of a head reaches, per mille.
fn peak(head: &HeadFacts) -> i64 {
    head.emitters
        .iter()
        .map(|emitter| emitter.level.maximum())
        .max()
        .unwrap_or(0)
}

fn shows<'a>(heads: &[&'a HeadFacts], is_forbidden: &dyn Fn(Color) -> bool) -> Option<Broken<'a>> {
    let mut colors: Vec<Color> = Vec::new();
    let mut broken = Vec::new();
    for head in heads {
        let found: Vec<Color> = head
            .colors
            .iter()
            .copied()
            .filter(|color| is_forbidden(*color))
            .collect();
        if !found.is_empty() {
            broken.push(&head.head);
            colors.extend(found);
        }
    }
    lampwright_timing::sort(&mut colors);
    colors.dedup();
    (!broken.is_empty()).then(|| Broken {
        what: format!(
            "{} {} {}",
            if broken.len() == 1 { "head" } else { "heads" },
            listed(&broken),
            format_args!(
                "{} {}",
                if broken.len() == 1 { "shows" } else { "show" },
                listed(&colors)
            )
        ),
        heads: broken,
        measured: None,
    })
}

fn level_broken<'a>(
    heads: Vec<&'a HeadId>,
    worst: i64,
    limit: Limit,
    verb: &str,
) -> Option<Broken<'a>> {
    let value = Quantity::whole(worst, Unit::LevelPerMille);
    (!heads.is_empty()).then(|| Broken {
        what: format!(
            "{} {} {verb} {value}, {} wanted",
            if heads.len() == 1 { "head" } else { "heads" },
            listed(&heads),
            limit.text()
        ),
        heads,
        measured: Some((value, limit)),
    })
}

/// Heads that are not lit and dark together with the first of them.
fn out_of_step<'a>(
    facts: &'a Facts,
    indices: &[usize],
    heads: &[&'a HeadFacts],
) -> Option<Broken<'a>> {
    let first = heads.first()?;
    let broken: Vec<&HeadId> = together::out_of_step(facts, indices)
        .into_iter()
        .filter_map(|index| facts.heads.get(index))
        .map(|head| &head.head)
        .collect();
    (!broken.is_empty()).then(|| Broken {
        what: format!(
            "{} {} not lit and dark together with head {}",
            heads_listed(&broken),
            if broken.len() == 1 { "is" } else { "are" },
            first.head
        ),
        heads: broken,
        measured: None,
    })
}

/// Left and right lit in turn: both lit at some time, never at once.
fn not_in_turn<'a>(facts: &Facts, indices: &[usize]) -> Option<Broken<'a>> {
    let overlap = match together::turns(facts, indices) {
        Ok(turns) => Quantity::of(turns.overlap.times(100), Unit::Percent),
        Err(what) => {
            return Some(Broken {
                heads: Vec::new(),
                what: what.into(),
                measured: None,
            });
        }
    };
    let limit = Limit::at_most(Quantity::whole(0, Unit::Percent));
    (!limit.admits(overlap)).then(|| Broken {
        heads: Vec::new(),
        what: format!(
            "left and right are lit at once for {} of the lit time",
            overlap.text_apart_from(&limit.ends())
        ),
        measured: Some((overlap, limit)),
    })
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};

    #[track_caller]
    fn holds_and_breaks(holds: &str, breaks: &str, words: &str) {
        passes(41, holds);
        let found = finding(41, breaks);
        assert!(found.message.contains(words), "{}", found.message);
    }

    #[test]
    fn dark_and_steady() {
        holds_and_breaks(
            "head a front red\nguarantee g be-dark a",
            "head a front red\nsteady a 1\nguarantee g be-dark a",
            "head a is lit",
        );
        holds_and_breaks(
            "head a front red\nsteady a\nguarantee g be-steady a",
            "head a front red\nlane a period 500 ms: 0-499.999\nguarantee g be-steady a",
            "head a changes its light",
        );
    }

    #[test]
    fn colors() {
        holds_and_breaks(
            "head a front red,white\nsteady a red\nguarantee g show-only=red,blue a",
            "head a front red,white\nsteady a white\nguarantee g show-only=red,blue a",
            "head a shows white",
        );
        holds_and_breaks(
            "head a front red,white\nsteady a red\nguarantee g show-never=white a",
            "head a front red,white\nsteady a white\nguarantee g show-never=white a",
            "head a shows white",
        );
    }

    #[test]
    fn levels_are_inclusive() {
        holds_and_breaks(
            "head a front red\nsteady a 500\nguarantee g level-at-most=500 a",
            "head a front red\nsteady a 501\nguarantee g level-at-most=500 a",
            "reach up to 501 ‰",
        );
        holds_and_breaks(
            "head a front red\nsteady a 500\nguarantee g level-at-least=500 a",
            "head a front red\nsteady a 499\nguarantee g level-at-least=500 a",
            "reach no more than 499 ‰",
        );
    }

    #[test]
    fn in_step_and_in_turn() {
        let heads = "head a front-left red\nhead b front-right red\n";
        holds_and_breaks(
            &format!("{heads}lane a b period 500 ms: 0-100\nguarantee g play-in-step a b"),
            &format!(
                "{heads}lane a period 500 ms: 0-100\nlane b period 500 ms: 0-100.001\nguarantee g play-in-step a b"
            ),
            "b is not lit and dark together with head a",
        );
        holds_and_breaks(
            &format!(
                "{heads}lane a period 500 ms: 0-100\nlane b period 500 ms: 100-200\nguarantee g alternate a b"
            ),
            &format!(
                "{heads}lane a period 500 ms: 0-100\nlane b period 500 ms: 99.999-200\nguarantee g alternate a b"
            ),
            "left and right are lit at once",
        );
    }

    #[test]
    fn heads_on_clocks_that_drift_are_not_in_step() {
        let text = "head a front-left red\nhead b front-right red clock=own\nlane a b period 500 ms: 0-100\nguarantee g play-in-step a b";
        assert!(
            finding(41, text)
                .message
                .contains("not lit and dark together")
        );
    }

    #[test]
    fn total_current_is_the_mean() {
        holds_and_breaks(
            "head a front red 4A\nlane a period 400 ms: 0-100\nguarantee g total-current-at-most=1A all",
            "head a front red 4A\nlane a period 400 ms: 0-100\nguarantee g total-current-at-most=0.999A all",
            "the lamps draw 1 A on the mean",
        );
    }
}
