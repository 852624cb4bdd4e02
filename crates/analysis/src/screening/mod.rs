//! Photosensitive screening of flashing light: exact counts in the worst second, and a band.
//!
//! The reading adopted: a flash is counted at its leading edge, a second is half-open and exactly
//! one second long, rises and falls are counted apart and the larger taken, and area and
//! brightness never excuse a pattern.
//! Three counts are made of the light as seen from one direction: of the sum, of the worst single
//! cluster (one color on one side of one vehicle), and of the distinct onsets of all clusters
//! together; red flashes are counted apart; the largest governs.
//!
//! Invariant: times, light and colors are integers; no floating point takes part in a count or a
//! band; the same input gives the same bits on every machine.
//! Cyclic light is judged in its steady state, so a common shift in time changes no count.
//! A cyclic result is exact for endless operation, not for a finite stretch of it.
//!
//! Absent: geometry, photometry, the program's own types, wording for a report beyond
//! [`cautions`], and any statement that a pattern is safe: this is a screen, not a clearance.
//! Two sources are read throughout: WCAG 2.2 (W3C Recommendation, 5 October 2023), success
//! criterion 2.3.1, and Recommendation ITU-R BT.1702-3 (11/2023).

mod band;
pub mod cautions;
mod color;
mod cycles;
mod error;
mod fourier;
mod free_running;
mod owned;
mod scene;
mod screen;
mod settings;
mod train;
mod turning;
mod union;

pub use band::{Band, BandReason};
pub use color::Chromaticity;
pub use error::ScreeningError;
pub use fourier::{FourierLine, strongest_line};
pub use free_running::{
    Alignment, FreeRunningBound, MAX_ALIGNMENT_CANDIDATES, free_running_bound, worst_alignment,
};
pub use owned::{Cell, Lane, OwnedScene, common_period};
pub use scene::{Ambient, Extent, MAX_CELLS, MAX_LIGHT, MAX_PERIOD_SECONDS, MAX_TICKS, Scene};
pub use screen::{Count, GoverningTrain, Governor, Screening, WeakCluster, Workspace, screen};
pub use settings::{Ratio, SettingChange, Settings};
pub use train::{Run, Train, Worst};
