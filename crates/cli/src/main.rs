//! The `lampwright` binary: hands arguments to the library and its exit code to the system.

use std::process::ExitCode;

fn main() -> ExitCode {
    lampwright_cli::run()
}
