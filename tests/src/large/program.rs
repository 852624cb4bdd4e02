//! What the sixty heads do: signals, layers and every rule.

use super::patterns::{alternating, flashes, sweep};
use super::vehicle::{half_of, vehicle};
use super::{admitted, id, only};
use lampwright_model::{
    Action, Alternative, Binding, Color, Condition, DimKind, DimLayer, Edit, Layer, Parts, Profile,
    Program, Pulse, RuleChoice, RuleCode, Signal, SignalKind, Situation, Target,
};
use lampwright_timing::{Level, Micros};

/// An invented rescue vehicle with 60 heads of two colors each, wired and fused, six patterns in several layers, every rule chosen.
///
/// In its default state 54 heads flash in four patterns whose common period is 4 s, and the six of the grille are steady.
#[must_use]
pub fn vehicle_program() -> Program {
    let patterns = vec![
        alternating("double-75", 800, 2, 120),
        alternating("triple-75", 800, 3, 70),
        alternating("quad-60", 1000, 4, 70),
        alternating("single-120", 500, 1, 200),
        sweep("sweep-60", 1000, 14),
        alternating("slow-60", 1000, 1, 450),
    ];
    let play = |name: &str, row: &str, pattern: &str, color: Color, when: Condition| Layer {
        id: id(name),
        label: name.replace('-', " "),
        when,
        action: Action::Play {
            pattern: id(pattern),
            bindings: ["left", "right"]
                .into_iter()
                .enumerate()
                .map(|(half, lane)| Binding {
                    lane: id(lane),
                    heads: half_of(row, half),
                    color: Some(color),
                    offset: Micros(0),
                })
                .collect(),
        },
    };
    let mode = |value: &str| only("mode", value);
    let warning = Condition(vec![Alternative(vec![(
        id("mode"),
        vec![id("respond"), id("scene")],
    )])]);
    let layers = vec![
        Layer {
            id: id("door-open"),
            label: "Rear door open: dark beside it".into(),
            when: only("door", "open"),
            action: Action::Dark {
                heads: vec![Target::Group(id("tail"))],
            },
        },
        Layer {
            id: id("reversing"),
            label: "Reversing: steady white to the rear".into(),
            when: only("gear", "reverse"),
            action: Action::Hold {
                heads: vec![Target::Group(id("tail"))],
                color: Some(Color::White),
                level: Level::FULL,
            },
        },
        play(
            "roof-front-responding",
            "roof-front",
            "quad-60",
            Color::Red,
            mode("respond"),
        ),
        play(
            "roof-front-at-scene",
            "roof-front",
            "slow-60",
            Color::Red,
            mode("scene"),
        ),
        Layer {
            id: id("roof-rear-sweep"),
            label: "Sweep to the left".into(),
            when: only("arrow", "left"),
            action: Action::Play {
                pattern: id("sweep-60"),
                bindings: (0..14)
                    .map(|index| Binding {
                        lane: id(&format!("place-{index}")),
                        heads: vec![Target::Head(id(&format!("roof-rear-{index}")))],
                        color: Some(Color::Amber),
                        offset: Micros(0),
                    })
                    .collect(),
            },
        },
        play(
            "roof-rear-warning",
            "roof-rear",
            "double-75",
            Color::Amber,
            warning.clone(),
        ),
        play(
            "left-side",
            "side-left",
            "triple-75",
            Color::Red,
            warning.clone(),
        ),
        play(
            "right-side",
            "side-right",
            "triple-75",
            Color::Red,
            warning.clone(),
        ),
        play("rear-ends", "tail", "single-120", Color::Amber, warning),
        Layer {
            id: id("grille-steady"),
            label: "Grille steady".into(),
            when: Condition::always(),
            action: Action::Hold {
                heads: vec![Target::Group(id("grille"))],
                color: Some(Color::White),
                level: Level::nearest(300),
            },
        },
    ];
    admitted(Parts {
        name: "Sixty heads".into(),
        about: "An invented vehicle, larger than most".into(),
        vehicle: vehicle(),
        patterns,
        signals: signals(),
        layers,
        dims: vec![DimLayer {
            id: id("night"),
            label: "Night".into(),
            when: only("light", "night"),
            heads: vec![Target::All],
            factor: Level::nearest(400),
            only: DimKind::Flashing,
        }],
        situations: ["respond", "scene"]
            .into_iter()
            .map(|mode| Situation {
                id: id(mode),
                label: mode.into(),
                values: vec![(id("mode"), id(mode))],
            })
            .collect(),
        profile: every_rule(),
        ..Parts::default()
    })
}

/// One edit of [`vehicle_program`]: the first pulse on the left of the pattern of the roof's front moves by some milliseconds.
#[must_use]
pub fn vehicle_edit(milliseconds: i64) -> Edit {
    let pulses = flashes(0, 4, 70).map(|pulse| Pulse {
        start: if pulse.start == Micros::ZERO {
            Micros(milliseconds.clamp(0, 30) * 1000)
        } else {
            pulse.start
        },
        ..pulse
    });
    Edit::SetPulses {
        pattern: id("quad-60"),
        lane: id("left"),
        pulses: pulses.collect(),
    }
}
fn signals() -> Vec<Signal> {
    [
        ("mode", SignalKind::Switch, ["respond", "scene", "off"]),
        ("arrow", SignalKind::Switch, ["off", "left", "right"]),
        ("gear", SignalKind::Vehicle, ["park", "reverse", "drive"]),
        ("door", SignalKind::Vehicle, ["closed", "open", "unknown"]),
        ("light", SignalKind::Ambient, ["day", "dusk", "night"]),
    ]
    .into_iter()
    .map(|(name, kind, values)| Signal {
        id: id(name),
        label: name.into(),
        kind,
        values: values.into_iter().map(id).collect(),
        default: 0,
        on_lost: 0,
    })
    .collect()
}

/// Every rule with its own figures.
fn every_rule() -> Profile {
    Profile {
        title: "Every rule".into(),
        jurisdiction: "Invented; local codes decide".into(),
        rules: lampwright_analysis::rules::RULES
            .iter()
            .map(|rule| rule.meta().code)
            .filter(|code| *code != RuleCode(4))
            .map(RuleChoice::of)
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::vehicle::N_HEADS;
    use super::*;
    use lampwright_analysis::check_state;
    use lampwright_analysis::light::DirectionTable;
    use lampwright_analysis::report::FoundIn;
    use lampwright_analysis::rules::CheckSettings;
    use lampwright_model::{State, resolve};

    #[test]
    fn the_vehicle_has_its_heads_and_most_of_them_flash() {
        let program = vehicle_program();
        assert_eq!(program.vehicle.heads.len(), N_HEADS);
        let drive = resolve(&program, &State::default_of(&program));
        let flashing = drive.heads.iter().filter(|head| {
            head.emitters
                .iter()
                .any(|emitter| !emitter.lanes.is_empty())
        });
        assert_eq!(flashing.count(), N_HEADS - 6);
    }

    #[test]
    fn every_direction_of_the_vehicle_can_be_screened() {
        let program = vehicle_program();
        let settings = CheckSettings::default();
        let table = DirectionTable::new(&program.vehicle, settings.light);
        let state = State::default_of(&program);
        let (context, report) =
            check_state(&program, FoundIn::DefaultState, &state, &table, &settings);
        assert_eq!(context.screened.directions.len(), 72);
        assert!(
            report
                .screened
                .iter()
                .all(|state| state.n_not_screened == 0)
        );
        assert_eq!(report.n_rules_chosen, program.profile.rules.len());
    }

    #[test]
    fn the_edit_changes_the_vehicle_and_every_amount_differs() {
        let program = vehicle_program();
        let moved: Vec<Program> = (1..=30)
            .map(|milliseconds| program.apply(&vehicle_edit(milliseconds)).unwrap())
            .collect();
        for (index, one) in moved.iter().enumerate() {
            assert_ne!(*one, program);
            assert!(moved.iter().skip(index + 1).all(|other| other != one));
        }
    }
}
