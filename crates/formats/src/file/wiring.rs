//! Supply, fuses, outputs, wires and clocks in a file.

use crate::field::{Charge, CrossSection, Either, Stored, Words, object, words};
use crate::reader::Reader;
use lampwright_model::{
    Battery, Clock, ClockId, Fuse, FuseId, Milliamps, Millimeters, Millivolts, Output, OutputId,
    Return, Supply, Wire, WireSize,
};

object! {
    /// What feeds the lamps.
    Whole struct SupplyFile {
        /// Voltage the lamps' currents are stated at, in volts, from 1 to 100; 12.8 when absent.
        "test_voltage_v" test_voltage: Option<Millivolts>,
        /// Alternator current hot at idle, in amperes.
        "alternator_idle_a" alternator_idle: Option<Milliamps>,
        /// Alternator current at driving speed, in amperes.
        "alternator_speed_a" alternator_speed: Option<Milliamps>,
        /// Mean current of everything else that runs at idle, in amperes; 0 when absent.
        "other_load_a" other_load: Option<Milliamps>,
        /// Battery, for engine-off time.
        "battery" battery: Option<Battery>,
    }
}

object! {
    /// How the battery's size is known.
    Strict struct BatteryFile one of ["reserve_minutes", "amp_hours"] {
        /// Reserve capacity at 25 A, in minutes.
        "reserve_minutes" reserve: Option<u32>,
        /// Rated charge, in ampere-hours.
        "amp_hours" charge: Option<Charge>,
    }
}

object! {
    /// A fuse.
    Strict struct FuseFile {
        /// Identifier, unique among the fuses.
        "id" id: FuseId,
        /// What it is called on the fuse panel.
        "label" label: Words,
        /// Rated current, in amperes, above 0.
        "rating_a" rating: Milliamps,
    }
}

object! {
    /// One switched, fused line of the controller.
    Lenient struct OutputFile {
        /// Identifier, unique among the outputs.
        "id" id: OutputId,
        /// What it is called on the controller.
        "label" label: Words,
        /// Largest continuous current, in amperes, above 0.
        "rating_a" rating: Milliamps,
        /// The fuse it is fed through.
        "fuse" fuse: Option<FuseId>,
        /// The wire to its heads.
        "wire" wire: Option<Wire>,
        /// True when several emitters of one head may share it; false when absent.
        "shared_within_head" is_shared: Option<bool>,
    }
}

object! {
    /// The wire from an output to its heads.
    Strict struct WireFile one of ["gauge_awg", "area_mm2"] {
        /// American wire gauge number, from -3 (4/0) to 40.
        "gauge_awg" gauge: Option<i8>,
        /// Cross-section in square millimeters, above 0.
        "area_mm2" area: Option<CrossSection>,
        /// One-way length, in meters.
        "length_m" length: Millimeters,
        /// How the current comes back: a wire of the same size and length, or the body.
        "return" return_path: Return,
    }
}

/// A return path that needs no number.
#[derive(Clone, Copy, Debug)]
pub(crate) enum PlainReturn {
    Wire,
}

object! {
    /// Return through the body.
    Strict struct ChassisFile {
        /// Its resistance, in whole milliohms.
        "chassis_mohm" resistance: u32,
    }
}

object! {
    /// A clock of its own, other than the controller's.
    Strict struct ClockFile {
        /// Identifier, unique among the clocks.
        "id" id: ClockId,
        /// What it is.
        "label" label: Words,
        /// Largest error of its rate, in parts per million.
        "tolerance_ppm" tolerance_ppm: u32,
    }
}

words! {
    PlainReturn {
        "wire" = PlainReturn::Wire,
    }
}

impl Stored for Supply {
    type File = SupplyFile;

    fn from_file(file: SupplyFile, _: &mut Reader) -> Option<Self> {
        let usual = Self::default();
        Some(Self {
            test_voltage: file.test_voltage.unwrap_or(usual.test_voltage),
            alternator_idle: file.alternator_idle,
            alternator_speed: file.alternator_speed,
            other_load: file.other_load.unwrap_or(usual.other_load),
            battery: file.battery,
        })
    }

    fn to_file(&self) -> SupplyFile {
        let usual = Self::default();
        SupplyFile {
            test_voltage: Some(self.test_voltage),
            alternator_idle: self.alternator_idle,
            alternator_speed: self.alternator_speed,
            other_load: (self.other_load != usual.other_load).then_some(self.other_load),
            battery: self.battery,
        }
    }
}

impl Stored for Battery {
    type File = BatteryFile;

    fn from_file(file: BatteryFile, _: &mut Reader) -> Option<Self> {
        file.reserve
            .map(Self::ReserveMinutes)
            .or(file.charge.map(|charge| Self::MilliampHours(charge.0)))
    }

    fn to_file(&self) -> BatteryFile {
        let (reserve, charge) = match self {
            Self::ReserveMinutes(minutes) => (Some(*minutes), None),
            Self::MilliampHours(charge) => (None, Some(Charge(*charge))),
        };
        BatteryFile { reserve, charge }
    }
}

impl Stored for Fuse {
    type File = FuseFile;

    fn from_file(file: FuseFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            id: file.id,
            label: file.label.0,
            rating: file.rating,
        })
    }

    fn to_file(&self) -> FuseFile {
        FuseFile {
            id: self.id.clone(),
            label: Words(self.label.clone()),
            rating: self.rating,
        }
    }
}

impl Stored for Output {
    type File = OutputFile;

    fn from_file(file: OutputFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            id: file.id,
            label: file.label.0,
            rating: file.rating,
            fuse: file.fuse,
            wire: file.wire,
            is_shared_within_head: file.is_shared.unwrap_or(false),
        })
    }

    fn to_file(&self) -> OutputFile {
        OutputFile {
            id: self.id.clone(),
            label: Words(self.label.clone()),
            rating: self.rating,
            fuse: self.fuse.clone(),
            wire: self.wire,
            is_shared: self.is_shared_within_head.then_some(true),
        }
    }
}

impl Stored for Wire {
    type File = WireFile;

    fn from_file(file: WireFile, _: &mut Reader) -> Option<Self> {
        let gauge = file.gauge.map(WireSize::Gauge);
        let area = file.area.map(|area| WireSize::ThousandthsMm2(area.0));
        Some(Self {
            size: gauge.or(area)?,
            length: file.length,
            return_path: file.return_path,
        })
    }

    fn to_file(&self) -> WireFile {
        let (gauge, area) = match self.size {
            WireSize::Gauge(gauge) => (Some(gauge), None),
            WireSize::ThousandthsMm2(area) => (None, Some(CrossSection(area))),
        };
        WireFile {
            gauge,
            area,
            length: self.length,
            return_path: self.return_path,
        }
    }
}

impl Stored for Return {
    type File = Either<PlainReturn, ChassisFile>;

    fn from_file(file: Self::File, _: &mut Reader) -> Option<Self> {
        Some(match file {
            Either::Word(PlainReturn::Wire) => Self::Wire,
            Either::Object(chassis) => Self::Chassis(chassis.resistance),
        })
    }

    fn to_file(&self) -> Self::File {
        match self {
            Self::Wire => Either::Word(PlainReturn::Wire),
            Self::Chassis(resistance) => Either::Object(ChassisFile {
                resistance: *resistance,
            }),
        }
    }
}

impl Stored for Clock {
    type File = ClockFile;

    fn from_file(file: ClockFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            id: file.id,
            label: file.label.0,
            tolerance_ppm: file.tolerance_ppm,
        })
    }

    fn to_file(&self) -> ClockFile {
        ClockFile {
            id: self.id.clone(),
            label: Words(self.label.clone()),
            tolerance_ppm: self.tolerance_ppm,
        }
    }
}
