//! What happens when something in the set-up is pressed, typed or chosen, and where the focus goes then.
//!
//! Invariant: what is pressed may be gone afterwards, so each such press says what comes into focus instead.

use super::lists::HEAD_COMMANDS;
use super::start::starter;
use super::{Open, Subject};
use crate::components::table::micros;
use crate::components::timeline::focus;
use crate::platform::document;
use crate::platform::promise::get;
use crate::store::Dispatch;
use lampwright_editor::setup::{
    Control, How, Row, Step, ThingKind, add, around, duplicate, labels, missing, remove,
    remove_heads_everywhere, shift, step,
};
use lampwright_editor::{Action, CommandId, SelectMode, View};
use lampwright_formats::decimal_text;
use lampwright_model::{Color, ItemId};
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::JsCast;
use web_sys::{Element, Event, HtmlElement, HtmlInputElement};
use yew::prelude::*;

/// How far an arrow key goes, in thousandths of the unit.
fn step_thousandths(unit: &str) -> i64 {
    match unit {
        "m" => 50,
        "°" | "%" => 5_000,
        "A" => 100,
        "cd" => 100_000,
        _ => 1_000,
    }
}

/// What the listeners of one rendering work with.
#[derive(Clone)]
pub(super) struct Session {
    pub(super) dispatch: Dispatch,
    pub(super) open: UseStateHandle<Open>,
    pub(super) ids: Rc<Vec<ItemId>>,
    pub(super) rows: Rc<Vec<Row>>,
    pub(super) on_command: Callback<CommandId>,
    /// What is to have the focus when all is drawn: the first of these selectors that finds something.
    pub(super) wanted: Rc<RefCell<Vec<String>>>,
}

impl Session {
    /// What is open, with nothing typed, refused or not by the lists.
    fn settled(&self, refusal: String) -> Open {
        Open {
            at: None,
            typed: String::new(),
            refusal,
            is_used: false,
            ..(*self.open).clone()
        }
    }

    /// Brings what is found first into focus, once all is drawn.
    fn want(&self, selectors: impl IntoIterator<Item = String>) {
        *self.wanted.borrow_mut() = selectors.into_iter().collect();
    }

    /// A key went down.
    pub(super) fn key(&self, event: &KeyboardEvent) {
        let key = event.key();
        if event.alt_key() || event.ctrl_key() || event.meta_key() {
            return;
        }
        match key.as_str() {
            "Escape" if self.open.at.is_some() => {
                event.stop_propagation();
                self.open.set(self.settled(String::new()));
            }
            "PageUp" => self.turned(event, false),
            "PageDown" => self.turned(event, true),
            "ArrowUp" if self.stepped(event, 1) => {}
            "ArrowDown" if self.stepped(event, -1) => {}
            "ArrowUp" | "ArrowLeft" | "ArrowDown" | "ArrowRight" | "Home" | "End" => {
                walk(event, &key);
            }
            _ => {}
        }
    }

    /// From a field to the same one of the next thing of the list, or of the one before.
    fn turned(&self, event: &KeyboardEvent, is_down: bool) {
        let (Some(kind), [id]) = (self.open.subject.kind(), self.ids.as_slice()) else {
            return;
        };
        let input = target_of(event).and_then(|target| target.dyn_into::<HtmlInputElement>().ok());
        let Some((input, row)) =
            input.and_then(|input| Some((input.clone(), self.row_of(&input)?)))
        else {
            return;
        };
        event.prevent_default();
        // What is refused stays where it was typed.
        if self.open.at.is_some() && !self.put(row, &input.value(), true) {
            return;
        }
        let editor = self.dispatch.live.editor();
        let known = labels(editor.program(), kind);
        let known: Vec<ItemId> = known.iter().filter_map(|(id, _)| kind.id(id)).collect();
        let at = known
            .iter()
            .position(|known| known == id)
            .unwrap_or_default();
        let at = if is_down { at + 1 } else { at.wrapping_sub(1) };
        if let Some(next) = known.get(at) {
            self.choose(vec![next.clone()]);
            self.want([format!("[data-path='{}']", row.path)]);
        }
    }

    /// Shows the form of some things of the open list.
    fn choose(&self, ids: Vec<ItemId>) {
        let mut open = self.settled(String::new());
        if open.subject.kind() == Some(ThingKind::Head) {
            let heads = ids.into_iter().filter_map(|id| match id {
                ItemId::Head(head) => Some(head),
                _ => None,
            });
            let select = Action::SelectHeads(heads.collect(), SelectMode::Replace);
            self.dispatch.send(select);
        } else {
            open.chosen = ids;
        }
        self.open.set(open);
    }

    /// Something was typed or chosen; only what `is_meant` goes into the program.
    pub(super) fn entered(&self, event: &Event, is_meant: bool) {
        let Some(target) = target_of(event) else {
            return;
        };
        // Whether it is of one line or of several, or a choice.
        let Some(value) = get(&target, "value")
            .ok()
            .and_then(|value| value.as_string())
        else {
            return;
        };
        let input = target.dyn_ref::<HtmlInputElement>();
        let name = target.get_attribute("name").unwrap_or_default();
        if let Some(what) = name.strip_prefix("starter-") {
            let mut open = (*self.open).clone();
            if let Some(typed) = what
                .parse()
                .ok()
                .and_then(|at: usize| open.starter.get_mut(at))
            {
                *typed = value;
            } else if let Some(color) = Color::from_name(&value) {
                open.color = color;
            }
            self.open.set(open);
            return;
        }
        let Some(row) = self.row_of(&target) else {
            return;
        };
        let is_entry = matches!(row.control, Control::Entry { .. } | Control::Lines(_));
        let value = match (&row.control, input) {
            (Control::Check(_), Some(input)) if input.checked() => "true".to_owned(),
            (Control::Check(_), _) => String::new(),
            _ => value,
        };
        if is_entry || is_meant {
            self.put(row, &value, is_meant);
        }
    }

    /// An arrow key in a field of a number: one step more or less; false elsewhere.
    fn stepped(&self, event: &KeyboardEvent, direction: i64) -> bool {
        let Some(target) = target_of(event) else {
            return false;
        };
        if let (Some(input), Some(row)) =
            (target.dyn_ref::<HtmlInputElement>(), self.row_of(&target))
            && matches!(
                row.control,
                Control::Entry {
                    is_number: true,
                    ..
                }
            )
            && let Some(now) = micros(&input.value())
        {
            event.prevent_default();
            let next = now.get() + direction * step_thousandths(row.unit);
            self.put(row, &decimal_text(next, 3), true);
            return true;
        }
        false
    }

    fn row_of(&self, target: &Element) -> Option<&Row> {
        let index: usize = target.get_attribute("data-row")?.parse().ok()?;
        self.rows.get(index)
    }

    /// Tries a value at the place of a row, and puts it there if it `is_meant` and taken; false when it is not.
    fn put(&self, row: &Row, value: &str, is_meant: bool) -> bool {
        let editor = self.dispatch.live.editor();
        let filled = step(&editor, &self.ids, row, value);
        let is_taken = filled.is_ok();
        let mut open = self.settled(String::new());
        match filled {
            Ok((label, edit)) if is_meant => {
                self.dispatch.send(Action::Edit { label, edit });
            }
            filled => {
                open.at = Some((row.path.clone(), row.how));
                value.clone_into(&mut open.typed);
                open.refusal = filled.err().unwrap_or_default();
            }
        }
        self.open.set(open);
        is_taken
    }

    /// A button was pressed.
    pub(super) fn pressed(&self, event: &MouseEvent) {
        let target = target_of(event).and_then(|target| target.closest("button").ok()?);
        let Some(target) = target else {
            return;
        };
        let attribute = |name: &str| target.get_attribute(name).unwrap_or_default();
        let value = attribute("value");
        match attribute("name").as_str() {
            "row" => {
                if let Some(row) = self.row_of(&target)
                    && let Control::Button(value) = &row.control
                {
                    self.put(row, value, true);
                    self.want(self.after(row));
                }
            }
            "kind" => {
                let mut open = self.settled(String::new());
                open.subject = Subject::of(&value);
                open.chosen = Vec::new();
                self.open.set(open);
            }
            "thing" => {
                let pressed = self.open.subject.kind().and_then(|kind| kind.id(&value));
                let mut ids = Vec::new();
                if event.shift_key() || event.ctrl_key() || event.meta_key() {
                    ids.clone_from(&self.ids);
                }
                let n_before = ids.len();
                ids.retain(|id| Some(id) != pressed.as_ref());
                if ids.len() == n_before {
                    ids.extend(pressed);
                }
                self.choose(ids);
            }
            "missing" => {
                let editor = self.dispatch.live.editor();
                let kind = self.open.subject.kind();
                let lacks = kind.map(|kind| missing(editor.program(), kind));
                let at: usize = value.parse().unwrap_or_default();
                if let Some(lack) = lacks.as_ref().and_then(|lacks| lacks.get(at)) {
                    let member = lack.member;
                    self.choose(lack.ids.clone());
                    self.want([
                        format!("[data-path$='{member}'][placeholder$=assumed]"),
                        format!("[data-path$='{member}']"),
                    ]);
                }
            }
            "list" => self.list(&value),
            "around" => {
                let editor = self.dispatch.live.editor();
                match starter(&self.open).and_then(|plan| around(editor.program(), &plan)) {
                    Ok((label, edit, ids)) => {
                        self.dispatch.send(Action::Edit { label, edit });
                        self.choose(ids.into_iter().map(ItemId::Head).collect());
                        self.want(["[name=pattern], [name=play]".to_owned()]);
                    }
                    Err(refusal) => self.open.set(self.settled(refusal)),
                }
            }
            "command" => {
                let command = value.parse().ok();
                let command = command.and_then(|index: usize| HEAD_COMMANDS.get(index));
                if let Some((command, _)) = command {
                    self.on_command.emit(*command);
                }
            }
            "play" => {
                // Its button stands elsewhere once something plays.
                self.want([".things [tabindex='0']".to_owned()]);
                self.on_command.emit(CommandId::PlayOnHeads);
            }
            "copy" => self.on_command.emit(CommandId::CopyVehicle),
            "rules" => {
                self.dispatch.send(Action::SetView(View::Rules));
                focus("tab-rules");
            }
            "pattern" => {
                self.dispatch.send(Action::AddPattern);
                self.dispatch.send(Action::SetView(View::Timeline));
                focus("tab-timeline");
            }
            _ => {}
        }
    }

    /// What comes into focus when the button of a row has done its work: the part that was added, or what stands where one was removed.
    fn after(&self, row: &Row) -> Vec<String> {
        let path = &row.path;
        let below = |path: &str, at: usize| format!("[data-path^='{path}/{at}/']");
        match row.how {
            How::Add => {
                let numbers = self.rows.iter().filter_map(|row| {
                    let rest = row.path.strip_prefix(path)?.strip_prefix('/')?;
                    rest.split('/').next()?.parse::<usize>().ok()
                });
                vec![below(path, numbers.max().map_or(0, |last| last + 1))]
            }
            How::Remove => {
                let (list, at) = path.rsplit_once('/').unwrap_or_default();
                let at: usize = at.parse().unwrap_or_default();
                let before = at.saturating_sub(1);
                vec![
                    format!("button[data-path='{path}']"),
                    format!("button[data-path='{list}/{before}']"),
                    below(list, before),
                    below(list, at),
                ]
            }
            _ => Vec::new(),
        }
    }

    /// Adds, copies, removes or moves in the open list.
    fn list(&self, what: &str) {
        let Some(kind) = self.open.subject.kind() else {
            return;
        };
        let editor = self.dispatch.live.editor();
        let program = editor.program();
        let last = self.ids.last();
        let step: Result<Step, String> = match (what, last) {
            ("all", _) => {
                let known = labels(program, kind).into_iter();
                return self.choose(known.filter_map(|(id, _)| kind.id(&id)).collect());
            }
            ("add", last) => add(&editor, kind, last),
            (_, None) => return,
            ("duplicate", Some(id)) => duplicate(&editor, id),
            ("remove", Some(_)) => remove(program, &self.ids),
            ("everywhere", Some(_)) => remove_heads_everywhere(program, &self.ids),
            (way, Some(id)) => shift(program, id, way == "down"),
        };
        match step {
            Ok((label, edit, shown)) => {
                self.dispatch.send(Action::Edit { label, edit });
                self.choose(shown.into_iter().collect());
                let wanted: &[&str] = match what {
                    // What is new gets its name first.
                    "add" | "duplicate" => &["#setup-form input"],
                    "remove" | "everywhere" => &["[value=remove]:enabled", "[value=add]"],
                    _ => &[],
                };
                self.want(wanted.iter().map(|selector| (*selector).to_owned()));
            }
            Err(refusal) => {
                let mut open = self.settled(refusal);
                open.is_used = what == "remove";
                self.open.set(open);
            }
        }
    }
}

/// The element an event happened to.
fn target_of(event: &Event) -> Option<Element> {
    event.target()?.dyn_into().ok()
}

/// An arrow key on a button of a list: the focus goes to another of them.
fn walk(event: &KeyboardEvent, key: &str) {
    let Some(target) = target_of(event) else {
        return;
    };
    let list = target.closest(".kinds, .things").ok().flatten();
    let buttons = list.and_then(|list| list.query_selector_all("button").ok());
    let Some(buttons) = buttons else {
        return;
    };
    let is_here = |at: &u32| {
        buttons
            .item(*at)
            .is_some_and(|button| button.is_same_node(Some(&target)))
    };
    let at = (0..buttons.length()).find(is_here).unwrap_or_default();
    let last = buttons.length().saturating_sub(1);
    let next = match key {
        "Home" => 0,
        "End" => last,
        "ArrowUp" | "ArrowLeft" => at.saturating_sub(1),
        _ => last.min(at + 1),
    };
    event.prevent_default();
    let next = buttons
        .item(next)
        .and_then(|next| next.dyn_into::<HtmlElement>().ok());
    // One that is not in the page any more cannot be focused, and nothing is lost.
    let _ = next.map(|next| next.focus());
}

/// Brings the first thing that a selector finds into focus; a text in it is selected, so that typing takes its place.
pub(super) fn go_to(selectors: &[String]) {
    let Some(page) = document() else {
        return;
    };
    let found = selectors.iter().find_map(|selector| {
        let found = page
            .query_selector(&format!(".setup :is({selector})"))
            .ok()?;
        found?.dyn_into::<HtmlElement>().ok()
    });
    if let Some(found) = found {
        let _ = found.focus();
        if let Some(input) = found.dyn_ref::<HtmlInputElement>() {
            input.select();
        }
    }
}

/// Scrolls the list, and nothing else, to what is chosen in it, once.
pub(super) fn show_chosen() {
    let page = document();
    let find = |selector| page.as_ref()?.query_selector(selector).ok()?;
    let (Some(list), Some(chosen)) = (
        find(".setup .things"),
        find(".setup .things [aria-pressed=true]"),
    ) else {
        return;
    };
    let id = chosen.get_attribute("value").unwrap_or_default();
    if list.get_attribute(SHOWN).as_ref() == Some(&id) {
        return;
    }
    // Where this fails it is shown once more, which does no harm.
    let _ = list.set_attribute(SHOWN, &id);
    let (frame, inside) = (
        list.get_bounding_client_rect(),
        chosen.get_bounding_client_rect(),
    );
    let over = (inside.bottom() - frame.bottom()).max(0.0) - (frame.top() - inside.top()).max(0.0);
    #[expect(clippy::cast_possible_truncation, reason = "pixels are few")]
    let over = over as i32;
    list.set_scroll_top(list.scroll_top() + over);
}

/// Which thing a list has been scrolled to.
const SHOWN: &str = "data-shown";
