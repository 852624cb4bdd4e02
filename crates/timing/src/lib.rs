//! Exact time, levels and periodic waveforms.
//!
//! Time is integer microseconds, level integer per mille, and a waveform is a periodic piecewise-constant function with exact breakpoints.
//!
//! Invariant: no floating point, no dependencies, no I/O; every operation is exact or says that it could not be.

mod level;
mod micros;
mod sorted;
mod sorting;
mod waveform;

pub use level::{Level, LevelOutOfRange};
pub use micros::{Micros, SECOND};
pub use sorted::{SortedMap, SortedSet};
pub use sorting::{sort, sort_by};
pub use waveform::{
    Interval, MAX_COMMON_PERIOD, PeriodTooLong, Step, Waveform, WaveformError, breakpoints,
    greatest_common_divisor, least_common_period,
};
