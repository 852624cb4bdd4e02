//! Waveforms against their values at each instant.

use super::*;

#[track_caller]
fn wave(period: i64, pulses: &[(i64, i64, i64)]) -> Waveform {
    Waveform::from_pulses(
        Micros(period),
        pulses
            .iter()
            .map(|(start, length, value)| (Micros(*start), Micros(*length), *value)),
    )
    .unwrap()
}

#[test]
fn touching_pulses_of_one_level_are_one() {
    assert_eq!(
        wave(100, &[(0, 10, 5), (10, 10, 5)]),
        wave(100, &[(0, 20, 5)])
    );
}

#[test]
fn a_pulse_that_fills_the_period_is_constant() {
    assert_eq!(wave(100, &[(0, 100, 7)]), Waveform::constant(7));
}

#[test]
fn bad_pulses_are_refused() {
    let make = |pulses: &[(i64, i64)]| {
        Waveform::from_pulses(
            Micros(100),
            pulses
                .iter()
                .map(|(start, length)| (Micros(*start), Micros(*length), 1)),
        )
    };
    assert!(make(&[(90, 20)]).is_err());
    assert!(make(&[(0, 0)]).is_err());
    assert!(make(&[(0, 20), (10, 5)]).is_err());
    assert!(Waveform::from_pulses(Micros(0), []).is_err());
}

#[test]
fn shift_wraps_and_comes_back() {
    let base = wave(100, &[(10, 20, 5), (60, 30, 2)]);
    for delay in [-250, -1, 0, 1, 25, 70, 99, 100, 135] {
        let moved = base.shifted(Micros(delay));
        for instant in 0..100 {
            assert_eq!(
                moved.value_at(Micros(instant)),
                base.value_at(Micros(instant - delay)),
                "delay {delay} instant {instant}"
            );
        }
        assert_eq!(moved.shifted(Micros(-delay)), base);
        assert_eq!(moved.integral(), base.integral());
    }
}

#[test]
fn combining_agrees_with_each_instant() {
    let left = wave(6, &[(1, 2, 5)]);
    let right = wave(4, &[(0, 1, 3), (2, 1, 4)]);
    let sum = left.add(&right).unwrap();
    let larger = left.max(&right).unwrap();
    let masked = left.masked(&right).unwrap();
    assert_eq!(sum.period(), Micros(12));
    assert_eq!(sum, Waveform::sum([&left, &right]).unwrap());
    for instant in 0..24 {
        let at = Micros(instant);
        let (l, r) = (left.value_at(at), right.value_at(at));
        assert_eq!(sum.value_at(at), l + r);
        assert_eq!(larger.value_at(at), l.max(r));
        assert_eq!(masked.value_at(at), if r > 0 { l } else { 0 });
    }
}

#[test]
fn constants_combine() {
    let three = Waveform::constant(3);
    let four = Waveform::constant(4);
    assert_eq!(three.add(&four), Ok(Waveform::constant(7)));
    assert_eq!(three.max(&wave(4, &[(0, 1, 9)])).unwrap().steps().len(), 2);
}

#[test]
fn periods_past_the_cap_are_free_running() {
    let left = wave(119_000_001, &[(0, 1, 1)]);
    let right = wave(1_000_000, &[(0, 1, 1)]);
    assert_eq!(left.add(&right), Err(PeriodTooLong));
    assert!(left.add(&Waveform::constant(3)).is_ok());
}

#[test]
fn a_lit_stretch_over_the_end_is_one_stretch() {
    let lit = wave(100, &[(0, 10, 1), (40, 10, 1), (90, 10, 1)]).stretches_above(0);
    assert_eq!(
        lit,
        vec![
            Interval {
                start: Micros(40),
                length: Micros(10)
            },
            Interval {
                start: Micros(90),
                length: Micros(20)
            }
        ]
    );
    assert_eq!(Waveform::constant(1).stretches_above(0).len(), 1);
    assert!(Waveform::constant(0).stretches_above(0).is_empty());
}

#[test]
fn edges_wrap_around_the_period() {
    let edges = wave(100, &[(0, 10, 1)]).edges();
    assert_eq!(edges, vec![(Micros(0), 0, 1), (Micros(10), 1, 0)]);
    assert!(Waveform::constant(4).edges().is_empty());
}

#[test]
fn integrals_and_times() {
    let base = wave(100, &[(10, 20, 5), (60, 30, 2)]);
    assert_eq!(base.integral(), 160);
    assert_eq!(base.integral_of_square(), 500 + 120);
    assert_eq!(base.time_above(0), Micros(50));
    assert_eq!(base.time_above(2), Micros(20));
}

#[test]
fn a_window_cuts_and_wraps() {
    let base = wave(100, &[(10, 20, 5), (60, 30, 2)]);
    let cut = base.restricted_to(Interval {
        start: Micros(80),
        length: Micros(40),
    });
    for instant in 0..100 {
        let inside = !(20..80).contains(&instant);
        let expected = if inside {
            base.value_at(Micros(instant))
        } else {
            0
        };
        assert_eq!(cut.value_at(Micros(instant)), expected, "{instant}");
    }
}
