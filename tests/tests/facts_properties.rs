//! Properties of the facts: what may not matter does not, and what must hold always holds.

#![cfg(not(target_arch = "wasm32"))]
#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use lampwright_analysis::facts::{Facts, Longest, Phase, TimingFacts};
use lampwright_analysis::light::{
    DirectionTable, LightSettings, ScreenSettings, ScreenedDirections, screen_directions,
};
use lampwright_analysis::{MeasureSettings, Ratio, measure};
use lampwright_model::*;
use lampwright_timing::{Level, Micros, Waveform};
use proptest::prelude::*;

/// Dark and lit lengths in turn, in milliseconds, with a level in per mille for each lit one.
fn rhythm() -> impl Strategy<Value = Vec<(i64, i64, i64)>> {
    prop::collection::vec((1_i64..200, 1_i64..200, 1_i64..=1000), 1..6)
}

fn pulses_of(rhythm: &[(i64, i64, i64)]) -> (Micros, Vec<(Micros, Micros, i64)>) {
    let mut now = Micros::ZERO;
    let mut pulses = Vec::new();
    for (dark, lit, level) in rhythm {
        let (dark, lit) = (Micros::from_ms(*dark), Micros::from_ms(*lit));
        pulses.push((now + dark, lit, *level));
        now = now + dark + lit;
    }
    (now, pulses)
}

fn course_of(rhythm: &[(i64, i64, i64)]) -> Waveform {
    let (period, pulses) = pulses_of(rhythm);
    Waveform::from_pulses(period, pulses).unwrap()
}

/// The facts with all instants taken out, and the flashes as an unordered collection of lengths.
fn without_instants(
    course: &Waveform,
    gap: Micros,
) -> (TimingFacts, Vec<(Micros, Micros, Micros, Micros)>) {
    let mut facts = TimingFacts::of(course);
    let mut flashes: Vec<_> = facts
        .flashes(gap)
        .list
        .iter()
        .map(|flash| (flash.light, flash.envelope(), flash.off, flash.interval))
        .collect();
    flashes.sort();
    facts.lit.clear();
    (facts, flashes)
}

/// A head of an invented vehicle: colors with peak and current, place, facing, the lane it plays.
#[derive(Clone, Debug)]
struct Lamp {
    color: Color,
    candela: i64,
    milliamps: i64,
    is_switched: bool,
    x: i64,
    y: i64,
    facing_degrees: i64,
    rhythm: Vec<(i64, i64, i64)>,
    offset_ms: i64,
}

fn lamp() -> impl Strategy<Value = Lamp> {
    (
        prop::sample::select(Color::ALL.to_vec()),
        1_i64..5000,
        1_i64..5000,
        any::<bool>(),
        -2500_i64..2500,
        -1000_i64..1000,
        0_i64..360,
        prop::collection::vec((50_i64..100, 50_i64..100, 1_i64..=1000), 1..3),
        0_i64..500,
    )
        .prop_map(
            |(color, candela, milliamps, is_switched, x, y, facing_degrees, rhythm, offset_ms)| {
                Lamp {
                    color,
                    candela,
                    milliamps,
                    is_switched,
                    x,
                    y,
                    facing_degrees,
                    rhythm,
                    offset_ms,
                }
            },
        )
}

/// The lamps as a program; every lane gets a period of 500 ms so that all keep step.
fn program_of(lamps: &[Lamp]) -> Program {
    let mut parts = Parts::default();
    for (index, lamp) in lamps.iter().enumerate() {
        let name = format!(
            "{}-{}-{}-{}",
            lamp.color, lamp.candela, lamp.milliamps, lamp.facing_degrees
        );
        let head: HeadId = format!("{name}-{}-{}-{index}", lamp.x, lamp.y)
            .parse()
            .unwrap();
        let role: RoleId = "only".parse().unwrap();
        let pattern: PatternId = format!("p{index}").parse().unwrap();
        let mut emitter = Emitter::of(lamp.color);
        emitter.peak = Some(Millicandela(lamp.candela * 1000));
        emitter.full_current = Some(Milliamps(lamp.milliamps));
        if lamp.is_switched {
            emitter.dimming = Dimming::Carrier(200);
        }
        parts.vehicle.heads.push(Head {
            id: head.clone(),
            label: String::new(),
            x: Millimeters(lamp.x),
            y: Millimeters(lamp.y),
            z: Millimeters(1500),
            facing: Millidegrees(lamp.facing_degrees * 1000),
            beam: None,
            emitters: vec![emitter],
            clock: None,
            tags: Vec::new(),
        });
        let pulses = pulses_of(&lamp.rhythm).1;
        parts.patterns.push(Pattern {
            id: pattern.clone(),
            label: String::new(),
            period: Micros::from_ms(500),
            tick: Micros::from_ms(1),
            lanes: vec![Lane {
                role: role.clone(),
                pulses: pulses
                    .into_iter()
                    .map(|(start, length, level)| Pulse {
                        start,
                        length,
                        level: Level::new(level).unwrap(),
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
                    offset: Micros::from_ms(lamp.offset_ms),
                }],
            },
        });
    }
    let (program, problems) = Program::admit(parts);
    assert!(problems.is_empty(), "{problems:?}");
    program
}

fn facts_of(program: &Program) -> Facts {
    let drive = resolve(program, &State::default_of(program));
    measure(program, &drive, &MeasureSettings::default())
}

fn screened(program: &Program, facts: &Facts) -> ScreenedDirections {
    let settings = LightSettings {
        step_degrees: 30,
        ..LightSettings::default()
    };
    let table = DirectionTable::new(&program.vehicle, settings);
    screen_directions(program, &facts.courses, &table, &ScreenSettings::default())
}

fn phase_of(facts: &Facts) -> Option<f64> {
    match facts.left_right.phase {
        Phase::Angle { degrees, .. } => Some(degrees),
        _ => None,
    }
}

/// Sums that must be the same bits however the program is written down.
fn totals(facts: &Facts) -> Vec<Ratio> {
    let current = facts.electrical.vehicle;
    let mut totals = vec![current.mean, current.peak, current.least];
    for group in facts.sides.iter().chain(&facts.zones).chain([&facts.whole]) {
        totals.push(group.candela_seconds_per_minute);
        totals.extend(group.timing.iter().map(|timing| timing.duty));
    }
    totals.extend(facts.left_right.overlap);
    totals.extend(facts.front_rear.both_dark);
    totals
}

proptest! {
    #[test]
    fn a_common_shift_changes_no_timing(rhythm in rhythm(), shift in -5_000_000_i64..5_000_000, gap in 0_i64..300) {
        let course = course_of(&rhythm);
        let gap = Micros::from_ms(gap);
        prop_assert_eq!(
            without_instants(&course, gap),
            without_instants(&course.shifted(Micros(shift)), gap)
        );
    }

    #[test]
    fn splitting_a_pulse_changes_nothing(rhythm in rhythm(), which in 0_usize..6, share in 1_i64..1000) {
        let (period, pulses) = pulses_of(&rhythm);
        let mut split = pulses.clone();
        let which = which % split.len();
        let (start, length, level) = split[which];
        let first = Micros(length.0 * share / 1000);
        if first > Micros::ZERO && first < length {
            split[which] = (start, first, level);
            split.insert(which + 1, (start + first, length - first, level));
        }
        let whole = Waveform::from_pulses(period, pulses).unwrap();
        let split = Waveform::from_pulses(period, split).unwrap();
        prop_assert_eq!(TimingFacts::of(&whole), TimingFacts::of(&split));
    }

    #[test]
    fn flashes_share_out_the_period(rhythm in rhythm(), gap in 0_i64..300) {
        let course = course_of(&rhythm);
        let facts = TimingFacts::of(&course);
        let flashes = facts.flashes(Micros::from_ms(gap));
        let sum = |each: &dyn Fn(&lampwright_analysis::facts::Flash) -> Micros| {
            flashes.list.iter().fold(Micros::ZERO, |sum, flash| sum + each(flash))
        };
        if flashes.list.is_empty() {
            let Longest::Lasts(longest) = facts.longest_dark else { panic!("always dark at first") };
            prop_assert!(longest < Micros::from_ms(gap));
        } else {
            prop_assert_eq!(sum(&|flash| flash.light), facts.on_time);
            prop_assert_eq!(sum(&|flash| flash.interval), course.period());
            prop_assert_eq!(
                flashes.list.iter().map(|flash| flash.pulses).sum::<usize>(),
                facts.pulses
            );
            for flash in &flashes.list {
                prop_assert!(flash.off >= flashes.gap);
                prop_assert_eq!(flash.envelope() + flash.off, flash.interval);
            }
        }
        prop_assert_eq!(facts.on_time + facts.off_time, course.period());
    }

    #[test]
    fn head_order_changes_no_total(lamps in prop::collection::vec(lamp(), 1..6), turn in 0_usize..6) {
        let program = program_of(&lamps);
        let facts = facts_of(&program);
        let mut turned = lamps.clone();
        let turn = turn % turned.len();
        turned.rotate_left(turn);
        turned.reverse();
        let other_program = program_of(&turned);
        let other = facts_of(&other_program);
        prop_assert_eq!(totals(&facts), totals(&other));
        prop_assert_eq!(facts.electrical.vehicle, other.electrical.vehicle);
        prop_assert_eq!(phase_of(&facts), phase_of(&other));
        let (one, two) = (screened(&program, &facts), screened(&other_program, &other));
        for (one, two) in one.directions.iter().zip(&two.directions) {
            let (Ok(one), Ok(two)) = (one.result.as_ref(), two.result.as_ref()) else {
                panic!("not screened");
            };
            prop_assert_eq!(one.n(), two.n());
            prop_assert_eq!(one.n_red(), two.n_red());
            prop_assert_eq!(one.band(), two.band());
        }
    }

    #[test]
    fn a_common_shift_changes_no_total(lamps in prop::collection::vec(lamp(), 1..6), shift in 0_i64..1000) {
        let program = program_of(&lamps);
        let facts = facts_of(&program);
        let later: Vec<Lamp> = lamps
            .iter()
            .map(|lamp| Lamp { offset_ms: lamp.offset_ms + shift, ..lamp.clone() })
            .collect();
        let other_program = program_of(&later);
        let other = facts_of(&other_program);
        prop_assert_eq!(totals(&facts), totals(&other));
        // An angle follows the instants, so only its last decimals may move.
        if let (Some(one), Some(two)) = (phase_of(&facts), phase_of(&other)) {
            let apart = (one - two).abs();
            prop_assert!(apart.min(360.0 - apart) < 1e-5, "{} and {}", one, two);
        }
        for (one, two) in screened(&program, &facts)
            .directions
            .iter()
            .zip(&screened(&other_program, &other).directions)
        {
            let (Ok(one), Ok(two)) = (one.result.as_ref(), two.result.as_ref()) else {
                panic!("not screened");
            };
            prop_assert_eq!(one.n(), two.n());
        }
    }

    #[test]
    fn currents_keep_their_order(lamps in prop::collection::vec(lamp(), 1..6)) {
        let current = facts_of(&program_of(&lamps)).electrical.vehicle;
        let (mean, peak) = (current.mean.as_f64(), current.peak.as_f64());
        prop_assert!(current.least <= current.mean && current.mean <= current.peak);
        prop_assert!(mean <= current.rms_amps * (1.0 + 1e-12));
        prop_assert!(current.rms_amps <= current.rms_in_phase_amps * (1.0 + 1e-12));
        prop_assert!(current.rms_in_phase_amps <= peak * (1.0 + 1e-12));
    }
}
