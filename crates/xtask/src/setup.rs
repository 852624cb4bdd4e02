//! Installs what is missing, saying each time what it does and which compiler will be used.
//!
//! Invariant: what is already there is never touched, and a build never comes here by itself.
//! Absent: anything for systems without `apt-get`; there each step says what to install by hand.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use crate::process::{Problem, output_of, run, run_within};
use crate::toolchain::{self, FORCE_VARIABLE, TARGET, Way};
use crate::workspace;

/// What a command needs.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Needs {
    /// A compiler to WebAssembly.
    pub(crate) wasm: bool,
    /// `rustfmt` and `clippy`.
    pub(crate) lints: bool,
    /// Chromium, its driver, Node and the browser-test packages.
    pub(crate) browser: bool,
}

impl Needs {
    pub(crate) const ALL: Self = Self {
        wasm: true,
        lints: true,
        browser: true,
    };
    pub(crate) const WASM: Self = Self {
        wasm: true,
        lints: false,
        browser: false,
    };
}

const RUSTUP_LIMIT: Duration = Duration::from_secs(60);
const FORCED_RUSTUP_LIMIT: Duration = Duration::from_secs(900);
const DEBIAN_COMPILER: [&str; 3] = ["rustc-web", "rust-web-src", "rust-web-clippy"];
const LEAST_NODE: u32 = 18;

/// Sees to it that everything needed is there.
pub(crate) fn ensure(needs: Needs) -> Result<(), Problem> {
    let mut apt = Apt::default();
    if needs.lints {
        ensure_lints()?;
    }
    if needs.wasm {
        ensure_wasm(&mut apt)?;
    }
    if needs.browser {
        ensure_node(&mut apt)?;
        ensure_chromium(&mut apt)?;
        ensure_packages()?;
    }
    Ok(())
}

/// The compiler to WebAssembly, or a problem that says to run `setup`; installs nothing.
pub(crate) fn require_wasm() -> Result<Way, Problem> {
    toolchain::ready()?.ok_or_else(|| {
        Problem::new(
            format!("there is no compiler for {TARGET}"),
            "run `cargo xtask setup`, which installs one",
        )
    })
}

/// Where Chromium is, if it is there.
pub(crate) fn chromium() -> Option<PathBuf> {
    if let Some(given) = std::env::var_os("LAMPWRIGHT_CHROMIUM") {
        return Some(PathBuf::from(given)).filter(|path| path.exists());
    }
    ["chromium", "chromium-browser", "google-chrome"]
        .into_iter()
        .find_map(on_path)
}

/// Where the program that drives Chromium is, if it is there.
pub(crate) fn chromium_driver() -> Option<PathBuf> {
    match std::env::var_os("CHROMEDRIVER") {
        Some(given) => Some(PathBuf::from(given)).filter(|path| path.exists()),
        None => on_path("chromedriver"),
    }
}

fn ensure_lints() -> Result<(), Problem> {
    for (component, program) in [("rustfmt", "fmt"), ("clippy", "clippy")] {
        if output_of(workspace::cargo().args([program, "--version"])).is_some() {
            continue;
        }
        println!("setup: {component} is missing, adding it by rustup");
        run_within(
            Command::new("rustup").args(["component", "add", component]),
            FORCED_RUSTUP_LIMIT,
            &format!("install {component} for your Rust toolchain"),
        )?;
    }
    Ok(())
}

fn ensure_wasm(apt: &mut Apt) -> Result<(), Problem> {
    let way = match toolchain::ready()? {
        Some(way) => way,
        None => install_wasm(apt)?,
    };
    println!("setup: WebAssembly by {}", way.describe());
    Ok(())
}

/// The command `setup`: everything there is, and what is only good to have.
pub(crate) fn everything() -> Result<(), Problem> {
    ensure(Needs::ALL)?;
    if toolchain::ready()? == Some(Way::Rustup) && !toolchain::builds_library() {
        add_library_sources();
    }
    Ok(())
}

/// Brings the library's sources, from which the app comes out smaller; without them it is only larger.
fn add_library_sources() {
    println!("setup: adding the sources of the standard library, for a smaller app");
    let is_added = run_within(
        Command::new("rustup").args(["component", "add", "rust-src"]),
        RUSTUP_LIMIT,
        "",
    )
    .and_then(|()| run_within(&mut toolchain::fetch_library(), RUSTUP_LIMIT, ""))
    .is_ok();
    if !is_added {
        println!("setup: they did not come, so the app will weigh some percent more");
    }
}

fn install_wasm(apt: &mut Apt) -> Result<Way, Problem> {
    let way = match toolchain::forced()? {
        Some(Way::Rustup) => {
            add_by_rustup(FORCED_RUSTUP_LIMIT)?;
            Way::Rustup
        }
        Some(Way::Debian) => {
            add_by_debian(apt)?;
            Way::Debian
        }
        None => match add_by_rustup(RUSTUP_LIMIT) {
            Ok(()) => Way::Rustup,
            Err(problem) => {
                println!(
                    "setup: rustup did not bring the target, turning to Debian's packages\n{problem}"
                );
                add_by_debian(apt)?;
                Way::Debian
            }
        },
    };
    if !way.is_ready() {
        return Err(Problem::new(
            format!("{TARGET} still cannot be compiled for after the installation"),
            format!(
                "set {FORCE_VARIABLE}=rustup or {FORCE_VARIABLE}=debian to try one way alone, and read its output"
            ),
        ));
    }
    Ok(way)
}

fn add_by_rustup(limit: Duration) -> Result<(), Problem> {
    println!("setup: adding the target {TARGET} by rustup");
    run_within(
        Command::new("rustup").args(["target", "add", TARGET]),
        limit,
        &format!(
            "check the network and run `rustup target add {TARGET}` by hand, or set {FORCE_VARIABLE}=debian"
        ),
    )
}

fn add_by_debian(apt: &mut Apt) -> Result<(), Problem> {
    println!("setup: installing Debian's compiler for WebAssembly and its library sources");
    apt.install(&DEBIAN_COMPILER)
}

fn ensure_node(apt: &mut Apt) -> Result<(), Problem> {
    let missing: Vec<&str> = [("node", "nodejs"), ("npm", "npm")]
        .into_iter()
        .filter(|(program, _)| on_path(program).is_none())
        .map(|(_, package)| package)
        .collect();
    if !missing.is_empty() {
        println!("setup: installing {}", missing.join(" and "));
        apt.install(&missing)?;
    }
    let version = output_of(Command::new("node").arg("--version")).unwrap_or_default();
    let major = version
        .trim_start_matches('v')
        .split('.')
        .next()
        .and_then(|part| part.parse::<u32>().ok())
        .unwrap_or(0);
    if major < LEAST_NODE {
        return Err(Problem::new(
            format!("node is {version:?}, at least version {LEAST_NODE} is needed"),
            "install a newer node and put it first on the path",
        ));
    }
    println!("setup: node {version}");
    Ok(())
}

fn ensure_chromium(apt: &mut Apt) -> Result<(), Problem> {
    let missing: Vec<&str> = [
        ("chromium", chromium().is_none()),
        ("chromium-driver", chromium_driver().is_none()),
    ]
    .into_iter()
    .filter_map(|(package, is_missing)| is_missing.then_some(package))
    .collect();
    if !missing.is_empty() {
        println!("setup: installing {}", missing.join(" and "));
        apt.install(&missing)?;
    }
    let path = chromium().ok_or_else(|| {
        Problem::new(
            "Chromium was not found",
            "install Chromium, or set LAMPWRIGHT_CHROMIUM to its path",
        )
    })?;
    let driver = chromium_driver().ok_or_else(|| {
        Problem::new(
            "the driver of Chromium was not found",
            "install chromedriver, or set CHROMEDRIVER to its path",
        )
    })?;
    println!(
        "setup: browser {} driven by {}",
        path.display(),
        driver.display()
    );
    Ok(())
}

fn ensure_packages() -> Result<(), Problem> {
    let folder = workspace::browser_tests();
    let lock = folder.join("package-lock.json");
    let stamp = folder.join("node_modules").join(".installed-lock.json");
    let wanted = std::fs::read(&lock).map_err(|error| Problem::file(&lock, &error))?;
    if std::fs::read(&stamp).is_ok_and(|installed| installed == wanted) {
        println!("setup: browser-test packages are there");
        return Ok(());
    }
    println!("setup: installing the browser-test packages");
    run(
        Command::new("npm")
            .args(["ci", "--no-audit", "--no-fund"])
            .current_dir(&folder)
            .env("PLAYWRIGHT_SKIP_BROWSER_DOWNLOAD", "1")
            .stdin(Stdio::null()),
        "check the network and npm's settings, then run `npm ci` in tests/browser by hand",
    )?;
    std::fs::write(&stamp, wanted).map_err(|error| Problem::file(&stamp, &error))
}

/// Debian's packages; the list is refreshed once, before the first installation.
#[derive(Default)]
struct Apt {
    is_updated: bool,
}

impl Apt {
    fn install(&mut self, packages: &[&str]) -> Result<(), Problem> {
        let by_hand = format!(
            "install by hand: apt-get install --no-install-recommends {}",
            packages.join(" ")
        );
        if on_path("apt-get").is_none() {
            return Err(Problem::new(
                format!("there is no apt-get to install {}", packages.join(", ")),
                "install their equivalents with this system's package manager",
            ));
        }
        if !self.is_updated {
            run(apt_get()?.arg("update"), &by_hand)?;
            self.is_updated = true;
        }
        run(
            apt_get()?
                .args(["install", "--yes", "--no-install-recommends"])
                .args(packages),
            &by_hand,
        )
    }
}

/// `apt-get` as root: directly, or by `sudo`, which may ask for a password.
fn apt_get() -> Result<Command, Problem> {
    let is_root = output_of(Command::new("id").arg("-u")).is_some_and(|id| id == "0");
    let mut command = if is_root {
        Command::new("apt-get")
    } else if on_path("sudo").is_some() {
        let mut command = Command::new("sudo");
        command.args(["DEBIAN_FRONTEND=noninteractive", "apt-get"]);
        return Ok(command);
    } else {
        return Err(Problem::new(
            "packages can only be installed as root, and there is no sudo",
            "run `cargo xtask setup` as root once",
        ));
    };
    command
        .env("DEBIAN_FRONTEND", "noninteractive")
        .stdin(Stdio::null());
    Ok(command)
}

fn on_path(program: &str) -> Option<PathBuf> {
    std::env::split_paths(&std::env::var_os("PATH")?)
        .map(|folder| folder.join(program))
        .find(|path: &PathBuf| Path::is_file(path))
}
