//! The vehicle and its lamp heads in a file; the wiring is in [`wiring`](super::wiring).

use crate::field::{Either, Fraction, Stored, TenThousandths, Things, Words, object, words};
use crate::file::profile::some_items;
use crate::reader::Reader;
use lampwright_model::{
    Beam, Chromaticity, Clock, ClockId, Color, CurrentLaw, Dimming, Emitter, Fuse, Group, GroupId,
    GroupMembers, Head, HeadId, Milliamps, Millicandela, Millidegrees, Millimeters, Outline,
    Output, OutputId, Side, Supply, Vehicle, Zone,
};

object! {
    /// A vehicle with its lamp heads and wiring. Axes: x forward, y left, z up; angles counterclockwise from forward; left and right are the vehicle's own.
    Whole struct VehicleFile {
        /// Name the agency uses.
        "name" name: Words,
        /// Outer size, for drawing.
        "outline" outline: Option<Outline>,
        /// What feeds the lamps.
        "supply" supply: Option<Supply>,
        /// Fuses.
        "fuses" fuses: Things<Fuse>,
        /// Outputs of the controller.
        "outputs" outputs: Things<Output>,
        /// Clocks other than the controller's own.
        "clocks" clocks: Things<Clock>,
        /// Lamp heads.
        "heads" heads: Things<Head>,
        /// Named sets of heads.
        "groups" groups: Things<Group>,
    }
}

object! {
    /// Outer size of the vehicle; the origin is the middle of its footprint on the ground.
    Whole struct OutlineFile {
        /// Front to rear, in meters; 5.2 when absent.
        "length_m" length: Option<Millimeters>,
        /// Side to side without mirrors, in meters; 2 when absent.
        "width_m" width: Option<Millimeters>,
        /// Ground to roof, in meters; 2.2 when absent.
        "height_m" height: Option<Millimeters>,
    }
}

object! {
    /// One lamp housing at a place on the vehicle, facing a direction.
    Lenient struct HeadFile {
        /// Identifier, unique among the heads.
        "id" id: HeadId,
        /// What the agency calls it.
        "label" label: Words,
        /// Forward of the middle, in meters, from -100 to 100.
        "x_m" x: Millimeters,
        /// Left of the middle, in meters, from -100 to 100.
        "y_m" y: Millimeters,
        /// Above the ground, in meters, from -100 to 100.
        "z_m" z: Millimeters,
        /// Direction of the beam axis, in degrees counterclockwise from forward.
        "facing_deg" facing: Millidegrees,
        /// Shape of the beam; an assumed neutral one when absent.
        "beam" beam: Option<Beam>,
        /// Emitters, at least one, each of another color.
        "emitters" emitters: Vec<Emitter>,
        /// The clock it runs on; the controller's when absent.
        "clock" clock: Option<ClockId>,
        /// Free words that groups can select by.
        "tags" tags: Option<Vec<String>>,
    }
}

object! {
    /// Shape of a beam around its axis.
    Strict struct BeamFile one of ["half_peak", "table", "all_round"] {
        /// Known by its half-angles.
        "half_peak" half_peak: Option<HalfPeakFile>,
        /// Measured.
        "table" table: Option<BeamTableFile>,
        /// The same all round the vertical axis.
        "all_round" all_round: Option<AllRoundFile>,
    }
}

object! {
    /// Half-angles at which the intensity is half the peak.
    Strict struct HalfPeakFile {
        /// Left or right of the axis, in degrees, above 0, at most 90.
        "horizontal_deg" horizontal: Millidegrees,
        /// Above or below the axis, in degrees, above 0, at most 90.
        "vertical_deg" vertical: Millidegrees,
    }
}

object! {
    /// Fractions of the peak against the horizontal angle; straight lines between, zero outside.
    Strict struct BeamTableFile {
        /// Two or more points, angles rising.
        "horizontal" horizontal: Vec<BeamPointFile>,
        /// Half-angle at half peak above or below the axis, in degrees, above 0, at most 90.
        "vertical_deg" vertical: Millidegrees,
    }
}

object! {
    /// One measured point of a beam.
    Strict struct BeamPointFile {
        /// Angle from the axis, left above zero, in degrees, from -180 to 180.
        "angle_deg" angle: Millidegrees,
        /// Fraction of the peak.
        "fraction" fraction: Fraction,
    }
}

object! {
    /// A beam that is the same all round the vertical axis.
    Strict struct AllRoundFile {
        /// Half-angle at half peak above or below the axis, in degrees, above 0, at most 90.
        "vertical_deg" vertical: Millidegrees,
    }
}

object! {
    /// One color inside a head.
    Lenient struct EmitterFile {
        /// Color; a head has at most one emitter of each.
        "color" color: Color,
        /// Measured chromaticity; the color's usual one when absent.
        "chromaticity" chromaticity: Option<Chromaticity>,
        /// Peak intensity on the axis at full level, in candela; assumed when absent.
        "peak_cd" peak: Option<Millicandela>,
        /// Current at full level at the test voltage, in amperes; assumed when absent.
        "full_current_a" full_current: Option<Milliamps>,
        /// How the current follows the voltage; constant-power when absent.
        "current_law" current_law: Option<CurrentLaw>,
        /// How it is dimmed; linear when absent.
        "dimming" dimming: Option<Dimming>,
        /// The output that drives it.
        "output" output: Option<OutputId>,
    }
}

object! {
    /// Chromaticity (CIE 1931) with at most four decimals; x + y is at most 1.
    Strict struct ChromaticityFile {
        /// x.
        "x" x: TenThousandths,
        /// y, above 0.
        "y" y: TenThousandths,
    }
}

/// Dimming that needs no number.
#[derive(Clone, Copy, Debug)]
pub(crate) enum PlainDimming {
    Linear,
}

object! {
    /// Dimming by switching full current on and off.
    Strict struct CarrierFile {
        /// How often per second, in hertz, above 0.
        "carrier_hz" carrier: u32,
    }
}

object! {
    /// A named set of heads.
    Strict struct GroupFile one of ["heads", "where"] {
        /// Identifier, unique among the groups.
        "id" id: GroupId,
        /// What the agency calls it.
        "label" label: Words,
        /// These heads, in this order.
        "heads" heads: Option<Vec<HeadId>>,
        /// Every head with all of this in common.
        "where" members: Option<WhereFile>,
    }
}

object! {
    /// What the heads of a group have in common.
    Strict struct WhereFile {
        /// Sector the beam points to: A front, B right, C rear, D left.
        "zone" zone: Option<Zone>,
        /// Half of the vehicle the head sits on.
        "side" side: Option<Side>,
        /// A color it can show.
        "color" color: Option<Color>,
        /// A tag it carries.
        "tag" tag: Option<String>,
    }
}

words! {
    Color {
        "red" = Color::Red,
        "blue" = Color::Blue,
        "amber" = Color::Amber,
        "white" = Color::White,
        "green" = Color::Green,
    }
}

words! {
    CurrentLaw {
        "constant-power" = CurrentLaw::ConstantPower,
        "resistive" = CurrentLaw::Resistive,
        "constant-current" = CurrentLaw::ConstantCurrent,
    }
}

words! {
    PlainDimming {
        "linear" = PlainDimming::Linear,
    }
}

words! {
    Zone {
        "A" = Zone::A,
        "B" = Zone::B,
        "C" = Zone::C,
        "D" = Zone::D,
    }
}

words! {
    Side {
        "left" = Side::Left,
        "center" = Side::Center,
        "right" = Side::Right,
    }
}

impl Stored for Vehicle {
    type File = VehicleFile;

    fn from_file(file: VehicleFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            name: file.name.0,
            outline: file.outline.unwrap_or_default(),
            supply: file.supply.unwrap_or_default(),
            heads: file.heads.0,
            outputs: file.outputs.0,
            fuses: file.fuses.0,
            clocks: file.clocks.0,
            groups: file.groups.0,
        })
    }

    fn to_file(&self) -> VehicleFile {
        VehicleFile {
            name: Words(self.name.clone()),
            outline: Some(self.outline),
            supply: Some(self.supply),
            fuses: Things(self.fuses.clone()),
            outputs: Things(self.outputs.clone()),
            clocks: Things(self.clocks.clone()),
            heads: Things(self.heads.clone()),
            groups: Things(self.groups.clone()),
        }
    }
}

impl Stored for Outline {
    type File = OutlineFile;

    fn from_file(file: OutlineFile, _: &mut Reader) -> Option<Self> {
        let usual = Self::default();
        Some(Self {
            length: file.length.unwrap_or(usual.length),
            width: file.width.unwrap_or(usual.width),
            height: file.height.unwrap_or(usual.height),
        })
    }

    fn to_file(&self) -> OutlineFile {
        OutlineFile {
            length: Some(self.length),
            width: Some(self.width),
            height: Some(self.height),
        }
    }
}

impl Stored for Head {
    type File = HeadFile;
    const MOST: usize = 512;

    fn from_file(file: HeadFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            id: file.id,
            label: file.label.0,
            x: file.x,
            y: file.y,
            z: file.z,
            facing: file.facing,
            beam: file.beam,
            emitters: file.emitters,
            clock: file.clock,
            tags: file.tags.unwrap_or_default(),
        })
    }

    fn to_file(&self) -> HeadFile {
        HeadFile {
            id: self.id.clone(),
            label: Words(self.label.clone()),
            x: self.x,
            y: self.y,
            z: self.z,
            facing: self.facing,
            beam: self.beam.clone(),
            emitters: self.emitters.clone(),
            clock: self.clock.clone(),
            tags: some_items(&self.tags),
        }
    }
}

impl Stored for Beam {
    type File = BeamFile;

    fn from_file(file: BeamFile, _: &mut Reader) -> Option<Self> {
        let half_peak = file.half_peak.map(|beam| Self::HalfPeak {
            horizontal: beam.horizontal,
            vertical: beam.vertical,
        });
        let table = file.table.map(|beam| Self::Table {
            horizontal: beam
                .horizontal
                .iter()
                .map(|point| (point.angle, point.fraction.0))
                .collect(),
            vertical: beam.vertical,
        });
        let all_round = file.all_round.map(|beam| Self::AllRound {
            vertical: beam.vertical,
        });
        half_peak.or(table).or(all_round)
    }

    fn to_file(&self) -> BeamFile {
        let mut file = BeamFile {
            half_peak: None,
            table: None,
            all_round: None,
        };
        match self {
            Self::HalfPeak {
                horizontal,
                vertical,
            } => {
                file.half_peak = Some(HalfPeakFile {
                    horizontal: *horizontal,
                    vertical: *vertical,
                });
            }
            Self::Table {
                horizontal,
                vertical,
            } => {
                file.table = Some(BeamTableFile {
                    horizontal: horizontal
                        .iter()
                        .map(|(angle, fraction)| BeamPointFile {
                            angle: *angle,
                            fraction: Fraction(*fraction),
                        })
                        .collect(),
                    vertical: *vertical,
                });
            }
            Self::AllRound { vertical } => {
                file.all_round = Some(AllRoundFile {
                    vertical: *vertical,
                });
            }
        }
        file
    }
}

impl Stored for Emitter {
    type File = EmitterFile;

    fn from_file(file: EmitterFile, _: &mut Reader) -> Option<Self> {
        let usual = Self::of(file.color);
        Some(Self {
            color: file.color,
            chromaticity: file.chromaticity,
            peak: file.peak,
            full_current: file.full_current,
            current_law: file.current_law.unwrap_or(usual.current_law),
            dimming: file.dimming.unwrap_or(usual.dimming),
            output: file.output,
        })
    }

    fn to_file(&self) -> EmitterFile {
        let usual = Self::of(self.color);
        EmitterFile {
            color: self.color,
            chromaticity: self.chromaticity,
            peak: self.peak,
            full_current: self.full_current,
            current_law: (self.current_law != usual.current_law).then_some(self.current_law),
            dimming: (self.dimming != usual.dimming).then_some(self.dimming),
            output: self.output.clone(),
        }
    }
}

impl Stored for Chromaticity {
    type File = ChromaticityFile;

    fn from_file(file: ChromaticityFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            x: file.x.0,
            y: file.y.0,
        })
    }

    fn to_file(&self) -> ChromaticityFile {
        ChromaticityFile {
            x: TenThousandths(self.x),
            y: TenThousandths(self.y),
        }
    }
}

impl Stored for Dimming {
    type File = Either<PlainDimming, CarrierFile>;

    fn from_file(file: Self::File, _: &mut Reader) -> Option<Self> {
        Some(match file {
            Either::Word(PlainDimming::Linear) => Self::Linear,
            Either::Object(carrier) => Self::Carrier(carrier.carrier),
        })
    }

    fn to_file(&self) -> Self::File {
        match self {
            Self::Linear => Either::Word(PlainDimming::Linear),
            Self::Carrier(carrier) => Either::Object(CarrierFile { carrier: *carrier }),
        }
    }
}

impl Stored for Group {
    type File = GroupFile;

    fn from_file(file: GroupFile, _: &mut Reader) -> Option<Self> {
        let members = match (file.heads, file.members) {
            (Some(heads), _) => GroupMembers::List(heads),
            (None, Some(members)) => GroupMembers::Where {
                zone: members.zone,
                side: members.side,
                color: members.color,
                tag: members.tag,
            },
            (None, None) => return None,
        };
        Some(Self {
            id: file.id,
            label: file.label.0,
            members,
        })
    }

    fn to_file(&self) -> GroupFile {
        let (heads, members) = match self.members.clone() {
            GroupMembers::List(heads) => (Some(heads), None),
            GroupMembers::Where {
                zone,
                side,
                color,
                tag,
            } => (
                None,
                Some(WhereFile {
                    zone,
                    side,
                    color,
                    tag,
                }),
            ),
        };
        GroupFile {
            id: self.id.clone(),
            label: Words(self.label.clone()),
            heads,
            members,
        }
    }
}
