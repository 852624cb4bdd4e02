//! Counting the states of some signals by which conditions hold in them, without listing the states.
//!
//! One signal after the other is given each of its values.
//! What is kept of the values given so far is only what they leave open of each condition; where two ways leave the same open they are one from there on, and their numbers of states add.
//!
//! Invariant: counts are exact; every state that is possible is counted once, under exactly the conditions that hold in it.
//! Absent: what the conditions are for.

use lampwright_model::{Alternative, Condition, Program};
use std::cmp::Ordering;

/// Most ways that are kept apart at once; the largest demo takes some ten thousand.
const MOST_WAYS: usize = 1 << 17;

/// Most ways before those that leave the same open are one, which bounds the memory.
const MOST_UNMERGED: usize = 1 << 20;

/// All alternatives that are still open, one bit each; this value says that the condition holds whatever comes.
const HOLDS: u64 = u64::MAX;

/// Alternatives to a word, so that no set of open ones looks like [`HOLDS`].
const PER_WORD: usize = 63;

/// A condition over signals, by their indices in the program and the values allowed, one bit each.
#[derive(Clone, Debug, Default)]
pub(super) struct Compiled {
    alternatives: Vec<Vec<(usize, u64)>>,
}

impl Compiled {
    pub(super) fn of(program: &Program, condition: &Condition) -> Self {
        Self {
            alternatives: condition
                .0
                .iter()
                .map(|alternative| compiled(program, alternative))
                .collect(),
        }
    }

    pub(super) fn of_alternative(program: &Program, alternative: &Alternative) -> Self {
        Self {
            alternatives: vec![compiled(program, alternative)],
        }
    }

    /// The signals it speaks of.
    pub(super) fn signals(&self) -> impl Iterator<Item = usize> {
        self.alternatives
            .iter()
            .flatten()
            .map(|(signal, _)| *signal)
    }

    fn allows(&self, signal: usize, value: usize) -> impl Iterator<Item = bool> {
        self.alternatives.iter().map(move |alternative| {
            alternative
                .iter()
                .all(|(known, allowed)| *known != signal || allowed & (1 << value) != 0)
        })
    }
}

fn compiled(program: &Program, alternative: &Alternative) -> Vec<(usize, u64)> {
    let mut limits: Vec<(usize, u64)> = Vec::new();
    for (signal, allowed) in &alternative.0 {
        let Some((index, signal)) = program.signal(signal) else {
            continue;
        };
        let mask = signal
            .values
            .iter()
            .take(64)
            .enumerate()
            .filter(|(_, value)| allowed.contains(value))
            .fold(0, |mask, (value, _)| mask | 1 << value);
        match limits.iter_mut().find(|(known, _)| *known == index) {
            Some((_, known)) => *known &= mask,
            None => limits.push((index, mask)),
        }
    }
    limits
}

/// There are more ways to keep apart than fit.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct TooMany;

/// States in which the same conditions hold.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Counted {
    /// For each condition whether it holds.
    pub(super) holds: Vec<bool>,
    /// How many states there are.
    pub(super) n_states: u128,
    /// One of them, away from the defaults in as few signals as any, as values of the signals counted over, in their order.
    pub(super) values: Vec<usize>,
    /// In how many signals it is away from the defaults.
    pub(super) n_away: usize,
}

/// Values of a signal that no condition tells apart.
struct Class {
    /// The default where it is among them, else the first.
    value: usize,
    n_values: u128,
    is_away: bool,
    /// What these values leave of the alternatives in each word.
    kept: Vec<u64>,
}

struct Step {
    classes: Vec<Class>,
    /// Per word the alternatives that speak of no later signal: one of them open says that it holds.
    decided: Vec<u64>,
    /// Word, alternative, and others that hold whenever it does.
    covered: Vec<(usize, u64, u64)>,
}

/// One way to give values to the first signals, or many that leave the same open.
#[derive(Clone)]
struct Way {
    open: Vec<u64>,
    n_states: u128,
    n_away: usize,
    /// The way before, and the value given last.
    from: usize,
    value: usize,
}

/// Counting over signals of a program in an order.
pub(super) struct Counting {
    n_conditions: usize,
    /// Condition of each word; the first ones of the list, then what is impossible.
    words: Vec<usize>,
    start: Vec<u64>,
    steps: Vec<Step>,
}

impl Counting {
    /// Conditions speak of no other signals than those of the order.
    pub(super) fn new(
        program: &Program,
        order: &[usize],
        conditions: &[Compiled],
        impossible: &[Compiled],
    ) -> Self {
        let mut words = Vec::new();
        let mut sources: Vec<&[Vec<(usize, u64)>]> = Vec::new();
        for (index, condition) in conditions.iter().chain(impossible).enumerate() {
            for some in condition.alternatives.chunks(PER_WORD) {
                words.push(index);
                sources.push(some);
            }
        }
        let start = sources
            .iter()
            .map(|alternatives| {
                if alternatives.iter().any(Vec::is_empty) {
                    HOLDS
                } else {
                    (1 << alternatives.len()) - 1
                }
            })
            .collect();
        let all: Vec<&Compiled> = conditions.iter().chain(impossible).collect();
        let steps = order
            .iter()
            .enumerate()
            .map(|(place, signal)| {
                let later = order.get(place + 1..).unwrap_or_default();
                Step {
                    classes: classes(program, *signal, &all, &sources),
                    decided: sources
                        .iter()
                        .map(|alternatives| {
                            mask(alternatives, |limits| rest(limits, later).is_empty())
                        })
                        .collect(),
                    covered: covered(&sources, later),
                }
            })
            .collect();
        Self {
            n_conditions: conditions.len(),
            words,
            start,
            steps,
        }
    }

    /// The states, parted by what holds, those in the fewest words first.
    ///
    /// # Errors
    /// When more than [`MOST_WAYS`] ways would be kept apart, or [`MOST_UNMERGED`] had to be looked at.
    pub(super) fn run(&self) -> Result<Vec<Counted>, TooMany> {
        let mut levels = vec![self.first()];
        for step in &self.steps {
            let next = self.level(step, levels.last().map_or(&[], Vec::as_slice))?;
            levels.push(next);
        }
        let mut counted: Vec<Counted> = levels
            .last()
            .into_iter()
            .flatten()
            .map(|way| Counted {
                holds: self.holds(&way.open),
                n_states: way.n_states,
                values: values(&levels, way),
                n_away: way.n_away,
            })
            .collect();
        lampwright_timing::sort_by(&mut counted, by_words);
        Ok(counted)
    }

    /// For each way before the last signal what holds with each of its values, where that is possible.
    ///
    /// # Errors
    /// As of [`Self::run`].
    pub(super) fn by_last_signal(&self) -> Result<Vec<Vec<Vec<bool>>>, TooMany> {
        let mut level = self.first();
        let Some((last, steps)) = self.steps.split_last() else {
            return Ok(Vec::new());
        };
        for step in steps {
            level = self.level(step, &level)?;
        }
        Ok(level
            .iter()
            .map(|way| {
                last.classes
                    .iter()
                    .filter_map(|class| self.next(last, class, &way.open))
                    .map(|open| self.holds(&open))
                    .collect()
            })
            .collect())
    }

    fn first(&self) -> Vec<Way> {
        let way = Way {
            open: self.start.clone(),
            n_states: 1,
            n_away: 0,
            from: 0,
            value: 0,
        };
        let is_possible = !self.is_impossible(&way.open);
        is_possible.then_some(way).into_iter().collect()
    }

    fn level(&self, step: &Step, before: &[Way]) -> Result<Vec<Way>, TooMany> {
        if before.len().saturating_mul(step.classes.len()) > MOST_UNMERGED {
            return Err(TooMany);
        }
        let mut ways = Vec::with_capacity(before.len() * step.classes.len());
        for (from, way) in before.iter().enumerate() {
            for class in &step.classes {
                if let Some(open) = self.next(step, class, &way.open) {
                    ways.push(Way {
                        open,
                        n_states: way.n_states.saturating_mul(class.n_values),
                        n_away: way.n_away + usize::from(class.is_away),
                        from,
                        value: class.value,
                    });
                }
            }
        }
        lampwright_timing::sort_by(&mut ways, |one, other| {
            (&one.open, one.n_away, one.from, one.value).cmp(&(
                &other.open,
                other.n_away,
                other.from,
                other.value,
            ))
        });
        ways.dedup_by(|next, kept| {
            let is_same = next.open == kept.open;
            if is_same {
                kept.n_states = kept.n_states.saturating_add(next.n_states);
            }
            is_same
        });
        if ways.len() > MOST_WAYS {
            return Err(TooMany);
        }
        Ok(ways)
    }

    /// What is left open with a value of the next signal; none when that is impossible.
    fn next(&self, step: &Step, class: &Class, open: &[u64]) -> Option<Vec<u64>> {
        let mut open: Vec<u64> = open
            .iter()
            .zip(&class.kept)
            .zip(&step.decided)
            .map(|((open, kept), decided)| match *open {
                HOLDS => HOLDS,
                open if open & kept & decided != 0 => HOLDS,
                open => open & kept,
            })
            .collect();
        for (word, alternative, others) in &step.covered {
            if let Some(open) = open.get_mut(*word)
                && *open != HOLDS
                && *open & alternative != 0
                && *open & others != 0
            {
                *open &= !alternative;
            }
        }
        (!self.is_impossible(&open)).then_some(open)
    }

    fn is_impossible(&self, open: &[u64]) -> bool {
        self.words
            .iter()
            .zip(open)
            .any(|(condition, open)| *condition >= self.n_conditions && *open == HOLDS)
    }

    fn holds(&self, open: &[u64]) -> Vec<bool> {
        let mut holds = vec![false; self.n_conditions];
        for (condition, open) in self.words.iter().zip(open) {
            if let Some(holds) = holds.get_mut(*condition) {
                *holds |= *open == HOLDS;
            }
        }
        holds
    }
}

/// Fewest words first.
fn by_words(one: &Counted, other: &Counted) -> Ordering {
    (one.n_away, &one.values).cmp(&(other.n_away, &other.values))
}

fn values(levels: &[Vec<Way>], last: &Way) -> Vec<usize> {
    let mut values = Vec::new();
    let mut way = last;
    for before in levels.iter().rev().skip(1) {
        values.push(way.value);
        let Some(from) = before.get(way.from) else {
            break;
        };
        way = from;
    }
    values.reverse();
    values
}

fn classes(
    program: &Program,
    signal: usize,
    conditions: &[&Compiled],
    sources: &[&[Vec<(usize, u64)>]],
) -> Vec<Class> {
    let Some(known) = program.signals.get(signal) else {
        return Vec::new();
    };
    let mut classes: Vec<(Vec<bool>, Class)> = Vec::new();
    // The default first, so that it stands for its class.
    let values = std::iter::once(known.default)
        .chain((0..known.values.len()).filter(|value| *value != known.default));
    for value in values {
        let allows: Vec<bool> = conditions
            .iter()
            .flat_map(|condition| condition.allows(signal, value))
            .collect();
        match classes.iter_mut().find(|(known, _)| *known == allows) {
            Some((_, class)) => class.n_values += 1,
            None => {
                let kept = sources
                    .iter()
                    .map(|alternatives| {
                        mask(alternatives, |limits| {
                            limits.iter().all(|(known, allowed)| {
                                *known != signal || allowed & (1 << value) != 0
                            })
                        })
                    })
                    .collect();
                classes.push((
                    allows,
                    Class {
                        value,
                        n_values: 1,
                        is_away: value != known.default,
                        kept,
                    },
                ));
            }
        }
    }
    classes.into_iter().map(|(_, class)| class).collect()
}

/// Bits of the alternatives for which something is true.
fn mask(alternatives: &[Vec<(usize, u64)>], is_in: impl Fn(&[(usize, u64)]) -> bool) -> u64 {
    alternatives
        .iter()
        .enumerate()
        .filter(|(_, limits)| is_in(limits))
        .fold(0, |mask, (bit, _)| mask | 1 << bit)
}

/// What an alternative says of later signals.
fn rest(limits: &[(usize, u64)], later: &[usize]) -> Vec<(usize, u64)> {
    limits
        .iter()
        .filter(|(signal, _)| later.contains(signal))
        .copied()
        .collect()
}

/// Alternatives that need not be kept open beside others which hold whenever they do.
fn covered(sources: &[&[Vec<(usize, u64)>]], later: &[usize]) -> Vec<(usize, u64, u64)> {
    let mut covered = Vec::new();
    for (word, alternatives) in sources.iter().enumerate() {
        let rests: Vec<_> = alternatives
            .iter()
            .map(|limits| rest(limits, later))
            .collect();
        for (index, own) in rests.iter().enumerate() {
            let others = rests
                .iter()
                .enumerate()
                .filter(|(other, wider)| {
                    *other != index
                        && implies(own, wider)
                        && (*other < index || !implies(wider, own))
                })
                .fold(0, |mask, (other, _)| mask | 1 << other);
            if others != 0 {
                covered.push((word, 1 << index, others));
            }
        }
    }
    covered
}

/// Whether what meets the first limits meets the second ones.
fn implies(narrow: &[(usize, u64)], wide: &[(usize, u64)]) -> bool {
    wide.iter().all(|(signal, allowed)| {
        narrow
            .iter()
            .any(|(known, own)| known == signal && own & !allowed == 0)
    })
}
