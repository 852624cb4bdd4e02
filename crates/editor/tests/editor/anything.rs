//! A thousand actions of every kind in any order, and all of them taken back.
//!
//! Invariant: every kind of action, command, operation, question, change of heads and edit comes about here, and what edits does edit.
//! A new kind does not compile until it is listed, and fails until it comes about.

use crate::support::*;
use lampwright_editor::setup::{HeadsChange, ThingKind, add, duplicate, labels, remove, shift};
use lampwright_editor::{
    Action, COMMANDS, Command, CommandId, EditorState, Eye, FocusMove, History, MessageKind,
    Operation, Perform, Pointer, Projection, PulseAt, Question, SelectMode, Theme, View, Viewport,
    command,
};
use lampwright_model::{
    Alternative, Clock, Color, Condition, Edit, Fuse, Group, GroupMembers, Guarantee, HeadId, Item,
    ItemId, Milliamps, Millimeters, Must, Output, Parts, Place, Problem, Profile, Program,
    RuleChoice, Target, Waiver, lane_problems,
};
use lampwright_timing::{Level, Micros};
use std::collections::BTreeSet;
use std::rc::Rc;

macro_rules! kinds {
    ($all:ident, $of:ident, $enum:ident: $($kind:ident)*) => {
        /// The names of all kinds, in the order of the enum.
        const $all: &[&str] = &[$(stringify!($kind)),*];

        fn $of(it: &$enum) -> &'static str {
            match it { $($enum::$kind { .. } => stringify!($kind),)* }
        }
    };
}

kinds! { ACTIONS, kind_of_action, Action:
    Open Refuse Edit Run SetView ChoosePattern SelectPulses SelectLanes SelectHeads SelectAll
    SelectNothing MoveFocus InsertPulse InsertAtFocus Delete SetLevel StepLevel SetStart SetLength
    SetColor Nudge Stretch Operate BindHead Answer Heads SetPeriod SetTick RenamePattern AddPattern
    RemovePattern AddLane RemoveLane RenameLane MoveLane Press Drag Release CancelGesture Resize
    ZoomAbout Pan SetViewport ZoomToFit ZoomToSelection SetSignal PressControl ReleaseControl
    ChooseSituation ShowDefaultState Undo Redo TakeHistory Play Pause Stop Seek StepPreview LookFrom
    StandAt SetSlowness LoopSelection AskFullSpeed ConfirmFullSpeed UseSafeSpeed SetReducedMotion
    JumpTo JumpToFinding SaveStarted SaveFinished SaveFailed SetTheme DismissNotices
}

/// Actions that begin a history, so that nothing before them can be taken back: every run starts with them.
const BEGINNINGS: [&str; 2] = ["Open", "TakeHistory"];

/// Actions that change the document by themselves.
const EDITING: [&str; 25] = [
    "Edit",
    "Run",
    "InsertPulse",
    "InsertAtFocus",
    "Delete",
    "SetLevel",
    "StepLevel",
    "SetStart",
    "SetLength",
    "SetColor",
    "Nudge",
    "Stretch",
    "Operate",
    "BindHead",
    "Answer",
    "Heads",
    "SetPeriod",
    "SetTick",
    "RenamePattern",
    "AddPattern",
    "RemovePattern",
    "AddLane",
    "RemoveLane",
    "RenameLane",
    "MoveLane",
];

kinds! { EDITS, kind_of_edit, Edit:
    Put Insert Remove Move SetPulses SetTitle SetVehicle SetImpossible SetProfile SetWaivers Together
}

kinds! { ITEMS, kind_of_item, Item:
    Head Output Fuse Clock Group Pattern Signal Control Layer DimLayer Situation Guarantee
}

kinds! { HEADS, kind_of_heads, HeadsChange:
    SameForward SameLeft Spread Mirror Move Wire Play Press Drag
}

macro_rules! units {
    ($all:ident, $check:ident, $enum:ident: $($kind:ident)*) => {
        const $all: &[$enum] = &[$($enum::$kind),*];

        /// Does not compile while one is missing above.
        const fn $check(it: $enum) {
            match it { $($enum::$kind => {})* }
        }
    };
}

units! { OPERATIONS, listed_operation, Operation:
    Split JoinTouching JoinAcross Cut Copy Paste Duplicate Reverse Mirror Invert Quantize Spread
    Mute Alone
}

/// Operations that leave the document as it is.
const LOOKING: [Operation; 3] = [Operation::Copy, Operation::Mute, Operation::Alone];

units! { QUESTIONS, listed_question, Question:
    Runs Rate Duty Repeat Shift Period MirrorTo
}

/// A car that has some of everything.
fn full() -> Rc<Program> {
    let mut parts = parts();
    let heads = |names: &[&str]| -> Vec<HeadId> {
        names
            .iter()
            .map(|name| HeadId::new(name).unwrap())
            .collect()
    };
    let vehicle = &mut parts.vehicle;
    vehicle.fuses.push(Fuse {
        id: "panel-1".parse().unwrap(),
        label: "Panel 1".into(),
        rating: Milliamps(10_000),
    });
    vehicle.outputs.push(Output {
        id: "roof".parse().unwrap(),
        label: "Roof".into(),
        rating: Milliamps(5_000),
        fuse: Some("panel-1".parse().unwrap()),
        wire: None,
        is_shared_within_head: false,
    });
    vehicle.clocks.push(Clock {
        id: "trailer".parse().unwrap(),
        label: "Trailer".into(),
        tolerance_ppm: 500,
    });
    vehicle.groups.push(Group {
        id: "rear".parse().unwrap(),
        label: "Rear".into(),
        members: GroupMembers::List(heads(&["rear-left", "rear-right"])),
    });
    parts.guarantees.push(Guarantee {
        id: "dark-doors".parse().unwrap(),
        label: "Dark beside the doors".into(),
        when: Condition::always(),
        heads: vec![Target::Head(HeadId::new("rear-left").unwrap())],
        must: Must::LevelAtMost(Level::nearest(900)),
    });
    parts.profile = profile("LW001");
    admitted(parts)
}

fn profile(code: &str) -> Profile {
    Profile {
        title: format!("Only {code}"),
        jurisdiction: String::new(),
        rules: vec![RuleChoice {
            code: code.parse().unwrap(),
            severity: None,
            parameters: Vec::new(),
            confirmed: None,
            when: None,
            heads: Vec::new(),
            only_patterns: Vec::new(),
            except_patterns: Vec::new(),
        }],
    }
}

/// A small generator of numbers, always the same (a linear congruence with the constants of Knuth's MMIX, from memory).
struct Numbers {
    state: u64,
    /// How many things were picked; kinds of things come in turn.
    n_picked: usize,
}

impl Numbers {
    fn next(&mut self, below: usize) -> usize {
        self.state = self
            .state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.state >> 33).unwrap() % below
    }

    fn is_one_in(&mut self, n: usize) -> bool {
        self.next(n) == 0
    }

    fn between(&mut self, least: i64, most: i64) -> i64 {
        least + i64::try_from(self.next(usize::try_from(most - least + 1).unwrap())).unwrap()
    }

    fn micros(&mut self) -> Micros {
        Micros(self.between(-20_000, 680_000))
    }

    #[expect(clippy::cast_precision_loss, reason = "pixels")]
    fn px(&mut self, below: usize) -> f64 {
        self.next(below) as f64
    }

    /// One of a list; none of an empty one.
    fn one<'list, T>(&mut self, of: &'list [T]) -> Option<&'list T> {
        (!of.is_empty()).then(|| &of[self.next(of.len())])
    }

    fn any<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.next(of.len())]
    }

    fn text(&mut self) -> String {
        self.any(&[
            "2",
            "75 50 75 300",
            "0 20 100@40",
            "150/min",
            "-35.5",
            "30",
            "480",
            "right",
            "",
            "x",
            "1 1 1",
        ])
        .into()
    }

    /// An answer to a question, half of them such as fit it.
    fn answer(&mut self, question: Question) -> Action {
        let fitting = match question {
            Question::Runs => "75 50 75 300",
            Question::Rate => "150/min",
            Question::Duty => "7",
            Question::Repeat => "2",
            Question::Shift => "-35.5",
            Question::Period => "480",
            Question::MirrorTo => "right",
        };
        let text = if self.is_one_in(2) {
            fitting.into()
        } else {
            self.text()
        };
        Action::Answer(question, text)
    }

    fn pointer(&mut self) -> Pointer {
        let mut pointer = Pointer::at(self.px(1000), self.px(300));
        pointer.modifiers.extend = self.is_one_in(4);
        pointer.modifiers.no_snap = self.is_one_in(4);
        pointer
    }

    fn mode(&mut self) -> SelectMode {
        self.any(&[SelectMode::Replace, SelectMode::Add, SelectMode::Toggle])
    }

    fn pulse_at(&mut self) -> PulseAt {
        PulseAt {
            lane: self.next(3),
            pulse: self.next(5),
        }
    }

    fn head(&mut self, state: &EditorState) -> HeadId {
        let heads = &state.program().vehicle.heads;
        let head = self.one(heads).map(|head| head.id.clone());
        head.unwrap_or_else(|| HeadId::new("none").unwrap())
    }

    /// Anything with an identifier.
    fn item(&mut self, state: &EditorState) -> Option<ItemId> {
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

    fn heads_change(&mut self, kind: &str, state: &EditorState) -> HeadsChange {
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

    fn edit(&mut self, kind: &str, state: &EditorState) -> Edit {
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
    fn changed(&mut self, mut item: Item) -> Item {
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
    fn renamed(&mut self, mut item: Item) -> Item {
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

    /// An action of a kind, such as a person can cause now.
    fn action_of(&mut self, kind: &str, state: &EditorState) -> Action {
        let program = state.program();
        match kind {
            "Refuse" => Action::Refuse {
                problems: vec![Problem::new("file", "a program", "nothing")],
                file_name: None,
            },
            "Edit" => {
                let kind = if self.is_one_in(3) {
                    "Put"
                } else {
                    self.any(EDITS)
                };
                Action::Edit {
                    label: format!("Edit by {kind}"),
                    edit: self.edit(kind, state),
                }
            }
            "Run" => Action::Run(COMMANDS[self.next(COMMANDS.len())].id),
            "SetView" => Action::SetView(self.any(&View::ALL)),
            "ChoosePattern" => {
                let pattern = self
                    .one(&program.patterns)
                    .map(|pattern| pattern.id.clone());
                pattern.map_or(Action::SelectNothing, Action::ChoosePattern)
            }
            "SelectPulses" => Action::SelectPulses(vec![self.pulse_at()], self.mode()),
            "SelectLanes" => Action::SelectLanes(vec![self.next(3)], self.mode()),
            "SelectHeads" => {
                let heads = (0..1 + self.next(4)).map(|_| self.head(state)).collect();
                Action::SelectHeads(heads, self.mode())
            }
            "SelectAll" => Action::SelectAll,
            "SelectNothing" => Action::SelectNothing,
            "MoveFocus" => Action::MoveFocus {
                to: self.any(&[
                    FocusMove::NextPulse,
                    FocusMove::PreviousPulse,
                    FocusMove::FirstPulse,
                    FocusMove::LastPulse,
                    FocusMove::LaneBelow,
                    FocusMove::LaneAbove,
                    FocusMove::Lane,
                ]),
                extend: self.is_one_in(3),
            },
            "InsertPulse" => Action::InsertPulse {
                lane: self.next(3),
                at: self.micros(),
            },
            "InsertAtFocus" => Action::InsertAtFocus,
            "Delete" => Action::Delete,
            "SetLevel" => Action::SetLevel(Level::nearest(self.between(0, 1_000))),
            "StepLevel" => Action::StepLevel(self.between(-300, 300)),
            "SetStart" => Action::SetStart(self.micros()),
            "SetLength" => Action::SetLength(Micros(self.between(-5_000, 90_000))),
            "SetColor" => {
                let color = self.any(&Color::ALL);
                Action::SetColor((!self.is_one_in(4)).then_some(color))
            }
            "Nudge" => Action::Nudge(self.between(-20, 20)),
            "Stretch" => Action::Stretch(self.between(-5, 5)),
            "Operate" => Action::Operate(self.any(OPERATIONS)),
            "BindHead" => Action::BindHead {
                lane: self.next(3),
                head: self.head(state),
                is_bound: self.is_one_in(2),
            },
            "Answer" => {
                let question = self.any(QUESTIONS);
                self.answer(question)
            }
            "Heads" => {
                let kind = self.any(HEADS);
                Action::Heads(self.heads_change(kind, state))
            }
            "SetPeriod" => Action::SetPeriod(Micros(self.between(400_000, 1_200_000))),
            "SetTick" => Action::SetTick(self.any(&[ms(1), ms(5), ms(10), ms(25), ms(-1)])),
            "RenamePattern" => Action::RenamePattern(self.text()),
            "AddPattern" => Action::AddPattern,
            "RemovePattern" => Action::RemovePattern,
            "AddLane" => Action::AddLane,
            "RemoveLane" => Action::RemoveLane(self.next(4)),
            "RenameLane" => Action::RenameLane {
                lane: self.next(3),
                role: self
                    .any(&["left", "right", "rear-left", "3", "x y", ""])
                    .into(),
            },
            "MoveLane" => Action::MoveLane {
                lane: self.next(3),
                to: self.next(4),
            },
            "Press" => Action::Press(self.pointer()),
            "Drag" => Action::Drag(self.pointer()),
            "Release" => Action::Release,
            "CancelGesture" => Action::CancelGesture,
            "Resize" => Action::Resize {
                width_px: self.px(1600),
                height_px: self.px(600),
            },
            "ZoomAbout" => Action::ZoomAbout {
                x_px: self.px(1000),
                factor: self.any(&[0.3, 0.9, 1.2, 4.0]),
            },
            "Pan" => Action::Pan {
                dx_px: self.px(400) - 200.0,
                dy_px: self.px(100) - 50.0,
            },
            "SetViewport" => Action::SetViewport(Viewport {
                start_us: self.px(400) * 1000.0,
                ..*state.viewport()
            }),
            "ZoomToFit" => Action::ZoomToFit,
            "ZoomToSelection" => Action::ZoomToSelection,
            "SetSignal" => {
                let signal = self.one(&program.signals).cloned();
                signal.map_or(Action::ShowDefaultState, |signal| {
                    let value = self.one(&signal.values).unwrap().clone();
                    Action::SetSignal(signal.id, value)
                })
            }
            "PressControl" => {
                let control = self
                    .one(&program.controls)
                    .map(|control| control.id.clone());
                control.map_or(Action::ShowDefaultState, |control| Action::PressControl {
                    control,
                    position: Some(self.next(3)),
                })
            }
            "ReleaseControl" => {
                let control = self
                    .one(&program.controls)
                    .map(|control| control.id.clone());
                control.map_or(Action::ShowDefaultState, Action::ReleaseControl)
            }
            "ChooseSituation" => {
                let situation = self.one(&program.situations);
                let situation = situation.map(|situation| situation.id.clone());
                situation.map_or(Action::ShowDefaultState, Action::ChooseSituation)
            }
            "ShowDefaultState" => Action::ShowDefaultState,
            "Undo" => Action::Undo,
            "Redo" => Action::Redo,
            "Play" => Action::Play,
            "Pause" => Action::Pause {
                at: Some(self.micros()),
            },
            "Stop" => Action::Stop,
            "Seek" => Action::Seek(self.micros()),
            "StepPreview" => Action::StepPreview(self.between(-9, 9)),
            "LookFrom" => Action::LookFrom(self.any(&Projection::ALL)),
            "StandAt" => Action::StandAt(Eye {
                distance_m: 10,
                azimuth_degrees: 90,
            }),
            "SetSlowness" => Action::SetSlowness(self.any(&[1, 2, 4, 10])),
            "LoopSelection" => Action::LoopSelection(self.is_one_in(2)),
            "AskFullSpeed" => Action::AskFullSpeed,
            "ConfirmFullSpeed" => Action::ConfirmFullSpeed,
            "UseSafeSpeed" => Action::UseSafeSpeed,
            "SetReducedMotion" => Action::SetReducedMotion(self.is_one_in(2)),
            "JumpTo" => match self.item(state) {
                Some(item) => Action::JumpTo(Place::Item(item), Some(self.micros())),
                None => Action::JumpTo(Place::Direction(30), None),
            },
            "JumpToFinding" => {
                let findings = &state.results().report.findings;
                match self.one(findings) {
                    Some(finding) => Action::JumpToFinding(Box::new(finding.clone())),
                    None => Action::JumpTo(Place::Supply, None),
                }
            }
            "SaveStarted" => Action::SaveStarted,
            "SaveFinished" => Action::SaveFinished {
                revision: state.revision(),
            },
            "SaveFailed" => Action::SaveFailed {
                reason: "storage full".into(),
            },
            "SetTheme" => Action::SetTheme(self.any(&[Theme::Dark, Theme::Light])),
            "DismissNotices" => Action::DismissNotices,
            other => panic!("say how an action {other} comes about"),
        }
    }

    /// Any action; those that edit more often than those that look, and at times a command, an operation or an edit that did nothing so far.
    fn action(&mut self, state: &EditorState, seen: &Seen) -> Action {
        if self.is_one_in(8) {
            let is_new = |command: &&Command| {
                command.is_enabled(state) && !seen.done.contains(&format!("Run {:?}", command.id))
            };
            if let Some(command) = COMMANDS.iter().find(is_new) {
                return Action::Run(command.id);
            }
            let is_new = |operation: &&Operation| {
                !seen.edited.contains(&format!("Operate {operation:?}"))
                    && !LOOKING.contains(operation)
            };
            if let Some(operation) = OPERATIONS.iter().find(is_new) {
                return Action::Operate(*operation);
            }
            let is_new = |kind: &&&str| !seen.edited.contains(**kind);
            if let Some(kind) = EDITING.iter().find(is_new) {
                return self.action_of(kind, state);
            }
        }
        let kind = match self.next(6) {
            0..=2 => {
                let kind = self.any(ACTIONS);
                if BEGINNINGS.contains(&kind) {
                    "Release"
                } else {
                    kind
                }
            }
            3 => self.any(&["Operate", "Answer"]),
            4 => self.any(&["Run", "SelectHeads", "SelectPulses"]),
            _ => self.any(&["Edit", "Edit", "Heads"]),
        };
        self.action_of(kind, state)
    }
}

/// What a person would call an action, down to its parts.
fn names(action: &Action) -> Vec<String> {
    let mut names = vec![kind_of_action(action).to_owned()];
    match action {
        Action::Run(id) => names.push(format!("Run {id:?}")),
        Action::Operate(operation) => names.push(format!("Operate {operation:?}")),
        Action::Answer(question, _) => names.push(format!("Answer {question:?}")),
        Action::Heads(change) => names.push(format!("Heads {}", kind_of_heads(change))),
        Action::Edit { edit, .. } => {
            names.push(format!("Edit {}", kind_of_edit(edit)));
            if let Edit::Put(item) = edit {
                names.push(format!("Put {}", kind_of_item(item)));
            }
        }
        _ => {}
    }
    names
}

/// What came about in some runs.
#[derive(Default)]
struct Seen {
    /// Without being refused.
    done: BTreeSet<String>,
    /// With a change of the document.
    edited: BTreeSet<String>,
}

fn is_sound(program: &Program) {
    for pattern in &program.patterns {
        for lane in &pattern.lanes {
            assert_eq!(lane_problems(pattern.period, &lane.pulses), []);
        }
    }
}

#[track_caller]
fn undone(mut state: EditorState) -> EditorState {
    while state.history().undo_label().is_some() {
        state = state.apply(Action::Undo);
    }
    state
}

#[track_caller]
fn redone(mut state: EditorState) -> EditorState {
    while state.history().redo_label().is_some() {
        state = state.apply(Action::Redo);
    }
    state
}

/// A thousand actions from a seed, and back and forth over all of them.
fn run(seed: u64, seen: &mut Seen) {
    let first = full();
    let open = Action::Open {
        program: first.clone(),
        problems: Vec::new(),
        file_name: None,
    };
    let begin = Action::TakeHistory(Box::<History>::default());
    let mut state = flat(editor().apply(open).apply(begin));
    let mut numbers = Numbers {
        state: seed,
        n_picked: 0,
    };
    for number in 0..1000 {
        let action = numbers.action(&state, seen);
        let is_possible = match &action {
            Action::Run(id) => command(*id).is_some_and(|command| command.is_enabled(&state)),
            _ => true,
        };
        let names = names(&action);
        // What was under way is a step of its own, and not the action's.
        let has_gesture = state.gesture().is_some();
        let next = state.apply(action);
        let is_refused = next.message().serial != state.message().serial
            && next.message().kind == MessageKind::Refused;
        if is_possible && !is_refused {
            seen.done.extend(names.iter().cloned());
        }
        if next.revision() != state.revision() && !has_gesture {
            seen.edited.extend(names);
        }
        state = next;
        is_sound(state.program());
        if number % 100 == 99 {
            let (again, problems) = Program::admit(state.program().to_parts());
            assert_eq!(problems, [], "seed {seed}, after action {number}");
            assert!(again == **state.program());
        }
    }
    state = state.apply(Action::Release);
    assert_eq!(state.history().n_dropped(), 0);
    assert!(
        state.history().done().count() > 100,
        "seed {seed}: too few steps"
    );
    let last = redone(state);
    let start = undone(last.clone());
    assert!(*start.program() == first, "seed {seed}");
    assert!(redone(start).program() == last.program(), "seed {seed}");
}

#[test]
fn a_thousand_actions_of_every_kind_and_undo_all_return_the_first_document() {
    let mut seen = Seen::default();
    for seed in 1..=5 {
        run(seed, &mut seen);
    }
    let mut missing = Vec::new();
    let mut wanted = |set: &BTreeSet<String>, name: String, what: &str| {
        if !set.contains(&name) {
            missing.push(format!("{name} never {what}"));
        }
    };
    for kind in ACTIONS.iter().filter(|kind| !BEGINNINGS.contains(kind)) {
        // Two of them only ever tell that something went wrong.
        if !matches!(*kind, "Refuse" | "SaveFailed") {
            wanted(&seen.done, (*kind).to_owned(), "came about");
        }
    }
    for kind in EDITING {
        wanted(&seen.edited, kind.to_owned(), "changed the document");
    }
    let state = editor();
    for command in COMMANDS {
        // What only the page can do has no effect here.
        if matches!((command.perform)(&state), Perform::Do(_))
            && !needs_an_empty_vehicle(command.id)
        {
            wanted(&seen.done, format!("Run {:?}", command.id), "was possible");
        }
    }
    for operation in OPERATIONS {
        listed_operation(*operation);
        let set = if LOOKING.contains(operation) {
            &seen.done
        } else {
            &seen.edited
        };
        wanted(set, format!("Operate {operation:?}"), "did anything");
    }
    for question in QUESTIONS {
        listed_question(*question);
        wanted(
            &seen.edited,
            format!("Answer {question:?}"),
            "changed the document",
        );
    }
    for kind in HEADS {
        // The two moves of a drag change the document when it ends.
        let set = if matches!(*kind, "Press" | "Drag") {
            &seen.done
        } else {
            &seen.edited
        };
        wanted(set, format!("Heads {kind}"), "did anything");
    }
    for kind in EDITS {
        wanted(&seen.edited, format!("Edit {kind}"), "changed the document");
    }
    for kind in ITEMS {
        wanted(&seen.edited, format!("Put {kind}"), "changed the document");
    }
    assert_eq!(missing, [""; 0]);
}

/// The first heads of a vehicle are tested on their own, since no vehicle stays without heads here.
fn needs_an_empty_vehicle(id: CommandId) -> bool {
    id == CommandId::AddHeads
}

#[test]
fn the_first_heads_come_by_a_command_and_go_with_undo() {
    let empty = EditorState::new(Rc::default());
    let eight = empty.apply(Action::Run(CommandId::AddHeads));
    assert_eq!(eight.program().vehicle.heads.len(), 8);
    assert_eq!(
        eight.history().undo_label(),
        Some("Add 8 heads around the roof")
    );
    assert!(eight.apply(Action::Undo).program() == empty.program());
    let again = eight.apply(Action::Run(CommandId::AddHeads));
    assert_eq!(again.message().kind, MessageKind::Refused);
    assert!(again.program() == eight.program());
    // A vehicle too small for them is set up by other numbers.
    let mut parts = Parts::default();
    parts.vehicle.outline.width = Millimeters(900);
    let narrow = EditorState::new(admitted(parts)).apply(Action::Run(CommandId::AddHeads));
    assert_eq!(narrow.view(), View::Setup);
    assert!(narrow.program().vehicle.heads.is_empty());
}
