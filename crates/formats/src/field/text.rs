//! Texts for people: names, which are bounded, and notes.
//!
//! Invariant: an absent text is empty, and a wrong one is reported without losing what it belongs to.

use super::Field;
use crate::json::Json;
use crate::reader::Reader;
use crate::schema::{Definitions, members};

/// Most letters of a name; past it a page shows nothing else (our own choice).
pub const MOST_LETTERS: usize = 1_000;

macro_rules! texts {
    ($($(#[$about:meta])* $name:ident, $most:expr;)*) => {$(
        $(#[$about])*
        #[derive(Clone, Debug)]
        pub(crate) struct $name(pub(crate) String);

        impl Field for $name {
            fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
                Some(Self(read(node, $most, reader)))
            }

            fn absent() -> Option<Self> {
                Some(Self(String::new()))
            }

            fn is_omitted(&self) -> bool {
                self.0.is_empty()
            }

            fn to_json(&self) -> Json<'static> {
                self.0.to_json()
            }

            fn schema(_: &mut Definitions) -> Json<'static> {
                let most = $most.map(|most: usize| ("maxLength", Json::number(most)));
                members([("type", Json::text("string"))].into_iter().chain(most).collect())
            }
        }
    )*};
}

texts! {
    /// A name, a label, a reason.
    Words, Some(MOST_LETTERS);
    /// Notes of any length.
    Notes, None;
}

fn read(node: &Json<'_>, most: Option<usize>, reader: &mut Reader) -> String {
    let mut words = String::read(node, reader).unwrap_or_default();
    let cut = most.and_then(|most| Some((most, words.char_indices().nth(most)?.0)));
    if let Some((most, end)) = cut {
        reader.report(
            format!("at most {most} letters"),
            format!("{} letters", words.chars().count()),
        );
        words.truncate(end);
    }
    words
}
