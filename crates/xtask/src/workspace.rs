//! Where things are: the project's root, cargo's target directory, the places written to.
//!
//! Invariant: every path handed out is absolute.
//! Absent: creating or deleting anything.

use std::path::{Path, PathBuf};
use std::process::Command;

/// The project's root folder.
pub(crate) fn root() -> PathBuf {
    let manifest = std::env::var_os("CARGO_MANIFEST_DIR")
        .map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from);
    manifest
        .ancestors()
        .nth(2)
        .map_or(manifest.clone(), Path::to_path_buf)
}

/// The ordinary cargo, ready to be given arguments, running in the project's root.
pub(crate) fn cargo() -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.current_dir(root());
    command
}

/// The target directory of native builds.
pub(crate) fn native_target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR")
        .map_or_else(|| root().join("target"), |given| root().join(given))
}

/// The target directory of builds to WebAssembly, apart so that switching its compiler never
/// invalidates native builds.
pub(crate) fn wasm_target() -> PathBuf {
    native_target().join("web")
}

/// The folder that `serve` serves.
pub(crate) fn pages() -> PathBuf {
    wasm_target().join("pages")
}

/// The distributed static site.
pub(crate) fn site() -> PathBuf {
    root().join("dist").join("site")
}

/// The page that opens from disk.
pub(crate) fn one_file() -> PathBuf {
    root().join("dist").join("lampwright.html")
}

/// The browser tests: specs, configuration, packages.
pub(crate) fn browser_tests() -> PathBuf {
    root().join("tests").join("browser")
}
