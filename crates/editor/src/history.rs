//! Undo and redo by whole-document snapshots that share their lanes.
//!
//! Moves by key that follow each other on the same things are one step, see [`Run`].
//! Invariant: nothing but finished steps is on either stack; a gesture under way or given up touches neither.

mod kept;

pub use kept::{TextFormat, WrittenTexts};

use crate::{Focus, Selection};
use kept::TextSteps;
use lampwright_model::{PatternId, Program};
use lampwright_timing::SortedSet;
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
    /// Before all that is in `done`, from before the page was opened.
    earlier: Option<Rc<TextSteps>>,
    /// After all that is in `undone`, likewise.
    later: Option<Rc<TextSteps>>,
    n_dropped: usize,
    run: Option<Run>,
}

/// Moves by key that have become the latest step, and go on while nothing else comes between.
#[derive(Clone, Debug)]
struct Run {
    of: Nudged,
    /// The whole way.
    by: (i64, i64),
    selection: Rc<Selection>,
    focus: Focus,
}

/// What a key moves a little.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Nudged {
    /// Pulses, in time.
    Pulses,
    /// The ends of pulses.
    Lengths,
    /// The levels of pulses.
    Levels,
    /// Pulses, to other lanes.
    Lanes,
    /// Heads on the plan.
    Heads,
}

impl History {
    /// Labels of the steps that can be taken back, the latest last.
    pub fn done(&self) -> impl DoubleEndedIterator<Item = &str> {
        labels(&self.done, self.earlier.as_deref())
    }

    /// Labels of the steps that can be done again, the next one last.
    pub fn undone(&self) -> impl DoubleEndedIterator<Item = &str> {
        labels(&self.undone, self.later.as_deref())
    }

    /// The label of what undo would take back.
    #[must_use]
    pub fn undo_label(&self) -> Option<&str> {
        self.done().next_back()
    }

    /// The label of what redo would do again.
    #[must_use]
    pub fn redo_label(&self) -> Option<&str> {
        self.undone().next_back()
    }

    /// Whether nothing was done and nothing taken back.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.undo_label().is_none() && self.redo_label().is_none()
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
        if excess > 0 {
            self.earlier = None;
        }
        self.undone = Rc::default();
        self.later = None;
        self.run = None;
    }

    /// The document before a run of moves and the way they have gone, taken out of the steps so that one more becomes one step with them; none when something came between.
    pub(crate) fn resume(&mut self, of: Nudged) -> Option<(Snapshot, (i64, i64))> {
        let run = self.run.take().filter(|run| run.of == of)?;
        let step = Rc::make_mut(&mut self.done).pop()?;
        Some((step.snapshot, run.by))
    }

    /// Notes that the latest step is a run of moves, which goes on while this is selected.
    pub(crate) fn run_on(
        &mut self,
        of: Nudged,
        by: (i64, i64),
        selection: Rc<Selection>,
        focus: Focus,
    ) {
        self.run = Some(Run {
            of,
            by,
            selection,
            focus,
        });
    }

    /// Notes that what a run of moves is about is selected under other indices now.
    pub(crate) fn follow_run(&mut self, selection: Rc<Selection>, focus: Focus) {
        if let Some(run) = &mut self.run {
            (run.selection, run.focus) = (selection, focus);
        }
    }

    /// Ends a run of moves of what is not selected any more.
    pub(crate) fn end_run_elsewhere(&mut self, selection: &Rc<Selection>, focus: Focus) {
        let goes_on = |run: &Run| {
            run.focus == focus
                && (Rc::ptr_eq(&run.selection, selection) || run.selection == *selection)
        };
        self.run = self.run.take().filter(goes_on);
    }

    /// Takes the last step back: gives the document before it and the step's label.
    pub(crate) fn undo(&mut self, present: Snapshot) -> Option<(Snapshot, String)> {
        self.run = None;
        turn(
            (&mut self.done, &mut self.earlier),
            &mut self.undone,
            present,
        )
    }

    /// Does the step taken back last again.
    pub(crate) fn redo(&mut self, present: Snapshot) -> Option<(Snapshot, String)> {
        self.run = None;
        turn((&mut self.undone, &mut self.later), &mut self.done, present)
    }
}

/// Takes the next step of one direction, which becomes the next of the other.
fn turn(
    (from, texts): (&mut Rc<Vec<Step>>, &mut Option<Rc<TextSteps>>),
    to: &mut Rc<Vec<Step>>,
    present: Snapshot,
) -> Option<(Snapshot, String)> {
    let (snapshot, label, bytes) = match Rc::make_mut(from).pop() {
        Some(step) => (step.snapshot, step.label, step.bytes),
        None => {
            let next = Rc::make_mut(texts.as_mut()?).next();
            let Some((snapshot, label)) = next else {
                // Nothing beyond it can be reached either.
                *texts = None;
                return None;
            };
            let bytes = unshared_bytes(&present.program, &snapshot.program);
            (snapshot, label, bytes)
        }
    };
    Rc::make_mut(to).push(Step {
        label: label.clone(),
        snapshot: present,
        bytes,
    });
    Some((snapshot, label))
}

fn labels<'history>(
    steps: &'history [Step],
    texts: Option<&'history TextSteps>,
) -> impl DoubleEndedIterator<Item = &'history str> {
    texts
        .into_iter()
        .flat_map(TextSteps::labels)
        .chain(steps.iter().map(|step| step.label.as_str()))
}

/// About how much memory `program` holds that `other` does not share.
fn unshared_bytes(program: &Program, other: &Program) -> usize {
    let shared: SortedSet<_> = other
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
