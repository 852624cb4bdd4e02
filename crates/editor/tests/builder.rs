//! Built patterns, measured by the facts that the rules are judged by.

#![expect(clippy::expect_used, reason = "a test may stop at the first surprise")]

use lampwright_analysis::facts::TimingFacts;
use lampwright_editor::builder::{Arrangement, Built, PulseLength, Wish, build};
use lampwright_editor::library::{Figures, course};
use lampwright_editor::trial::{Class, Scope, safe_lane_speed};
use lampwright_editor::{Action, EditorState};
use lampwright_formats::{read_pattern, read_program, write_pattern};
use lampwright_model::{Color, Edit, Parts, Program, Target};
use lampwright_timing::{Level, Micros, Waveform};
use proptest::prelude::*;
use std::rc::Rc;

fn courses(built: &Built) -> Vec<Waveform> {
    built
        .pattern
        .lanes
        .iter()
        .map(|lane| course(&built.pattern, lane).expect("a lane"))
        .collect()
}

/// First lit instant of a lane above the low level, in microseconds; wrapped light counts from where it begins.
fn start_of(course: &Waveform, low: Level) -> i64 {
    let timing = TimingFacts::above(course, low.per_mille());
    let gap = timing.lit.iter().map(|_| ()).count();
    assert!(gap > 0, "lit");
    let longest = match timing.longest_dark {
        lampwright_analysis::facts::Longest::Lasts(dark) => Some(dark),
        _ => None,
    }
    .expect("some dark");
    timing
        .flashes(longest)
        .list
        .first()
        .expect("a flash")
        .start
        .0
}

fn eight() -> Wish {
    Wish {
        n_pulses: 2,
        rate: 120_000,
        length: PulseLength::Time(Micros::from_ms(75)),
        gap: Micros::from_ms(75),
        ..Wish::default()
    }
}

#[test]
fn alternating_double_flash_of_75_ms_at_2_hz() {
    // The case of the task: right side half a period later.
    let built = build(&eight()).expect("it fits");
    assert_eq!(built.notes, [""; 0]);
    assert_eq!(
        built.pattern.label,
        "Alternating double flash, 120 per minute a side"
    );
    assert_eq!(built.pattern.period, Micros::from_ms(500));
    let lanes: Vec<(String, Vec<(i64, i64)>)> = built
        .pattern
        .lanes
        .iter()
        .map(|lane| {
            let pulses = lane.pulses.iter();
            (
                lane.role.to_string(),
                pulses
                    .map(|pulse| (pulse.start.0 / 1000, pulse.length.0 / 1000))
                    .collect(),
            )
        })
        .collect();
    assert_eq!(
        lanes,
        [
            ("left".to_owned(), vec![(0, 75), (150, 75)]),
            ("right".to_owned(), vec![(250, 75), (400, 75)]),
        ]
    );
}

#[test]
fn the_right_side_and_every_second_pair_can_have_a_color_of_their_own() {
    let colors = |wish: Wish| -> Vec<Option<Color>> {
        let built = build(&wish).expect("it fits");
        let lanes = built.pattern.lanes.iter();
        lanes.map(|lane| lane.pulses[0].color).collect()
    };
    let two = Wish {
        color: Some(Color::Red),
        second_color: Some(Some(Color::Blue)),
        ..eight()
    };
    assert_eq!(colors(two.clone()), [Some(Color::Red), Some(Color::Blue)]);
    let pairs = Wish {
        arrangement: Arrangement::Pairs,
        n_lanes: 6,
        ..two.clone()
    };
    let (red, blue) = (Some(Color::Red), Some(Color::Blue));
    assert_eq!(colors(pairs), [red, red, blue, blue, red, red]);
    let same = Wish {
        second_color: None,
        ..two.clone()
    };
    assert_eq!(colors(same), [red, red]);
    let own = Wish {
        second_color: Some(None),
        ..two
    };
    assert_eq!(colors(own), [red, None]);
}

#[test]
fn what_the_tick_does_not_allow_is_said_with_the_number() {
    let in_step = Wish {
        arrangement: Arrangement::InStep,
        rate: 138_000,
        n_pulses: 1,
        length: PulseLength::Time(Micros::from_ms(72)),
        ..Wish::default()
    };
    let built = build(&in_step).expect("it fits");
    assert_eq!(
        built.notes,
        [
            "2.3 Hz (138 per minute) on a 5 ms tick gives 435 ms, 2.299 Hz (137.931 per minute)",
            "A pulse of 72 ms on a 5 ms tick becomes 70 ms",
        ]
    );
    // Half of 435 ms is no multiple of the tick, half of 430 ms is.
    let alternating = Wish {
        arrangement: Arrangement::Alternating,
        ..in_step
    };
    let built = build(&alternating).expect("it fits");
    assert_eq!(built.pattern.period, Micros::from_ms(430));
    assert!(
        built.notes[0].contains("with equal halves gives 430 ms"),
        "{:?}",
        built.notes
    );
}

#[test]
fn what_does_not_fit_is_refused_with_the_numbers() {
    let refused = |wish: Wish| build(&wish).expect_err("it does not fit");
    let four = Wish {
        n_pulses: 4,
        ..eight()
    };
    assert_eq!(
        refused(four),
        "4 pulses of 75 ms with gaps of 75 ms take 525 ms, the period is 500 ms: choose fewer or shorter pulses, shorter gaps or a lower rate"
    );
    let three = Wish {
        n_pulses: 3,
        gap: Micros::from_ms(100),
        ..eight()
    };
    assert!(
        refused(three).starts_with("75 ms between two flashes is no longer than the gap of 100 ms")
    );
    let low = Wish {
        low: Level::FULL,
        ..eight()
    };
    assert!(refused(low).contains("is not above the level between pulses"));
    for (wish, words) in [
        (
            Wish {
                n_pulses: 0,
                ..eight()
            },
            "0 asked for, between 1 and 12 pulses per flash wanted",
        ),
        (Wish { rate: 0, ..eight() }, "0 Hz (0 per minute), between"),
        (
            Wish {
                tick: Micros(0),
                ..eight()
            },
            "a tick of 0 ms",
        ),
        (
            Wish {
                arrangement: Arrangement::SweepLeft,
                n_lanes: 99,
                ..eight()
            },
            "99 asked for, between 2 and 64 lanes wanted",
        ),
    ] {
        assert!(refused(wish.clone()).contains(words), "{}", refused(wish));
    }
}

#[test]
fn a_sweep_goes_through_its_lanes_in_order() {
    let order = |arrangement: Arrangement| -> Vec<i64> {
        let wish = Wish {
            arrangement,
            n_pulses: 1,
            length: PulseLength::Time(Micros::from_ms(100)),
            rate: 60_000,
            ..Wish::default()
        };
        let built = build(&wish).expect("it fits");
        courses(&built)
            .iter()
            .map(|course| start_of(course, Level::DARK) / 100_000)
            .collect()
    };
    assert_eq!(order(Arrangement::SweepRight), [0, 1, 2, 3, 4, 5, 6, 7]);
    assert_eq!(order(Arrangement::SweepLeft), [7, 6, 5, 4, 3, 2, 1, 0]);
    assert_eq!(order(Arrangement::SweepIn), [0, 1, 2, 3, 3, 2, 1, 0]);
    assert_eq!(order(Arrangement::SweepOut), [3, 2, 1, 0, 0, 1, 2, 3]);
}

#[test]
fn a_sweep_has_a_lane_for_each_of_64_heads() {
    let wish = Wish {
        arrangement: Arrangement::SweepRight,
        n_lanes: 64,
        n_pulses: 1,
        length: PulseLength::Time(Micros::from_ms(30)),
        rate: 30_000,
        ..Wish::default()
    };
    let built = build(&wish).expect("it fits");
    let starts: Vec<i64> = courses(&built)
        .iter()
        .map(|course| start_of(course, Level::DARK) / 30_000)
        .collect();
    assert_eq!(starts, (0..64).collect::<Vec<_>>());
    let more = Wish {
        n_lanes: 65,
        ..wish
    };
    assert_eq!(
        build(&more).unwrap_err(),
        "65 asked for, between 2 and 64 lanes wanted"
    );
}

#[test]
fn pairs_take_turns() {
    let wish = Wish {
        arrangement: Arrangement::Pairs,
        rate: 60_000,
        length: PulseLength::Share(300),
        ..Wish::default()
    };
    let starts: Vec<i64> = courses(&build(&wish).expect("it fits"))
        .iter()
        .map(|course| start_of(course, Level::DARK) / 1000)
        .collect();
    assert_eq!(starts, [0, 0, 500, 500, 0, 0, 500, 500]);
}

#[test]
fn between_pulses_it_never_falls_below_the_low_level() {
    let wish = Wish {
        low: Level::new(100).expect("a level"),
        ..eight()
    };
    for course in courses(&build(&wish).expect("it fits")) {
        assert_eq!((course.minimum(), course.maximum()), (100, 1000));
    }
    let steady = Wish {
        arrangement: Arrangement::Steady,
        level: Level::new(80).expect("a level"),
        ..Wish::default()
    };
    let built = build(&steady).expect("it fits");
    assert_eq!(built.pattern.label, "Steady, 8 %");
    assert!(courses(&built).iter().all(Waveform::is_constant));
}

fn arrangement() -> impl Strategy<Value = Arrangement> {
    (0..7_usize).prop_map(|index| Arrangement::ALL[index])
}

fn wish() -> impl Strategy<Value = Wish> {
    (
        (arrangement(), 3..=12_i64, 1..=4_i64, 10_000..=400_000_i64),
        (1..=20_i64, 10..=120_000_i64, 50..=700_i64, any::<bool>()),
        (10..=120_000_i64, 0..=400_i64, 500..=1000_i64),
    )
        .prop_map(
            |(
                (arrangement, n_lanes, n_pulses, rate),
                (tick_ms, time, share, is_share),
                (gap, low, level),
            )| Wish {
                arrangement,
                n_lanes,
                n_pulses,
                rate,
                length: if is_share {
                    PulseLength::Share(share)
                } else {
                    PulseLength::Time(Micros(time))
                },
                gap: Micros(gap),
                level: Level::nearest(level),
                low: Level::nearest(low),
                tick: Micros::from_ms(tick_ms),
                color: None,
                second_color: None,
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    /// The measure is that of the rules: facts of each lane above its low level.
    #[test]
    fn what_is_built_measures_as_asked(wish in wish()) {
        let Ok(built) = build(&wish) else {
            return Ok(());
        };
        let tick = wish.tick.0;
        let has_halves = matches!(wish.arrangement, Arrangement::Alternating | Arrangement::Pairs);
        let period = built.pattern.period.0;
        // As far from the wish as half the step allows; a period has at least one.
        let step = if has_halves { 2 * tick } else { tick };
        let asked = 60_000_000_000 / wish.rate;
        prop_assert!((period - asked).abs() <= step / 2 + 1 || period == step, "{period} for {asked}");
        let n_off = built.notes.iter().filter(|note| note.contains(" gives ")).count();
        prop_assert_eq!(n_off == 0, period * wish.rate == 60_000_000_000);

        let low = wish.low.per_mille();
        let all = courses(&built);
        for (lane, course) in built.pattern.lanes.iter().zip(&all) {
            for pulse in lane.pulses.iter() {
                prop_assert_eq!(pulse.start.0 % tick, 0);
                prop_assert_eq!(pulse.length.0 % tick, 0);
            }
            let timing = TimingFacts::above(course, low);
            prop_assert_eq!(timing.period, Some(Micros(period)));
            prop_assert_eq!(timing.pulses as i64, wish.n_pulses);
            let gap = match timing.longest_dark {
                lampwright_analysis::facts::Longest::Lasts(dark) => dark,
                _ => Micros::ZERO,
            };
            let flashes = timing.flashes(gap);
            prop_assert_eq!(flashes.list.len(), 1);
            prop_assert_eq!(flashes.list[0].pulses as i64, wish.n_pulses);
            let on = timing.on_time.0;
            prop_assert_eq!(on, built.length.0 * wish.n_pulses);
            match wish.length {
                PulseLength::Time(asked) => {
                    prop_assert!((built.length - asked).0.abs() <= tick, "{} for {asked}", built.length);
                }
                PulseLength::Share(share) => {
                    // One tick per pulse.
                    prop_assert!((on * 1000 - period * share).abs() <= 1000 * tick * wish.n_pulses);
                }
            }
            prop_assert_eq!(course.minimum(), low);
            prop_assert_eq!(course.maximum(), wish.level.per_mille());
        }
        if has_halves {
            let half = all.iter().map(|course| course.shifted(Micros(period / 2))).collect::<Vec<_>>();
            let (one, other) = if wish.arrangement == Arrangement::Alternating { (0, 1) } else { (0, 2) };
            prop_assert_eq!(&half[one], &all[other]);
        }
        let figures = Figures::of(&built.pattern);
        prop_assert!(figures.n_pulses as i64 <= wish.n_pulses || gap_is_long(&wish));
    }

    /// What is built is a pattern that a file can hold.
    #[test]
    fn what_is_built_can_be_written_and_read(wish in wish()) {
        if let Ok(built) = build(&wish) {
            let outcome = read_pattern(write_pattern(&built.pattern, "").as_bytes());
            prop_assert_eq!(outcome.problems, vec![]);
            prop_assert_eq!(outcome.pattern, Some(built.pattern));
        }
    }
}

/// A gap that closes a flash by itself makes each pulse a flash, which needs no more than one.
fn gap_is_long(wish: &Wish) -> bool {
    wish.gap >= Micros::from_ms(100)
}

fn demo(name: &str) -> EditorState {
    let path = format!("{}/../../patterns/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read(path).expect("a demo");
    let program = read_program(&text).program.expect("a program");
    EditorState::new(Rc::new(program))
}

#[test]
fn the_first_wish_is_clean_under_the_profile_of_every_demo() {
    for (name, n_heads) in [
        ("incident-support-van", 38),
        ("harbor-patrol-car", 12),
        ("rescue-tender", 18),
    ] {
        let state = demo(name);
        let built = build(&state.first_wish(Scope::Flashing)).expect("it fits");
        let trial = state.try_pattern(&built.pattern, Scope::Flashing);
        assert_eq!(trial.faults, [], "{name}: {}", built.pattern.label);
        assert_eq!(trial.class(), Class::Clean, "{name}");
        assert!(trial.n_passed >= 5, "{name}: {trial:?}");
        assert_eq!(trial.n_heads, n_heads, "{name}");
    }
}

#[test]
fn what_the_profile_forbids_is_told_by_rule_and_number() {
    for name in ["incident-support-van", "rescue-tender"] {
        let state = demo(name);
        let built = build(&Wish {
            n_pulses: 4,
            rate: 120_000,
            length: PulseLength::Time(Micros::from_ms(40)),
            gap: Micros::from_ms(40),
            ..Wish::default()
        })
        .expect("it fits");
        let trial = state.try_pattern(&built.pattern, Scope::All);
        assert!(trial.class() >= Class::Warnings, "{name}");
        let combined = trial
            .faults
            .iter()
            .find(|fault| fault.code.0 == 20)
            .expect("LW020");
        assert!(
            combined.message.contains("flashes in the worst second"),
            "{}",
            combined.message
        );
    }
}

#[test]
fn a_vehicle_without_heads_is_tried_on_assumed_ones() {
    let state = EditorState::new(Rc::new(Program::admit(Parts::default()).0));
    let built = build(&Wish {
        color: Some(Color::Red),
        ..eight()
    })
    .expect("it fits");
    let trial = state.try_pattern(&built.pattern, Scope::All);
    assert!(trial.is_assumed);
    assert_eq!(trial.n_heads, 2);
    let worst = trial.worst.expect("lit");
    assert!(worst.n >= 4 && worst.n_red >= 4, "{worst:?}");
    // Four onsets in half a second, at most three in 1.1 s.
    assert!(safe_lane_speed(&built.pattern).per_mille() <= 300);
}

#[test]
fn using_a_pattern_is_one_step_and_can_be_taken_back() {
    let state = demo("incident-support-van");
    let before = state.program().clone();
    let built = build(&eight()).expect("it fits");
    let (label, edit, id) = state
        .use_pattern(&built.pattern, Some(Scope::All), false)
        .expect("there are heads");
    assert!(matches!(edit, Edit::Together(_)));
    let used = state
        .apply(Action::Edit { label, edit })
        .apply(Action::ChoosePattern(id.clone()));
    assert_eq!(used.open_pattern_id(), Some(&id));
    let lane = built.pattern.lanes[0].role.clone();
    assert!(!used.results().heads_of_lane(Some(&id), &lane).is_empty());
    // In another state the layers below decide.
    let other = before
        .situations
        .iter()
        .find(|known| Some(&known.id) != used.current_situation())
        .expect("another");
    let elsewhere = used.apply(Action::ChooseSituation(other.id.clone()));
    assert!(
        elsewhere
            .results()
            .heads_of_lane(Some(&id), &lane)
            .is_empty()
    );
    assert_eq!(**used.apply(Action::Undo).program(), *before);
    assert_eq!(
        used.history().undo_label(),
        Some("Play Alternating double flash, 120 per minute a side")
    );

    // The same again gets a name of its own.
    let (_, _, second) = used
        .use_pattern(&built.pattern, None, false)
        .expect("no heads needed");
    assert_ne!(second, id);
    let nowhere = EditorState::new(Rc::new(Program::admit(Parts::default()).0));
    assert!(
        nowhere
            .use_pattern(&built.pattern, Some(Scope::All), true)
            .is_err()
    );
    assert!(
        !used.program().layers[0]
            .action
            .targets()
            .any(|target| *target == Target::All)
    );
}

#[test]
fn library_patterns_are_told_apart_by_the_profile() {
    let folder = format!("{}/../../patterns/library", env!("CARGO_MANIFEST_DIR"));
    let state = demo("incident-support-van");
    let mut n_of_class = [0; 4];
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let text = std::fs::read(entry.expect("an entry").path()).expect("a file");
        let outcome = read_pattern(&text);
        let pattern = outcome.pattern.expect("a pattern");
        let trial = state.try_pattern(&pattern, Scope::Flashing);
        n_of_class[trial.class() as usize] += 1;
        // What the file says is above three is no clean pattern on a vehicle either.
        let is_above = outcome.about.contains("That is above three");
        assert!(
            !is_above || trial.class() > Class::Clean,
            "{}",
            pattern.label
        );
    }
    assert!(n_of_class[Class::Clean as usize] >= 5, "{n_of_class:?}");
    assert!(n_of_class[Class::Errors as usize] >= 5, "{n_of_class:?}");
}
