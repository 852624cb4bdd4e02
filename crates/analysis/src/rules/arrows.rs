//! Rules on which way a moving arrow runs.
//!
//! Traffic behind looks the way the vehicle does, so its left is the vehicle's left: an arrow to the left lights heads of rising y.
//! Invariant: the answer does not depend on where the period begins nor on the order of lanes or heads.
//! Absent: the shape of an arrow whose heads light all at once; heads that do not face the rear.

use super::{Context, Draft, Judgment, Options, Rule, RuleGroup, RuleMeta, Source, heads_listed};
use crate::Ratio;
use crate::report::Finding;
use lampwright_model::{HeadId, ItemId, PatternId, Place, RuleCode, Severity, Zone};
use lampwright_timing::Micros;
use lampwright_timing::SortedMap;

/// Where an arrow is meant to point, as traffic behind sees it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Toward {
    Left,
    Right,
}

impl Toward {
    const fn name(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }

    const fn opposite(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

/// Heads that light at one instant.
struct Onset<'a> {
    at: Micros,
    /// Mean place, meters toward the wanted side.
    place: Ratio,
    least: i64,
    most: i64,
    heads: Vec<&'a HeadId>,
}

/// What the order of onsets says.
enum Order<'a> {
    /// Nothing moves, or nobody can tell which way.
    CannotTell(&'static str),
    /// From head to head in the wanted direction.
    Right,
    /// A step that goes the other way.
    Against(Vec<&'a HeadId>, Vec<&'a HeadId>),
}

/// A rule on the arrows that the profile names.
pub(super) struct ArrowRule {
    meta: &'static RuleMeta,
    wanted: Toward,
}

impl ArrowRule {
    pub(super) const fn of(meta: &'static RuleMeta, wanted: Toward) -> Self {
        Self { meta, wanted }
    }
}

const BUILDS: Source = Source::practice(
    "a moving arrow builds toward the side it points to, as traffic behind sees it; swapped sides are an installer's usual mistake",
);

/// Index of it in the sources of such a rule.
const SOURCE: usize = 0;

/// The head of such a rule.
pub(super) const fn meta(
    code: u16,
    name: &'static str,
    summary: &'static str,
    page: &'static str,
) -> RuleMeta {
    RuleMeta {
        code: RuleCode(code),
        name,
        summary,
        group: RuleGroup::Practice,
        severity: Severity::Warning,
        since: "0.1.0",
        sources: &[BUILDS],
        parameters: &[],
        is_always_run: false,
        page,
    }
}

impl Rule for ArrowRule {
    fn meta(&self) -> &'static RuleMeta {
        self.meta
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        judge(context, options, self.wanted)
    }
}

fn judge(context: &Context<'_>, options: &Options<'_>, wanted: Toward) -> Judgment {
    if !options.names_patterns() {
        return Judgment::not_evaluated(format!(
            "the profile does not name the patterns that point {}",
            wanted.name()
        ));
    }
    let mut findings = Vec::new();
    let mut cannot_tell = Vec::new();
    let mut n_arrows = 0;
    for pattern in &context.program.patterns {
        if !options.looks_at_pattern(&pattern.id) {
            continue;
        }
        let Some(onsets) = onsets(context, options, &pattern.id, wanted) else {
            continue;
        };
        n_arrows += 1;
        match order(&onsets, pattern.period) {
            Order::Right => {}
            Order::CannotTell(why) => cannot_tell.push(format!("pattern {} {why}", pattern.id)),
            Order::Against(from, to) => {
                findings.push(runs_against(options, &pattern.id, wanted, &from, &to));
            }
        }
    }
    if n_arrows == 0 {
        return Judgment::not_applicable("no such pattern plays on heads that face the rear");
    }
    if findings.is_empty() && cannot_tell.len() == n_arrows {
        return Judgment::not_applicable(cannot_tell.join("; "));
    }
    Judgment::Checked {
        findings,
        tightest: None,
        note: cannot_tell.join("; "),
    }
}

fn runs_against(
    options: &Options<'_>,
    pattern: &PatternId,
    wanted: Toward,
    from: &[&HeadId],
    to: &[&HeadId],
) -> Finding {
    Draft::new(options, SOURCE, Place::Item(ItemId::Pattern(pattern.clone())))
        .head(to.first())
        .say(
            format!(
                "pattern {pattern} is to point {}, but goes from {} to {}, which is to the {} as traffic behind sees it",
                wanted.name(),
                heads_listed(from),
                heads_listed(to),
                wanted.opposite().name()
            ),
            "Swap the heads of its lanes, or turn the order of its lanes round; light one head at a time to find swapped wires",
        )
}

/// The instants at which heads light that face the rear and play a pattern; none when it plays on none.
fn onsets<'a>(
    context: &'a Context<'_>,
    options: &Options<'_>,
    pattern: &PatternId,
    wanted: Toward,
) -> Option<Vec<Onset<'a>>> {
    let mut by_time: SortedMap<Micros, Vec<(i64, &HeadId)>> = SortedMap::default();
    let mut is_played = false;
    let heads = context
        .facts
        .heads
        .iter()
        .zip(&context.program.vehicle.heads);
    for (index, (facts, head)) in heads.enumerate() {
        if facts.zone != Zone::C || !options.looks_at_head(index) {
            continue;
        }
        let sideways = match wanted {
            Toward::Left => head.y.0,
            Toward::Right => -head.y.0,
        };
        for emitter in &facts.emitters {
            if !emitter.lanes.iter().any(|lane| lane.pattern == *pattern) {
                continue;
            }
            is_played = true;
            if emitter.level.is_constant() {
                continue;
            }
            for stretch in &emitter.timing.lit {
                by_time.change(stretch.start, |heads| heads.push((sideways, &facts.head)));
            }
        }
    }
    is_played.then(|| {
        by_time
            .into_iter()
            .map(|(at, heads)| {
                let sum: i128 = heads
                    .iter()
                    .map(|(sideways, _)| i128::from(*sideways))
                    .sum();
                let mut ids: Vec<&HeadId> = heads.iter().map(|(_, head)| *head).collect();
                lampwright_timing::sort(&mut ids);
                ids.dedup();
                let sideways = || heads.iter().map(|(sideways, _)| *sideways);
                Onset {
                    at,
                    place: Ratio::new(sum, i128::try_from(heads.len()).unwrap_or(1) * 1000),
                    least: sideways().min().unwrap_or(0),
                    most: sideways().max().unwrap_or(0),
                    heads: ids,
                }
            })
            .collect()
    })
}

fn order<'a>(all: &[Onset<'a>], period: Micros) -> Order<'a> {
    let (Some(least), Some(most)) = (
        all.iter().map(|onset| onset.least).min(),
        all.iter().map(|onset| onset.most).max(),
    ) else {
        return Order::CannotTell("does not flash toward the rear");
    };
    if least == most {
        return Order::CannotTell("plays on heads at one place across the vehicle");
    }
    // The whole arrow at once says nothing of a direction.
    let moving: Vec<&Onset<'_>> = all
        .iter()
        .filter(|onset| (onset.least, onset.most) != (least, most))
        .collect();
    let mut places: Vec<Ratio> = moving.iter().map(|onset| onset.place).collect();
    lampwright_timing::sort(&mut places);
    places.dedup();
    let (Some(tip), [_, _, ..]) = (places.last().copied(), places.as_slice()) else {
        return Order::CannotTell("lights its heads all at once");
    };
    let n = moving.len();
    let gap = |index: usize| -> Micros {
        let (Some(one), Some(next)) = (moving.get(index), moving.get((index + 1) % n)) else {
            return Micros::ZERO;
        };
        if index + 1 == n {
            next.at + period - one.at
        } else {
            next.at - one.at
        }
    };
    // The arrow begins anew after its one longest pause, if there is one.
    let longest = (0..n).map(gap).max().unwrap_or(Micros::ZERO);
    let pauses: Vec<usize> = (0..n).filter(|index| gap(*index) == longest).collect();
    let pause = match pauses.as_slice() {
        [only] => Some(*only),
        _ => None,
    };
    if pause.is_none() && places.len() == 2 {
        return Order::CannotTell("lights two places in turn without a pause");
    }
    let steps: Vec<(&Onset<'a>, &Onset<'a>)> = (0..n)
        .map(|index| pause.map_or(index, |pause| (pause + 1 + index) % n))
        .filter(|index| Some(*index) != pause)
        .filter_map(|index| Some((*moving.get(index)?, *moving.get((index + 1) % n)?)))
        .collect();
    let has_forward = steps.iter().any(|(from, to)| to.place > from.place);
    let against = steps.iter().find(|(from, to)| {
        let is_return = has_forward && from.place == tip;
        to.place < from.place && !is_return
    });
    match against {
        Some((from, to)) => Order::Against(from.heads.clone(), to.heads.clone()),
        None => Order::Right,
    }
}
