//! Drive of an emitter in per mille of full.

use std::fmt;

/// Drive of an emitter, integer per mille of full, `0..=1000`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Level(u16);

/// A level that is not in `0..=1000` per mille.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct LevelOutOfRange(pub i64);

impl Level {
    /// Dark.
    pub const DARK: Self = Self(0);
    /// Full drive, 1000 per mille.
    pub const FULL: Self = Self(1000);

    /// A level in per mille.
    ///
    /// # Errors
    /// When the value is not in `0..=1000`.
    pub const fn new(per_mille: i64) -> Result<Self, LevelOutOfRange> {
        if per_mille >= 0 && per_mille <= 1000 {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "checked to lie in 0..=1000"
            )]
            return Ok(Self(per_mille as u16));
        }
        Err(LevelOutOfRange(per_mille))
    }

    /// The nearest level: values outside `0..=1000` become the nearer end.
    #[must_use]
    pub fn nearest(per_mille: i64) -> Self {
        Self(per_mille.clamp(0, 1000) as u16)
    }

    /// Per mille of full.
    #[must_use]
    pub const fn per_mille(self) -> i64 {
        self.0 as i64
    }
}

impl fmt::Display for Level {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let whole = self.0 / 10;
        match self.0 % 10 {
            0 => write!(formatter, "{whole} %"),
            tenth => write!(formatter, "{whole}.{tenth} %"),
        }
    }
}

impl fmt::Display for LevelOutOfRange {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            formatter,
            "level {} per mille, 0 to 1000 per mille wanted",
            self.0
        )
    }
}

impl std::error::Error for LevelOutOfRange {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ends_are_inside() {
        assert_eq!(Level::new(0), Ok(Level::DARK));
        assert_eq!(Level::new(1000), Ok(Level::FULL));
        assert_eq!(Level::new(1001), Err(LevelOutOfRange(1001)));
        assert_eq!(Level::new(-1), Err(LevelOutOfRange(-1)));
    }

    #[test]
    fn shown_in_percent() {
        assert_eq!(Level::nearest(255).to_string(), "25.5 %");
        assert_eq!(Level::FULL.to_string(), "100 %");
    }
}
