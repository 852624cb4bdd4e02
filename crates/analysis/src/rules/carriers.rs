//! What the carrier rules share: emitters that a carrier dims, and their pulses.
//!
//! Invariant: an emitter at full level has no carrier to speak of; a pulse that passes the end of the period is one pulse.

use super::{Context, Options, listed};
use crate::facts::{EmitterFacts, HeadFacts};
use lampwright_model::{Dimming, HeadId};
use lampwright_timing::{Micros, Waveform};

/// An emitter that a carrier dims at some time.
pub(super) struct Dimmed<'a> {
    pub(super) head: &'a HeadFacts,
    pub(super) emitter: &'a EmitterFacts,
    pub(super) hertz: u32,
}

/// The emitters of a state that a carrier dims, under a rule's options.
pub(super) fn dimmed<'a>(context: &'a Context<'_>, options: &Options<'_>) -> Vec<Dimmed<'a>> {
    let heads = context
        .facts
        .heads
        .iter()
        .zip(&context.program.vehicle.heads);
    heads
        .enumerate()
        .filter(|(index, _)| options.looks_at_head(*index))
        .flat_map(|(_, (facts, head))| {
            facts
                .emitters
                .iter()
                .zip(&head.emitters)
                .map(move |(emitter, known)| (facts, emitter, known.dimming))
        })
        .filter(|(_, emitter, _)| {
            emitter
                .lanes
                .iter()
                .all(|lane| options.looks_at_pattern(&lane.pattern))
                && emitter
                    .level
                    .steps()
                    .iter()
                    .any(|step| (1..1000).contains(&step.value))
        })
        .filter_map(|(head, emitter, dimming)| match dimming {
            Dimming::Carrier(hertz) if hertz > 0 => Some(Dimmed {
                head,
                emitter,
                hertz,
            }),
            _ => None,
        })
        .collect()
}

/// Length and level of each stretch at one level between dark and full; of the whole period for light that never changes none, since it has no pulse.
pub(super) fn pulses(level: &Waveform) -> Vec<(Micros, i64)> {
    if level.is_constant() {
        return Vec::new();
    }
    let mut pieces: Vec<(Micros, i64)> = level
        .pieces()
        .map(|(interval, value)| (interval.length, value))
        .collect();
    if let ([first, .., _], Some(last)) = (pieces.as_slice(), pieces.last())
        && first.1 == last.1
    {
        let length = first.0;
        pieces.remove(0);
        if let Some(last) = pieces.last_mut() {
            last.0 += length;
        }
    }
    pieces.retain(|(_, value)| (1..1000).contains(value));
    pieces
}

/// "head a", "heads a and b".
pub(super) fn heads(heads: &[&HeadId]) -> String {
    let word = if heads.len() == 1 { "head" } else { "heads" };
    format!("{word} {}", listed(heads))
}
