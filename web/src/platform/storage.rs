//! The browser's own storage, with its failures in plain words.
//!
//! A browser gives some five million characters to all programs together; long texts are packed, so that many programs fit, and very large ones too.
//!
//! Invariant: a failure is returned, never swallowed; nothing is deleted to make room.

use super::window;
use lampwright_formats::MOST_BYTES;
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

/// Texts of at least this many bytes are packed; what is shorter can be read by eye.
const PACKED_FROM_BYTES: usize = 128 << 10;

/// First character of a packed text; no text of ours begins with it. One character for each byte of an LZ4 block, after its length as four bytes, follows.
const PACKED: char = '\u{1}';

/// The text kept under a key, as it stands when it cannot be unpacked; none when there is none or storage is blocked.
pub(crate) fn read(key: &str) -> Option<String> {
    let text = storage().ok()?.get_item(key).ok().flatten()?;
    Some(text.strip_prefix(PACKED).and_then(unpacked).unwrap_or(text))
}

fn packed(text: &str) -> String {
    let bytes = lz4_flex::compress_prepend_size(text.as_bytes());
    std::iter::once(PACKED)
        .chain(bytes.into_iter().map(char::from))
        .collect()
}

fn unpacked(packed: &str) -> Option<String> {
    let bytes: Option<Vec<u8>> = packed
        .chars()
        .map(|character| u8::try_from(u32::from(character)).ok())
        .collect();
    let bytes = bytes?;
    let (n_bytes, block) = lz4_flex::block::uncompressed_size(&bytes).ok()?;
    // Memory for a length that is damaged is not asked for.
    if n_bytes > MOST_BYTES {
        return None;
    }
    String::from_utf8(lz4_flex::decompress(block, n_bytes).ok()?).ok()
}

/// Keeps a text under a key.
///
/// # Errors
/// When storage is blocked or full; what was there before stays.
pub(crate) fn write(key: &str, text: &str) -> Result<(), StorageProblem> {
    let storage = storage()?;
    let is_kept = if text.len() < PACKED_FROM_BYTES {
        storage.set_item(key, text)
    } else {
        storage.set_item(key, &packed(text))
    };
    is_kept.map_err(|_| StorageProblem::Full)
}

/// Why nothing can be kept here, if so; what is kept is left as it is.
pub(crate) fn problem() -> Option<StorageProblem> {
    const PROBE: &str = "lampwright.probe";
    let problem = write(PROBE, "can this page keep what is made in it").err();
    remove(PROBE);
    problem
}

/// What this tab alone remembers under a key for as long as it is open, reloads included; none when there is nothing, or storage is blocked.
pub(crate) fn read_of_tab(key: &str) -> Option<String> {
    let storage = window()?.session_storage().ok()??;
    storage.get_item(key).ok()?
}

/// Lets this tab alone remember a text; where it cannot, what all tabs share has to do.
pub(crate) fn write_of_tab(key: &str, text: &str) {
    if let Some(Ok(Some(storage))) = window().map(|window| window.session_storage()) {
        let _ = storage.set_item(key, text);
    }
}

/// Removes what is kept under a key.
pub(crate) fn remove(key: &str) {
    if let Ok(storage) = storage() {
        let _ = storage.remove_item(key);
    }
}
