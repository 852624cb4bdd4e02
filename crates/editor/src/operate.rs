//! Operations on selected pulses and on whole lanes, and answers to the questions that some of them ask.
//!
//! An operation on pulses takes the selected ones, or all pulses of the selected or focused lanes when no pulse is selected.
//! Invariant: what does not fit is refused in words and nothing changes; every operation that changes lanes is one labelled step.

use crate::edits::{Done, Outcome};
use crate::lane_edit::LaneChanges;
use crate::lane_ops::{
    inverted, is_alike, is_free_of_overlap, lit_time, n_repeats, overlaid, repeated, reversed,
    shifted, wrapped,
};
use crate::numbers::{lane_numbers, rate, runs, runs_text, thousandths, typed};
use crate::{Action, EditorState, Focus, PulseAt};
use lampwright_analysis::fix::scaled;
use lampwright_model::{Edit, Item, Lane, Pattern, Pulse, RoleId};
use lampwright_timing::{MAX_COMMON_PERIOD, Micros, sort_by};
use std::rc::Rc;

/// An operation that asks for nothing.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Operation {
    /// Parts pulses at the playhead, or in the middle when it is in none of them.
    Split,
    /// Makes touching pulses of one level and color one pulse.
    JoinTouching,
    /// Makes the selected pulses of a lane one pulse, the dark between them lit.
    JoinAcross,
    /// Copies pulses or lanes, and deletes them.
    Cut,
    /// Copies pulses or lanes.
    Copy,
    /// Puts what was copied into the focused lane and those below: pulses at the playhead, or where they were when it stands at the start; lanes as a whole.
    Paste,
    /// Puts a copy right after the pulses, with a dark gap like theirs.
    Duplicate,
    /// Turns lanes around in time, or the stretch of the selected pulses.
    Reverse,
    /// Gives the lane of the other side the same pulses half a period later, or half of the shortest part that repeats; makes that lane when it is missing.
    Mirror,
    /// Lights what is dark and darkens what is lit.
    Invert,
    /// Moves edges to the nearest tick.
    Quantize,
    /// Puts pulses at equal distances: all of a lane over the period, three or more selected ones between the first and the last.
    Spread,
    /// Leaves lanes out of the preview, or takes them in again.
    Mute,
    /// Leaves all other lanes of the pattern out of the preview, or takes them in again.
    Alone,
}

/// An operation that asks for a number or a text.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Question {
    /// All pulses of the focused lane as run lengths.
    Runs,
    /// How often the shortest part of the focused lane repeats; scales the pattern.
    Rate,
    /// Lit share of the focused lane; scales its pulses.
    Duty,
    /// How many times the pulses come in one period.
    Repeat,
    /// How much later lanes play, with wrap-around.
    Shift,
    /// The period to scale the pattern to.
    Period,
    /// The lane that gets the same pulses half a period later.
    MirrorTo,
}

impl Question {
    /// What is asked for, with its unit.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Runs => "Lit, dark, lit, dark, in ms",
            Self::Rate => "Rate in Hz, or with /min",
            Self::Duty => "Lit share in %",
            Self::Repeat => "How many times in the period",
            Self::Shift => "Later by, in ms; earlier with a minus",
            Self::Period => "New period in ms, all pulses scaled",
            Self::MirrorTo => "Name of the lane that plays half a period later",
        }
    }

    /// What is done with the answer.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::Runs => "Type the lane",
            Self::Rate => "Scale to a rate",
            Self::Duty => "Scale to a lit share",
            Self::Repeat => "Repeat to fill the period",
            Self::Shift => "Shift around the period",
            Self::Period => "Scale to a period",
            Self::MirrorTo => "Mirror to a lane",
        }
    }

    /// What is true now, as a start for the answer.
    #[must_use]
    pub fn present(self, state: &EditorState) -> String {
        let Some(pattern) = state.open_pattern() else {
            return String::new();
        };
        let lane = state.focus().lane().unwrap_or(0);
        let numbers = lane_numbers(pattern, lane);
        let of_lane =
            |field: fn(crate::LaneNumbers) -> String| numbers.map(field).unwrap_or_default();
        match self {
            Self::Runs => of_lane(|numbers| numbers.runs),
            Self::Rate => of_lane(|numbers| numbers.rate_hz),
            Self::Duty => of_lane(|numbers| numbers.duty_percent),
            Self::Repeat => "2".into(),
            Self::Shift => typed(pattern.tick.0),
            Self::Period => typed(pattern.period.0),
            Self::MirrorTo => match other_side(pattern, lane) {
                OtherSide::Lane(lane) => pattern
                    .lanes
                    .get(lane)
                    .map_or_else(String::new, |lane| lane.role.to_string()),
                OtherSide::New(role) => role.to_string(),
                OtherSide::None => String::new(),
            },
        }
    }
}

/// What was copied.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct Clip {
    /// Pulses of each lane, at their instants; the first lane first.
    lanes: Vec<Vec<Pulse>>,
    /// Period they were copied from.
    period: Micros,
    /// Whether they are whole lanes.
    is_whole: bool,
}

impl Clip {
    /// Whether nothing was copied yet.
    pub(crate) fn is_empty(&self) -> bool {
        self.lanes.is_empty()
    }
}

impl EditorState {
    /// What was copied as run lengths, a line for each lane; empty when nothing was.
    #[must_use]
    pub fn clip_text(&self) -> String {
        let lanes = self.clip.lanes.iter();
        let lines: Vec<String> = lanes
            .map(|pulses| runs_text(pulses, self.clip.period))
            .collect();
        lines.join("\n")
    }
}

/// Pulses of a lane by index.
type Chosen = Vec<(usize, Vec<usize>)>;

impl EditorState {
    pub(crate) fn operate(&mut self, action: Action) -> Done {
        let Some(pattern) = self.open_pattern().cloned() else {
            return Err("no pattern is open, add one first".into());
        };
        match action {
            Action::Operate(operation) => self.operation(&pattern, operation),
            Action::BindHead {
                lane,
                head,
                is_bound,
            } => self.bind_head(lane, &head, is_bound),
            Action::Answer(question, text) => self.answer(&pattern, question, &text),
            _ => Ok(Outcome::Quiet),
        }
    }

    fn operation(&mut self, pattern: &Pattern, operation: Operation) -> Done {
        match operation {
            Operation::Split => self.split(pattern),
            Operation::JoinTouching => self.join(pattern, false),
            Operation::JoinAcross => self.join(pattern, true),
            Operation::Copy => self.copy(pattern),
            Operation::Cut => {
                self.copy(pattern)?;
                self.edit_pulses(Action::Delete)
            }
            Operation::Paste => self.paste(pattern),
            Operation::Duplicate => self.duplicate(pattern),
            Operation::Mirror => self.mirror(pattern, None),
            Operation::Reverse => {
                let selected = self.selection.clone();
                self.change_lanes(pattern, "Reverse", |lane_idx, pulses| {
                    let chosen: Vec<&Pulse> = selected
                        .in_lane(lane_idx)
                        .filter_map(|index| pulses.get(index))
                        .collect();
                    match chosen.as_slice() {
                        [first, .., last] => Ok(reversed(pulses, first.start, last.end())),
                        _ => Ok(reversed(pulses, Micros::ZERO, pattern.period)),
                    }
                })
            }
            Operation::Invert => self.change_lanes(pattern, "Invert", |_, pulses| {
                Ok(inverted(pulses, pattern.period))
            }),
            Operation::Quantize => self.quantize(pattern),
            Operation::Spread => self.spread(pattern),
            Operation::Mute | Operation::Alone => self.silence(pattern, operation),
        }
    }

    fn answer(&mut self, pattern: &Pattern, question: Question, text: &str) -> Done {
        let number = || {
            thousandths(text)
                .ok_or_else(|| format!("\"{text}\", a number with at most three decimals wanted"))
        };
        match question {
            Question::Runs => self.set_runs(pattern, text),
            Question::Rate => {
                let lane = self.focused_lane(pattern)?;
                let (value, over) =
                    rate(text).ok_or_else(|| format!("rate \"{text}\", 2 or 120/min wanted"))?;
                let times = n_repeats(&lane.pulses, pattern.period)
                    .ok_or_else(|| format!("lane {} is dark and has no rate", lane.role))?;
                let period = Micros(times.saturating_mul(over) / value).round_to(pattern.tick);
                self.scale(pattern, period.max(pattern.tick))?;
                let reached = self.open_pattern().and_then(|open| {
                    let numbers = lane_numbers(open, self.focus.lane().unwrap_or(0))?;
                    Some(format!(
                        "Period {}, {} Hz, {} per minute",
                        open.period, numbers.rate_hz, numbers.rate_per_minute
                    ))
                });
                Ok(Outcome::Say(reached.unwrap_or_default()))
            }
            Question::Duty => self.set_duty(pattern, number()?),
            Question::Repeat => {
                let times = number()?;
                if times % 1000 != 0 || !(2_000..=1_000_000).contains(&times) {
                    return Err(format!(
                        "{text} times, a whole number from 2 to 1000 wanted"
                    ));
                }
                self.repeat(pattern, times / 1000)
            }
            Question::Shift => {
                let by = Micros(number()?);
                self.change_lanes(pattern, "Shift", |_, pulses| {
                    Ok(shifted(pulses, pattern.period, by))
                })
            }
            Question::Period => {
                let period = Micros(number()?);
                self.scale(pattern, period)?;
                Ok(Outcome::Say(format!("Scaled to {period}")))
            }
            Question::MirrorTo => {
                let role = RoleId::new(text.trim()).map_err(|error| error.to_string())?;
                self.mirror(pattern, Some(role))
            }
        }
    }

    /// The focused lane.
    fn focused_lane<'a>(&self, pattern: &'a Pattern) -> Result<&'a Lane, String> {
        self.focus
            .lane()
            .and_then(|lane| pattern.lanes.get(lane))
            .ok_or_else(|| "no lane is in focus".into())
    }

    /// The lanes an operation on lanes takes: selected ones, those of selected pulses, else the focused one.
    pub(crate) fn lanes_meant(&self, pattern: &Pattern) -> Result<Vec<usize>, String> {
        let mut lanes = self.selection.lanes_of_pulses();
        for lane in &self.selection.lanes {
            lanes.insert(*lane);
        }
        if lanes.is_empty() {
            lanes = self.focus.lane().into_iter().collect();
        }
        lanes.retain(|lane| *lane < pattern.lanes.len());
        if lanes.is_empty() {
            return Err("no lane is in focus".into());
        }
        Ok(lanes.into_iter().collect())
    }

    /// The selected pulses, or all of the lanes meant; whether they were selected.
    fn pulses_meant(&self, pattern: &Pattern) -> Result<(Chosen, bool), String> {
        let is_selected = !self.selection.pulses.is_empty();
        let lanes: Vec<usize> = if is_selected {
            self.selection.lanes_of_pulses().into_iter().collect()
        } else {
            self.lanes_meant(pattern)?
        };
        let chosen: Chosen = lanes
            .into_iter()
            .map(|lane| {
                let pulses = if is_selected {
                    self.selection.in_lane(lane).collect()
                } else {
                    (0..pulses_of(pattern, lane).len()).collect()
                };
                (lane, pulses)
            })
            .filter(|(_, pulses): &(usize, Vec<usize>)| !pulses.is_empty())
            .collect();
        if chosen.is_empty() {
            return Err("there is no pulse in the lane".into());
        }
        Ok((chosen, is_selected))
    }

    /// Changes each lane meant as a whole.
    fn change_lanes(
        &mut self,
        pattern: &Pattern,
        label: &str,
        change: impl Fn(usize, &[Pulse]) -> Result<Vec<Pulse>, String>,
    ) -> Done {
        let lanes = self.lanes_meant(pattern)?;
        let mut changes = LaneChanges::default();
        for lane in lanes {
            changes.insert(lane, change(lane, pulses_of(pattern, lane))?);
        }
        self.commit_lanes(pattern, label, changes, &[])
    }

    /// Commits new pulses of lanes as one step, and selects those that start where `chosen` do.
    fn commit_lanes(
        &mut self,
        pattern: &Pattern,
        label: &str,
        changes: LaneChanges,
        chosen: &[(usize, Pulse)],
    ) -> Done {
        let before = self.program.clone();
        let n_lanes = changes.len();
        self.commit(label, &Self::lanes_edit(pattern, changes))?;
        if Rc::ptr_eq(&before, &self.program) {
            return Err(format!("{label} changes nothing here"));
        }
        let lane = self.focus.lane();
        self.choose_pulses(chosen);
        if chosen.is_empty()
            && let Some(lane) = lane
        {
            self.focus = Focus::Lane(lane);
        }
        let what = match (chosen.len(), n_lanes) {
            (0, 1) => String::new(),
            (0, more) => format!(", {more} lanes"),
            (1, _) => ", 1 pulse".into(),
            (more, _) => format!(", {more} pulses"),
        };
        Ok(Outcome::Say(format!("{label}{what}")))
    }

    /// Selects the pulses that start at given instants, and focuses the first.
    fn choose_pulses(&mut self, chosen: &[(usize, Pulse)]) {
        let Some(pattern) = self.open_pattern() else {
            return;
        };
        let found: Vec<PulseAt> = chosen
            .iter()
            .filter_map(|(lane, pulse)| {
                let pulses = pulses_of(pattern, *lane);
                let index = pulses.partition_point(|known| known.start < pulse.start);
                let is_there = pulses.get(index)?.start == pulse.start;
                is_there.then_some(PulseAt {
                    lane: *lane,
                    pulse: index,
                })
            })
            .collect();
        if let Some(first) = found.first() {
            self.focus = Focus::Pulse(*first);
        }
        self.select(|selection| {
            selection.pulses = found.into_iter().collect();
            if !selection.pulses.is_empty() {
                selection.lanes.clear();
            }
        });
    }

    fn split(&mut self, pattern: &Pattern) -> Done {
        let (chosen, is_selected) = self.pulses_meant(pattern)?;
        let playhead = self.preview.at.wrap(pattern.period);
        let has_inside = |pulse: &Pulse| pulse.start < playhead && playhead < pulse.end();
        let pulses = |lane: usize, indices: &[usize]| -> Vec<Pulse> {
            indices
                .iter()
                .filter_map(|index| pulses_of(pattern, lane).get(*index).copied())
                .collect()
        };
        let is_at_playhead = chosen
            .iter()
            .any(|(lane, indices)| pulses(*lane, indices).iter().any(has_inside));
        if !is_at_playhead && !is_selected {
            return Err(
                "the playhead is in no pulse of the lane, move it there or select a pulse".into(),
            );
        }
        let mut changes = LaneChanges::default();
        let mut parts = Vec::new();
        for (lane, indices) in &chosen {
            let mut all = Vec::new();
            for (index, pulse) in pulses_of(pattern, *lane).iter().enumerate() {
                let middle = pulse.start + Micros(pulse.length.0 / 2);
                let on_tick = middle.round_to(pattern.tick);
                let at = if is_at_playhead {
                    playhead
                } else if on_tick > pulse.start && on_tick < pulse.end() {
                    on_tick
                } else {
                    middle
                };
                if has(indices, index) && pulse.start < at && at < pulse.end() {
                    let halves = [(pulse.start, at), (at, pulse.end())].map(|(from, to)| Pulse {
                        start: from,
                        length: to - from,
                        ..*pulse
                    });
                    all.extend(halves);
                    parts.extend(halves.map(|half| (*lane, half)));
                } else {
                    all.push(*pulse);
                }
            }
            changes.insert(*lane, all);
        }
        self.commit_lanes(pattern, "Split", changes, &parts)
    }

    fn join(&mut self, pattern: &Pattern, is_across: bool) -> Done {
        let (chosen, is_selected) = self.pulses_meant(pattern)?;
        if is_across && !(is_selected && chosen.iter().any(|(_, indices)| indices.len() > 1)) {
            return Err("two pulses of a lane have to be selected to join them".into());
        }
        let mut changes = LaneChanges::default();
        let mut joined = Vec::new();
        for (lane, indices) in &chosen {
            let pulses = pulses_of(pattern, *lane);
            let mut all: Vec<Pulse> = Vec::new();
            let ends = (indices.first().copied(), indices.last().copied());
            for (index, pulse) in pulses.iter().enumerate() {
                let is_chosen = has(indices, index);
                let continues = match (ends, all.last()) {
                    ((Some(first), Some(last)), Some(_)) if is_across => {
                        first < index && index <= last
                    }
                    (_, Some(before)) => {
                        is_chosen
                            && index.checked_sub(1).is_some_and(|at| has(indices, at))
                            && before.end() == pulse.start
                            && is_alike(before, pulse)
                    }
                    _ => false,
                };
                match all.last_mut().filter(|_| continues) {
                    Some(before) => before.length = pulse.end() - before.start,
                    None => {
                        all.push(*pulse);
                        if is_chosen {
                            joined.push((*lane, *pulse));
                        }
                    }
                }
            }
            changes.insert(*lane, all);
        }
        self.commit_lanes(pattern, "Join", changes, &joined)
    }

    fn copy(&mut self, pattern: &Pattern) -> Done {
        let is_whole = self.selection.pulses.is_empty();
        let (first, last, text) = if is_whole {
            let lanes = self.lanes_meant(pattern)?;
            let text = match lanes.len() {
                1 => "Copied 1 lane".into(),
                more => format!("Copied {more} lanes"),
            };
            (lanes.first().copied(), lanes.last().copied(), text)
        } else {
            let lanes = self.selection.lanes_of_pulses();
            let text = match self.selection.pulses.len() {
                1 => "Copied 1 pulse".into(),
                more => format!("Copied {more} pulses"),
            };
            (lanes.first().copied(), lanes.last().copied(), text)
        };
        let (Some(first), Some(last)) = (first, last) else {
            return Err("nothing is selected".into());
        };
        let lanes = (first..=last)
            .map(|lane| {
                let pulses = pulses_of(pattern, lane);
                if is_whole {
                    return pulses.to_vec();
                }
                self.selection
                    .in_lane(lane)
                    .filter_map(|index| pulses.get(index).copied())
                    .collect()
            })
            .collect();
        self.clip = Rc::new(Clip {
            lanes,
            period: pattern.period,
            is_whole,
        });
        Ok(Outcome::Say(text))
    }

    fn paste(&mut self, pattern: &Pattern) -> Done {
        let clip = self.clip.clone();
        if clip.is_empty() {
            return Err("nothing was copied yet".into());
        }
        let first_lane = self.focus.lane().unwrap_or(0);
        let n_left = pattern.lanes.len().saturating_sub(first_lane);
        if clip.lanes.len() > n_left {
            return Err(format!(
                "{} lanes were copied, only {n_left} are left from the focused one down",
                clip.lanes.len()
            ));
        }
        let starts = || clip.lanes.iter().flatten().map(|pulse| pulse.start);
        let playhead = self
            .preview
            .at
            .wrap(pattern.period)
            .round_to(pattern.tick)
            .wrap(pattern.period);
        let by = match starts().min() {
            Some(first) if !clip.is_whole && playhead > Micros::ZERO => playhead - first,
            _ => Micros::ZERO,
        };
        let mut changes = LaneChanges::default();
        let mut pasted = Vec::new();
        for (offset, pulses) in clip.lanes.iter().enumerate() {
            let lane = first_lane + offset;
            let new = if clip.is_whole {
                whole_lane(pulses, clip.period, pattern.period)?
            } else {
                let later: Vec<Pulse> = pulses
                    .iter()
                    .map(|pulse| Pulse {
                        start: pulse.start + by,
                        ..*pulse
                    })
                    .collect();
                let fits = later.iter().all(|pulse| pulse.length <= pattern.period);
                let pieces = wrapped(&later, pattern.period);
                if !(fits && is_free_of_overlap(&pieces)) {
                    return Err(format!(
                        "the copied pulses do not fit into the period, {}",
                        pattern.period
                    ));
                }
                pasted.extend(pieces.iter().map(|pulse| (lane, *pulse)));
                overlaid(pulses_of(pattern, lane), &pieces)
            };
            changes.insert(lane, new);
        }
        self.commit_lanes(pattern, "Paste", changes, &pasted)
            .map_err(|reason| {
                if reason.starts_with("Paste") {
                    "these pulses are here already, focus another lane or move the playhead".into()
                } else {
                    reason
                }
            })
    }

    fn duplicate(&mut self, pattern: &Pattern) -> Done {
        let (chosen, _) = self.pulses_meant(pattern)?;
        let mut changes = LaneChanges::default();
        let mut copies = Vec::new();
        // All lanes by the same time, so that they keep together.
        let by = chosen
            .iter()
            .filter_map(|(lane, indices)| {
                let pulses = pulses_of(pattern, *lane);
                let first = pulses.get(*indices.first()?)?;
                let last = pulses.get(*indices.last()?)?;
                let gap = match indices.get(1).and_then(|second| pulses.get(*second)) {
                    Some(second) => second.start - first.end(),
                    None => first.length,
                };
                Some(round_up(last.end() - first.start + gap, pattern.tick))
            })
            .max()
            .unwrap_or(Micros::ZERO);
        for (lane, indices) in &chosen {
            let pulses = pulses_of(pattern, *lane);
            let later: Vec<Pulse> = indices
                .iter()
                .filter_map(|index| pulses.get(*index))
                .map(|pulse| Pulse {
                    start: pulse.start + by,
                    ..*pulse
                })
                .collect();
            let later = wrapped(&later, pattern.period);
            let mut all = pulses.to_vec();
            all.extend(&later);
            sort_by(&mut all, |one, other| one.start.cmp(&other.start));
            if !is_free_of_overlap(&all) {
                return Err(format!(
                    "no room for the copy, it would begin {by} after the first pulse"
                ));
            }
            copies.extend(later.into_iter().map(|pulse| (*lane, pulse)));
            changes.insert(*lane, all);
        }
        self.commit_lanes(pattern, "Duplicate", changes, &copies)
    }

    fn repeat(&mut self, pattern: &Pattern, n_times: i64) -> Done {
        let (chosen, _) = self.pulses_meant(pattern)?;
        let mut changes = LaneChanges::default();
        for (lane, indices) in &chosen {
            let pulses: Vec<Pulse> = indices
                .iter()
                .filter_map(|index| pulses_of(pattern, *lane).get(*index).copied())
                .collect();
            let all =
                repeated(&pulses, pattern.period, pattern.tick, n_times).ok_or_else(|| {
                    format!(
                        "{n_times} times do not fit, each has {} of the period, {}",
                        Micros(pattern.period.0 / n_times),
                        pattern.period
                    )
                })?;
            changes.insert(*lane, all);
        }
        self.commit_lanes(pattern, &format!("Repeat {n_times} times"), changes, &[])
    }

    fn quantize(&mut self, pattern: &Pattern) -> Done {
        let (chosen, _) = self.pulses_meant(pattern)?;
        let mut changes = LaneChanges::default();
        let mut moved = Vec::new();
        for (lane, indices) in &chosen {
            let mut all = pulses_of(pattern, *lane).to_vec();
            for index in indices {
                if let Some(pulse) = all.get_mut(*index) {
                    let round = |at: Micros| {
                        if at == pattern.period {
                            at
                        } else {
                            at.round_to(pattern.tick).min(pattern.period)
                        }
                    };
                    let (from, to) = (round(pulse.start), round(pulse.end()));
                    if to <= from {
                        return Err(format!(
                            "pulse {} of lane {lane} is shorter than a tick, {}, and would vanish",
                            index + 1,
                            pattern.tick,
                            lane = role_of(pattern, *lane),
                        ));
                    }
                    pulse.start = from;
                    pulse.length = to - from;
                    moved.push((*lane, *pulse));
                }
            }
            if !is_free_of_overlap(&all) {
                return Err(format!(
                    "pulses of lane {} would overlap on the tick, {}",
                    role_of(pattern, *lane),
                    pattern.tick
                ));
            }
            changes.insert(*lane, all);
        }
        self.commit_lanes(pattern, "Move to the tick", changes, &moved)
    }

    fn spread(&mut self, pattern: &Pattern) -> Done {
        let (chosen, is_selected) = self.pulses_meant(pattern)?;
        let mut changes = LaneChanges::default();
        for (lane, indices) in &chosen {
            let pulses = pulses_of(pattern, *lane);
            let is_part = is_selected && indices.len() > 2;
            let moving: Vec<usize> = if is_part {
                indices.clone()
            } else {
                (0..pulses.len()).collect()
            };
            let start = |place: Option<&usize>| {
                place
                    .and_then(|index| pulses.get(*index))
                    .map_or(Micros::ZERO, |pulse| pulse.start)
            };
            let (first, last) = (start(moving.first()), start(moving.last()));
            let n_pulses = i64::try_from(moving.len()).unwrap_or(i64::MAX);
            let (whole, parts) = if is_part {
                (last - first, n_pulses - 1)
            } else {
                (pattern.period, n_pulses)
            };
            let mut all = pulses.to_vec();
            for (place, index) in (0_i64..).zip(&moving) {
                if let Some(pulse) = all.get_mut(*index) {
                    let by = Micros(whole.0 * place / parts.max(1));
                    let by = if by == whole {
                        by
                    } else {
                        by.round_to(pattern.tick)
                    };
                    pulse.start = first + by;
                }
            }
            let all = wrapped(&all, pattern.period);
            if !is_free_of_overlap(&all) {
                return Err(format!(
                    "pulses of lane {} would overlap at equal distances",
                    role_of(pattern, *lane)
                ));
            }
            changes.insert(*lane, all);
        }
        self.commit_lanes(pattern, "Spread evenly", changes, &[])
    }

    fn mirror(&mut self, pattern: &Pattern, wanted: Option<RoleId>) -> Done {
        let sources = match &wanted {
            Some(_) => vec![self.focus.lane().ok_or("no lane is in focus")?],
            None => self.lanes_meant(pattern)?,
        };
        let mut next = pattern.clone();
        let mut names = Vec::new();
        let mut half = Micros::ZERO;
        for source in sources {
            // Half of what repeats: a lane that plays twice in the period would else come out as it was.
            let times = n_repeats(pulses_of(pattern, source), pattern.period).unwrap_or(1);
            half = Micros(pattern.period.0 / times / 2);
            let pulses = shifted(pulses_of(pattern, source), pattern.period, half);
            let target = match &wanted {
                Some(role) => next
                    .lanes
                    .iter()
                    .position(|lane| lane.role == *role)
                    .map_or_else(|| OtherSide::New(role.clone()), OtherSide::Lane),
                None => other_side(&next, source),
            };
            match target {
                OtherSide::Lane(lane) if lane == source => {
                    return Err("a lane is not its own other side, name another one".into());
                }
                OtherSide::Lane(lane) => {
                    if let Some(lane) = next.lanes.get_mut(lane) {
                        lane.pulses = pulses.into();
                        names.push(lane.role.to_string());
                    }
                }
                OtherSide::New(role) => {
                    names.push(role.to_string());
                    next.lanes.push(Lane {
                        role,
                        pulses: pulses.into(),
                    });
                }
                OtherSide::None => {
                    return Err(format!(
                        "lane {} names no side; choose \"Mirror to a lane\" and name one",
                        role_of(pattern, source)
                    ));
                }
            }
        }
        if next == *pattern {
            return Err("the other side plays this already".into());
        }
        self.commit("Mirror", &Edit::Put(Item::Pattern(next)))?;
        self.select(|selection| selection.pulses.clear());
        self.focus = self.focus.lane().map_or(Focus::None, Focus::Lane);
        Ok(Outcome::Say(format!(
            "Lane {} plays the same {half} later",
            names.join(", ")
        )))
    }

    /// Makes the period another one and scales all pulses with it.
    fn scale(&mut self, pattern: &Pattern, period: Micros) -> Result<(), String> {
        if period <= Micros::ZERO || period > MAX_COMMON_PERIOD {
            return Err(format!(
                "period {period}, more than 0 and at most {MAX_COMMON_PERIOD} wanted"
            ));
        }
        if period == pattern.period {
            return Err(format!("the period is {period} already"));
        }
        let next = scaled(pattern, period).ok_or_else(|| {
            format!(
                "scaled to {period}, a pulse or a gap would vanish on the tick, {}",
                pattern.tick
            )
        })?;
        self.commit("Scale pattern", &Edit::Put(Item::Pattern(next)))?;
        self.zoom_to_fit();
        Ok(())
    }

    fn set_runs(&mut self, pattern: &Pattern, text: &str) -> Done {
        let lane_idx = self.focus.lane().ok_or("no lane is in focus")?;
        let role = self.focused_lane(pattern)?.role.clone();
        let (pulses, end, is_lit) = runs(text)?;
        let is_alone = pattern
            .lanes
            .iter()
            .enumerate()
            .all(|(index, lane)| index == lane_idx || lane.pulses.is_empty());
        let fits = end == pattern.period || (is_lit && end < pattern.period) || pulses.is_empty();
        let repeats = end > Micros::ZERO && pattern.period.0 % end.0 == 0;
        let mut next = pattern.clone();
        let mut text = format!("Lane {role} typed");
        if !fits && !is_lit && is_alone && end <= MAX_COMMON_PERIOD {
            next.period = end;
            text = format!("Lane {role} typed, period {end}");
        } else if !fits && !repeats {
            return Err(format!(
                "the runs last {end}, the period is {}; leave the last dark away or set the period first",
                pattern.period
            ));
        }
        let pulses = if next.period == end || fits {
            pulses
        } else {
            text = format!(
                "Lane {role} typed, {} times in the period",
                pattern.period.0 / end.0
            );
            whole_lane(&pulses, end, pattern.period)?
        };
        if let Some(lane) = next.lanes.get_mut(lane_idx) {
            lane.pulses = pulses.into();
        }
        let has_new_period = next.period != pattern.period;
        self.commit("Type lane", &Edit::Put(Item::Pattern(next)))?;
        if has_new_period {
            self.zoom_to_fit();
        }
        self.select(|selection| selection.pulses.clear());
        self.focus = Focus::Lane(lane_idx);
        Ok(Outcome::Say(text))
    }

    fn set_duty(&mut self, pattern: &Pattern, percent: i64) -> Done {
        let lane_idx = self.focus.lane().ok_or("no lane is in focus")?;
        let lane = self.focused_lane(pattern)?;
        let lit = lit_time(&lane.pulses);
        if lit == Micros::ZERO {
            return Err(format!("lane {} is dark, draw a pulse first", lane.role));
        }
        let wanted = Micros(pattern.period.0.saturating_mul(percent) / 100_000);
        let mut all = lane.pulses.to_vec();
        for index in 0..all.len() {
            let next = all.get(index + 1).map_or(pattern.period, |next| next.start);
            if let Some(pulse) = all.get_mut(index) {
                let exact = i128::from(pulse.length.0) * i128::from(wanted.0) / i128::from(lit.0);
                let length = Micros(i64::try_from(exact).unwrap_or(i64::MAX / 4));
                pulse.length = length.round_to(pattern.tick).max(pattern.tick);
                if percent <= 0 || pulse.end() > next {
                    return Err(format!(
                        "{} % do not fit, pulse {} has at most {}",
                        typed(percent),
                        index + 1,
                        next - pulse.start
                    ));
                }
            }
        }
        self.commit_lanes(
            pattern,
            "Set lit share",
            LaneChanges::from([(lane_idx, all)]),
            &[],
        )
    }
}

/// Whether rising indices have one among them.
fn has(indices: &[usize], index: usize) -> bool {
    indices.binary_search(&index).is_ok()
}

/// The pulses of a lane; none of a lane that is not there.
fn pulses_of(pattern: &Pattern, lane: usize) -> &[Pulse] {
    pattern.lanes.get(lane).map_or(&[], |lane| &lane.pulses)
}

fn role_of(pattern: &Pattern, lane: usize) -> &str {
    pattern
        .lanes
        .get(lane)
        .map_or("", |lane| lane.role.as_str())
}

fn round_up(time: Micros, tick: Micros) -> Micros {
    let rounded = time.round_to(tick);
    if rounded < time {
        rounded + tick
    } else {
        rounded
    }
}

/// The pulses of a whole lane in another period: repeated when that is a multiple of theirs.
fn whole_lane(pulses: &[Pulse], from: Micros, to: Micros) -> Result<Vec<Pulse>, String> {
    let times = if from > Micros::ZERO && to.0 % from.0 == 0 {
        to.0 / from.0
    } else {
        1
    };
    let all: Vec<Pulse> = (0..times)
        .flat_map(|time| {
            pulses.iter().map(move |pulse| Pulse {
                start: pulse.start + from * time,
                ..*pulse
            })
        })
        .collect();
    match all.last() {
        Some(last) if last.end() > to => Err(format!(
            "the last pulse ends at {}, the period is {to}",
            last.end()
        )),
        _ => Ok(all),
    }
}

/// The lane of the other side.
enum OtherSide {
    /// There is one.
    Lane(usize),
    /// It is named by the lane and missing.
    New(RoleId),
    /// The lane names no side.
    None,
}

/// "left" and "right" change places in a role; numbers are counted from the other end.
fn other_side(pattern: &Pattern, lane: usize) -> OtherSide {
    let role = role_of(pattern, lane);
    let place = |role: &str| {
        pattern
            .lanes
            .iter()
            .position(|lane| lane.role.as_str() == role)
    };
    for (one, other) in [("left", "right"), ("right", "left")] {
        if role.contains(one) {
            let named = role.replacen(one, other, 1);
            return match (place(&named), RoleId::new(&named)) {
                (Some(lane), _) => OtherSide::Lane(lane),
                (None, Ok(role)) => OtherSide::New(role),
                (None, Err(_)) => OtherSide::None,
            };
        }
    }
    let Some((stem, number)) = numbered(role) else {
        return OtherSide::None;
    };
    let numbers = || {
        pattern.lanes.iter().filter_map(|lane| {
            numbered(lane.role.as_str())
                .filter(|(known, _)| *known == stem)
                .map(|(_, number)| number)
        })
    };
    match (numbers().min(), numbers().max()) {
        (Some(least), Some(most)) if least + most != 2 * number => {
            place(&format!("{stem}{}", least + most - number))
                .map_or(OtherSide::None, OtherSide::Lane)
        }
        _ => OtherSide::None,
    }
}

/// A role that ends with a number, as what comes before and the number.
fn numbered(role: &str) -> Option<(&str, u32)> {
    let stem = role.trim_end_matches(|letter: char| letter.is_ascii_digit());
    let number = role.get(stem.len()..)?.parse().ok()?;
    Some((stem, number))
}
