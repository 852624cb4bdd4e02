//! Rows in which one or several of what is known are chosen.

use super::{Chosen, Control, Form, How, below, chosen};
use crate::setup::fields::{Field, Refer, Shape};
use crate::setup::{ThingKind, labels};

impl Form<'_> {
    /// One of some words of the file, or of some members that exclude each other.
    pub(super) fn words(
        &mut self,
        (label, none): (&str, &str),
        path: &str,
        how: How,
        words: &[(&str, &str)],
    ) {
        let now = self.thing.word(path).unwrap_or_default();
        let is_member = path.is_empty();
        let none = (!none.is_empty()).then_some(("", none));
        let options = none
            .iter()
            .chain(words)
            .map(|(word, label)| {
                let is_on = if is_member {
                    self.thing.has(word)
                } else {
                    *word == now
                };
                chosen(word, label, is_on)
            })
            .collect();
        self.push(label, path, how, Control::Choice(options));
    }

    pub(super) fn refer(&mut self, path: &str, field: &Field, refer: Refer, none: &str) {
        let now = self.thing.word(path).unwrap_or_default();
        let known = match refer {
            Refer::Output => labels(self.parts, ThingKind::Output),
            Refer::Fuse => labels(self.parts, ThingKind::Fuse),
            Refer::Clock => labels(self.parts, ThingKind::Clock),
            Refer::Pattern => self
                .parts
                .patterns
                .iter()
                .map(|pattern| (pattern.id.to_string(), pattern.label.clone()))
                .collect(),
            Refer::Lane => self.lanes(),
            Refer::Value => {
                let values = self.thing.words("values");
                let twice = |value: &&str| ((*value).to_owned(), (*value).to_owned());
                values.iter().map(twice).collect()
            }
        };
        let mut options = Vec::new();
        if !none.is_empty() {
            options.push(chosen("", none, now.is_empty()));
        }
        options.extend(
            known
                .iter()
                .map(|(id, label)| chosen(id, label, *id == now)),
        );
        let how = match refer {
            Refer::Pattern => How::Pattern,
            _ => How::Text,
        };
        self.push(field.label, path, how, Control::Choice(options));
    }

    /// The lanes of the pattern that the layer plays.
    pub(super) fn lanes(&self) -> Vec<(String, String)> {
        let id = self.thing.word("play/pattern").unwrap_or_default();
        let patterns = self.parts.patterns.iter();
        patterns
            .filter(|pattern| pattern.id.as_str() == id)
            .flat_map(|pattern| &pattern.lanes)
            .map(|lane| (lane.role.to_string(), lane.role.to_string()))
            .collect()
    }

    /// The shapes to choose from.
    pub(super) fn shapes(&mut self, path: &str, shapes: &'static [Shape]) -> Vec<Chosen> {
        let probed = shapes.iter().map(|shape| below(path, shape.probe));
        self.shaped.extend(probed);
        let is_now = |shape: &Shape| {
            if shape.probe.is_empty() {
                !self.thing.has(path)
            } else {
                self.thing.word(path) == Some(shape.probe)
                    || self.thing.has(&below(path, shape.probe))
            }
        };
        shapes
            .iter()
            .map(|shape| chosen(shape.json, shape.label, is_now(shape)))
            .collect()
    }

    pub(super) fn checks(&mut self, label: &str, path: &str, options: Vec<(String, String)>) {
        let now = self.thing.words(path);
        let options = options
            .iter()
            .map(|(value, label)| chosen(value, label, now.contains(&value.as_str())))
            .collect();
        self.push(label, path, How::Member, Control::Checks(options));
    }
}
