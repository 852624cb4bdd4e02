//! Undo and redo by whole-document snapshots that share their lanes.
//!
//! Invariant: nothing but finished steps is on either stack; a gesture under way or given up touches neither.

use crate::Selection;
use lampwright_model::{PatternId, Program};
use std::collections::HashSet;
use std::rc::Rc;

/// Most steps kept.
pub(crate) const MAX_STEPS: usize = 2_000;
/// Most memory the snapshots may hold apart from what they share, by estimate.
const MAX_BYTES: usize = 96 << 20;

/// One labelled change, with the document on its far side.
#[derive(Clone, Debug)]
pub struct Step {
    /// What was done: "Move pulse".
    pub label: String,
    pub(crate) snapshot: Snapshot,
    pub(crate) bytes: usize,
}

/// A document with what was selected in it.
#[derive(Clone, Debug)]
pub(crate) struct Snapshot {
    pub(crate) program: Rc<Program>,
    pub(crate) selection: Rc<Selection>,
    pub(crate) open_pattern: Option<PatternId>,
}

/// The steps that can be taken back and done again.
#[derive(Clone, Debug, Default)]
pub struct History {
    done: Rc<Vec<Step>>,
    undone: Rc<Vec<Step>>,
    n_dropped: usize,
}

impl History {
    /// Labels of the steps that can be taken back, the latest last.
    pub fn done(&self) -> impl DoubleEndedIterator<Item = &str> {
        self.done.iter().map(|step| step.label.as_str())
    }

    /// Labels of the steps that can be done again, the next one last.
    pub fn undone(&self) -> impl DoubleEndedIterator<Item = &str> {
        self.undone.iter().map(|step| step.label.as_str())
    }

    /// The label of what undo would take back.
    #[must_use]
    pub fn undo_label(&self) -> Option<&str> {
        self.done.last().map(|step| step.label.as_str())
    }

    /// The label of what redo would do again.
    #[must_use]
    pub fn redo_label(&self) -> Option<&str> {
        self.undone.last().map(|step| step.label.as_str())
    }

    /// Whether nothing was done and nothing taken back.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.done.is_empty() && self.undone.is_empty()
    }

    /// How many of the oldest steps were forgotten to bound memory.
    #[must_use]
    pub fn n_dropped(&self) -> usize {
        self.n_dropped
    }

    /// Notes that `before` became `after`; what had been taken back is gone.
    pub(crate) fn push(&mut self, label: String, before: Snapshot, after: &Program) {
        let bytes = unshared_bytes(&before.program, after);
        let done = Rc::make_mut(&mut self.done);
        done.push(Step {
            label,
            snapshot: before,
            bytes,
        });
        let mut total = 0;
        let kept = done
            .iter()
            .rev()
            .take(MAX_STEPS)
            .take_while(|step| {
                total += step.bytes;
                total <= MAX_BYTES
            })
            .count()
            .max(1);
        let excess = done.len() - kept;
        done.drain(..excess);
        self.n_dropped += excess;
        self.undone = Rc::default();
    }

    /// Takes the last step back: gives the document before it and the step's label.
    pub(crate) fn undo(&mut self, present: Snapshot) -> Option<(Snapshot, String)> {
        let step = Rc::make_mut(&mut self.done).pop()?;
        Rc::make_mut(&mut self.undone).push(Step {
            label: step.label.clone(),
            snapshot: present,
            bytes: step.bytes,
        });
        Some((step.snapshot, step.label))
    }

    /// Does the step taken back last again.
    pub(crate) fn redo(&mut self, present: Snapshot) -> Option<(Snapshot, String)> {
        let step = Rc::make_mut(&mut self.undone).pop()?;
        Rc::make_mut(&mut self.done).push(Step {
            label: step.label.clone(),
            snapshot: present,
            bytes: step.bytes,
        });
        Some((step.snapshot, step.label))
    }
}

/// About how much memory `program` holds that `other` does not share.
fn unshared_bytes(program: &Program, other: &Program) -> usize {
    let shared: HashSet<_> = other
        .patterns
        .iter()
        .flat_map(|pattern| &pattern.lanes)
        .map(|lane| lane.pulses.as_ptr())
        .collect();
    let pulses: usize = program
        .patterns
        .iter()
        .flat_map(|pattern| &pattern.lanes)
        .filter(|lane| !shared.contains(&lane.pulses.as_ptr()))
        .map(|lane| std::mem::size_of_val::<[_]>(&lane.pulses))
        .sum();
    let lanes: usize = program
        .patterns
        .iter()
        .map(|pattern| pattern.lanes.len())
        .sum();
    // Heads with their emitters and texts weigh about a kilobyte; the rest a few hundred bytes apiece.
    pulses
        + 1024 * program.vehicle.heads.len()
        + 64 * lanes
        + 512
            * (program.layers.len()
                + program.dims.len()
                + program.signals.len()
                + program.controls.len()
                + program.situations.len()
                + program.guarantees.len()
                + program.patterns.len())
        + 4096
}
