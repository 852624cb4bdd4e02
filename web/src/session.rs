//! What this browser keeps between visits: programs under keys of their own, and what was shown last.
//!
//! Invariant: a program is never removed except by the person, and a failed save leaves the one before in place.
//! Absent: the format of a program, which belongs to the formats crate.

use crate::platform::storage::{self, StorageProblem};

const INDEX: &str = "lampwright.index";
const LAST: &str = "lampwright.last";
const THEME: &str = "lampwright.theme";
const PROGRAM: &str = "lampwright.program.";
const SHOWN: &str = "lampwright.shown.";
const STEPS: &str = "lampwright.steps.";

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
    let mut kept: Vec<Kept> = storage::read(INDEX)
        .unwrap_or_default()
        .lines()
        .filter_map(|line| {
            let (slot, rest) = line.split_once('\t')?;
            let (saved, name) = rest.split_once('\t')?;
            Some(Kept {
                slot: slot.to_owned(),
                name: name.to_owned(),
                saved: saved.to_owned(),
            })
        })
        .collect();
    lampwright_timing::sort_by(&mut kept, |first, second| second.saved.cmp(&first.saved));
    kept
}

/// A key no kept program has.
pub(crate) fn new_slot() -> String {
    let taken = kept();
    let mut number = taken.len() + 1;
    loop {
        let slot = format!("{number}");
        // Also a text that is missing from the list stays as it is.
        let is_free = storage::read(&key(&slot)).is_none();
        if is_free && !taken.iter().any(|kept| kept.slot == slot) {
            return slot;
        }
        number += 1;
    }
}

/// The keys of the programs that were open last: in this tab, and in any.
pub(crate) fn last_slots() -> impl Iterator<Item = String> {
    [storage::read_of_tab(LAST), storage::read(LAST)]
        .into_iter()
        .flatten()
}

/// The text of a kept program.
pub(crate) fn program_text(slot: &str) -> Option<String> {
    storage::read(&key(slot))
}

/// The storage key of a program.
pub(crate) fn key(slot: &str) -> String {
    format!("{PROGRAM}{slot}")
}

/// Keeps a program, and remembers that it is the open one.
///
/// # Errors
/// When storage is blocked or full; the version kept before stays.
pub(crate) fn keep(slot: &str, name: &str, text: &str, now: &str) -> Result<(), StorageProblem> {
    put(slot, name, text, now)?;
    remember_last(slot)
}

/// Keeps a program.
///
/// # Errors
/// When storage is blocked or full; the version kept before stays.
pub(crate) fn put(slot: &str, name: &str, text: &str, now: &str) -> Result<(), StorageProblem> {
    let mut entries: Vec<Kept> = kept();
    let key = key(slot);
    let before = storage::read(&key);
    if storage::write(&key, text).is_err() {
        // Steps that could be taken back give way to programs.
        for kept in &entries {
            storage::remove(&format!("{STEPS}{}", kept.slot));
        }
        storage::write(&key, text)?;
    }
    entries.retain(|kept| kept.slot != slot);
    entries.insert(
        0,
        Kept {
            slot: slot.to_owned(),
            name: name.to_owned(),
            saved: now.to_owned(),
        },
    );
    write_index(&entries).inspect_err(|_| match before {
        // What was there had room.
        Some(before) => drop(storage::write(&key, &before)),
        None => storage::remove(&key),
    })
}

/// Remembers which kept program is open, in this tab and for tabs to come.
///
/// # Errors
/// When storage is blocked or full.
pub(crate) fn remember_last(slot: &str) -> Result<(), StorageProblem> {
    storage::write_of_tab(LAST, slot);
    storage::write(LAST, slot)
}

/// The key of a kept program with exactly this text, so that opening the same twice leaves no copy.
pub(crate) fn slot_of(text: &str) -> Option<String> {
    kept()
        .into_iter()
        .map(|kept| kept.slot)
        .find(|slot| program_text(slot).as_deref() == Some(text))
}

/// A program that was removed, as long as it can be put back.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Removed {
    /// Its entry.
    pub(crate) kept: Kept,
    text: String,
    /// What was kept beside it: the start of the key, and the text.
    beside: Vec<(&'static str, String)>,
}

/// Removes a kept program, because the person said so; what is given can be put back.
pub(crate) fn remove(slot: &str) -> Option<Removed> {
    let mut entries = kept();
    let index = entries.iter().position(|kept| kept.slot == slot)?;
    let kept = entries.remove(index);
    let beside = [SHOWN, STEPS]
        .into_iter()
        .filter_map(|prefix| Some((prefix, storage::read(&format!("{prefix}{slot}"))?)))
        .collect();
    let text = program_text(slot).unwrap_or_default();
    write_index(&entries).ok()?;
    for prefix in [PROGRAM, SHOWN, STEPS] {
        storage::remove(&format!("{prefix}{slot}"));
    }
    Some(Removed { kept, text, beside })
}

/// Puts a removed program back, under another key when its own was taken since.
///
/// # Errors
/// When its room in storage was taken since.
pub(crate) fn put_back(removed: &Removed) -> Result<(), StorageProblem> {
    let Kept { slot, name, saved } = &removed.kept;
    let slot = match program_text(slot) {
        None => slot.clone(),
        Some(_) => new_slot(),
    };
    put(&slot, name, &removed.text, saved)?;
    for (prefix, text) in &removed.beside {
        // Without them the program is whole as well.
        let _ = storage::write(&format!("{prefix}{slot}"), text);
    }
    Ok(())
}

/// The steps kept beside a program, if any are.
pub(crate) fn steps(slot: &str) -> Option<String> {
    storage::read(&format!("{STEPS}{slot}"))
}

/// Keeps the steps of a program beside it; where there is no room for them there are none.
pub(crate) fn keep_steps(slot: &str, steps: &str) {
    let key = format!("{STEPS}{slot}");
    if storage::write(&key, steps).is_err() {
        storage::remove(&key);
    }
}

/// The name for a copy of a program, which no kept program has.
pub(crate) fn copy_name(name: &str) -> String {
    let taken = kept();
    let mut number = 1;
    loop {
        let copy = match number {
            1 => format!("{name} (copy)"),
            number => format!("{name} (copy {number})"),
        };
        if !taken.iter().any(|kept| kept.name == copy) {
            return copy;
        }
        number += 1;
    }
}

/// What was shown of a kept program last, if anything was.
pub(crate) fn shown_last(slot: &str) -> Option<ShownLast> {
    let text = storage::read(&format!("{SHOWN}{slot}"))?;
    let mut lines = text.lines();
    let pattern = lines.next().filter(|id| !id.is_empty()).map(str::to_owned);
    let values = lines
        .filter_map(|line| line.split_once('\t'))
        .map(|(signal, value)| (signal.to_owned(), value.to_owned()))
        .collect();
    Some(ShownLast { pattern, values })
}

/// Remembers what is shown; a failure here loses no work and is not reported.
pub(crate) fn remember_shown(slot: &str, shown: &ShownLast) {
    let mut text = shown.pattern.clone().unwrap_or_default();
    for (signal, value) in &shown.values {
        text.push_str(&format!("\n{signal}\t{value}"));
    }
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

/// One line per program: key, time, name, with tabs between.
fn write_index(entries: &[Kept]) -> Result<(), StorageProblem> {
    let lines: Vec<String> = entries
        .iter()
        .map(|kept| {
            let name = kept.name.replace(['\t', '\n', '\r'], " ");
            format!("{}\t{}\t{name}", kept.slot, kept.saved)
        })
        .collect();
    storage::write(INDEX, &lines.join("\n"))
}
