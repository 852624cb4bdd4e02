//! Heads that are to be lit together or in turn: how far they are.
//!
//! Invariant: exact shares of time; heads that drift are never said to be together or in turn.
//! Absent: limits, and which heads are meant.

use crate::Ratio;
use crate::facts::{Facts, Set};
use lampwright_model::Side;

/// How left and right share the time.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Turns {
    /// Time both are lit over time either is lit.
    pub(crate) overlap: Ratio,
    /// Share of the time in which both are dark.
    pub(crate) both_dark: Ratio,
}

/// The left and the right of some heads against each other, or why they take no turns.
pub(crate) fn turns(facts: &Facts, heads: &[usize]) -> Result<Turns, &'static str> {
    let side = |side: Side| {
        let members: Vec<usize> = heads
            .iter()
            .copied()
            .filter(|index| {
                facts
                    .heads
                    .get(*index)
                    .is_some_and(|head| head.side == side)
            })
            .collect();
        facts.group_of(Set::Side(side), &members)
    };
    let (left, right) = (side(Side::Left), side(Side::Right));
    match (left.n_lit, right.n_lit) {
        (0, 0) => return Err("neither left nor right is lit"),
        (0, _) => return Err("no head on the left is lit"),
        (_, 0) => return Err("no head on the right is lit"),
        _ => {}
    }
    let pair = facts.pair_of(&left, &right);
    match (pair.overlap, pair.both_dark) {
        (Some(overlap), Some(both_dark)) => Ok(Turns { overlap, both_dark }),
        _ => Err("left and right run on clocks that drift"),
    }
}

/// Those of some heads that are not lit and dark together with the first of them.
pub(crate) fn out_of_step(facts: &Facts, heads: &[usize]) -> Vec<usize> {
    let Some((first, rest)) = heads.split_first() else {
        return Vec::new();
    };
    let alone = |index: usize| facts.group_of(Set::Heads("one head".into()), &[index]);
    let one = alone(*first);
    rest.iter()
        .copied()
        .filter(|index| {
            let other = alone(*index);
            match (one.n_lit, other.n_lit) {
                (0, 0) => false,
                (0, _) | (_, 0) => true,
                _ => facts.pair_of(&one, &other).overlap != Some(Ratio::ONE),
            }
        })
        .collect()
}
