//! Actions by key and by number, and the table of commands.

use crate::support::*;
use lampwright_editor::{
    Action, COMMANDS, CommandId, EditorState, Focus, FocusMove, MessageKind, Operation, Perform,
    SaveState, SelectMode, View, command, command_for_key, describe_focus, lane_table,
};
use lampwright_model::{
    Color, ControlId, Edit, ItemId, PatternId, Place, Problem, RoleId, RuleCode, SignalId,
    SituationId, ValueId, Waiver,
};
use lampwright_timing::{Level, Micros};
use std::collections::HashSet;

fn selected(lane: usize, pulse: usize) -> EditorState {
    editor().apply(Action::SelectPulses(
        vec![at(lane, pulse)],
        SelectMode::Replace,
    ))
}

#[track_caller]
fn refused(state: &EditorState, text: &str) {
    assert_eq!(state.message().kind, MessageKind::Refused);
    assert_eq!(&*state.message().text, text);
}

#[test]
fn a_pulse_is_moved_stretched_and_leveled_by_key() {
    let state = selected(0, 1)
        .apply(Action::Run(CommandId::NudgeRight))
        .apply(Action::Run(CommandId::NudgeFarRight))
        .apply(Action::Run(CommandId::Lengthen))
        .apply(Action::Run(CommandId::LowerLevel))
        .apply(Action::Run(CommandId::ColorAmber));
    let pulse = state.open_pattern().unwrap().lanes[0].pulses[1];
    assert_eq!((pulse.start, pulse.length), (ms(210), ms(70)));
    assert_eq!(
        (pulse.level, pulse.color),
        (Level::nearest(950), Some(Color::Amber))
    );
    let labels: Vec<&str> = state.history().done().collect();
    assert_eq!(
        labels,
        [
            "Move pulse 110 ms later",
            "Lengthen pulse by 10 ms",
            "Lower level of pulse by 5 %",
            "Set color"
        ]
    );
}

/// The identifiers rise otherwise than the heads stand, so that the first of the selected ones is not the one gone to last.
#[test]
fn the_keyboard_is_at_the_head_gone_to_last_selected_or_not() {
    let heads: Vec<_> = editor()
        .program()
        .vehicle
        .heads
        .iter()
        .map(|head| head.id.clone())
        .collect();
    let go = |state: EditorState, head: usize, mode: SelectMode| {
        state.apply(Action::SelectHeads(vec![heads[head].clone()], mode))
    };
    let mut state = go(editor(), 0, SelectMode::Replace);
    for (n_selected, head) in [(2, 3), (3, 1), (4, 2)] {
        state = go(state, head, SelectMode::Add);
        assert_eq!(state.selection().focused_head(), Some(&heads[head]));
        assert_eq!(state.selection().heads.len(), n_selected);
    }
    let state = go(state, 1, SelectMode::Toggle);
    assert_eq!(state.selection().focused_head(), Some(&heads[1]));
    let label = &state.program().vehicle.heads[1].label;
    let words = format!("Head {label}, not selected; 3 heads selected");
    assert_eq!(*state.message().text, *words);
    let state = go(state, 0, SelectMode::Keep);
    assert_eq!(state.selection().focused_head(), Some(&heads[0]));
    assert_eq!(state.selection().heads.len(), 3);
    let state = state.apply(Action::SelectNothing);
    assert_eq!(state.selection().focused_head(), None);
}

#[test]
fn a_nudge_goes_as_far_as_there_is_room() {
    let state = selected(0, 1).apply(Action::Nudge(-10));
    assert_eq!(spans(&state, 0)[1], (60.0, 60.0));
    refused(&state.apply(Action::Nudge(-1)), "no room to move");
}

#[test]
fn typed_numbers_are_exact_or_refused_with_what_would_fit() {
    let state = selected(0, 1).apply(Action::SetStart(Micros(123_456)));
    assert_eq!(spans(&state, 0)[1], (123.456, 60.0));
    refused(
        &state.apply(Action::SetStart(ms(30))),
        "start 30 ms does not fit, 60 ms to 440 ms wanted",
    );
    refused(
        &state.apply(Action::SetLength(ms(400))),
        "length 400 ms does not fit, at most 376.544 ms for pulse 2 of this lane",
    );
    refused(
        &state.apply(Action::SetLength(Micros::ZERO)),
        "length 0 ms, more than 0 ms wanted",
    );
    refused(
        &state.apply(Action::SetLevel(Level::DARK)),
        "level 0 % is no pulse, delete it instead",
    );
    let extreme = state.apply(Action::SetStart(Micros(i64::MIN)));
    assert_eq!(extreme.message().kind, MessageKind::Refused);
    assert!(extreme.program() == state.program());
}

#[test]
fn inserting_at_the_focus_fills_the_gaps_one_after_the_other_and_then_says_so() {
    let mut state = editor().apply(Action::MoveFocus {
        to: FocusMove::FirstPulse,
        extend: false,
    });
    for _ in 0..40 {
        state = state.apply(Action::InsertAtFocus);
    }
    refused(&state, "the lane is full");
    let lane = &state.open_pattern().unwrap().lanes[0].pulses;
    assert!(lane.len() > 6);
    let tick = state.open_pattern().unwrap().tick;
    for pair in lane.windows(2) {
        assert!(pair[1].start - pair[0].end() >= tick, "{pair:?} touch");
    }
    let (first, last) = (lane[0], lane[lane.len() - 1]);
    assert!(ms(500) + first.start - last.end() >= tick, "across the end");
}

#[test]
fn deleting_keeps_the_focus_near() {
    let state = selected(0, 0).apply(Action::Delete);
    assert_eq!(spans(&state, 0), [(100.0, 60.0)]);
    assert_eq!(state.focus(), Focus::Pulse(at(0, 0)));
    refused(&state.apply(Action::Delete), "nothing is selected");
}

#[test]
fn focus_walks_over_pulses_and_lanes_and_is_spoken() {
    let walk = |moves: &[FocusMove]| {
        moves.iter().fold(editor(), |state, to| {
            state.apply(Action::MoveFocus {
                to: *to,
                extend: false,
            })
        })
    };
    use FocusMove::{FirstPulse, Lane, LaneBelow, LastPulse, NextPulse, PreviousPulse};
    assert_eq!(walk(&[NextPulse]).focus(), Focus::Pulse(at(0, 0)));
    assert_eq!(
        walk(&[NextPulse, NextPulse, NextPulse]).focus(),
        Focus::Pulse(at(0, 1))
    );
    assert_eq!(
        walk(&[LastPulse, LaneBelow]).focus(),
        Focus::Pulse(at(1, 0))
    );
    assert_eq!(walk(&[FirstPulse, Lane, LaneBelow]).focus(), Focus::Lane(1));
    assert_eq!(
        walk(&[FirstPulse, PreviousPulse]).focus(),
        Focus::Pulse(at(0, 0))
    );
    let state = walk(&[NextPulse, NextPulse]);
    assert_eq!(
        describe_focus(&state),
        "pulse 2 of 2 in lane left, starts 100 ms, 60 ms long, level 100 %"
    );
    assert_eq!(&*state.message().text, describe_focus(&state));
    assert_eq!(
        describe_focus(&walk(&[FirstPulse, Lane])),
        "lane left, 2 pulses, drives 2 heads"
    );
    let both = walk(&[FirstPulse]).apply(Action::MoveFocus {
        to: NextPulse,
        extend: true,
    });
    assert_eq!(both.selection().pulses.len(), 2);
}

#[test]
fn a_period_too_short_for_the_pulses_is_refused() {
    let state = editor();
    refused(
        &state.apply(Action::SetPeriod(ms(400))),
        "period 400 ms is too short, the last pulse ends at 410 ms",
    );
    assert_eq!(
        state
            .apply(Action::SetPeriod(ms(410)))
            .open_pattern()
            .unwrap()
            .period,
        ms(410)
    );
    assert_eq!(
        state
            .apply(Action::SetPeriod(Micros(i64::MAX)))
            .message()
            .kind,
        MessageKind::Refused
    );
}

#[test]
fn renaming_a_lane_takes_its_bindings_along_in_one_step() {
    let state = editor().apply(Action::RenameLane {
        lane: 0,
        role: "port".into(),
    });
    assert_eq!(state.history().done().collect::<Vec<_>>(), ["Rename lane"]);
    let role = RoleId::new("port").unwrap();
    assert_eq!(
        state
            .results()
            .heads_of_lane(state.open_pattern_id(), &role),
        [0, 2]
    );
    refused(
        &state.apply(Action::RenameLane {
            lane: 0,
            role: "right".into(),
        }),
        "there is already a lane right",
    );
}

#[test]
fn renaming_a_lane_takes_its_waivers_and_its_silence_along() {
    let waiver = |role: &str| Waiver {
        rule: RuleCode(1),
        place: Some(format!("pattern {} lane {role}", first_pattern())),
        reason: "agreed".into(),
        by: "R. Example".into(),
        date: "2030-01-01".into(),
    };
    let waived = editor().apply(Action::Edit {
        label: "Waive".into(),
        edit: Edit::SetWaivers(vec![waiver("left"), waiver("right")]),
    });
    let muted = waived
        .apply(Action::SelectLanes(vec![0], SelectMode::Replace))
        .apply(Action::Operate(Operation::Mute));
    let renamed = muted.apply(Action::RenameLane {
        lane: 0,
        role: "port".into(),
    });
    assert_eq!(renamed.program().waivers, [waiver("port"), waiver("right")]);
    assert!(renamed.heard(0).is_muted && !renamed.heard(1).is_muted);
    let back = renamed.apply(Action::Undo);
    assert_eq!(back.program().waivers, waived.program().waivers);
    assert!(back.heard(0).is_muted && !back.heard(1).is_muted);
}

fn first_pattern() -> PatternId {
    editor().open_pattern_id().unwrap().clone()
}

#[test]
fn lanes_and_patterns_in_use_are_not_removed() {
    refused(
        &editor().apply(Action::RemoveLane(0)),
        "layer \"Respond\" plays lane left, change that first",
    );
    refused(
        &editor().apply(Action::RemovePattern),
        "layer \"Respond\" plays this pattern, change that first",
    );
    let state = editor().apply(Action::AddLane);
    assert_eq!(state.open_pattern().unwrap().lanes.len(), 3);
    let state = state.apply(Action::RemoveLane(2));
    assert!(state.program() == editor().program());
}

#[test]
fn opening_keeps_the_present_program_until_another_is_accepted() {
    let before = editor().apply(Action::AddLane);
    let problem = Problem::new("patterns", "a list", "a number");
    let refused = before.apply(Action::Refuse {
        problems: vec![problem.clone()],
        file_name: Some("broken.json".into()),
    });
    assert!(refused.program() == before.program());
    assert_eq!(refused.history().undo_label(), Some("Add lane"));
    assert!(refused.notices()[0].is_refusal);
    let opened = refused.apply(Action::Play).apply(Action::Open {
        program: program(),
        problems: vec![problem],
        file_name: None,
    });
    assert!(opened.program() == &program());
    assert!(!opened.preview().is_playing);
    assert_eq!(opened.history().undo_label(), None);
    assert_eq!(opened.notices().len(), 1);
    assert!(opened.revision() > refused.revision());
}

#[test]
fn controls_and_situations_show_states() {
    let state = editor();
    assert_eq!(
        state.current_situation(),
        Some(&SituationId::new("responding").unwrap())
    );
    let main = ControlId::new("main").unwrap();
    let parked = state.apply(Action::PressControl {
        control: main.clone(),
        position: Some(2),
    });
    assert_eq!(parked.current_situation(), None);
    let control = &parked.program().controls[0];
    assert_eq!(parked.control_position(control), Some(2));
    let dim = ControlId::new("dim").unwrap();
    let held = parked.apply(Action::PressControl {
        control: dim.clone(),
        position: None,
    });
    assert_eq!(
        held.current_situation(),
        Some(&SituationId::new("parked-night").unwrap())
    );
    let level = |state: &EditorState| state.results().drive.heads[0].emitters[0].level.maximum();
    assert_eq!(level(&held), 300);
    let released = held.apply(Action::ReleaseControl(dim));
    assert_eq!(level(&released), 1000);
    let off = released.apply(Action::SetSignal(
        SignalId::new("warning").unwrap(),
        ValueId::new("off").unwrap(),
    ));
    assert_eq!(level(&off), 0);
    assert_eq!(off.history().undo_label(), None);
}

#[test]
fn a_jump_selects_and_shows_its_place() {
    let place = Place::Lane(PatternId::new("sweep").unwrap(), RoleId::new("s5").unwrap());
    let state = editor()
        .apply(Action::SetView(View::Sheet))
        .apply(Action::JumpTo(place, Some(ms(1_550))));
    assert_eq!(state.view(), View::Timeline);
    assert_eq!(state.open_pattern_id().unwrap().as_str(), "sweep");
    assert_eq!(state.focus(), Focus::Pulse(at(5, 0)));
    assert_eq!(state.selection().pulses, [at(5, 0)].into());
    let view = state.viewport();
    let (x_px, top) = (view.x_of(ms(550)), view.lane_top(5));
    assert!((128.0..=view.width_px).contains(&x_px) && top >= 28.0 && top + 44.0 <= view.height_px);
    let head = state.program().vehicle.heads[3].id.clone();
    let state = editor().apply(Action::JumpTo(
        Place::Item(ItemId::Head(head.clone())),
        None,
    ));
    assert_eq!(state.selection().heads, [head].into());
    assert_eq!(state.focus(), Focus::Lane(1));
}

#[test]
fn the_save_state_follows_the_revision() {
    let edited = editor().apply(Action::AddLane);
    assert_eq!(edited.save_state(), &SaveState::Unsaved);
    let saving = edited.apply(Action::SaveStarted);
    let newer = saving.apply(Action::AddLane);
    let late = newer.apply(Action::SaveFinished {
        revision: edited.revision(),
    });
    assert_eq!(late.save_state(), &SaveState::Unsaved);
    let saved = late.apply(Action::SaveFinished {
        revision: late.revision(),
    });
    assert_eq!(saved.save_state(), &SaveState::Saved);
    let failed = saved.apply(Action::SaveFailed {
        reason: "the storage is full".into(),
    });
    assert_eq!(
        failed.save_state(),
        &SaveState::Failed {
            reason: "the storage is full".into()
        }
    );
    assert!(failed.program() == saved.program());
}

#[test]
fn the_table_says_what_the_canvas_shows() {
    let state = selected(1, 0);
    let rows = lane_table(&state, usize::MAX);
    assert_eq!(rows.len(), 2);
    assert_eq!(rows[1].heads, ["front right", "rear right"]);
    let pulse = &rows[1].pulses[0];
    assert_eq!(
        (pulse.number, pulse.start, pulse.length),
        (1, ms(250), ms(60))
    );
    assert_eq!((pulse.gap_after, pulse.is_selected), (ms(40), true));
    assert_eq!(rows[1].pulses[1].gap_after, ms(340));
}

#[test]
fn no_two_commands_share_a_name_or_keys() {
    let mut names = HashSet::new();
    let mut chords = HashSet::new();
    for known in COMMANDS {
        assert!(names.insert(known.name), "{} twice", known.name);
        assert_eq!(command(known.id).unwrap().name, known.name);
        for chord in known.chords {
            assert!(chords.insert(chord.to_string()), "{chord} twice");
            let found = command_for_key(chord.key, chord.ctrl, chord.shift, chord.alt).unwrap();
            assert_eq!(found.id, known.id, "{chord}");
        }
    }
}

#[test]
fn every_command_can_be_run_or_says_why_not() {
    let states = [
        EditorState::new(std::rc::Rc::default()),
        editor(),
        selected(0, 1),
        selected(0, 1).apply(Action::Nudge(1)).apply(Action::Undo),
    ];
    for state in &states {
        for known in COMMANDS {
            let after = state.apply(Action::Run(known.id));
            if let Some(why) = (known.why_not)(state) {
                assert_eq!(
                    *after.message().text,
                    format!("{} is not possible now: {why}", known.name)
                );
                assert!(after.program() == state.program());
            } else if let Perform::Do(action) = (known.perform)(state) {
                assert!(!matches!(action, Action::Run(_)));
            }
        }
    }
}

#[test]
fn an_enabled_edit_command_is_not_refused() {
    let state = selected(0, 1).apply(Action::Nudge(3));
    for known in COMMANDS.iter().filter(|known| known.is_enabled(&state)) {
        // Removing is refused while a layer plays the thing, and that cannot be seen from the table.
        // Whether an operation changes anything cannot be seen there either.
        if matches!(
            known.id,
            CommandId::RemovePattern
                | CommandId::RemoveLane
                | CommandId::JoinTouching
                | CommandId::Quantize
        ) {
            continue;
        }
        let after = state.apply(Action::Run(known.id));
        assert_eq!(
            after.message().kind,
            MessageKind::Done,
            "{}: {}",
            known.name,
            after.message().text
        );
    }
}

#[test]
fn escape_stops_the_preview_before_anything_else() {
    let held = Drag::on(editor().apply(Action::Play))
        .press(x(130.0), y(0))
        .to(x(150.0), y(0))
        .held();
    let once = held.apply(Action::Run(CommandId::Stop));
    assert!(!once.preview().is_playing && once.gesture().is_some());
    let twice = once.apply(Action::Run(CommandId::Stop));
    assert!(twice.gesture().is_none());
    assert!(twice.program() == editor().program());
}

#[test]
fn a_finding_is_one_press_from_its_state_lane_and_head() {
    let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../patterns/faulty-breakdown-truck.json");
    let program = lampwright_formats::read_program(&std::fs::read(file).unwrap())
        .program
        .unwrap();
    let state = flat(EditorState::new(std::rc::Rc::new(program)));
    let last = state.program().situations.last().unwrap().id.clone();
    let findings = state
        .apply(Action::ChooseSituation(last.clone()))
        .results()
        .report
        .findings
        .clone();
    assert!(findings.iter().any(|finding| finding.lane.is_some()));
    for finding in findings {
        let after = state.apply(Action::JumpToFinding(Box::new(finding.clone())));
        assert_eq!(
            after.message().kind,
            MessageKind::Done,
            "{}",
            finding.message
        );
        assert!(after.program() == state.program());
        if finding.found_in != lampwright_analysis::report::FoundIn::Program {
            assert_eq!(after.found_in(), finding.found_in);
        }
        if let Some((pattern, role)) = &finding.lane {
            assert_eq!(after.open_pattern_id(), Some(pattern));
            let lane = after.focus().lane().unwrap();
            assert_eq!(&after.open_pattern().unwrap().lanes[lane].role, role);
        }
        if let Some(head) = &finding.head {
            assert!(after.selection().heads.contains(head));
        }
    }
}

#[test]
fn findings_of_a_lane_stand_in_the_table_and_on_the_canvas() {
    let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../patterns/faulty-breakdown-truck.json");
    let program = lampwright_formats::read_program(&std::fs::read(file).unwrap())
        .program
        .unwrap();
    let state = flat(EditorState::new(std::rc::Rc::new(program)));
    let results = state.results();
    let finding = results
        .report
        .findings
        .iter()
        .find(|finding| finding.counts() && finding.lane.is_some())
        .unwrap();
    let (pattern, role) = finding.lane.as_ref().unwrap();
    let state = state.apply(Action::ChoosePattern(pattern.clone()));
    let rows = lane_table(&state, usize::MAX);
    let row = rows.iter().find(|row| row.role == *role).unwrap();
    assert!(row.findings.contains(&finding.message));
    let marks = lampwright_editor::scene(&state, &lampwright_editor::Overlay::default())
        .items
        .iter()
        .filter(|item| {
            matches!(item, lampwright_editor::Item::Rect(rect)
                if matches!(rect.role, lampwright_editor::Role::Finding(_)))
        })
        .count();
    assert!(marks > 0);
}
