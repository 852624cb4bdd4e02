//! The figures a safety officer may set, with their defaults, and what differs from them.
//!
//! Invariant: any value gives a defined result; nothing here reads a clock or a file.
//! The figures fixed by a publication (10 %, 80 %, 20 and 160 cd/m2, 0.8, 0.2, one second) are
//! constants beside the code that uses them and cannot be set.

use core::fmt;

/// The figures of the screening that are a proposal of this project and may be set.
///
/// Every report has to log [`Settings::changes`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settings {
    /// Onsets of different clusters within this many seconds are one onset; 1/30 s, inclusive.
    pub merge_seconds: Ratio,
    /// A cluster counts when its own peak is at least this share of the reference; 1/10.
    pub cluster_share: Ratio,
    /// Below this share of the reference a state has the color of the adapting white; 1/100.
    pub dark_share: Ratio,
    /// The largest count that is still HIGH; 9. PEAK begins above it.
    pub high_up_to: u32,
    /// Bands added when red flashes more than three times in a second; 1.
    pub red_step_bands: u8,
    /// Bands added for a burst inside a train above three in a second; 1.
    pub burst_step_bands: u8,
    /// The local rate, in Hz, from which a burst counts as one; 10.
    pub burst_from_hz: u32,
    /// Timing tolerance of the hardware as a share of one second; 2/100.
    pub timing_tolerance: Ratio,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            merge_seconds: Ratio { num: 1, den: 30 },
            cluster_share: Ratio { num: 1, den: 10 },
            dark_share: Ratio { num: 1, den: 100 },
            high_up_to: 9,
            red_step_bands: 1,
            burst_step_bands: 1,
            burst_from_hz: 10,
            timing_tolerance: Ratio { num: 2, den: 100 },
        }
    }
}

/// One figure that was set to something other than its default.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SettingChange {
    /// What the figure is, with its unit.
    pub name: &'static str,
    /// The value in use.
    pub value: String,
    /// The default it replaces.
    pub default: String,
}

impl Settings {
    /// The figures that differ from the defaults, in the order of the fields.
    #[must_use]
    pub fn changes(&self) -> Vec<SettingChange> {
        let default = Self::default();
        let mut changes = Vec::new();
        let mut note = |name, value: String, default: String| {
            if value != default {
                changes.push(SettingChange {
                    name,
                    value,
                    default,
                });
            }
        };
        let mut ratio =
            |name, value: Ratio, default: Ratio| note(name, value.to_string(), default.to_string());
        ratio(
            "onsets merged within, s",
            self.merge_seconds,
            default.merge_seconds,
        );
        ratio(
            "least share of a cluster",
            self.cluster_share,
            default.cluster_share,
        );
        ratio(
            "share below which a state is dark",
            self.dark_share,
            default.dark_share,
        );
        ratio(
            "timing tolerance, share of 1 s",
            self.timing_tolerance,
            default.timing_tolerance,
        );
        let mut number = |name, value: u32, default: u32| {
            note(name, value.to_string(), default.to_string());
        };
        number(
            "largest count still HIGH, per second",
            self.high_up_to,
            default.high_up_to,
        );
        number(
            "bands added for red",
            self.red_step_bands.into(),
            default.red_step_bands.into(),
        );
        number(
            "bands added for a burst",
            self.burst_step_bands.into(),
            default.burst_step_bands.into(),
        );
        number("burst from, Hz", self.burst_from_hz, default.burst_from_hz);
        changes
    }
}

/// A fraction that is not negative: `num` over `den`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ratio {
    num: i64,
    den: i64,
}

impl Ratio {
    /// `num` over `den`; `None` unless `num` is 0 or more and `den` is above 0.
    #[must_use]
    pub const fn new(num: i64, den: i64) -> Option<Self> {
        if num >= 0 && den > 0 {
            Some(Self { num, den })
        } else {
            None
        }
    }

    /// The numerator.
    #[must_use]
    pub const fn num(self) -> i64 {
        self.num
    }

    /// The denominator.
    #[must_use]
    pub const fn den(self) -> i64 {
        self.den
    }

    /// The greatest whole number that is not above this fraction of `whole` (0 or more).
    ///
    /// For a whole number `x`, `x <= floor_of(whole)` is the same as `x / whole <= self`.
    pub(crate) fn floor_of(self, whole: i64) -> i64 {
        saturate(i128::from(self.num) * i128::from(whole) / i128::from(self.den))
    }

    /// The least whole number that is not below this fraction of `whole` (0 or more).
    ///
    /// For a whole number `x`, `x >= ceil_of(whole)` is the same as `x / whole >= self`.
    pub(crate) fn ceil_of(self, whole: i64) -> i64 {
        saturate(ceil_div(
            i128::from(self.num) * i128::from(whole),
            i128::from(self.den),
        ))
    }
}

impl fmt::Display for Ratio {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.num, self.den)
    }
}

/// `num / den` rounded up, for `num` 0 or more and `den` above 0.
pub(crate) const fn ceil_div(num: i128, den: i128) -> i128 {
    (num + den - 1) / den
}

pub(crate) fn saturate(value: i128) -> i64 {
    i64::try_from(value).unwrap_or(i64::MAX)
}
