//! Judging in steps, so that whoever judges can do something else in between.
//!
//! Invariant: all steps together give exactly what [`check_with`](crate::check_with) and [`check_state`](crate::check_state) give.
//! Absent: a clock; whoever calls decides how many steps to do at once.

use crate::check::{Run, judged_states};
use crate::facts::Facts;
use crate::light::{DirectionScreening, DirectionTable, ScreenedDirections};
use crate::measure::measure;
use crate::report::{FoundIn, Report};
use crate::rules::{CheckSettings, Context};
use lampwright_model::{Drive, LaneCourses, Program, resolve_with};
use lampwright_timing::{MAX_COMMON_PERIOD, Micros, least_common_period};
use std::sync::Arc;

/// Judging one or more states of a program that stays the same, step by step: measuring, then direction after direction, state after state, then rule after rule.
#[derive(Debug)]
pub struct Judging {
    settings: CheckSettings,
    is_complete: bool,
    /// What is still to be measured, the next one last.
    waiting: Vec<(FoundIn, Drive)>,
    screening: Option<Box<(Measured, DirectionScreening)>>,
    measured: Vec<Measured>,
    run: Option<Run>,
    is_done: bool,
}

/// One state, resolved, measured and screened.
#[derive(Clone, Debug)]
pub struct Measured {
    /// Which state this is.
    pub found_in: FoundIn,
    /// What every head does.
    pub drive: Drive,
    /// What was measured.
    pub facts: Facts,
    /// The screening toward every direction.
    pub screened: ScreenedDirections,
}

impl Measured {
    fn of_context(context: Context<'_>) -> Self {
        Self {
            found_in: context.found_in,
            drive: context.drive,
            facts: context.facts,
            screened: context.screened,
        }
    }

    fn in_program(self, program: &Program) -> Context<'_> {
        Context {
            program,
            found_in: self.found_in,
            drive: self.drive,
            facts: self.facts,
            screened: self.screened,
        }
    }
}

impl Judging {
    /// Judges the default state and every situation.
    #[must_use]
    pub fn of_program(program: &Program, settings: CheckSettings) -> Self {
        let mut courses = LaneCourses::default();
        let drives = judged_states(program)
            .map(|(found_in, state)| (found_in, resolve_with(program, &state, &mut courses)))
            .collect();
        Self::of_drives(drives, true, settings)
    }

    /// Judges one drive of a program for live feedback, as [`check_state`](crate::check_state) does.
    #[must_use]
    pub fn of_drive(found_in: FoundIn, drive: Drive, settings: CheckSettings) -> Self {
        Self::of_drives(vec![(found_in, drive)], false, settings)
    }

    fn of_drives(
        mut drives: Vec<(FoundIn, Drive)>,
        is_complete: bool,
        settings: CheckSettings,
    ) -> Self {
        drives.reverse();
        Self {
            settings,
            is_complete,
            waiting: drives,
            screening: None,
            measured: Vec::new(),
            run: None,
            is_done: false,
        }
    }

    /// How much work the state that takes most of it is, as [`n_changes`] counts it, of those not measured yet.
    #[must_use]
    pub fn n_changes(&self) -> usize {
        let each = self.waiting.iter().map(|(_, drive)| n_changes(drive));
        each.max().unwrap_or(0)
    }

    /// Does the next step; false when there is none left.
    ///
    /// All steps are given the program of the drives and the table of its vehicle.
    pub fn step(&mut self, program: &Program, table: &DirectionTable) -> bool {
        if let Some(mut state) = self.screening.take() {
            let (measured, screening) = &mut *state;
            if screening.step(
                program,
                &measured.facts.courses,
                table,
                &self.settings.screen,
            ) {
                self.screening = Some(state);
            } else {
                let (mut measured, screening) = *state;
                measured.screened = screening.finish();
                self.measured.push(measured);
            }
            return true;
        }
        if let Some((found_in, drive)) = self.waiting.pop() {
            let measured = Measured {
                found_in,
                facts: measure(program, &drive, &self.settings.measure),
                drive,
                screened: ScreenedDirections::default(),
            };
            self.screening = Some(Box::new((measured, DirectionScreening::default())));
            return true;
        }
        let contexts: Vec<Context<'_>> = std::mem::take(&mut self.measured)
            .into_iter()
            .map(|measured| measured.in_program(program))
            .collect();
        let run = self
            .run
            .get_or_insert_with(|| Run::new(program, &contexts, self.is_complete, &self.settings));
        let has_run = run.step(program, &contexts);
        self.measured = contexts.into_iter().map(Measured::of_context).collect();
        self.is_done = !has_run;
        has_run
    }

    /// The states and what the rules say about them; none before the last step.
    #[must_use]
    pub fn finish(self) -> Option<(Vec<Measured>, Report)> {
        let report = self.run.filter(|_| self.is_done)?.finish();
        Some((self.measured, report))
    }
}

/// How often the courses of a drive change within their common period, or within the longest one allowed; the work of measuring and screening grows with it.
#[must_use]
pub fn n_changes(drive: &Drive) -> usize {
    let mut courses: Vec<_> = drive
        .heads
        .iter()
        .flat_map(|head| &head.emitters)
        .map(|emitter| &emitter.level)
        .filter(|level| !level.is_constant())
        .collect();
    // The same course in many heads is one.
    lampwright_timing::sort_by(&mut courses, |one, other| {
        Arc::as_ptr(one).cmp(&Arc::as_ptr(other))
    });
    courses.dedup_by(|one, other| Arc::ptr_eq(one, other));
    let period = least_common_period(courses.iter().map(|course| course.period()))
        .unwrap_or(MAX_COMMON_PERIOD);
    courses
        .iter()
        .map(|course| {
            let n_repeats = period.0 / course.period().max(Micros(1)).0;
            course.steps().len() * usize::try_from(n_repeats).unwrap_or(1).max(1)
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::sketch;
    use crate::{check_state, check_with};
    use lampwright_model::{RuleCode, State, resolve};

    fn program() -> Program {
        let heads = "head a front red 900cd\nhead b rear amber 300cd";
        sketch::program(
            RuleCode(22),
            &format!("{heads}\nlane a period 250 ms: 0-100\nlane b period 400 ms: 0-100"),
        )
    }

    #[test]
    fn steps_give_what_judging_at_once_gives() {
        let (program, settings) = (program(), CheckSettings::default());
        let table = DirectionTable::new(&program.vehicle, settings.light);
        let state = State::default_of(&program);
        let drive = resolve(&program, &state);
        let mut judging = Judging::of_drive(FoundIn::DefaultState, drive, settings);
        let mut n_steps = 0;
        while judging.step(&program, &table) {
            n_steps += 1;
        }
        assert!(n_steps > 72 + crate::rules::RULES.len(), "{n_steps}");
        let (measured, report) = judging.finish().unwrap();
        let (context, expected) =
            check_state(&program, FoundIn::DefaultState, &state, &table, &settings);
        assert_eq!(report, expected);
        assert!(!report.findings.is_empty());
        assert_eq!(measured[0].facts, context.facts);
        assert_eq!(measured[0].screened, context.screened);
    }

    #[test]
    fn the_whole_program_in_steps_is_judged_as_its_contexts_are() {
        let (program, settings) = (program(), CheckSettings::default());
        let contexts = crate::contexts(&program, &settings);
        let expected = crate::judge(&program, &contexts, true, &settings);
        assert_eq!(check_with(&program, &settings), expected);
    }

    #[test]
    fn nothing_is_said_before_the_last_step() {
        let (program, settings) = (program(), CheckSettings::default());
        let table = DirectionTable::new(&program.vehicle, settings.light);
        let n_steps = 1 + 73 + crate::rules::RULES.len();
        for n_done in [0, 1, 74, n_steps - 1, n_steps] {
            let mut judging = Judging::of_program(&program, settings);
            for _ in 0..n_done {
                assert!(judging.step(&program, &table), "{n_done}");
            }
            if n_done == n_steps {
                assert!(!judging.step(&program, &table));
            }
            assert_eq!(judging.finish().is_some(), n_done == n_steps, "{n_done}");
        }
    }

    #[test]
    fn changes_are_counted_over_the_common_period_and_shared_courses_once() {
        let program = program();
        let drive = resolve(&program, &State::default_of(&program));
        // 250 ms and 400 ms come together after 2 s: eight and five times two changes.
        assert_eq!(n_changes(&drive), 26);
        let shared = sketch::program(
            RuleCode(22),
            "head a front red\nhead b rear amber\nlane a b period 250 ms: 0-100",
        );
        let drive = resolve(&shared, &State::default_of(&shared));
        assert_eq!(n_changes(&drive), 2);
    }
}
