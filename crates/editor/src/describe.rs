//! What is read out to people who cannot see the timeline.

use crate::{EditorState, Focus, PulseAt};

/// The focused lane or pulse in words: "pulse 2 of 8 in lane left, starts 75 ms, 75 ms long, level 100 %, red".
#[must_use]
pub fn describe_focus(state: &EditorState) -> String {
    match state.focus() {
        Focus::None => String::new(),
        Focus::Pulse(at) => describe_pulse(state, at),
        Focus::Lane(lane_idx) => {
            let Some(lane) = state
                .open_pattern()
                .and_then(|pattern| pattern.lanes.get(lane_idx))
            else {
                return String::new();
            };
            let pulses = match lane.pulses.len() {
                0 => "empty".to_owned(),
                1 => "1 pulse".to_owned(),
                more => format!("{more} pulses"),
            };
            let heads = match state
                .driven()
                .heads_of_lane(state.open_pattern_id(), &lane.role)
            {
                [] => "drives no head in this state".to_owned(),
                [_] => "drives 1 head".to_owned(),
                more => format!("drives {} heads", more.len()),
            };
            format!("lane {}, {pulses}, {heads}", lane.role)
        }
    }
}

/// A pulse in words; empty when it is not there.
#[must_use]
pub fn describe_pulse(state: &EditorState, at: PulseAt) -> String {
    let Some(lane) = state
        .open_pattern()
        .and_then(|pattern| pattern.lanes.get(at.lane))
    else {
        return String::new();
    };
    let Some(pulse) = lane.pulses.get(at.pulse) else {
        return String::new();
    };
    let color = pulse
        .color
        .map_or_else(String::new, |color| format!(", {color}"));
    format!(
        "pulse {} of {} in lane {}, starts {}, {} long, level {}{color}",
        at.pulse + 1,
        lane.pulses.len(),
        lane.role,
        pulse.start,
        pulse.length,
        pulse.level,
    )
}
