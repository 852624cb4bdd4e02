//! The one table of everything a person can ask for: it feeds keyboard shortcuts, menus, help and command search.

mod chord;

pub use chord::Chord;

use crate::setup::{Around, HeadsChange, around};
use crate::{
    Action, EditorState, FocusMove, Layout, Operation, Projection, Question, Theme, View,
    lane_heads,
};
use lampwright_model::Color;

/// One thing a person can ask for.
#[derive(Debug)]
pub struct Command {
    /// Which.
    pub id: CommandId,
    /// What it is called in menus and help.
    pub name: &'static str,
    /// Its keys; the first is the one to show.
    pub chords: &'static [Chord],
    /// Where it stands in menus and help.
    pub group: CommandGroup,
    /// What keeps it from being done now, in plain words; none when it can be done.
    pub why_not: fn(&EditorState) -> Option<&'static str>,
    /// What it does.
    pub perform: fn(&EditorState) -> Perform,
}

impl Command {
    /// Whether it can be done now.
    #[must_use]
    pub fn is_enabled(&self, state: &EditorState) -> bool {
        (self.why_not)(state).is_none()
    }
}

/// What a command does.
#[derive(Clone, Debug)]
pub enum Perform {
    /// An action of the editor.
    Do(Action),
    /// A task of the platform.
    Platform(PlatformTask),
}

/// What only the platform can do.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum PlatformTask {
    /// Lets the person pick a file and opens it.
    OpenFile,
    /// Saves the program as a file: in place where the browser can, as a download where it cannot.
    SaveFile,
    /// Downloads the program.
    SaveCopy,
    /// Copies a link that carries the program.
    CopyLink,
    /// Asks for the name and the notes of the program.
    NameProgram,
    /// Shows the programs that can be opened.
    NewProgram,
    /// Opens an empty program.
    EmptyProgram,
    /// Shows the pattern builder.
    BuildPattern,
    /// Shows the pattern library.
    ShowLibrary,
    /// Downloads the open pattern as a file of its own.
    ExportPattern,
    /// Shows step tables for a controller, and reads them back.
    StepTables,
    /// Opens a new program with the vehicle of the present one.
    CopyVehicle,
    /// Shows the help with all commands.
    ShowHelp,
    /// Lets the person find a command by its name.
    FindCommand,
    /// Asks for a number or a text, and answers with [`Action::Answer`].
    Ask(Question),
    /// Prints the sheet.
    Print,
    /// Moves the focus to the table of the lanes.
    FocusTable,
    /// Moves the focus to the list of findings.
    FocusFindings,
    /// Opens the heads that play the focused lane, and moves the focus there.
    FocusHeads,
}

/// Where a command stands in menus and help.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum CommandGroup {
    /// Files.
    File,
    /// History and selection.
    Edit,
    /// Pulses.
    Pulse,
    /// Trains of pulses and whole lanes.
    Shape,
    /// Patterns and lanes.
    Pattern,
    /// Heads of the vehicle.
    Vehicle,
    /// Moving about the timeline by key.
    Focus,
    /// Views and zoom.
    View,
    /// Preview.
    Preview,
    /// Help.
    Help,
}

impl CommandGroup {
    /// All groups in their order.
    pub const ALL: [Self; 10] = [
        Self::File,
        Self::Edit,
        Self::Pulse,
        Self::Shape,
        Self::Pattern,
        Self::Vehicle,
        Self::Focus,
        Self::View,
        Self::Preview,
        Self::Help,
    ];

    /// The title.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::File => "File",
            Self::Edit => "Edit",
            Self::Pulse => "Pulse",
            Self::Shape => "Shape",
            Self::Pattern => "Pattern",
            Self::Vehicle => "Vehicle",
            Self::Focus => "Move about",
            Self::View => "View",
            Self::Preview => "Preview",
            Self::Help => "Help",
        }
    }
}

/// The command of an identifier.
#[must_use]
pub fn command(id: CommandId) -> Option<&'static Command> {
    COMMANDS.iter().find(|command| command.id == id)
}

/// The command of pressed keys, enabled or not; `key` as the browser names it.
#[must_use]
pub fn command_for_key(key: &str, ctrl: bool, shift: bool, alt: bool) -> Option<&'static Command> {
    COMMANDS.iter().find(|command| {
        command
            .chords
            .iter()
            .any(|chord| chord.is(key, ctrl, shift, alt))
    })
}

macro_rules! commands {
    ($($id:ident, $name:literal, [$($chord:expr),*], $group:ident, $why_not:expr, $perform:expr;)*) => {
        /// Every command.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub enum CommandId {
            $(#[doc = $name] $id,)*
        }

        /// The table, in the order of menus and help.
        pub static COMMANDS: &[Command] = &[$(Command {
            id: CommandId::$id,
            name: $name,
            chords: &[$($chord),*],
            group: CommandGroup::$group,
            why_not: $why_not,
            perform: $perform,
        },)*];
    };
}

type WhyNot = Option<&'static str>;

/// The words unless the condition is met.
fn unless(is_met: bool, words: &'static str) -> WhyNot {
    (!is_met).then_some(words)
}

fn always(_: &EditorState) -> WhyNot {
    None
}

fn has_pattern(state: &EditorState) -> WhyNot {
    unless(state.open_pattern().is_some(), "no pattern is open")
}

fn has_lane(state: &EditorState) -> WhyNot {
    has_pattern(state).or_else(|| {
        let pattern = state.open_pattern()?;
        unless(!pattern.lanes.is_empty(), "the pattern has no lane")
    })
}

fn has_focused_lane(state: &EditorState) -> WhyNot {
    unless(state.focus().lane().is_some(), "no lane is in focus")
}

fn has_playing_layer(state: &EditorState) -> WhyNot {
    let lane = state.focus().lane().unwrap_or(0);
    has_focused_lane(state).or_else(|| {
        let is_played = lane_heads(state, lane).is_some();
        unless(
            is_played,
            "no layer plays this pattern, play it on heads first",
        )
    })
}

fn has_pulses(state: &EditorState) -> WhyNot {
    unless(!state.selection().pulses.is_empty(), "no pulse is selected")
}

fn has_lane_above(state: &EditorState) -> WhyNot {
    has_pulses(state).or_else(|| {
        let first = state.selection().pulses.first()?.lane;
        unless(first > 0, "there is no lane above")
    })
}

fn has_lane_below(state: &EditorState) -> WhyNot {
    has_pulses(state).or_else(|| {
        let last = state.selection().pulses.last()?.lane;
        let n_lanes = state.open_pattern()?.lanes.len();
        unless(last + 1 < n_lanes, "there is no lane below")
    })
}

fn has_something_to_delete(state: &EditorState) -> WhyNot {
    unless(
        has_pulses(state).is_none() || !state.selection().lanes.is_empty(),
        "nothing is selected",
    )
}

fn can_be_full_speed(state: &EditorState) -> WhyNot {
    let preview = state.preview();
    unless(
        !preview.has_reduced_motion,
        "this system asks for reduced motion",
    )
    .or_else(|| unless(!preview.is_full_speed, "it plays at full speed already"))
}

fn has_loop(state: &EditorState) -> WhyNot {
    unless(
        state.preview().is_looped || state.selected_span().is_some(),
        "select pulses first",
    )
}

/// The next way to look at the vehicle, the first one after the last.
fn next_projection(state: &EditorState) -> Projection {
    let now = Projection::ALL
        .iter()
        .position(|known| *known == state.preview().projection)
        .unwrap_or(0);
    Projection::ALL
        .get((now + 1) % Projection::ALL.len())
        .copied()
        .unwrap_or_default()
}

fn next_slowness(state: &EditorState) -> u16 {
    crate::preview::SLOWNESSES
        .into_iter()
        .find(|slowness| *slowness > state.preview().slowness)
        .unwrap_or(1)
}

/// Pulses or lanes to work on.
fn has_target(state: &EditorState) -> WhyNot {
    let is_something = |state: &EditorState| {
        has_something_to_delete(state).is_none() || has_focused_lane(state).is_none()
    };
    has_lane(state).or_else(|| unless(is_something(state), "no lane is in focus"))
}

fn has_two_pulses(state: &EditorState) -> WhyNot {
    let is_pair = state.selection().pulses.len() > 1;
    unless(is_pair, "two pulses have to be selected")
}

fn has_clip(state: &EditorState) -> WhyNot {
    has_pattern(state).or_else(|| unless(state.has_clip(), "nothing was copied yet"))
}

fn operate(operation: Operation) -> Perform {
    Perform::Do(Action::Operate(operation))
}

fn ask(question: Question) -> Perform {
    Perform::Platform(PlatformTask::Ask(question))
}

fn has_heads(state: &EditorState) -> WhyNot {
    let is_there = !state.program().vehicle.heads.is_empty();
    unless(is_there, "the vehicle has no head yet")
}

fn has_no_heads(state: &EditorState) -> WhyNot {
    let is_empty = state.program().vehicle.heads.is_empty();
    unless(
        is_empty,
        "the vehicle has heads already, add more in the set-up",
    )
}

/// The heads the set-up proposes.
fn first_heads(state: &EditorState) -> Perform {
    Perform::Do(match around(state.program(), &Around::default()) {
        Ok((label, edit, _)) => Action::Edit { label, edit },
        // Too small a vehicle for them: the set-up asks for other numbers.
        Err(_) => Action::SetView(View::Setup),
    })
}

fn has_selected_heads(state: &EditorState) -> WhyNot {
    unless(!state.selection().heads.is_empty(), "no head is selected")
}

fn can_play(state: &EditorState) -> WhyNot {
    has_heads(state).or_else(|| has_lane(state))
}

fn heads(change: HeadsChange) -> Perform {
    Perform::Do(Action::Heads(change))
}

fn focus(to: FocusMove, extend: bool) -> Perform {
    Perform::Do(Action::MoveFocus { to, extend })
}

fn zoom(state: &EditorState, factor: f64) -> Perform {
    let view = state.viewport();
    let x_px = match state.focused_pulse() {
        Some(pulse) => view.x_of(pulse.start),
        None => Layout::LABEL_PX + view.lanes_px() / 2.0,
    };
    Perform::Do(Action::ZoomAbout { x_px, factor })
}

fn pan(state: &EditorState, share: f64) -> Perform {
    Perform::Do(Action::Pan {
        dx_px: share * state.viewport().lanes_px(),
        dy_px: 0.0,
    })
}

fn other_pattern(state: &EditorState, step: usize) -> Perform {
    let patterns = &state.program().patterns;
    let now = patterns
        .iter()
        .position(|pattern| Some(&pattern.id) == state.open_pattern_id())
        .unwrap_or(0);
    let next = patterns.get((now + step) % patterns.len().max(1));
    Perform::Do(next.map_or(Action::SelectNothing, |pattern| {
        Action::ChoosePattern(pattern.id.clone())
    }))
}

fn other_situation(state: &EditorState, step: usize) -> Perform {
    let situations = &state.program().situations;
    let next = match state
        .current_situation()
        .and_then(|id| situations.iter().position(|known| known.id == *id))
    {
        Some(now) => (now + step) % situations.len().max(1),
        None => 0,
    };
    Perform::Do(
        situations
            .get(next)
            .map_or(Action::ShowDefaultState, |situation| {
                Action::ChooseSituation(situation.id.clone())
            }),
    )
}

/// A playing preview is stopped before anything else.
fn escape(state: &EditorState) -> Action {
    if state.is_preview_on() {
        Action::Stop
    } else if state.gesture().is_some() {
        Action::CancelGesture
    } else if state.selection().is_empty() {
        Action::Stop
    } else {
        Action::SelectNothing
    }
}

fn has_patterns(state: &EditorState) -> WhyNot {
    let patterns = &state.program().patterns;
    unless(patterns.len() > 1, "there is no other pattern")
}

fn has_situations(state: &EditorState) -> WhyNot {
    let situations = &state.program().situations;
    unless(!situations.is_empty(), "the program has no situation")
}

fn moved_lane(state: &EditorState, is_down: bool) -> Perform {
    let lane = state.focus().lane().unwrap_or(0);
    let to = if is_down {
        lane + 1
    } else {
        lane.saturating_sub(1)
    };
    Perform::Do(Action::MoveLane { lane, to })
}

commands! {
    NewProgram, "New program", [Chord::alt("n")], File, always, |_| Perform::Platform(PlatformTask::NewProgram);
    EmptyProgram, "New empty program", [], File, always, |_| Perform::Platform(PlatformTask::EmptyProgram);
    CopyVehicle, "New program with this vehicle", [], File, has_heads, |_| Perform::Platform(PlatformTask::CopyVehicle);
    OpenFile, "Open file", [Chord::ctrl("o")], File, always, |_| Perform::Platform(PlatformTask::OpenFile);
    SaveFile, "Save file", [Chord::ctrl("s")], File, always, |_| Perform::Platform(PlatformTask::SaveFile);
    SaveCopy, "Save a copy as a file", [Chord::ctrl_shift("s")], File, always, |_| Perform::Platform(PlatformTask::SaveCopy);
    CopyLink, "Copy a link to this program", [], File, always, |_| Perform::Platform(PlatformTask::CopyLink);
    StepTables, "Step table for a controller", [], File, always, |_| Perform::Platform(PlatformTask::StepTables);
    NameProgram, "Name and notes of the program", [], File, always, |_| Perform::Platform(PlatformTask::NameProgram);
    Print, "Print sheet", [Chord::ctrl("p")], File, always, |_| Perform::Platform(PlatformTask::Print);

    Undo, "Undo", [Chord::ctrl("z")], Edit, |state| unless(state.history().undo_label().is_some(), "there is nothing to undo"), |_| Perform::Do(Action::Undo);
    Redo, "Redo", [Chord::ctrl_shift("z"), Chord::ctrl("y")], Edit, |state| unless(state.history().redo_label().is_some(), "there is nothing to redo"), |_| Perform::Do(Action::Redo);
    SelectAll, "Select all pulses of the lane, then of all lanes", [Chord::ctrl("a")], Edit, has_lane, |_| Perform::Do(Action::SelectAll);
    SelectNothing, "Select nothing", [Chord::ctrl_shift("a")], Edit, |state| unless(!state.selection().is_empty(), "nothing is selected"), |_| Perform::Do(Action::SelectNothing);

    InsertPulse, "Insert pulse", [Chord::plain("Insert"), Chord::plain("i")], Pulse, has_lane, |_| Perform::Do(Action::InsertAtFocus);
    Delete, "Delete pulses", [Chord::plain("Delete"), Chord::plain("Backspace")], Pulse, has_something_to_delete, |_| Perform::Do(Action::Delete);
    NudgeLeft, "Move one tick earlier", [Chord::alt("ArrowLeft")], Pulse, has_pulses, |_| Perform::Do(Action::Nudge(-1));
    NudgeRight, "Move one tick later", [Chord::alt("ArrowRight")], Pulse, has_pulses, |_| Perform::Do(Action::Nudge(1));
    NudgeFarLeft, "Move ten ticks earlier", [Chord { shift: true, ..Chord::alt("ArrowLeft") }], Pulse, has_pulses, |_| Perform::Do(Action::Nudge(-10));
    NudgeFarRight, "Move ten ticks later", [Chord { shift: true, ..Chord::alt("ArrowRight") }], Pulse, has_pulses, |_| Perform::Do(Action::Nudge(10));
    ToLaneAbove, "Move to the lane above", [Chord::ctrl("ArrowUp")], Pulse, has_lane_above, |_| Perform::Do(Action::MoveToLane(-1));
    ToLaneBelow, "Move to the lane below", [Chord::ctrl("ArrowDown")], Pulse, has_lane_below, |_| Perform::Do(Action::MoveToLane(1));
    Shorten, "Shorten by one tick", [Chord::plain("[")], Pulse, has_pulses, |_| Perform::Do(Action::Stretch(-1));
    Lengthen, "Lengthen by one tick", [Chord::plain("]")], Pulse, has_pulses, |_| Perform::Do(Action::Stretch(1));
    LowerLevel, "Lower level by 5 %", [Chord::plain("-"), Chord::alt("ArrowDown")], Pulse, has_pulses, |_| Perform::Do(Action::StepLevel(-50));
    RaiseLevel, "Raise level by 5 %", [Chord::plain("+"), Chord::plain("="), Chord::alt("ArrowUp")], Pulse, has_pulses, |_| Perform::Do(Action::StepLevel(50));
    SetStart, "Set the start…", [Chord::plain("a")], Pulse, has_pulses, |_| ask(Question::Start);
    SetLength, "Set the length…", [Chord::plain("f")], Pulse, has_pulses, |_| ask(Question::Length);
    SetLevel, "Set the level…", [Chord::plain("g")], Pulse, has_pulses, |_| ask(Question::Level);
    ColorRed, "Color red", [Chord::shift("r")], Pulse, has_pulses, |_| Perform::Do(Action::SetColor(Some(Color::Red)));
    ColorBlue, "Color blue", [Chord::shift("b")], Pulse, has_pulses, |_| Perform::Do(Action::SetColor(Some(Color::Blue)));
    ColorAmber, "Color amber", [Chord::shift("a")], Pulse, has_pulses, |_| Perform::Do(Action::SetColor(Some(Color::Amber)));
    ColorWhite, "Color white", [Chord::shift("w")], Pulse, has_pulses, |_| Perform::Do(Action::SetColor(Some(Color::White)));
    ColorGreen, "Color green", [Chord::shift("g")], Pulse, has_pulses, |_| Perform::Do(Action::SetColor(Some(Color::Green)));
    ColorOfLayer, "Color as the layer says", [Chord::shift("l")], Pulse, has_pulses, |_| Perform::Do(Action::SetColor(None));

    Cut, "Cut", [Chord::ctrl("x")], Shape, has_something_to_delete, |_| operate(Operation::Cut);
    Copy, "Copy", [Chord::ctrl("c")], Shape, has_target, |_| operate(Operation::Copy);
    Paste, "Paste", [Chord::ctrl("v")], Shape, has_clip, |_| operate(Operation::Paste);
    Duplicate, "Duplicate right after", [Chord::plain("d")], Shape, has_target, |_| operate(Operation::Duplicate);
    Repeat, "Repeat to fill the period…", [Chord::plain("n")], Shape, has_target, |_| ask(Question::Repeat);
    Split, "Split at the playhead or in the middle", [Chord::plain("/")], Shape, has_target, |_| operate(Operation::Split);
    JoinTouching, "Join touching pulses", [Chord::plain("j")], Shape, has_target, |_| operate(Operation::JoinTouching);
    JoinAcross, "Join across the gaps", [Chord::shift("j")], Shape, has_two_pulses, |_| operate(Operation::JoinAcross);
    Reverse, "Reverse in time", [Chord::plain("r")], Shape, has_target, |_| operate(Operation::Reverse);
    Mirror, "Mirror to the other side", [Chord::plain("m")], Shape, has_target, |_| operate(Operation::Mirror);
    MirrorTo, "Mirror to a lane…", [Chord::shift("o")], Shape, has_focused_lane, |_| ask(Question::MirrorTo);
    Invert, "Invert lit and dark", [Chord::plain("x")], Shape, has_target, |_| operate(Operation::Invert);
    Shift, "Shift around the period…", [Chord::plain("w")], Shape, has_target, |_| ask(Question::Shift);
    Spread, "Spread evenly, two selected half a period apart", [Chord::plain("e")], Shape, has_target, |_| operate(Operation::Spread);
    Quantize, "Move to the tick", [Chord::plain("q")], Shape, has_target, |_| operate(Operation::Quantize);
    TypeRuns, "Type the lane as run lengths…", [Chord::plain("t")], Shape, has_focused_lane, |_| ask(Question::Runs);
    SetRate, "Scale to a rate…", [Chord::plain("h")], Shape, has_focused_lane, |_| ask(Question::Rate);
    SetDuty, "Scale to a lit share…", [Chord::plain("u")], Shape, has_focused_lane, |_| ask(Question::Duty);
    ScalePeriod, "Scale to a period…", [Chord::plain("p")], Shape, has_pattern, |_| ask(Question::Period);
    Mute, "Mute in the preview", [Chord::plain("k")], Shape, has_focused_lane, |_| operate(Operation::Mute);
    PlayAlone, "Play alone in the preview", [Chord::shift("k")], Shape, has_focused_lane, |_| operate(Operation::Alone);

    AddPattern, "Add pattern", [], Pattern, always, |_| Perform::Do(Action::AddPattern);
    BuildPattern, "Build a pattern", [Chord::alt("b")], Pattern, always, |_| Perform::Platform(PlatformTask::BuildPattern);
    ShowLibrary, "Pattern library", [Chord::alt("p")], Pattern, always, |_| Perform::Platform(PlatformTask::ShowLibrary);
    ExportPattern, "Export this pattern as a file", [Chord::alt("e")], Pattern, has_pattern, |_| Perform::Platform(PlatformTask::ExportPattern);
    RemovePattern, "Remove pattern", [], Pattern, has_pattern, |_| Perform::Do(Action::RemovePattern);
    AddLane, "Add lane", [Chord::alt("l")], Pattern, has_pattern, |_| Perform::Do(Action::AddLane);
    RemoveLane, "Remove lane", [Chord::alt("Delete")], Pattern, has_focused_lane, |state| Perform::Do(Action::RemoveLane(state.focus().lane().unwrap_or(0)));
    LaneHeads, "Choose the heads of the lane", [Chord::plain("b")], Pattern, has_playing_layer, |_| Perform::Platform(PlatformTask::FocusHeads);
    RenameLane, "Rename lane…", [Chord::plain("c")], Pattern, has_focused_lane, |_| ask(Question::LaneName);
    MoveLaneUp, "Move lane up", [Chord { shift: true, ..Chord::alt("ArrowUp") }], Pattern, has_focused_lane, |state| moved_lane(state, false);
    MoveLaneDown, "Move lane down", [Chord { shift: true, ..Chord::alt("ArrowDown") }], Pattern, has_focused_lane, |state| moved_lane(state, true);
    NextPattern, "Next pattern", [Chord::plain("PageDown")], Pattern, has_patterns, |state| other_pattern(state, 1);
    PreviousPattern, "Previous pattern", [Chord::plain("PageUp")], Pattern, has_patterns, |state| other_pattern(state, state.program().patterns.len().max(1) - 1);

    PlayOnHeads, "Play this pattern on the selected heads, or on all", [Chord::alt("o")], Vehicle, can_play, |_| heads(HeadsChange::Play);
    AddHeads, "Add eight heads around the roof", [], Vehicle, has_no_heads, first_heads;
    SameForward, "Line heads up across the vehicle", [], Vehicle, has_selected_heads, |_| heads(HeadsChange::SameForward);
    SameLeft, "Line heads up lengthwise", [], Vehicle, has_selected_heads, |_| heads(HeadsChange::SameLeft);
    SpreadHeads, "Spread heads evenly", [], Vehicle, has_selected_heads, |_| heads(HeadsChange::Spread);
    MirrorHeads, "Copy heads to the other side", [], Vehicle, has_selected_heads, |_| heads(HeadsChange::Mirror);
    WireHeads, "Give each emitter an output", [], Vehicle, has_selected_heads, |_| heads(HeadsChange::Wire);

    NextPulse, "Next pulse", [Chord::plain("ArrowRight")], Focus, has_lane, |_| focus(FocusMove::NextPulse, false);
    PreviousPulse, "Previous pulse", [Chord::plain("ArrowLeft")], Focus, has_lane, |_| focus(FocusMove::PreviousPulse, false);
    LaneBelow, "Lane below", [Chord::plain("ArrowDown")], Focus, has_lane, |_| focus(FocusMove::LaneBelow, false);
    LaneAbove, "Lane above", [Chord::plain("ArrowUp")], Focus, has_lane, |_| focus(FocusMove::LaneAbove, false);
    FirstPulse, "First pulse of the lane", [Chord::plain("Home")], Focus, has_lane, |_| focus(FocusMove::FirstPulse, false);
    LastPulse, "Last pulse of the lane", [Chord::plain("End")], Focus, has_lane, |_| focus(FocusMove::LastPulse, false);
    WholeLane, "The lane itself", [Chord::plain("l")], Focus, has_lane, |_| focus(FocusMove::Lane, false);
    ExtendRight, "Select the next pulse as well", [Chord::shift("ArrowRight")], Focus, has_lane, |_| focus(FocusMove::NextPulse, true);
    ExtendLeft, "Select the previous pulse as well", [Chord::shift("ArrowLeft")], Focus, has_lane, |_| focus(FocusMove::PreviousPulse, true);
    ExtendDown, "Select in the lane below as well", [Chord::shift("ArrowDown")], Focus, has_lane, |_| focus(FocusMove::LaneBelow, true);
    ExtendUp, "Select in the lane above as well", [Chord::shift("ArrowUp")], Focus, has_lane, |_| focus(FocusMove::LaneAbove, true);
    FocusTable, "Go to the table of pulses", [Chord::alt("t")], Focus, always, |_| Perform::Platform(PlatformTask::FocusTable);
    FocusFindings, "Go to the findings", [Chord::alt("f")], Focus, always, |_| Perform::Platform(PlatformTask::FocusFindings);

    ZoomIn, "Zoom in", [Chord::plain(".")], View, has_pattern, |state| zoom(state, 1.5);
    ZoomOut, "Zoom out", [Chord::plain(",")], View, has_pattern, |state| zoom(state, 1.0 / 1.5);
    ZoomToFit, "Show the whole period", [Chord::plain("0")], View, has_pattern, |_| Perform::Do(Action::ZoomToFit);
    ZoomToSelection, "Show the selected pulses", [Chord::plain("9")], View, has_pulses, |_| Perform::Do(Action::ZoomToSelection);
    PanLeft, "Look earlier", [Chord::ctrl("ArrowLeft")], View, has_pattern, |state| pan(state, -0.25);
    PanRight, "Look later", [Chord::ctrl("ArrowRight")], View, has_pattern, |state| pan(state, 0.25);
    NextSituation, "Next situation", [Chord::plain("s")], View, has_situations, |state| other_situation(state, 1);
    PreviousSituation, "Previous situation", [Chord::shift("s")], View, has_situations, |state| other_situation(state, state.program().situations.len().max(1) - 1);
    ShowTimeline, "Timeline", [Chord::alt("1")], View, always, |_| Perform::Do(Action::SetView(View::Timeline));
    ShowStates, "States, by signals and controls", [Chord::alt("2")], View, always, |_| Perform::Do(Action::SetView(View::States));
    ShowSetup, "Set-up of vehicle, signals, layers and situations", [Chord::alt("8")], View, always, |_| Perform::Do(Action::SetView(View::Setup));
    ShowScreening, "Screening", [Chord::alt("3")], View, always, |_| Perform::Do(Action::SetView(View::Screening));
    ShowNight, "Night", [Chord::alt("4")], View, always, |_| Perform::Do(Action::SetView(View::Night));
    ShowPower, "Power: currents, fuses and wires", [Chord::alt("5")], View, always, |_| Perform::Do(Action::SetView(View::Power));
    ShowRules, "Rules of the profile", [Chord::alt("7")], View, always, |_| Perform::Do(Action::SetView(View::Rules));
    ShowSheet, "Sheet", [Chord::alt("6")], View, always, |_| Perform::Do(Action::SetView(View::Sheet));
    SwitchTheme, "Light or dark theme", [Chord::alt("d")], View, always, |state| Perform::Do(Action::SetTheme(match state.theme() { Theme::Dark => Theme::Light, Theme::Light => Theme::Dark }));

    PlayOrStop, "Play or pause", [Chord::plain(" ")], Preview, always, |state| Perform::Do(if state.is_preview_on() { Action::Pause { at: None } } else { Action::Play });
    Stop, "Stop, give up a gesture, or select nothing", [Chord::plain("Escape")], Preview, always, |state| Perform::Do(escape(state));
    StepEarlier, "Preview one tick earlier", [Chord::plain("<")], Preview, always, |_| Perform::Do(Action::StepPreview(-1));
    StepLater, "Preview one tick later", [Chord::plain(">")], Preview, always, |_| Perform::Do(Action::StepPreview(1));
    Slower, "Slower, then safe speed again", [Chord::shift("m")], Preview, always, |state| Perform::Do(Action::SetSlowness(next_slowness(state)));
    LoopSelection, "Play the selected pulses over and over", [Chord::plain("o")], Preview, has_loop, |state| Perform::Do(Action::LoopSelection(!state.preview().is_looped));
    LookElsewhere, "See the vehicle from the next side", [Chord::plain("v")], Preview, always, |state| Perform::Do(Action::LookFrom(next_projection(state)));
    AskFullSpeed, "Full speed, after a caution", [], Preview, can_be_full_speed, |_| Perform::Do(Action::AskFullSpeed);
    UseSafeSpeed, "Slowed, at most three flashes a second", [], Preview, |state| unless(state.preview().is_full_speed, "it is slowed already"), |_| Perform::Do(Action::UseSafeSpeed);

    FindCommand, "Find a command…", [Chord::ctrl("k"), Chord::plain("F2")], Help, always, |_| Perform::Platform(PlatformTask::FindCommand);
    ShowHelp, "All commands and keys", [Chord::plain("?"), Chord::plain("F1")], Help, always, |_| Perform::Platform(PlatformTask::ShowHelp);
}
