//! Patterns in a file.

use crate::field::{Stored, Words, object};
use crate::reader::{MOST_PULSES, Reader};
use lampwright_model::{Color, Lane, Pattern, PatternId, Pulse, RoleId};
use lampwright_timing::{Level, Micros};

object! {
    /// Lanes of pulses sharing a period and a tick; it knows nothing of any vehicle.
    Strict struct PatternFile {
        /// Identifier, unique among the patterns.
        "id" id: PatternId,
        /// Plain-word description.
        "label" label: Words,
        /// Length after which all lanes repeat, in milliseconds, above 0, at most 120,000; at most three decimals.
        "period_ms" period: Micros,
        /// Step of the controller that edges snap to, in milliseconds, above 0.
        "tick_ms" tick: Micros,
        /// The lanes, each with a role of its own.
        "lanes" lanes: Vec<Lane>,
    }
}

object! {
    /// One row of a pattern.
    Strict struct LaneFile {
        /// What part it plays, such as left or right.
        "role" role: RoleId,
        /// Its light: pulses in order of time, free of overlap, within the period.
        "pulses" pulses: Vec<Pulse>,
    }
}

object! {
    /// One stretch of time with light.
    Strict struct PulseFile {
        /// From the start of the period, in milliseconds.
        "start_ms" start: Micros,
        /// Length in milliseconds, above 0; the pulse ends within the period.
        "length_ms" length: Micros,
        /// Drive in per mille of full, above 0; 1000 when absent.
        "level" level: Option<Level>,
        /// Color in place of the one the layer gives.
        "color" color: Option<Color>,
    }
}

impl Stored for Pattern {
    type File = PatternFile;
    const MOST: usize = 4096;

    fn from_file(file: PatternFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            id: file.id,
            label: file.label.0,
            period: file.period,
            tick: file.tick,
            lanes: file.lanes,
        })
    }

    fn to_file(&self) -> PatternFile {
        PatternFile {
            id: self.id.clone(),
            label: Words(self.label.clone()),
            period: self.period,
            tick: self.tick,
            lanes: self.lanes.clone(),
        }
    }
}

impl Stored for Lane {
    type File = LaneFile;

    fn from_file(file: LaneFile, reader: &mut Reader) -> Option<Self> {
        let fits = reader.at_key("pulses", |reader| reader.count_pulses(file.pulses.len()));
        fits.then(|| Self {
            role: file.role,
            pulses: file.pulses.into(),
        })
    }

    fn to_file(&self) -> LaneFile {
        LaneFile {
            role: self.role.clone(),
            pulses: self.pulses.to_vec(),
        }
    }
}

impl Stored for Pulse {
    type File = PulseFile;
    const MOST: usize = MOST_PULSES;
    const IS_CUT: bool = true;

    fn from_file(file: PulseFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            start: file.start,
            length: file.length,
            level: file.level.unwrap_or(Level::FULL),
            color: file.color,
        })
    }

    fn to_file(&self) -> PulseFile {
        PulseFile {
            start: self.start,
            length: self.length,
            level: (self.level != Level::FULL).then_some(self.level),
            color: self.color,
        }
    }
}
