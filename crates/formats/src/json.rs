//! JSON text to a tree and back.
//!
//! Kept here rather than taken from a general reader because a program file needs what those do not give together: numbers as written, members in their order with repeated keys, and the part of a broken text that stands before the break.
//!
//! Invariant: any text gives a tree or a [`Fault`] or both, in time linear in its length, with recursion no deeper than [`DEEPEST`].

use crate::reader::MOST_PULSES;
use std::borrow::Cow;
use std::fmt::Write as _;

/// Deepest nesting that is read; a program needs about ten levels.
pub(crate) const DEEPEST: usize = 64;

/// Most values in one text, which bounds the memory of the tree.
pub(crate) const MOST_VALUES: usize = 2_000_000;

/// What a broken-off text is found to hold at the break.
pub(crate) const END_OF_FILE: &str = "the end of the file";

/// One JSON value.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Json<'text> {
    Null,
    Bool(bool),
    /// A number as it is written.
    Number(Cow<'text, str>),
    Text(Cow<'text, str>),
    List(Vec<Json<'text>>),
    Object(Object<'text>),
}

/// Members in the order of the text; a repeated key stands as often as it is written.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Object<'text> {
    pub(crate) members: Vec<(Cow<'text, str>, Json<'text>)>,
    /// False when the text broke off inside.
    pub(crate) is_complete: bool,
}

impl<'text> Object<'text> {
    pub(crate) fn of(members: Vec<(Cow<'text, str>, Json<'text>)>) -> Self {
        Self {
            members,
            is_complete: true,
        }
    }

    pub(crate) fn get(&self, key: &str) -> Option<&Json<'text>> {
        self.members
            .iter()
            .find(|(name, _)| name == key)
            .map(|(_, value)| value)
    }
}

impl<'text> Json<'text> {
    pub(crate) fn text(text: impl Into<Cow<'text, str>>) -> Self {
        Self::Text(text.into())
    }

    pub(crate) fn number(number: impl ToString) -> Self {
        Self::Number(Cow::Owned(number.to_string()))
    }

    /// The value in a few words, for a message.
    pub(crate) fn describe(&self) -> String {
        match self {
            Self::Null => "null".into(),
            Self::Bool(value) => value.to_string(),
            Self::Number(number) => shortened(number),
            Self::Text(text) => format!("\"{}\"", shortened(text)),
            Self::List(items) => format!("a list of {}", items.len()),
            Self::Object(_) => "an object".into(),
        }
    }
}

/// At most 40 characters of a text, without control characters.
pub(crate) fn shortened(text: &str) -> String {
    let mut short: String = text
        .chars()
        .take(40)
        .map(|letter| if letter.is_control() { ' ' } else { letter })
        .collect();
    if text.chars().nth(40).is_some() {
        short.push('…');
    }
    short
}

/// Where and why a text is not JSON.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Fault {
    /// From one.
    pub(crate) line: usize,
    /// In characters, from one.
    pub(crate) column: usize,
    pub(crate) expected: String,
    pub(crate) found: String,
}

/// The tree of a text, as far as it goes, and what broke it off.
pub(crate) fn parse(text: &str) -> (Option<Json<'_>>, Option<Fault>) {
    let mut parser = Parser {
        text,
        at: 0,
        n_values: 0,
        fault: None,
    };
    let tree = parser.value(0);
    if parser.fault.is_none() {
        parser.skip_space();
        if parser.at < text.len() {
            parser.fail("the end of the file");
        }
    }
    let fault = parser.fault.map(|(at, expected, found)| {
        let (line, column) = line_and_column(text, at);
        Fault {
            line,
            column,
            expected,
            found,
        }
    });
    (tree, fault)
}

/// Line and column, both from one, of a byte offset at a character boundary.
pub(crate) fn line_and_column(text: &str, at: usize) -> (usize, usize) {
    let before = text.get(..at).unwrap_or(text);
    let line = before.bytes().filter(|byte| *byte == b'\n').count() + 1;
    let start = before.rfind('\n').map_or(0, |newline| newline + 1);
    let column = before.get(start..).map_or(0, |rest| rest.chars().count()) + 1;
    (line, column)
}

struct Parser<'text> {
    text: &'text str,
    at: usize,
    n_values: usize,
    fault: Option<(usize, String, String)>,
}

impl<'text> Parser<'text> {
    fn peek(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    fn skip_space(&mut self) {
        while matches!(self.peek(), Some(b' ' | b'\t' | b'\n' | b'\r')) {
            self.at += 1;
        }
    }

    fn fail(&mut self, expected: &str) {
        let found = match self
            .text
            .get(self.at..)
            .and_then(|rest| rest.chars().next())
        {
            None => END_OF_FILE.into(),
            Some(letter) if letter.is_control() => {
                format!("the control character {}", u32::from(letter))
            }
            Some(letter) => format!("'{letter}'"),
        };
        self.fail_with(expected, found);
    }

    fn fail_with(&mut self, expected: impl Into<String>, found: impl Into<String>) {
        if self.fault.is_none() {
            self.fault = Some((self.at, expected.into(), found.into()));
        }
    }

    fn value(&mut self, depth: usize) -> Option<Json<'text>> {
        self.skip_space();
        self.n_values += 1;
        if self.n_values > MOST_VALUES {
            self.fail_with(
                format!(
                    "at most {MOST_VALUES} values in the file, of them at most {MOST_PULSES} pulses"
                ),
                "one more",
            );
            return None;
        }
        if depth >= DEEPEST && matches!(self.peek(), Some(b'{' | b'[')) {
            self.fail_with(format!("at most {DEEPEST} levels of nesting"), "one more");
            return None;
        }
        match self.peek() {
            Some(b'{') => Some(Json::Object(self.object(depth))),
            Some(b'[') => Some(Json::List(self.list(depth))),
            Some(b'"') => self.string().map(Json::Text),
            Some(b'-' | b'0'..=b'9') => self.number(),
            _ => {
                let rest = self.text.get(self.at..).unwrap_or_default();
                for (word, value) in [
                    ("true", Json::Bool(true)),
                    ("false", Json::Bool(false)),
                    ("null", Json::Null),
                ] {
                    if rest.starts_with(word) {
                        self.at += word.len();
                        return Some(value);
                    }
                }
                self.fail("a value");
                None
            }
        }
    }

    fn object(&mut self, depth: usize) -> Object<'text> {
        let mut object = Object {
            members: Vec::new(),
            is_complete: false,
        };
        self.at += 1;
        self.skip_space();
        if self.peek() == Some(b'}') {
            self.at += 1;
            object.is_complete = true;
            return object;
        }
        loop {
            self.skip_space();
            if self.peek() != Some(b'"') {
                self.fail("a key in quotes");
                return object;
            }
            let Some(key) = self.string() else {
                return object;
            };
            self.skip_space();
            if self.peek() != Some(b':') {
                self.fail("':' after the key");
                return object;
            }
            self.at += 1;
            if let Some(value) = self.value(depth + 1) {
                object.members.push((key, value));
            }
            if self.fault.is_some() {
                return object;
            }
            self.skip_space();
            match self.peek() {
                Some(b',') => self.at += 1,
                Some(b'}') => {
                    self.at += 1;
                    object.is_complete = true;
                    return object;
                }
                _ => {
                    self.fail("',' or '}'");
                    return object;
                }
            }
        }
    }

    fn list(&mut self, depth: usize) -> Vec<Json<'text>> {
        let mut items = Vec::new();
        self.at += 1;
        self.skip_space();
        if self.peek() == Some(b']') {
            self.at += 1;
            return items;
        }
        loop {
            if let Some(value) = self.value(depth + 1) {
                items.push(value);
            }
            if self.fault.is_some() {
                return items;
            }
            self.skip_space();
            match self.peek() {
                Some(b',') => self.at += 1,
                Some(b']') => {
                    self.at += 1;
                    return items;
                }
                _ => {
                    self.fail("',' or ']'");
                    return items;
                }
            }
        }
    }

    fn digits(&mut self) -> bool {
        let start = self.at;
        while matches!(self.peek(), Some(b'0'..=b'9')) {
            self.at += 1;
        }
        if self.at == start {
            self.fail("a digit");
        }
        self.at > start
    }

    fn number(&mut self) -> Option<Json<'text>> {
        let start = self.at;
        if self.peek() == Some(b'-') {
            self.at += 1;
        }
        if self.peek() == Some(b'0') {
            self.at += 1;
            if matches!(self.peek(), Some(b'0'..=b'9')) {
                self.fail("a number without leading zeros");
                return None;
            }
        } else if !self.digits() {
            return None;
        }
        if self.peek() == Some(b'.') {
            self.at += 1;
            if !self.digits() {
                return None;
            }
        }
        if matches!(self.peek(), Some(b'e' | b'E')) {
            self.at += 1;
            if matches!(self.peek(), Some(b'+' | b'-')) {
                self.at += 1;
            }
            if !self.digits() {
                return None;
            }
        }
        if self.peek().is_none() && start > 0 {
            // More digits may have stood behind the break.
            self.fail("the rest of the file");
            return None;
        }
        let number = self.text.get(start..self.at)?;
        Some(Json::Number(Cow::Borrowed(number)))
    }

    fn string(&mut self) -> Option<Cow<'text, str>> {
        self.at += 1;
        let mut start = self.at;
        let mut unescaped: Option<String> = None;
        loop {
            match self.peek() {
                Some(b'"') => {
                    let piece = self.text.get(start..self.at)?;
                    self.at += 1;
                    return Some(match unescaped {
                        None => Cow::Borrowed(piece),
                        Some(text) => Cow::Owned(text + piece),
                    });
                }
                Some(b'\\') => {
                    let text = unescaped.get_or_insert_default();
                    text.push_str(self.text.get(start..self.at)?);
                    let letter = self.escape()?;
                    unescaped.get_or_insert_default().push(letter);
                    start = self.at;
                }
                Some(0x20..) => self.at += 1,
                _ => {
                    self.fail("the rest of a text and '\"'");
                    return None;
                }
            }
        }
    }

    fn escape(&mut self) -> Option<char> {
        self.at += 1;
        let letter = match self.peek() {
            Some(b'"') => '"',
            Some(b'\\') => '\\',
            Some(b'/') => '/',
            Some(b'b') => '\u{8}',
            Some(b'f') => '\u{c}',
            Some(b'n') => '\n',
            Some(b'r') => '\r',
            Some(b't') => '\t',
            Some(b'u') => {
                self.at += 1;
                return self.unicode_escape();
            }
            _ => {
                self.fail("one of \" \\ / b f n r t u after '\\'");
                return None;
            }
        };
        self.at += 1;
        Some(letter)
    }

    fn unicode_escape(&mut self) -> Option<char> {
        let first = self.four_digits()?;
        let code = if (0xd800..0xdc00).contains(&first) {
            let has_second = self
                .text
                .get(self.at..)
                .is_some_and(|rest| rest.starts_with("\\u"));
            if !has_second {
                self.fail("the second half of a surrogate pair");
                return None;
            }
            self.at += 2;
            let second = self.four_digits()?;
            if !(0xdc00..0xe000).contains(&second) {
                self.fail("the second half of a surrogate pair");
                return None;
            }
            0x10000 + ((first - 0xd800) << 10) + (second - 0xdc00)
        } else {
            first
        };
        let letter = char::from_u32(code);
        if letter.is_none() {
            self.fail("the number of a character");
        }
        letter
    }

    fn four_digits(&mut self) -> Option<u32> {
        let digits = self
            .text
            .get(self.at..self.at + 4)
            .filter(|digits| digits.bytes().all(|byte| byte.is_ascii_hexdigit()));
        let Some(digits) = digits else {
            self.fail("four hexadecimal digits");
            return None;
        };
        self.at += 4;
        u32::from_str_radix(digits, 16).ok()
    }
}

/// Widest line that holds a whole list or object, in bytes with its indentation.
const LINE_WIDTH: usize = 100;

/// The text of a tree: two spaces per level, and on one line what fits there, save lists of lists or objects.
pub(crate) fn print(tree: &Json<'_>) -> String {
    let mut out = String::new();
    print_value(tree, 0, &mut out);
    out.push('\n');
    out
}

fn print_value(value: &Json<'_>, depth: usize, out: &mut String) {
    let start = out.len();
    if print_on_line(value, start + LINE_WIDTH - (2 * depth).min(LINE_WIDTH), out) {
        return;
    }
    out.truncate(start);
    match value {
        Json::Null | Json::Bool(_) | Json::Number(_) | Json::Text(_) => print_scalar(value, out),
        Json::List(items) => {
            out.push('[');
            for (index, item) in items.iter().enumerate() {
                print_item_start(index, depth, out);
                print_value(item, depth + 1, out);
            }
            print_end(']', depth, out);
        }
        Json::Object(object) => {
            out.push('{');
            for (index, (key, value)) in object.members.iter().enumerate() {
                print_item_start(index, depth, out);
                print_text(key, out);
                out.push_str(": ");
                print_value(value, depth + 1, out);
            }
            print_end('}', depth, out);
        }
    }
}

fn print_item_start(index: usize, depth: usize, out: &mut String) {
    out.push_str(if index > 0 { ",\n" } else { "\n" });
    indent(depth + 1, out);
}

fn print_end(close: char, depth: usize, out: &mut String) {
    out.push('\n');
    indent(depth, out);
    out.push(close);
}

/// Prints the value on the present line; false, with some of it printed, when `out` would grow past `limit`.
fn print_on_line(value: &Json<'_>, limit: usize, out: &mut String) -> bool {
    match value {
        Json::List(items) => {
            out.push('[');
            for (index, item) in items.iter().enumerate() {
                if index > 0 {
                    out.push_str(", ");
                }
                if matches!(item, Json::List(_) | Json::Object(_))
                    || !print_on_line(item, limit, out)
                {
                    return false;
                }
            }
            out.push(']');
        }
        Json::Object(object) => {
            out.push('{');
            for (index, (key, value)) in object.members.iter().enumerate() {
                if index > 0 {
                    out.push_str(", ");
                }
                print_text(key, out);
                out.push_str(": ");
                if !print_on_line(value, limit, out) {
                    return false;
                }
            }
            out.push('}');
        }
        _ => print_scalar(value, out),
    }
    out.len() <= limit
}

fn print_scalar(value: &Json<'_>, out: &mut String) {
    match value {
        Json::Bool(true) => out.push_str("true"),
        Json::Bool(false) => out.push_str("false"),
        Json::Number(number) => out.push_str(number),
        Json::Text(text) => print_text(text, out),
        Json::Null | Json::List(_) | Json::Object(_) => out.push_str("null"),
    }
}

fn indent(depth: usize, out: &mut String) {
    for _ in 0..depth {
        out.push_str("  ");
    }
}

fn print_text(text: &str, out: &mut String) {
    out.push('"');
    for letter in text.chars() {
        match letter {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            // Line and paragraph separators are escaped so that the text also stands inside a script.
            '\0'..='\u{1f}' | '\u{7f}' | '\u{2028}' | '\u{2029}' => {
                // Writing to a string cannot fail.
                let _ = write!(out, "\\u{:04x}", u32::from(letter));
            }
            _ => out.push(letter),
        }
    }
    out.push('"');
}
