//! Keys pressed together, as the browser names them and as they are shown.

use std::fmt;

/// Keys pressed together.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Chord {
    /// Key as the browser names it, letters in lower case: "z", "ArrowLeft", " ".
    pub key: &'static str,
    /// Control, or Command.
    pub ctrl: bool,
    /// Shift; of no account for signs that need it on some keyboards.
    pub shift: bool,
    /// Alt.
    pub alt: bool,
}

impl Chord {
    pub(super) const fn plain(key: &'static str) -> Self {
        Self {
            key,
            ctrl: false,
            shift: false,
            alt: false,
        }
    }

    pub(super) const fn ctrl(key: &'static str) -> Self {
        Self {
            ctrl: true,
            ..Self::plain(key)
        }
    }

    pub(super) const fn shift(key: &'static str) -> Self {
        Self {
            shift: true,
            ..Self::plain(key)
        }
    }

    pub(super) const fn ctrl_shift(key: &'static str) -> Self {
        Self {
            ctrl: true,
            ..Self::shift(key)
        }
    }

    pub(super) const fn alt(key: &'static str) -> Self {
        Self {
            alt: true,
            ..Self::plain(key)
        }
    }

    /// Whether these keys are the ones pressed.
    #[must_use]
    pub fn is(&self, key: &str, ctrl: bool, shift: bool, alt: bool) -> bool {
        let is_sign = self.key.len() == 1
            && !self
                .key
                .bytes()
                .all(|key| key.is_ascii_alphanumeric() || key == b' ');
        self.key.eq_ignore_ascii_case(key)
            && self.ctrl == ctrl
            && (self.shift == shift || is_sign)
            && self.alt == alt
    }
}

/// As people read it: "Ctrl+Shift+Z".
impl fmt::Display for Chord {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (is_held, name) in [
            (self.ctrl, "Ctrl+"),
            (self.alt, "Alt+"),
            (self.shift, "Shift+"),
        ] {
            if is_held {
                formatter.write_str(name)?;
            }
        }
        match self.key {
            " " => formatter.write_str("Space"),
            "ArrowLeft" => formatter.write_str("Left"),
            "ArrowRight" => formatter.write_str("Right"),
            "ArrowUp" => formatter.write_str("Up"),
            "ArrowDown" => formatter.write_str("Down"),
            key if key.len() == 1 => formatter.write_str(&key.to_ascii_uppercase()),
            key => formatter.write_str(key),
        }
    }
}
