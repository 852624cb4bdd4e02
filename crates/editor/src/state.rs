//! The state of the editor and the one way it changes.

use crate::edits::Outcome;
use crate::operate::Clip;
use crate::preview::{Excerpt, Speed};
use crate::results::{Consequences, directions};
use crate::silence::Silence;
use crate::{
    Action, Driven, Eye, Focus, Gesture, History, Projection, Question, Results, Selection, Shown,
    Theme, View, Viewport,
};
use lampwright_analysis::light::DirectionTable;
use lampwright_analysis::report::FoundIn;
use lampwright_model::{
    Control, LaneCourses, Pattern, PatternId, Problem, Program, Pulse, SituationId, State,
    resolve_with,
};
use lampwright_timing::Micros;
use std::cell::{OnceCell, RefCell};
use std::rc::Rc;

/// Everything the front end shows; cheap to clone, changed by [`EditorState::apply`] alone.
#[derive(Clone, Debug)]
pub struct EditorState {
    pub(crate) program: Rc<Program>,
    pub(crate) history: History,
    pub(crate) selection: Rc<Selection>,
    pub(crate) focus: Focus,
    pub(crate) gesture: Option<Rc<Gesture>>,
    pub(crate) viewport: Viewport,
    pub(crate) shown: Shown,
    pub(crate) open_pattern: Option<PatternId>,
    pub(crate) view: View,
    pub(crate) theme: Theme,
    pub(crate) save: SaveState,
    pub(crate) revision: u64,
    pub(crate) preview: PreviewState,
    pub(crate) notices: Rc<[Notice]>,
    pub(crate) file_name: Option<Rc<str>>,
    pub(crate) message: Message,
    pub(crate) clip: Rc<Clip>,
    pub(crate) refused_answer: Option<(Question, Rc<str>)>,
    pub(crate) silence: Rc<Silence>,
    pub(crate) results: Rc<Consequences>,
    /// Courses of the lanes that were played last, as most lanes are the same in the next program.
    pub(crate) courses: Rc<RefCell<LaneCourses>>,
    /// The stretch that plays over and over, made on first use.
    pub(crate) excerpt: Rc<OnceCell<Option<Rc<Excerpt>>>>,
    /// Made on first use, kept while the vehicle stays.
    pub(crate) directions: Rc<OnceCell<DirectionTable>>,
}

/// Whether the work is safe.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub enum SaveState {
    /// The present revision is saved.
    #[default]
    Saved,
    /// There are changes that are not saved yet.
    Unsaved,
    /// Saving is under way.
    Saving,
    /// Saving failed; the work is kept in memory.
    Failed {
        /// Why, in plain words.
        reason: String,
    },
}

/// A problem of the last opened file.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Notice {
    /// Name of the file, if it has one.
    pub file_name: Option<String>,
    /// What is wrong, and where.
    pub problem: Problem,
    /// Whether the file was refused as a whole.
    pub is_refusal: bool,
}

/// What was done last, or why it was not; read out to people who cannot see it.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Message {
    /// Rises with every message, so that the same words twice are two messages.
    pub serial: u64,
    /// What kind.
    pub kind: MessageKind,
    /// The words; empty at first.
    pub text: Rc<str>,
}

/// Kind of a message.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum MessageKind {
    /// Something was done.
    #[default]
    Done,
    /// Something could not be done.
    Refused,
}

/// How the preview plays.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct PreviewState {
    /// Whether it plays; false at start and after every opened program.
    pub is_playing: bool,
    /// Program time at which it was stopped last.
    pub at: Micros,
    /// Whether the caution about full speed is to be shown now.
    pub is_asking_full_speed: bool,
    /// Whether the person confirmed full speed for this program.
    pub is_full_speed: bool,
    /// Whether the person's system asks for reduced motion.
    pub has_reduced_motion: bool,
    /// From where the vehicle is drawn.
    pub projection: Projection,
    /// Where the observer of the approach view stands.
    pub eye: Eye,
    /// How many times slower than the safe speed it plays, one of [`crate::preview::SLOWNESSES`].
    pub slowness: u16,
    /// Whether the span of the selected pulses plays over and over.
    pub is_looped: bool,
}

impl Default for PreviewState {
    fn default() -> Self {
        Self {
            is_playing: false,
            at: Micros::ZERO,
            is_asking_full_speed: false,
            is_full_speed: false,
            has_reduced_motion: false,
            projection: Projection::default(),
            eye: Eye::default(),
            slowness: 1,
            is_looped: false,
        }
    }
}

impl EditorState {
    /// An editor showing a program, preview paused, nothing selected.
    #[must_use]
    pub fn new(program: Rc<Program>) -> Self {
        let mut state = Self {
            program: Rc::default(),
            history: History::default(),
            selection: Rc::default(),
            focus: Focus::None,
            gesture: None,
            viewport: Viewport::default(),
            shown: Shown::default(),
            open_pattern: None,
            view: View::default(),
            theme: Theme::default(),
            save: SaveState::Saved,
            revision: 0,
            preview: PreviewState::default(),
            notices: Rc::from([]),
            file_name: None,
            message: Message::default(),
            clip: Rc::default(),
            refused_answer: None,
            silence: Rc::default(),
            results: Rc::default(),
            courses: Rc::default(),
            excerpt: Rc::default(),
            directions: Rc::default(),
        };
        state.take_over(program);
        state
    }

    /// The state after an action. Pure and total; what cannot be done leaves the document as it is.
    #[must_use]
    pub fn apply(&self, action: Action) -> Self {
        let mut next = self.clone();
        match next.perform(action) {
            Ok(Outcome::Quiet) => {}
            Ok(Outcome::Say(text)) => next.say(MessageKind::Done, &text),
            Err(reason) => next.say(MessageKind::Refused, &reason),
        }
        next.history.end_run_elsewhere(&next.selection, next.focus);
        let is_same_excerpt = Rc::ptr_eq(&next.results, &self.results)
            && Rc::ptr_eq(&next.program, &self.program)
            && next.loop_span() == self.loop_span();
        if !is_same_excerpt {
            next.excerpt = Rc::default();
        }
        next
    }

    /// What was typed in answer to a question and refused, until something else is done: to be mended, not typed anew.
    #[must_use]
    pub fn refused_answer(&self, question: Question) -> Option<&str> {
        let (known, text) = self.refused_answer.as_ref()?;
        (*known == question).then_some(&**text)
    }

    /// The program as shown, a gesture under way included.
    #[must_use]
    pub fn program(&self) -> &Rc<Program> {
        &self.program
    }

    /// What to save: the program without an unfinished gesture.
    #[must_use]
    pub fn committed_program(&self) -> &Rc<Program> {
        self.gesture
            .as_ref()
            .map_or(&self.program, |gesture| gesture.base_program())
    }

    /// Steps to take back and to do again.
    #[must_use]
    pub fn history(&self) -> &History {
        &self.history
    }

    /// What is selected.
    #[must_use]
    pub fn selection(&self) -> &Selection {
        &self.selection
    }

    /// Whether the same was copied and the same lanes are left out of the preview.
    #[must_use]
    pub fn has_tools_of(&self, other: &Self) -> bool {
        Rc::ptr_eq(&self.clip, &other.clip) && Rc::ptr_eq(&self.silence, &other.silence)
    }

    /// Whether pulses or lanes were copied.
    #[must_use]
    pub fn has_clip(&self) -> bool {
        !self.clip.is_empty()
    }

    /// Where the keyboard focus is.
    #[must_use]
    pub fn focus(&self) -> Focus {
        self.focus
    }

    /// The gesture under way.
    #[must_use]
    pub fn gesture(&self) -> Option<&Gesture> {
        self.gesture.as_deref()
    }

    /// The visible part of the timeline.
    #[must_use]
    pub fn viewport(&self) -> &Viewport {
        &self.viewport
    }

    /// The shown state of the signals, with the situation it stands for.
    #[must_use]
    pub fn shown(&self) -> &Shown {
        &self.shown
    }

    /// The shown state of the signals.
    #[must_use]
    pub fn shown_state(&self) -> State {
        self.shown.state(&self.program)
    }

    /// The situation whose state is shown.
    #[must_use]
    pub fn current_situation(&self) -> Option<&SituationId> {
        self.shown.current_situation(&self.program)
    }

    /// Which position a control is in.
    #[must_use]
    pub fn control_position(&self, control: &Control) -> Option<usize> {
        self.shown.position_of(&self.program, control)
    }

    /// Identifier of the pattern open in the timeline.
    #[must_use]
    pub fn open_pattern_id(&self) -> Option<&PatternId> {
        self.open_pattern.as_ref()
    }

    /// The pattern open in the timeline.
    #[must_use]
    pub fn open_pattern(&self) -> Option<&Pattern> {
        let id = self.open_pattern.as_ref()?;
        self.program.patterns.iter().find(|known| known.id == *id)
    }

    /// The focused pulse.
    #[must_use]
    pub fn focused_pulse(&self) -> Option<&Pulse> {
        self.focus.pulse()?.of(self.open_pattern()?)
    }

    /// The view that is shown.
    #[must_use]
    pub fn view(&self) -> View {
        self.view
    }

    /// The theme.
    #[must_use]
    pub fn theme(&self) -> Theme {
        self.theme
    }

    /// Whether the work is safe.
    #[must_use]
    pub fn save_state(&self) -> &SaveState {
        &self.save
    }

    /// Rises with every change of the committed program; the platform saves when it differs from what it saved.
    #[must_use]
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// How the preview plays.
    #[must_use]
    pub fn preview(&self) -> &PreviewState {
        &self.preview
    }

    /// Whether the preview plays, or will play on when the gesture it waits for is over.
    #[must_use]
    pub fn is_preview_on(&self) -> bool {
        self.preview.is_playing
            || self
                .gesture
                .as_deref()
                .is_some_and(|gesture| gesture.before.is_playing)
    }

    /// How fast the preview plays: the safe speed of what plays, or full speed when confirmed and motion is not reduced, and as many times slower as was asked for.
    #[must_use]
    pub fn preview_speed(&self) -> Speed {
        self.known_preview_speed().unwrap_or_else(|| {
            let safe = self.results().safe_speed;
            safe.divided_by(self.preview.slowness)
        })
    }

    /// The same; none, so that the preview has to stand still, while the safe speed waits for [`Self::judge_step`].
    #[must_use]
    pub fn known_preview_speed(&self) -> Option<Speed> {
        let speed = if self.preview.is_full_speed && !self.preview.has_reduced_motion {
            Speed::FULL
        } else {
            match self.excerpt() {
                Some(excerpt) => excerpt.safe_speed,
                None => self.judged()?.safe_speed,
            }
        };
        Some(speed.divided_by(self.preview.slowness))
    }

    /// The stretch that plays over and over; none when the whole program plays.
    #[must_use]
    pub fn excerpt(&self) -> Option<Rc<Excerpt>> {
        let (from, to) = self.loop_span()?;
        self.excerpt
            .get_or_init(|| {
                Excerpt::of(&self.program, self.driven().drawn(), from, to - from).map(Rc::new)
            })
            .clone()
    }

    /// From the first start to the last end of the selected pulses as heads play them, while they play over and over.
    ///
    /// A lane that plays later than it is drawn has its pulses later in the preview too.
    fn loop_span(&self) -> Option<(Micros, Micros)> {
        if !self.preview.is_looped {
            return None;
        }
        let pattern = self.open_pattern()?;
        let driven = self.driven();
        let mut span: Option<(Micros, Micros)> = None;
        for at in &self.selection.pulses {
            let (Some(lane), Some(pulse)) = (pattern.lanes.get(at.lane), at.of(pattern)) else {
                continue;
            };
            let offsets = match driven.offsets_of_lane(Some(&pattern.id), &lane.role) {
                [] => &[Micros::ZERO],
                offsets => offsets,
            };
            for offset in offsets {
                let offset = offset.wrap(pattern.period);
                let (from, to) = (pulse.start + offset, pulse.end() + offset);
                span =
                    Some(span.map_or((from, to), |(first, last)| (first.min(from), last.max(to))));
            }
        }
        span
    }

    /// From the first start to the last end of the selected pulses; none when none is selected.
    #[must_use]
    pub fn selected_span(&self) -> Option<(Micros, Micros)> {
        let pattern = self.open_pattern()?;
        let pulses = || self.selection.pulses.iter().filter_map(|at| at.of(pattern));
        let from = pulses().map(|pulse| pulse.start).min()?;
        let to = pulses().map(Pulse::end).max()?;
        Some((from, to))
    }

    /// What can be scrubbed: from here to there, in program time.
    #[must_use]
    pub fn preview_range(&self) -> (Micros, Micros) {
        match self.excerpt() {
            Some(excerpt) => (excerpt.from, excerpt.from + excerpt.length),
            None => (
                Micros::ZERO,
                crate::preview::scrub_period(self.driven().drawn()),
            ),
        }
    }

    /// An instant of program time moved by whole periods to where it can be scrubbed.
    #[must_use]
    pub fn preview_instant(&self, at: Micros) -> Micros {
        let (from, to) = self.preview_range();
        from + (at - from).wrap(to - from)
    }

    /// How strongly each emitter is lit in the preview at an instant, as [`crate::lamp_levels`] gives it.
    #[must_use]
    pub fn preview_levels(&self, at: Micros) -> Vec<f64> {
        match self.excerpt() {
            Some(excerpt) => crate::lamp_levels(&excerpt.drive, at - excerpt.from),
            None => crate::lamp_levels(self.driven().drawn(), at),
        }
    }

    /// Problems of the last opened file.
    #[must_use]
    pub fn notices(&self) -> &[Notice] {
        &self.notices
    }

    /// Name of the file the program came from.
    #[must_use]
    pub fn file_name(&self) -> Option<&str> {
        self.file_name.as_deref()
    }

    /// What was done last, or why it was not.
    #[must_use]
    pub fn message(&self) -> &Message {
        &self.message
    }

    /// What every lamp does in the shown state; computed on first use after a change.
    #[must_use]
    pub fn driven(&self) -> Rc<Driven> {
        let resolve = || {
            let state = self.shown_state();
            let drive = resolve_with(&self.program, &state, &mut self.courses.borrow_mut());
            Driven::of(drive, self.silence.drive(&self.program, &state))
        };
        Rc::clone(self.results.driven(resolve))
    }

    /// What follows from the shown program in the shown state; computed to its end on first use after a change.
    #[must_use]
    pub fn results(&self) -> Rc<Results> {
        loop {
            if let Some(results) = self.results.results() {
                return Rc::clone(results);
            }
            self.judge_step();
        }
    }

    /// The same when it is known or quickly known; none while judging has to wait for [`Self::judge_step`].
    #[must_use]
    pub fn judged(&self) -> Option<Rc<Results>> {
        match self.results.results() {
            Some(results) => Some(Rc::clone(results)),
            None if self.driven().is_long_to_judge() => None,
            None => Some(self.results()),
        }
    }

    /// Does one step of judging the shown program in the shown state; false when all is judged.
    pub fn judge_step(&self) -> bool {
        let table = self
            .directions
            .get_or_init(|| directions(&self.program.vehicle));
        self.results
            .judge(&self.program, &self.driven(), || self.found_in(), table)
    }

    /// Whether the other shows the same program in the same state, so that what follows is the same.
    #[must_use]
    pub fn has_results_of(&self, other: &Self) -> bool {
        Rc::ptr_eq(&self.results, &other.results)
    }

    /// What findings of the shown state say they were found in.
    #[must_use]
    pub fn found_in(&self) -> FoundIn {
        let state = self.shown_state();
        match self.current_situation() {
            Some(id) => FoundIn::Situation(id.clone()),
            None if state == State::default_of(&self.program) => FoundIn::DefaultState,
            None => FoundIn::State(state),
        }
    }
}
