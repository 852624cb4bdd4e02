//! What the chosen rules ask of the times of one lane: how long it is lit, how long dark, how long its period.
//!
//! For guides while a lane is edited; the verdict is the rules' own.
//! Invariant: only rules that judged the shown state count, with the profile's figures; a limit is inclusive and whole microseconds, rounded to its safe side.
//! Absent: rules on several lights together, and on levels.

use crate::report::{Report, Verdict};
use crate::rules::{Options, RuleGroup, rule};
use lampwright_model::{Pattern, Program, Pulse, RuleCode};
use lampwright_timing::Micros;

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

/// The limits that the rules judged in `report` set for a lane of a pattern that drives the heads of these indices; of a lane that drives none yet, as for any head.
#[must_use]
pub fn timing_limits(
    program: &Program,
    report: &Report,
    pattern: &Pattern,
    pulses: &[Pulse],
    heads: &[usize],
) -> Vec<TimingLimit> {
    let mut limits = Vec::new();
    for outcome in &report.outcomes {
        let has_judged = matches!(
            outcome.verdict,
            Verdict::Passed { .. } | Verdict::Failed { .. }
        );
        let Some(meta) = rule(outcome.code).map(|rule| rule.meta()) else {
            continue;
        };
        let Some(options) = Options::of(program, meta).filter(|_| has_judged) else {
            continue;
        };
        let looks_here = options.looks_at_pattern(&pattern.id)
            && (heads.is_empty() || heads.iter().any(|head| options.looks_at_head(*head)));
        if meta.group != RuleGroup::Timing || !looks_here {
            continue;
        }
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
    use crate::check::check;
    use crate::rules::sketch::program;

    /// Limits of the first lane of the first pattern, as `(code, what, least or most, ms)`.
    fn limits(code: u16, text: &str) -> Vec<(u16, Timed, bool, f64)> {
        let program = program(RuleCode(code), text);
        let report = check(&program);
        let pattern = &program.patterns[0];
        timing_limits(&program, &report, pattern, &pattern.lanes[0].pulses, &[0])
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
        assert_eq!(limits(1, &format!("{text}\nrule LW001 heads=b")), []);
        assert_eq!(
            limits(1, &format!("{text}\nrule LW001 except_patterns=a")),
            []
        );
    }
}
