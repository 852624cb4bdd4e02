//! What the chosen rules ask of the times of one lane: how long it is lit, how long dark, how long its period.
//!
//! For guides while a lane is edited; the verdict is the rules' own.
//! A rule asks something of a lane when it judges a light of that lane alone, so that a program need not be judged as a whole to know its limits, however long it is.
//! Invariant: the profile's figures; a limit is inclusive and whole microseconds, rounded to its safe side.
//! Absent: rules on several lights together, and on levels.

use crate::light::ScreenedDirections;
use crate::measure::{MeasureSettings, measure};
use crate::report::FoundIn;
use crate::rules::{Context, Judgment, Options, RULES, RuleGroup};
use lampwright_model::{Drive, EmitterDrive, Lane, LaneUse, Pattern, Program, Pulse, RuleCode};
use lampwright_timing::{Micros, Waveform};
use std::sync::Arc;

/// Which time of a lane is limited.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Timed {
    /// The sum of its lit time in one period.
    Lit,
    /// The dark gap that ends a flash.
    Dark,
    /// The period.
    Period,
}

/// One limit of one rule.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct TimingLimit {
    /// The rule.
    pub code: RuleCode,
    /// What is limited.
    pub of: Timed,
    /// Whether it is the least that is allowed, else the most.
    pub is_least: bool,
    /// The limit itself.
    pub at: Micros,
}

/// The limits that the chosen rules set for a lane of a pattern in the state of a drive; of a lane that drives nothing there, as if every head played it.
#[must_use]
pub fn timing_limits(
    program: &Program,
    drive: &Drive,
    pattern: &Pattern,
    lane: &Lane,
) -> Vec<TimingLimit> {
    let mut limits = Vec::new();
    let mut context = None;
    for rule in RULES {
        let Some(options) = Options::of(program, rule.meta()) else {
            continue;
        };
        let of_rule = figures(&options, pattern, &lane.pulses);
        let looks_here = options.looks_at_state(program, &drive.state);
        if rule.meta().group != RuleGroup::Timing || !looks_here || of_rule.is_empty() {
            continue;
        }
        let context = context.get_or_insert_with(|| {
            let drive = alone(drive, pattern, lane);
            Context {
                program,
                found_in: FoundIn::DefaultState,
                facts: measure(program, &drive, &MeasureSettings::default()),
                screened: ScreenedDirections::default(),
                drive,
            }
        });
        if let Judgment::Checked { .. } = rule.judge(context, &options) {
            limits.extend(of_rule);
        }
    }
    limits
}

/// The drive with nothing but the lane lit; where it never flashes, as if it were lit for half its period.
fn alone(drive: &Drive, pattern: &Pattern, lane: &Lane) -> Drive {
    let this = LaneUse {
        pattern: pattern.id.clone(),
        lane: lane.role.clone(),
        offset: Micros::ZERO,
    };
    let plays = |emitter: &EmitterDrive| {
        let mut lanes = emitter.lanes.iter();
        lanes.any(|known| known.pattern == this.pattern && known.lane == this.lane)
    };
    let course = |pulses: &[(Micros, Micros)]| {
        let pulses = pulses.iter().map(|(start, length)| (*start, *length, 1000));
        Waveform::from_pulses(pattern.period, pulses).ok()
    };
    let own: Vec<_> = lane.pulses.iter().map(|p| (p.start, p.length)).collect();
    let flashing = course(&own)
        .filter(|own| !own.is_constant())
        .or_else(|| course(&[(Micros::ZERO, Micros(pattern.period.0 / 2))]))
        .unwrap_or_else(|| Waveform::constant(0));
    let (dark, flashing) = (Arc::new(Waveform::constant(0)), Arc::new(flashing));
    let mut alone = drive.clone();
    let is_played = drive
        .heads
        .iter()
        .flat_map(|head| &head.emitters)
        .any(plays);
    for emitter in alone.heads.iter_mut().flat_map(|head| &mut head.emitters) {
        if is_played && !plays(emitter) {
            emitter.level = Arc::clone(&dark);
            emitter.lanes.clear();
        } else if !is_played || emitter.level.is_constant() {
            emitter.level = Arc::clone(&flashing);
            emitter.lanes = vec![this.clone()];
        }
    }
    alone
}

/// The figures of a rule as times of a lane.
fn figures(options: &Options<'_>, pattern: &Pattern, pulses: &[Pulse]) -> Vec<TimingLimit> {
    let meta = options.meta();
    let mut limits = Vec::new();
    let figure = |name: &str| meta.parameter(name).map(|_| options.thousandths(name));
    let mut add = |of, is_least, at: Option<i64>| {
        limits.extend(at.map(|at| TimingLimit {
            code: meta.code,
            of,
            is_least,
            at: Micros(at),
        }));
    };
    let period = pattern.period.0;
    // Thousandths of a per cent of the period.
    let share = |value: i64| period.saturating_mul(value);
    let least_lit = figure("least_lit_percent").or_else(|| figure("least_on_percent"));
    add(
        Timed::Lit,
        true,
        least_lit.map(|value| ceiling(share(value), 100_000)),
    );
    let most_lit = figure("most_lit_percent").or_else(|| figure("most_on_percent"));
    add(
        Timed::Lit,
        false,
        most_lit.map(|value| share(value) / 100_000),
    );
    let against_dark = figure("most_lit_to_dark");
    add(
        Timed::Lit,
        false,
        against_dark.map(|value| share(value) / (value + 1_000)),
    );
    let gap = figure("gap_ms").or_else(|| figure("least_off_ms"));
    add(Timed::Dark, true, gap);
    // A rate needs a gap to count by.
    if let Some(gap) = gap {
        let n_flashes = n_gaps(pulses, pattern.period, Micros(gap)).max(1);
        let in_period = |rate: Option<(i64, i64)>| {
            rate.map(|(value, over)| (n_flashes.saturating_mul(over), value))
        };
        let per = |hz: &str, per_minute: &str| {
            figure(hz)
                .map(|value| (value, 1_000_000_000))
                .or_else(|| figure(per_minute).map(|value| (value, 60_000_000_000)))
        };
        let most = in_period(per("most_hz", "most_per_minute"));
        add(
            Timed::Period,
            true,
            most.map(|(over, under)| ceiling(over, under)),
        );
        let least = in_period(per("least_hz", "least_per_minute"));
        add(
            Timed::Period,
            false,
            least.map(|(over, under)| over / under.max(1)),
        );
    }
    limits
}

fn ceiling(over: i64, under: i64) -> i64 {
    -(-over).div_euclid(under.max(1))
}

/// How many dark gaps of at least a length a lane has, around the end of the period.
fn n_gaps(pulses: &[Pulse], period: Micros, least: Micros) -> i64 {
    let next_starts = pulses
        .iter()
        .skip(1)
        .map(|pulse| pulse.start)
        .chain(pulses.first().map(|first| first.start + period));
    let n = pulses
        .iter()
        .zip(next_starts)
        .filter(|(pulse, next)| *next - pulse.end() >= least)
        .count();
    i64::try_from(n).unwrap_or(i64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::sketch::program;
    use lampwright_model::{State, resolve};

    /// Limits of the first lane of the first pattern, as `(code, what, least or most, ms)`.
    fn limits(code: u16, text: &str) -> Vec<(u16, Timed, bool, f64)> {
        let program = program(RuleCode(code), text);
        let drive = resolve(&program, &State::default_of(&program));
        let pattern = &program.patterns[0];
        timing_limits(&program, &drive, pattern, &pattern.lanes[0])
            .iter()
            .map(|limit| (limit.code.0, limit.of, limit.is_least, limit.at.as_ms()))
            .collect()
    }

    #[test]
    fn figures_of_the_profile_become_times_of_the_lane() {
        let text = "head a front red\nlane a period 500 ms: 0-75 125-200";
        // SAE J845 band and gap as LW001 states them; two flashes by no gap of 160 ms, so one per period.
        assert_eq!(
            limits(1, text),
            [
                (1, Timed::Dark, true, 160.0),
                (1, Timed::Period, true, 250.0),
                (1, Timed::Period, false, 1000.0),
            ]
        );
        // UN Regulation No. 65 as LW003 states it: lit at most 0.4 of the interval, dark at least 100 ms, 2 to 4 Hz.
        assert_eq!(
            limits(3, text),
            [
                (3, Timed::Lit, false, 200.0),
                (3, Timed::Dark, true, 100.0),
                (3, Timed::Period, true, 250.0),
                (3, Timed::Period, false, 500.0),
            ]
        );
        assert_eq!(
            limits(1, &format!("{text}\nrule LW001 gap_ms=40 most_hz=3"))[1],
            (1, Timed::Period, true, 666.667)
        );
    }

    #[test]
    fn a_rule_that_does_not_look_here_sets_no_limit() {
        let text = "head a front red\nhead b rear red\nlane a period 500 ms: 0-75\nlane b period 500 ms: 0-75";
        assert_eq!(limits(40, text), []);
        for narrowed in ["heads=b", "except_patterns=a", "when=mode:blocking"] {
            let mode = "signal mode calling,blocking";
            let rule = format!("{text}\n{mode}\nrule LW001 {narrowed}");
            assert_eq!(limits(1, &rule), [], "{narrowed}");
        }
        // A rule on arrows the profile does not name judges nothing.
        assert_eq!(limits(4, text), []);
        assert_eq!(limits(4, &format!("{text}\nrule LW004 heads=a")).len(), 1);
    }

    /// Irregular flashes, of which LW001 does not know what is asked.
    const IRREGULAR: &str = "0-50 400-450 1000-1050 1400.001-1450";

    #[test]
    fn a_lane_is_looked_at_alone() {
        let regular = "head a front red\nhead b rear red\nlane a period 500 ms: 0-75";
        let beside = format!("{regular}\nlane b period 2000 ms: {IRREGULAR}");
        assert_eq!(limits(1, &beside), limits(1, regular));
        assert_eq!(limits(1, regular).len(), 3);
        let itself = format!("head a front red\nlane a period 2000 ms: {IRREGULAR}");
        assert_eq!(limits(1, &itself), []);
    }

    #[test]
    fn a_lane_that_never_flashes_or_drives_nothing_is_looked_at_as_if_it_did() {
        let text = "head a front red\nlane a period 500 ms: ";
        assert_eq!(limits(3, text), limits(3, &format!("{text}0-75")));
        assert_eq!(limits(3, &format!("{text}0-500")).len(), 4);
        let elsewhere =
            format!("{text}0-75\nsignal mode calling,blocking\nacts for-a mode=blocking");
        assert_eq!(limits(3, &elsewhere).len(), 4);
    }
}
