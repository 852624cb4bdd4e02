//! Actions of each kind, such as a person can cause now.

use super::Seen;
use super::kinds::*;
use super::numbers::Numbers;
use crate::support::*;
use lampwright_editor::{
    Action, COMMANDS, Command, EditorState, Eye, FocusMove, Operation, Projection, Question, Theme,
    View, Viewport,
};
use lampwright_model::{Color, Place, Problem};
use lampwright_timing::{Level, Micros};

impl Numbers {
    /// Any action; those that edit more often than those that look, and at times a command, an operation or an edit that did nothing so far.
    pub(super) fn action(&mut self, state: &EditorState, seen: &Seen) -> Action {
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
            "MoveToLane" => Action::MoveToLane(self.between(-3, 3)),
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
            Question::Start => "40",
            Question::Length => "25 ms",
            Question::Level => "30 %",
            Question::LaneName => "front",
        };
        let text = if self.is_one_in(2) {
            fitting.into()
        } else {
            self.text()
        };
        Action::Answer(question, text)
    }
}
