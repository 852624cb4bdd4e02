//! Elements built by calls.
//!
//! The framework's macro compiles each element to a few hundred bytes of its own; these calls compile to a few dozen, and the app has to stay within its size.
//! Absent: components, see [`part`](crate::part); their node goes in as a child.

pub(crate) use crate::part::component;
use std::rc::Rc;
use yew::html::{
    onblur, onchange, onclick, oninput, onkeydown, onkeyup, onpointerdown, onpointerleave,
    onpointerup, onsubmit,
};
use yew::prelude::*;
use yew::virtual_dom::{AttrValue, Key, Listener, VList, VNode, VTag, VText};

/// An element while it is built.
pub(crate) struct Tag(Box<VTag>);

/// An element with a class, empty for none.
#[inline(never)]
pub(crate) fn tag(name: &'static str, class: &'static str) -> Tag {
    let mut tag = Tag(Box::new(VTag::new(name)));
    if !class.is_empty() {
        tag.0.add_attribute("class", class);
    }
    tag
}

/// An element with a class that has fixed words in it.
#[inline(never)]
pub(crate) fn said(name: &'static str, class: &'static str, words: &'static str) -> Tag {
    tag(name, class).say(words)
}

/// An element with a class that has words made while running in it.
#[inline(never)]
pub(crate) fn text(name: &'static str, class: &'static str, words: String) -> Tag {
    tag(name, class).text(words)
}

/// A button that does something when pressed.
#[inline(never)]
pub(crate) fn button(words: &'static str, on_click: Callback<MouseEvent>) -> Tag {
    said("button", "", words)
        .with("type", "button")
        .on_click(on_click)
}

/// A button in a text, which does something when pressed.
#[inline(never)]
pub(crate) fn link(words: String, on_click: Callback<MouseEvent>) -> Tag {
    text("button", "plain", words)
        .with("type", "button")
        .on_click(on_click)
}

/// The head of a table: a column for each title, of numbers or not.
#[inline(never)]
pub(crate) fn columns(titles: &[(&'static str, bool)]) -> Tag {
    let row = titles
        .iter()
        .fold(tag("tr", ""), |row, (title, is_number)| {
            let class = if *is_number { "number" } else { "" };
            row.tag(said("th", class, title).with("scope", "col"))
        });
    tag("thead", "").tag(row)
}

/// A term and what is said of it, in a list of figures.
#[inline(never)]
pub(crate) fn entry(list: Tag, term: &'static str, words: String) -> Tag {
    list.tag(said("dt", "", term)).tag(text("dd", "", words))
}

/// Elements side by side, without one around them.
pub(crate) fn together(elements: impl Iterator<Item = Tag>) -> VNode {
    VList::with_children(elements.map(Tag::done).collect(), None).into()
}

impl Tag {
    /// With an attribute.
    #[inline(never)]
    pub(crate) fn with(mut self, name: &'static str, value: &'static str) -> Self {
        self.0.add_attribute(name, value);
        self
    }

    /// With an attribute made while running.
    #[inline(never)]
    pub(crate) fn with_text(mut self, name: &'static str, value: String) -> Self {
        self.0.add_attribute(name, value);
        self
    }

    /// With an attribute without a value, if `is_set`: disabled, open.
    #[inline(never)]
    pub(crate) fn flag(mut self, name: &'static str, is_set: bool) -> Self {
        if is_set {
            self.0.add_attribute(name, name);
        }
        self
    }

    /// With a key among its siblings.
    #[inline(never)]
    pub(crate) fn key(mut self, key: String) -> Self {
        self.0.key = Some(Key::from(key));
        self
    }

    /// With the value of an input.
    #[inline(never)]
    pub(crate) fn value(mut self, value: String) -> Self {
        self.0.set_value(AttrValue::from(value));
        self
    }

    /// With the mark of an input.
    #[inline(never)]
    pub(crate) fn checked(mut self, is_checked: bool) -> Self {
        self.0.set_checked(is_checked);
        self
    }

    /// That can be reached through a reference.
    #[inline(never)]
    pub(crate) fn node(mut self, node: &NodeRef) -> Self {
        self.0.node_ref = node.clone();
        self
    }

    /// With fixed words.
    #[inline(never)]
    pub(crate) fn say(mut self, words: &'static str) -> Self {
        self.0
            .add_child(VNode::from(VText::new(AttrValue::Static(words))));
        self
    }

    /// With words made while running.
    #[inline(never)]
    pub(crate) fn text(mut self, words: String) -> Self {
        self.0.add_child(VNode::from(VText::new(words)));
        self
    }

    /// With a child.
    #[inline(never)]
    pub(crate) fn child(mut self, child: VNode) -> Self {
        self.0.add_child(child);
        self
    }

    /// With an element as child.
    #[inline(never)]
    pub(crate) fn tag(self, child: Tag) -> Self {
        self.child(child.done())
    }

    /// With elements as children.
    pub(crate) fn tags(self, children: impl Iterator<Item = Tag>) -> Self {
        children.fold(self, Self::tag)
    }

    /// With an element as child or none, in its own place: what comes after stays the same for the page either way.
    #[inline(never)]
    pub(crate) fn maybe(self, child: Option<Tag>) -> Self {
        self.child(child.map_or_else(VNode::default, Tag::done))
    }

    /// With an attribute, if `is_set`.
    #[inline(never)]
    pub(crate) fn with_if(self, is_set: bool, name: &'static str, value: &'static str) -> Self {
        if is_set { self.with(name, value) } else { self }
    }

    /// That does something when pressed.
    pub(crate) fn on_click(self, callback: Callback<MouseEvent>) -> Self {
        self.on(Rc::new(onclick::Wrapper::new(callback)))
    }

    /// That does something when its value has changed and is meant.
    pub(crate) fn on_change(self, callback: Callback<Event>) -> Self {
        self.on(Rc::new(onchange::Wrapper::new(callback)))
    }

    /// That does something with each typed letter.
    pub(crate) fn on_input(self, callback: Callback<InputEvent>) -> Self {
        self.on(Rc::new(oninput::Wrapper::new(callback)))
    }

    /// That does something when a key goes down in it.
    pub(crate) fn on_key(self, callback: Callback<KeyboardEvent>) -> Self {
        self.on(Rc::new(onkeydown::Wrapper::new(callback)))
    }

    /// That does something when it is left.
    pub(crate) fn on_blur(self, callback: Callback<FocusEvent>) -> Self {
        self.on(Rc::new(onblur::Wrapper::new(callback)))
    }

    /// That does something when a key goes up in it.
    pub(crate) fn on_key_up(self, callback: Callback<KeyboardEvent>) -> Self {
        self.on(Rc::new(onkeyup::Wrapper::new(callback)))
    }

    /// That does something when the pointer goes down in it.
    pub(crate) fn on_pointer_down(self, callback: Callback<PointerEvent>) -> Self {
        self.on(Rc::new(onpointerdown::Wrapper::new(callback)))
    }

    /// That does something when the pointer goes up in it.
    pub(crate) fn on_pointer_up(self, callback: Callback<PointerEvent>) -> Self {
        self.on(Rc::new(onpointerup::Wrapper::new(callback)))
    }

    /// That does something when the pointer leaves it.
    pub(crate) fn on_pointer_leave(self, callback: Callback<PointerEvent>) -> Self {
        self.on(Rc::new(onpointerleave::Wrapper::new(callback)))
    }

    /// That does something when its form is sent.
    pub(crate) fn on_submit(self, callback: Callback<SubmitEvent>) -> Self {
        self.on(Rc::new(onsubmit::Wrapper::new(callback)))
    }

    #[inline(never)]
    fn on(mut self, listener: Rc<dyn Listener>) -> Self {
        self.0.add_listener(listener);
        self
    }

    /// What is inside it, without itself.
    #[inline(never)]
    pub(crate) fn inside(self) -> VNode {
        self.0.into_children().unwrap_or_default()
    }

    /// The node.
    #[inline(never)]
    pub(crate) fn done(self) -> VNode {
        VNode::from(*self.0)
    }
}
