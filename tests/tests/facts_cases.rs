//! Facts of small invented vehicles whose results follow from their definitions.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::float_cmp,
    reason = "a test may stop at the first surprise, and whole degrees are exact"
)]

use lampwright_analysis::facts::{
    Facts, Longest, Phase, Rhythm, Set, TimingFacts, minutes_from_reserve,
};
use lampwright_analysis::light::{
    DirectionTable, LightSettings, ScreenSettings, screen_directions, worst_alignment_toward,
};
use lampwright_analysis::screening::Band;
use lampwright_analysis::{MeasureSettings, Ratio, measure};
use lampwright_model::*;
use lampwright_timing::{Level, Micros, Waveform};

/// One lamp: name, place in millimeters, facing in degrees, candela, clock, period and pulses in milliseconds.
struct Lamp<'a> {
    name: &'a str,
    place: (i64, i64),
    facing: i64,
    candela: i64,
    clock: Option<&'a str>,
    period: i64,
    pulses: &'a [(i64, i64)],
}

fn lamp<'a>(name: &'a str, y: i64, period: i64, pulses: &'a [(i64, i64)]) -> Lamp<'a> {
    Lamp {
        name,
        place: (0, y),
        facing: 0,
        candela: 1000,
        clock: None,
        period,
        pulses,
    }
}

fn program_of(lamps: &[Lamp<'_>]) -> Program {
    let mut parts = Parts::default();
    for clock in ["c1", "c2"] {
        parts.vehicle.clocks.push(Clock {
            id: clock.parse().unwrap(),
            label: String::new(),
            tolerance_ppm: 10_000,
        });
    }
    for lamp in lamps {
        let mut emitter = Emitter::of(Color::Red);
        emitter.peak = Some(Millicandela(lamp.candela * 1000));
        emitter.full_current = Some(Milliamps(2000));
        let head: HeadId = lamp.name.parse().unwrap();
        let pattern: PatternId = lamp.name.parse().unwrap();
        let role: RoleId = "only".parse().unwrap();
        parts.vehicle.heads.push(Head {
            id: head.clone(),
            label: String::new(),
            x: Millimeters(lamp.place.0),
            y: Millimeters(lamp.place.1),
            z: Millimeters(1200),
            facing: Millidegrees(lamp.facing * 1000),
            beam: None,
            emitters: vec![emitter],
            clock: lamp.clock.map(|clock| clock.parse().unwrap()),
            tags: Vec::new(),
        });
        let pulses = lamp.pulses.iter().map(|(start, length)| Pulse {
            start: Micros::from_ms(*start),
            length: Micros::from_ms(*length),
            level: Level::FULL,
            color: None,
        });
        parts.patterns.push(Pattern {
            id: pattern.clone(),
            label: String::new(),
            period: Micros::from_ms(lamp.period),
            tick: Micros::from_ms(1),
            lanes: vec![Lane {
                role: role.clone(),
                pulses: pulses.collect(),
            }],
        });
        parts.layers.push(Layer {
            id: lamp.name.parse().unwrap(),
            label: String::new(),
            when: Condition::always(),
            action: Action::Play {
                pattern,
                bindings: vec![Binding {
                    lane: role,
                    heads: vec![Target::Head(head)],
                    color: None,
                    offset: Micros::ZERO,
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

fn phase(left: (i64, &[(i64, i64)]), right: (i64, &[(i64, i64)])) -> Phase {
    let lamps = [
        lamp("left", 800, left.0, left.1),
        lamp("right", -800, right.0, right.1),
    ];
    facts_of(&program_of(&lamps)).left_right.phase
}

/// Checks the angle in degrees and the common rate in thousandths of a hertz.
#[track_caller]
fn check_phase(
    left: (i64, &[(i64, i64)]),
    right: (i64, &[(i64, i64)]),
    degrees: f64,
    millihertz: i64,
) {
    match phase(left, right) {
        Phase::Angle {
            degrees: found,
            rate,
        } => {
            assert_eq!(found, degrees);
            assert_eq!(rate.hz(), Ratio::thousandths(millihertz));
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn phase_says_how_much_later_the_second_comes() {
    let first: &[(i64, i64)] = &[(0, 100)];
    check_phase((500, first), (500, first), 0.0, 2000);
    check_phase((500, first), (500, &[(250, 100)]), 180.0, 2000);
    check_phase((400, first), (400, &[(100, 100)]), 90.0, 2500);
    check_phase((400, first), (400, &[(300, 100)]), 270.0, 2500);
}

#[test]
fn phase_goes_by_the_middle_of_a_flash_however_it_is_made() {
    // A double flash around 100 ms against a single one around 600 ms.
    check_phase(
        (1000, &[(50, 20), (130, 20)]),
        (1000, &[(500, 200)]),
        180.0,
        1000,
    );
    // A quad flash against the same half a period later, which crosses its end.
    let quad: &[(i64, i64)] = &[(0, 50), (100, 50), (200, 50), (300, 50)];
    let later: &[(i64, i64)] = &[(400, 50), (500, 50), (600, 50), (700, 50)];
    check_phase((800, quad), (800, later), 180.0, 1250);
}

#[test]
fn phase_does_not_trust_the_stated_period() {
    // Both flash twice in a stated second: alternating at 2 Hz.
    let twice: &[(i64, i64)] = &[(0, 100), (500, 100)];
    let between: &[(i64, i64)] = &[(250, 100), (750, 100)];
    check_phase((1000, twice), (1000, between), 180.0, 2000);
    check_phase((500, &[(0, 100)]), (1000, between), 180.0, 2000);
    // Every other flash a little shorter: still alternating at 2 Hz, not a quarter turn at 1 Hz.
    let Phase::Angle { degrees, rate } = phase(
        (1000, &[(0, 100), (500, 90)]),
        (1000, &[(250, 100), (750, 90)]),
    ) else {
        panic!("no phase");
    };
    assert_eq!(rate.hz(), Ratio::whole(2));
    assert_eq!(degrees, 180.0);
}

#[test]
fn flashes_are_listed_in_the_order_in_which_they_end() {
    // The first pulse starts last in the period and ends exactly with it.
    let pulses = [(100, 100), (300, 200)]
        .map(|(start, length)| (Micros::from_ms(start), Micros::from_ms(length), 1000));
    let course = Waveform::from_pulses(Micros::from_ms(500), pulses).unwrap();
    let starts = |course: &Waveform| -> Vec<Micros> {
        let flashes = TimingFacts::of(course).flashes(Micros::ZERO);
        flashes.list.iter().map(|flash| flash.start).collect()
    };
    assert_eq!(starts(&course), [100, 300].map(Micros::from_ms));
    // 50 ms later the same pulse wraps and ends first.
    let later = course.shifted(Micros::from_ms(50));
    assert_eq!(starts(&later), [350, 150].map(Micros::from_ms));
}

#[test]
fn phase_is_not_quoted_where_there_is_none() {
    let lit: &[(i64, i64)] = &[(0, 100)];
    assert_eq!(phase((500, lit), (750, lit)), Phase::NoCommonRate);
    assert_eq!(phase((500, lit), (500, &[])), Phase::NotLit);
    assert_eq!(phase((500, lit), (500, &[(0, 500)])), Phase::Unchanging);
    let mut lamps = [lamp("left", 800, 500, lit), lamp("right", -800, 500, lit)];
    lamps[1].clock = Some("c1");
    let pair = facts_of(&program_of(&lamps)).left_right;
    assert_eq!(pair.phase, Phase::Drifting);
    assert_eq!((pair.overlap, pair.both_dark), (None, None));
    assert_eq!(pair.share_of_first, Some(Ratio::new(1, 2)));
}

#[test]
fn distance_from_in_step_and_from_alternating() {
    let found = phase((400, &[(0, 100)]), (400, &[(300, 100)]));
    assert_eq!(found.from_in_step(), Some(90.0));
    assert_eq!(found.from_alternating(), Some(90.0));
}

#[test]
fn balance_overlap_and_common_dark() {
    let mut lamps = [
        lamp("left", 800, 1000, &[(0, 300)]),
        lamp("right", -800, 1000, &[(200, 300)]),
    ];
    lamps[1].candela = 3000;
    let facts = facts_of(&program_of(&lamps));
    let pair = &facts.left_right;
    assert_eq!(pair.share_of_first, Some(Ratio::new(1, 4)));
    assert_eq!(pair.balance, Some(Ratio::new(1, 3)));
    assert_eq!(pair.overlap, Some(Ratio::new(100, 500)));
    assert_eq!(pair.both_dark, Some(Ratio::new(1, 2)));
    let longest = Longest::Lasts(Micros::from_ms(500));
    assert_eq!(pair.longest_both_dark, Some(longest));
    // 1000 cd for 300 ms of each second is 300 cd on average, 18,000 cd s in a minute.
    let left = facts.side(Side::Left).unwrap();
    assert_eq!(left.candela_seconds_per_minute, Ratio::whole(18_000));
    assert_eq!(left.by_color, vec![(Color::Red, Ratio::whole(18_000))]);
    let front = facts.zone(Zone::A).unwrap();
    assert_eq!(front.candela_seconds_per_minute, Ratio::whole(72_000));
    let both = facts.group_of(Set::Heads("both".into()), &[1, 0, 1]);
    assert_eq!(both.candela_seconds_per_minute, Ratio::whole(72_000));
    assert_eq!(both.n_lit, 2);
}

#[track_caller]
fn check_rhythm(period: i64, pulses: &[(i64, i64)], expected: Rhythm) {
    let pulses = pulses
        .iter()
        .map(|(start, length)| (Micros::from_ms(*start), Micros::from_ms(*length), 1000));
    let course = Waveform::from_pulses(Micros::from_ms(period), pulses).unwrap();
    assert_eq!(TimingFacts::of(&course).rhythm, expected);
}

#[test]
fn rhythms_have_plain_names() {
    check_rhythm(500, &[], Rhythm::Dark);
    check_rhythm(500, &[(0, 500)], Rhythm::Steady);
    check_rhythm(500, &[(100, 250)], Rhythm::Flash(1));
    check_rhythm(500, &[(0, 20), (450, 50)], Rhythm::Flash(1));
    check_rhythm(1000, &[(0, 50), (100, 50)], Rhythm::Flash(2));
    check_rhythm(1000, &[(0, 50), (500, 50)], Rhythm::Flash(1));
    let twice_double: &[(i64, i64)] = &[(0, 50), (100, 50), (500, 50), (600, 50)];
    check_rhythm(1000, twice_double, Rhythm::Flash(2));
    check_rhythm(1000, &[(0, 50), (100, 50), (500, 50)], Rhythm::Irregular);
    check_rhythm(1000, &[(0, 50), (400, 50)], Rhythm::Irregular);
    assert_eq!(Rhythm::Flash(4).to_string(), "quad flash");
    assert_eq!(Rhythm::Flash(6).to_string(), "6-pulse flash");
    let half = Waveform::from_pulses(
        Micros(10),
        [(Micros(0), Micros(5), 1000), (Micros(5), Micros(5), 100)],
    );
    assert_eq!(TimingFacts::of(&half.unwrap()).rhythm, Rhythm::Varying);
}

#[test]
fn clocks_that_drift_give_bounds_and_means_over_all_phases() {
    let lit: &[(i64, i64)] = &[(0, 250)];
    let mut lamps = [lamp("one", 0, 500, lit), lamp("two", 0, 500, &[(250, 250)])];
    let in_turn = facts_of(&program_of(&lamps)).electrical.vehicle;
    assert!(!in_turn.is_bound);
    assert_eq!(
        (in_turn.least, in_turn.peak),
        (Ratio::whole(2), Ratio::whole(2))
    );
    lamps[1].clock = Some("c1");
    let drifting = facts_of(&program_of(&lamps)).electrical.vehicle;
    assert!(drifting.is_bound);
    assert_eq!(drifting.mean, Ratio::whole(2));
    assert_eq!(
        (drifting.least, drifting.peak),
        (Ratio::ZERO, Ratio::whole(4))
    );
    // Two independent halves of 2 A: 0, 2, 2, 4 A equally often, mean square 6 A2.
    assert!((drifting.rms_amps - 6.0_f64.sqrt()).abs() < 1e-12);
}

#[test]
fn periods_without_a_common_one_run_free_in_any_order_of_heads() {
    // 119.999 s, 1 s and 7 s: the first shares no period of up to 120 s with the others.
    let build = |order: [usize; 3]| {
        let all = [
            ("long", 119_999_i64, 800_i64),
            ("second", 1_000, -800),
            ("seventh", 7_000, 0),
        ];
        let lamps: Vec<Lamp<'_>> = order
            .iter()
            .map(|index| lamp(all[*index].0, all[*index].2, all[*index].1, &[(0, 100)]))
            .collect();
        facts_of(&program_of(&lamps))
    };
    let facts = build([0, 1, 2]);
    assert_eq!(facts.courses.units.len(), 2);
    assert_eq!(facts.left_right.phase, Phase::Drifting);
    for order in [[2, 1, 0], [1, 2, 0], [1, 0, 2]] {
        let other = build(order);
        assert_eq!(other.electrical.vehicle, facts.electrical.vehicle);
        let periods = |facts: &Facts| -> Vec<Micros> {
            facts.courses.units.iter().map(|unit| unit.period).collect()
        };
        assert_eq!(periods(&other), periods(&facts));
    }
}

#[test]
fn steady_light_keeps_step_with_anything() {
    let mut lamps = [
        lamp("left", 800, 500, &[(0, 250)]),
        lamp("steady", 900, 500, &[(0, 500)]),
    ];
    lamps[1].clock = Some("c1");
    let facts = facts_of(&program_of(&lamps));
    assert_eq!(facts.courses.units.len(), 1);
    assert!(!facts.electrical.vehicle.is_bound);
    let left = facts.side(Side::Left).unwrap().timing.as_ref().unwrap();
    assert_eq!(left.rhythm, Rhythm::Varying);
}

#[test]
fn a_dark_vehicle_has_no_light_and_no_current() {
    let program = program_of(&[lamp("left", 800, 500, &[])]);
    let facts = facts_of(&program);
    assert_eq!(facts.electrical.vehicle.mean, Ratio::ZERO);
    assert_eq!(facts.electrical.vehicle.peak, Ratio::ZERO);
    assert_eq!(facts.left_right.share_of_first, None);
    assert_eq!(facts.left_right.both_dark, Some(Ratio::ONE));
    assert_eq!(facts.left_right.longest_both_dark, Some(Longest::Always));
    let table = DirectionTable::new(&program.vehicle, LightSettings::default());
    let screened = screen_directions(&program, &facts.courses, &table, &ScreenSettings::default());
    assert_eq!((screened.directions.len(), screened.n_distinct), (72, 1));
    let worst = screened.worst().unwrap().result.as_ref().as_ref().unwrap();
    assert_eq!((worst.n(), worst.band()), (0, None));
}

#[test]
fn reserve_minutes_are_stated_at_25_amperes() {
    // Definition of reserve capacity (read: a vehicle maker's service page, 2002): minutes at 25 A.
    assert_eq!(minutes_from_reserve(120.0, 25.0, 1.2, 1.0), 120.0);
    assert_eq!(minutes_from_reserve(120.0, 25.0, 1.2, 0.5), 60.0);
    assert!(minutes_from_reserve(120.0, 12.5, 1.2, 1.0) > 240.0);
    assert!(minutes_from_reserve(120.0, 0.0, 1.2, 1.0).is_infinite());
}

/// Lamps at the four corners: names by place, each facing outward.
fn corners(clock: Option<&'static str>) -> Program {
    let flash: &[(i64, i64)] = &[(0, 100)];
    let mut lamps = [
        lamp("front-left", 800, 500, flash),
        lamp("front-right", -800, 500, &[(250, 100)]),
        lamp("rear-left", 800, 500, flash),
        lamp("rear-right", -800, 500, &[(250, 100)]),
    ];
    for (index, lamp) in lamps.iter_mut().enumerate() {
        let is_rear = index >= 2;
        lamp.place.0 = if is_rear { -2500 } else { 2500 };
        lamp.facing = if is_rear { 180 } else { 0 };
        if index % 2 == 1 {
            lamp.clock = clock;
        }
    }
    program_of(&lamps)
}

#[test]
fn sides_are_the_observers_own() {
    let program = corners(None);
    let table = DirectionTable::new(&program.vehicle, LightSettings::default());
    // From the front the vehicle's left appears on the right; from behind on the left.
    assert_eq!(table.front().unwrap().seen[0], Side::Right);
    assert_eq!(table.front().unwrap().seen[1], Side::Left);
    assert_eq!(table.rear().unwrap().seen[2], Side::Left);
    // From the vehicle's left its front appears on the left.
    assert_eq!(table.left().unwrap().seen[0], Side::Left);
    assert_eq!(table.left().unwrap().seen[2], Side::Right);
    assert_eq!(table.right().unwrap().seen[1], Side::Right);
}

#[test]
fn a_rear_lamp_does_not_shine_forward() {
    let program = corners(None);
    let table = DirectionTable::new(&program.vehicle, LightSettings::default());
    let (front, rear) = (table.front().unwrap(), table.rear().unwrap());
    assert_eq!(table.weight(front, 2, 0), 0);
    assert_eq!(table.weight(rear, 0, 0), 0);
    // The eye is level with the lamp and 1.6 degrees off its axis: nearly the peak of 1000 cd.
    assert!((990_000_000..1_000_000_000).contains(&table.weight(front, 0, 0)));
    assert_eq!(table.weight(front, 0, 1), 0);
    assert_eq!(table.directions().len(), 72);
    assert_eq!(table.direction(364).unwrap().azimuth_degrees, 0);
}

#[test]
fn two_sides_in_turn_count_as_the_union_of_their_onsets() {
    // Two sides at 2 Hz in turn: 2 onsets a second each, 4 together (photosensitive screening, count 3).
    let program = corners(None);
    let facts = facts_of(&program);
    let table = DirectionTable::new(&program.vehicle, LightSettings::default());
    let settings = ScreenSettings::default();
    let screened = screen_directions(&program, &facts.courses, &table, &settings);
    let front = screened.directions[0].result.as_ref().as_ref().unwrap();
    assert_eq!(front.units.len(), 1);
    assert_eq!(front.bound, None);
    let unit = &front.units[0];
    assert_eq!(unit.screening.cluster.count, 2);
    assert_eq!(unit.screening.union.count, 4);
    assert_eq!((front.n(), front.n_red()), (4, 4));
    assert_eq!(unit.clusters.len(), 2);
    assert_eq!(unit.clusters[0].seen, Side::Left);
    assert_eq!(unit.clusters[0].heads, vec![1]);
    assert!(front.band().unwrap().rank() > Band::Limit.rank());
    assert_eq!(screened.worst().unwrap().azimuth_degrees, 0);
    let alignment = worst_alignment_toward(&program, &facts.courses, &table, 0, &settings);
    assert_eq!(alignment, None);
}

#[test]
fn drifting_clocks_are_bounded_by_their_sum() {
    let program = corners(Some("c1"));
    let facts = facts_of(&program);
    let table = DirectionTable::new(&program.vehicle, LightSettings::default());
    let settings = ScreenSettings::default();
    let screened = screen_directions(&program, &facts.courses, &table, &settings);
    let front = screened.directions[0].result.as_ref().as_ref().unwrap();
    assert_eq!(front.units.len(), 2);
    let sum: u32 = front.units.iter().map(|unit| unit.screening.n()).sum();
    assert_eq!((front.bound.unwrap().n, sum), (4, 4));
    let found = worst_alignment_toward(&program, &facts.courses, &table, 0, &settings).unwrap();
    assert_eq!(found.screening.n(), 4);
    assert_eq!(found.delays.len(), 2);
}

#[test]
fn steady_light_alone_flashes_nowhere() {
    let program = program_of(&[lamp("left", 800, 500, &[(0, 500)])]);
    let facts = facts_of(&program);
    let table = DirectionTable::new(&program.vehicle, LightSettings::default());
    let screened = screen_directions(&program, &facts.courses, &table, &ScreenSettings::default());
    let front = screened.directions[0].result.as_ref().as_ref().unwrap();
    assert_eq!((front.n(), front.band()), (0, Some(Band::Low)));
    assert_eq!(facts.electrical.vehicle.least, Ratio::whole(2));
}
