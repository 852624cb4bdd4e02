//! Everything a contributor runs: `cargo xtask setup|build|serve|dist|test|bench`.
//!
//! Invariant: only `setup` (which `serve`, `dist`, `test` and `bench` call when something is
//! missing) installs anything, and it announces what it is about to do.
//! Absent: domain logic; nothing here knows what a lamp is.

use std::process::ExitCode;

use lexopt::prelude::*;

mod bench;
mod bundle;
mod csp;
mod dist;
mod process;
mod serve;
mod setup;
mod size;
mod terse;
mod test;
mod toolchain;
mod workspace;

use process::Problem;

const HELP: &str = "\
cargo xtask COMMAND

  setup                 install what is missing: the WebAssembly target, a browser, its test packages
  build                 build the app into the pages folder that `serve` serves
  serve                 build the app and serve it on 127.0.0.1
      --port N          use this port (0: any free one); without it 8150, or a free one if that is taken
      --no-build        serve what was built before
      --dist            serve the distributed site in dist/site instead
      --stop-with-input stop when standard input closes
  dist                  write the static site dist/site and the one-file page dist/lampwright.html
  test                  every check there is; goes on after a failure and sums up at the end
      --only STEP       run this step alone (may be repeated)
      --skip STEP       leave this step out (may be repeated)
      --list            name the steps
  bench                 measure the budgets and print budget, figure and ratio
      --only NAME       measure this one alone (may be repeated): edit, frame, states, files, size, paint,
                        minute

LAMPWRIGHT_WASM=rustup|debian   choose the compiler for WebAssembly
LAMPWRIGHT_CHROMIUM=PATH        choose the Chromium for the browser tests
";

enum Task {
    Help,
    Setup,
    Build,
    Serve(serve::Options),
    Dist,
    Test(test::Options),
    Bench(bench::Options),
}

fn main() -> ExitCode {
    match parse().and_then(run) {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            eprintln!("{problem}");
            ExitCode::FAILURE
        }
    }
}

fn run(task: Task) -> Result<(), Problem> {
    match task {
        Task::Help => {
            print!("{HELP}");
            Ok(())
        }
        Task::Setup => setup::everything(),
        Task::Build => {
            setup::require_wasm()?;
            bundle::build_pages().map(|_| ())
        }
        Task::Serve(options) => serve::serve(&options),
        Task::Dist => {
            setup::ensure(setup::Needs::WASM)?;
            dist::write().map(|_| ())
        }
        Task::Test(options) => test::run_steps(&options),
        Task::Bench(options) => bench::run(&options),
    }
}

fn parse() -> Result<Task, Problem> {
    parse_from(lexopt::Parser::from_env()).map_err(|error| {
        Problem::new(
            format!("{error}"),
            "run `cargo xtask help` to see the commands and their flags",
        )
    })
}

fn parse_from(mut parser: lexopt::Parser) -> Result<Task, lexopt::Error> {
    let mut task = match parser.next()? {
        None | Some(Short('h') | Long("help")) => return Ok(Task::Help),
        Some(Value(name)) => match name.string()?.as_str() {
            "help" => return Ok(Task::Help),
            "setup" => Task::Setup,
            "build" => Task::Build,
            "serve" => Task::Serve(serve::Options::default()),
            "dist" => Task::Dist,
            "test" => Task::Test(test::Options::default()),
            "bench" => Task::Bench(bench::Options::default()),
            other => return Err(format!("there is no command {other:?}").into()),
        },
        Some(other) => return Err(other.unexpected()),
    };
    while let Some(argument) = parser.next()? {
        match (&mut task, argument) {
            (_, Short('h') | Long("help")) => return Ok(Task::Help),
            (Task::Serve(options), Long("port")) => options.port = Some(parser.value()?.parse()?),
            (Task::Serve(options), Long("no-build")) => options.is_built = true,
            (Task::Serve(options), Long("dist")) => options.is_distributed = true,
            (Task::Serve(options), Long("stop-with-input")) => options.stops_with_input = true,
            (Task::Test(options), Long("only")) => options.only.push(parser.value()?.string()?),
            (Task::Bench(options), Long("only")) => options.only.push(parser.value()?.string()?),
            (Task::Test(options), Long("skip")) => options.skip.push(parser.value()?.string()?),
            (Task::Test(options), Long("list")) => options.is_list = true,
            (_, argument) => return Err(argument.unexpected()),
        }
    }
    Ok(task)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn serve_takes_a_port() {
        let task = parse_from(lexopt::Parser::from_iter([
            "xtask", "serve", "--port", "8200",
        ]));
        assert!(matches!(task, Ok(Task::Serve(options)) if options.port == Some(8200)));
    }

    #[test]
    fn a_flag_of_another_command_is_refused() {
        let task = parse_from(lexopt::Parser::from_iter([
            "xtask", "dist", "--port", "8200",
        ]));
        assert!(task.is_err());
    }

    #[test]
    fn a_port_past_65535_is_refused() {
        let task = parse_from(lexopt::Parser::from_iter([
            "xtask", "serve", "--port", "65536",
        ]));
        assert!(task.is_err());
    }
}
