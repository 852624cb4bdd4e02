//! Edits and changes of heads of each kind, such as fit the program as it is.

use super::numbers::Numbers;
use super::program::profile;
use crate::support::*;
use lampwright_editor::EditorState;
use lampwright_editor::setup::{HeadsChange, ThingKind, add, duplicate, labels, remove, shift};
use lampwright_model::{Alternative, Edit, Item, ItemId, Millimeters, Parts, Waiver};

impl Numbers {
    /// Anything with an identifier.
    pub(super) fn item(&mut self, state: &EditorState) -> Option<ItemId> {
        let program = state.program();
        self.n_picked += 1;
        match ThingKind::ALL.get(self.n_picked % (ThingKind::ALL.len() + 2)) {
            Some(kind) => {
                let ids = labels(program, *kind);
                self.one(&ids).and_then(|(id, _)| kind.id(id))
            }
            // Patterns and promises have no list in the set-up.
            None if self.is_one_in(2) => {
                let pattern = self.one(&program.patterns);
                pattern.map(|pattern| ItemId::Pattern(pattern.id.clone()))
            }
            None => {
                let promise = self.one(&program.guarantees);
                promise.map(|promise| ItemId::Guarantee(promise.id.clone()))
            }
        }
    }

    pub(super) fn heads_change(&mut self, kind: &str, state: &EditorState) -> HeadsChange {
        let mut far = || Millimeters(self.between(-1_500, 1_500));
        match kind {
            "SameForward" => HeadsChange::SameForward,
            "SameLeft" => HeadsChange::SameLeft,
            "Spread" => HeadsChange::Spread,
            "Mirror" => HeadsChange::Mirror,
            "Move" => HeadsChange::Move(far(), far()),
            "Wire" => HeadsChange::Wire,
            "Play" => HeadsChange::Play,
            "Press" => HeadsChange::Press(self.head(state)),
            "Drag" => HeadsChange::Drag {
                forward: far(),
                left: far(),
                no_snap: self.is_one_in(2),
            },
            other => panic!("say how a change of heads {other} comes about"),
        }
    }

    pub(super) fn edit(&mut self, kind: &str, state: &EditorState) -> Edit {
        let program: &Parts = state.program();
        let nothing = Edit::Together(Vec::new());
        let step = |step: Result<lampwright_editor::setup::Step, String>| {
            step.map_or(nothing.clone(), |(_, edit, _)| edit)
        };
        match kind {
            "Put" => {
                let item = self.item(state).and_then(|id| program.item(&id));
                item.map_or(nothing, |item| Edit::Put(self.changed(item)))
            }
            "Insert" => {
                let item = self.item(state).and_then(|id| program.item(&id));
                item.map_or(nothing, |item| {
                    Edit::Insert(self.next(4), self.renamed(item))
                })
            }
            "Remove" => self.item(state).map_or(nothing, Edit::Remove),
            "Move" => match self.item(state) {
                Some(id) => Edit::Move(id, self.next(5)),
                None => nothing,
            },
            "SetPulses" => {
                let pattern = self.one(&program.patterns).cloned();
                let Some(pattern) = pattern else {
                    return nothing;
                };
                let Some(lane) = self.one(&pattern.lanes) else {
                    return nothing;
                };
                let from = self.between(0, 300);
                Edit::SetPulses {
                    pattern: pattern.id.clone(),
                    lane: lane.role.clone(),
                    pulses: vec![pulse(from, 40)],
                }
            }
            "SetTitle" => Edit::SetTitle {
                name: self.text(),
                about: self.text(),
            },
            "SetVehicle" => {
                let mut outline = program.vehicle.outline;
                outline.length = Millimeters(self.between(3_000, 9_000));
                Edit::SetVehicle {
                    name: self.text(),
                    outline,
                    supply: program.vehicle.supply,
                }
            }
            "SetImpossible" => {
                let all: Vec<Alternative> = program
                    .situations
                    .iter()
                    .map(|situation| {
                        let values = situation.values.iter();
                        Alternative(
                            values
                                .map(|(signal, value)| (signal.clone(), vec![value.clone()]))
                                .collect(),
                        )
                    })
                    .collect();
                Edit::SetImpossible(all.into_iter().take(self.next(2)).collect())
            }
            "SetProfile" => Edit::SetProfile(profile(self.any(&["LW001", "LW020", "LW042"]))),
            "SetWaivers" => Edit::SetWaivers(vec![Waiver {
                rule: "LW001".parse().unwrap(),
                place: None,
                reason: self.text() + "why",
                by: "the agency".into(),
                date: "2026-03-09".into(),
            }]),
            "Together" => step(match self.item(state) {
                None => add(state, self.any(ThingKind::ALL), None),
                Some(id) => match self.next(4) {
                    0 => add(state, self.any(ThingKind::ALL), None),
                    1 => duplicate(state, &id),
                    2 => remove(state.program(), &[id]),
                    _ => shift(state.program(), &id, self.is_one_in(2)),
                },
            }),
            other => panic!("say how an edit {other} comes about"),
        }
    }

    /// The thing with another label.
    pub(super) fn changed(&mut self, mut item: Item) -> Item {
        let label = format!("label {}", self.next(1000));
        match &mut item {
            Item::Head(it) => it.label = label,
            Item::Output(it) => it.label = label,
            Item::Fuse(it) => it.label = label,
            Item::Clock(it) => it.label = label,
            Item::Group(it) => it.label = label,
            Item::Pattern(it) => it.label = label,
            Item::Signal(it) => it.label = label,
            Item::Control(it) => it.label = label,
            Item::Layer(it) => it.label = label,
            Item::DimLayer(it) => it.label = label,
            Item::Situation(it) => it.label = label,
            Item::Guarantee(it) => it.label = label,
        }
        item
    }

    /// The thing under another identifier.
    pub(super) fn renamed(&mut self, mut item: Item) -> Item {
        let id = format!("new-{}", self.next(100_000));
        match &mut item {
            Item::Head(it) => it.id = id.parse().unwrap(),
            Item::Output(it) => it.id = id.parse().unwrap(),
            Item::Fuse(it) => it.id = id.parse().unwrap(),
            Item::Clock(it) => it.id = id.parse().unwrap(),
            Item::Group(it) => it.id = id.parse().unwrap(),
            Item::Pattern(it) => it.id = id.parse().unwrap(),
            Item::Signal(it) => it.id = id.parse().unwrap(),
            Item::Control(it) => it.id = id.parse().unwrap(),
            Item::Layer(it) => it.id = id.parse().unwrap(),
            Item::DimLayer(it) => it.id = id.parse().unwrap(),
            Item::Situation(it) => it.id = id.parse().unwrap(),
            Item::Guarantee(it) => it.id = id.parse().unwrap(),
        }
        item
    }
}
