//! Light toward directions around the vehicle, and its photosensitive screening.
//!
//! Light toward a direction is rounded once, to whole microcandela at full level; from there on everything is integer.
//! Weights depend on the vehicle alone, so a [`DirectionTable`] is made once per vehicle and kept.
//! Absent: reflection, windshields, shading by the body other than the beam's own, illuminance and glare.

mod beam;
mod directions;
mod screened;

pub use beam::{horizontal_fraction, intensity_microcandela, vertical_fraction};
pub use directions::{Direction, DirectionTable, LightSettings};
pub use screened::{
    Cluster, DirectionResult, DirectionScreening, ScreenSettings, ScreenedDirection,
    ScreenedDirections, SharedResult, UnitResult, screen_directions, worst_alignment_toward,
};
