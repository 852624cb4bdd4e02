//! Invented vehicles made of flashing and steady loads.

use super::scaled;
use lampwright_analysis::facts::Facts;
use lampwright_analysis::{MeasureSettings, Ratio, measure};
use lampwright_model::*;
use lampwright_timing::{Level, Micros};

/// One flashing or steady load of an invented vehicle.
#[derive(Clone)]
pub(crate) struct Load {
    pub(crate) milliamps: i64,
    pub(crate) law: CurrentLaw,
    pub(crate) dimming: Dimming,
    pub(crate) y: i64,
    pub(crate) period_ms: Ratio,
    pub(crate) pulses: Vec<(Ratio, Ratio)>,
    pub(crate) offset_ms: Ratio,
    pub(crate) level: i64,
}

impl Load {
    pub(crate) fn flashing(amps: f64, period_ms: Ratio, pulses: &[(Ratio, Ratio)]) -> Self {
        Self {
            milliamps: (amps * 1000.0).round() as i64,
            law: CurrentLaw::ConstantCurrent,
            dimming: Dimming::Linear,
            y: 0,
            period_ms,
            pulses: pulses.to_vec(),
            offset_ms: Ratio::ZERO,
            level: 1000,
        }
    }

    pub(crate) fn steady(amps: f64) -> Self {
        Self::flashing(amps, Ratio::ONE, &[(Ratio::ZERO, Ratio::ONE)])
    }
}

/// An invented vehicle whose loads each sit on an output of their own behind one fuse.
pub(crate) fn vehicle(loads: &[Load], wire: Option<Wire>, supply: Supply) -> Program {
    let mut parts = Parts::default();
    parts.vehicle.supply = supply;
    parts.vehicle.fuses.push(Fuse {
        id: "f".parse().unwrap(),
        label: String::new(),
        rating: Milliamps(40_000),
    });
    for (index, load) in loads.iter().enumerate() {
        let output: OutputId = format!("o{index}").parse().unwrap();
        let head: HeadId = format!("h{index}").parse().unwrap();
        let pattern: PatternId = format!("p{index}").parse().unwrap();
        let role: RoleId = "only".parse().unwrap();
        parts.vehicle.outputs.push(Output {
            id: output.clone(),
            label: String::new(),
            rating: Milliamps(20_000),
            fuse: Some("f".parse().unwrap()),
            wire,
            is_shared_within_head: false,
        });
        let mut emitter = Emitter::of(Color::Amber);
        emitter.full_current = Some(Milliamps(load.milliamps));
        emitter.current_law = load.law;
        emitter.dimming = load.dimming;
        emitter.output = Some(output);
        parts.vehicle.heads.push(Head {
            id: head.clone(),
            label: String::new(),
            x: Millimeters(0),
            y: Millimeters(load.y),
            z: Millimeters(2000),
            facing: Millidegrees(0),
            beam: None,
            emitters: vec![emitter],
            clock: None,
            tags: Vec::new(),
        });
        parts.patterns.push(Pattern {
            id: pattern.clone(),
            label: String::new(),
            period: scaled(load.period_ms, 1),
            tick: Micros(1000),
            lanes: vec![Lane {
                role: role.clone(),
                pulses: load
                    .pulses
                    .iter()
                    .map(|(start, on)| Pulse {
                        start: scaled(*start, 1),
                        length: scaled(*on, 1),
                        level: Level::new(load.level).unwrap(),
                        color: None,
                    })
                    .collect(),
            }],
        });
        parts.layers.push(Layer {
            id: format!("l{index}").parse().unwrap(),
            label: String::new(),
            when: Condition::always(),
            action: Action::Play {
                pattern,
                bindings: vec![Binding {
                    lane: role,
                    heads: vec![Target::Head(head)],
                    color: None,
                    offset: scaled(load.offset_ms, 1),
                }],
            },
        });
    }
    let (program, problems) = Program::admit(parts);
    assert!(problems.is_empty(), "{problems:?}");
    program
}

pub(crate) fn facts_of(loads: &[Load]) -> Facts {
    facts_with(
        &vehicle(loads, None, Supply::default()),
        &MeasureSettings::default(),
    )
}

pub(crate) fn facts_with(program: &Program, settings: &MeasureSettings) -> Facts {
    let drive = resolve(program, &State::default_of(program));
    measure(program, &drive, settings)
}
