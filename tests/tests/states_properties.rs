//! Properties of counting states: what is said of all states without listing them is what listing them one by one gives.

#![cfg(not(target_arch = "wasm32"))]

use lampwright_analysis::light::DirectionTable;
use lampwright_analysis::report::{FoundIn, Report};
use lampwright_analysis::rules::CheckSettings;
use lampwright_analysis::states::{Inquiry, OverStates, Progress, Proof, States, Use, prove};
use lampwright_analysis::{MeasureSettings, check_state};
use lampwright_model::{
    Decision, Drive, HeadId, ItemId, LayerId, Place, Program, RuleCode, SignalId, State,
    head_under, resolve,
};
use lampwright_tests::generate;
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// Every possible state with its drive.
fn listed(program: &Program) -> Vec<(State, Drive)> {
    let mut states = vec![State::default_of(program)];
    for signal in &program.signals {
        states = states
            .iter()
            .flat_map(|state| {
                signal
                    .values
                    .iter()
                    .map(|value| state.with(program, &signal.id, value))
            })
            .collect();
    }
    let is_possible = |state: &State| {
        !program
            .impossible
            .iter()
            .any(|alternative| state.meets_alternative(program, alternative))
    };
    states
        .into_iter()
        .filter(is_possible)
        .map(|state| (state.clone(), resolve(program, &state)))
        .collect()
}

/// What decides and scales each head, as text that can be compared.
fn key(drive: &Drive) -> Vec<String> {
    drive
        .heads
        .iter()
        .map(|head| format!("{:?} {:?}", head.decided_by, head.dims))
        .collect()
}

fn n_away(program: &Program, state: &State) -> usize {
    state.differences(program).len()
}

/// Number of states, and fewest signals away from the defaults, by something.
type Tally<K> = BTreeMap<K, (u128, usize)>;

fn add<K: Ord>(tally: &mut Tally<K>, key: K, program: &Program, state: &State) {
    let (n_states, fewest) = tally.entry(key).or_insert((0, usize::MAX));
    *n_states += 1;
    *fewest = (*fewest).min(n_away(program, state));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn drives_are_those_of_the_listed_states(program in generate::program()) {
        let states = States::of(&program).unwrap();
        let listed = listed(&program);
        let n_all: u128 = program.signals.iter().map(|signal| signal.values.len() as u128).product();
        prop_assert_eq!(states.n_all, n_all);
        prop_assert_eq!(states.n_possible, listed.len() as u128);
        let mut expected = Tally::new();
        for (state, drive) in &listed {
            add(&mut expected, key(drive), &program, state);
        }
        prop_assert_eq!(states.n_drives(), expected.len() as u128);
        let mut found = Tally::new();
        for (state, n_states) in states.drives(&program) {
            let before = found.insert(key(&resolve(&program, &state)), (n_states, n_away(&program, &state)));
            prop_assert_eq!(before, None);
        }
        prop_assert_eq!(found, expected);
    }

    #[test]
    fn layers_act_where_the_listed_states_say(program in generate::program()) {
        let states = States::of(&program).unwrap();
        let (mut holding, mut acting) = (Tally::<LayerId>::new(), Tally::<LayerId>::new());
        let mut orders = Tally::<(LayerId, LayerId)>::new();
        let mut lit = BTreeSet::<HeadId>::new();
        for (state, drive) in listed(&program) {
            let whens = program.layers.iter().map(|layer| (&layer.id, &layer.when));
            let whens = whens.chain(program.dims.iter().map(|dim| (&dim.id, &dim.when)));
            for (id, when) in whens {
                if !state.meets(&program, when) {
                    continue;
                }
                add(&mut holding, id.clone(), &program, &state);
                let acts = drive.heads.iter().any(|head| {
                    head.decided_by == Decision::Layer(id.clone()) || head.dims.contains(id)
                });
                if acts {
                    add(&mut acting, id.clone(), &program, &state);
                }
            }
            let mut pairs = BTreeSet::new();
            for (head, drive) in program.vehicle.heads.iter().zip(&drive.heads) {
                let Decision::Layer(above) = &drive.decided_by else { continue };
                let light = |id: &LayerId| {
                    let layer = program.layers.iter().find(|layer| layer.id == *id).unwrap();
                    head_under(&program, layer, head).emitters
                };
                for below in &drive.hidden {
                    if light(above) != light(below) {
                        pairs.insert((above.clone(), below.clone()));
                    }
                }
            }
            for pair in pairs {
                add(&mut orders, pair, &program, &state);
            }
            lit.extend(drive.heads.iter().filter(|head| head.is_lit()).map(|head| head.head.clone()));
        }
        for layer in states.layers.iter().chain(&states.dims) {
            let held = holding.get(&layer.layer).map(|(n_states, _)| *n_states);
            let acted = acting.get(&layer.layer).copied();
            match &layer.found {
                Use::NeverHolds => prop_assert_eq!((held, acted), (None, None)),
                Use::NeverActs { n_holding, state } => {
                    prop_assert_eq!((held, acted), (Some(*n_holding), None));
                    let when = program.layers.iter().find(|known| known.id == layer.layer).map(|known| &known.when)
                        .or_else(|| program.dims.iter().find(|known| known.id == layer.layer).map(|known| &known.when));
                    prop_assert!(state.meets(&program, when.unwrap()));
                }
                Use::Acts { n_holding, n_acting, state } => {
                    prop_assert_eq!(held, Some(*n_holding));
                    prop_assert_eq!(acted, Some((*n_acting, n_away(&program, state))));
                }
            }
        }
        let found: Tally<_> = states
            .orders
            .iter()
            .map(|order| ((order.above.clone(), order.below.clone()), (order.n_states, n_away(&program, &order.state))))
            .collect();
        prop_assert_eq!(found, orders);
        let dark: Vec<HeadId> = program.vehicle.heads.iter().map(|head| head.id.clone()).filter(|id| !lit.contains(id)).collect();
        prop_assert_eq!(&states.dark_heads, &dark);
    }

    #[test]
    fn idle_signals_change_nothing_between_listed_states(program in generate::program()) {
        let states = States::of(&program).unwrap();
        let listed = listed(&program);
        let mut active = BTreeSet::<SignalId>::new();
        for (one, drive) in &listed {
            for (other, other_drive) in &listed {
                let differing: Vec<usize> = (0..program.signals.len())
                    .filter(|index| one.indices()[*index] != other.indices()[*index])
                    .collect();
                if let [only] = differing[..] && key(drive) != key(other_drive) {
                    active.insert(program.signals[only].id.clone());
                }
            }
        }
        let idle: Vec<SignalId> = program.signals.iter().map(|signal| signal.id.clone()).filter(|id| !active.contains(id)).collect();
        prop_assert_eq!(states.idle_signals, idle);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn neither_steps_nor_the_order_of_drives_change_what_is_found(program in generate::program()) {
        let states = States::of(&program).unwrap();
        let settings = CheckSettings::default();
        let table = DirectionTable::new(&program.vehicle, settings.light);
        let judged: Vec<(State, u128, Report)> = states
            .drives(&program)
            .map(|(state, n_states)| {
                let (_, report) = check_state(&program, FoundIn::State(state.clone()), &state, &table, &settings);
                (state, n_states, report)
            })
            .collect();
        let together = |judged: &mut dyn Iterator<Item = &(State, u128, Report)>| {
            let mut over = OverStates::default();
            for (state, n_states, report) in judged {
                over.add(&program, state, *n_states, report.clone());
            }
            over.sorted()
        };
        let over = together(&mut judged.iter());
        let mut inquiry = Inquiry::new(&program, settings);
        prop_assert_eq!(inquiry.progress(&program), Progress::Counting);
        while inquiry.step(&program, &table).unwrap() {}
        prop_assert_eq!(inquiry.progress(&program), Progress::Done);
        let answers = inquiry.answers().unwrap();
        prop_assert_eq!(&answers.states, &states);
        let proofs: Vec<Proof> = program
            .guarantees
            .iter()
            .map(|guarantee| prove(&program, &states, guarantee, &settings.measure))
            .collect();
        prop_assert_eq!(&answers.proofs, &proofs);
        prop_assert_eq!(&answers.judged.clone().sorted(), &over);
        prop_assert_eq!(&over, &together(&mut judged.iter().rev()));
        prop_assert_eq!(over.n_states, states.n_possible);
        let worst = judged.iter().flat_map(|(_, _, report)| &report.findings).map(|finding| finding.severity).max();
        prop_assert_eq!(over.findings.iter().map(|found| found.finding.severity).max(), worst);
        for found in &over.findings {
            prop_assert!((1..=states.n_possible).contains(&found.n_states));
        }
    }

    #[test]
    fn guarantees_are_proven_where_no_listed_state_breaks_them(program in generate::program()) {
        let states = States::of(&program).unwrap();
        let settings = CheckSettings::default();
        let table = DirectionTable::new(&program.vehicle, settings.light);
        let broken_in: Vec<(State, Vec<Place>)> = listed(&program)
            .into_iter()
            .map(|(state, _)| {
                let (_, report) = check_state(&program, FoundIn::State(state.clone()), &state, &table, &settings);
                let broken = report.findings.iter().filter(|finding| finding.code == RuleCode(41));
                let places = broken.map(|finding| finding.place.clone()).collect();
                (state, places)
            })
            .collect();
        for guarantee in &program.guarantees {
            let speaks: Vec<_> = broken_in.iter().filter(|(state, _)| state.meets(&program, &guarantee.when)).collect();
            let place = Place::Item(ItemId::Guarantee(guarantee.id.clone()));
            let broken: Vec<_> = speaks.iter().filter(|(_, places)| places.contains(&place)).collect();
            match prove(&program, &states, guarantee, &MeasureSettings::default()) {
                Proof::Proven { n_states } => {
                    prop_assert!(broken.is_empty());
                    prop_assert_eq!(n_states, speaks.len() as u128);
                }
                Proof::SpeaksOfNone => prop_assert!(speaks.is_empty()),
                Proof::Refuted { n_states, state, why } => {
                    prop_assert!(!why.is_empty());
                    prop_assert_eq!(n_states, broken.len() as u128);
                    let fewest = broken.iter().map(|(state, _)| n_away(&program, state)).min();
                    prop_assert_eq!(fewest, Some(n_away(&program, &state)));
                    prop_assert!(broken.iter().any(|(known, _)| *known == state));
                }
                Proof::Open { .. } => prop_assert!(false, "few states are never too many"),
            }
        }
    }
}
