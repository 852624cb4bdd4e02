//! The browser's own storage, with its failures in plain words.
//!
//! Invariant: a failure is returned, never swallowed; nothing is deleted to make room.

use super::window;
use web_sys::Storage;

/// Why something could not be kept.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum StorageProblem {
    /// The browser gives this page no storage.
    Blocked,
    /// There is no room left.
    Full,
}

impl StorageProblem {
    /// What is wrong and what to do.
    pub(crate) const fn text(self) -> &'static str {
        match self {
            Self::Blocked => "storage blocked by the browser, download a copy",
            Self::Full => "storage full, download a copy",
        }
    }
}

fn storage() -> Result<Storage, StorageProblem> {
    window()
        .and_then(|window| window.local_storage().ok().flatten())
        .ok_or(StorageProblem::Blocked)
}

/// The text kept under a key; none when there is none or storage is blocked.
pub(crate) fn read(key: &str) -> Option<String> {
    storage().ok()?.get_item(key).ok().flatten()
}

/// Keeps a text under a key.
///
/// # Errors
/// When storage is blocked or full; what was there before stays.
pub(crate) fn write(key: &str, text: &str) -> Result<(), StorageProblem> {
    storage()?
        .set_item(key, text)
        .map_err(|_| StorageProblem::Full)
}

/// Why nothing can be kept here, if so; what is kept is left as it is.
pub(crate) fn problem() -> Option<StorageProblem> {
    const PROBE: &str = "lampwright.probe";
    let problem = write(PROBE, "can this page keep what is made in it").err();
    remove(PROBE);
    problem
}

/// Removes what is kept under a key.
pub(crate) fn remove(key: &str) {
    if let Ok(storage) = storage() {
        let _ = storage.remove_item(key);
    }
}
