//! The whole program in a file.

use crate::field::{Notes, Stored, Things, Words, object};
use crate::reader::Reader;
use lampwright_model::{
    Alternative, Control, DimLayer, Guarantee, Layer, Parts, Pattern, Profile, Signal, Situation,
    Vehicle, Waiver,
};

object! {
    /// A flash program: the vehicle, its patterns, when which heads play them, and what the agency demands of it.
    Whole struct ProgramFile {
        /// Name of the program.
        "name" name: Words,
        /// Notes: what it is for, what was decided.
        "about" about: Notes,
        /// The vehicle with its lamp heads and wiring.
        "vehicle" vehicle: Option<Vehicle>,
        /// Patterns.
        "patterns" patterns: Things<Pattern>,
        /// Inputs that decide what the heads do.
        "signals" signals: Things<Signal>,
        /// What the operator moves to set signals.
        "controls" controls: Things<Control>,
        /// Layers in order; for each head the first that holds and addresses it decides.
        "layers" layers: Things<Layer>,
        /// Dim layers; every active one multiplies.
        "dims" dims: Things<DimLayer>,
        /// Named states in the agency's order of review.
        "situations" situations: Things<Situation>,
        /// Conditions that cannot happen.
        "impossible" impossible: Things<Alternative>,
        /// Promises of the agency's own.
        "guarantees" guarantees: Things<Guarantee>,
        /// The chosen rules.
        "profile" profile: Option<Profile>,
        /// Accepted findings.
        "waivers" waivers: Things<Waiver>,
    }
}

impl Stored for Parts {
    type File = ProgramFile;

    fn from_file(file: ProgramFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            name: file.name.0,
            about: file.about.0,
            vehicle: file.vehicle.unwrap_or_default(),
            patterns: file.patterns.0,
            signals: file.signals.0,
            controls: file.controls.0,
            layers: file.layers.0,
            dims: file.dims.0,
            situations: file.situations.0,
            impossible: file.impossible.0,
            guarantees: file.guarantees.0,
            profile: file.profile.unwrap_or_default(),
            waivers: file.waivers.0,
        })
    }

    fn to_file(&self) -> ProgramFile {
        ProgramFile {
            name: Words(self.name.clone()),
            about: Notes(self.about.clone()),
            vehicle: Some(self.vehicle.clone()),
            patterns: Things(self.patterns.clone()),
            signals: Things(self.signals.clone()),
            controls: Things(self.controls.clone()),
            layers: Things(self.layers.clone()),
            dims: Things(self.dims.clone()),
            situations: Things(self.situations.clone()),
            impossible: Things(self.impossible.clone()),
            guarantees: Things(self.guarantees.clone()),
            profile: (self.profile != Profile::default()).then(|| self.profile.clone()),
            waivers: Things(self.waivers.clone()),
        }
    }
}
