//! Identifiers: short texts, one type per kind of thing, cheap to clone.

use std::borrow::Borrow;
use std::fmt;
use std::sync::Arc;

/// A text that cannot be an identifier.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct BadId(pub String);

impl fmt::Display for BadId {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            formatter,
            "\"{}\" is no id: 1 to 64 letters, digits, '-', '_' or '.' wanted",
            self.0
        )
    }
}

impl std::error::Error for BadId {}

fn is_id(text: &str) -> bool {
    (1..=64).contains(&text.len())
        && text
            .bytes()
            .all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_' | b'.'))
}

/// The text of an identifier of any kind.
#[inline(never)]
fn id(text: &str) -> Result<Arc<str>, BadId> {
    if is_id(text) {
        Ok(text.into())
    } else {
        Err(BadId(text.chars().take(80).collect()))
    }
}

macro_rules! identifiers {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(Arc<str>);

        impl $name {
            /// An identifier of 1 to 64 ASCII letters, digits, `-`, `_` or `.`.
            ///
            /// # Errors
            /// When the text is anything else.
            pub fn new(text: &str) -> Result<Self, BadId> {
                id(text).map(Self)
            }

            /// The text.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
                formatter.write_str(&self.0)
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(formatter, "{:?}", &*self.0)
            }
        }

        impl Borrow<str> for $name {
            fn borrow(&self) -> &str {
                &self.0
            }
        }

        impl std::str::FromStr for $name {
            type Err = BadId;
            fn from_str(text: &str) -> Result<Self, BadId> {
                Self::new(text)
            }
        }
    )*};
}

identifiers! {
    /// A head of the vehicle.
    HeadId;
    /// An output of the controller.
    OutputId;
    /// A fuse.
    FuseId;
    /// A clock that heads run on.
    ClockId;
    /// A pattern.
    PatternId;
    /// The role of a lane within its pattern ("left", "right", "1").
    RoleId;
    /// A named set of heads.
    GroupId;
    /// A signal.
    SignalId;
    /// One value of a signal.
    ValueId;
    /// A control in front of the operator.
    ControlId;
    /// A layer or a dim layer; the two share one space of identifiers.
    LayerId;
    /// A situation.
    SituationId;
    /// A guarantee.
    GuaranteeId;
}

/// The code of a rule, shown as `LW021`; never reused.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct RuleCode(pub u16);

impl fmt::Display for RuleCode {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "LW{:03}", self.0)
    }
}

impl std::str::FromStr for RuleCode {
    type Err = BadId;
    fn from_str(text: &str) -> Result<Self, BadId> {
        let upper = text.trim().to_ascii_uppercase();
        upper
            .strip_prefix("LW")
            .filter(|digits| digits.len() == 3)
            .and_then(|digits| digits.parse().ok())
            .map(Self)
            .ok_or_else(|| BadId(text.chars().take(80).collect()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identifiers_are_short_plain_texts() {
        assert!(HeadId::new("roof-front-left.2").is_ok());
        assert!(HeadId::new("").is_err());
        assert!(HeadId::new("a b").is_err());
        assert!(HeadId::new(&"x".repeat(65)).is_err());
    }

    #[test]
    fn rule_codes_read_and_print() {
        assert_eq!("lw021".parse(), Ok(RuleCode(21)));
        assert_eq!(RuleCode(21).to_string(), "LW021");
        assert!("LW21".parse::<RuleCode>().is_err());
    }
}
