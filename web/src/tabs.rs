//! Which other tabs of this browser have the same program open.
//!
//! Tabs tell one another through a key of the browser's storage, whose changes reach every other tab; the one that had the program open first keeps it.
//!
//! Invariant: nothing here decides what is written; a tab that is not heard of is found out when it has written, by the text it left.

use crate::platform::storage;
use std::cell::Cell;

/// Key that carries the last message.
pub(crate) const HAIL: &str = "lampwright.hail";

/// What this tab knows of the others.
#[derive(Debug, Default)]
pub(crate) struct Tabs {
    /// Since when this tab has its program open: microseconds, the last three digits by chance.
    since: Cell<u64>,
    n_sent: Cell<u64>,
    /// Since when another tab has the same program open.
    other: Cell<Option<u64>>,
    /// The other tab was asked whether it is still there, and has not answered.
    is_asked: Cell<bool>,
}

impl Tabs {
    /// Tells the others that a program is open here from now on.
    pub(crate) fn enter(&self, slot: &str) {
        let since = js_sys::Date::now() * 1000.0 + js_sys::Math::random() * 1000.0;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "microseconds since 1970"
        )]
        self.since.set(since as u64);
        self.other.set(None);
        self.is_asked.set(false);
        self.say("open", slot);
    }

    /// Tells the others that the program is no longer open here.
    pub(crate) fn leave(&self, slot: &str) {
        self.other.set(None);
        self.say("gone", slot);
    }

    /// Hears a message about the program that is open here; whether it brought news.
    pub(crate) fn hear(&self, message: &str, slot: &str) -> bool {
        let mut parts = message.splitn(4, '\t');
        let (Some(word), Some(since)) = (parts.next(), parts.next()) else {
            return false;
        };
        let Ok(since) = since.parse::<u64>() else {
            return false;
        };
        if parts.nth(1) != Some(slot) {
            return false;
        }
        let known = self.other.get();
        match word {
            "gone" => {
                self.other.set(None);
                // Whoever is left answers.
                self.say("open", slot);
            }
            _ => {
                self.is_asked.set(false);
                self.other
                    .set(Some(known.map_or(since, |known| known.min(since))));
                if word == "open" {
                    self.say("here", slot);
                }
            }
        }
        self.other.get() != known
    }

    /// Asks whether the other tab is still there, since one that was killed says nothing; whether it did not answer the last time.
    pub(crate) fn ask(&self, slot: &str) -> bool {
        let is_gone = self.is_asked.replace(true);
        if is_gone {
            self.other.set(None);
        }
        self.say("open", slot);
        is_gone
    }

    /// Whether another tab has the program open.
    pub(crate) fn has_other(&self) -> bool {
        self.other.get().is_some()
    }

    /// Whether another tab had the program open first.
    pub(crate) fn is_second(&self) -> bool {
        self.other
            .get()
            .is_some_and(|other| other < self.since.get())
    }

    fn say(&self, word: &str, slot: &str) {
        // Numbered, since only a change of the text reaches the others.
        let number = self.n_sent.get() + 1;
        self.n_sent.set(number);
        let since = self.since.get();
        // Unheard where storage is blocked, where no tab keeps anything either.
        let _ = storage::write(HAIL, &format!("{word}\t{since}\t{number}\t{slot}"));
    }
}
