//! The vehicle: heads and what feeds them.
//!
//! Axes are those of ISO 8855: x forward, y left, z up; angles counterclockwise from forward.
//! Left and right are the vehicle's own.

use crate::{
    Chromaticity, ClockId, Color, FuseId, GroupId, HeadId, Milliamps, Millicandela, Millidegrees,
    Millimeters, Millivolts, OutputId, Stated,
};

/// A vehicle with its lamp heads and wiring.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Vehicle {
    /// Name the agency uses.
    pub name: String,
    /// Outer size, for drawing.
    pub outline: Outline,
    /// What feeds the lamps.
    pub supply: Supply,
    /// Lamp heads, in the order they are listed.
    pub heads: Vec<Head>,
    /// Outputs of the controller.
    pub outputs: Vec<Output>,
    /// Fuses.
    pub fuses: Vec<Fuse>,
    /// Clocks other than the controller's own.
    pub clocks: Vec<Clock>,
    /// Named sets of heads.
    pub groups: Vec<Group>,
}

/// Length and width of the vehicle; the origin is the middle of its footprint on the ground.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Outline {
    /// Front to rear.
    pub length: Millimeters,
    /// Side to side without mirrors.
    pub width: Millimeters,
    /// Ground to roof.
    pub height: Millimeters,
}

impl Default for Outline {
    fn default() -> Self {
        Self {
            length: Millimeters(5200),
            width: Millimeters(2000),
            height: Millimeters(2200),
        }
    }
}

/// What feeds the lamps.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Supply {
    /// Voltage the lamps' currents are stated at; 12.8 V is the usual warning-lamp test voltage of a 12 V system (second-hand: SAE J1318 as summarized by a test laboratory).
    pub test_voltage: Millivolts,
    /// Alternator current hot at idle.
    pub alternator_idle: Option<Milliamps>,
    /// Alternator current at driving speed.
    pub alternator_speed: Option<Milliamps>,
    /// Mean current of everything else that runs at idle.
    pub other_load: Milliamps,
    /// Battery, for engine-off time.
    pub battery: Option<Battery>,
}

impl Default for Supply {
    fn default() -> Self {
        Self {
            test_voltage: Millivolts(12_800),
            alternator_idle: None,
            alternator_speed: None,
            other_load: Milliamps(0),
            battery: None,
        }
    }
}

/// How the battery's size is known.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Battery {
    /// Reserve capacity in minutes at 25 A.
    ReserveMinutes(u32),
    /// Rated charge in thousandths of an ampere-hour.
    MilliampHours(i64),
}

/// One lamp housing at a place on the vehicle, facing a direction.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Head {
    /// Identifier.
    pub id: HeadId,
    /// What the agency calls it.
    pub label: String,
    /// Forward of the middle.
    pub x: Millimeters,
    /// Left of the middle.
    pub y: Millimeters,
    /// Above the ground.
    pub z: Millimeters,
    /// Direction of the beam axis, counterclockwise from forward.
    pub facing: Millidegrees,
    /// Shape of the beam; none means the assumed neutral one.
    pub beam: Option<Beam>,
    /// Emitters, each of another color.
    pub emitters: Vec<Emitter>,
    /// The clock it runs on; none is the controller's.
    pub clock: Option<ClockId>,
    /// Free words that groups can select by.
    pub tags: Vec<String>,
}

impl Head {
    /// The sector its beam axis points to: four 90-degree sectors split at 45 degrees, a split belongs to front or rear.
    #[must_use]
    pub fn zone(&self) -> Zone {
        match self.facing.0.rem_euclid(360_000) {
            0..=45_000 | 315_000.. => Zone::A,
            45_001..135_000 => Zone::D,
            135_000..=225_000 => Zone::C,
            _ => Zone::B,
        }
    }

    /// Which half of the vehicle it sits on; within 50 mm of the middle is neither.
    #[must_use]
    pub fn side(&self) -> Side {
        match self.y.0 {
            51.. => Side::Left,
            ..=-51 => Side::Right,
            _ => Side::Center,
        }
    }

    /// The emitter of a color.
    #[must_use]
    pub fn emitter(&self, color: Color) -> Option<&Emitter> {
        self.emitters.iter().find(|emitter| emitter.color == color)
    }

    /// The beam, or the neutral default of 20 by 5 degrees half-angles at half peak (our own choice).
    #[must_use]
    pub fn beam_or_assumed(&self) -> Stated<Beam> {
        Stated::or_assumed(
            self.beam.clone(),
            Beam::HalfPeak {
                horizontal: Millidegrees(20_000),
                vertical: Millidegrees(5_000),
            },
        )
    }
}

/// The sector a beam axis points to.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Zone {
    /// Front.
    A,
    /// Right.
    B,
    /// Rear.
    C,
    /// Left.
    D,
}

impl Zone {
    /// All zones in order.
    pub const ALL: [Self; 4] = [Self::A, Self::B, Self::C, Self::D];

    /// Letter and plain word: "A front".
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::A => "A front",
            Self::B => "B right",
            Self::C => "C rear",
            Self::D => "D left",
        }
    }
}

/// Half of the vehicle, its own left and right.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Side {
    /// The vehicle's left, y above zero.
    Left,
    /// Within 50 mm of the middle.
    Center,
    /// The vehicle's right, y below zero.
    Right,
}

impl Side {
    /// The plain word.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Center => "center",
            Self::Right => "right",
        }
    }
}

/// Shape of a beam around its axis.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Beam {
    /// Half-angles at which the intensity is half the peak, left-right and up-down.
    HalfPeak {
        /// Left or right of the axis.
        horizontal: Millidegrees,
        /// Above or below the axis.
        vertical: Millidegrees,
    },
    /// Measured fractions of the peak, per mille, against the horizontal angle from the axis (left above zero); straight lines between, zero outside.
    Table {
        /// Angle and per mille of the peak, angles rising.
        horizontal: Vec<(Millidegrees, u16)>,
        /// Half-angle at half peak above or below the axis.
        vertical: Millidegrees,
    },
    /// The same all round the vertical axis.
    AllRound {
        /// Half-angle at half peak above or below the axis.
        vertical: Millidegrees,
    },
}

/// One color inside a head.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Emitter {
    /// Color; a head has at most one emitter of each.
    pub color: Color,
    /// Measured chromaticity; none means the color's default.
    pub chromaticity: Option<Chromaticity>,
    /// Peak intensity on the axis at full level.
    pub peak: Option<Millicandela>,
    /// Current at full level at the test voltage.
    pub full_current: Option<Milliamps>,
    /// How the current follows the voltage.
    pub current_law: CurrentLaw,
    /// How it is dimmed.
    pub dimming: Dimming,
    /// The output that drives it.
    pub output: Option<OutputId>,
}

impl Emitter {
    /// An emitter of a color with nothing else stated.
    #[must_use]
    pub fn of(color: Color) -> Self {
        Self {
            color,
            chromaticity: None,
            peak: None,
            full_current: None,
            current_law: CurrentLaw::ConstantPower,
            dimming: Dimming::Linear,
            output: None,
        }
    }

    /// Peak intensity, or a neutral head's: six emitters at 350 mA behind a 20 by 5 degree optic (calculated from remembered lamp data, order of magnitude only).
    #[must_use]
    pub fn peak_or_assumed(&self) -> Stated<Millicandela> {
        let candela = match self.color {
            Color::Red => 1384,
            Color::Amber => 1153,
            Color::Green => 1200,
            Color::Blue => 953,
            Color::White => 4283,
        };
        Stated::or_assumed(self.peak, Millicandela(candela * 1000))
    }

    /// Current at full level, or a neutral head's at 12.8 V with a driver of 85 % efficiency (calculated from remembered lamp data, order of magnitude only).
    #[must_use]
    pub fn full_current_or_assumed(&self) -> Stated<Milliamps> {
        let milliamps = match self.color {
            Color::Red | Color::Amber => 405,
            Color::Green | Color::Blue => 598,
            Color::White => 579,
        };
        Stated::or_assumed(self.full_current, Milliamps(milliamps))
    }

    /// Chromaticity, or the color's default.
    #[must_use]
    pub fn chromaticity_or_assumed(&self) -> Stated<Chromaticity> {
        Stated::or_assumed(self.chromaticity, self.color.default_chromaticity())
    }
}

/// How current follows supply voltage.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum CurrentLaw {
    /// Switching driver: current falls as voltage rises.
    ConstantPower,
    /// Resistor or filament-like: current rises with voltage.
    Resistive,
    /// Linear driver: current does not change.
    ConstantCurrent,
}

/// How an emitter is dimmed.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Dimming {
    /// The current itself is reduced.
    Linear,
    /// Full current is switched on and off at this many hertz.
    Carrier(u32),
}

/// One switched, fused line of the controller.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Output {
    /// Identifier.
    pub id: OutputId,
    /// What it is called on the controller.
    pub label: String,
    /// Largest continuous current.
    pub rating: Milliamps,
    /// The fuse it is fed through.
    pub fuse: Option<FuseId>,
    /// The wire to its heads.
    pub wire: Option<Wire>,
    /// States that several emitters of one head may share this output.
    pub is_shared_within_head: bool,
}

/// A fuse.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fuse {
    /// Identifier.
    pub id: FuseId,
    /// What it is called on the fuse panel.
    pub label: String,
    /// Rated current.
    pub rating: Milliamps,
}

/// The wire from an output to its heads.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Wire {
    /// Conductor size; gauge and square millimeters are never converted into each other.
    pub size: WireSize,
    /// One-way length.
    pub length: Millimeters,
    /// How the current comes back.
    pub return_path: Return,
}

/// Conductor size.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum WireSize {
    /// American wire gauge number; 0 is 1/0, -1 is 2/0.
    Gauge(i8),
    /// Cross-section in thousandths of a square millimeter.
    ThousandthsMm2(u32),
}

/// How the current comes back.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Return {
    /// A wire of the same size and length.
    Wire,
    /// The body, with this resistance in milliohms.
    Chassis(u32),
}

/// A clock of its own, other than the controller's.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Clock {
    /// Identifier.
    pub id: ClockId,
    /// What it is.
    pub label: String,
    /// Largest error of its rate in parts per million.
    pub tolerance_ppm: u32,
}

/// A named set of heads.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Group {
    /// Identifier.
    pub id: GroupId,
    /// What the agency calls it.
    pub label: String,
    /// Who is in it.
    pub members: GroupMembers,
}

/// Members of a group: by list, or by what they have in common.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum GroupMembers {
    /// These heads, in this order.
    List(Vec<HeadId>),
    /// Every head for which all the given conditions hold.
    Where {
        /// Sector the beam points to.
        zone: Option<Zone>,
        /// Half of the vehicle.
        side: Option<Side>,
        /// Has an emitter of this color.
        color: Option<Color>,
        /// Carries this tag.
        tag: Option<String>,
    },
}

impl Group {
    /// Whether the head belongs to the group.
    #[must_use]
    pub fn contains(&self, head: &Head) -> bool {
        match &self.members {
            GroupMembers::List(heads) => heads.contains(&head.id),
            GroupMembers::Where {
                zone,
                side,
                color,
                tag,
            } => {
                zone.is_none_or(|zone| head.zone() == zone)
                    && side.is_none_or(|side| head.side() == side)
                    && color.is_none_or(|color| head.emitter(color).is_some())
                    && tag.as_ref().is_none_or(|tag| head.tags.contains(tag))
            }
        }
    }
}
