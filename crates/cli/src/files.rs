//! Finding and reading files; sizes are looked at before anything is read.

use lampwright_formats::MOST_BYTES;
use std::collections::BTreeSet;
use std::fs;
use std::io::Read as _;
use std::path::{Path, PathBuf};

/// What the paths of a command lead to.
#[derive(Debug, Default)]
pub(crate) struct Found {
    /// Files, sorted, each once.
    pub(crate) files: BTreeSet<PathBuf>,
    /// Paths that could not be looked into, with the reason.
    pub(crate) unreadable: Vec<String>,
    /// Folders walked, without links in their paths; links may form circles.
    walked: BTreeSet<PathBuf>,
}

/// Deepest nesting of folders that is walked.
const MOST_DEPTH: usize = 32;

/// Files as they are named, and every `.json` file below the folders named.
pub(crate) fn find(paths: &[PathBuf]) -> Found {
    let mut found = Found::default();
    for path in paths {
        if path.is_dir() {
            walk(path, 0, &mut found);
        } else {
            found.files.insert(path.clone());
        }
    }
    found
}

/// Each folder is walked once, whatever links lead to it.
fn walk(folder: &Path, depth: usize, found: &mut Found) {
    match fs::canonicalize(folder) {
        Ok(real) => {
            if !found.walked.insert(real) {
                return;
            }
        }
        Err(error) => {
            found
                .unreadable
                .push(format!("{}: {error}", folder.display()));
            return;
        }
    }
    if depth > MOST_DEPTH {
        found.unreadable.push(format!(
            "{}: more than {MOST_DEPTH} folders deep, not walked",
            folder.display()
        ));
        return;
    }
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) => {
            found
                .unreadable
                .push(format!("{}: {error}", folder.display()));
            return;
        }
    };
    let mut paths: Vec<PathBuf> = Vec::new();
    for entry in entries {
        match entry {
            Ok(entry) => paths.push(entry.path()),
            Err(error) => found
                .unreadable
                .push(format!("{}: {error}", folder.display())),
        }
    }
    // Links last, so that files go by the names they have without them.
    paths.sort_by_cached_key(|path| (path.is_symlink(), path.clone()));
    for path in paths {
        if path.is_dir() {
            walk(&path, depth + 1, found);
        } else if path
            .extension()
            .is_some_and(|extension| extension.eq_ignore_ascii_case("json"))
        {
            found.files.insert(path);
        }
    }
}

/// The bytes of a file no larger than a program file may be.
///
/// # Errors
/// In plain words when it cannot be read, is too large, or is no regular file: a named pipe without a writer would be waited for without end.
pub(crate) fn read(path: &Path) -> Result<Vec<u8>, String> {
    if is_standard_input(path) {
        return read_at_most(std::io::stdin().lock());
    }
    // Looked at before it is opened, since opening a pipe is what waits.
    let metadata = fs::metadata(path).map_err(|error| error.to_string())?;
    if !metadata.is_file() && !is_handed_over(path) {
        return Err("not a regular file, not read".into());
    }
    let file = fs::File::open(path).map_err(|error| error.to_string())?;
    let size = file.metadata().map_err(|error| error.to_string())?.len();
    if size > MOST_BYTES as u64 {
        return Err(too_large(size));
    }
    read_at_most(file)
}

/// A file may grow, or be a pipe without a size, so reading stops just past the limit as well.
fn read_at_most(file: impl std::io::Read) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    let n_read = file
        .take(MOST_BYTES as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| error.to_string())?;
    if n_read > MOST_BYTES {
        return Err(too_large(n_read as u64));
    }
    Ok(bytes)
}

fn too_large(size: u64) -> String {
    format!("{size} bytes, at most {MOST_BYTES} bytes wanted")
}

/// Whether the path is the dash that stands for the standard input.
pub(crate) fn is_standard_input(path: &Path) -> bool {
    path == Path::new("-")
}

/// Whether the path names what the shell opened for this process: the standard input or `<(…)`.
fn is_handed_over(path: &Path) -> bool {
    path == Path::new("/dev/stdin") || path.starts_with("/dev/fd")
}
