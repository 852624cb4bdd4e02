//! The commands and their arguments.

use clap::{Args, Parser, Subcommand, ValueEnum};
use lampwright_model::Severity;
use lampwright_timing::Micros;
use std::path::PathBuf;

/// Checks flash programs of emergency, rescue, road-service and escort vehicles.
///
/// Exit codes: 0 clean, 1 findings at or above the chosen severity, 2 something could not be run.
#[derive(Parser, Debug)]
#[command(name = "lampwright", version)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Subcommand, Debug)]
pub(crate) enum Command {
    /// Judge program and pattern files, in the default state and every situation
    Check(CheckArguments),
    /// Show which rules the profile chooses, where each looked, what it came to and what its limits rest on
    Coverage(CoverageArguments),
    /// Mend what a rule found where that is mechanical, and show what changes
    Fix(FixArguments),
    /// Measure one state of a program: timing, balance, currents, counts by direction
    Measure(StateArguments),
    /// Show what each head does in a state, and which layer decided it
    Resolve(StateArguments),
    /// Count every possible state of a program, prove its guarantees over all of them, and judge every distinct drive
    ///
    /// Exit code 1 says that a guarantee does not hold or is not proven, that something was found, or that there are too many drives to judge.
    States(StatesArguments),
    /// Write a pattern or a whole state as steps on a controller's tick, or read such a table back
    ///
    /// Exit code 1 says that a rule comes out otherwise by the rounding.
    Convert(ConvertArguments),
    /// Show the page of a rule
    Explain {
        /// Code of the rule, such as LW021
        code: String,
    },
    /// List the rules with their sources and how each is known
    Rules {
        /// How to write the list
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
    },
    /// Print the JSON Schema of the program file
    Schema {
        /// The schema of the pattern file instead
        #[arg(long)]
        pattern: bool,
        /// The schema of the profile file instead
        #[arg(long, conflicts_with = "pattern")]
        profile: bool,
    },
}

#[derive(Args, Debug)]
pub(crate) struct CheckArguments {
    /// Files, or folders whose .json files are all checked; - is the standard input
    #[arg(required = true)]
    pub(crate) paths: Vec<PathBuf>,
    /// How to write the reports
    #[arg(long, value_enum, default_value_t = ReportFormat::Text)]
    pub(crate) format: ReportFormat,
    /// A profile file that takes the place of every program's own profile
    #[arg(long, value_name = "FILE")]
    pub(crate) profile: Option<PathBuf>,
    /// Least severity that makes the exit code 1
    #[arg(long, value_enum, default_value_t = SeverityArgument::Warning)]
    pub(crate) severity: SeverityArgument,
    /// Write the outcome of every rule, also of those that passed
    #[arg(long)]
    pub(crate) outcomes: bool,
    /// Try mechanical fixes and put those that work into the SARIF report; takes longer
    #[arg(long)]
    pub(crate) fixes: bool,
    /// Check again whenever a file changes, until Ctrl-C
    #[arg(long)]
    pub(crate) watch: bool,
    /// Whether the rich report has colors; by default on a terminal, unless `NO_COLOR` is set
    #[arg(long, value_enum, default_value_t = ColorArgument::Auto)]
    pub(crate) color: ColorArgument,
}

#[derive(Args, Debug)]
pub(crate) struct CoverageArguments {
    /// The program file
    pub(crate) file: PathBuf,
    /// A profile file that takes the place of the program's own profile
    #[arg(long, value_name = "FILE")]
    pub(crate) profile: Option<PathBuf>,
    /// How to write the table
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub(crate) format: Format,
}

#[derive(Args, Debug)]
pub(crate) struct FixArguments {
    /// The program file
    pub(crate) file: PathBuf,
    /// Code of the rule whose findings are to be mended, such as LW001
    #[arg(long)]
    pub(crate) code: String,
    /// Only the finding at this place, as findings write it
    #[arg(long)]
    pub(crate) place: Option<String>,
    /// Which of several fixes to take, as they are numbered
    #[arg(long, default_value_t = 1, value_name = "NUMBER")]
    pub(crate) choice: usize,
    /// A profile file to judge by in place of the program's own profile
    #[arg(long, value_name = "FILE")]
    pub(crate) profile: Option<PathBuf>,
    /// Write the mended program into the file; without it the change is only shown
    #[arg(long)]
    pub(crate) write: bool,
}

#[derive(Args, Debug)]
pub(crate) struct StateArguments {
    /// The program file
    pub(crate) file: PathBuf,
    /// A situation of the program; without it the state starts at the defaults
    #[arg(long)]
    pub(crate) situation: Option<String>,
    /// Sets a signal on top, as SIGNAL=VALUE; may be repeated
    #[arg(long, value_name = "SIGNAL=VALUE")]
    pub(crate) set: Vec<String>,
    /// How to write the result
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub(crate) format: Format,
}

#[derive(Args, Debug)]
pub(crate) struct StatesArguments {
    /// The program file
    pub(crate) file: PathBuf,
    /// Write every distinct drive, with a state in which it is reached
    #[arg(long)]
    pub(crate) all: bool,
    /// Most distinct drives that are judged by the rules
    #[arg(long, value_name = "NUMBER", default_value_t = 100_000)]
    pub(crate) most_drives: u128,
    /// Least severity that makes the exit code 1
    #[arg(long, value_enum, default_value_t = SeverityArgument::Warning)]
    pub(crate) severity: SeverityArgument,
    /// How to write the result
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub(crate) format: Format,
}

#[derive(Args, Debug)]
pub(crate) struct ConvertArguments {
    /// A program or pattern file; with `--to pattern` a step table in CSV; - is the standard input
    pub(crate) file: PathBuf,
    /// Form of the result
    #[arg(long, value_enum)]
    pub(crate) to: ConvertTo,
    /// Step of the controller, such as 10ms or 500us; edges go to the nearest
    #[arg(long, value_parser = tick)]
    pub(crate) tick: Option<Micros>,
    /// A pattern of the program, lane by lane; with `--to pattern` the id that it gets
    #[arg(long, value_name = "ID", conflicts_with_all = ["situation", "set"])]
    pub(crate) pattern: Option<String>,
    /// A situation of the program, output by output; without it the state starts at the defaults
    #[arg(long, value_name = "ID")]
    pub(crate) situation: Option<String>,
    /// Sets a signal on top, as SIGNAL=VALUE; may be repeated
    #[arg(long, value_name = "SIGNAL=VALUE")]
    pub(crate) set: Vec<String>,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub(crate) enum ConvertTo {
    /// A row for each step, with notes
    Csv,
    /// Arrays of a C source file
    C,
    /// A pattern file
    Pattern,
}

/// A length of time above zero: "10ms", "0.5 ms", "500us", "10" in ms.
fn tick(text: &str) -> Result<Micros, String> {
    let (number, per_unit) = match text.strip_suffix("us") {
        Some(number) => (number, 1),
        None => (text.strip_suffix("ms").unwrap_or(text), 1000),
    };
    let (whole, fraction) = number.trim().split_once('.').unwrap_or((number.trim(), ""));
    let is_plain = |digits: &str| digits.bytes().all(|digit| digit.is_ascii_digit());
    let thousandths: Option<i64> = (is_plain(whole) && is_plain(fraction) && fraction.len() <= 3)
        .then(|| format!("{whole}{fraction:0<3}").parse().ok())
        .flatten();
    thousandths
        .map(|value| value.saturating_mul(per_unit))
        .filter(|value| value % 1000 == 0 && (1000..=60_000_000_000).contains(value))
        .map(|value| Micros(value / 1000))
        .ok_or_else(|| "0.001ms to 60s wanted, such as 10ms or 500us".into())
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub(crate) enum Format {
    /// For people
    Text,
    /// For machines
    Json,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub(crate) enum ReportFormat {
    /// Concise; each finding starts with path:line:column
    Text,
    /// For reading at length, with the lanes drawn
    Rich,
    /// All of it, for machines
    Json,
    /// SARIF 2.1.0, for tools that gather findings
    Sarif,
    /// JUnit XML, for build servers: a suite per file, a case per rule
    Junit,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub(crate) enum ColorArgument {
    /// On a terminal
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub(crate) enum SeverityArgument {
    /// Everything
    Info,
    /// Warnings and errors
    Warning,
    /// Errors only
    Error,
}

impl From<SeverityArgument> for Severity {
    fn from(argument: SeverityArgument) -> Self {
        match argument {
            SeverityArgument::Info => Self::Info,
            SeverityArgument::Warning => Self::Warning,
            SeverityArgument::Error => Self::Error,
        }
    }
}
