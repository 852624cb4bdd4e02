//! Trains of pulses: copied, repeated, spread, put on the tick.

use crate::operations::{Does, lane, refused, selected};
use crate::support::*;
use lampwright_editor::{Action, EditorState, MessageKind, Operation, Question, SelectMode};

#[test]
fn a_copy_goes_right_after_with_the_gap_of_its_own() {
    let train = selected(&[(0, 0), (0, 1)]).operate(Operation::Duplicate);
    assert_eq!(
        spans(&train, 0),
        [(0.0, 60.0), (100.0, 60.0), (200.0, 60.0), (300.0, 60.0)]
    );
    let single = selected(&[(0, 1)]).operate(Operation::Duplicate);
    assert_eq!(spans(&single, 0)[2], (220.0, 60.0));
    let full = train.apply(Action::SelectPulses(
        (0..4).map(|pulse| at(0, pulse)).collect(),
        SelectMode::Replace,
    ));
    assert_eq!(
        &*full
            .apply(Action::Operate(Operation::Duplicate))
            .message()
            .text,
        "no room in lane left: a pulse at 0 ms would overlap another pulse"
    );
}

#[test]
fn a_copy_keeps_the_dark_gaps_of_the_lane_or_is_refused() {
    let train = |runs: &str, pulses: &[usize]| {
        let pulses = pulses.iter().map(|pulse| at(0, *pulse)).collect();
        lane(0)
            .answer(Question::Runs, runs)
            .apply(Action::SelectPulses(pulses, SelectMode::Replace))
    };
    let duplicate = |state: EditorState| state.apply(Action::Operate(Operation::Duplicate));
    let kept = |runs: &str, pulses: &[usize], text: &str| {
        let before = train(runs, pulses);
        let after = duplicate(before.clone());
        assert_eq!(after.message().kind, MessageKind::Refused);
        assert_eq!(&*after.message().text, text);
        assert!(after.program() == before.program());
    };
    // As much dark as the lane has somewhere is enough.
    let fits = duplicate(train("60 160 60 40 60", &[0]));
    assert_eq!(spans(&fits, 0)[1], (120.0, 60.0));
    kept(
        "60 120 60 40 60",
        &[0],
        "no room in lane left: a pulse at 120 ms would leave 0 ms dark beside another pulse, at least 40 ms wanted",
    );
    // Around the end of the period as well.
    kept(
        "60 40 60 140 60",
        &[2],
        "no room in lane left: a pulse at 420 ms would leave 20 ms dark beside another pulse, at least 40 ms wanted",
    );
    kept(
        "60 40 60 40 60",
        &[1],
        "no room in lane left: a pulse at 220 ms would overlap another pulse",
    );
    // Pulses that touch are one light: their copy does not touch them.
    let steps = train("60 440", &[0]).operate(Operation::Split);
    let two = duplicate(steps);
    assert_eq!(
        spans(&two, 0),
        [(0.0, 30.0), (30.0, 30.0), (120.0, 30.0), (150.0, 30.0)]
    );
}

#[test]
fn a_train_is_repeated_to_fill_the_period() {
    let single = lane(0)
        .answer(Question::Runs, "40")
        .answer(Question::Repeat, "5");
    assert_eq!(
        spans(&single, 0),
        [0.0, 100.0, 200.0, 300.0, 400.0].map(|start| (start, 40.0))
    );
    refused(
        &lane(0).apply(Action::Answer(Question::Repeat, "4".into())),
        "4 times do not fit, each has 125 ms of the period, 500 ms",
    );
    refused(
        &lane(0).apply(Action::Answer(Question::Repeat, "2.5".into())),
        "2.5 times, a whole number from 2 to 1000 wanted",
    );
}

#[test]
fn pulses_move_to_the_tick_and_to_equal_distances() {
    let off = lane(0).answer(Question::Runs, "63 41.5 57");
    let on = off.operate(Operation::Quantize);
    assert_eq!(spans(&on, 0), [(0.0, 60.0), (100.0, 60.0)]);
    let even = on.operate(Operation::Spread);
    assert_eq!(spans(&even, 0), [(0.0, 60.0), (250.0, 60.0)]);
    let select = |state: &EditorState, pulses: &[usize]| {
        let pulses = pulses.iter().map(|pulse| at(0, *pulse)).collect();
        state.apply(Action::SelectPulses(pulses, SelectMode::Replace))
    };
    let four = lane(0).answer(Question::Runs, "20 30 20 10 20 250 20");
    // Three between the first and the last, two half a period apart, one stands for its lane.
    let three = select(&four, &[0, 1, 2]).operate(Operation::Spread);
    assert_eq!(
        spans(&three, 0),
        [(0.0, 20.0), (40.0, 20.0), (80.0, 20.0), (350.0, 20.0)]
    );
    let two = select(&four, &[1, 2]).operate(Operation::Spread);
    assert_eq!(
        spans(&two, 0),
        [(0.0, 20.0), (50.0, 20.0), (300.0, 20.0), (350.0, 20.0)]
    );
    assert_eq!(
        two.selection().pulses,
        [at(0, 1), at(0, 2)].into_iter().collect()
    );
    let one = select(&four, &[1]).operate(Operation::Spread);
    assert_eq!(
        spans(&one, 0),
        [(0.0, 20.0), (130.0, 20.0), (250.0, 20.0), (380.0, 20.0)]
    );
    for (runs, text) in [
        ("20 30 20 180 20", "overlap another pulse"),
        (
            "20 30 20 205 20",
            "leave 5 ms dark beside another pulse, at least 30 ms wanted",
        ),
    ] {
        let taken = lane(0).answer(Question::Runs, runs);
        let taken = select(&taken, &[0, 1]).apply(Action::Operate(Operation::Spread));
        let text = format!("no room in lane left: a pulse at 250 ms would {text}");
        assert_eq!(*taken.message().text, *text);
    }
    let tiny = lane(0).answer(Question::Runs, "3");
    assert_eq!(
        &*tiny
            .apply(Action::Operate(Operation::Quantize))
            .message()
            .text,
        "pulse 1 of lane left is shorter than a tick, 10 ms, and would vanish"
    );
}
