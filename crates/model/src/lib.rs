//! The program as a document: vehicle, patterns, signals, layers, profile; its invariants, its edits, and `resolve`.
//!
//! Invariant: no I/O, no clock, no randomness, no floating point.
//! Every physical quantity is a whole number of thousandths of the unit a file shows, so that equality, hashing and counting have no rounding.
//! A [`Program`] is always consistent: it is made by [`Program::admit`] and changed by [`Program::apply`] alone.

mod admit;
mod color;
mod edit;
mod ids;
mod layers;
mod pattern;
mod place;
mod profile;
mod program;
mod resolve;
mod signals;
mod steps;
mod units;
mod vehicle;

pub use color::{Chromaticity, Color};
pub use edit::{Edit, EditError, Item, ItemId};
pub use ids::{
    BadId, ClockId, ControlId, FuseId, GroupId, GuaranteeId, HeadId, LayerId, OutputId, PatternId,
    RoleId, RuleCode, SignalId, SituationId, ValueId,
};
pub use layers::{Action, Binding, DimKind, DimLayer, Guarantee, Layer, Must, Situation, Target};
pub use pattern::{Lane, Pattern, Pulse, lane_problems};
pub use place::Place;
pub use profile::{Confirmation, Profile, RuleChoice, Severity, Waiver};
pub use program::{Parts, Problem, Program};
pub use resolve::{
    Decision, Drive, EmitterDrive, HeadDrive, LaneCourses, LaneUse, State, head_under, resolve,
    resolve_with,
};
pub use signals::{
    Alternative, Condition, Control, ControlPosition, ControlStyle, Signal, SignalKind,
};
pub use steps::{MOST_STEPS, StepColumn, StepTable, TableStep};
pub use units::{Milliamps, Millicandela, Millidegrees, Millimeters, Millivolts, Stated};
pub use vehicle::{
    Battery, Beam, Clock, CurrentLaw, Dimming, Emitter, Fuse, Group, GroupMembers, Head, Outline,
    Output, Return, Side, Supply, Vehicle, Wire, WireSize, Zone,
};
