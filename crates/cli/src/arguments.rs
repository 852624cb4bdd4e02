//! The commands and their arguments.

use clap::{Args, Parser, Subcommand, ValueEnum};
use lampwright_model::Severity;
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
    /// Measure one state of a program: timing, balance, currents, counts by direction
    Measure(StateArguments),
    /// Show what each head does in a state, and which layer decided it
    Resolve(StateArguments),
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
    },
}

#[derive(Args, Debug)]
pub(crate) struct CheckArguments {
    /// Files, or folders whose .json files are all checked
    #[arg(required = true)]
    pub(crate) paths: Vec<PathBuf>,
    /// How to write the reports
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub(crate) format: Format,
    /// Least severity that makes the exit code 1
    #[arg(long, value_enum, default_value_t = SeverityArgument::Warning)]
    pub(crate) severity: SeverityArgument,
    /// Write the outcome of every rule, also of those that passed
    #[arg(long)]
    pub(crate) outcomes: bool,
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

#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub(crate) enum Format {
    /// For people
    Text,
    /// For machines
    Json,
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
