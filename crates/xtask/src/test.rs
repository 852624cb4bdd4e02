//! Every check there is, in one command.
//!
//! Invariant: a step that fails does not keep the later ones from running, and any failure makes
//! the whole command fail.
//! Absent: the checks themselves; they live with the code, in `tests`, and in `tests/browser`.

use std::process::Command;
use std::time::{Duration, Instant};

use crate::process::{Problem, output_of, run};
use crate::setup::{self, Needs};
use crate::{dist, workspace};

/// Most seconds for one file of tests in WebAssembly; they run without optimization.
const WASM_LIMIT_SECONDS: &str = "600";

/// One step of the whole.
struct Step {
    name: &'static str,
    about: &'static str,
    needs: Needs,
    run: fn() -> Result<(), Problem>,
}

const NATIVE: Needs = Needs {
    wasm: false,
    lints: false,
    browser: false,
};
const LINTS: Needs = Needs {
    lints: true,
    ..NATIVE
};

const STEPS: &[Step] = &[
    Step {
        name: "lock",
        about: "Cargo.lock fits the manifests",
        needs: NATIVE,
        run: lock,
    },
    Step {
        name: "format",
        about: "rustfmt has nothing to change",
        needs: LINTS,
        run: format,
    },
    Step {
        name: "clippy",
        about: "clippy has nothing to say about the native code",
        needs: LINTS,
        run: clippy,
    },
    Step {
        name: "clippy-web",
        about: "clippy has nothing to say about the browser code",
        needs: Needs {
            wasm: true,
            ..LINTS
        },
        run: clippy_web,
    },
    Step {
        name: "native",
        about: "unit, property, golden, reference and command line tests, and the dependency guard",
        needs: NATIVE,
        run: native,
    },
    Step {
        name: "docs",
        about: "the documentation builds without warnings",
        needs: NATIVE,
        run: docs,
    },
    Step {
        name: "wasm",
        about: "the reference tests again, compiled to WebAssembly",
        needs: Needs {
            wasm: true,
            lints: false,
            browser: true,
        },
        run: wasm,
    },
    Step {
        name: "web",
        about: "the app builds and stays below its size ceiling; its budget is lower, see bench",
        needs: Needs::WASM,
        run: web,
    },
    Step {
        name: "browser",
        about: "the app in Chromium, as a person uses it (tests what the web step built)",
        needs: Needs {
            wasm: false,
            lints: false,
            browser: true,
        },
        run: browser,
    },
];

/// What `test` was asked to do.
#[derive(Debug, Default)]
pub(crate) struct Options {
    /// Run these steps alone.
    pub(crate) only: Vec<String>,
    /// Leave these steps out.
    pub(crate) skip: Vec<String>,
    /// Name the steps and stop.
    pub(crate) is_list: bool,
}

/// Runs the chosen steps and sums up.
pub(crate) fn run_steps(options: &Options) -> Result<(), Problem> {
    let chosen = chosen(options)?;
    if options.is_list {
        for step in chosen {
            println!("{:<12} {}", step.name, step.about);
        }
        return Ok(());
    }
    let is_needed = |need: fn(&Needs) -> bool| chosen.iter().any(|step| need(&step.needs));
    setup::ensure(Needs {
        wasm: is_needed(|needs| needs.wasm),
        lints: is_needed(|needs| needs.lints),
        browser: is_needed(|needs| needs.browser),
    })?;
    let mut results: Vec<(&Step, Duration, Result<(), Problem>)> = Vec::new();
    for step in &chosen {
        println!("\n=== {}: {}", step.name, step.about);
        let start = Instant::now();
        let result = (step.run)();
        if let Err(problem) = &result {
            println!("{problem}");
        }
        results.push((step, start.elapsed(), result));
    }
    sum_up(&results)
}

fn chosen(options: &Options) -> Result<Vec<&'static Step>, Problem> {
    for name in options.only.iter().chain(&options.skip) {
        if !STEPS.iter().any(|step| step.name == name) {
            return Err(Problem::new(
                format!("there is no test step {name:?}"),
                "run `cargo xtask test --list` to see the steps",
            ));
        }
    }
    Ok(STEPS
        .iter()
        .filter(|step| options.only.is_empty() || options.only.iter().any(|name| name == step.name))
        .filter(|step| !options.skip.iter().any(|name| name == step.name))
        .collect())
}

fn sum_up(results: &[(&Step, Duration, Result<(), Problem>)]) -> Result<(), Problem> {
    println!("\n=== summary");
    for (step, duration, result) in results {
        println!(
            "{} {:<12} {:>6.1} s",
            if result.is_ok() { "passed" } else { "FAILED" },
            step.name,
            duration.as_secs_f64()
        );
    }
    let failed: Vec<&str> = results
        .iter()
        .filter(|(_, _, result)| result.is_err())
        .map(|(step, _, _)| step.name)
        .collect();
    println!(
        "steps: {} passed, {} failed",
        results.len() - failed.len(),
        failed.len()
    );
    if failed.is_empty() {
        return Ok(());
    }
    let again: String = failed
        .iter()
        .map(|name| format!(" --only {name}"))
        .collect();
    Err(Problem::new(
        format!("these steps failed: {}", failed.join(", ")),
        format!("read their output above, and run them again with `cargo xtask test{again}`"),
    ))
}

fn lock() -> Result<(), Problem> {
    output_of(workspace::cargo().args(["metadata", "--locked", "--format-version", "1"]))
        .map(|_| ())
        .ok_or_else(|| {
            Problem::new(
                "Cargo.lock does not fit the manifests",
                "run `cargo metadata` and commit Cargo.lock",
            )
        })
}

fn format() -> Result<(), Problem> {
    run(
        workspace::cargo().args(["fmt", "--all", "--check"]),
        "run `cargo fmt --all`",
    )
}

fn clippy() -> Result<(), Problem> {
    run(
        workspace::cargo().args([
            "clippy",
            "--workspace",
            "--exclude",
            "lampwright-web",
            "--all-targets",
            "--",
            "-D",
            "warnings",
        ]),
        "mend what clippy reports",
    )
}

fn clippy_web() -> Result<(), Problem> {
    run(
        setup::require_wasm()?.clippy()?.args([
            "--package",
            "lampwright-web",
            "--package",
            "lampwright-bench",
            "--lib",
            "--bins",
            "--",
            "-D",
            "warnings",
        ]),
        "mend what clippy reports",
    )
}

fn native() -> Result<(), Problem> {
    run(
        workspace::cargo().args(["test", "--no-fail-fast"]),
        "read which test failed above",
    )
}

fn docs() -> Result<(), Problem> {
    run(
        workspace::cargo()
            .args([
                "doc",
                "--workspace",
                "--exclude",
                "lampwright-web",
                "--no-deps",
                "--document-private-items",
            ])
            .env("RUSTDOCFLAGS", "-D warnings"),
        "mend what rustdoc reports",
    )
}

/// Runs, in Chromium, every test that a package names in its manifest:
/// `[package.metadata.lampwright] wasm-tests = ["reference"]`.
///
/// Not in Node: the version that Debian 12 brings ends with a fault of its own when it calls
/// through the tables that the generated JavaScript uses.
fn wasm() -> Result<(), Problem> {
    let way = setup::require_wasm()?;
    let declared = declared_wasm_tests()?;
    if declared.is_empty() {
        return Err(Problem::new(
            "no package names tests to run in WebAssembly",
            "name them under [package.metadata.lampwright] as wasm-tests = [\"…\"]",
        ));
    }
    run(
        workspace::cargo().args(["build", "--package", "lampwright-wasm-runner"]),
        "mend what the compiler reports",
    )?;
    let runner = workspace::native_target()
        .join("debug")
        .join("lampwright-wasm-runner");
    let driver = setup::chromium_driver().ok_or_else(no_browser)?;
    let capabilities = write_capabilities()?;
    for (package, tests) in declared {
        let mut command = way.cargo("test")?;
        command
            .env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUNNER", &runner)
            .env("CHROMEDRIVER", &driver)
            .env("WASM_BINDGEN_TEST_WEBDRIVER_JSON", &capabilities)
            .env("WASM_BINDGEN_USE_BROWSER", "1")
            .env("WASM_BINDGEN_TEST_TIMEOUT", WASM_LIMIT_SECONDS)
            .args(["--no-fail-fast", "--package", &package]);
        for test in &tests {
            command.args(["--test", test]);
        }
        run(
            &mut command,
            "read which test failed above; if it passes natively, look for floating point outside libm",
        )?;
    }
    Ok(())
}

/// Tells the driver which browser to start, and how.
fn write_capabilities() -> Result<std::path::PathBuf, Problem> {
    let capabilities = serde_json::json!({
        "goog:chromeOptions": {
            "binary": setup::chromium().ok_or_else(no_browser)?,
            "args": [
                "headless", "no-sandbox", "disable-gpu", "disable-quic", "no-first-run",
                "disable-background-networking", "disable-component-update", "disable-sync",
                "disable-dev-shm-usage",
            ],
        },
    });
    let path = workspace::wasm_target().join("webdriver.json");
    std::fs::create_dir_all(workspace::wasm_target())
        .and_then(|()| std::fs::write(&path, capabilities.to_string()))
        .map_err(|error| Problem::file(&path, &error))?;
    Ok(path)
}

fn no_browser() -> Problem {
    Problem::new(
        "Chromium or its driver was not found",
        "run `cargo xtask setup`",
    )
}

fn declared_wasm_tests() -> Result<Vec<(String, Vec<String>)>, Problem> {
    let metadata =
        output_of(workspace::cargo().args(["metadata", "--no-deps", "--format-version", "1"]))
            .and_then(|text| serde_json::from_str::<serde_json::Value>(&text).ok())
            .ok_or_else(|| {
                Problem::new(
                    "cargo could not read the manifests",
                    "run `cargo metadata` to see why",
                )
            })?;
    let strings = |value: &serde_json::Value| -> Vec<String> {
        value
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(|name| name.as_str().map(str::to_owned))
            .collect()
    };
    Ok(metadata["packages"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|package| {
            let tests = strings(&package["metadata"]["lampwright"]["wasm-tests"]);
            let name = package["name"].as_str()?.to_owned();
            (!tests.is_empty()).then_some((name, tests))
        })
        .collect())
}

fn web() -> Result<(), Problem> {
    dist::write()?.check()
}

fn browser() -> Result<(), Problem> {
    playwright(&[])
}

/// Runs Playwright in `tests/browser` with further arguments.
pub(crate) fn playwright(arguments: &[&str]) -> Result<(), Problem> {
    let folder = workspace::browser_tests();
    let this = std::env::current_exe()
        .map_err(|error| Problem::new(error.to_string(), "report this as a fault"))?;
    let chromium = setup::chromium()
        .ok_or_else(|| Problem::new("Chromium was not found", "run `cargo xtask setup`"))?;
    run(
        Command::new(folder.join("node_modules/.bin/playwright"))
            .arg("test")
            .args(arguments)
            .current_dir(&folder)
            .env("LAMPWRIGHT_XTASK", this)
            .env("LAMPWRIGHT_CHROMIUM", chromium),
        "read which test failed above; traces and screenshots are in tests/browser/results",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_and_skip_choose_steps() {
        let names = |options: &Options| -> Vec<&str> {
            chosen(options)
                .expect("the names are right")
                .iter()
                .map(|step| step.name)
                .collect()
        };
        assert_eq!(names(&Options::default()).len(), STEPS.len());
        let only = Options {
            only: vec!["web".into(), "browser".into()],
            skip: vec!["web".into()],
            is_list: false,
        };
        assert_eq!(names(&only), ["browser"]);
    }

    #[test]
    fn an_unknown_step_is_refused() {
        let options = Options {
            only: vec!["everything".into()],
            ..Options::default()
        };
        assert!(chosen(&options).is_err());
    }

    #[test]
    fn one_failure_fails_the_whole() {
        let results = vec![
            (&STEPS[0], Duration::ZERO, Ok(())),
            (
                &STEPS[1],
                Duration::ZERO,
                Err(Problem::new("broken", "mend it")),
            ),
        ];
        assert!(sum_up(&results).is_err());
        assert!(sum_up(&results[..1]).is_ok());
    }
}
