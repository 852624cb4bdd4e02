//! The project's budgets, measured: budget, figure and ratio of each.
//!
//! Invariant: a figure is either measured in this run or shown as "not measured" with the reason; a figure above its budget fails the command, and so does a measurement that failed.
//! What counts is the median, but of the inputs and frames of the scripted minute the 95th percentile.
//! Absent: comparison with earlier runs, and any figure from another machine.

use crate::process::Problem;
use crate::size::BUDGET_BYTES;
use crate::{dist, setup};

mod browser;
mod figure;
mod native;

use figure::Figure;

/// What `bench` was asked to do.
#[derive(Debug, Default)]
pub(crate) struct Options {
    /// Measure these budgets alone, by name.
    pub(crate) only: Vec<String>,
}

/// One budget of the design and what came of measuring it.
struct Row {
    budget: Budget,
    outcome: Outcome,
}

/// One budget of the design.
#[derive(Clone, Copy)]
struct Budget {
    name: &'static str,
    work: &'static str,
    most: f64,
    unit: &'static str,
    counts: Counts,
}

/// Which of many measurements a budget is held against.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Counts {
    Median,
    P95,
}

enum Outcome {
    /// The figure, and lines on how it comes about.
    Measured(Figure, Vec<String>),
    /// Nobody can measure it yet, or it was not asked for.
    Not(&'static str),
    /// Measuring went wrong.
    Failed(Problem),
}

const BUDGETS: [Budget; 12] = [
    Budget::new(
        "edit",
        "one edit on a 60-head program, in the browser",
        8.0,
        "ms",
    ),
    Budget::new(
        "frame",
        "a frame of 64 lanes with 100,000 pulses, in the browser",
        8.0,
        "ms",
    ),
    Budget::new("states", "all states of a 20-signal program", 1.0, "s"),
    Budget::new("files", "checking 10,000 pattern files", 10.0, "s"),
    Budget::new(
        "size",
        "app transfer size, WebAssembly and JavaScript, brotli",
        BUDGET_BYTES as f64 / 1000.0,
        "kB",
    ),
    Budget::new(
        "paint",
        "first useful paint from a warm local server",
        1.0,
        "s",
    ),
    Budget::of_minute(
        "largest demo, a minute: an edit by dragging, until it is shown",
        8.0,
        "ms",
    ),
    Budget::of_minute("largest demo, a minute: a frame", 8.0, "ms"),
    Budget::new("minute", "largest demo: first useful paint", 1.0, "s"),
    Budget::of_minute(
        "100,000 played pulses, a minute: an edit by dragging",
        8.0,
        "ms",
    ),
    Budget::of_minute("100,000 played pulses, a minute: a frame", 8.0, "ms"),
    Budget::new(
        "minute",
        "100,000 played pulses: first useful paint",
        1.0,
        "s",
    ),
];

/// Measures what was asked for, else everything, and prints a line for each budget.
pub(crate) fn run(options: &Options) -> Result<(), Problem> {
    if let Some(unknown) = options
        .only
        .iter()
        .find(|only| !BUDGETS.iter().any(|budget| budget.name == *only))
    {
        let mut names = BUDGETS.map(|budget| budget.name).to_vec();
        names.dedup();
        let names = names.join(", ");
        return Err(Problem::new(
            format!("there is no budget {unknown:?}"),
            format!("choose among {names}"),
        ));
    }
    setup::ensure(setup::Needs {
        lints: false,
        ..setup::Needs::ALL
    })?;
    let outcomes = measured(options);
    let rows: Vec<Row> = BUDGETS
        .into_iter()
        .zip(outcomes)
        .map(|(budget, outcome)| Row { budget, outcome })
        .collect();
    println!();
    for row in &rows {
        for note in row.notes() {
            println!("{:<7} {note}", row.budget.name);
        }
    }
    println!();
    if let Some(note) = busy_note() {
        println!("{note}");
    }
    for row in &rows {
        println!("{}", row.line());
    }
    sum_up(&rows)
}

/// Says so when other programs kept the processors busy: then every time is too long.
fn busy_note() -> Option<String> {
    let load: f64 = std::fs::read_to_string("/proc/loadavg")
        .ok()?
        .split_whitespace()
        .next()?
        .parse()
        .ok()?;
    let n_cores = std::thread::available_parallelism().ok()?.get();
    (load > n_cores as f64).then(|| {
        format!("note: a load of {load:.1} on {n_cores} cores: other programs make these times too long, measure again when they rest")
    })
}

/// One outcome per row, in the order of the rows.
fn measured(options: &Options) -> [Outcome; 12] {
    let is_wanted =
        |name: &str| options.only.is_empty() || options.only.iter().any(|only| only == name);
    let asked = |name: &str, measure: &mut dyn FnMut() -> Outcome| {
        if is_wanted(name) {
            measure()
        } else {
            Outcome::Not("not asked for")
        }
    };
    let (edit, frame) = if is_wanted("edit") || is_wanted("frame") {
        match browser::edit_and_frame() {
            Ok((edit, frame)) => (
                Outcome::Measured(edit.whole, vec![edit.parts]),
                Outcome::Measured(frame.worst, frame.zooms),
            ),
            Err(problem) => (
                Outcome::Failed(problem),
                Outcome::Not("failed with the edit"),
            ),
        }
    } else {
        (Outcome::Not("not asked for"), Outcome::Not("not asked for"))
    };
    let files = asked("files", &mut || Outcome::of(native::check_files()));
    // The first paint is that of the app which was built for its size.
    let sizes = ["size", "paint", "minute"]
        .into_iter()
        .any(is_wanted)
        .then(dist::write);
    let is_built = matches!(sizes, Some(Ok(_)));
    let (size, paint) = match sizes {
        None => (Outcome::Not("not asked for"), Outcome::Not("not asked for")),
        Some(Err(problem)) => (
            Outcome::Failed(problem),
            Outcome::Not("the app could not be built"),
        ),
        Some(Ok(sizes)) => (
            Figure::of(vec![sizes.first_bytes() as f64 / 1000.0])
                .map_or(Outcome::Not("nothing to weigh"), |figure| {
                    Outcome::Measured(figure, Vec::new())
                }),
            asked("paint", &mut || Outcome::of(browser::first_paint())),
        ),
    };
    let states = asked("states", &mut || Outcome::of(native::judge_states()));
    let [demo, played] = [browser::Kept::LargestDemo, browser::Kept::Played].map(|kept| {
        if !is_wanted("minute") {
            return Outcome::thrice(|| Outcome::Not("not asked for"));
        }
        if !is_built {
            return Outcome::thrice(|| Outcome::Not("the app could not be built"));
        }
        match browser::minute(kept) {
            Ok(minute) => [
                Outcome::Measured(minute.edit, minute.on_edits),
                Outcome::Measured(minute.frame, minute.on_frames),
                Outcome::Measured(minute.paint, Vec::new()),
            ],
            Err(problem) => [
                Outcome::Failed(problem),
                Outcome::Not("failed with the edits"),
                Outcome::Not("failed with the edits"),
            ],
        }
    });
    let [demo_edit, demo_frame, demo_paint] = demo;
    let [played_edit, played_frame, played_paint] = played;
    [
        edit,
        frame,
        states,
        files,
        size,
        paint,
        demo_edit,
        demo_frame,
        demo_paint,
        played_edit,
        played_frame,
        played_paint,
    ]
}

fn sum_up(rows: &[Row]) -> Result<(), Problem> {
    let over = rows.iter().filter(|row| row.is_over()).count();
    let failed = rows
        .iter()
        .filter(|row| matches!(row.outcome, Outcome::Failed(_)))
        .count();
    if over == 0 && failed == 0 {
        return Ok(());
    }
    Err(Problem::new(
        format!(
            "of {} budgets {over} are exceeded and {failed} could not be measured",
            rows.len()
        ),
        "measure before and after each change, in one run",
    ))
}

impl Budget {
    const fn new(name: &'static str, work: &'static str, most: f64, unit: &'static str) -> Self {
        Self {
            name,
            work,
            most,
            unit,
            counts: Counts::Median,
        }
    }

    const fn of_minute(work: &'static str, most: f64, unit: &'static str) -> Self {
        Self {
            counts: Counts::P95,
            ..Self::new("minute", work, most, unit)
        }
    }

    /// The one measurement that the budget is held against.
    fn counted(&self, figure: &Figure) -> f64 {
        match self.counts {
            Counts::Median => figure.median,
            Counts::P95 => figure.p95,
        }
    }
}

impl Outcome {
    fn thrice(make: impl Fn() -> Self) -> [Self; 3] {
        [make(), make(), make()]
    }

    fn of(measured: Result<Figure, Problem>) -> Self {
        match measured {
            Ok(figure) => Self::Measured(figure, Vec::new()),
            Err(problem) => Self::Failed(problem),
        }
    }
}

impl Row {
    fn is_over(&self) -> bool {
        matches!(&self.outcome, Outcome::Measured(figure, _) if self.budget.counted(figure) > self.budget.most)
    }

    fn notes(&self) -> Vec<String> {
        match &self.outcome {
            Outcome::Measured(_, notes) => notes.clone(),
            Outcome::Not(_) => Vec::new(),
            Outcome::Failed(problem) => vec![problem.to_string()],
        }
    }

    fn line(&self) -> String {
        let Budget {
            name,
            work,
            most,
            unit,
            ..
        } = self.budget;
        let start = format!("{name:<7} {work:<62} budget {most:>5.0} {unit:<2}");
        match &self.outcome {
            Outcome::Measured(figure, _) => format!(
                "{start} ratio {:>5.2}{} {figure} {unit}",
                self.budget.counted(figure) / most,
                if self.is_over() { " OVER" } else { "     " },
            ),
            Outcome::Not(why) => format!("{start} {why}"),
            Outcome::Failed(_) => format!("{start} not measured: failed, see above"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(outcome: Outcome) -> Row {
        Row {
            budget: Budget::new("name", "work", 8.0, "ms"),
            outcome,
        }
    }

    fn measured(median: f64) -> Outcome {
        let figure = Figure {
            least: median,
            median,
            p95: 2.0 * median,
            most: 3.0 * median,
            n_repeats: 9,
        };
        Outcome::Measured(figure, Vec::new())
    }

    #[test]
    fn the_budget_itself_is_kept_and_more_is_not() {
        assert!(sum_up(&[row(measured(8.0))]).is_ok());
        assert!(sum_up(&[row(measured(8.01))]).is_err());
        assert!(row(measured(8.01)).line().contains("OVER"));
    }

    #[test]
    fn of_the_minute_the_95th_percentile_counts() {
        let of_minute = |median: f64| Row {
            budget: Budget::of_minute("work", 8.0, "ms"),
            outcome: measured(median),
        };
        assert!(sum_up(&[of_minute(4.0)]).is_ok());
        assert!(sum_up(&[of_minute(4.01)]).is_err());
        assert!(of_minute(4.0).line().contains("ratio  1.00"));
    }

    #[test]
    fn a_line_has_budget_figures_and_ratio() {
        let line = row(measured(6.0)).line();
        for part in [
            "budget     8 ms",
            "median 6.00",
            "within 12.00",
            "ratio  0.75",
        ] {
            assert!(line.contains(part), "{line} lacks {part}");
        }
    }

    #[test]
    fn what_was_not_measured_says_so_and_what_failed_fails_the_command() {
        let not = row(Outcome::Not("not measured yet: later"));
        assert!(not.line().contains("not measured yet"));
        assert!(sum_up(&[not]).is_ok());
        let failed = row(Outcome::Failed(Problem::new("broken", "mend it")));
        assert!(failed.line().contains("not measured"));
        assert!(sum_up(&[failed]).is_err());
    }

    #[test]
    fn an_unknown_budget_is_refused_before_anything_is_set_up() {
        let options = Options {
            only: vec!["speed".into()],
        };
        assert!(run(&options).is_err());
    }
}
