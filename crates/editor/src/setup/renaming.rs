//! Values of a signal that get other names, wherever the program uses them.
//!
//! Invariant: pure; after renaming a program means what it meant before.
//! Absent: labels, which stand in their own thing alone and are looked up there.

use super::ThingKind;
use lampwright_model::{Alternative, Edit, Item, Parts, Program, SignalId, ValueId};

/// The old and the new one of each name that was changed: there are as many as before, and in place of each that is gone stands one that is new.
pub(super) fn renamed<T: PartialEq + Clone>(before: &[T], after: &[T]) -> Vec<(T, T)> {
    let pairs = before.iter().zip(after).filter(|(old, new)| old != new);
    let is_new = |(old, new): (&T, &T)| !after.contains(old) && !before.contains(new);
    if before.len() != after.len() || !pairs.clone().all(is_new) {
        return Vec::new();
    }
    pairs.map(|(old, new)| (old.clone(), new.clone())).collect()
}

/// The values of signals that edits rename, each with its signal.
pub(super) fn renamed_values(
    program: &Program,
    edits: &[Edit],
) -> Vec<(SignalId, ValueId, ValueId)> {
    let mut found = Vec::new();
    for edit in edits {
        if let Edit::Put(Item::Signal(after)) = edit
            && let Some((_, before)) = program.signal(&after.id)
        {
            let pairs = renamed(&before.values, &after.values);
            found.extend(
                pairs
                    .into_iter()
                    .map(|(old, new)| (after.id.clone(), old, new)),
            );
        }
    }
    found
}

/// The edits that let everything but the signals themselves use the new names of values.
pub(super) fn renamed_everywhere(
    program: &Program,
    renamed: &[(SignalId, ValueId, ValueId)],
) -> Vec<Edit> {
    let mut parts = program.to_parts();
    for (signal, old, new) in renamed {
        let name = |value: &mut ValueId| {
            if value == old {
                value.clone_from(new);
            }
        };
        for alternative in alternatives(&mut parts) {
            let allowed = alternative
                .0
                .iter_mut()
                .filter(|(known, _)| known == signal);
            allowed.for_each(|(_, values)| values.iter_mut().for_each(name));
        }
        for settings in settings(&mut parts) {
            let set = settings.iter_mut().filter(|(known, _)| known == signal);
            set.for_each(|(_, value)| name(value));
        }
    }
    changed(program, parts)
}

/// Every alternative of every condition.
fn alternatives(parts: &mut Parts) -> impl Iterator<Item = &mut Alternative> {
    let layers = parts.layers.iter_mut().map(|layer| &mut layer.when);
    let dims = parts.dims.iter_mut().map(|dim| &mut dim.when);
    let guarantees = parts.guarantees.iter_mut().map(|promise| &mut promise.when);
    let rules = parts.profile.rules.iter_mut();
    let rules = rules.filter_map(|choice| choice.when.as_mut());
    let conditions = layers.chain(dims).chain(guarantees).chain(rules);
    conditions
        .flat_map(|condition| &mut condition.0)
        .chain(&mut parts.impossible)
}

/// Every list of values that signals are set to.
fn settings(parts: &mut Parts) -> impl Iterator<Item = &mut Vec<(SignalId, ValueId)>> {
    let situations = parts.situations.iter_mut();
    let situations = situations.map(|situation| &mut situation.values);
    let positions = parts.controls.iter_mut();
    let positions = positions.flat_map(|control| &mut control.positions);
    situations.chain(positions.map(|position| &mut position.sets))
}

/// The edits that make a program of other parts with the same things in them.
fn changed(before: &Program, after: Parts) -> Vec<Edit> {
    let mut edits = Vec::new();
    for kind in ThingKind::ALL {
        let items = |parts| (0..).map_while(move |index| kind.item(parts, index));
        let pairs = items(before).zip(items(&after));
        edits.extend(
            pairs
                .filter(|(old, new)| old != new)
                .map(|(_, new)| Edit::Put(new)),
        );
    }
    if after.impossible != before.impossible {
        edits.push(Edit::SetImpossible(after.impossible));
    }
    if after.profile != before.profile {
        edits.push(Edit::SetProfile(after.profile));
    }
    edits
}
