//! Counts of states against numbers worked out by hand from the sizes of the signals: products, complements and inclusion with exclusion, as any textbook of combinatorics has them.

#![cfg(not(target_arch = "wasm32"))]
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may stop at the first surprise"
)]

use lampwright_analysis::MeasureSettings;
use lampwright_analysis::states::{LayerUse, Proof, States, TooManyStates, Use, prove};
use lampwright_model::{Alternative, Condition, Guarantee, Layer, Program, Signal, SignalKind};
use lampwright_tests::large::states_program;

#[track_caller]
fn found<'a>(states: &'a States, layer: &str) -> &'a Use {
    let known: &LayerUse = states
        .layers
        .iter()
        .chain(&states.dims)
        .find(|known| known.layer.as_str() == layer)
        .unwrap();
    &known.found
}

#[track_caller]
fn acts(states: &States, layer: &str, holding: u128, acting: u128) {
    let Use::Acts {
        n_holding,
        n_acting,
        ..
    } = found(states, layer)
    else {
        panic!("{layer}: {:?}", found(states, layer));
    };
    assert_eq!((*n_holding, *n_acting), (holding, acting), "{layer}");
}

/// Five signals of three values, and doors and switches of two: 3^5 · 2^15.
const ALL: u128 = 7_962_624;

#[test]
fn millions_of_states_are_counted_as_by_hand() {
    let states = States::of(&states_program()).unwrap();
    assert_eq!(states.n_all, ALL);
    // Shore power goes neither with reverse, a third, nor with the key, a half: 1/2 · (1 - 2/3 · 1/2) is impossible.
    assert_eq!(states.n_possible, ALL * 2 / 3);
    let on_shore = ALL / 2 * 2 / 3 / 2;
    acts(&states, "on-shore-power", on_shore, on_shore);
    // Any of eight doors is open in all but one of 2^8 of their states; it is seen without shore power.
    acts(
        &states,
        "sides-white-at-a-door",
        ALL * 2 / 3 * 255 / 256,
        ALL / 2 * 255 / 256,
    );
    // Pump and brake, or ladder, stabilizer and brake: 1/4 + 1/8 - 1/16 of the states.
    acts(
        &states,
        "tail-white-at-work",
        ALL * 2 / 3 * 5 / 16,
        ALL / 2 * 5 / 16,
    );
    assert!(states.idle_signals.is_empty() && states.dark_heads.is_empty());
}

#[test]
fn a_guarantee_over_millions_of_states_is_proven_or_refuted_with_one() {
    let program = states_program();
    let states = States::of(&program).unwrap();
    let settings = MeasureSettings::default();
    let promise = &program.guarantees[0];
    assert_eq!(
        prove(&program, &states, promise, &settings),
        Proof::Proven { n_states: ALL / 6 }
    );
    // What is promised of shore power is not so of the pump, unless shore power is on as well.
    let pump: Alternative =
        Alternative(vec![("pump".parse().unwrap(), vec!["on".parse().unwrap()])]);
    let other = Guarantee {
        when: Condition(vec![pump]),
        ..promise.clone()
    };
    let Proof::Refuted {
        n_states,
        state,
        why,
    } = prove(&program, &states, &other, &settings)
    else {
        panic!("a pump alone darkens nothing");
    };
    // Half of the states without shore power, less those in which nothing is lit.
    assert!(n_states > 0 && n_states <= ALL / 4, "{n_states}");
    assert_eq!(state.describe(&program), "pump on, rest default");
    assert!(why.contains("are lit"), "{why}");
}

/// The program with further signals that stand in no condition.
fn with_signals(program: &Program, n: usize, n_values: usize) -> Program {
    let mut parts = program.to_parts();
    parts.signals.extend((0..n).map(|index| {
        Signal {
            id: format!("spare-{index}").parse().unwrap(),
            label: String::new(),
            kind: SignalKind::Switch,
            values: (0..n_values)
                .map(|value| format!("value-{value}").parse().unwrap())
                .collect(),
            default: 0,
            on_lost: 0,
        }
    }));
    let (program, problems) = Program::admit(parts);
    assert!(problems.is_empty(), "{problems:?}");
    program
}

#[test]
fn signals_in_no_condition_double_the_states_and_change_nothing() {
    let program = states_program();
    let few = States::of(&program).unwrap();
    let many = States::of(&with_signals(&program, 44, 2)).unwrap();
    assert_eq!(many.n_possible, few.n_possible << 44);
    assert_eq!(many.n_drives(), few.n_drives());
    assert_eq!(many.idle_signals.len(), 44);
    let by_drive = |states: &States, program: &Program| -> Vec<u128> {
        states
            .drives(program)
            .map(|(_, n_states)| n_states)
            .collect()
    };
    let few_by_drive = by_drive(&few, &program);
    let expected: Vec<u128> = few_by_drive.iter().map(|n_states| n_states << 44).collect();
    assert_eq!(by_drive(&many, &with_signals(&program, 44, 2)), expected);
    assert_eq!(few_by_drive.iter().sum::<u128>(), few.n_possible);
}

#[test]
fn more_combinations_than_can_be_counted_are_refused_and_never_given_as_a_number() {
    // 44 signals of 64 values: 2^264 combinations.
    let program = with_signals(&states_program(), 44, 64);
    assert_eq!(States::of(&program), Err(TooManyStates::Uncountable));
}

#[test]
fn too_many_ways_that_depend_on_each_other_are_refused_by_their_signals() {
    // 22 layers, each by a pair of signals of its own on one and the same head: nothing of the 2^22 ways is alike.
    let mut parts = with_signals(&Program::default(), 44, 2).to_parts();
    let program = states_program();
    parts.vehicle = program.vehicle.clone();
    let dark = &program.layers[0];
    parts.layers = (0..22)
        .map(|index| Layer {
            id: format!("layer-{index}").parse().unwrap(),
            when: Condition(vec![Alternative(
                [2 * index, 2 * index + 1]
                    .map(|signal| {
                        (
                            format!("spare-{signal}").parse().unwrap(),
                            vec!["value-1".parse().unwrap()],
                        )
                    })
                    .to_vec(),
            )]),
            ..dark.clone()
        })
        .collect();
    let (program, problems) = Program::admit(parts);
    assert!(problems.is_empty(), "{problems:?}");
    let Err(TooManyStates::Joined { signals }) = States::of(&program) else {
        panic!("2^22 ways are more than are kept apart");
    };
    assert_eq!(signals.len(), 44);
}

#[test]
fn a_layer_under_one_that_always_decides_never_acts() {
    let program = states_program();
    let mut parts = program.to_parts();
    let last = parts.layers.last().unwrap().clone();
    parts.layers.push(Layer {
        id: "grille-again".parse().unwrap(),
        ..last
    });
    let never = Alternative(vec![
        ("shore-power".parse().unwrap(), vec!["on".parse().unwrap()]),
        ("key".parse().unwrap(), vec!["on".parse().unwrap()]),
    ]);
    let mut impossible = parts.layers[0].clone();
    impossible.id = "cannot-be".parse().unwrap();
    impossible.when.0 = vec![never];
    parts.layers.insert(0, impossible);
    let (program, problems) = Program::admit(parts);
    assert!(problems.is_empty(), "{problems:?}");
    let states = States::of(&program).unwrap();
    assert_eq!(*found(&states, "cannot-be"), Use::NeverHolds);
    let Use::NeverActs { n_holding, state } = found(&states, "grille-again") else {
        panic!("{:?}", found(&states, "grille-again"));
    };
    assert_eq!(*n_holding, ALL * 2 / 3);
    assert_eq!(state.describe(&program), "all signals at default");
}

#[test]
fn what_cannot_be_at_all_leaves_no_state() {
    let mut parts = states_program().to_parts();
    parts.impossible.push(Alternative::default());
    let (program, problems) = Program::admit(parts);
    assert!(problems.is_empty(), "{problems:?}");
    let states = States::of(&program).unwrap();
    assert_eq!((states.n_all, states.n_possible), (ALL, 0));
    assert_eq!(states.drives(&program).count(), 0);
    assert_eq!(*found(&states, "on-shore-power"), Use::NeverHolds);
}
