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
                .arg("-Zbuild-std=std,panic_abort")
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
