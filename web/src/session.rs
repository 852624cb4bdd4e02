//! What this browser keeps between visits: programs under keys of their own, and what was shown last.
//!
//! Invariant: a program is never removed except by the person, and a failed save leaves the one before in place.
//! Absent: the format of a program, which belongs to the formats crate.

use crate::platform::storage::{self, StorageProblem};
use serde_json::{Value, json};

const INDEX: &str = "lampwright.index";
const LAST: &str = "lampwright.last";
const THEME: &str = "lampwright.theme";
const PROGRAM: &str = "lampwright.program.";
const SHOWN: &str = "lampwright.shown.";

/// One kept program.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Kept {
    /// Key of its own.
    pub(crate) slot: String,
    /// Name of the program when it was saved.
    pub(crate) name: String,
    /// When, `2026-03-09 14:02:11`.
    pub(crate) saved: String,
}

/// What was shown of a program last.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct ShownLast {
    /// The open pattern.
    pub(crate) pattern: Option<String>,
    /// Signals away from their defaults, with their values.
    pub(crate) values: Vec<(String, String)>,
}

/// The kept programs, newest first.
pub(crate) fn kept() -> Vec<Kept> {
    let Some(Value::Array(entries)) = read_json(INDEX) else {
        return Vec::new();
    };
    let mut kept: Vec<Kept> = entries
        .iter()
        .filter_map(|entry| {
            let text = |key: &str| entry.get(key)?.as_str().map(str::to_owned);
            Some(Kept {
                slot: text("slot")?,
                name: text("name")?,
                saved: text("saved")?,
            })
        })
        .collect();
    kept.sort_by(|first, second| second.saved.cmp(&first.saved));
    kept
}

/// A key no kept program has.
pub(crate) fn new_slot() -> String {
    let taken = kept();
    let mut number = taken.len() + 1;
    loop {
        let slot = format!("{number}");
        if !taken.iter().any(|kept| kept.slot == slot) {
            return slot;
        }
        number += 1;
    }
}

/// The key of the program that was open last.
pub(crate) fn last_slot() -> Option<String> {
    storage::read(LAST)
}

/// The text of a kept program.
pub(crate) fn program_text(slot: &str) -> Option<String> {
    storage::read(&key(slot))
}

/// The storage key of a program.
pub(crate) fn key(slot: &str) -> String {
    format!("{PROGRAM}{slot}")
}

/// Keeps a program.
///
/// # Errors
/// When storage is blocked or full; the version kept before stays.
pub(crate) fn keep(slot: &str, name: &str, text: &str, now: &str) -> Result<(), StorageProblem> {
    storage::write(&key(slot), text)?;
    let mut entries: Vec<Kept> = kept();
    entries.retain(|kept| kept.slot != slot);
    entries.insert(
        0,
        Kept {
            slot: slot.to_owned(),
            name: name.to_owned(),
            saved: now.to_owned(),
        },
    );
    write_index(&entries)?;
    storage::write(LAST, slot)
}

/// Removes a kept program, because the person said so.
pub(crate) fn forget(slot: &str) {
    let mut entries = kept();
    entries.retain(|kept| kept.slot != slot);
    if write_index(&entries).is_ok() {
        storage::remove(&key(slot));
        storage::remove(&format!("{SHOWN}{slot}"));
    }
}

/// What was shown of a kept program last, if anything was.
pub(crate) fn shown_last(slot: &str) -> Option<ShownLast> {
    let value = read_json(&format!("{SHOWN}{slot}"))?;
    Some(ShownLast {
        pattern: value
            .get("pattern")
            .and_then(Value::as_str)
            .map(str::to_owned),
        values: value
            .get("values")
            .and_then(Value::as_object)
            .into_iter()
            .flatten()
            .filter_map(|(signal, value)| Some((signal.clone(), value.as_str()?.to_owned())))
            .collect(),
    })
}

/// Remembers what is shown; a failure here loses no work and is not reported.
pub(crate) fn remember_shown(slot: &str, shown: &ShownLast) {
    let values: serde_json::Map<String, Value> = shown
        .values
        .iter()
        .map(|(signal, value)| (signal.clone(), Value::from(value.as_str())))
        .collect();
    let text = json!({ "pattern": shown.pattern, "values": values }).to_string();
    let _ = storage::write(&format!("{SHOWN}{slot}"), &text);
}

/// The theme the person chose, if they did: true is light.
pub(crate) fn chosen_theme() -> Option<bool> {
    match storage::read(THEME)?.as_str() {
        "light" => Some(true),
        "dark" => Some(false),
        _ => None,
    }
}

/// Remembers the theme; a failure here loses no work and is not reported.
pub(crate) fn remember_theme(is_light: bool) {
    let _ = storage::write(THEME, if is_light { "light" } else { "dark" });
}

fn read_json(key: &str) -> Option<Value> {
    serde_json::from_str(&storage::read(key)?).ok()
}

fn write_index(entries: &[Kept]) -> Result<(), StorageProblem> {
    let list: Vec<Value> = entries
        .iter()
        .map(|kept| json!({ "slot": kept.slot, "name": kept.name, "saved": kept.saved }))
        .collect();
    storage::write(INDEX, &Value::Array(list).to_string())
}
