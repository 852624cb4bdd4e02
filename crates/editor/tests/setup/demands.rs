//! What is demanded of a program: the rules it starts with, guarantees, and what cannot happen.

use crate::support::{edit, head, heads, put, refused, row, van, with_eight};
use lampwright_editor::setup::{
    Control, HeadsChange, How, ThingKind, add, fill, form, impossible_form, new_program, remove,
    step_label,
};
use lampwright_editor::{Action, EditorState};
use lampwright_formats::read_profile;
use lampwright_model::{
    Alternative, Color, Edit, ItemId, Milliamps, Must, PatternId, Pulse, RoleId, SignalId, ValueId,
};
use lampwright_timing::{Level, Micros};
use std::rc::Rc;

const STARTING_SET: &[u8] = include_bytes!("../../../../patterns/profiles/starting-set.json");

fn fresh() -> EditorState {
    let outcome = read_profile(STARTING_SET);
    assert_eq!(outcome.problems, []);
    EditorState::new(Rc::new(new_program(outcome.profile.unwrap())))
}

/// Codes of what is found in the shown state.
fn found(state: &EditorState) -> Vec<u16> {
    let findings = &state.results().report.findings;
    let mut codes: Vec<u16> = findings.iter().map(|finding| finding.code.0).collect();
    codes.dedup();
    codes
}

/// One pattern of a lane on all heads: as many pulses of 50 ms in a second.
fn flashing(state: &EditorState, n_pulses: i64) -> EditorState {
    let state = state
        .apply(Action::AddPattern)
        .apply(Action::SetPeriod(Micros::from_ms(1000)))
        .apply(Action::RemoveLane(1))
        .apply(Action::RenameLane {
            lane: 0,
            role: "all".into(),
        });
    let pattern: PatternId = state.open_pattern_id().unwrap().clone();
    let lane: RoleId = "all".parse().unwrap();
    let pulses = (0..n_pulses)
        .map(|index| Pulse {
            start: Micros::from_ms(index * 1000 / n_pulses),
            length: Micros::from_ms(50),
            level: Level::FULL,
            color: None,
        })
        .collect();
    let change = Edit::SetPulses {
        pattern,
        lane,
        pulses,
    };
    heads(&edit(&state, change), HeadsChange::Play)
}

#[test]
fn a_new_program_is_judged_at_once_and_says_by_what() {
    let state = fresh();
    let profile = &state.program().profile;
    assert_eq!(profile.title, "Starting set of general rules");
    assert!(profile.jurisdiction.contains("local law and the agency"));
    assert_eq!(found(&state), []);

    // Nine flashes a second, within what provokes seizures most (reference: the screening's bands).
    let nine = flashing(&with_eight(&state), 9);
    assert_eq!(nine.program().layers[0].action.targets().count(), 8);
    let codes = found(&nine);
    for code in [20, 22] {
        assert!(codes.contains(&code), "LW{code:03} in {codes:?}");
    }
    // One a second is not more than three.
    let codes = found(&flashing(&with_eight(&state), 1));
    assert!(!codes.contains(&20) && !codes.contains(&22), "{codes:?}");
    // Without the profile nothing would be looked at.
    let unjudged = edit(
        &nine,
        Edit::SetProfile(lampwright_model::Profile::default()),
    );
    assert_eq!(found(&unjudged), []);
}

#[track_caller]
fn guaranteed(state: &EditorState) -> (EditorState, [ItemId; 1]) {
    let (label, change, id) = add(state, ThingKind::Guarantee, None).unwrap();
    assert_eq!(label, "Add guarantee");
    (edit(state, change), [id.unwrap()])
}

#[test]
fn a_guarantee_is_filled_in_judged_and_taken_back() {
    let before = flashing(&with_eight(&fresh()), 1);
    let (state, promise) = guaranteed(&before);
    // It takes the selected heads.
    assert_eq!(state.program().guarantees[0].heads.len(), 8);
    assert!(
        found(&state).contains(&41),
        "heads flash that are to be dark"
    );

    let must = |state: &EditorState, label: &str| {
        let Control::Choice(options) = row(state, &promise, "must", How::Json).control else {
            panic!("a choice wanted");
        };
        let option = options.into_iter().find(|option| option.label == label);
        put(state, &promise, "must", How::Json, &option.unwrap().value)
    };
    let now = |state: &EditorState| state.program().guarantees[0].must.clone();
    for (label, expected) in [
        ("be steady", Must::BeSteady),
        ("play in step", Must::PlayInStep),
        ("alternate, left against right", Must::Alternate),
        ("show only some colors", Must::ShowOnly(vec![Color::Amber])),
        (
            "never show some colors",
            Must::ShowNever(vec![Color::White]),
        ),
        (
            "stay at a level or below",
            Must::LevelAtMost(Level::new(500).unwrap()),
        ),
        (
            "reach a level",
            Must::LevelAtLeast(Level::new(500).unwrap()),
        ),
        (
            "keep to a total current",
            Must::TotalCurrentAtMost(Milliamps(20_000)),
        ),
        ("be dark", Must::BeDark),
    ] {
        assert_eq!(now(&must(&state, label)), expected);
    }

    let level = must(&state, "reach a level");
    let level = put(
        &level,
        &promise,
        "must/level_at_least",
        How::Percent,
        "12.5",
    );
    assert_eq!(now(&level), Must::LevelAtLeast(Level::new(125).unwrap()));
    let current = must(&state, "keep to a total current");
    let path = "must/total_current_at_most_a";
    let current = put(&current, &promise, path, How::Number, "7.5");
    assert_eq!(now(&current), Must::TotalCurrentAtMost(Milliamps(7_500)));

    let path = "must/show_never";
    let never = must(&state, "never show some colors");
    let never = put(&never, &promise, path, How::Member, "amber");
    let never = put(&never, &promise, path, How::Member, "white");
    assert_eq!(now(&never), Must::ShowNever(vec![Color::Amber]));
    assert!(found(&never).contains(&41), "the heads are amber");
    refused(
        &never,
        &promise,
        path,
        How::Member,
        "amber",
        "at least one color wanted",
    );
    let shown = row(&never, &promise, path, How::Member);
    assert_eq!(
        step_label(&never, &promise, &shown),
        "None of these colors of Guarantee 1"
    );

    let only = must(&state, "show only some colors");
    assert!(!found(&only).contains(&41));
    assert!(!form(&only, &promise).iter().any(|row| row.path == path));
    let (label, change, _) = remove(only.program(), &promise).unwrap();
    assert_eq!(label, "Remove Guarantee 1");
    let mut back = edit(&only, change);
    while back.program().guarantees != before.program().guarantees
        || **back.program() != **before.program()
    {
        back = back.apply(Action::Undo);
    }
}

#[test]
fn a_guarantee_keeps_what_it_speaks_of() {
    let (state, promise) = guaranteed(&with_eight(&fresh()));
    let state = put(&state, &promise, "label", How::Text, "Dark in the wash");
    assert_eq!(
        remove(state.program(), &[head("rear-left-1")]),
        Err("guarantee Dark in the wash still refers to it, change that first".into())
    );
}

fn with_signals(state: &EditorState) -> EditorState {
    let mut state = state.clone();
    for _ in 0..2 {
        let (_, change, _) = add(&state, ThingKind::Signal, None).unwrap();
        state = edit(&state, change);
    }
    state
}

fn allowed(signal: &str, values: &[&str]) -> (SignalId, Vec<ValueId>) {
    let values = values.iter().map(|value| value.parse().unwrap());
    (signal.parse().unwrap(), values.collect())
}

#[test]
fn conditions_that_cannot_happen_are_checked_value_by_value() {
    let empty = fresh();
    let titles: Vec<String> = impossible_form(&empty)
        .into_iter()
        .map(|row| row.label)
        .collect();
    assert_eq!(titles, ["There is no signal yet: add one first"]);

    let state = with_signals(&empty);
    let check =
        |state: &EditorState, path: &str, value: &str| put(state, &[], path, How::Member, value);
    let one = check(&state, "impossible/0/signal-1", "on");
    let one = check(&one, "impossible/0/signal-2", "on");
    let two = check(&one, "impossible/1/signal-2", "off");
    assert_eq!(
        two.program().impossible,
        [
            Alternative(vec![
                allowed("signal-1", &["on"]),
                allowed("signal-2", &["on"])
            ]),
            Alternative(vec![allowed("signal-2", &["off"])]),
        ]
    );
    let shown = row(&two, &[], "impossible/1/signal-2", How::Member);
    assert_eq!(
        step_label(&two, &[], &shown),
        "Signal 2 in what cannot happen"
    );
    // A condition in which nothing is checked would hold always, and is none.
    let back = check(&two, "impossible/1/signal-2", "off");
    assert_eq!(back.program().impossible.len(), 1);
    let less = check(&back, "impossible/0/signal-1", "on");
    assert_eq!(
        less.program().impossible,
        [Alternative(vec![allowed("signal-2", &["on"])])]
    );
    let none = put(&two, &[], "impossible/0", How::Remove, "");
    assert_eq!(none.program().impossible.len(), 1);
    refused(
        &two,
        &[],
        "impossible/0/signal-1",
        How::Member,
        "parked",
        "one of off, on wanted, not \"parked\"",
    );
    assert_eq!(
        remove(two.program(), &[ThingKind::Signal.id("signal-2").unwrap()]),
        Err("an impossible condition still refers to it, change that first".into())
    );
}

#[test]
fn what_cannot_happen_in_the_demo_is_shown_and_filled_in_again() {
    let state = van();
    let n_conditions = state.program().impossible.len();
    assert!(n_conditions > 0, "the demo says what cannot happen");
    let mut n_on = 0;
    for row in impossible_form(&state) {
        let Control::Checks(options) = &row.control else {
            continue;
        };
        for option in options.iter().filter(|option| option.is_on) {
            n_on += 1;
            let once = fill(&state, &[], &row.path, How::Member, &option.value).unwrap();
            let without = state.program().apply(&once).unwrap();
            assert_ne!(without.impossible, state.program().impossible);
        }
    }
    assert!(n_on >= n_conditions);
}
