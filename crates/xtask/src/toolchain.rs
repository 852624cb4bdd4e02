//! Which compiler makes WebAssembly, and how cargo is told.
//!
//! Two ways: the ordinary toolchain with its `wasm32-unknown-unknown` target, or Debian's
//! `rustc-web` with the standard library built from `rust-web-src`.
//! Invariant: a way is only returned when everything it needs is present.
//! Absent: installing; see `setup`.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::process::{Problem, output_of};
use crate::workspace;

/// The target triple of the browser build.
pub(crate) const TARGET: &str = "wasm32-unknown-unknown";

/// The variable that forces a way.
pub(crate) const FORCE_VARIABLE: &str = "LAMPWRIGHT_WASM";

const DEBIAN_RUSTC: &str = "/usr/bin/rustc";
const DEBIAN_CLIPPY: &str = "/usr/bin/cargo-clippy";
const DEBIAN_SOURCES: &str = "/usr/lib/rustlib/src/rust/library";

/// Builds the standard library along with the app.
const BUILD_LIBRARY: &str = "-Zbuild-std=std,panic_abort";

/// Sorts and writes numbers by less code, and leaves out traces of calls, which a browser cannot show.
const SMALL_LIBRARY: &str = "-Zbuild-std-features=optimize_for_size";

/// Leaves messages and places of panics out.
const SILENT: &str = "-Zlocation-detail=none -Zunstable-options -Cpanic=immediate-abort";

/// Has the linker keep what says where functions and data name each other, by which the app is split in two.
const RELOCATIONS: &str = "-Clink-arg=--emit-relocs";

/// A way to compile to WebAssembly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Way {
    /// The ordinary toolchain, with the target added by rustup.
    Rustup,
    /// Debian's compiler, building the standard library along with the app.
    Debian,
}

/// The way that was forced by the variable, if any.
pub(crate) fn forced() -> Result<Option<Way>, Problem> {
    match std::env::var(FORCE_VARIABLE).as_deref() {
        Err(_) | Ok("") => Ok(None),
        Ok("rustup") => Ok(Some(Way::Rustup)),
        Ok("debian") => Ok(Some(Way::Debian)),
        Ok(other) => Err(Problem::new(
            format!("{FORCE_VARIABLE} is {other:?}"),
            format!("set {FORCE_VARIABLE} to rustup or debian, or leave it unset"),
        )),
    }
}

/// The way that is ready to use, if any; a forced way is the only one looked at.
pub(crate) fn ready() -> Result<Option<Way>, Problem> {
    Ok(match forced()? {
        Some(way) => way.is_ready().then_some(way),
        None => [Way::Rustup, Way::Debian]
            .into_iter()
            .find(|way| way.is_ready()),
    })
}

impl Way {
    /// Whether compiler, standard library and linker are there.
    pub(crate) fn is_ready(self) -> bool {
        match self {
            Self::Rustup => has_core_library(),
            Self::Debian => {
                Path::new(DEBIAN_RUSTC).exists()
                    && Path::new(DEBIAN_SOURCES).is_dir()
                    && Path::new(DEBIAN_CLIPPY).exists()
                    && linker().is_some()
            }
        }
    }

    /// One line saying which compiler is used.
    pub(crate) fn describe(self) -> String {
        let (program, note) = match self {
            Self::Rustup => ("rustc", "the ordinary toolchain"),
            Self::Debian => (
                DEBIAN_RUSTC,
                "Debian's rustc-web, standard library from source",
            ),
        };
        let version = output_of(Command::new(program).arg("--version"))
            .unwrap_or_else(|| "unknown version".into());
        format!("{version} ({note})")
    }

    /// `cargo SUBCOMMAND` set up for the WebAssembly target and its own target directory.
    ///
    /// Further arguments may be added, but not after `--`.
    pub(crate) fn cargo(self, subcommand: &str) -> Result<Command, Problem> {
        let mut command = workspace::cargo();
        command.arg(subcommand);
        self.configure(&mut command)?;
        Ok(command)
    }

    /// `cargo build` of what a browser loads, by the profile `web`, as small as the way allows.
    ///
    /// No panic of this build says anything: the code that writes its message and its place is left out, and it stops the app at once.
    /// That loses nothing, since in a browser the standard library has nowhere to write the message to; the console shows the trap either way.
    /// The core does not panic on input, and the tests run builds in which a panic speaks.
    ///
    /// The ordinary way does without, and weighs some percent more, when the library's sources or its crates are missing or the compiler does not know the flags.
    pub(crate) fn build_smallest(self) -> Result<Command, Problem> {
        let mut command = self.cargo("build")?;
        command.args(["--profile", "web"]);
        let is_silent = match self {
            Self::Debian => true,
            Self::Rustup => builds_library(),
        };
        if is_silent && self == Self::Rustup {
            command
                .args([BUILD_LIBRARY, SMALL_LIBRARY])
                .env("RUSTC_BOOTSTRAP", "1");
        }
        let flags = if is_silent {
            format!("{SILENT} {RELOCATIONS}")
        } else {
            RELOCATIONS.to_owned()
        };
        command.env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS", flags);
        Ok(command)
    }

    /// Clippy for the WebAssembly target.
    pub(crate) fn clippy(self) -> Result<Command, Problem> {
        match self {
            Self::Rustup => self.cargo("clippy"),
            Self::Debian => {
                // Debian's clippy belongs to Debian's compiler; the ordinary one cannot read the
                // standard library that Debian's compiler built.
                let cargo = workspace::cargo();
                let mut command = Command::new(DEBIAN_CLIPPY);
                command
                    .current_dir(workspace::root())
                    .env("CARGO", cargo.get_program())
                    .arg("clippy");
                self.configure(&mut command)?;
                Ok(command)
            }
        }
    }

    fn configure(self, command: &mut Command) -> Result<(), Problem> {
        command
            .args(["--target", TARGET, "--target-dir"])
            .arg(workspace::wasm_target());
        if self == Self::Debian {
            let linker = linker().ok_or_else(|| {
                Problem::new(
                    "the ordinary toolchain has no rust-lld",
                    "install Rust by rustup, which brings it",
                )
            })?;
            command
                .args([BUILD_LIBRARY, SMALL_LIBRARY])
                .env_remove("RUSTUP_TOOLCHAIN")
                .env_remove("RUSTC_WRAPPER")
                .env("RUSTC", DEBIAN_RUSTC)
                .env("RUSTC_BOOTSTRAP", "1")
                .env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER", linker);
        }
        Ok(())
    }
}

/// `rustc` prints the library folder of a target even when the target is not installed, so this
/// looks for the core library in it.
fn has_core_library() -> bool {
    output_of(Command::new("rustc").args(["--print", "target-libdir", "--target", TARGET]))
        .and_then(|folder| std::fs::read_dir(folder).ok())
        .is_some_and(|entries| {
            entries
                .flatten()
                .any(|entry| entry.file_name().to_string_lossy().starts_with("libcore"))
        })
}

/// Whether the ordinary toolchain can build its own standard library: it has the sources, cargo has every crate they need, and the compiler takes the flags.
pub(crate) fn builds_library() -> bool {
    has_library_sources()
        && output_of(
            Command::new("rustc")
                .args(SILENT.split(' '))
                .args(["--print", "cfg", "--target", TARGET])
                .env("RUSTC_BOOTSTRAP", "1"),
        )
        .is_some()
        && output_of(fetch_library().arg("--offline")).is_some()
}

/// Whether the sources of the standard library are with the ordinary toolchain.
fn has_library_sources() -> bool {
    output_of(Command::new("rustc").args(["--print", "sysroot"])).is_some_and(|sysroot| {
        Path::new(&sysroot)
            .join("lib/rustlib/src/rust/library/std")
            .is_dir()
    })
}

/// Has cargo fetch the crates that the standard library needs, besides those of the project.
pub(crate) fn fetch_library() -> Command {
    let mut command = workspace::cargo();
    command
        .args(["fetch", BUILD_LIBRARY, "--target", TARGET])
        .env("RUSTC_BOOTSTRAP", "1");
    command
}

/// The linker that comes with the ordinary toolchain.
fn linker() -> Option<PathBuf> {
    let sysroot = PathBuf::from(output_of(
        Command::new("rustc").args(["--print", "sysroot"]),
    )?);
    let version = output_of(Command::new("rustc").arg("-vV"))?;
    let host = version
        .lines()
        .find_map(|line| line.strip_prefix("host: "))?;
    let path = sysroot
        .join("lib/rustlib")
        .join(host)
        .join("bin")
        .join("rust-lld");
    path.exists().then_some(path)
}
