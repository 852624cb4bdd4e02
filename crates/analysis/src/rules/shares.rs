//! The judgment that balance rules share: how flashing light divides between two sets of heads.

use super::{Context, Draft, Judgment, Margin, Options, heads_listed};
use crate::facts::Set;
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{Color, Head, HeadId, Place};

/// What a balance rule asks.
pub(crate) struct Shares {
    /// Names of the two sets, as a place writes them.
    pub(crate) names: (&'static str, &'static str),
    /// Whether a head belongs to the first set.
    pub(crate) is_first: fn(&Head) -> bool,
    /// Whether a head belongs to the second set.
    pub(crate) is_second: fn(&Head) -> bool,
    /// Index of the source of the limit.
    pub(crate) source: usize,
    /// What to do.
    pub(crate) help: &'static str,
}

/// Judges the flashing light of a state; the weaker set has to give at least the share.
pub(crate) fn judge(
    context: &Context<'_>,
    options: &Options<'_>,
    shares: &Shares,
    least_share: Quantity,
) -> Judgment {
    let heads = &context.program.vehicle.heads;
    let of_set = |is_member: fn(&Head) -> bool| -> Vec<usize> {
        heads
            .iter()
            .enumerate()
            .filter(|(index, head)| options.looks_at_head(*index) && is_member(head))
            .map(|(index, _)| index)
            .collect()
    };
    let (all_first, all_second) = (of_set(shares.is_first), of_set(shares.is_second));
    let (name_first, name_second) = shares.names;
    if all_first.is_empty() || all_second.is_empty() {
        let missing = if all_first.is_empty() {
            name_first
        } else {
            name_second
        };
        return Judgment::not_applicable(format!("no heads {missing}"));
    }
    let flashing = |members: &[usize]| -> Vec<usize> {
        members
            .iter()
            .copied()
            .filter(|index| is_flashing(context, options, *index, None))
            .collect()
    };
    let (first, second) = (flashing(&all_first), flashing(&all_second));
    if first.is_empty() && second.is_empty() {
        return Judgment::not_applicable(format!("nothing flashes {name_first} or {name_second}"));
    }
    let facts = &context.facts;
    let one = facts.group_of(Set::Heads(name_first.into()), &first);
    let other = facts.group_of(Set::Heads(name_second.into()), &second);
    let pair = facts.pair_of(&one, &other);
    let Some(share_of_first) = pair.share_of_first else {
        return Judgment::not_applicable(format!("nothing flashes {name_first} or {name_second}"));
    };
    let percent = |share: crate::Ratio| Quantity::of(share.times(100), Unit::Percent);
    let of_first = percent(share_of_first);
    let of_second = percent(crate::Ratio::ONE.minus(share_of_first));
    let weaker = of_first.min(of_second);
    let limit = Limit::at_least(least_share);
    let place = Place::Pair(name_first, name_second);
    let margin = Margin::of(weaker, limit, &place.to_string());
    let mut findings = Vec::new();
    if !limit.admits(weaker) {
        let weak_name = if of_first < of_second {
            name_first
        } else {
            name_second
        };
        let lit: Vec<&HeadId> = if of_first < of_second {
            &second
        } else {
            &first
        }
        .iter()
        .filter_map(|index| heads.get(*index).map(|head| &head.id))
        .collect();
        findings.push(
            Draft::new(options, shares.source, place)
                .head(lit.first())
                .measured(weaker, limit)
                .say(
                    format!(
                        "{name_first} gives {of_first} and {name_second} {of_second} of their flashing light, at least {least_share} {weak_name} wanted; the stronger set flashes {}",
                        heads_listed(&lit)
                    ),
                    shares.help,
                ),
        );
    }
    Judgment::Checked {
        findings,
        tightest: margin,
        note: String::new(),
    }
}

/// Whether a head's light, of one color where one is given, changes by patterns the rule looks at.
pub(crate) fn is_flashing(
    context: &Context<'_>,
    options: &Options<'_>,
    index: usize,
    color: Option<Color>,
) -> bool {
    context.facts.heads.get(index).is_some_and(|head| {
        head.emitters.iter().any(|emitter| {
            !emitter.level.is_constant()
                && color.is_none_or(|color| color == emitter.color)
                && emitter
                    .lanes
                    .iter()
                    .all(|lane| options.looks_at_pattern(&lane.pattern))
        })
    })
}
