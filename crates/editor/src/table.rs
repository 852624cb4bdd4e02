//! The timeline as a table, for people who do not use the canvas.

use crate::{EditorState, PulseAt};
use lampwright_model::{Color, Pulse, RoleId};
use lampwright_timing::{Interval, Level, Micros};

/// One lane of the table.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LaneRow {
    /// Index of the lane.
    pub lane: usize,
    /// Its role.
    pub role: RoleId,
    /// Heads it drives in the shown state, by label.
    pub heads: Vec<String>,
    /// How many pulses it has.
    pub n_pulses: usize,
    /// Its pulses in time order, as far as there is room for them.
    pub pulses: Vec<PulseRow>,
    /// What the rules say about the lane in the shown state, gravest first; nothing while that is not known.
    pub findings: Vec<String>,
}

/// One pulse of the table.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PulseRow {
    /// Which pulse.
    pub at: PulseAt,
    /// Number shown, from 1.
    pub number: usize,
    /// Start within the period.
    pub start: Micros,
    /// Length.
    pub length: Micros,
    /// Dark time to the next pulse of the lane, around the end of the period.
    pub gap_after: Micros,
    /// Level.
    pub level: Level,
    /// Color of its own.
    pub color: Option<Color>,
    /// Whether it is selected.
    pub is_selected: bool,
    /// What the rules say about a stretch this pulse lies in, gravest first.
    pub findings: Vec<String>,
}

/// The open pattern as a table, with rows for the first `most` pulses of it.
#[must_use]
pub fn lane_table(state: &EditorState, most: usize) -> Vec<LaneRow> {
    let Some(pattern) = state.open_pattern() else {
        return Vec::new();
    };
    let (driven, judged) = (state.driven(), state.judged());
    let mut room = most;
    let heads = &state.program().vehicle.heads;
    pattern
        .lanes
        .iter()
        .enumerate()
        .map(|(lane_idx, lane)| {
            let findings: Vec<_> = judged
                .iter()
                .flat_map(|results| results.findings_of_lane(&pattern.id, &lane.role))
                .collect();
            let spans: Vec<_> = findings
                .iter()
                .filter_map(|finding| Some((finding.span?, finding.message.as_str())))
                .collect();
            let n_rows = lane.pulses.len().min(room);
            room -= n_rows;
            let pulses = lane
                .pulses
                .iter()
                .enumerate()
                .take(n_rows)
                .map(|(index, pulse)| {
                    let at = PulseAt {
                        lane: lane_idx,
                        pulse: index,
                    };
                    let next = match lane.pulses.get(index + 1) {
                        Some(next) => next.start,
                        None => lane
                            .pulses
                            .first()
                            .map_or(pattern.period, |first| pattern.period + first.start),
                    };
                    PulseRow {
                        at,
                        number: index + 1,
                        start: pulse.start,
                        length: pulse.length,
                        gap_after: next - pulse.end(),
                        level: pulse.level,
                        color: pulse.color,
                        is_selected: state.selection().pulses.contains(&at),
                        findings: spans
                            .iter()
                            .filter(|(span, _)| touches(pulse, *span, pattern.period))
                            .map(|(_, message)| (*message).to_owned())
                            .collect(),
                    }
                })
                .collect();
            LaneRow {
                lane: lane_idx,
                role: lane.role.clone(),
                heads: driven
                    .heads_of_lane(Some(&pattern.id), &lane.role)
                    .iter()
                    .filter_map(|index| heads.get(*index))
                    .map(|head| head.label.clone())
                    .collect(),
                n_pulses: lane.pulses.len(),
                pulses,
                findings: findings
                    .iter()
                    .map(|finding| finding.message.clone())
                    .collect(),
            }
        })
        .collect()
}

/// Whether a pulse and a stretch that may wrap around the period share an instant.
fn touches(pulse: &Pulse, span: Interval, period: Micros) -> bool {
    let meets = |start: Micros, end: Micros| pulse.start < end && start < pulse.end();
    meets(span.start, span.end()) || meets(span.start - period, span.end() - period)
}
