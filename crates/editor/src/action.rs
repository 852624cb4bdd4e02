//! Everything that can happen to an [`crate::EditorState`].
//!
//! Absent: how an action is triggered (see [`crate::COMMANDS`]) and what it does (see [`crate::EditorState::apply`]).

use crate::setup::HeadsChange;
use crate::{CommandId, Eye, History, Operation, Projection, PulseAt, Question, Viewport};
use lampwright_analysis::report::Finding;
use lampwright_model::{
    Color, ControlId, Edit, HeadId, PatternId, Place, Problem, Program, SignalId, SituationId,
    ValueId,
};
use lampwright_timing::{Level, Micros};
use std::rc::Rc;

/// One thing that happens to the editor.
///
/// An action that cannot be done leaves the document as it is and says why in [`crate::EditorState::message`].
#[derive(Clone, Debug)]
pub enum Action {
    /// Takes over a program that was read and accepted; history, selection and full-speed confirmation start afresh.
    Open {
        /// The program.
        program: Rc<Program>,
        /// What could not be read of it; shown as notices.
        problems: Vec<Problem>,
        /// Name of the file, if it came from one.
        file_name: Option<String>,
    },
    /// A file could not be read as a program; the present one stays and the problems are shown.
    Refuse {
        /// What was wrong.
        problems: Vec<Problem>,
        /// Name of the file.
        file_name: Option<String>,
    },
    /// Applies any edit of the model as one labelled step.
    Edit {
        /// What the step is called in the history: "Rename head".
        label: String,
        /// The change.
        edit: Edit,
    },
    /// Runs a command of the table, if it is enabled and not a task for the platform.
    Run(CommandId),

    /// Shows one of the views.
    SetView(View),
    /// Opens a pattern in the timeline.
    ChoosePattern(PatternId),
    /// Selects pulses of the open pattern.
    SelectPulses(Vec<PulseAt>, SelectMode),
    /// Selects whole lanes of the open pattern by index.
    SelectLanes(Vec<usize>, SelectMode),
    /// Selects heads of the vehicle.
    SelectHeads(Vec<HeadId>, SelectMode),
    /// Selects every pulse of the focused lane, or of all lanes when that is selected already.
    SelectAll,
    /// Selects nothing.
    SelectNothing,
    /// Moves the keyboard focus; with `extend` the selection grows instead of moving along.
    MoveFocus {
        /// Where to.
        to: FocusMove,
        /// Keeps what is selected.
        extend: bool,
    },

    /// Inserts a pulse into a lane at an instant, as long as fits up to the default length.
    InsertPulse {
        /// Index of the lane.
        lane: usize,
        /// Instant within the period; snapped to the tick.
        at: Micros,
    },
    /// Inserts a pulse after the focused one, or into the first gap of the focused lane.
    InsertAtFocus,
    /// Deletes the selected pulses; without any, the selected lanes are emptied.
    Delete,
    /// Sets the level of the selected pulses.
    SetLevel(Level),
    /// Raises or lowers the level of the selected pulses, per mille.
    StepLevel(i64),
    /// Moves the selected pulses so that the focused one starts at an instant; refused when they do not fit.
    SetStart(Micros),
    /// Sets the length of every selected pulse; refused when it does not fit.
    SetLength(Micros),
    /// Sets the color of the selected pulses; none is the color the layer gives.
    SetColor(Option<Color>),
    /// Moves the selected pulses by whole ticks, as far as there is room.
    Nudge(i64),
    /// Lengthens or shortens the selected pulses by whole ticks, as far as there is room.
    Stretch(i64),
    /// Moves the selected pulses so many lanes down, up when below zero; refused when they do not fit there.
    MoveToLane(i64),

    /// Does something to the selected pulses, or to the lanes meant.
    Operate(Operation),
    /// Lets a head play a lane of the open pattern, or no longer.
    BindHead {
        /// Index of the lane.
        lane: usize,
        /// The head.
        head: HeadId,
        /// Whether it shall play it.
        is_bound: bool,
    },
    /// Does something that asks for a number or a text, with the answer as typed.
    Answer(Question, String),

    /// Moves, copies or plays on the selected heads.
    Heads(HeadsChange),

    /// Sets the period of the open pattern; refused when pulses would not fit.
    SetPeriod(Micros),
    /// Sets the tick of the open pattern; pulses stay where they are.
    SetTick(Micros),
    /// Sets the label of the open pattern.
    RenamePattern(String),
    /// Adds a pattern with an empty lane for each side, and opens it in the timeline.
    AddPattern,
    /// Removes the open pattern; refused while a layer plays it.
    RemovePattern,
    /// Adds an empty lane below the focused one.
    AddLane,
    /// Removes a lane by index; refused while a layer plays it.
    RemoveLane(usize),
    /// Renames a lane and every binding that plays it.
    RenameLane {
        /// Index of the lane.
        lane: usize,
        /// New role: 1 to 64 letters, digits, '-', '_' or '.'.
        role: String,
    },
    /// Moves a lane up or down.
    MoveLane {
        /// Index of the lane.
        lane: usize,
        /// Index it shall have.
        to: usize,
    },

    /// The pointer goes down on the timeline: starts the gesture that fits what is under it.
    Press(Pointer),
    /// The pointer moves while down; the gesture is recomputed from its base document.
    Drag(Pointer),
    /// The pointer goes up: the gesture becomes one step of the history if it changed something.
    Release,
    /// Gives the gesture up; document, selection and history are as before it.
    CancelGesture,

    /// Size of the timeline's canvas in CSS pixels.
    Resize {
        /// Width in CSS pixels.
        width_px: f64,
        /// Height in CSS pixels.
        height_px: f64,
    },
    /// Zooms the timeline; the instant under `x_px` stays there. A factor above 1 shows more detail.
    ZoomAbout {
        /// Horizontal place on the canvas in CSS pixels.
        x_px: f64,
        /// Magnification.
        factor: f64,
    },
    /// Moves the view of the timeline by pixels: right and down are positive.
    Pan {
        /// Pixels to the right.
        dx_px: f64,
        /// Pixels down.
        dy_px: f64,
    },
    /// Takes over a viewport the canvas has worked with by itself.
    SetViewport(Viewport),
    /// Shows one whole period.
    ZoomToFit,
    /// Shows the selected pulses.
    ZoomToSelection,

    /// Gives a signal a value.
    SetSignal(SignalId, ValueId),
    /// Operates a control; the position counts for slides, the others know what comes next.
    PressControl {
        /// The control.
        control: ControlId,
        /// Position of a slide.
        position: Option<usize>,
    },
    /// Lets go of a held control.
    ReleaseControl(ControlId),
    /// Shows the state of a situation.
    ChooseSituation(SituationId),
    /// Shows the state with every signal at its default.
    ShowDefaultState,

    /// Takes the last step back.
    Undo,
    /// Does the step taken back last again.
    Redo,
    /// Brings back the steps of a program that was kept with them; none when the program has changed since.
    TakeHistory(Box<History>),

    /// Starts the preview.
    Play,
    /// Stops the preview where it is; the position is the platform's, as the clock is.
    Pause {
        /// Program time at which it stopped, if known.
        at: Option<Micros>,
    },
    /// Stops the preview and goes back to the start.
    Stop,
    /// Moves the playhead.
    Seek(Micros),
    /// Moves the playhead of a stopped preview by ticks of the open pattern.
    StepPreview(i64),
    /// Draws the vehicle from somewhere else.
    LookFrom(Projection),
    /// Moves the observer of the approach view.
    StandAt(Eye),
    /// Plays so many times slower than the safe speed.
    SetSlowness(u16),
    /// Plays the span of the selected pulses over and over, or the whole program again.
    LoopSelection(bool),
    /// Asks to play at full speed; the platform shows the caution and sends one of the next two.
    AskFullSpeed,
    /// The person confirmed the caution: full speed for this program; refused with reduced motion.
    ConfirmFullSpeed,
    /// Back to the slowed preview.
    UseSafeSpeed,
    /// Whether the person's system asks for reduced motion.
    SetReducedMotion(bool),

    /// Goes to the place of a finding, and to its instant when it has one.
    JumpTo(Place, Option<Micros>),
    /// Goes to where a finding is: its state is shown, its lane and pulse or its head selected and in view.
    JumpToFinding(Box<Finding>),

    /// Saving has begun.
    SaveStarted,
    /// The revision with this number is safe.
    SaveFinished {
        /// Number from [`crate::EditorState::revision`].
        revision: u64,
    },
    /// Saving failed; the work is kept in memory.
    SaveFailed {
        /// Why, in plain words.
        reason: String,
    },
    /// Sets the theme.
    SetTheme(Theme),
    /// Removes the notices about the last opened file.
    DismissNotices,
}

/// The views of the page.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum View {
    /// Lanes and pulses.
    #[default]
    Timeline,
    /// Signals and what each head does.
    States,
    /// The vehicle, its wiring, and what it does when.
    Setup,
    /// Photosensitive screening.
    Screening,
    /// Two states side by side.
    Night,
    /// Currents.
    Power,
    /// The profile: every rule of the book, and what it came to.
    Rules,
    /// The sign-off sheet.
    Sheet,
}

impl View {
    /// All views in their order.
    pub const ALL: [Self; 8] = [
        Self::Timeline,
        Self::States,
        Self::Setup,
        Self::Screening,
        Self::Night,
        Self::Power,
        Self::Rules,
        Self::Sheet,
    ];

    /// The title.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Timeline => "Timeline",
            Self::States => "States",
            Self::Setup => "Set-up",
            Self::Screening => "Screening",
            Self::Night => "Night",
            Self::Power => "Power",
            Self::Rules => "Rules",
            Self::Sheet => "Sheet",
        }
    }
}

/// Light or dark surface.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Theme {
    /// Dark, for use at night beside the vehicle.
    #[default]
    Dark,
    /// Light, for the office and print.
    Light,
}

/// How a selection combines with what is selected.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum SelectMode {
    /// Only this.
    Replace,
    /// This as well.
    Add,
    /// In if out, out if in.
    Toggle,
    /// As it was: only the keyboard focus goes there.
    Keep,
}

/// A move of the keyboard focus over lanes and pulses.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum FocusMove {
    /// The next pulse of the lane.
    NextPulse,
    /// The pulse before.
    PreviousPulse,
    /// The first pulse of the lane.
    FirstPulse,
    /// The last pulse of the lane.
    LastPulse,
    /// The lane below; its pulse nearest in time.
    LaneBelow,
    /// The lane above; its pulse nearest in time.
    LaneAbove,
    /// The lane itself instead of a pulse.
    Lane,
}

/// Where the pointer is and what is held.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Pointer {
    /// From the left edge of the canvas in CSS pixels.
    pub x_px: f64,
    /// From the top edge of the canvas in CSS pixels.
    pub y_px: f64,
    /// Held keys.
    pub modifiers: Modifiers,
}

impl Pointer {
    /// A pointer with nothing held.
    #[must_use]
    pub const fn at(x_px: f64, y_px: f64) -> Self {
        Self {
            x_px,
            y_px,
            modifiers: Modifiers {
                extend: false,
                no_snap: false,
            },
        }
    }
}

/// Held keys that change a gesture.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct Modifiers {
    /// Shift, Ctrl or Command: adds to the selection.
    pub extend: bool,
    /// Alt: no snapping.
    pub no_snap: bool,
}
