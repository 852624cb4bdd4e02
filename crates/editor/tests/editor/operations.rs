//! Operations on pulses and lanes, and lanes typed as numbers.

use crate::support::*;
use lampwright_editor::{
    Action, COMMANDS, EditorState, Focus, MessageKind, Operation, Perform, PlatformTask, Question,
    SelectMode, lane_numbers,
};
use lampwright_model::PatternId;
use lampwright_timing::Level;

pub(crate) fn selected(pulses: &[(usize, usize)]) -> EditorState {
    let pulses = pulses
        .iter()
        .map(|(lane, pulse)| at(*lane, *pulse))
        .collect();
    editor().apply(Action::SelectPulses(pulses, SelectMode::Replace))
}

pub(crate) fn lane(lane: usize) -> EditorState {
    editor().apply(Action::SelectLanes(vec![lane], SelectMode::Replace))
}

pub(crate) trait Does {
    fn operate(&self, operation: Operation) -> EditorState;
    fn answer(&self, question: Question, text: &str) -> EditorState;
}

impl Does for EditorState {
    #[track_caller]
    fn operate(&self, operation: Operation) -> EditorState {
        done(self.apply(Action::Operate(operation)))
    }

    #[track_caller]
    fn answer(&self, question: Question, text: &str) -> EditorState {
        done(self.apply(Action::Answer(question, text.into())))
    }
}

#[track_caller]
pub(crate) fn done(state: EditorState) -> EditorState {
    assert_eq!(
        state.message().kind,
        MessageKind::Done,
        "{}",
        state.message().text
    );
    state
}

#[track_caller]
pub(crate) fn refused(state: &EditorState, text: &str) {
    assert_eq!(state.message().kind, MessageKind::Refused);
    assert_eq!(&*state.message().text, text);
    assert!(state.history().undo_label().is_none());
}

#[test]
fn a_pulse_is_split_in_the_middle_or_at_the_playhead_and_joined_again() {
    let halves = selected(&[(0, 0)]).operate(Operation::Split);
    assert_eq!(
        spans(&halves, 0),
        [(0.0, 30.0), (30.0, 30.0), (100.0, 60.0)]
    );
    assert_eq!(halves.selection().pulses.len(), 2);
    let joined = halves.operate(Operation::JoinTouching);
    assert!(joined.program() == editor().program());

    let at_playhead = lane(0)
        .apply(Action::Seek(lampwright_timing::Micros(112_034)))
        .operate(Operation::Split);
    assert_eq!(
        spans(&at_playhead, 0),
        [(0.0, 60.0), (100.0, 10.0), (110.0, 50.0)]
    );
    let tick = lane(0).answer(Question::Runs, "10 20 10");
    let tick = tick.apply(Action::SelectAll);
    assert_eq!(
        &*tick.apply(Action::Operate(Operation::Split)).message().text,
        "pulse 1 of lane left is too short to be split on the tick, 10 ms"
    );
    refused(
        &lane(0).apply(Action::Operate(Operation::Split)),
        "the playhead is in no pulse of the lane, move it there or select a pulse",
    );
}

#[test]
fn pulses_are_joined_across_their_gap() {
    let joined = selected(&[(0, 0), (0, 1)]).operate(Operation::JoinAcross);
    assert_eq!(spans(&joined, 0), [(0.0, 160.0)]);
    refused(
        &selected(&[(0, 0), (1, 0)]).apply(Action::Operate(Operation::JoinAcross)),
        "two pulses of a lane have to be selected to join them",
    );
}

#[test]
fn pulses_are_pasted_at_their_instants_or_at_the_playhead() {
    let copied = selected(&[(0, 0), (0, 1)]).operate(Operation::Copy);
    let right = copied.apply(Action::SelectLanes(vec![1], SelectMode::Replace));
    let pasted = right.operate(Operation::Paste);
    assert_eq!(
        spans(&pasted, 1),
        [(0.0, 60.0), (100.0, 60.0), (250.0, 60.0), (350.0, 60.0)]
    );
    assert_eq!(pasted.selection().pulses.len(), 2);
    // At the playhead it goes around the end of the period, and cuts what it lies on.
    let later = right.apply(Action::Seek(ms(380))).operate(Operation::Paste);
    assert_eq!(
        spans(&later, 1),
        [
            (0.0, 40.0),
            (250.0, 60.0),
            (350.0, 30.0),
            (380.0, 60.0),
            (480.0, 20.0)
        ]
    );
}

#[test]
fn lanes_are_pasted_into_another_pattern() {
    let copied = lane(0).operate(Operation::Copy);
    assert_eq!(copied.clip_text(), "60 40 60 340");
    let other = copied.apply(Action::ChoosePattern(PatternId::new("sweep").unwrap()));
    let pasted = other
        .apply(Action::SelectLanes(vec![3], SelectMode::Replace))
        .operate(Operation::Paste);
    // Twice, because the period is twice as long.
    assert_eq!(
        spans(&pasted, 3),
        [(0.0, 60.0), (100.0, 60.0), (500.0, 60.0), (600.0, 60.0)]
    );
    let sweep = editor().apply(Action::ChoosePattern(PatternId::new("sweep").unwrap()));
    let long = sweep
        .apply(Action::SelectLanes(vec![7], SelectMode::Replace))
        .operate(Operation::Copy)
        .apply(Action::ChoosePattern(PatternId::new("double").unwrap()));
    refused(
        &long.apply(Action::Operate(Operation::Paste)),
        "the last pulse ends at 800 ms, the period is 500 ms",
    );
    refused(
        &editor().apply(Action::Operate(Operation::Paste)),
        "nothing was copied yet",
    );
}

#[test]
fn cut_pulses_come_back_with_paste() {
    let cut = selected(&[(0, 1)]).operate(Operation::Cut);
    assert_eq!(spans(&cut, 0), [(0.0, 60.0)]);
    let back = cut.operate(Operation::Paste);
    assert!(back.program() == editor().program());
}

#[test]
fn a_lane_is_mirrored_to_the_other_side() {
    let typed = lane(0).answer(Question::Runs, "75 50 75 300");
    let mirrored = typed.operate(Operation::Mirror);
    assert_eq!(spans(&mirrored, 1), [(250.0, 75.0), (375.0, 75.0)]);
    assert_eq!(
        &*mirrored.message().text,
        "Lane right plays the same 250 ms later"
    );
    assert_eq!(mirrored.focus(), Focus::Lane(0));

    // What plays twice in the period is in turn with its mirror as well.
    let twice = lane(0).answer(Question::Runs, "50 200");
    let alternating = twice.operate(Operation::Mirror);
    assert_eq!(spans(&alternating, 1), [(125.0, 50.0), (375.0, 50.0)]);

    let sweep = editor().apply(Action::ChoosePattern(PatternId::new("sweep").unwrap()));
    let sweep = sweep
        .apply(Action::SelectLanes(vec![1], SelectMode::Replace))
        .answer(Question::Runs, "0 100 50")
        .operate(Operation::Mirror);
    assert_eq!(spans(&sweep, 6), [(600.0, 50.0)]);
    let named = sweep.answer(Question::MirrorTo, "s4");
    assert_eq!(spans(&named, 4), [(600.0, 50.0)]);
}

#[test]
fn a_missing_lane_of_the_other_side_is_made() {
    let state = editor()
        .apply(Action::AddPattern)
        .apply(Action::RenameLane {
            lane: 0,
            role: "front-right".into(),
        })
        .answer(Question::Runs, "75 50 75 300")
        .operate(Operation::Mirror);
    let pattern = state.open_pattern().unwrap();
    assert_eq!(pattern.period, ms(500));
    assert_eq!(pattern.lanes[2].role.as_str(), "front-left");
    assert_eq!(spans(&state, 2), [(250.0, 75.0), (375.0, 75.0)]);
}

#[test]
fn a_new_pattern_has_a_lane_for_each_side_on_a_tick_that_holds_75_ms() {
    let state = editor()
        .apply(Action::AddPattern)
        .answer(Question::Runs, "75 50 75 300")
        .operate(Operation::Mirror);
    let pattern = state.open_pattern().unwrap();
    let roles: Vec<&str> = pattern
        .lanes
        .iter()
        .map(|lane| lane.role.as_str())
        .collect();
    assert_eq!(roles, ["left", "right"]);
    assert_eq!(pattern.period, ms(500));
    assert_eq!(spans(&state, 0), [(0.0, 75.0), (125.0, 75.0)]);
    assert_eq!(spans(&state, 1), [(250.0, 75.0), (375.0, 75.0)]);
    let on_tick = |pulse: &lampwright_model::Pulse| {
        pulse.start.0 % pattern.tick.0 == 0 && pulse.end().0 % pattern.tick.0 == 0
    };
    assert!(
        pattern
            .lanes
            .iter()
            .flat_map(|lane| lane.pulses.iter())
            .all(on_tick)
    );
}

#[test]
fn lanes_are_reversed_inverted_and_shifted() {
    let state = lane(0).operate(Operation::Reverse);
    assert_eq!(spans(&state, 0), [(340.0, 60.0), (440.0, 60.0)]);
    let state = lane(0).operate(Operation::Invert);
    assert_eq!(spans(&state, 0), [(60.0, 40.0), (160.0, 340.0)]);
    let state = lane(0).answer(Question::Shift, "-20");
    assert_eq!(spans(&state, 0), [(0.0, 40.0), (80.0, 60.0), (480.0, 20.0)]);
    assert!(state.answer(Question::Shift, "20").program() == editor().program());
}

#[test]
fn a_pattern_is_scaled_to_a_rate_and_a_lane_to_a_lit_share() {
    let fast = lane(0).answer(Question::Rate, "150/min");
    assert_eq!(fast.open_pattern().unwrap().period, ms(400));
    assert_eq!(
        &*fast.message().text,
        "Period 400 ms, 2.5 Hz, 150 per minute"
    );
    assert_eq!(spans(&fast, 0), [(0.0, 50.0), (80.0, 50.0)]);
    let half = lane(0).answer(Question::Duty, "30");
    assert_eq!(spans(&half, 0), [(0.0, 80.0), (100.0, 80.0)]);
    let numbers = lane_numbers(half.open_pattern().unwrap(), 0).unwrap();
    assert_eq!(numbers.duty_percent, "32");
    refused(
        &lane(0).apply(Action::Answer(Question::Duty, "50".into())),
        "50 % lit do not fit, pulse 1 would last 130 ms and has room for 100 ms",
    );
    refused(
        &lane(0).apply(Action::Answer(Question::Duty, "0".into())),
        "0 % lit, more than 0 and at most 100 % wanted",
    );
    refused(
        &lane(0).apply(Action::Answer(Question::Period, "999999999".into())),
        "period 999999999 ms, more than 0 and at most 120000 ms wanted",
    );
}

#[test]
fn run_lengths_fill_the_period_or_are_refused_with_it() {
    let twice = lane(0).answer(Question::Runs, "50 200");
    assert_eq!(spans(&twice, 0), [(0.0, 50.0), (250.0, 50.0)]);
    let dim = lane(0).answer(Question::Runs, "0 100 50@40");
    let pulse = dim.open_pattern().unwrap().lanes[0].pulses[0];
    assert_eq!(pulse.level, Level::nearest(400));
    refused(
        &lane(0).apply(Action::Answer(Question::Runs, "75 50 75 310".into())),
        "the runs last 510 ms, the period is 500 ms; leave the last dark away or set the period first",
    );
    let empty = lane(0).answer(Question::Runs, "");
    assert_eq!(spans(&empty, 0), []);
}

#[test]
fn an_operation_needs_a_lane_to_work_on() {
    for operation in [Operation::Invert, Operation::Copy, Operation::Duplicate] {
        refused(
            &editor().apply(Action::Operate(operation)),
            "no lane is in focus",
        );
    }
    let nothing = EditorState::new(std::rc::Rc::default());
    refused(
        &nothing.apply(Action::Operate(Operation::Paste)),
        "no pattern is open, add one first",
    );
}

#[test]
fn every_question_is_asked_by_a_command_and_starts_with_what_is_true() {
    let state = lane(0);
    let asked: Vec<Question> = COMMANDS
        .iter()
        .filter_map(|command| match (command.perform)(&state) {
            Perform::Platform(PlatformTask::Ask(question)) => Some(question),
            _ => None,
        })
        .collect();
    assert_eq!(asked.len(), 11);
    let present: Vec<String> = asked
        .iter()
        .map(|question| question.present(&state))
        .collect();
    assert_eq!(
        present,
        [
            "",
            "",
            "",
            "2",
            "right",
            "10",
            "60 40 60 340",
            "2",
            "24",
            "500",
            "left"
        ]
    );
    let second = selected(&[(0, 1)]);
    let of_pulse = [Question::Start, Question::Length, Question::Level];
    assert_eq!(
        of_pulse.map(|question| question.present(&second)),
        ["100", "60", "100"]
    );
}

#[test]
fn pulses_are_set_by_number_with_or_without_a_unit() {
    let typed = selected(&[(0, 1)])
        .answer(Question::Start, "120,5 ms")
        .answer(Question::Length, "70.25")
        .answer(Question::Level, "12,5%");
    assert_eq!(spans(&typed, 0)[1], (120.5, 70.25));
    assert_eq!(
        typed.open_pattern().unwrap().lanes[0].pulses[1].level,
        Level::nearest(125)
    );
    assert_eq!(typed.history().undo_label(), Some("Set level"));
    for (question, text, words) in [
        (
            Question::Level,
            "150",
            "level 150 %, 0.1 to 100 % with at most one decimal wanted",
        ),
        (
            Question::Level,
            "0",
            "level 0 % is no pulse, delete it instead",
        ),
        (
            Question::Start,
            "soon",
            "\"soon\", a number with at most three decimals wanted",
        ),
        (
            Question::Length,
            "-5",
            "length -5 ms, more than 0 ms wanted",
        ),
    ] {
        refused(
            &selected(&[(0, 1)]).apply(Action::Answer(question, text.into())),
            words,
        );
    }
    let named = lane(0).answer(Question::LaneName, " front ");
    assert_eq!(
        named.open_pattern().unwrap().lanes[0].role.as_str(),
        "front"
    );
}

/// Lane left, a single flash across the end of the period: 460 to 40 ms.
fn across() -> EditorState {
    lane(0).answer(Question::Runs, "40 420 40")
}

#[test]
fn a_pulse_across_the_end_of_the_period_is_shaped_as_one() {
    let wide = across().answer(Question::Duty, "32");
    assert_eq!(spans(&wide, 0), [(0.0, 120.0), (460.0, 40.0)]);
    assert_eq!(&*wide.message().text, "Lane left is lit for 32 %");
    let twice = across().operate(Operation::Duplicate);
    assert_eq!(
        spans(&twice, 0),
        [(0.0, 40.0), (120.0, 80.0), (460.0, 40.0)]
    );
    let four = across().answer(Question::Repeat, "4");
    assert_eq!(
        spans(&four, 0),
        [
            (0.0, 40.0),
            (90.0, 80.0),
            (210.0, 80.0),
            (340.0, 80.0),
            (460.0, 40.0)
        ]
    );
    let uneven = lane(0).answer(Question::Runs, "40 60 80 280 40");
    let even = uneven.operate(Operation::Spread);
    assert_eq!(spans(&even, 0), [(100.0, 80.0), (350.0, 80.0)]);
}

#[test]
fn only_selected_lanes_are_copied_and_missing_ones_are_made() {
    let sweep = editor().apply(Action::ChoosePattern(PatternId::new("sweep").unwrap()));
    let two = sweep.apply(Action::SelectLanes(vec![1, 3], SelectMode::Replace));
    let copied = two.operate(Operation::Copy);
    assert_eq!(&*copied.message().text, "Copied 2 lanes");
    let pasted = copied
        .apply(Action::SelectLanes(vec![5], SelectMode::Replace))
        .operate(Operation::Paste);
    assert_eq!(&*pasted.message().text, "Pasted 2 lanes");
    assert_eq!(spans(&pasted, 5), spans(&copied, 1));
    assert_eq!(spans(&pasted, 6), spans(&copied, 3));
    assert_eq!(spans(&pasted, 7), spans(&copied, 7));
    let beyond = copied
        .apply(Action::SelectLanes(vec![7], SelectMode::Replace))
        .operate(Operation::Paste);
    assert_eq!(
        &*beyond.message().text,
        "Pasted 2 lanes, 1 lane added for it"
    );
    let lanes = &beyond.open_pattern().unwrap().lanes;
    // Lane s3 is there already.
    assert_eq!((lanes.len(), lanes[8].role.as_str()), (9, "1"));
    assert_eq!(spans(&beyond, 8), spans(&copied, 3));
    let undone = beyond.apply(Action::Undo);
    assert!(undone.program() == sweep.program());
}

#[test]
fn a_step_is_called_what_was_done() {
    let cut = selected(&[(0, 1)]).operate(Operation::Cut);
    assert_eq!(cut.history().undo_label(), Some("Cut"));
    assert_eq!(&*cut.message().text, "Cut 1 pulse");
    let lanes = editor().apply(Action::SelectLanes(vec![0, 1], SelectMode::Replace));
    let cut = lanes.operate(Operation::Cut);
    assert_eq!(&*cut.message().text, "Cut 2 lanes");
    let empty = cut.apply(Action::SelectLanes(vec![0], SelectMode::Replace));
    for action in [Action::Operate(Operation::Cut), Action::Delete] {
        let again = empty.apply(action);
        assert_eq!(again.message().kind, MessageKind::Refused);
        assert_eq!(again.history().undo_label(), Some("Cut"));
    }
    let repeated = selected(&[(0, 0)]).answer(Question::Repeat, "4");
    assert_eq!(
        &*repeated.message().text,
        "Repeat 4 times, in place of 1 other pulse"
    );
    let scaled = lane(0).answer(Question::Period, "333");
    assert_eq!(
        &*scaled.message().text,
        "Scaled to 333 ms, no whole number of ticks of 10 ms"
    );
}

#[test]
fn a_turned_stretch_stays_selected() {
    let typed = lane(0).answer(Question::Runs, "10 40 50");
    let both = typed.apply(Action::SelectPulses(
        vec![at(0, 0), at(0, 1)],
        SelectMode::Replace,
    ));
    let turned = both.operate(Operation::Reverse);
    assert_eq!(spans(&turned, 0), [(0.0, 50.0), (90.0, 10.0)]);
    assert_eq!(turned.selection().pulses, both.selection().pulses);
    assert!(turned.operate(Operation::Reverse).program() == typed.program());
}

#[test]
fn pulses_move_to_the_lane_below_where_there_is_room() {
    let moved = selected(&[(0, 0), (0, 1)]).apply(Action::MoveToLane(1));
    assert_eq!(spans(&moved, 0), []);
    assert_eq!(
        spans(&moved, 1),
        [(0.0, 60.0), (100.0, 60.0), (250.0, 60.0), (350.0, 60.0)]
    );
    assert_eq!(
        moved.selection().pulses,
        [at(1, 0), at(1, 1)].into_iter().collect()
    );
    assert_eq!(
        moved.history().undo_label(),
        Some("Move 2 pulses 1 lane down")
    );
    refused(
        &selected(&[(0, 0)]).apply(Action::MoveToLane(-1)),
        "there is no lane above",
    );
    let blocked = lane(1).answer(Question::Runs, "10");
    let blocked = blocked.apply(Action::SelectPulses(vec![at(0, 0)], SelectMode::Replace));
    assert_eq!(
        &*blocked.apply(Action::MoveToLane(1)).message().text,
        "no room in lane right"
    );
}
