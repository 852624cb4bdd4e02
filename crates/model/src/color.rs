//! The five colors of light, each with its letter, and chromaticities.

use std::fmt;

/// Color of an emitter; always shown with its letter so that color is never the only cue.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Color {
    /// R
    Red,
    /// B
    Blue,
    /// A
    Amber,
    /// W
    White,
    /// G
    Green,
}

impl Color {
    /// All colors in their fixed order.
    pub const ALL: [Self; 5] = [Self::Red, Self::Blue, Self::Amber, Self::White, Self::Green];

    /// The letter shown beside the color.
    #[must_use]
    pub const fn letter(self) -> char {
        match self {
            Self::Red => 'R',
            Self::Blue => 'B',
            Self::Amber => 'A',
            Self::White => 'W',
            Self::Green => 'G',
        }
    }

    /// The plain word.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Red => "red",
            Self::Blue => "blue",
            Self::Amber => "amber",
            Self::White => "white",
            Self::Green => "green",
        }
    }

    /// The color of a plain word.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|color| color.name() == name)
    }

    /// Chromaticity used where a lamp's own is not given.
    ///
    /// Illustrative values of our own, not from a regulation; white is the daylight point D65.
    #[must_use]
    pub const fn default_chromaticity(self) -> Chromaticity {
        let (x, y) = match self {
            Self::White => (3127, 3290),
            Self::Red => (7000, 2990),
            Self::Amber => (5750, 4240),
            Self::Blue => (1400, 600),
            Self::Green => (1700, 7000),
        };
        Chromaticity { x, y }
    }
}

impl fmt::Display for Color {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.name())
    }
}

/// CIE 1931 chromaticity in ten-thousandths: `x = 0.3127` is 3127.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Chromaticity {
    /// x in ten-thousandths.
    pub x: u16,
    /// y in ten-thousandths, above zero.
    pub y: u16,
}

impl Chromaticity {
    /// A real chromaticity has `y > 0` and `x + y <= 1`.
    #[must_use]
    pub const fn is_possible(self) -> bool {
        self.y > 0 && self.x as u32 + self.y as u32 <= 10_000
    }
}

impl fmt::Display for Chromaticity {
    /// "x 0.3127, y 0.3290".
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let parts = |value: u16| (value / 10_000, format!("{:04}", value % 10_000));
        let ((x, x_rest), (y, y_rest)) = (parts(self.x), parts(self.y));
        write!(formatter, "x {x}.{x_rest}, y {y}.{y_rest}")
    }
}
