//! Runs the tests that were compiled to WebAssembly, under Node or a headless browser.
//!
//! Cargo starts this program in place of each test binary (see `crates/xtask/src/wasm.rs`).
//! Invariant: its version of the binding generator is the version the tests were built with, since
//! both come from one lock file.
//! Absent: any test, and any choice of tests.

use std::process::ExitCode;

fn main() -> ExitCode {
    match wasm_bindgen_cli::wasm_bindgen_test_runner::run_cli_with_args(std::env::args_os()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("the tests in WebAssembly did not all pass: {error:#}");
            ExitCode::FAILURE
        }
    }
}
