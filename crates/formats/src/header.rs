//! The first two members of every file: which format, which version; and the way from older versions to the present one.
//!
//! Invariant: a newer version and another format are refused by name, never read on trust.

use crate::json::{self, Fault, Json, Object};
use crate::reader::Reader;
use std::borrow::Cow;

/// Largest file that is read, in bytes.
pub const MOST_BYTES: usize = 64 * 1024 * 1024;

/// Turns the tree of one version into that of the next.
pub(crate) type Migration = fn(&mut Object<'_>);

/// A format with its history.
pub(crate) struct Kind {
    /// Value of the member `format`.
    pub(crate) format: &'static str,
    /// What the file is called in messages.
    pub(crate) name: &'static str,
    /// From version 1 to 2, from 2 to 3 and so on.
    pub(crate) migrations: &'static [Migration],
}

impl Kind {
    /// The present version.
    pub(crate) const fn version(&self) -> usize {
        self.migrations.len() + 1
    }

    /// The text of a file of the present version with this content.
    pub(crate) fn write(&self, content: Json<'static>) -> String {
        let mut members = vec![
            (Cow::Borrowed("format"), Json::text(self.format)),
            (Cow::Borrowed("version"), Json::number(self.version())),
        ];
        if let Json::Object(mut object) = content {
            members.append(&mut object.members);
        }
        json::print(&Json::Object(Object::of(members)))
    }

    /// Takes the header off a file and hands its content, in the present version, to `read`.
    ///
    /// Gives nothing, with a problem reported, when the bytes are no file of this kind.
    pub(crate) fn read<T>(
        &self,
        bytes: &[u8],
        reader: &mut Reader,
        read: impl FnOnce(&Json<'_>, &mut Reader) -> Option<T>,
    ) -> Option<T> {
        if bytes.len() > MOST_BYTES {
            reader.report(
                format!("at most {MOST_BYTES} bytes"),
                format!("{} bytes", bytes.len()),
            );
            return None;
        }
        let (text, is_utf8) = readable_text(bytes);
        if is_utf8 && text.trim().is_empty() {
            reader.report(self.name, "an empty file");
            return None;
        }
        let (tree, fault) = json::parse(text);
        if let Some(fault) = fault {
            report_fault(&fault, !is_utf8, reader);
        } else if !is_utf8 {
            let (line, column) = json::line_and_column(text, text.len());
            reader.at_key(&format!("line {line}, column {column}"), |reader| {
                reader.report("text in UTF-8", "another byte");
            });
        }
        let Some(Json::Object(mut root)) = tree else {
            if let Some(other) = &tree {
                reader.mismatch(&format!("{}, an object", self.name), other);
            }
            return None;
        };
        self.take_header(&mut root, reader)?;
        read(&Json::Object(root), reader)
    }

    fn take_header(&self, root: &mut Object<'_>, reader: &mut Reader) -> Option<()> {
        let expected = format!("\"{}\"", self.format);
        match take(root, "format") {
            Some(Json::Text(format)) if format == self.format => {}
            Some(other) => {
                reader.at_key("format", |reader| reader.mismatch(&expected, &other));
                return None;
            }
            None if root.is_complete => {
                reader.at_key("format", |reader| reader.report(expected, "nothing"));
            }
            None => {}
        }
        let newest = self.version();
        let found = take(root, "version");
        let version = match &found {
            Some(Json::Number(number)) => crate::decimal::scaled(number, 0).ok(),
            _ => None,
        };
        match (version, found) {
            (Some(version), _) if version > 0 => {
                let version = usize::try_from(version).unwrap_or(usize::MAX);
                if version > newest {
                    reader.at_key("version", |reader| {
                        reader.report(
                            format!("at most version {newest}, the newest this one reads"),
                            format!("a file written by a newer version, {version}"),
                        );
                    });
                    return None;
                }
                for migration in self.migrations.iter().skip(version - 1) {
                    migration(root);
                }
            }
            (_, Some(other)) => reader.at_key("version", |reader| {
                reader.mismatch(&format!("a whole number from 1 to {newest}"), &other);
            }),
            (_, None) if root.is_complete => reader.at_key("version", |reader| {
                reader.report(format!("a whole number from 1 to {newest}"), "nothing");
            }),
            (_, None) => {}
        }
        Some(())
    }
}

/// The part of the bytes that is text, and whether that is all of them; a byte order mark is left out.
fn readable_text(bytes: &[u8]) -> (&str, bool) {
    let (text, is_utf8) = match std::str::from_utf8(bytes) {
        Ok(text) => (text, true),
        Err(error) => {
            let valid = bytes.get(..error.valid_up_to()).unwrap_or_default();
            (std::str::from_utf8(valid).unwrap_or_default(), false)
        }
    };
    (text.strip_prefix('\u{feff}').unwrap_or(text), is_utf8)
}

fn report_fault(fault: &Fault, is_cut_at_bad_byte: bool, reader: &mut Reader) {
    let place = format!("line {}, column {}", fault.line, fault.column);
    let is_at_cut = is_cut_at_bad_byte && fault.found == json::END_OF_FILE;
    reader.at_key(&place, |reader| {
        if is_at_cut {
            reader.report("text in UTF-8", "another byte");
        } else {
            reader.report(fault.expected.clone(), fault.found.clone());
        }
    });
}

fn take<'text>(object: &mut Object<'text>, key: &str) -> Option<Json<'text>> {
    let index = object.members.iter().position(|(name, _)| name == key)?;
    Some(object.members.remove(index).1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rename_title(root: &mut Object<'_>) {
        for (key, _) in &mut root.members {
            if key == "title" {
                *key = Cow::Borrowed("name");
            }
        }
    }

    const FAKE: Kind = Kind {
        format: "fake",
        name: "a fake file",
        migrations: &[rename_title],
    };

    fn read(text: &str) -> (Option<String>, Vec<String>) {
        let mut reader = Reader::default();
        let content = FAKE.read(text.as_bytes(), &mut reader, |node, _| {
            Some(json::print(node))
        });
        let (problems, _) = reader.into_problems();
        (content, problems.iter().map(ToString::to_string).collect())
    }

    #[test]
    fn an_older_version_is_brought_to_the_present_one() {
        let (content, problems) = read(r#"{"format": "fake", "version": 1, "title": "a"}"#);
        assert_eq!(content.as_deref(), Some("{\"name\": \"a\"}\n"));
        assert!(problems.is_empty());
    }

    #[test]
    fn the_present_version_is_left_as_it_is() {
        let (content, problems) = read(r#"{"format": "fake", "version": 2, "title": "a"}"#);
        assert_eq!(content.as_deref(), Some("{\"title\": \"a\"}\n"));
        assert!(problems.is_empty());
    }

    #[test]
    fn a_newer_version_is_refused_by_name() {
        let (content, problems) = read(r#"{"format": "fake", "version": 3}"#);
        assert_eq!(content, None);
        assert_eq!(
            problems,
            [
                "version: found a file written by a newer version, 3, expected at most version 2, the newest this one reads"
            ]
        );
    }

    #[test]
    fn what_is_written_is_read() {
        let text = FAKE.write(Json::Object(Object::of(Vec::new())));
        assert_eq!(read(&text), (Some("{}\n".into()), Vec::new()));
    }
}
