//! Resolving a program of layers against the interlock cases.
//!
//! The cases follow a resolution order in eleven steps (common practice and a proposal; no published rule) in which later steps overwrite earlier ones and some act only on what flashes.
//! Here the same order is written as a program whose first layer that holds decides; it has to come to the same, in the listed cases and in any state.
//! Every step could be written so; a step that acts only on what flashes becomes a condition on the signals that let it flash, and what a shed step returns to flash stands above the cut it escapes.
#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use lampwright_formats::read_program;
use lampwright_model::{Decision, Program, State, resolve};
use proptest::prelude::*;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::LazyLock;

const CASES: &str = include_str!("../reference/electrical.json");

/// Every input with its values, the one at rest first.
const INPUTS: [(&str, &[&str]); 19] = [
    ("master", &["1", "0"]),
    ("level", &["0", "1", "2", "3"]),
    ("arrow", &["off", "left", "right"]),
    ("takedown", &["0", "1"]),
    ("alley_l", &["0", "1"]),
    ("alley_r", &["0", "1"]),
    ("cruise", &["0", "1"]),
    ("park", &["0", "1"]),
    ("reverse", &["0", "1"]),
    ("brake", &["0", "1"]),
    ("turn_l", &["0", "1"]),
    ("turn_r", &["0", "1"]),
    ("high_beam", &["0", "1"]),
    ("door_l", &["0", "1"]),
    ("door_r", &["0", "1"]),
    ("liftgate", &["0", "1"]),
    ("night", &["0", "1"]),
    ("shed", &["0", "1", "2", "3"]),
    ("ign_timer_expired", &["0", "1"]),
];

/// Groups whose state is a word, and those that are on or off.
const GROUPS: [&str; 6] = [
    "front",
    "side_l",
    "side_r",
    "rear_l",
    "rear_r",
    "gate_heads",
];
const SWITCHED: [&str; 3] = ["front_white_flash", "headlamp_flash", "rear_scene"];

static PROGRAM: LazyLock<Program> = LazyLock::new(program);

fn program() -> Program {
    let head = |id: &str| {
        json!({"id": id, "label": id, "x_m": 0, "y_m": 0, "z_m": 1, "facing_deg": 0,
            "emitters": [{"color": "amber"}, {"color": "white"}]})
    };
    let pattern = |id: &str| {
        json!({"id": id, "label": id, "period_ms": 1000, "tick_ms": 10,
            "lanes": [{"role": "all", "pulses": [{"start_ms": 0, "length_ms": 500}]}]})
    };
    let file = json!({
        "format": "lampwright-program", "version": 1, "name": "interlocks",
        "vehicle": {"heads": GROUPS.iter().chain(&SWITCHED).map(|id| head(id)).collect::<Vec<_>>()},
        "patterns": Vec::from(["warning", "arrow-left", "arrow-right"].map(pattern)),
        "signals": INPUTS.iter().map(|(id, values)| json!({
            "id": id, "label": id, "kind": "switch", "values": values, "default": values[0]
        })).collect::<Vec<_>>(),
        "layers": layers(),
        "dims": [{"id": "night", "label": "", "when": [{"night": "1", "master": "1", "ign_timer_expired": "0"}],
            "heads": ["all"], "factor": 300, "only": "both"}],
    });
    let outcome = read_program(file.to_string().as_bytes());
    assert_eq!(outcome.problems, []);
    outcome.program.unwrap()
}

/// The layers, the one that decides first on top; names tell which step each comes from.
fn layers() -> Vec<Value> {
    let layer = |id: &str, when: Value, what: &str, action: Value| {
        let mut layer = json!({"id": id, "label": "", "when": when});
        layer[what] = action;
        layer
    };
    let dark = |id: &str, when: Value, head: &str| {
        layer(id, when, "dark", json!({"heads": [format!("head:{head}")]}))
    };
    let play = |id: &str, when: Value, pattern: &str, head: &str| {
        let action = json!({"pattern": pattern, "bindings": [{"lane": "all", "heads": [format!("head:{head}")]}]});
        layer(id, when, "play", action)
    };
    let white = |id: &str, when: Value, head: &str| {
        let action = json!({"heads": [format!("head:{head}")], "color": "white", "level": 1000});
        layer(id, when, "hold", action)
    };
    let low = |id: &str, head: &str| {
        let action = json!({"heads": [format!("head:{head}")], "color": "amber", "level": 200});
        layer(id, json!([{"level": "0", "cruise": "1"}]), "hold", action)
    };
    let off = json!([{"master": "0"}, {"ign_timer_expired": "1"}]);
    let warns = json!(["1", "2", "3"]);
    let surrounds = json!(["2", "3"]);
    let sheds = json!(["1", "2", "3"]);
    let mut layers = vec![layer("1-off", off, "dark", json!({"heads": ["all"]}))];
    layers.extend([
        dark(
            "10-front-shed",
            json!([{"shed": "3", "park": "1"}]),
            "front",
        ),
        white(
            "5-takedown",
            json!([{"takedown": "1", "shed": "0"}]),
            "front",
        ),
        dark(
            "10-takedown-shed",
            json!([{"takedown": "1", "shed": sheds, "level": ["0", "1"]}]),
            "front",
        ),
        play("3-front", json!([{"level": surrounds}]), "warning", "front"),
        low("3-front-low", "front"),
    ]);
    for (side, letter) in [("side_l", "l"), ("side_r", "r")] {
        let (alley, door) = (format!("alley_{letter}"), format!("door_{letter}"));
        let id = |step: &str| format!("{step}-{letter}");
        let shed = |level: &Value| json!([{&alley: "1", "shed": sheds, "level": level}]);
        layers.extend([
            white(&id("5-alley"), json!([{&alley: "1", "shed": "0"}]), side),
            dark(&id("10-alley-shed"), shed(&json!(["0", "1"])), side),
            play(&id("10-alley-back"), shed(&surrounds), "warning", side),
            dark(
                &id("7-door"),
                json!([{&door: "1", "level": surrounds}]),
                side,
            ),
            play(
                &id("3-side"),
                json!([{"level": surrounds}]),
                "warning",
                side,
            ),
            low(&id("3-side-low"), side),
        ]);
    }
    for (rear, letter) in [("rear_l", "l"), ("rear_r", "r")] {
        let turn = format!("turn_{letter}");
        let id = |step: &str| format!("{step}-{letter}");
        let held = json!([{"brake": "1", "level": warns}, {&turn: "1", "level": warns}]);
        layers.extend([
            play(
                &id("4-arrow-left"),
                json!([{"arrow": "left"}]),
                "arrow-left",
                rear,
            ),
            play(
                &id("4-arrow-right"),
                json!([{"arrow": "right"}]),
                "arrow-right",
                rear,
            ),
            dark(&id("9-held-off"), held, rear),
            play(&id("3-rear"), json!([{"level": warns}]), "warning", rear),
            low(&id("3-rear-low"), rear),
        ]);
    }
    let third = json!([{"level": "3", "park": "0", "shed": ["0", "1"]}]);
    let headlamp =
        json!([{"level": "3", "park": "0", "high_beam": "0", "night": "0", "shed": ["0", "1"]}]);
    let scene = json!([{"reverse": "1", "shed": "0"}, {"liftgate": "1", "park": "1", "shed": "0"}]);
    layers.extend([
        dark("6-gate", json!([{"liftgate": "1"}]), "gate_heads"),
        play("3-gate", json!([{"level": warns}]), "warning", "gate_heads"),
        play("3-front-white", third, "warning", "front_white_flash"),
        play("3-headlamp", headlamp, "warning", "headlamp_flash"),
        white("6-scene", scene, "rear_scene"),
    ]);
    layers
}

/// What the program does in a state, in the words of the cases.
fn resolved(inputs: &BTreeMap<&str, String>) -> BTreeMap<&'static str, String> {
    let program = &*PROGRAM;
    let mut state = State::default_of(program);
    for (signal, value) in inputs {
        let (signal, value) = (signal.parse().unwrap(), value.parse().unwrap());
        state = state.with(program, &signal, &value);
        assert_eq!(state.value(program, &signal), Some(&value));
    }
    let drive = resolve(program, &state);
    let mut said = BTreeMap::new();
    said.insert("arrow", "off".to_owned());
    said.insert("dim_ratio", "1".to_owned());
    for (index, name) in GROUPS.into_iter().chain(SWITCHED).enumerate() {
        let head = &drive.heads[index];
        let pattern = head
            .emitters
            .iter()
            .flat_map(|emitter| &emitter.lanes)
            .map(|lane| lane.pattern.to_string())
            .next();
        let held_off =
            matches!(&head.decided_by, Decision::Layer(layer) if layer.as_str().starts_with("9-"));
        if let Some(toward) = pattern
            .as_deref()
            .and_then(|name| name.strip_prefix("arrow-"))
        {
            said.insert("arrow", toward.to_owned());
        }
        if !head.dims.is_empty() {
            said.insert("dim_ratio", "0.3".to_owned());
        }
        let word = match pattern.as_deref() {
            Some("warning") => "flash",
            Some(_) => "released-to-arrow",
            None if head.emitters[1].level.maximum() > 0 => "steady-white",
            None if head.is_lit() => "steady-low",
            None if held_off => "held-off",
            None => "off",
        };
        let word = if SWITCHED.contains(&name) {
            if head.is_lit() { "1" } else { "0" }
        } else {
            word
        };
        said.insert(name, word.to_owned());
    }
    said
}

fn text(value: &Value) -> String {
    value
        .as_str()
        .map_or_else(|| value.to_string(), str::to_owned)
}

#[test]
fn every_interlock_case_resolves_as_it_says() {
    let file: Value = serde_json::from_str(CASES).unwrap();
    let mut n_cases = 0;
    for case in file["cases"].as_array().unwrap() {
        let id = case["id"].as_str().unwrap();
        if !id.starts_with('I') {
            continue;
        }
        n_cases += 1;
        let inputs: BTreeMap<&str, String> = case["inputs"]
            .as_object()
            .unwrap()
            .iter()
            .map(|(name, value)| (name.as_str(), text(value)))
            .collect();
        let expected: BTreeMap<&str, String> = case["expected"]
            .as_object()
            .unwrap()
            .iter()
            .map(|(name, value)| (name.as_str(), text(value)))
            .collect();
        let said = resolved(&inputs);
        for (name, value) in &expected {
            assert_eq!(said.get(name), Some(value), "{id} {name}");
        }
        assert_eq!(said.len(), expected.len(), "{id}");
    }
    assert_eq!(n_cases, 14);
}

/// The eleven steps as they are written, later ones overwriting earlier ones.
fn by_steps(inputs: &BTreeMap<&str, String>) -> BTreeMap<&'static str, String> {
    let is = |name: &str| inputs[name] == "1";
    let number = |name: &str| inputs[name].parse::<u8>().unwrap();
    let mut said: BTreeMap<&'static str, String> = BTreeMap::new();
    for name in GROUPS {
        said.insert(name, "off".into());
    }
    for name in SWITCHED {
        said.insert(name, "0".into());
    }
    said.insert("arrow", "off".into());
    said.insert("dim_ratio", "1".into());
    if !is("master") || is("ign_timer_expired") {
        return said;
    }
    let level = if is("park") {
        number("level").min(2)
    } else {
        number("level")
    };
    let mut put = |name: &'static str, value: &str| {
        said.insert(name, value.into());
    };
    if level == 0 && is("cruise") {
        for name in ["front", "side_l", "side_r", "rear_l", "rear_r"] {
            put(name, "steady-low");
        }
    }
    if level >= 1 {
        for name in ["rear_l", "rear_r", "gate_heads"] {
            put(name, "flash");
        }
    }
    if level >= 2 {
        for name in ["front", "side_l", "side_r"] {
            put(name, "flash");
        }
    }
    if level == 3 {
        put("front_white_flash", "1");
        put("headlamp_flash", "1");
    }
    if inputs["arrow"] != "off" {
        put("rear_l", "released-to-arrow");
        put("rear_r", "released-to-arrow");
        put("arrow", &inputs["arrow"]);
    }
    for (input, group) in [
        ("takedown", "front"),
        ("alley_l", "side_l"),
        ("alley_r", "side_r"),
    ] {
        if is(input) {
            put(group, "steady-white");
        }
    }
    if is("reverse") || (is("liftgate") && is("park")) {
        put("rear_scene", "1");
    }
    if is("liftgate") {
        put("gate_heads", "off");
    }
    for (input, group) in [("door_l", "side_l"), ("door_r", "side_r")] {
        if is(input) && said[group] == "flash" {
            said.insert(group, "off".into());
        }
    }
    if is("park") || is("high_beam") || is("night") {
        said.insert("headlamp_flash", "0".into());
    }
    if is("park") {
        said.insert("front_white_flash", "0".into());
    }
    for (group, turn) in [("rear_l", "turn_l"), ("rear_r", "turn_r")] {
        if (is("brake") || is(turn)) && said[group] == "flash" {
            said.insert(group, "held-off".into());
        }
    }
    let shed = number("shed");
    if shed >= 1 {
        said.insert("rear_scene", "0".into());
        for group in GROUPS {
            if said[group] == "steady-white" {
                let back = if level >= 2 { "flash" } else { "off" };
                said.insert(group, back.into());
            }
        }
    }
    if shed >= 2 {
        said.insert("front_white_flash", "0".into());
        said.insert("headlamp_flash", "0".into());
    }
    if shed == 3 && is("park") {
        said.insert("front", "off".into());
    }
    let is_lit = GROUPS
        .iter()
        .any(|name| !matches!(said[name].as_str(), "off" | "held-off"))
        || SWITCHED.iter().any(|name| said[name] == "1");
    // A dimming of nothing cannot be seen in a drive.
    if is("night") && is_lit {
        said.insert("dim_ratio", "0.3".into());
    }
    said
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    #[test]
    fn any_state_resolves_as_the_steps_say(picks in proptest::collection::vec(0_usize..12, INPUTS.len())) {
        let inputs: BTreeMap<&str, String> = INPUTS
            .iter()
            .zip(&picks)
            // Switched off altogether in one state of twelve, so that the rest is seen.
            .map(|((name, values), pick)| {
                let pick = match *name {
                    "master" | "ign_timer_expired" => usize::from(*pick == 0),
                    _ => pick % values.len(),
                };
                (*name, values[pick].to_owned())
            })
            .collect();
        prop_assert_eq!(resolved(&inputs), by_steps(&inputs));
    }
}
