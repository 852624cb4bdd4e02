//! Programs to set up, and what a person does to them.

use lampwright_editor::setup::{
    Around, HeadsChange, How, Row, around, fill, form, impossible_form,
};
use lampwright_editor::{Action, EditorState, MessageKind, SelectMode};
use lampwright_formats::read_program;
use lampwright_model::{Edit, HeadId, Item, ItemId, Program};
use std::rc::Rc;

pub(crate) const VAN: &[u8] = include_bytes!("../../../../patterns/incident-support-van.json");

pub(crate) fn empty() -> EditorState {
    EditorState::new(Rc::new(Program::default()))
}

pub(crate) fn van() -> EditorState {
    EditorState::new(Rc::new(read_program(VAN).program.unwrap()))
}

pub(crate) fn edit(state: &EditorState, edit: Edit) -> EditorState {
    let next = state.apply(Action::Edit {
        label: "Set up".into(),
        edit,
    });
    assert_eq!(next.message().kind, MessageKind::Done);
    next
}

#[track_caller]
pub(crate) fn heads(state: &EditorState, change: HeadsChange) -> EditorState {
    let next = state.apply(Action::Heads(change));
    assert_eq!(
        next.message().kind,
        MessageKind::Done,
        "{}",
        next.message().text
    );
    next
}

pub(crate) fn eight() -> EditorState {
    with_eight(&empty())
}

/// The program with eight heads around the roof, which are selected.
pub(crate) fn with_eight(state: &EditorState) -> EditorState {
    let (_, change, ids) = around(state.program(), &Around::default()).unwrap();
    edit(state, change).apply(Action::SelectHeads(ids, SelectMode::Replace))
}

pub(crate) fn head(id: &str) -> ItemId {
    ItemId::Head(HeadId::new(id).unwrap())
}

#[track_caller]
pub(crate) fn row(state: &EditorState, ids: &[ItemId], path: &str, how: How) -> Row {
    let mut rows = form(state, ids);
    if ids.is_empty() {
        rows.extend(impossible_form(state));
    }
    let row = rows.iter().find(|row| row.path == path && row.how == how);
    row.unwrap_or_else(|| panic!("no row {path} {how:?} in {rows:#?}"))
        .clone()
}

#[track_caller]
pub(crate) fn put(
    state: &EditorState,
    ids: &[ItemId],
    path: &str,
    how: How,
    value: &str,
) -> EditorState {
    // Only what the form offers can be filled in.
    row(state, ids, path, how);
    edit(state, fill(state, ids, path, how, value).unwrap())
}

#[track_caller]
pub(crate) fn refused(
    state: &EditorState,
    ids: &[ItemId],
    path: &str,
    how: How,
    value: &str,
    words: &str,
) {
    assert_eq!(fill(state, ids, path, how, value), Err(words.to_owned()));
}

#[track_caller]
pub(crate) fn place(state: &EditorState, id: &str) -> (i64, i64) {
    match state.program().item(&head(id)) {
        Some(Item::Head(head)) => (head.x.0, head.y.0),
        _ => panic!("no head {id}"),
    }
}
