//! What keeps light from being screened.

use core::fmt;

/// Why a scene could not be screened or built.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum ScreeningError {
    /// The number of ticks in a second is not within 1..=[`super::MAX_TICKS`].
    SecondOutOfRange {
        /// The ticks per second that were given.
        second: i64,
    },
    /// The period or horizon is not within 1..=[`super::MAX_TICKS`] ticks.
    ExtentOutOfRange {
        /// The extent that was given, in ticks.
        ticks: i64,
    },
    /// The grid has no cell, or more than [`super::MAX_CELLS`].
    CellCountOutOfRange {
        /// The number of cells.
        cells: usize,
    },
    /// The times of the grid do not start at 0, do not ascend, or pass the extent.
    GridNotAscending {
        /// The index of the first wrong time.
        cell: usize,
    },
    /// The number of values is not clusters times cells.
    ValueCount {
        /// How many values there are.
        found: usize,
        /// How many there should be.
        expected: usize,
    },
    /// A light value is negative, or the sum of light can pass [`super::MAX_LIGHT`].
    LightOutOfRange,
    /// A lane has no cells, or a cell of it does not last at least one tick.
    EmptyLane {
        /// The index of the lane.
        lane: usize,
    },
    /// A lane names a cluster that does not exist.
    UnknownCluster {
        /// The index of the lane.
        lane: usize,
        /// The cluster it names.
        cluster: usize,
    },
    /// The least common period is longer than is judged as one cycle
    /// ([`super::MAX_PERIOD_SECONDS`]): judge the units as free-running instead, and say so.
    PeriodTooLong {
        /// The longest period accepted, in ticks.
        limit: i64,
    },
    /// Units to be aligned must be cyclic and share ticks, and there must be at least two.
    NotAlignable,
}

impl fmt::Display for ScreeningError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::SecondOutOfRange { second } => {
                write!(
                    f,
                    "{second} ticks per second, 1 to {} wanted",
                    super::MAX_TICKS
                )
            }
            Self::ExtentOutOfRange { ticks } => {
                write!(
                    f,
                    "period or horizon of {ticks} ticks, 1 to {} wanted",
                    super::MAX_TICKS
                )
            }
            Self::CellCountOutOfRange { cells } => {
                write!(
                    f,
                    "{cells} cells in the grid, 1 to {} wanted",
                    super::MAX_CELLS
                )
            }
            Self::GridNotAscending { cell } => write!(
                f,
                "time {cell} of the grid is out of order: times start at 0, ascend, and stay below the period"
            ),
            Self::ValueCount { found, expected } => {
                write!(
                    f,
                    "{found} light values, {expected} wanted (clusters times cells)"
                )
            }
            Self::LightOutOfRange => write!(
                f,
                "a light value is negative or the sum is above {}",
                super::MAX_LIGHT
            ),
            Self::EmptyLane { lane } => {
                write!(
                    f,
                    "lane {lane} has no cell of at least one tick in every place"
                )
            }
            Self::UnknownCluster { lane, cluster } => {
                write!(
                    f,
                    "lane {lane} names cluster {cluster}, which does not exist"
                )
            }
            Self::PeriodTooLong { limit } => write!(
                f,
                "the common period is longer than {limit} ticks: judge the units as free-running"
            ),
            Self::NotAlignable => {
                write!(
                    f,
                    "alignment needs two or more cyclic units with the same ticks"
                )
            }
        }
    }
}

impl core::error::Error for ScreeningError {}
