//! What is selected and where the keyboard focus is.
//!
//! Pulses are named by index within the open pattern; every edit that moves indices carries the selection along.

use crate::SelectMode;
use lampwright_model::{HeadId, Pattern, Program, Pulse};
use lampwright_timing::SortedSet;

/// A pulse of the open pattern, by index.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct PulseAt {
    /// Index of the lane in the pattern.
    pub lane: usize,
    /// Index of the pulse in the lane.
    pub pulse: usize,
}

impl PulseAt {
    /// The pulse itself.
    #[must_use]
    pub fn of(self, pattern: &Pattern) -> Option<&Pulse> {
        pattern.lanes.get(self.lane)?.pulses.get(self.pulse)
    }
}

/// Where the keyboard focus is in the timeline.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Focus {
    /// Nowhere yet.
    #[default]
    None,
    /// On a lane.
    Lane(usize),
    /// On a pulse.
    Pulse(PulseAt),
}

impl Focus {
    /// The lane the focus is in.
    #[must_use]
    pub const fn lane(self) -> Option<usize> {
        match self {
            Self::None => None,
            Self::Lane(lane) => Some(lane),
            Self::Pulse(at) => Some(at.lane),
        }
    }

    /// The focused pulse.
    #[must_use]
    pub const fn pulse(self) -> Option<PulseAt> {
        match self {
            Self::Pulse(at) => Some(at),
            Self::None | Self::Lane(_) => None,
        }
    }
}

/// What is selected.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Selection {
    /// Pulses of the open pattern.
    pub pulses: SortedSet<PulseAt>,
    /// Lanes of the open pattern.
    pub lanes: SortedSet<usize>,
    /// Heads of the vehicle.
    pub heads: SortedSet<HeadId>,
    /// The head gone to last, selected or not.
    pub(crate) head: Option<HeadId>,
}

impl Selection {
    /// Whether nothing is selected.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.pulses.is_empty() && self.lanes.is_empty() && self.heads.is_empty()
    }

    /// The head the keyboard is at: the one gone to last, else the first selected one.
    #[must_use]
    pub fn focused_head(&self) -> Option<&HeadId> {
        self.head.as_ref().or_else(|| self.heads.iter().next())
    }

    /// Selects heads; the keyboard is at the last of them.
    pub(crate) fn take_heads(&mut self, heads: Vec<HeadId>, mode: SelectMode) {
        self.head = heads.last().cloned();
        combine(&mut self.heads, heads, mode);
    }

    /// The selected pulses of a lane, rising.
    pub fn in_lane(&self, lane: usize) -> impl Iterator<Item = usize> + '_ {
        let from = self.pulses.partition_point(|at| at.lane < lane);
        let rest = self.pulses.iter().skip(from);
        rest.take_while(move |at| at.lane == lane)
            .map(|at| at.pulse)
    }

    /// The lanes that have selected pulses, rising.
    #[must_use]
    pub fn lanes_of_pulses(&self) -> SortedSet<usize> {
        self.pulses.iter().map(|at| at.lane).collect()
    }

    /// Without what is no longer there.
    pub(crate) fn prune(&mut self, program: &Program, pattern: Option<&Pattern>) {
        match pattern {
            None => {
                self.pulses.clear();
                self.lanes.clear();
            }
            Some(pattern) => {
                self.pulses.retain(|at| at.of(pattern).is_some());
                self.lanes.retain(|lane| *lane < pattern.lanes.len());
            }
        }
        let is_there = |id: &HeadId| program.vehicle.heads.iter().any(|head| head.id == *id);
        self.heads.retain(is_there);
        self.head = self.head.take().filter(is_there);
    }
}

/// Combines `items` into `set`.
pub(crate) fn combine<T: Ord + Clone>(set: &mut SortedSet<T>, items: Vec<T>, mode: SelectMode) {
    if mode == SelectMode::Replace {
        set.clear();
    }
    for item in items {
        if mode == SelectMode::Keep {
            continue;
        }
        if mode == SelectMode::Toggle && set.remove(&item) {
            continue;
        }
        set.insert(item);
    }
}
