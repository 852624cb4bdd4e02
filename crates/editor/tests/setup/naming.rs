//! Names that change: of a signal's values wherever they are used, and of things, which each stand in one place.

use crate::support::{edit, row, van};
use lampwright_editor::setup::{Control, How, ThingKind, fill, form, labels, step};
use lampwright_editor::{Action, EditorState};
use lampwright_model::{Item, ItemId, Signal, State, resolve};

fn signal(state: &EditorState, id: &str) -> (ItemId, Signal) {
    let id = ThingKind::Signal.id(id).unwrap();
    match state.program().item(&id) {
        Some(Item::Signal(signal)) => (id, signal),
        other => panic!("{other:?}"),
    }
}

/// Types the values of a signal and leaves the field.
fn typed(state: &EditorState, id: &str, values: &str) -> Result<EditorState, String> {
    let ids = [signal(state, id).0];
    let row = row(state, &ids, "values", How::Words);
    let (label, edit) = step(state, &ids, &row, values)?;
    Ok(state.apply(Action::Edit { label, edit }))
}

/// The values of a signal as the form shows them, with one of them called otherwise.
fn with_name(signal: &Signal, at: usize, name: &str) -> String {
    let names = signal.values.iter().enumerate();
    let names = names.map(|(index, value)| if index == at { name } else { value.as_str() });
    names.collect::<Vec<_>>().join(", ")
}

#[test]
fn a_value_in_use_is_renamed_everywhere_in_one_step_and_nothing_else_changes() {
    let state = van();
    let drives = |state: &EditorState| -> Vec<_> {
        let situations = state.program().situations.iter();
        let states = situations.map(|situation| State::of_situation(state.program(), situation));
        states
            .map(|shown| (shown.clone(), resolve(state.program(), &shown).heads))
            .collect()
    };
    let before = drives(&state);
    for known in &state.program().signals {
        for (at, old) in known.values.iter().enumerate() {
            let id = known.id.as_str();
            // What still said the old name would be refused, as no signal has it any more.
            let after = typed(&state, id, &with_name(known, at, "called-otherwise")).unwrap();
            let label = format!("Rename value {old} of {} to called-otherwise", known.label);
            assert_eq!(after.history().done().collect::<Vec<_>>(), [label.as_str()]);
            let (_, now) = signal(&after, id);
            assert_eq!((now.default, now.on_lost), (known.default, known.on_lost));
            assert!(drives(&after) == before, "{id} {old}");
            assert_eq!(after.apply(Action::Undo).program(), state.program());
        }
    }
}

#[test]
fn conditions_positions_promises_rules_and_what_cannot_happen_say_the_new_name() {
    let state = van();
    let (_, gear) = signal(&state, "gear");
    let after = typed(&state, "gear", &with_name(&gear, 2, "forward")).unwrap();
    let text = lampwright_formats::write_program(after.program());
    assert!(!text.contains("\"gear\": \"drive\""), "{text}");
    let program = after.program();
    assert!(
        !program.impossible.is_empty() && format!("{:?}", program.impossible).contains("forward")
    );
    assert!(format!("{:?}", program.profile.rules).contains("forward"));
    assert!(format!("{:?}", program.layers).contains("forward"));
    assert!(format!("{:?}", program.situations).contains("forward"));

    let several = typed(&state, "arrow", "off, port, starboard, split, caution").unwrap();
    assert_eq!(
        several.history().undo_label(),
        Some("Rename 2 values of Arrow switch")
    );
    assert!(format!("{:?}", several.program().controls).contains("starboard"));
}

#[test]
fn the_shown_state_stays_when_a_value_it_shows_is_renamed() {
    let state = van();
    let (_, warning) = signal(&state, "warning");
    let state = state.apply(Action::SetSignal(
        "warning".parse().unwrap(),
        "rear".parse().unwrap(),
    ));
    let shown = state.shown_state();
    let after = typed(&state, "warning", &with_name(&warning, 1, "aft")).unwrap();
    assert_eq!(after.shown_state(), shown);
    assert_ne!(shown, State::default_of(after.program()));
    assert_eq!(after.apply(Action::Undo).shown_state(), shown);
}

#[test]
fn values_that_are_taken_away_or_change_places_are_not_renamed() {
    let state = van();
    let refusal = typed(&state, "gear", "park, reverse").unwrap_err();
    assert!(refusal.contains("drive"), "{refusal}");
    let turned = typed(&state, "gear", "drive, reverse, park").unwrap();
    assert_eq!(turned.history().undo_label(), Some("Values of Gear"));
    assert_eq!(turned.program().layers, state.program().layers);
    let (_, gear) = signal(&turned, "gear");
    assert_eq!(gear.values[gear.default].as_str(), "park");
    let more = typed(&state, "gear", "park, reverse, drive, neutral").unwrap();
    assert_eq!(more.program().layers, state.program().layers);
}

#[test]
fn a_label_stands_in_its_own_thing_alone_and_is_seen_wherever_that_is_named() {
    let state = van();
    let all = || -> Vec<ItemId> {
        let kinds = ThingKind::ALL.iter();
        let ids = kinds.flat_map(|kind| {
            let known = labels(state.program(), *kind).into_iter();
            known.filter_map(|(id, _)| kind.id(&id))
        });
        ids.collect()
    };
    // Everything a form calls something, with what it stands for.
    let called = |state: &EditorState| -> Vec<(String, String)> {
        let mut called = Vec::new();
        for row in all()
            .iter()
            .flat_map(|id| form(state, std::slice::from_ref(id)))
        {
            if let Control::Choice(options) | Control::Checks(options) = row.control {
                let named = options
                    .into_iter()
                    .filter(|option| !option.value.is_empty());
                called.extend(named.map(|option| (option.value, option.label)));
            }
        }
        called
    };
    let before = called(&state);
    for kind in ThingKind::ALL {
        let known = labels(state.program(), *kind);
        let Some((id, old)) = known.first() else {
            continue;
        };
        let ids = [kind.id(id).unwrap()];
        let change = fill(&state, &ids, "label", How::Text, "Called otherwise").unwrap();
        let after = edit(&state, change);
        assert_eq!(after.history().done().count(), 1);
        for other in all().iter().filter(|other| **other != ids[0]) {
            assert!(
                after.program().item(other) == state.program().item(other),
                "{id}, {other}"
            );
        }
        let expected: Vec<_> = before
            .iter()
            .map(|(value, label)| {
                let is_meant = label == old && value.rsplit(':').next() == Some(id);
                let label = if is_meant { "Called otherwise" } else { label };
                (value.clone(), label.to_owned())
            })
            .collect();
        let is_referred = matches!(
            kind,
            ThingKind::Head | ThingKind::Output | ThingKind::Fuse | ThingKind::Group
        );
        assert_eq!(expected != before, is_referred, "{id}");
        assert!(called(&after) == expected, "{id}");
    }
}
