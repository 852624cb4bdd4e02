//! Setting a vehicle up as a person does it in the forms, from an empty program on.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that meets something unexpected has failed"
)]

mod beams;
mod demands;
mod heads;
mod naming;
mod support;
mod together;

use lampwright_editor::preview::{Change, Gate};
use lampwright_editor::setup::{
    Around, Control, HeadsChange, How, ThingKind, add, around, duplicate, fill, form, labels,
    remove, remove_heads_everywhere, shift, with_vehicle_of,
};
use lampwright_editor::{Action, EditorState, MessageKind, SelectMode};
use lampwright_model::{
    Action as LayerAction, Color, Condition, Edit, Guarantee, HeadId, Item, ItemId, Millidegrees,
    Millimeters, Must, Program, Target,
};
use lampwright_timing::Micros;
use support::{edit, eight, empty, head, heads, place, put, refused, row, van};

#[test]
fn an_empty_program_gets_eight_heads_that_play_a_pattern() {
    let state = eight();
    let names: Vec<String> = labels(state.program(), ThingKind::Head)
        .into_iter()
        .map(|(id, _)| id)
        .collect();
    assert_eq!(
        names,
        [
            "front-left-1",
            "front-left-2",
            "front-right-1",
            "front-right-2",
            "rear-left-1",
            "rear-left-2",
            "rear-right-1",
            "rear-right-2"
        ]
    );
    let state = state.apply(Action::AddPattern).apply(Action::InsertPulse {
        lane: 0,
        at: Micros::ZERO,
    });
    let state = heads(&state, HeadsChange::Play);
    let LayerAction::Play { bindings, .. } = &state.program().layers[0].action else {
        panic!("a layer that plays is wanted");
    };
    let shares: Vec<usize> = bindings.iter().map(|binding| binding.heads.len()).collect();
    assert_eq!(shares, [4, 4]);
    let results = state.results();
    let lit = results.drive.heads.iter().filter(|head| {
        head.emitters
            .iter()
            .any(|emitter| !emitter.level.is_constant())
    });
    assert_eq!(lit.count(), 4);

    let mut back = state;
    while back.history().undo_label().is_some() {
        back = back.apply(Action::Undo);
    }
    assert_eq!(**back.program(), Program::default());
}

#[test]
fn playing_without_heads_or_lanes_says_what_is_missing() {
    let state = empty().apply(Action::Heads(HeadsChange::Play));
    assert_eq!(
        &*state.message().text,
        "no pattern is open: add one in the timeline first"
    );
    let state = empty()
        .apply(Action::AddPattern)
        .apply(Action::Heads(HeadsChange::Play));
    assert_eq!(
        &*state.message().text,
        "there is no head yet: add heads first"
    );
    assert_eq!(state.message().kind, MessageKind::Refused);
}

#[test]
fn a_new_always_on_layer_stands_below_conditions_and_above_what_would_hide_it() {
    let state = van();
    let first_always = |state: &EditorState| {
        let layers = &state.program().layers;
        layers.iter().position(|layer| layer.when.is_always())
    };
    let expected = first_always(&state).unwrap_or(state.program().layers.len());
    let state = heads(&state, HeadsChange::Play);
    assert_eq!(first_always(&state), Some(expected));
    assert!(
        state.program().layers[expected]
            .id
            .as_str()
            .starts_with("play-")
    );
}

#[test]
fn a_roof_that_is_too_narrow_for_a_row_is_refused() {
    let plan = Around {
        n_front: 8,
        ..Around::default()
    };
    assert_eq!(
        around(empty().program(), &plan),
        Err("8 heads 0.4 m apart take 2.8 m, the vehicle has 2 m there".into())
    );
}

#[test]
fn numbers_are_filled_in_exactly_and_refused_with_the_reason() {
    let state = eight();
    let one = [head("front-left-1")];
    let state = put(&state, &one, "x_m", How::Number, "1,25");
    let state = put(&state, &one, "facing_deg", How::Number, "-12.5");
    assert_eq!(place(&state, "front-left-1").0, 1250);
    refused(
        &state,
        &one,
        "x_m",
        How::Number,
        "far",
        "a number wanted, such as 0.5",
    );
    refused(
        &state,
        &one,
        "x_m",
        How::Number,
        "0.0001",
        "a number with at most 3 decimals wanted, not 0.0001",
    );
    refused(
        &state,
        &one,
        "x_m",
        How::Number,
        "123",
        "-100 m to 100 m wanted, not 123",
    );
    refused(
        &state,
        &one,
        "x_m",
        How::Number,
        "",
        "this has to be filled in",
    );
    assert_eq!(state.history().undo_label(), Some("Set up"));
}

#[test]
fn assumed_values_show_as_hints_until_something_is_entered() {
    let state = heads(&eight().apply(Action::AddPattern), HeadsChange::Play);
    let state = state.apply(Action::InsertPulse {
        lane: 0,
        at: Micros::ZERO,
    });
    let one = [head("front-left-1")];
    let hint =
        |state: &EditorState| match row(state, &one, "emitters/0/peak_cd", How::Number).control {
            Control::Entry { value, hint, .. } => (value, hint),
            other => panic!("{other:?}"),
        };
    assert_eq!(hint(&state), (String::new(), "1153, assumed".into()));
    let n_assumed = state.results().facts.electrical.n_assumed;
    let state = put(
        &state,
        &one,
        "emitters/0/full_current_a",
        How::Number,
        "0.8",
    );
    assert_eq!(state.results().facts.electrical.n_assumed, n_assumed - 1);
    let state = put(&state, &one, "emitters/0/full_current_a", How::Number, "");
    assert_eq!(state.results().facts.electrical.n_assumed, n_assumed);
}

#[test]
fn emitters_beams_and_dimming_change_shape() {
    let state = eight();
    let one = [head("front-left-1")];
    let state = put(&state, &one, "emitters", How::Add, r#"{"color": "red"}"#);
    refused(
        &state,
        &one,
        "emitters/1/color",
        How::Text,
        "amber",
        "a color only once per head wanted, not amber again",
    );
    let state = put(
        &state,
        &one,
        "emitters/1/dimming",
        How::Json,
        r#"{"carrier_hz": 200}"#,
    );
    let state = put(
        &state,
        &one,
        "emitters/1/dimming/carrier_hz",
        How::Number,
        "150",
    );
    let state = put(
        &state,
        &one,
        "beam",
        How::Json,
        r#"{"half_peak": {"horizontal_deg": 20, "vertical_deg": 5}}"#,
    );
    let state = put(
        &state,
        &one,
        "beam/half_peak/vertical_deg",
        How::Number,
        "7.5",
    );
    let state = put(&state, &one, "emitters/0", How::Remove, "");
    refused(
        &state,
        &one,
        "emitters/0",
        How::Remove,
        "",
        "at least one emitter wanted, not none",
    );
    let Some(Item::Head(head)) = state.program().item(&one[0]) else {
        panic!("the head is gone");
    };
    assert_eq!(head.emitters.len(), 1);
    assert_eq!(head.emitters[0].color, Color::Red);
}

#[test]
fn wiring_from_fuse_to_head_and_a_refusal_to_remove_what_is_used() {
    let mut state = eight();
    for kind in [ThingKind::Fuse, ThingKind::Output, ThingKind::Clock] {
        let (_, change, _) = add(&state, kind, None).unwrap();
        state = edit(&state, change);
    }
    let output = [ThingKind::Output.id("output-1").unwrap()];
    let fuse = ThingKind::Fuse.id("fuse-1").unwrap();
    state = put(&state, &output, "fuse", How::Text, "fuse-1");
    state = put(
        &state,
        &output,
        "wire",
        How::Json,
        r#"{"area_mm2": 1.5, "length_m": 4, "return": "wire"}"#,
    );
    let gauge = row(&state, &output, "wire", row_one_of(&state, &output, "wire")).how;
    state = put(&state, &output, "wire", gauge, r#"{"gauge_awg": 16}"#);
    let has =
        |state: &EditorState, path: &str| form(state, &output).iter().any(|row| row.path == path);
    assert!(has(&state, "wire/gauge_awg") && !has(&state, "wire/area_mm2"));
    assert!(!has(&state, "wire/return/chassis_mohm"));
    state = put(&state, &output, "wire/gauge_awg", How::Number, "14");
    state = put(
        &state,
        &output,
        "wire/return",
        How::Json,
        r#"{"chassis_mohm": 5}"#,
    );
    let one = [head("rear-left-1")];
    state = put(&state, &one, "emitters/0/output", How::Text, "output-1");
    assert_eq!(
        remove(state.program(), &[fuse]),
        Err("output Output 1, rating assumed still refers to it, change that first".into())
    );
    assert_eq!(
        remove(state.program(), &output),
        Err("head Rear left 1 still refers to it, change that first".into())
    );
    refused(
        &state,
        &output,
        "rating_a",
        How::Number,
        "0",
        "more than 0 A wanted, not 0",
    );
}

#[test]
fn each_emitter_gets_an_output_of_its_own_once() {
    let state = eight();
    let first = [head("front-left-1")];
    let state = put(&state, &first, "emitters", How::Add, r#"{"color": "red"}"#);
    let state = heads(&state, HeadsChange::Wire);
    let vehicle = &state.program().vehicle;
    assert_eq!(vehicle.outputs.len(), 9);
    assert_eq!(vehicle.outputs[1].label, "Front left 1 red, rating assumed");
    let emitters = vehicle.heads.iter().flat_map(|head| &head.emitters);
    let mut used: Vec<_> = emitters
        .map(|emitter| emitter.output.clone().unwrap())
        .collect();
    used.sort();
    used.dedup();
    assert_eq!(used.len(), 9);
    let again = state.apply(Action::Heads(HeadsChange::Wire));
    assert_eq!(again.message().kind, MessageKind::Refused);
}

#[track_caller]
fn row_one_of(state: &EditorState, ids: &[ItemId], path: &str) -> How {
    form(state, ids)
        .iter()
        .find(|row| row.path == path && matches!(row.how, How::OneOf(_)))
        .unwrap()
        .how
}

#[test]
fn logic_from_signals_to_situations() {
    let mut state = eight();
    let (_, change, id) = add(&state, ThingKind::Signal, None).unwrap();
    state = edit(&state, change);
    let signal = [id.unwrap()];
    state = put(
        &state,
        &signal,
        "values",
        How::Words,
        "drive, park, reverse",
    );
    // The value at rest went with the old values.
    assert_eq!(signal[0].to_string(), "signal signal-1");
    let (_, change, id) = add(&state, ThingKind::Layer, None).unwrap();
    state = edit(&state, change);
    let layer = [id.unwrap()];
    state = put(&state, &layer, "when/0/signal-1", How::Member, "park");
    state = put(&state, &layer, "when", How::Add, "{}");
    state = put(&state, &layer, "when/1/signal-1", How::Member, "reverse");
    state = put(&state, &layer, "", How::Act, "hold");
    state = put(&state, &layer, "hold/color", How::Text, "amber");
    state = put(&state, &layer, "hold/level", How::Percent, "12.5");
    state = put(
        &state,
        &layer,
        "hold/heads",
        How::Member,
        "head:rear-left-1",
    );
    let lit = |state: &EditorState| {
        let results = state.results();
        let lit = results.drive.heads.iter().filter(|head| {
            head.emitters
                .iter()
                .any(|emitter| emitter.level.maximum() == 125)
        });
        lit.count()
    };
    assert_eq!(lit(&state), 0);
    let park = state.apply(Action::SetSignal(
        "signal-1".parse().unwrap(),
        "park".parse().unwrap(),
    ));
    // Eight heads were selected when the layer was added, and one was taken out.
    assert_eq!(lit(&park), 7);
    let (_, change, id) = add(&park, ThingKind::Situation, None).unwrap();
    let state = edit(&park, change);
    assert_eq!(state.current_situation().unwrap().as_str(), "situation-1");
    let state = put(&state, &[id.unwrap()], "label", How::Text, "Parked");
    assert_eq!(
        remove(state.program(), &signal),
        Err("layer Layer 1, situation Parked still refer to it, change that first".into())
    );
}

#[test]
fn controls_get_the_positions_they_need() {
    let mut state = eight();
    for kind in [ThingKind::Signal, ThingKind::Control] {
        let (_, change, _) = add(&state, kind, None).unwrap();
        state = edit(&state, change);
    }
    let control = [ThingKind::Control.id("control-1").unwrap()];
    state = put(
        &state,
        &control,
        "positions/1/sets/signal-1",
        How::Text,
        "on",
    );
    for (style, n_positions) in [("button", 1), ("slide", 2), ("held", 2)] {
        state = put(&state, &control, "style", How::Style, style);
        assert_eq!(state.program().controls[0].positions.len(), n_positions);
    }
    refused(
        &state,
        &control,
        "positions",
        How::Add,
        r#"{"label": "3", "sets": {}}"#,
        "2 positions wanted, not 3",
    );
}

#[test]
fn a_layer_plays_another_pattern_on_the_same_heads() {
    let state = eight().apply(Action::AddPattern);
    let state = heads(&state, HeadsChange::Play);
    let state = state.apply(Action::AddPattern);
    let layer = [ThingKind::Layer.id("play-1").unwrap()];
    let state = put(&state, &layer, "play/pattern", How::Pattern, "pattern-2");
    let LayerAction::Play { bindings, .. } = &state.program().layers[0].action else {
        panic!("a layer that plays is wanted");
    };
    let shares: Vec<usize> = bindings.iter().map(|binding| binding.heads.len()).collect();
    assert_eq!(shares, [4, 4]);
    let state = put(&state, &layer, "", How::Act, "dark");
    assert!(
        matches!(&state.program().layers[0].action, LayerAction::Dark { heads } if heads.len() == 8)
    );
}

#[test]
fn things_are_copied_moved_and_removed() {
    let state = eight();
    let (label, change, copy) = duplicate(&state, &head("front-left-1")).unwrap();
    assert_eq!(label, "Duplicate Front left 1");
    let state = edit(&state, change);
    assert_eq!(copy, Some(head("front-left-3")));
    assert_eq!(
        place(&state, "front-left-3").1,
        place(&state, "front-left-1").1 - 200
    );
    let order = |state: &EditorState| state.program().position(&head("front-left-3"));
    assert_eq!(order(&state), Some(1));
    let (_, change, _) = shift(state.program(), &head("front-left-3"), false).unwrap();
    let state = edit(&state, change);
    assert_eq!(order(&state), Some(0));
    assert!(shift(state.program(), &head("front-left-3"), false).is_err());
    let (_, change, next) = remove(state.program(), &[head("front-left-3")]).unwrap();
    assert_eq!(order(&edit(&state, change)), None);
    assert_eq!(next, Some(head("front-left-1")));
    let last = [head("rear-right-1"), head("rear-right-2")];
    let (label, _, next) = remove(state.program(), &last).unwrap();
    assert_eq!(label, "Remove 2 heads");
    assert_eq!(next, Some(head("rear-left-2")));
}

#[test]
fn a_head_is_taken_out_of_what_refers_to_it_but_not_out_of_promises() {
    let state = heads(&eight().apply(Action::AddPattern), HeadsChange::Play);
    let one = [head("rear-left-2")];
    assert_eq!(
        remove(state.program(), &one),
        Err("layer New pattern still refers to it, change that first".into())
    );
    let (_, change, _) = remove_heads_everywhere(state.program(), &one).unwrap();
    let after = edit(&state, change);
    assert_eq!(after.program().vehicle.heads.len(), 7);
    assert_eq!(after.program().layers[0].action.targets().count(), 7);
    assert_eq!(**after.apply(Action::Undo).program(), **state.program());

    let promise = Guarantee {
        id: "promise".parse().unwrap(),
        label: "Dark in the wash".into(),
        when: Condition::always(),
        heads: vec![Target::Head(HeadId::new("rear-left-2").unwrap())],
        must: Must::BeDark,
    };
    let state = edit(&state, Edit::Put(Item::Guarantee(promise)));
    assert_eq!(
        remove_heads_everywhere(state.program(), &one),
        Err(r#"guarantee Dark in the wash: the id of a head wanted, not "rear-left-2""#.into())
    );
}

#[test]
fn the_vehicle_as_a_whole_is_filled_in() {
    let state = eight();
    let state = put(&state, &[], "vehicle/outline/length_m", How::Number, "6.8");
    let state = put(&state, &[], "name", How::Text, "Escort car");
    let state = put(
        &state,
        &[],
        "vehicle/supply/battery",
        How::Json,
        r#"{"amp_hours": 80}"#,
    );
    let state = put(
        &state,
        &[],
        "vehicle/supply/battery/amp_hours",
        How::Number,
        "95",
    );
    assert_eq!(state.program().vehicle.outline.length.0, 6800);
    assert_eq!(state.program().name, "Escort car");
    assert_eq!(state.program().vehicle.heads.len(), 8);
    refused(
        &state,
        &[],
        "vehicle/supply/test_voltage_v",
        How::Number,
        "0.5",
        "1 V to 100 V wanted, not 0.5 V",
    );
}

#[test]
fn a_vehicle_is_taken_into_a_new_program_without_the_work_on_it() {
    let program = van().program().clone();
    let copy = with_vehicle_of(&program);
    assert_eq!(copy.vehicle, program.vehicle);
    assert_eq!(copy.signals, program.signals);
    assert_eq!(copy.situations, program.situations);
    assert!(copy.patterns.is_empty() && copy.layers.is_empty() && copy.waivers.is_empty());
    assert_ne!(copy.name, program.name);
}

#[test]
fn every_form_of_the_demo_can_be_filled_in_with_what_it_shows() {
    let state = van();
    let mut n_rows = 0;
    for kind in ThingKind::ALL {
        for (id, _) in labels(state.program(), *kind) {
            let ids = [kind.id(&id).unwrap()];
            for row in form(&state, &ids) {
                let shown = match &row.control {
                    Control::Entry { value, .. } => value.clone(),
                    Control::Choice(options) => {
                        let now: Vec<_> = options.iter().filter(|option| option.is_on).collect();
                        assert_eq!(now.len(), 1, "{id} {row:?}");
                        // Shapes that are there already would take their first values again.
                        if !matches!(row.how, How::Text | How::Style) {
                            continue;
                        }
                        now[0].value.clone()
                    }
                    Control::Check(is_on) => if *is_on { "true" } else { "" }.to_owned(),
                    _ => continue,
                };
                n_rows += 1;
                let same = fill(&state, &ids, &row.path, row.how, &shown)
                    .unwrap_or_else(|refusal| panic!("{id} {row:?}: {refusal}"));
                let after = state.program().apply(&same).unwrap();
                assert_eq!(after, **state.program(), "{id} {row:?}");
            }
        }
    }
    assert!(n_rows > 100, "{n_rows} rows were tried");
}
