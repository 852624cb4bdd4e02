//! Step tables: what a controller is given, as rows of time and level on its own tick.
//!
//! Invariant: within a column times rise strictly from zero and lie on the tick, and neighboring steps meet; a column whose edges were on the tick gives its pulses back unchanged.
//! Absent: judging what rounding does to a program, and the texts of files.

use crate::{Color, Lane, Pattern, PatternId, Pulse, RoleId};
use lampwright_timing::{Level, Micros, Waveform, least_common_period};

/// Most steps that columns of several periods may repeat to in one pattern.
pub const MOST_STEPS: i64 = 500_000;

/// Columns of steps with what there is to say about them.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct StepTable {
    /// Name of the program.
    pub program: String,
    /// What it is a table of: a pattern or a state, in words.
    pub subject: String,
    /// Step of the controller, above zero.
    pub tick: Micros,
    /// One per lane or output, each with a name of its own.
    pub columns: Vec<StepColumn>,
    /// What rounding did, and cautions; one line each.
    pub notes: Vec<String>,
    /// What the columns drive, one line each; empty for a pattern, which knows nothing of any vehicle.
    pub drives: Vec<String>,
}

/// The steps of one lane or output.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct StepColumn {
    /// The lane's role, the output's identifier, or head and color.
    pub name: String,
    /// Length after which the steps repeat, a multiple of the tick.
    pub period: Micros,
    /// How much the period grew by rounding.
    pub period_rounded_by: Micros,
    /// The steps, at least one, the first at zero.
    pub steps: Vec<TableStep>,
    /// Pulses that rounding left no time for.
    pub n_lost_pulses: usize,
    /// Dark gaps that rounding left no time for.
    pub n_lost_gaps: usize,
}

/// From `at` on the column has this level.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct TableStep {
    /// From the start of the period, a multiple of the tick.
    pub at: Micros,
    /// Level; zero is dark.
    pub level: Level,
    /// Color where the pulse has one of its own.
    pub color: Option<Color>,
    /// How much later than the exact instant.
    pub rounded_by: Micros,
}

impl StepColumn {
    /// The column of pulses that are a lane of the period; each edge goes to the nearest tick, halves later.
    #[must_use]
    pub fn of(name: String, period: Micros, pulses: &[Pulse], tick: Micros) -> Self {
        let rounded_period = period.round_to(tick).max(tick);
        let mut exact = Vec::with_capacity(2 * pulses.len() + 1);
        let mut dark_from = Micros::ZERO;
        for pulse in pulses {
            if pulse.start > dark_from || (exact.is_empty() && pulse.start > Micros::ZERO) {
                exact.push((dark_from, Level::DARK, None));
            }
            exact.push((pulse.start, pulse.level, pulse.color));
            dark_from = pulse.end();
        }
        if dark_from < period || exact.is_empty() {
            exact.push((dark_from, Level::DARK, None));
        }
        let mut column = Self {
            name,
            period: rounded_period,
            period_rounded_by: rounded_period - period,
            steps: Vec::with_capacity(exact.len()),
            n_lost_pulses: 0,
            n_lost_gaps: 0,
        };
        for (index, (at, level, color)) in exact.iter().enumerate() {
            let rounded = at.round_to(tick);
            let end = exact
                .get(index + 1)
                .map_or(rounded_period, |(next, ..)| next.round_to(tick));
            let is_dark = *level == Level::DARK;
            let was_dark = column.steps.last().map(|step| step.level) == Some(Level::DARK);
            if rounded < end {
                if is_dark && was_dark {
                    // The pulse between was lost, and one row says it all.
                    continue;
                }
                column.steps.push(TableStep {
                    at: rounded,
                    level: *level,
                    color: *color,
                    rounded_by: rounded - *at,
                });
            } else if is_dark {
                column.n_lost_gaps += 1;
            } else {
                column.n_lost_pulses += 1;
            }
        }
        column
    }

    /// The column of a course of levels in per mille; one that never changes repeats with the tick.
    #[must_use]
    pub fn of_course(name: String, course: &Waveform, tick: Micros) -> Self {
        let pulse = |start, length, value| Pulse {
            start,
            length,
            level: Level::nearest(value),
            color: None,
        };
        if course.is_constant() {
            let steady = pulse(Micros::ZERO, tick, course.maximum());
            let lit = course.maximum() > 0;
            return Self::of(
                name,
                tick,
                if lit {
                    std::slice::from_ref(&steady)
                } else {
                    &[]
                },
                tick,
            );
        }
        let pulses: Vec<Pulse> = course
            .pieces()
            .filter(|(_, value)| *value > 0)
            .map(|(piece, value)| pulse(piece.start, piece.length, value))
            .collect();
        Self::of(name, course.period(), &pulses, tick)
    }

    /// The pulses of one period, sorted and free of overlap.
    #[must_use]
    pub fn pulses(&self) -> Vec<Pulse> {
        let ends = self.steps.iter().skip(1).map(|step| step.at);
        self.steps
            .iter()
            .zip(ends.chain([self.period]))
            .filter(|(step, _)| step.level > Level::DARK)
            .map(|(step, end)| Pulse {
                start: step.at,
                length: end - step.at,
                level: step.level,
                color: step.color,
            })
            .collect()
    }

    /// The course of levels in per mille.
    #[must_use]
    pub fn course(&self) -> Waveform {
        let pulses = self.pulses();
        let parts = pulses
            .iter()
            .map(|pulse| (pulse.start, pulse.length, pulse.level.per_mille()));
        Waveform::from_pulses(self.period, parts).unwrap_or_else(|_| Waveform::constant(0))
    }

    /// The step that was moved farthest, as how far and the instant it was moved to; the period's end counts as one.
    #[must_use]
    pub fn largest_rounding(&self) -> (Micros, Micros) {
        let end = (self.period_rounded_by, self.period);
        self.steps
            .iter()
            .map(|step| (step.rounded_by, step.at))
            .chain([end])
            .fold((Micros::ZERO, Micros::ZERO), |largest, now| {
                if now.0.get().abs() > largest.0.get().abs() {
                    now
                } else {
                    largest
                }
            })
    }
}

impl StepTable {
    /// What a pattern made of the table is called: what it was called before, or what the table is of; none when the table does not say.
    #[must_use]
    pub fn name(&self) -> Option<&str> {
        let pattern = self.subject.strip_prefix("pattern ");
        let label = pattern.and_then(|pattern| Some(pattern.split_once(", ")?.1));
        label
            .or(Some(&self.subject))
            .filter(|name| !name.is_empty())
    }

    /// The table as a pattern, a lane for each column over the least common period; a column of one step fits any period.
    ///
    /// # Errors
    /// In plain words when that period is longer than two minutes, when the columns would repeat to more than [`MOST_STEPS`] steps in it, or when a name is no role.
    pub fn to_pattern(&self, id: PatternId, label: String) -> Result<Pattern, String> {
        let mut periods: Vec<Micros> = self
            .columns
            .iter()
            .filter(|column| column.steps.len() > 1)
            .map(|column| column.period)
            .collect();
        periods.dedup();
        let mut period = match periods.as_slice() {
            [only] => *only,
            more => least_common_period(more.iter().copied())
                .map_err(|_| "the columns have no common period of at most 2 minutes".to_owned())?,
        };
        if self.columns.iter().all(|column| column.steps.len() <= 1) {
            let longest = self.columns.iter().map(|column| column.period).max();
            period = longest.unwrap_or(self.tick);
        }
        let n_steps = self.columns.iter().map(|column| {
            let n_times = period.get() / column.period.get().max(1);
            n_times.saturating_mul(i64::try_from(column.steps.len()).unwrap_or(i64::MAX))
        });
        if n_steps.fold(0, i64::saturating_add) > MOST_STEPS {
            return Err(format!(
                "the columns repeat to more than {MOST_STEPS} steps in their common period"
            ));
        }
        let mut lanes = Vec::with_capacity(self.columns.len());
        for column in &self.columns {
            let mut pulses = column.pulses();
            if let ([only], 1) = (pulses.as_mut_slice(), column.steps.len()) {
                only.length = period;
            } else if column.steps.len() > 1 {
                let first = pulses.clone();
                let n_times = period.get() / column.period.get();
                pulses.extend((1..n_times).flat_map(|turn| {
                    first.iter().map(move |pulse| Pulse {
                        start: pulse.start + column.period * turn,
                        ..*pulse
                    })
                }));
            }
            lanes.push(Lane {
                role: RoleId::new(&column.name).map_err(|error| error.to_string())?,
                pulses: pulses.into(),
            });
        }
        Ok(Pattern {
            id,
            label,
            period,
            tick: self.tick,
            lanes,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MS: i64 = 1000;

    fn pulse(start: i64, length: i64) -> Pulse {
        Pulse {
            start: Micros(start * MS),
            length: Micros(length * MS),
            level: Level::FULL,
            color: None,
        }
    }

    fn column(period: i64, pulses: &[Pulse], tick: i64) -> StepColumn {
        StepColumn::of(
            "left".into(),
            Micros(period * MS),
            pulses,
            Micros(tick * MS),
        )
    }

    #[track_caller]
    fn check(column: &StepColumn, expected: &[(i64, i64)]) {
        let found: Vec<(i64, i64)> = column
            .steps
            .iter()
            .map(|step| (step.at.get() / MS, step.level.per_mille()))
            .collect();
        assert_eq!(found, expected);
    }

    #[test]
    fn what_is_on_the_tick_comes_back_touching_pulses_included() {
        let pulses = [pulse(0, 50), pulse(50, 50), pulse(450, 50)];
        let column = column(500, &pulses, 10);
        check(&column, &[(0, 1000), (50, 1000), (100, 0), (450, 1000)]);
        assert_eq!(column.pulses(), pulses);
        assert_eq!(column.largest_rounding().0, Micros::ZERO);
    }

    #[test]
    fn an_empty_lane_is_one_dark_step() {
        let column = column(500, &[], 10);
        check(&column, &[(0, 0)]);
        assert_eq!(column.pulses(), []);
    }

    #[test]
    fn each_edge_goes_to_the_nearest_tick_and_says_how_far() {
        let column = column(502, &[pulse(14, 74)], 10);
        check(&column, &[(0, 0), (10, 1000), (90, 0)]);
        let moved: Vec<i64> = column
            .steps
            .iter()
            .map(|step| step.rounded_by.get() / MS)
            .collect();
        assert_eq!(moved, [0, -4, 2]);
        assert_eq!(column.period, Micros(500 * MS));
        assert_eq!(column.period_rounded_by, Micros(-2 * MS));
        assert_eq!(
            column.largest_rounding(),
            (Micros(-4 * MS), Micros(10 * MS))
        );
    }

    #[test]
    fn pulses_and_gaps_shorter_than_half_a_tick_are_counted_as_lost() {
        let column = column(500, &[pulse(0, 50), pulse(54, 46), pulse(201, 2)], 10);
        check(&column, &[(0, 1000), (50, 1000), (100, 0)]);
        assert_eq!((column.n_lost_gaps, column.n_lost_pulses), (1, 1));
    }

    #[test]
    fn columns_of_several_periods_become_one_pattern() {
        let role = str::to_owned;
        let tick = Micros(10 * MS);
        let steady = StepColumn::of_course(role("steady"), &Waveform::constant(300), tick);
        let table = StepTable {
            program: String::new(),
            subject: String::new(),
            tick,
            columns: vec![
                StepColumn::of(role("a"), Micros(200 * MS), &[pulse(0, 100)], tick),
                StepColumn::of(role("b"), Micros(300 * MS), &[pulse(10, 20)], tick),
                steady,
                StepColumn::of_course(role("dark"), &Waveform::constant(0), tick),
            ],
            notes: Vec::new(),
            drives: Vec::new(),
        };
        let id = PatternId::new("joined").unwrap();
        let pattern = table.to_pattern(id, String::new()).unwrap();
        assert_eq!(pattern.period, Micros(600 * MS));
        let n_pulses: Vec<usize> = pattern.lanes.iter().map(|lane| lane.pulses.len()).collect();
        assert_eq!(n_pulses, [3, 2, 1, 0]);
        assert_eq!(pattern.lanes[2].pulses[0].length, Micros(600 * MS));
    }
}
