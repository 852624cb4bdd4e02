//! Step tables as text: CSV (RFC 4180, with lines of notes that start with `#`) and a plain C array; CSV reads back in.
//!
//! Invariant: a table without rounding gives the same columns back; what is wrong in a text is said with its line, and reading is bounded by [`MOST_BYTES`].
//! Absent: reading C, and making tables.

use crate::decimal::{scaled, shown};
use crate::header::MOST_BYTES;
use crate::reader::{MOST_PROBLEMS, MOST_PULSES};
use lampwright_model::{Color, Problem, StepColumn, StepTable, TableStep};
use lampwright_timing::{Level, Micros, greatest_common_divisor as gcd};

const TITLES: [&str; 6] = [
    "lane",
    "period_ms",
    "time_ms",
    "level_permille",
    "color",
    "rounding_ms",
];

/// The note that says what a table is of.
const SUBJECT: &str = "Lampwright step table of ";

/// Most lanes that are read from one table.
const MOST_COLUMNS: usize = 1024;

/// How many of the titles a table needs.
const N_NEEDED: usize = 4;

/// The table as CSV, a row for each step.
#[must_use]
pub fn write_steps_csv(table: &StepTable) -> String {
    let mut out = String::new();
    for line in head_lines(table) {
        put(&mut out, &["# ", &line, "\n"]);
    }
    let tick = ms(table.tick);
    put(
        &mut out,
        &[
            "# Times in ms, level in per mille of full drive (0 is dark), each row holds until the next of its lane and the last until the period ends; rounding_ms is how much later than the exact instant a step is\n# tick_ms ",
            &tick,
            "\n",
        ],
    );
    put(&mut out, &[&TITLES.join(","), "\n"]);
    for column in &table.columns {
        let period = ms(column.period);
        for step in &column.steps {
            let color = step.color.map_or("", Color::name);
            let level = step.level.per_mille().to_string();
            let (at, by) = (ms(step.at), ms(step.rounded_by));
            let row = [&column.name, &period, &at, &level, color, &by];
            put(&mut out, &[&row.join(","), "\n"]);
        }
    }
    out
}

/// What stands between the notes and the steps of the C file, but for the tick.
const C_TYPES: &str = "

struct lampwright_step {
    uint32_t time_ticks;
    uint16_t level_permille;
    char color;
};

struct lampwright_lane {
    const char *name;
    uint32_t period_ticks;
    uint32_t n_steps;
    const struct lampwright_step *steps;
};
";

/// The table as C99: an array of steps for each column, and one of the columns.
#[must_use]
pub fn write_steps_c(table: &StepTable) -> String {
    let mut out = String::from("/*\n");
    for line in head_lines(table) {
        // Nothing in a name may end the comment or start one in it.
        put(&mut out, &[" * ", &line.replace('*', "x"), "\n"]);
    }
    let micros = table.tick.get().to_string();
    put(
        &mut out,
        &[
            " * Times in ticks of ",
            &ms(table.tick),
            " ms, level in per mille of full drive (0 is dark), color R, B, A, W or G, or 0 for the lamp's own.\n * Each step holds until the next one, the last until the period ends.\n */\n#include <stdint.h>\n\n#define LAMPWRIGHT_TICK_MICROSECONDS ",
            &micros,
            C_TYPES,
        ],
    );
    let ticks = |time: Micros| (time.get() / table.tick.get().max(1)).to_string();
    let mut lanes = String::new();
    for (index, column) in table.columns.iter().enumerate() {
        let array = ["lampwright_steps_", &index.to_string()].concat();
        put(
            &mut out,
            &[
                "\n/* ",
                &column.name,
                " */\nstatic const struct lampwright_step ",
                &array,
                "[] = {\n",
            ],
        );
        for step in &column.steps {
            let mut letter = [0; 4];
            let color = match step.color {
                Some(color) => ["'", color.letter().encode_utf8(&mut letter), "'"].concat(),
                None => "0".into(),
            };
            let level = step.level.per_mille().to_string();
            put(
                &mut out,
                &[
                    "    {",
                    &ticks(step.at),
                    "u, ",
                    &level,
                    "u, ",
                    &color,
                    "},\n",
                ],
            );
        }
        out.push_str("};\n");
        let n_steps = column.steps.len().to_string();
        put(
            &mut lanes,
            &[
                "    {\"",
                &column.name,
                "\", ",
                &ticks(column.period),
                "u, ",
                &n_steps,
                "u, ",
                &array,
                "},\n",
            ],
        );
    }
    if lanes.is_empty() {
        lanes.push_str("    {\"\", 0u, 0u, 0}\n");
    }
    let n_lanes = table.columns.len().to_string();
    put(
        &mut out,
        &[
            "\nconst uint32_t lampwright_n_lanes = ",
            &n_lanes,
            "u;\nconst struct lampwright_lane lampwright_lanes[] = {\n",
            &lanes,
            "};\n",
        ],
    );
    out
}

/// Puts some texts behind one another; a call of it is smaller than formatting.
#[inline(never)]
fn put(out: &mut String, texts: &[&str]) {
    for text in texts {
        out.push_str(text);
    }
}

/// What stands above the steps, each on one line.
fn head_lines(table: &StepTable) -> Vec<String> {
    let mut lines = vec![
        [SUBJECT, &table.subject].concat(),
        ["Program: ", &table.program].concat(),
    ];
    lines.extend(table.notes.iter().chain(&table.drives).cloned());
    for line in &mut lines {
        *line = line.replace(
            |letter: char| letter.is_control() || matches!(letter, '\u{2028}' | '\u{2029}'),
            " ",
        );
    }
    lines
}

fn ms(time: Micros) -> String {
    shown(time.get(), 3)
}

/// What came of reading a step table.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct StepsOutcome {
    /// The table; none when something in it is wrong, since half a lane flashes otherwise than the whole one.
    pub table: Option<StepTable>,
    /// What was wrong, at most [`MOST_PROBLEMS`], each with its line.
    pub problems: Vec<Problem>,
}

/// Reads a step table in CSV, such as [`write_steps_csv`] writes: the columns lane, period_ms, time_ms and `level_permille` in any order, color if there are any, others of no account.
///
/// What it is of and the tick are those of the notes; without a tick it is the longest on which all times lie.
#[must_use]
pub fn read_steps_csv(bytes: &[u8]) -> StepsOutcome {
    let mut reading = Reading::default();
    match std::str::from_utf8(bytes) {
        _ if bytes.len() > MOST_BYTES => {
            reading.report("file", "a file of at most 64 MB", "a larger one");
        }
        Ok(text) => reading.text(text.strip_prefix('\u{feff}').unwrap_or(text)),
        Err(_) => reading.report("file", "text in UTF-8", "other bytes"),
    }
    let is_right = reading.problems.is_empty();
    let on_tick = reading.greatest_tick.max(1);
    let tick = reading
        .tick
        .filter(|tick| tick.get() > 0 && on_tick % tick.get() == 0);
    StepsOutcome {
        table: is_right.then(|| StepTable {
            program: String::new(),
            subject: reading.subject,
            tick: tick.unwrap_or(Micros(on_tick)),
            columns: reading.columns,
            notes: Vec::new(),
            drives: Vec::new(),
        }),
        problems: reading.problems,
    }
}

#[derive(Default)]
struct Reading {
    columns: Vec<StepColumn>,
    problems: Vec<Problem>,
    tick: Option<Micros>,
    subject: String,
    greatest_tick: i64,
    n_steps: usize,
    line: usize,
}

impl Reading {
    fn report(&mut self, path: &str, expected: &str, found: &str) {
        if self.problems.len() < MOST_PROBLEMS {
            let path = if path.is_empty() {
                ["line ", &self.line.to_string()].concat()
            } else {
                path.to_owned()
            };
            let found: String = found.chars().take(80).collect();
            self.problems.push(Problem::new(path, expected, found));
        }
    }

    fn text(&mut self, text: &str) {
        let mut places: Option<[Option<usize>; TITLES.len()]> = None;
        for (index, line) in text.lines().enumerate() {
            self.line = index + 1;
            let line = line.trim();
            // A spreadsheet may put a note into quotes, and as many commas behind it as there are columns.
            let note = line.trim_start_matches('"');
            if let Some(note) = note.strip_prefix('#') {
                let tick = note.trim().strip_prefix("tick_ms");
                if let Some(tick) = tick {
                    let number = tick.trim_matches([' ', ':', '=', ',', '"']);
                    self.tick = time(number);
                }
                if let Some(subject) = note.trim().strip_prefix(SUBJECT) {
                    let subject = subject.trim_matches([' ', ',', '"']);
                    self.subject = subject.replace("\"\"", "\"");
                }
                continue;
            }
            if line.trim_matches([',', '"']).is_empty() {
                continue;
            }
            let fields: Vec<&str> = line
                .split(',')
                .map(|field| field.trim().trim_matches('"').trim())
                .collect();
            let Some(places) = places else {
                let found = TITLES.map(|title| fields.iter().position(|field| *field == title));
                if let Some(missing) = found.iter().take(N_NEEDED).position(Option::is_none) {
                    let title = TITLES.get(missing).copied().unwrap_or_default();
                    self.report(
                        "",
                        &format!("titles with {title} among them, commas between"),
                        line,
                    );
                    return;
                }
                places = Some(found);
                continue;
            };
            let field = |column: usize| {
                let place = places.get(column).copied().flatten();
                place
                    .and_then(|place| fields.get(place))
                    .copied()
                    .unwrap_or_default()
            };
            self.row(field(0), field(1), field(2), field(3), field(4));
            if self.n_steps > 2 * MOST_PULSES {
                self.report("", "at most 500000 steps", "more");
                return;
            }
        }
        if self.columns.is_empty() && self.problems.is_empty() {
            self.report(
                "file",
                "rows of lane, period_ms, time_ms and level_permille",
                "none",
            );
        }
    }

    fn row(&mut self, name: &str, period: &str, at: &str, level: &str, color: &str) {
        let (Some(period_is), Some(at_is)) =
            (time(period).filter(|period| period.get() > 0), time(at))
        else {
            return self.report(
                "",
                "period_ms above 0 and time_ms, with at most three decimals",
                &format!("{period} and {at}"),
            );
        };
        let Some(level) = scaled_number(level, 0).and_then(|level| Level::new(level).ok()) else {
            return self.report("", "level_permille from 0 to 1000", level);
        };
        let found = Color::ALL.into_iter().find(|known| {
            color == known.name() || (color.len() == 1 && color.starts_with(known.letter()))
        });
        if found.is_none() && !color.is_empty() {
            return self.report(
                "",
                "a color: red, blue, amber, white or green, or none",
                color,
            );
        }
        let index = self.columns.iter().position(|column| column.name == name);
        if index.is_none() && lampwright_model::RoleId::new(name).is_err() {
            return self.report(
                "",
                "a lane of 1 to 64 letters, digits, '-', '_' or '.'",
                name,
            );
        }
        if index.is_none() && self.columns.len() >= MOST_COLUMNS {
            return self.report("", "at most 1024 lanes", name);
        }
        let index = index.unwrap_or_else(|| {
            self.columns.push(StepColumn {
                name: name.to_owned(),
                period: period_is,
                period_rounded_by: Micros::ZERO,
                steps: Vec::new(),
                n_lost_pulses: 0,
                n_lost_gaps: 0,
            });
            self.columns.len() - 1
        });
        let Some(column) = self.columns.get_mut(index) else {
            return;
        };
        let is_later = column.steps.last().is_none_or(|last| last.at < at_is);
        if period_is != column.period {
            let expected = [&ms(column.period), " as in the rows before of this lane"].concat();
            return self.report("", &expected, period);
        }
        if !is_later || at_is < Micros::ZERO || at_is >= period_is {
            return self.report(
                "",
                "time_ms after the row before of this lane, from 0 to below the period",
                at,
            );
        }
        if column.steps.is_empty() && at_is > Micros::ZERO {
            column.steps.push(TableStep {
                at: Micros::ZERO,
                level: Level::DARK,
                color: None,
                rounded_by: Micros::ZERO,
            });
        }
        column.steps.push(TableStep {
            at: at_is,
            level,
            color: found,
            rounded_by: Micros::ZERO,
        });
        self.n_steps += 1;
        self.greatest_tick = gcd(gcd(self.greatest_tick, period_is.get()), at_is.get());
    }
}

/// A time in milliseconds with at most three decimals.
fn time(text: &str) -> Option<Micros> {
    scaled_number(text, 3).map(Micros)
}

/// A plain decimal number without an exponent, in units of `10^-decimals`.
fn scaled_number(text: &str, decimals: u8) -> Option<i64> {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let is_number = digits.starts_with(|letter: char| letter.is_ascii_digit())
        && digits
            .bytes()
            .all(|byte| byte.is_ascii_digit() || byte == b'.')
        && digits.bytes().filter(|byte| *byte == b'.').count() <= 1;
    if !is_number {
        return None;
    }
    let value = scaled(text, decimals).ok()?;
    (value.abs() < 1 << 40).then_some(value)
}

#[cfg(test)]
mod tests;
