//! What each action does.

use crate::history::{Nudged, Snapshot};
use crate::lane_edit::LaneChanges;
use crate::setup::HeadsChange;
use crate::{
    Action, EditorState, Focus, History, Message, MessageKind, Notice, Perform, PreviewState,
    SaveState, Selection, Shown, command,
};
use lampwright_model::{Edit, Pattern, PatternId, Problem, Program};
use lampwright_timing::Micros;
use std::rc::Rc;

/// What there is to say after an action that was done.
pub(crate) enum Outcome {
    /// Nothing.
    Quiet,
    /// These words.
    Say(String),
}

pub(crate) type Done = Result<Outcome, String>;

impl EditorState {
    pub(crate) fn perform(&mut self, action: Action) -> Done {
        match &action {
            Action::Undo | Action::Redo | Action::Open { .. } => self.cancel_gesture(),
            Action::Drag(_)
            | Action::Heads(HeadsChange::Drag { .. })
            | Action::Release
            | Action::CancelGesture
            | Action::Run(_)
            | Action::Play
            | Action::Pause { .. }
            | Action::Stop
            | Action::Resize { .. }
            | Action::ZoomAbout { .. }
            | Action::Pan { .. }
            | Action::SetViewport(_)
            | Action::SaveStarted
            | Action::SaveFinished { .. }
            | Action::SaveFailed { .. }
            | Action::SetTheme(_)
            | Action::SetReducedMotion(_) => {}
            _ => {
                self.release_gesture();
                self.refused_answer = None;
            }
        }
        match within_reason(action) {
            Action::Open {
                program,
                problems,
                file_name,
            } => self.open(program, problems, file_name),
            Action::Refuse {
                problems,
                file_name,
            } => {
                self.notices = notices(problems, file_name.as_deref(), true);
                Err(format!(
                    "{} could not be opened, the present program stays",
                    file_name.as_deref().unwrap_or("the file")
                ))
            }
            Action::Edit { label, edit } => {
                self.commit(&label, &edit)?;
                Ok(Outcome::Say(label))
            }
            Action::Run(id) => match command(id) {
                Some(known) => match ((known.why_not)(self), (known.perform)(self)) {
                    (Some(why), _) => Err(format!("{} is not possible now: {why}", known.name)),
                    (None, Perform::Do(Action::Run(_)) | Perform::Platform(_)) => {
                        Ok(Outcome::Quiet)
                    }
                    (None, Perform::Do(action)) => self.perform(action),
                },
                None => Ok(Outcome::Quiet),
            },
            Action::SetView(view) => {
                self.view = view;
                Ok(Outcome::Quiet)
            }
            Action::Undo => self.undo(),
            Action::Redo => self.redo(),
            Action::TakeHistory(history) => {
                if self.history.is_empty() {
                    self.history = *history;
                }
                Ok(Outcome::Quiet)
            }
            Action::Press(pointer) => {
                self.press(pointer);
                Ok(Outcome::Quiet)
            }
            Action::Drag(pointer) => {
                self.drag(pointer);
                Ok(Outcome::Quiet)
            }
            Action::Release => {
                self.release_gesture();
                Ok(Outcome::Quiet)
            }
            Action::CancelGesture => {
                self.cancel_gesture();
                Ok(Outcome::Quiet)
            }
            action @ (Action::ChoosePattern(_)
            | Action::SelectPulses(..)
            | Action::SelectLanes(..)
            | Action::SelectHeads(..)
            | Action::SelectAll
            | Action::SelectNothing
            | Action::MoveFocus { .. }
            | Action::JumpTo(..)
            | Action::JumpToFinding(_)) => self.choose(action),
            action @ (Action::InsertPulse { .. }
            | Action::InsertAtFocus
            | Action::Delete
            | Action::SetLevel(_)
            | Action::StepLevel(_)
            | Action::SetStart(_)
            | Action::SetLength(_)
            | Action::SetColor(_)
            | Action::Nudge(_)
            | Action::Stretch(_)
            | Action::MoveToLane(_)) => self.edit_pulses(action),
            action @ (Action::Operate(_) | Action::BindHead { .. } | Action::Answer(..)) => {
                self.operate(action)
            }
            Action::Heads(change) => self.change_heads(change),
            action @ (Action::SetPeriod(_)
            | Action::SetTick(_)
            | Action::RenamePattern(_)
            | Action::AddPattern
            | Action::RemovePattern
            | Action::AddLane
            | Action::RemoveLane(_)
            | Action::RenameLane { .. }
            | Action::MoveLane { .. }) => self.edit_pattern(action),
            action => self.look(action),
        }
    }
}

impl EditorState {
    fn open(
        &mut self,
        program: Rc<Program>,
        problems: Vec<Problem>,
        file_name: Option<String>,
    ) -> Done {
        let n_problems = problems.len();
        let title = program.name.clone();
        self.take_over(program);
        self.notices = notices(problems, file_name.as_deref(), false);
        self.file_name = file_name.map(Rc::from);
        self.revision += 1;
        self.save = SaveState::Unsaved;
        Ok(Outcome::Say(match n_problems {
            0 => format!("Opened {title}"),
            1 => format!("Opened {title}, with 1 problem"),
            more => format!("Opened {title}, with {more} problems"),
        }))
    }

    /// Shows a program afresh, paused and at the safe speed.
    pub(crate) fn take_over(&mut self, program: Rc<Program>) {
        self.history = History::default();
        self.selection = Rc::default();
        self.focus = Focus::None;
        self.gesture = None;
        self.shown = Shown::first_of(&program);
        self.preview = PreviewState {
            has_reduced_motion: self.preview.has_reduced_motion,
            projection: self.preview.projection,
            eye: self.preview.eye,
            slowness: self.preview.slowness,
            ..PreviewState::default()
        };
        self.notices = Rc::from([]);
        self.program = program;
        self.results = Rc::default();
        self.silence = Rc::default();
        self.directions = Rc::default();
        self.open_pattern = self.first_pattern_played();
        self.viewport.top_px = 0.0;
        self.zoom_to_fit();
    }

    /// The first pattern that lights a head in the shown state, or the first there is.
    pub(crate) fn first_pattern_played(&self) -> Option<PatternId> {
        self.driven()
            .drive
            .heads
            .iter()
            .flat_map(|head| &head.emitters)
            .find_map(|emitter| emitter.lanes.first())
            .map(|lane| lane.pattern.clone())
            .or_else(|| {
                self.program
                    .patterns
                    .first()
                    .map(|pattern| pattern.id.clone())
            })
    }

    /// Applies an edit as one labelled step; nothing happens when it changes nothing.
    pub(crate) fn commit(&mut self, label: &str, edit: &Edit) -> Result<(), String> {
        let before = self.snapshot();
        let next = self
            .program
            .apply(edit)
            .map_err(|error| error.to_string())?;
        self.commit_from(before, Rc::new(next), label);
        Ok(())
    }

    /// Applies a move by key, as one step with those of its kind right before it on what is selected; `label` is given the whole way.
    ///
    /// What has been moved back to where it was leaves no step. Gives the label, or says so.
    pub(crate) fn commit_nudge(
        &mut self,
        of: Nudged,
        by: (i64, i64),
        edit: &Edit,
        label: impl FnOnce((i64, i64)) -> String,
    ) -> Result<String, String> {
        let next = self
            .program
            .apply(edit)
            .map_err(|error| error.to_string())?;
        if next == *self.program {
            return Ok(label(by));
        }
        let resumed = self.history.resume(of);
        let (before, way) = resumed.unwrap_or_else(|| (self.snapshot(), (0, 0)));
        let way = (way.0 + by.0, way.1 + by.1);
        if *before.program == next {
            self.revision += 1;
            self.save = SaveState::Unsaved;
            self.show(before.program);
            return Ok("Back as it was".into());
        }
        let label = label(way);
        self.commit_from(before, Rc::new(next), &label);
        let selection = self.selection.clone();
        self.history.run_on(of, way, selection, self.focus);
        Ok(label)
    }

    /// Makes `next` the program, as one labelled step from `before`.
    pub(crate) fn commit_from(&mut self, before: Snapshot, next: Rc<Program>, label: &str) {
        if *before.program == *next {
            return;
        }
        self.history.push(label.to_owned(), before, &next);
        self.revision += 1;
        self.save = SaveState::Unsaved;
        self.show(next);
    }

    /// Shows a program without a step in the history.
    pub(crate) fn show(&mut self, program: Rc<Program>) {
        if !Rc::ptr_eq(&program, &self.program) {
            self.results = Rc::default();
            if program.vehicle != self.program.vehicle {
                self.directions = Rc::default();
            }
            // Both are kept by names, which may be others now.
            if program.signals != self.program.signals {
                self.shown.follow(&self.program, &program);
            }
            self.keep_silence(&program);
            self.program = program;
        }
        self.settle();
    }

    /// Lets go of what is no longer there.
    fn settle(&mut self) {
        if self.open_pattern().is_none() {
            self.open_pattern = self
                .program
                .patterns
                .first()
                .map(|pattern| pattern.id.clone());
        }
        let pattern = self
            .open_pattern
            .as_ref()
            .and_then(|id| self.program.patterns.iter().find(|known| known.id == *id));
        let mut selection = (*self.selection).clone();
        selection.prune(&self.program, pattern);
        let n_lanes = pattern.map_or(0, |pattern| pattern.lanes.len());
        self.focus = match self.focus {
            Focus::Pulse(at) if pattern.is_some_and(|pattern| at.of(pattern).is_some()) => {
                Focus::Pulse(at)
            }
            Focus::Pulse(at) if at.lane < n_lanes => Focus::Lane(at.lane),
            Focus::Lane(lane) if lane < n_lanes => Focus::Lane(lane),
            _ => Focus::None,
        };
        if selection != *self.selection {
            self.selection = Rc::new(selection);
        }
        self.limit_viewport();
    }

    /// The document as it is, for the history.
    pub(crate) fn snapshot(&self) -> Snapshot {
        Snapshot {
            program: self.program.clone(),
            selection: self.selection.clone(),
            open_pattern: self.open_pattern.clone(),
        }
    }

    /// The edit that gives lanes of the open pattern new pulses.
    pub(crate) fn lanes_edit(pattern: &Pattern, changes: LaneChanges) -> Edit {
        let edits = changes
            .into_iter()
            .filter_map(|(lane_idx, pulses)| {
                Some(Edit::SetPulses {
                    pattern: pattern.id.clone(),
                    lane: pattern.lanes.get(lane_idx)?.role.clone(),
                    pulses,
                })
            })
            .collect();
        Edit::Together(edits)
    }

    fn undo(&mut self) -> Done {
        let present = self.snapshot();
        let Some((before, label)) = self.history.undo(present) else {
            return Err("there is nothing to undo".into());
        };
        self.restore(before);
        Ok(Outcome::Say(format!("Undone: {label}")))
    }

    fn redo(&mut self) -> Done {
        let present = self.snapshot();
        let Some((after, label)) = self.history.redo(present) else {
            return Err("there is nothing to redo".into());
        };
        self.restore(after);
        Ok(Outcome::Say(format!("Done again: {label}")))
    }

    fn restore(&mut self, snapshot: Snapshot) {
        if snapshot.open_pattern.is_some() {
            self.open_pattern = snapshot.open_pattern;
        }
        self.selection = snapshot.selection;
        self.revision += 1;
        self.save = SaveState::Unsaved;
        self.show(snapshot.program);
    }

    pub(crate) fn say(&mut self, kind: MessageKind, text: &str) {
        self.message = Message {
            serial: self.message.serial + 1,
            kind,
            text: Rc::from(text),
        };
    }

    pub(crate) fn select(&mut self, change: impl FnOnce(&mut Selection)) {
        let mut selection = (*self.selection).clone();
        change(&mut selection);
        self.selection = Rc::new(selection);
    }
}

fn notices(problems: Vec<Problem>, file_name: Option<&str>, is_refusal: bool) -> Rc<[Notice]> {
    problems
        .into_iter()
        .map(|problem| Notice {
            file_name: file_name.map(str::to_owned),
            problem,
            is_refusal,
        })
        .collect()
}

/// Longest time that is taken seriously, about eleven days; keeps every sum of times inside 64 bits.
const LONGEST: Micros = Micros(1_000_000_000_000);

/// The action with times no larger than what is taken seriously; what is larger is refused anyhow.
fn within_reason(action: Action) -> Action {
    let limit = |time: Micros| time.max(-LONGEST).min(LONGEST);
    match action {
        Action::InsertPulse { lane, at } => Action::InsertPulse {
            lane,
            at: limit(at),
        },
        Action::SetStart(start) => Action::SetStart(limit(start)),
        Action::SetLength(length) => Action::SetLength(limit(length)),
        Action::SetPeriod(period) => Action::SetPeriod(limit(period)),
        Action::SetTick(tick) => Action::SetTick(limit(tick)),
        Action::Seek(at) => Action::Seek(limit(at)),
        Action::Pause { at } => Action::Pause { at: at.map(limit) },
        Action::JumpTo(place, at) => Action::JumpTo(place, at.map(limit)),
        Action::Nudge(ticks) => Action::Nudge(ticks.clamp(-MOST_TICKS, MOST_TICKS)),
        Action::Stretch(ticks) => Action::Stretch(ticks.clamp(-MOST_TICKS, MOST_TICKS)),
        Action::StepPreview(ticks) => Action::StepPreview(ticks.clamp(-MOST_TICKS, MOST_TICKS)),
        other => other,
    }
}

/// Most ticks of one move by key.
const MOST_TICKS: i64 = 1_000_000;
