//! Physical quantities as whole thousandths of the unit a file shows.

use std::fmt;

macro_rules! thousandths {
    ($($(#[$doc:meta])* $name:ident shown $unit:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
        pub struct $name(pub i64);

        impl $name {
            /// The value in the shown unit, for formulas and drawing; exact below 2^53 thousandths.
            #[must_use]
            #[expect(clippy::cast_precision_loss, reason = "quantities stay far below 2^53 thousandths")]
            pub fn in_units(self) -> f64 {
                self.0 as f64 / 1000.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
                let sign = if self.0 < 0 { "-" } else { "" };
                let whole = self.0.unsigned_abs() / 1000;
                let rest = self.0.unsigned_abs() % 1000;
                if rest == 0 {
                    write!(formatter, concat!("{}{} ", $unit), sign, whole)
                } else {
                    let digits = format!("{rest:03}");
                    write!(formatter, concat!("{}{}.{} ", $unit), sign, whole, digits.trim_end_matches('0'))
                }
            }
        }
    )*};
}

thousandths! {
    /// Length or position; a file shows meters.
    Millimeters shown "m";
    /// Angle; a file shows degrees.
    Millidegrees shown "°";
    /// Luminous intensity; a file shows candela.
    Millicandela shown "cd";
    /// Current; a file shows amperes.
    Milliamps shown "A";
    /// Voltage; a file shows volts.
    Millivolts shown "V";
}

/// A value together with whether someone stated it or a neutral default stands in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Stated<T> {
    /// The value to use.
    pub value: T,
    /// True when a default stands in for a value nobody entered; shown as "assumed".
    pub is_assumed: bool,
}

impl<T> Stated<T> {
    /// The entered value, or the default marked as assumed.
    pub fn or_assumed(entered: Option<T>, default: T) -> Self {
        match entered {
            Some(value) => Self {
                value,
                is_assumed: false,
            },
            None => Self {
                value: default,
                is_assumed: true,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shown_in_the_unit_of_the_file() {
        assert_eq!(Milliamps(1250).to_string(), "1.25 A");
        assert_eq!(Millimeters(-400).to_string(), "-0.4 m");
        assert_eq!(Millicandela(900_000).to_string(), "900 cd");
    }
}
