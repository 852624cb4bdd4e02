//! The state of reading one file: where the reader is, and what was wrong so far.
//!
//! Invariant: a problem is reported where it is found and reading goes on; the list of problems is bounded, their number is not.

use crate::field::Slot;
use crate::json::{Json, Object, shortened};
use lampwright_model::Problem;
use lampwright_timing::SortedMap;

/// Most problems that are listed; the rest are counted.
pub const MOST_PROBLEMS: usize = 200;

/// Most pulses in one file.
pub const MOST_PULSES: usize = 250_000;

/// The path that problems of the whole file carry.
pub(crate) const WHOLE_FILE: &str = "file";

/// What becomes of an object with something wrong inside.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Mode {
    /// It stays, and what is wrong or missing takes its default: things that exist once.
    Whole,
    /// What may be absent counts as absent; without a required member the object is lost: things whose defaults are shown as assumed.
    Lenient,
    /// It is lost: things that would act differently without the part.
    Strict,
}

/// Path, problems and counts of one file.
#[derive(Debug, Default)]
pub(crate) struct Reader {
    path: String,
    problems: Vec<Problem>,
    n_unlisted: usize,
    n_pulses: usize,
    kept: SortedMap<String, Vec<usize>>,
}

impl Reader {
    /// Reports a problem at the present path.
    pub(crate) fn report(&mut self, expected: impl Into<String>, found: impl Into<String>) {
        if self.is_full() {
            self.n_unlisted += 1;
            return;
        }
        let path = if self.path.is_empty() {
            WHOLE_FILE.to_owned()
        } else {
            self.path.clone()
        };
        self.problems.push(Problem::new(path, expected, found));
    }

    /// Reports that a value is not of the expected kind.
    pub(crate) fn mismatch(&mut self, expected: &str, node: &Json<'_>) {
        self.report(expected, node.describe());
    }

    /// Adds problems whose indices count what was kept, with the indices of the file.
    pub(crate) fn report_admitted(&mut self, problems: Vec<Problem>) {
        for mut problem in problems {
            if self.is_full() {
                self.n_unlisted += 1;
                continue;
            }
            problem.path = self.path_in_file(&problem.path);
            self.problems.push(problem);
        }
    }

    /// The problems, and how many more there were.
    pub(crate) fn into_problems(self) -> (Vec<Problem>, usize) {
        (self.problems, self.n_unlisted)
    }

    fn is_full(&self) -> bool {
        self.problems.len() >= MOST_PROBLEMS
    }

    /// Runs `read` with a key added to the path.
    pub(crate) fn at_key<T>(&mut self, key: &str, read: impl FnOnce(&mut Self) -> T) -> T {
        let length = self.path.len();
        if length > 0 {
            self.path.push('.');
        }
        self.path.push_str(&shortened(key));
        let result = read(self);
        self.path.truncate(length);
        result
    }

    /// Runs `read` with an index added to the path.
    pub(crate) fn at_index<T>(&mut self, index: usize, read: impl FnOnce(&mut Self) -> T) -> T {
        let length = self.path.len();
        self.path.push_str(&format!("[{index}]"));
        let result = read(self);
        self.path.truncate(length);
        result
    }

    /// The node as an object whose keys are all among `known`; other and repeated keys are reported.
    pub(crate) fn object<'node, 'text>(
        &mut self,
        node: &'node Json<'text>,
        known: &[&str],
    ) -> Option<&'node Object<'text>> {
        let object = self.map(node)?;
        for (key, _) in &object.members {
            if known.contains(&key.as_ref()) {
                continue;
            }
            let expected = if self.is_full() {
                String::new()
            } else if let Some(near) = nearest(key, known) {
                format!("\"{near}\"")
            } else {
                format!("one of the keys {}", known.join(", "))
            };
            let found = format!("the unknown key \"{}\"", shortened(key));
            self.at_key(key, |reader| reader.report(expected, found));
        }
        Some(object)
    }

    /// The node as an object with any keys; repeated keys are reported.
    pub(crate) fn map<'node, 'text>(
        &mut self,
        node: &'node Json<'text>,
    ) -> Option<&'node Object<'text>> {
        let Json::Object(object) = node else {
            self.mismatch("an object", node);
            return None;
        };
        let mut keys: Vec<&str> = object.members.iter().map(|(key, _)| key.as_ref()).collect();
        lampwright_timing::sort(&mut keys);
        for (key, next) in keys.iter().zip(keys.iter().skip(1)) {
            if key == next {
                self.at_key(key, |reader| {
                    reader.report("a key only once", "the same key again");
                });
            }
        }
        Some(object)
    }

    /// The node as a list.
    pub(crate) fn list<'node, 'text>(
        &mut self,
        node: &'node Json<'text>,
    ) -> Option<&'node [Json<'text>]> {
        if let Json::List(items) = node {
            Some(items)
        } else {
            self.mismatch("a list", node);
            None
        }
    }

    /// The node as a list of at most so many items; a longer one is reported and given all the same.
    #[inline(never)]
    pub(crate) fn list_within<'node, 'text>(
        &mut self,
        node: &'node Json<'text>,
        most: usize,
    ) -> Option<&'node [Json<'text>]> {
        let items = self.list(node)?;
        if items.len() > most {
            self.report(format!("at most {most} items"), items.len().to_string());
        }
        Some(items)
    }

    /// Which of some words the node is.
    #[inline(never)]
    pub(crate) fn word(
        &mut self,
        node: &Json<'_>,
        expected: &str,
        words: &[&str],
    ) -> Option<usize> {
        let text = self.text(node, expected)?;
        let found = words.iter().position(|word| *word == text);
        if found.is_none() {
            self.mismatch(expected, node);
        }
        found
    }

    /// The node as a text.
    pub(crate) fn text<'node>(
        &mut self,
        node: &'node Json<'_>,
        expected: &str,
    ) -> Option<&'node str> {
        if let Json::Text(text) = node {
            Some(text)
        } else {
            self.mismatch(expected, node);
            None
        }
    }

    /// Reads the members of an object, each into its slot, or takes what stands for an absent one.
    pub(crate) fn members(
        &mut self,
        object: &Object<'_>,
        mode: Mode,
        members: &mut [(&str, &mut dyn Slot)],
    ) {
        for (key, slot) in members {
            let Some(node) = object.get(key) else {
                if !slot.take_absent() && object.is_complete {
                    self.at_key(key, |reader| {
                        reader.report("this key, which is required", "nothing");
                    });
                }
                continue;
            };
            let is_read = self.at_key(key, |reader| slot.read(node, reader));
            if !is_read && mode != Mode::Strict {
                slot.take_absent();
            }
        }
    }

    /// Counts pulses; reports and gives false when the file has too many.
    pub(crate) fn count_pulses(&mut self, n_pulses: usize) -> bool {
        self.n_pulses = self.n_pulses.saturating_add(n_pulses);
        let fits = self.n_pulses <= MOST_PULSES;
        if !fits {
            self.report(
                format!("at most {MOST_PULSES} pulses in the file"),
                format!("{} up to here", self.n_pulses),
            );
        }
        fits
    }

    /// Remembers which items of the list at the present path were kept, when some were not.
    pub(crate) fn remember_kept(&mut self, kept: Vec<usize>) {
        self.kept.insert(self.path.clone(), kept);
    }

    fn path_in_file(&self, path: &str) -> String {
        let mut original = String::new();
        let mut rest = path;
        while let Some((before, after)) = rest.split_once('[') {
            original.push_str(before);
            let (index, tail) = after.split_once(']').unwrap_or((after, ""));
            let kept = self.kept.get(&original);
            let in_file = index
                .parse()
                .ok()
                .and_then(|index: usize| kept.and_then(|kept| kept.get(index)));
            match in_file {
                Some(in_file) => original.push_str(&format!("[{in_file}]")),
                None => original.push_str(&format!("[{index}]")),
            }
            rest = tail;
        }
        original + rest
    }
}

/// The known key that was most likely meant: one a unit is missing from, or one at most two letters away.
fn nearest<'known>(key: &str, known: &[&'known str]) -> Option<&'known str> {
    if key.len() > 40 {
        return None;
    }
    let without_unit = known.iter().find(|known| {
        known
            .strip_prefix(key)
            .is_some_and(|rest| rest.starts_with('_'))
    });
    if let Some(known) = without_unit {
        return Some(known);
    }
    known
        .iter()
        .map(|known| (distance(key, known), *known))
        .min()
        .filter(|(distance, known)| *distance <= 2 && 2 * distance < known.len())
        .map(|(_, known)| known)
}

/// Letters to insert, delete or replace between two texts.
fn distance(left: &str, right: &str) -> usize {
    let right: Vec<char> = right.chars().collect();
    let mut row: Vec<usize> = (0..=right.len()).collect();
    for (index, from) in left.chars().enumerate() {
        let mut before = index + 1;
        let mut next = vec![before];
        for ((to, diagonal), above) in right.iter().zip(&row).zip(row.iter().skip(1)) {
            before = (diagonal + usize::from(from != *to))
                .min(above + 1)
                .min(before + 1);
            next.push(before);
        }
        row = next;
    }
    row.last().copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_key_is_found() {
        let known = ["period_ms", "tick_ms", "lanes", "id"];
        assert_eq!(nearest("period", &known), Some("period_ms"));
        assert_eq!(nearest("lane", &known), Some("lanes"));
        assert_eq!(nearest("tikc_ms", &known), Some("tick_ms"));
        assert_eq!(nearest("x", &known), None);
        assert_eq!(nearest("notes", &known), None);
    }

    #[test]
    fn indices_of_admitted_items_lead_back_to_the_file() {
        let mut reader = Reader::default();
        reader.at_key("vehicle", |reader| {
            reader.at_key("heads", |reader| {
                reader.remember_kept(vec![0, 2, 5]);
                reader.at_index(5, |reader| {
                    reader.at_key("emitters", |reader| reader.remember_kept(vec![1, 3]));
                });
            });
        });
        assert_eq!(
            reader.path_in_file("vehicle.heads[2].emitters[1].output"),
            "vehicle.heads[5].emitters[3].output"
        );
        assert_eq!(reader.path_in_file("layers[2].id"), "layers[2].id");
    }
}
