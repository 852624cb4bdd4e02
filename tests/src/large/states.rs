//! The sixty heads under twenty signals: more than a million states.

use super::program::vehicle_program;
use super::{admitted, id, only};
use lampwright_model::{
    Action, Alternative, Color, Condition, Guarantee, Layer, Must, Program, Signal, SignalKind,
    Target,
};
use lampwright_timing::Level;

/// Doors of the body, each with a contact.
const N_DOORS: usize = 8;

/// Further inputs with two values, off at rest.
const SWITCHES: [&str; 7] = [
    "shore-power",
    "pump",
    "ladder",
    "stabilizer",
    "brake",
    "key",
    "command-post",
];

/// [`vehicle_program`] with doors and switches on top, 20 signals in all, of which many mean the same.
#[must_use]
pub fn states_program() -> Program {
    let mut parts = vehicle_program().to_parts();
    let two = |name: String, values: [&str; 2]| Signal {
        id: id(&name),
        label: name,
        kind: SignalKind::Vehicle,
        values: values.map(id).to_vec(),
        default: 0,
        on_lost: 0,
    };
    let doors: Vec<String> = (1..=N_DOORS)
        .map(|number| format!("door-{number}"))
        .collect();
    parts.signals.extend(
        doors
            .iter()
            .map(|door| two(door.clone(), ["closed", "open"])),
    );
    parts
        .signals
        .extend(SWITCHES.map(|name| two(name.into(), ["off", "on"])));
    let all_of = |limits: &[(&str, &str)]| {
        Alternative(
            limits
                .iter()
                .map(|(signal, value)| (id(signal), vec![id(value)]))
                .collect(),
        )
    };
    let groups = |names: &[&str]| names.iter().map(|name| Target::Group(id(name))).collect();
    let layer = |name: &str, when: Condition, action: Action| Layer {
        id: id(name),
        label: name.replace('-', " "),
        when,
        action,
    };
    let any_door = Condition(doors.iter().map(|door| all_of(&[(door, "open")])).collect());
    let working = Condition(vec![
        all_of(&[("pump", "on"), ("brake", "on")]),
        all_of(&[("ladder", "on"), ("stabilizer", "on"), ("brake", "on")]),
    ]);
    let above = vec![
        layer(
            "on-shore-power",
            only("shore-power", "on"),
            Action::Dark {
                heads: vec![Target::All],
            },
        ),
        layer(
            "sides-white-at-a-door",
            any_door,
            Action::Hold {
                heads: groups(&["side-left", "side-right"]),
                color: Some(Color::White),
                level: Level::nearest(500),
            },
        ),
        layer(
            "tail-white-at-work",
            working,
            Action::Hold {
                heads: groups(&["tail"]),
                color: Some(Color::White),
                level: Level::FULL,
            },
        ),
        layer(
            "grille-dark-in-the-command-post",
            Condition(vec![all_of(&[("command-post", "on"), ("key", "off")])]),
            Action::Dark {
                heads: groups(&["grille"]),
            },
        ),
    ];
    parts.layers.splice(0..0, above);
    parts.impossible = vec![
        all_of(&[("shore-power", "on"), ("gear", "reverse")]),
        all_of(&[("shore-power", "on"), ("key", "on")]),
    ];
    parts.guarantees = vec![Guarantee {
        id: id("dark-on-shore-power"),
        label: "Nothing is lit on shore power".into(),
        when: only("shore-power", "on"),
        heads: vec![Target::All],
        must: Must::BeDark,
    }];
    admitted(parts)
}
