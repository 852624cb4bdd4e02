//! The project's budgets, measured: budget, figure and ratio of each.
//!
//! Invariant: a figure is either measured in this run or shown as "not measured yet"; a ratio above
//! one fails the command.
//! Absent: comparison with earlier runs, and any figure from another machine.

use crate::process::Problem;
use crate::size::BUDGET_BYTES;
use crate::{dist, setup};

/// One budget of the design and, if it was measured, what came out.
struct Row {
    work: &'static str,
    budget: f64,
    unit: &'static str,
    measured: Option<f64>,
}

/// Measures everything that can be measured and prints a line for each budget.
pub(crate) fn run() -> Result<(), Problem> {
    setup::ensure(setup::Needs::WASM)?;
    let sizes = dist::write()?;
    let rows = [
        Row {
            work: "one edit on a 60-head program, in the browser",
            budget: 8.0,
            unit: "ms",
            measured: None,
        },
        Row {
            work: "one frame of 64 lanes with 100,000 pulses, in the browser",
            budget: 8.0,
            unit: "ms",
            measured: None,
        },
        Row {
            work: "app transfer size, WebAssembly and JavaScript, brotli",
            budget: BUDGET_BYTES as f64 / 1000.0,
            unit: "kB",
            measured: Some(sizes.total_bytes() as f64 / 1000.0),
        },
    ];
    println!();
    for row in &rows {
        println!("{}", row.line());
    }
    let over = rows.iter().filter(|row| row.is_over()).count();
    if over > 0 {
        return Err(Problem::new(
            format!("{over} of {} budgets are exceeded", rows.len()),
            "measure before and after each change, in one run",
        ));
    }
    Ok(())
}

impl Row {
    fn is_over(&self) -> bool {
        self.measured.is_some_and(|figure| figure > self.budget)
    }

    fn line(&self) -> String {
        let Self {
            work, budget, unit, ..
        } = self;
        match self.measured {
            Some(figure) => format!(
                "{work:<58} budget {budget:>6.1} {unit}, measured {figure:>7.2} {unit}, ratio {:.2}",
                figure / budget
            ),
            None => format!("{work:<58} budget {budget:>6.1} {unit}, not measured yet"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(measured: Option<f64>) -> Row {
        Row {
            work: "work",
            budget: 8.0,
            unit: "ms",
            measured,
        }
    }

    #[test]
    fn the_budget_itself_is_kept_and_more_is_not() {
        assert!(!row(Some(8.0)).is_over());
        assert!(row(Some(8.01)).is_over());
    }

    #[test]
    fn what_was_not_measured_says_so() {
        assert!(row(None).line().contains("not measured yet"));
    }
}
