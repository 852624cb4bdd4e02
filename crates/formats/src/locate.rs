//! Where a thing of a program stands in the text of its file.
//!
//! Things are found by their identifiers, so what a reader left out shifts nothing.
//!
//! Invariant: any text and any place give a location; what is not there gives the nearest thing around it, and in the end the whole file.
//! Absent: reading values, and saying what is wrong with a text.

use lampwright_model::{ItemId, Place};
use std::fmt::Write as _;

/// A stretch of a file's text.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Location {
    /// JSON pointer (RFC 6901) of the value: `/vehicle/heads/3`; empty for the whole file.
    pub pointer: String,
    /// Line of the first character, from one.
    pub line: usize,
    /// Column of the first character, in characters, from one.
    pub column: usize,
    /// Line of the last character, from one.
    pub end_line: usize,
    /// Column after the last character, in characters, from one.
    pub end_column: usize,
}

/// The values of a text with their places, made once and asked often.
#[derive(Clone, Debug)]
pub struct FileIndex<'text> {
    text: &'text str,
    /// Byte offset of the first character of each line.
    lines: Vec<usize>,
    root: Option<Node<'text>>,
}

/// Deepest nesting that is looked into; what lies deeper is found with the value around it.
const DEEPEST: usize = 64;

#[derive(Clone, Debug)]
struct Node<'text> {
    start: usize,
    end: usize,
    content: Content<'text>,
}

#[derive(Clone, Debug)]
enum Content<'text> {
    Scalar,
    List(Vec<Node<'text>>),
    /// Keys as they are written, escapes and all.
    Object(Vec<(&'text str, Node<'text>)>),
}

/// One step from a value to one inside it.
#[derive(Clone, PartialEq, Eq, Debug)]
enum Step<'a> {
    Key(&'a str),
    Index(usize),
    /// The item of a list whose member has this text.
    Item(&'static str, &'a str),
}

impl<'text> FileIndex<'text> {
    /// The index of a text, which may break off.
    #[must_use]
    pub fn new(text: &'text str) -> Self {
        let mut scanner = Scanner { text, at: 0 };
        let root = scanner.value(0);
        let starts = text.bytes().enumerate();
        let lines = std::iter::once(0)
            .chain(
                starts
                    .filter(|(_, byte)| *byte == b'\n')
                    .map(|(at, _)| at + 1),
            )
            .collect();
        Self { text, lines, root }
    }

    /// Where a place of a program stands.
    #[must_use]
    pub fn place(&self, place: &Place) -> Location {
        let color;
        let steps: Vec<Step<'_>> = match place {
            Place::Program | Place::Pair(..) | Place::Direction(_) => Vec::new(),
            Place::Vehicle => vec![Step::Key("vehicle")],
            Place::Supply => vec![Step::Key("vehicle"), Step::Key("supply")],
            Place::Item(id) => steps_of(id),
            Place::Emitter(head, of) => {
                color = of.name();
                vec![
                    Step::Key("vehicle"),
                    Step::Key("heads"),
                    Step::Item("id", head.as_str()),
                    Step::Key("emitters"),
                    Step::Item("color", color),
                ]
            }
            Place::Lane(pattern, lane) => vec![
                Step::Key("patterns"),
                Step::Item("id", pattern.as_str()),
                Step::Key("lanes"),
                Step::Item("role", lane.as_str()),
            ],
        };
        self.locate(&steps)
    }

    /// Where a pulse of a lane stands, by its index.
    #[must_use]
    pub fn pulse(&self, pattern: &str, lane: &str, index: usize) -> Location {
        self.locate(&[
            Step::Key("patterns"),
            Step::Item("id", pattern),
            Step::Key("lanes"),
            Step::Item("role", lane),
            Step::Key("pulses"),
            Step::Index(index),
        ])
    }

    /// Where the path of a reader's problem stands: `vehicle.heads[3].id`, or `line 3, column 14`.
    #[must_use]
    pub fn path(&self, path: &str) -> Location {
        if let Some((line, column)) = line_and_column(path) {
            return Location {
                pointer: String::new(),
                line,
                column,
                end_line: line,
                end_column: column + 1,
            };
        }
        self.written(path).0
    }

    /// Where the value of a path stands, or the nearest one around it, and how it is written.
    #[must_use]
    pub fn written(&self, path: &str) -> (Location, &'text str) {
        let mut steps = Vec::new();
        for part in path.split('.') {
            let (key, indices) = part.split_once('[').unwrap_or((part, ""));
            if !key.is_empty() {
                steps.push(Step::Key(key));
            }
            for index in indices.split('[') {
                if let Ok(index) = index.trim_end_matches(']').parse() {
                    steps.push(Step::Index(index));
                }
            }
        }
        let (pointer, start, end) = self.find(&steps);
        let text = self.text.get(start..end).unwrap_or_default();
        (self.location(pointer, start, end), text)
    }

    fn locate(&self, steps: &[Step<'_>]) -> Location {
        let (pointer, start, end) = self.find(steps);
        self.location(pointer, start, end)
    }

    /// The pointer of the value, its first byte and the one after its last.
    fn find(&self, steps: &[Step<'_>]) -> (String, usize, usize) {
        let mut pointer = String::new();
        let Some(mut node) = self.root.as_ref() else {
            return (pointer, 0, self.text.len());
        };
        for step in steps {
            let Some((name, inner)) = self.step(node, step) else {
                break;
            };
            let _ = write!(pointer, "/{}", name.replace('~', "~0").replace('/', "~1"));
            node = inner;
        }
        (pointer, node.start, node.end)
    }

    fn step<'node>(
        &'node self,
        node: &'node Node<'text>,
        step: &Step<'_>,
    ) -> Option<(String, &'node Node<'text>)> {
        match (&node.content, step) {
            (Content::Object(members), Step::Key(wanted)) => members
                .iter()
                .find(|(key, _)| key == wanted)
                .map(|(key, value)| ((*key).to_owned(), value)),
            (Content::List(items), Step::Index(index)) => {
                items.get(*index).map(|item| (index.to_string(), item))
            }
            (Content::List(items), Step::Item(key, wanted)) => items
                .iter()
                .enumerate()
                .find(|(_, item)| self.has_member(item, key, wanted))
                .map(|(index, item)| (index.to_string(), item)),
            _ => None,
        }
    }

    fn has_member(&self, node: &Node<'_>, key: &str, wanted: &str) -> bool {
        let Content::Object(members) = &node.content else {
            return false;
        };
        members.iter().any(|(name, value)| {
            *name == key
                && self
                    .text
                    .get(value.start..value.end)
                    .and_then(|text| text.strip_prefix('"')?.strip_suffix('"'))
                    == Some(wanted)
        })
    }

    fn location(&self, pointer: String, start: usize, end: usize) -> Location {
        let (line, column) = self.line_and_column(start);
        let (end_line, end_column) = self.line_and_column(end);
        Location {
            pointer,
            line,
            column,
            end_line,
            end_column,
        }
    }

    fn line_and_column(&self, at: usize) -> (usize, usize) {
        let line = self.lines.partition_point(|start| *start <= at);
        let start = line
            .checked_sub(1)
            .and_then(|index| self.lines.get(index))
            .copied()
            .unwrap_or_default();
        let before = self.text.get(start..at).unwrap_or_default();
        (line.max(1), before.chars().count() + 1)
    }
}

fn steps_of(id: &ItemId) -> Vec<Step<'_>> {
    let (folder, list, id): (&[&'static str], &'static str, &str) = match id {
        ItemId::Head(id) => (&["vehicle"], "heads", id.as_str()),
        ItemId::Output(id) => (&["vehicle"], "outputs", id.as_str()),
        ItemId::Fuse(id) => (&["vehicle"], "fuses", id.as_str()),
        ItemId::Clock(id) => (&["vehicle"], "clocks", id.as_str()),
        ItemId::Group(id) => (&["vehicle"], "groups", id.as_str()),
        ItemId::Pattern(id) => (&[], "patterns", id.as_str()),
        ItemId::Signal(id) => (&[], "signals", id.as_str()),
        ItemId::Control(id) => (&[], "controls", id.as_str()),
        ItemId::Layer(id) => (&[], "layers", id.as_str()),
        ItemId::DimLayer(id) => (&[], "dims", id.as_str()),
        ItemId::Situation(id) => (&[], "situations", id.as_str()),
        ItemId::Guarantee(id) => (&[], "guarantees", id.as_str()),
    };
    folder
        .iter()
        .map(|key| Step::Key(key))
        .chain([Step::Key(list), Step::Item("id", id)])
        .collect()
}

/// The numbers of `line 3, column 14`.
fn line_and_column(path: &str) -> Option<(usize, usize)> {
    let (line, column) = path.strip_prefix("line ")?.split_once(", column ")?;
    Some((line.parse().ok()?, column.parse().ok()?))
}

/// Walks a text that is nearly always right JSON; where it is not, it stops with what it has.
struct Scanner<'text> {
    text: &'text str,
    at: usize,
}

impl<'text> Scanner<'text> {
    fn peek(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    fn skip_space(&mut self) {
        let is_mark = self
            .text
            .get(self.at..)
            .is_some_and(|rest| rest.starts_with('\u{feff}'));
        if self.at == 0 && is_mark {
            self.at = '\u{feff}'.len_utf8();
        }
        while matches!(self.peek(), Some(b' ' | b'\t' | b'\n' | b'\r')) {
            self.at += 1;
        }
    }

    fn value(&mut self, depth: usize) -> Option<Node<'text>> {
        self.skip_space();
        let start = self.at;
        let content = match self.peek()? {
            b'{' if depth < DEEPEST => Content::Object(self.members(depth)),
            b'[' if depth < DEEPEST => Content::List(self.items(depth)),
            b'"' => {
                self.string()?;
                Content::Scalar
            }
            b'{' | b'[' | b'}' | b']' | b',' | b':' => return None,
            _ => {
                while self.peek().is_some_and(|byte| {
                    !matches!(
                        byte,
                        b',' | b'}' | b']' | b':' | b' ' | b'\t' | b'\n' | b'\r'
                    )
                }) {
                    self.at += 1;
                }
                Content::Scalar
            }
        };
        Some(Node {
            start,
            end: self.at,
            content,
        })
    }

    fn members(&mut self, depth: usize) -> Vec<(&'text str, Node<'text>)> {
        let mut members = Vec::new();
        self.at += 1;
        loop {
            self.skip_space();
            match self.peek() {
                Some(b'}') => {
                    self.at += 1;
                    return members;
                }
                Some(b',') => self.at += 1,
                Some(b'"') => {
                    let Some(key) = self.string() else {
                        return members;
                    };
                    self.skip_space();
                    if self.peek() != Some(b':') {
                        return members;
                    }
                    self.at += 1;
                    let Some(value) = self.value(depth + 1) else {
                        return members;
                    };
                    members.push((key, value));
                }
                _ => return members,
            }
        }
    }

    fn items(&mut self, depth: usize) -> Vec<Node<'text>> {
        let mut items = Vec::new();
        self.at += 1;
        loop {
            self.skip_space();
            match self.peek() {
                Some(b']') => {
                    self.at += 1;
                    return items;
                }
                Some(b',') => self.at += 1,
                _ => match self.value(depth + 1) {
                    Some(item) => items.push(item),
                    None => return items,
                },
            }
        }
    }

    /// The text between the quotes, as it is written.
    fn string(&mut self) -> Option<&'text str> {
        self.at += 1;
        let start = self.at;
        loop {
            match self.peek()? {
                b'"' => {
                    let text = self.text.get(start..self.at);
                    self.at += 1;
                    return text;
                }
                b'\\' => self.at += 2,
                _ => self.at += 1,
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lampwright_model::Color;

    const TEXT: &str = r#"{
  "vehicle": {
    "heads": [
      {"id": "nose", "emitters": [{"color": "red"}, {"color": "blue"}]},
      {"label": "ä \" }", "id": "tail", "emitters": [{"color": "amber"}]}
    ]
  },
  "patterns": [
    {"id": "beat", "lanes": [{"role": "all", "pulses": [{"start_ms": 0}, {"start_ms": 9}]}]}
  ]
}
"#;

    #[track_caller]
    fn check(place: &Place, pointer: &str, line: usize, column: usize) {
        let found = FileIndex::new(TEXT).place(place);
        assert_eq!(
            (found.pointer.as_str(), found.line, found.column),
            (pointer, line, column)
        );
    }

    #[test]
    fn things_are_found_by_their_identifiers() {
        let head = |id: &str| Place::Item(ItemId::Head(id.parse().unwrap()));
        check(&head("nose"), "/vehicle/heads/0", 4, 7);
        check(&head("tail"), "/vehicle/heads/1", 5, 7);
        check(
            &Place::Emitter("nose".parse().unwrap(), Color::Blue),
            "/vehicle/heads/0/emitters/1",
            4,
            53,
        );
        check(
            &Place::Lane("beat".parse().unwrap(), "all".parse().unwrap()),
            "/patterns/0/lanes/0",
            9,
            30,
        );
        let pulse = FileIndex::new(TEXT).pulse("beat", "all", 1);
        assert_eq!(pulse.pointer, "/patterns/0/lanes/0/pulses/1");
        assert_eq!(pulse.end_column - pulse.column, "{\"start_ms\": 9}".len());
    }

    /// Columns count characters: the letter before the emitters is two bytes long.
    #[test]
    fn columns_count_characters() {
        check(
            &Place::Emitter("tail".parse().unwrap(), Color::Amber),
            "/vehicle/heads/1/emitters/0",
            5,
            54,
        );
    }

    #[test]
    fn what_is_not_there_gives_what_is_around_it() {
        let missing = Place::Item(ItemId::Head("roof".parse().unwrap()));
        check(&missing, "/vehicle/heads", 3, 14);
        check(&Place::Supply, "/vehicle", 2, 14);
        check(&Place::Program, "", 1, 1);
    }

    #[test]
    fn the_paths_of_problems_are_found() {
        let index = FileIndex::new(TEXT);
        let found = index.path("vehicle.heads[1].emitters[0].color");
        assert_eq!(found.pointer, "/vehicle/heads/1/emitters/0/color");
        let found = index.path("line 3, column 14");
        assert_eq!((found.line, found.column), (3, 14));
        assert_eq!(index.path("file").pointer, "");
    }

    #[test]
    fn a_text_that_breaks_off_anywhere_gives_a_location() {
        for end in 0..TEXT.len() {
            let Some(text) = TEXT.get(..end) else {
                continue;
            };
            let index = FileIndex::new(text);
            let found = index.pulse("beat", "all", 1);
            assert!(found.line >= 1 && found.column >= 1, "{end}");
        }
    }
}
