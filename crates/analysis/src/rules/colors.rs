//! Rules on which colors show to which zone while a mode of warning holds.
//!
//! A zone is that of a head's axis; only the profile knows in which states a mode holds, so a rule without `when` is not evaluated.
//! Invariant: a color counts from the least level on.
//! Absent: how strong the colors are toward a zone, and light of heads that face another one.

use super::{Context, Draft, Judgment, Options, Rule, RuleMeta, listed};
use crate::facts::{EmitterFacts, HeadFacts};
use lampwright_model::{Color, HeadId, ItemId, Place, Zone};

/// A rule on colors by zone.
pub(crate) struct ColorRule {
    pub(crate) meta: &'static RuleMeta,
    /// The mode, as the profile has to tell it: "calling for the right of way".
    pub(crate) mode: &'static str,
    /// Colors that never flash toward a zone, or toward any, each with its source.
    pub(crate) never: &'static [(Option<Zone>, Color, usize)],
    /// Colors that have to flash toward a zone.
    pub(crate) flashing: &'static [(Zone, Color, usize)],
    /// Colors that have to be lit without change toward a zone.
    pub(crate) steady: &'static [(Zone, Color, usize)],
}

impl Rule for ColorRule {
    fn meta(&self) -> &'static RuleMeta {
        self.meta
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        if !options.is_bound_to_states() {
            return Judgment::not_evaluated(format!(
                "the profile does not say in which states the vehicle is {}; give the rule a when",
                self.mode
            ));
        }
        let heads: Vec<(&HeadFacts, &EmitterFacts)> = context
            .facts
            .heads
            .iter()
            .enumerate()
            .filter(|(index, _)| options.looks_at_head(*index))
            .flat_map(|(_, head)| head.emitters.iter().map(move |emitter| (head, emitter)))
            .filter(|(_, emitter)| {
                emitter.level.maximum() > 0
                    && emitter
                        .lanes
                        .iter()
                        .all(|lane| options.looks_at_pattern(&lane.pattern))
            })
            .collect();
        if heads.iter().all(|(_, emitter)| emitter.level.is_constant()) {
            return Judgment::not_applicable("nothing flashes");
        }
        let showing = |zone: Option<Zone>, color: Color, is_steady: bool| -> Vec<&HeadId> {
            heads
                .iter()
                .filter(|(head, emitter)| {
                    zone.is_none_or(|zone| zone == head.zone)
                        && emitter.color == color
                        && emitter.level.is_constant() == is_steady
                })
                .map(|(head, _)| &head.head)
                .collect()
        };
        let mut findings = Vec::new();
        for (zone, color, source) in self.never {
            let ids = showing(*zone, *color, false);
            let Some(first) = ids.first() else {
                continue;
            };
            let (noun, verb) = if ids.len() == 1 {
                ("head", "flashes")
            } else {
                ("heads", "flash")
            };
            let toward = zone.map_or(String::new(), |zone| format!(" {}", toward(zone)));
            findings.push(
                Draft::new(
                    options,
                    *source,
                    Place::Item(ItemId::Head((*first).clone())),
                )
                .head(Some(first))
                .say(
                    format!(
                        "{noun} {} {verb} {color}{toward} while {}, never wanted",
                        listed(&ids),
                        self.mode
                    ),
                    "Let a layer above keep it dark, or give it another color, in these states",
                ),
            );
        }
        let wanted = self
            .flashing
            .iter()
            .map(|wanted| (wanted, false))
            .chain(self.steady.iter().map(|wanted| (wanted, true)));
        for ((zone, color, source), is_steady) in wanted {
            if showing(Some(*zone), *color, is_steady).is_empty() {
                let how = if is_steady { "steady" } else { "flashing" };
                findings.push(Draft::new(options, *source, Place::Vehicle).say(
                    format!(
                        "no {how} {color} {} while {}, at least one wanted",
                        toward(*zone),
                        self.mode
                    ),
                    format!("Let a head that faces there show {how} {color} in these states"),
                ));
            }
        }
        Judgment::Checked {
            findings,
            tightest: None,
            note: "by the axis of each head; light that spills into another zone not looked at"
                .into(),
        }
    }
}

fn toward(zone: Zone) -> &'static str {
    match zone {
        Zone::A => "to the front",
        Zone::B => "to the right",
        Zone::C => "to the rear",
        Zone::D => "to the left",
    }
}
