//! A change of a program as changes of its file's text, whatever the layout of the file.
//!
//! The trees of both programs are walked together; the smallest values that differ are replaced where they stand in the text.
//! Invariant: the text with the replacements reads as the changed program.
//! Absent: making changes, and files that could not be read whole, whose values may stand elsewhere.

use lampwright_formats::{FileIndex, Location, write_program};
use lampwright_model::Program;
use serde_json::Value;

/// A change with its name.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct FixText {
    /// What it does, in words.
    pub label: String,
    /// The replacements, from the top of the file down, none inside another.
    pub replacements: Vec<Replacement>,
}

/// A stretch of the file's text and what takes its place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Replacement {
    /// The stretch.
    pub deleted: Location,
    /// The new text.
    pub inserted: String,
}

/// What makes the text of `before` read as `after`; none when a tree cannot be read.
#[must_use]
pub fn replacements(text: &str, before: &Program, after: &Program) -> Option<Vec<Replacement>> {
    let after_text = write_program(after);
    let old: Value = serde_json::from_str(&write_program(before)).ok()?;
    let new: Value = serde_json::from_str(&after_text).ok()?;
    let mut changed = Vec::new();
    walk(&old, &new, &mut String::new(), &mut changed);
    let (in_file, in_new) = (FileIndex::new(text), FileIndex::new(&after_text));
    let mut found: Vec<Replacement> = Vec::new();
    for path in changed {
        let (mut deleted, _) = in_file.written(&path);
        // What the file leaves out is put in with the value around it.
        let mut path = path_of(&deleted.pointer);
        let (mut place, mut inserted) = in_new.written(&path);
        while place.pointer != deleted.pointer {
            path = path_of(&place.pointer);
            (deleted, _) = in_file.written(&path);
            path = path_of(&deleted.pointer);
            (place, inserted) = in_new.written(&path);
        }
        let is_inside = |outer: &Location, inner: &Location| {
            outer.pointer.is_empty()
                || inner.pointer == outer.pointer
                || inner.pointer.starts_with(&format!("{}/", outer.pointer))
        };
        if found
            .iter()
            .any(|known| is_inside(&known.deleted, &deleted))
        {
            continue;
        }
        found.retain(|known| !is_inside(&deleted, &known.deleted));
        found.push(Replacement {
            deleted,
            inserted: inserted.to_owned(),
        });
    }
    found.sort_by_key(|known| (known.deleted.line, known.deleted.column));
    Some(found)
}

/// Collects the paths of the smallest values that differ.
fn walk(old: &Value, new: &Value, path: &mut String, changed: &mut Vec<String>) {
    let length = path.len();
    match (old, new) {
        _ if old == new => {}
        (Value::Object(one), Value::Object(other)) if one.keys().eq(other.keys()) => {
            for (key, value) in one {
                if let Some(other) = other.get(key) {
                    if !path.is_empty() {
                        path.push('.');
                    }
                    path.push_str(key);
                    walk(value, other, path, changed);
                    path.truncate(length);
                }
            }
        }
        (Value::Array(one), Value::Array(other)) if one.len() == other.len() => {
            for (index, (value, other)) in one.iter().zip(other).enumerate() {
                path.push_str(&format!("[{index}]"));
                walk(value, other, path, changed);
                path.truncate(length);
            }
        }
        _ => changed.push(path.clone()),
    }
}

/// The path of a JSON pointer; the keys of a program file hold no signs that mean something in either.
fn path_of(pointer: &str) -> String {
    let mut path = String::new();
    for part in pointer.split('/').skip(1) {
        if part.bytes().all(|byte| byte.is_ascii_digit()) {
            path.push_str(&format!("[{part}]"));
        } else {
            if !path.is_empty() {
                path.push('.');
            }
            path.push_str(part);
        }
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use lampwright_formats::read_program;
    use lampwright_model::{Edit, Item};
    use lampwright_timing::Micros;

    const TEXT: &str = r#"{"format": "lampwright-program",
    "version": 1, "name": "lamp ä",  "patterns":
  [ {"id": "a", "label": "", "period_ms":   500, "tick_ms": 1, "lanes": [{"role": "all", "pulses": [{"start_ms": 0, "length_ms": 80}]}]},
    {"id": "b", "label": "ä", "period_ms": 500, "tick_ms": 1,
     "lanes": [{"role": "all", "pulses": []}]}]}"#;

    fn program() -> Program {
        read_program(TEXT.as_bytes()).program.unwrap()
    }

    /// The text with the replacements, each put in by line and column in letters.
    fn apply(text: &str, replacements: &[Replacement]) -> String {
        let lines: Vec<&str> = text.split_inclusive('\n').collect();
        let at = |line: usize, column: usize| {
            let before: usize = lines.iter().take(line - 1).map(|line| line.len()).sum();
            let within = lines.get(line - 1).map_or("", |line| line);
            before
                + within
                    .chars()
                    .take(column - 1)
                    .map(char::len_utf8)
                    .sum::<usize>()
        };
        let mut out = text.to_owned();
        for one in replacements.iter().rev() {
            let place = &one.deleted;
            let range = at(place.line, place.column)..at(place.end_line, place.end_column);
            out.replace_range(range, &one.inserted);
        }
        out
    }

    #[track_caller]
    fn check(edit: &Edit, expected: &[(&str, &str)]) {
        let before = program();
        let after = before.apply(edit).unwrap();
        let found = replacements(TEXT, &before, &after).unwrap();
        let shown: Vec<(&str, &str)> = found
            .iter()
            .map(|one| (one.deleted.pointer.as_str(), one.inserted.as_str()))
            .collect();
        assert_eq!(shown, expected);
        let outcome = read_program(apply(TEXT, &found).as_bytes());
        assert_eq!(outcome.program, Some(after));
    }

    #[test]
    fn only_the_values_that_differ_are_replaced() {
        let mut pattern = program().patterns[0].clone();
        pattern.period = Micros::from_ms(600);
        let mut other = program().patterns[1].clone();
        other.label = "ß".into();
        let both = vec![
            Edit::Put(Item::Pattern(other)),
            Edit::Put(Item::Pattern(pattern)),
        ];
        check(
            &Edit::Together(both),
            &[
                ("/patterns/0/period_ms", "600"),
                ("/patterns/1/label", "\"ß\""),
            ],
        );
    }

    #[test]
    fn a_value_the_file_leaves_out_comes_with_the_one_around_it() {
        let mut pattern = program().patterns[0].clone();
        let mut pulses = pattern.lanes[0].pulses.to_vec();
        pulses[0].level = lampwright_timing::Level::nearest(500);
        pattern.lanes[0].pulses = pulses.into();
        check(
            &Edit::Put(Item::Pattern(pattern)),
            &[(
                "/patterns/0/lanes/0/pulses/0",
                "{\"start_ms\": 0, \"length_ms\": 80, \"level\": 500}",
            )],
        );
    }

    #[test]
    fn nothing_to_do_is_no_replacement() {
        check(&Edit::Together(Vec::new()), &[]);
    }
}
