//! All states of a program as text and JSON: how many there are, what decides in them, what is proven and what is found.

use crate::report::finding_text;
use crate::words::counted;
use lampwright_analysis::report::WorstDirection;
use lampwright_analysis::screening::cautions;
use lampwright_analysis::states::{FoundOver, LayerUse, OverStates, Proof, States, Use};
use lampwright_model::{Guarantee, Program, State};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// What is known of all states of one program.
#[derive(Clone, Debug)]
pub struct AllStates<'a> {
    /// The program.
    pub program: &'a Program,
    /// Its states.
    pub states: &'a States,
    /// Its guarantees, in order, with what became of each.
    pub proofs: &'a [(&'a Guarantee, Proof)],
    /// What the rules say of every distinct drive, or why they were not asked.
    pub judged: Result<&'a OverStates, String>,
}

/// Most distinct drives that are written of one part, unless all are asked for.
const MOST_DRIVES: usize = 12;

/// The whole as text; `is_long` writes every distinct drive.
#[must_use]
pub fn text(all: &AllStates<'_>, is_long: bool) -> String {
    let mut out = String::new();
    push_numbers(&mut out, all, is_long);
    push_layers(&mut out, all);
    push_guarantees(&mut out, all);
    push_judged(&mut out, all);
    out
}

fn push_numbers(out: &mut String, all: &AllStates<'_>, is_long: bool) {
    let AllStates {
        program, states, ..
    } = all;
    let _ = writeln!(
        out,
        "states: {} of {} combinations of {} are possible",
        states.n_possible,
        states.n_all,
        counted(program.signals.len(), "signal")
    );
    let _ = writeln!(
        out,
        "distinct drives: {}, by what decides and scales each head",
        states.n_drives()
    );
    for part in &states.parts {
        if part.drives.len() < 2 {
            continue;
        }
        let signals: Vec<&str> = part
            .signals
            .iter()
            .filter_map(|index| program.signals.get(*index))
            .map(|signal| signal.id.as_str())
            .collect();
        let _ = writeln!(
            out,
            "  {} of {} by {}",
            counted(part.drives.len(), "drive"),
            counted(part.heads.len(), "head"),
            signals.join(", ")
        );
        let most = if is_long { usize::MAX } else { MOST_DRIVES };
        for drive in part.drives.iter().take(most) {
            let state = part.put(program, &State::default_of(program), &drive.values);
            let _ = writeln!(
                out,
                "    {} ({})",
                state.describe(program),
                of_states(drive.n_states)
            );
        }
        if part.drives.len() > most {
            let _ = writeln!(
                out,
                "    and {} more, written with --all",
                part.drives.len() - most
            );
        }
    }
}

fn push_layers(out: &mut String, all: &AllStates<'_>) {
    let AllStates {
        program, states, ..
    } = all;
    for (what, uses) in [("layer", &states.layers), ("dim layer", &states.dims)] {
        for LayerUse { layer, found } in uses {
            let _ = match found {
                Use::NeverHolds => {
                    writeln!(out, "{what} {layer}: never holds in any possible state")
                }
                Use::NeverActs { n_holding, state } => writeln!(
                    out,
                    "{what} {layer}: holds in {} but never acts, first: {}",
                    of_states(*n_holding),
                    state.describe(program)
                ),
                Use::Acts {
                    n_holding,
                    n_acting,
                    state,
                } => writeln!(
                    out,
                    "{what} {layer}: acts in {n_acting} of the {} in which it holds, first: {}",
                    of_states(*n_holding),
                    state.describe(program)
                ),
            };
        }
    }
    for order in &states.orders {
        let _ = writeln!(
            out,
            "order: {} stands above {} and decides otherwise in {}, first: {}",
            order.above,
            order.below,
            of_states(order.n_states),
            order.state.describe(program)
        );
    }
    let mut list = |what: &str, names: Vec<&str>| {
        let names = if names.is_empty() {
            "none".to_owned()
        } else {
            names.join(", ")
        };
        let _ = writeln!(out, "{what}: {names}");
    };
    let signals = states.idle_signals.iter().map(|signal| signal.as_str());
    list("signals that change nothing", signals.collect());
    let heads = states.dark_heads.iter().map(|head| head.as_str());
    list("heads that are never lit", heads.collect());
}

fn push_guarantees(out: &mut String, all: &AllStates<'_>) {
    for (guarantee, proof) in all.proofs {
        let _ = match proof {
            Proof::Proven { n_states } => writeln!(
                out,
                "guarantee {}: proven in all {} it speaks of",
                guarantee.id,
                of_states(*n_states)
            ),
            Proof::SpeaksOfNone => writeln!(
                out,
                "guarantee {}: speaks of no possible state",
                guarantee.id
            ),
            Proof::Refuted {
                n_states,
                state,
                why,
            } => writeln!(
                out,
                "guarantee {}: refuted in {}; in {}: {why}",
                guarantee.id,
                of_states(*n_states),
                state.describe(all.program)
            ),
            Proof::Open { n_drives: Some(n) } => writeln!(
                out,
                "guarantee {}: not proven, {} differ in what matters to it, which is too many to measure",
                guarantee.id,
                counted(*n, "drive")
            ),
            Proof::Open { n_drives: None } => writeln!(
                out,
                "guarantee {}: not proven, too many combinations of signals bear on it",
                guarantee.id
            ),
        };
    }
}

fn push_judged(out: &mut String, all: &AllStates<'_>) {
    let judged = match &all.judged {
        Ok(judged) => judged,
        Err(why) => {
            let _ = writeln!(out, "rules: not run over all states: {why}");
            return;
        }
    };
    for found in &judged.findings {
        push_found(out, all.program, found);
    }
    match &judged.worst {
        None => out.push_str("screening: nothing is lit in any state\n"),
        Some((worst, state)) => {
            let _ = writeln!(
                out,
                "screening: worst band {} toward {}° in the state {}; {} in the worst second, {} of them red{} (a screen, not a clearance)",
                worst.band.name(),
                worst.azimuth_degrees,
                state.describe(all.program),
                counted_flashes(worst),
                worst.n_red,
                if worst.is_bound {
                    ", a bound over free-running clocks"
                } else {
                    ""
                }
            );
        }
    }
    for (band, n_states) in &judged.bands {
        let _ = writeln!(out, "  band {} in {}", band.name(), of_states(*n_states));
    }
    if judged.n_not_screened > 0 {
        let _ = writeln!(
            out,
            "screening: not done toward some directions in {}",
            of_states(judged.n_not_screened)
        );
    }
    let _ = writeln!(
        out,
        "judged: {} that stand for {}; {}",
        counted(judged.n_drives, "drive"),
        of_states(judged.n_states),
        counted(judged.findings.len(), "finding")
    );
    out.push_str("cautions:\n");
    for caution in cautions::STANDING {
        let _ = writeln!(out, "  - {caution}");
    }
}

fn counted_flashes(worst: &WorstDirection) -> String {
    format!("{} flash{}", worst.n, if worst.n == 1 { "" } else { "es" })
}

fn push_found(out: &mut String, program: &Program, found: &FoundOver) {
    let _ = write!(
        out,
        "in {} ({}): ",
        of_states(found.n_states),
        counted(found.n_drives, "drive")
    );
    out.push_str(&finding_text(program, &found.finding));
}

/// "1 state", "92160 states".
fn of_states(n: u128) -> String {
    format!("{n} state{}", if n == 1 { "" } else { "s" })
}

/// A count, as a number where every reader of JSON keeps it exactly, else as text.
fn number(n: u128) -> Value {
    match u64::try_from(n) {
        Ok(n) if n < 1 << 53 => json!(n),
        _ => json!(n.to_string()),
    }
}

/// The same for machines; counts past 2^53 are texts.
#[must_use]
pub fn json(all: &AllStates<'_>) -> Value {
    let AllStates {
        program, states, ..
    } = all;
    let state = |state: &State| crate::json::state(program, state);
    let uses = |uses: &[LayerUse]| -> Vec<Value> {
        uses.iter()
            .map(|LayerUse { layer, found }| {
                let (n_holding, n_acting, first) = match found {
                    Use::NeverHolds => (0, 0, None),
                    Use::NeverActs { n_holding, state } => (*n_holding, 0, Some(state)),
                    Use::Acts {
                        n_holding,
                        n_acting,
                        state,
                    } => (*n_holding, *n_acting, Some(state)),
                };
                json!({
                    "layer": layer.as_str(),
                    "states_holding": number(n_holding),
                    "states_acting": number(n_acting),
                    "first": first.map(state),
                })
            })
            .collect()
    };
    let parts: Vec<Value> = states
        .parts
        .iter()
        .map(|part| {
            let drives: Vec<Value> = part
                .drives
                .iter()
                .map(|drive| {
                    let first = part.put(program, &State::default_of(program), &drive.values);
                    json!({ "states": number(drive.n_states), "first": state(&first) })
                })
                .collect();
            let ids = part
                .signals
                .iter()
                .filter_map(|index| program.signals.get(*index));
            let heads = part
                .heads
                .iter()
                .filter_map(|index| program.vehicle.heads.get(*index));
            json!({
                "signals": ids.map(|signal| signal.id.as_str()).collect::<Vec<_>>(),
                "heads": heads.map(|head| head.id.as_str()).collect::<Vec<_>>(),
                "drives": drives,
            })
        })
        .collect();
    let proofs: Vec<Value> = all
        .proofs
        .iter()
        .map(|(guarantee, proof)| {
            let id = guarantee.id.as_str();
            match proof {
                Proof::Proven { n_states } => {
                    json!({ "guarantee": id, "result": "proven", "states": number(*n_states) })
                }
                Proof::SpeaksOfNone => {
                    json!({ "guarantee": id, "result": "speaks of no state" })
                }
                Proof::Refuted {
                    n_states,
                    state: first,
                    why,
                } => json!({
                    "guarantee": id,
                    "result": "refuted",
                    "states": number(*n_states),
                    "first": state(first),
                    "why": why,
                }),
                Proof::Open { .. } => json!({ "guarantee": id, "result": "not proven" }),
            }
        })
        .collect();
    let judged = match &all.judged {
        Err(why) => json!({ "not_judged": why }),
        Ok(judged) => json!({
            "drives": judged.n_drives,
            "states": number(judged.n_states),
            "findings": judged.findings.iter().map(|found| json!({
                "states": number(found.n_states),
                "drives": found.n_drives,
                "finding": crate::json::finding(program, &found.finding),
            })).collect::<Vec<_>>(),
            "bands": judged.bands.iter().map(|(band, n_states)| json!({
                "band": band.name(),
                "states": number(*n_states),
            })).collect::<Vec<_>>(),
            "worst": judged.worst.as_ref().map(|(worst, first)| json!({
                "band": worst.band.name(),
                "azimuth_degrees": worst.azimuth_degrees,
                "flashes": worst.n,
                "red_flashes": worst.n_red,
                "is_bound": worst.is_bound,
                "state": state(first),
            })),
            "states_not_screened": number(judged.n_not_screened),
            "cautions": cautions::STANDING,
        }),
    };
    json!({
        "combinations": number(states.n_all),
        "states": number(states.n_possible),
        "distinct_drives": number(states.n_drives()),
        "parts": parts,
        "layers": uses(&states.layers),
        "dim_layers": uses(&states.dims),
        "orders": states.orders.iter().map(|order| json!({
            "above": order.above.as_str(),
            "below": order.below.as_str(),
            "states": number(order.n_states),
            "first": state(&order.state),
        })).collect::<Vec<_>>(),
        "signals_that_change_nothing": states.idle_signals.iter().map(|id| id.as_str()).collect::<Vec<_>>(),
        "heads_never_lit": states.dark_heads.iter().map(|id| id.as_str()).collect::<Vec<_>>(),
        "guarantees": proofs,
        "judged": judged,
    })
}
