//! The one reducer and the three contexts: dispatch, document, view.
//!
//! Invariant: all state of the editor is in [`EditorState`]; what is here only decides who renders again.

use crate::live::Live;
use lampwright_editor::{Action, EditorState, MessageKind};
use std::ops::Deref;
use std::rc::Rc;
use yew::prelude::*;

/// The reducer.
#[derive(Clone)]
pub(crate) struct Store {
    /// The present state.
    pub(crate) editor: Rc<EditorState>,
}

impl Reducible for Store {
    type Action = Action;

    fn reduce(self: Rc<Self>, action: Action) -> Rc<Self> {
        Rc::new(Self {
            editor: Rc::new(self.editor.apply(action)),
        })
    }
}

/// Sends actions, and reaches what changes between two states: the playhead and the canvases.
#[derive(Clone)]
pub(crate) struct Dispatch {
    dispatcher: UseReducerDispatcher<Store>,
    /// What changes without a new state.
    pub(crate) live: Rc<Live>,
}

impl Dispatch {
    /// A dispatch context of a reducer.
    pub(crate) fn new(dispatcher: UseReducerDispatcher<Store>, live: Rc<Live>) -> Self {
        Self { dispatcher, live }
    }

    /// Sends an action to the reducer.
    pub(crate) fn send(&self, action: Action) {
        self.dispatcher.dispatch(action);
    }

    /// A callback that sends the action made from its argument.
    pub(crate) fn callback<T: 'static>(&self, make: impl Fn(T) -> Action + 'static) -> Callback<T> {
        let dispatch = self.clone();
        Callback::from(move |value: T| dispatch.send(make(value)))
    }
}

impl PartialEq for Dispatch {
    fn eq(&self, other: &Self) -> bool {
        self.dispatcher == other.dispatcher && Rc::ptr_eq(&self.live, &other.live)
    }
}

/// The program with what is shown and selected of it; changes with every edit.
#[derive(Clone)]
pub(crate) struct Document {
    editor: Rc<EditorState>,
    /// Whether it was judged already when it was shown.
    is_judged: bool,
}

impl Document {
    /// The document of a state as it is known now.
    pub(crate) fn new(editor: Rc<EditorState>) -> Self {
        Self {
            is_judged: editor.judged().is_some(),
            editor,
        }
    }

    /// The state it is part of.
    pub(crate) fn editor(&self) -> &Rc<EditorState> {
        &self.editor
    }
}

impl PartialEq for Document {
    fn eq(&self, other: &Self) -> bool {
        self.is_judged == other.is_judged && self.shows_the_same(&other.editor)
    }
}

impl Document {
    fn shows_the_same(&self, other: &EditorState) -> bool {
        Rc::ptr_eq(self.program(), other.program())
            && self.shown() == other.shown()
            && self.open_pattern_id() == other.open_pattern_id()
            && self.selection() == other.selection()
            && self.focus() == other.focus()
            && self.notices() == other.notices()
            && self.has_tools_of(other)
            && refusal(self) == refusal(other)
    }
}

/// A refused number changes nothing of the program, but its field has to be put back.
fn refusal(editor: &EditorState) -> Option<u64> {
    let message = editor.message();
    (message.kind == MessageKind::Refused).then_some(message.serial)
}

impl Deref for Document {
    type Target = EditorState;
    fn deref(&self) -> &EditorState {
        &self.editor
    }
}

/// How the program is looked at: view, theme, preview, save state, messages.
#[derive(Clone)]
pub(crate) struct Viewed(pub(crate) Rc<EditorState>);

impl PartialEq for Viewed {
    fn eq(&self, other: &Self) -> bool {
        self.0.view() == other.0.view()
            && self.0.theme() == other.0.theme()
            && self.0.preview() == other.0.preview()
            && self.0.save_state() == other.0.save_state()
            && self.0.message() == other.0.message()
            && self.0.revision() == other.0.revision()
            && self.0.history().undo_label() == other.0.history().undo_label()
            && self.0.history().redo_label() == other.0.history().redo_label()
            && self.0.shown() == other.0.shown()
            && Rc::ptr_eq(self.0.program(), other.0.program())
    }
}

impl Deref for Viewed {
    type Target = EditorState;
    fn deref(&self) -> &EditorState {
        &self.0
    }
}

/// The dispatch context; every component is inside it.
#[hook]
pub(crate) fn use_dispatch() -> Option<Dispatch> {
    use_context::<Dispatch>()
}

/// The document context.
#[hook]
pub(crate) fn use_document() -> Option<Document> {
    use_context::<Document>()
}

/// The view context.
#[hook]
pub(crate) fn use_viewed() -> Option<Viewed> {
    use_context::<Viewed>()
}
