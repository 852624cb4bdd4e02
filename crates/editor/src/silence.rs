//! Lanes that are left out of the preview: muted ones, and all but those played alone.
//!
//! Invariant: view state; nothing here is saved or judged, and the speed of the preview is that of the lamps that are drawn.

use crate::edits::{Done, Outcome};
use crate::{EditorState, Operation};
use lampwright_model::{Drive, Edit, Pattern, PatternId, Program, RoleId, State, resolve};
use lampwright_timing::SortedSet;
use std::rc::Rc;

/// Which lanes are left out.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct Silence {
    muted: SortedSet<(PatternId, RoleId)>,
    alone: SortedSet<(PatternId, RoleId)>,
}

/// How a lane stands in the preview.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Heard {
    /// Whether it is muted.
    pub is_muted: bool,
    /// Whether it is one of those that play alone.
    pub is_alone: bool,
    /// Whether it is left out, as muted or because others play alone.
    pub is_silent: bool,
}

impl Silence {
    fn heard(&self, pattern: &PatternId, role: &RoleId) -> Heard {
        let key = (pattern.clone(), role.clone());
        let is_muted = self.muted.contains(&key);
        let is_alone = self.alone.contains(&key);
        let has_alone = self.alone.iter().any(|(known, _)| known == pattern);
        Heard {
            is_muted,
            is_alone,
            is_silent: is_muted || (has_alone && !is_alone),
        }
    }

    /// Takes over the new names of lanes; one that is gone goes by its place.
    fn follow(&mut self, before: &Program, after: &Program) {
        let lanes = |program: &Program, id: &PatternId| {
            let mut patterns = program.patterns.iter();
            let pattern = patterns.find(|pattern| pattern.id == *id);
            pattern.map_or_else(Vec::new, |pattern| pattern.lanes.clone())
        };
        for set in [&mut self.muted, &mut self.alone] {
            let keys: Vec<_> = set.iter().cloned().collect();
            for key in keys {
                let (before, after) = (lanes(before, &key.0), lanes(after, &key.0));
                let is_there = after.iter().any(|lane| lane.role == key.1);
                let at = before.iter().position(|lane| lane.role == key.1);
                if !is_there
                    && before.len() == after.len()
                    && let Some(lane) = at.and_then(|at| after.get(at))
                {
                    set.remove(&key);
                    set.insert((key.0, lane.role.clone()));
                }
            }
        }
    }

    /// What is drawn of a program; none when every lane plays.
    pub(crate) fn drive(&self, program: &Program, state: &State) -> Option<Drive> {
        if self.muted.is_empty() && self.alone.is_empty() {
            return None;
        }
        let mut edits = Vec::new();
        for pattern in &program.patterns {
            for lane in &pattern.lanes {
                if self.heard(&pattern.id, &lane.role).is_silent {
                    edits.push(Edit::SetPulses {
                        pattern: pattern.id.clone(),
                        lane: lane.role.clone(),
                        pulses: Vec::new(),
                    });
                }
            }
        }
        let drawn = program.apply(&Edit::Together(edits)).ok()?;
        Some(resolve(&drawn, state))
    }
}

impl EditorState {
    /// Keeps the same lanes silent in the program that is to be shown.
    pub(crate) fn keep_silence(&mut self, next: &Program) {
        if *self.silence != Silence::default() {
            Rc::make_mut(&mut self.silence).follow(&self.program, next);
        }
    }

    /// How a lane of the open pattern stands in the preview.
    #[must_use]
    pub fn heard(&self, lane: usize) -> Heard {
        self.open_pattern()
            .and_then(|pattern| Some((pattern, pattern.lanes.get(lane)?)))
            .map_or_else(Heard::default, |(pattern, lane)| {
                self.silence.heard(&pattern.id, &lane.role)
            })
    }

    /// Mutes the lanes meant or lets them play alone, or takes that back.
    pub(crate) fn silence(&mut self, pattern: &Pattern, operation: Operation) -> Done {
        let lanes = self.lanes_meant(pattern)?;
        let mut silence = (*self.silence).clone();
        let set = match operation {
            Operation::Alone => &mut silence.alone,
            _ => &mut silence.muted,
        };
        let keys: Vec<_> = lanes
            .iter()
            .filter_map(|lane| pattern.lanes.get(*lane))
            .map(|lane| (pattern.id.clone(), lane.role.clone()))
            .collect();
        let is_set = keys.iter().any(|key| !set.contains(key));
        let mut names = String::new();
        for key in keys {
            if !names.is_empty() {
                names.push_str(", ");
            }
            names.push_str(key.1.as_str());
            if is_set {
                set.insert(key);
            } else {
                set.remove(&key);
            }
        }
        self.silence = Rc::new(silence);
        self.results = Rc::default();
        let what = match (operation, is_set) {
            (Operation::Alone, true) => "alone in the preview",
            (Operation::Alone, false) => "not alone any more",
            (_, true) => "muted in the preview",
            (_, false) => "plays again",
        };
        Ok(Outcome::Say(format!("Lane {names} {what}")))
    }
}
