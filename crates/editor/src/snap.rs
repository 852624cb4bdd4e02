//! Where a moved edge comes to rest.
//!
//! Priority: another pulse's edge, then the playhead, then the end of the period, when one is within eight pixels; else the tick.

use crate::{PulseAt, Viewport};
use lampwright_model::Pattern;
use lampwright_timing::Micros;

/// Where a moved edge came to rest, and why.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Snapped {
    /// The instant.
    pub at: Micros,
    /// What it snapped to.
    pub target: SnapTarget,
}

/// What an edge can snap to.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum SnapTarget {
    /// An edge of another pulse, in any lane.
    PulseEdge,
    /// The playhead.
    Playhead,
    /// The start or the end of the period.
    Period,
    /// A tick.
    Tick,
}

/// How near an edge has to come to another edge, the playhead or the period to snap to it, in CSS pixels.
const REACH_PX: f64 = 8.0;

/// What is there to snap to, apart from the tick.
#[derive(Clone, Debug)]
pub(crate) struct Snapper {
    tick: Micros,
    /// Instants by priority, then rising.
    targets: Vec<(SnapTarget, Micros)>,
    reach: Micros,
}

impl Snapper {
    /// Edges of pulses that do not move, the playhead and the period, as far as they are within `around`.
    pub(crate) fn new(
        pattern: &Pattern,
        view: &Viewport,
        is_moving: impl Fn(PulseAt) -> bool,
        playhead: Micros,
        around: &[Micros],
    ) -> Self {
        let reach = view.length_of(REACH_PX);
        let mut targets = Vec::new();
        for (lane_idx, lane) in pattern.lanes.iter().enumerate() {
            for instant in around {
                // Only the pulses next to the instant can be within reach and nearest.
                let from = lane
                    .pulses
                    .partition_point(|pulse| pulse.end() < *instant - reach);
                for (offset, pulse) in lane.pulses.iter().enumerate().skip(from) {
                    if pulse.start > *instant + reach {
                        break;
                    }
                    let at = PulseAt {
                        lane: lane_idx,
                        pulse: offset,
                    };
                    if !is_moving(at) {
                        targets.push((SnapTarget::PulseEdge, pulse.start));
                        targets.push((SnapTarget::PulseEdge, pulse.end()));
                    }
                }
            }
        }
        // It may have been stopped anywhere; what is drawn to it stays on the tick.
        targets.push((
            SnapTarget::Playhead,
            playhead
                .wrap(pattern.period.max(Micros(1)))
                .round_to(pattern.tick),
        ));
        targets.push((SnapTarget::Period, Micros::ZERO));
        targets.push((SnapTarget::Period, pattern.period));
        lampwright_timing::sort(&mut targets);
        targets.dedup();
        Self {
            tick: pattern.tick,
            targets,
            reach,
        }
    }

    /// Where an edge wanted at an instant comes to rest.
    pub(crate) fn snap(&self, wanted: Micros) -> Snapped {
        self.near(wanted).unwrap_or(Snapped {
            at: wanted.round_to(self.tick),
            target: SnapTarget::Tick,
        })
    }

    /// As [`Self::snap`] for the two edges of something that moves as a whole: its start is snapped, or its end when that is nearer to something of at least the same priority.
    pub(crate) fn snap_body(&self, wanted: Micros, length: Micros) -> Snapped {
        let start = self.near(wanted);
        let end = self.near(wanted + length).map(|snapped| Snapped {
            at: snapped.at - length,
            ..snapped
        });
        match (start, end) {
            (Some(start), Some(end)) => {
                let rank = |snapped: &Snapped| (snapped.target, (snapped.at - wanted).0.abs());
                if rank(&end) < rank(&start) {
                    end
                } else {
                    start
                }
            }
            (Some(one), None) | (None, Some(one)) => one,
            (None, None) => Snapped {
                at: wanted.round_to(self.tick),
                target: SnapTarget::Tick,
            },
        }
    }

    /// The nearest target within reach, by priority first.
    fn near(&self, wanted: Micros) -> Option<Snapped> {
        self.targets
            .iter()
            .map(|(target, at)| (*target, (*at - wanted).0.abs(), *at))
            .filter(|(_, distance, _)| *distance <= self.reach.0)
            .min()
            .map(|(target, _, at)| Snapped { at, target })
    }
}
