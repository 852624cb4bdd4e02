//! A pattern of a hundred thousand pulses, by itself and played by the sixty heads.

use super::program::vehicle_program;
use super::vehicle::N_HEADS;
use super::{admitted, id, only, whole};
use lampwright_model::{
    Action, Binding, Color, Condition, Emitter, Head, HeadId, Lane, Layer, Millidegrees,
    Millimeters, Parts, Pattern, Program, Pulse, Target, Vehicle,
};
use lampwright_timing::{Level, Micros};

/// Lanes of [`lanes_program`].
pub const N_LANES: usize = 64;

/// Pulses of [`lanes_program`], over all lanes.
pub const N_PULSES: usize = 100_000;
/// One pattern of 64 lanes that together hold 100,000 pulses of uneven length, level and color, each lane driving a head.
#[must_use]
pub fn lanes_program() -> Program {
    let heads = (0..N_LANES)
        .map(|lane| Head {
            id: id(&format!("head-{lane}")),
            label: format!("Head {lane}"),
            x: Millimeters(whole(lane % 16) * 250 - 2000),
            y: Millimeters(if lane % 2 == 0 { 900 } else { -900 }),
            z: Millimeters(2000),
            facing: Millidegrees(whole(lane / 16) * 90_000),
            beam: None,
            emitters: vec![Emitter::of(Color::ALL[lane % Color::ALL.len()])],
            clock: None,
            tags: Vec::new(),
        })
        .collect();
    admitted(Parts {
        name: "A hundred thousand pulses".into(),
        vehicle: Vehicle {
            heads,
            ..Vehicle::default()
        },
        patterns: vec![long_pattern(uneven)],
        layers: vec![Layer {
            id: id("all"),
            label: "All".into(),
            when: Condition::always(),
            action: play_long(|lane| (id(&format!("head-{lane}")), None)),
        }],
        ..Parts::default()
    })
}

/// [`vehicle_program`] with one pattern of 64 lanes that together hold 100,000 pulses, all of them played by its 60 heads in its default state.
///
/// Edges lie on the tick of 10 ms, as the editor snaps them; four heads have a lane for each of their colors.
#[must_use]
pub fn played_program() -> Program {
    let mut parts = vehicle_program().to_parts();
    parts.name = "Sixty heads, a hundred thousand pulses".into();
    let heads: Vec<_> = parts
        .vehicle
        .heads
        .iter()
        .map(|head| head.id.clone())
        .collect();
    parts.patterns.push(long_pattern(uneven_on_tick));
    parts.layers.insert(
        0,
        Layer {
            id: id("long-responding"),
            label: "Long, responding".into(),
            when: only("mode", "respond"),
            action: play_long(|lane| {
                let color = (lane >= N_HEADS).then_some(Color::White);
                (heads[lane % N_HEADS].clone(), color)
            }),
        },
    );
    admitted(parts)
}

fn lane_name(lane: usize) -> String {
    format!("lane-{lane}")
}

/// 64 lanes that share 100,000 pulses.
fn long_pattern(pulse: fn(usize, usize) -> Pulse) -> Pattern {
    let lane = |lane: usize| {
        let n_pulses = N_PULSES / N_LANES + usize::from(lane < N_PULSES % N_LANES);
        Lane {
            role: id(&lane_name(lane)),
            pulses: (0..n_pulses).map(|index| pulse(lane, index)).collect(),
        }
    };
    Pattern {
        id: id("long"),
        label: "Long".into(),
        period: Micros(64_000_000),
        tick: Micros(10_000),
        lanes: (0..N_LANES).map(lane).collect(),
    }
}

/// Each lane of the long pattern on a head, in a color of it.
fn play_long(on: impl Fn(usize) -> (HeadId, Option<Color>)) -> Action {
    let binding = |lane: usize| {
        let (head, color) = on(lane);
        Binding {
            lane: id(&lane_name(lane)),
            heads: vec![Target::Head(head)],
            color,
            offset: Micros(0),
        }
    };
    Action::Play {
        pattern: id("long"),
        bindings: (0..N_LANES).map(binding).collect(),
    }
}

/// The same as [`uneven`] with both edges on a tick of 10 ms.
fn uneven_on_tick(lane: usize, index: usize) -> Pulse {
    let pulse = uneven(lane, index);
    let tick = Micros(10_000);
    Pulse {
        start: pulse.start.round_to(tick),
        length: pulse.length.round_to(tick).max(tick),
        ..pulse
    }
}

/// Pulse `index` of a lane: somewhere in its own 40 ms, neither long nor bright alike.
fn uneven(lane: usize, index: usize) -> Pulse {
    let mix = whole((lane * 37 + index * 101) % 211);
    Pulse {
        start: Micros(whole(index) * 40_000 + mix % 7 * 1000),
        length: Micros(10_000 + mix % 21 * 1000),
        level: Level::nearest(200 + mix * 37 % 801),
        color: (mix % 11 == 0).then_some(Color::White),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lampwright_formats::{read_program, write_program};
    use lampwright_model::{State, resolve};

    #[test]
    fn the_lanes_hold_exactly_their_pulses() {
        let program = lanes_program();
        let lanes = &program.patterns[0].lanes;
        assert_eq!(lanes.len(), N_LANES);
        let n_pulses: usize = lanes.iter().map(|lane| lane.pulses.len()).sum();
        assert_eq!(n_pulses, N_PULSES);
    }

    #[test]
    fn every_lane_of_the_played_program_lights_a_head_and_its_file_can_be_read() {
        let program = played_program();
        let drive = resolve(&program, &State::default_of(&program));
        let mut played: Vec<_> = drive
            .heads
            .iter()
            .flat_map(|head| &head.emitters)
            .flat_map(|emitter| &emitter.lanes)
            .filter(|lane| lane.pattern.as_str() == "long")
            .map(|lane| lane.lane.as_str())
            .collect();
        played.sort_unstable();
        played.dedup();
        assert_eq!(played.len(), N_LANES);
        let n_pulses: usize = program
            .patterns
            .iter()
            .filter(|pattern| pattern.id.as_str() == "long")
            .flat_map(|pattern| &pattern.lanes)
            .map(|lane| lane.pulses.len())
            .sum();
        assert_eq!(n_pulses, N_PULSES);
        let outcome = read_program(write_program(&program).as_bytes());
        assert_eq!(outcome.problems, []);
        assert_eq!(outcome.program, Some(program));
    }
}
