//! Operations on selected pulses and on whole lanes, and answers to the questions that some of them ask.
//!
//! An operation on pulses takes the selected ones, or all pulses of the selected or focused lanes when no pulse is selected.
//! Invariant: what does not fit is refused in words and nothing changes; every operation that changes lanes is one labelled step.

mod clip;
mod lanes;
mod trains;

use crate::edits::{Done, Outcome};
use crate::lane_edit::LaneChanges;
use crate::lane_ops::{n_repeats, seam_joined};
use crate::numbers::{lane_numbers, rate, typed, with_unit};
use crate::{Action, EditorState, Focus, PulseAt};
use lampwright_model::{Lane, Pattern, Pulse, RoleId};
use lampwright_timing::{Level, Micros};
use lanes::{OtherSide, other_side, whole_lane};
use std::rc::Rc;

pub(crate) use clip::Clip;

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
    /// Puts a copy right after the pulses, with a dark gap like theirs; refused where that leaves too short a dark gap beside another pulse.
    Duplicate,
    /// Turns lanes around in time, or the stretch of the selected pulses.
    Reverse,
    /// Gives the lane of the other side the same pulses half a period later, or half of the shortest part that repeats; makes that lane when it is missing.
    Mirror,
    /// Lights what is dark and darkens what is lit.
    Invert,
    /// Moves edges to the nearest tick.
    Quantize,
    /// Puts pulses at equal distances: three or more selected ones of a lane between the first and the last, two half a period apart, else all of the lane over the period.
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
    /// When the focused one of the selected pulses starts.
    Start,
    /// How long each selected pulse is.
    Length,
    /// The level of the selected pulses.
    Level,
    /// What the focused lane is called.
    LaneName,
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
            Self::Start => "Start in ms, of several the focused one's",
            Self::Length => "Length in ms, of each selected pulse",
            Self::Level => "Level in %, of each selected pulse",
            Self::LaneName => "Name of the lane: letters, digits, - _ .",
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
            Self::Start => "Set the start",
            Self::Length => "Set the length",
            Self::Level => "Set the level",
            Self::LaneName => "Rename the lane",
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
            Self::Start | Self::Length | Self::Level => state.reference_pulse(pattern).map_or_else(
                |_| String::new(),
                |pulse| match self {
                    Self::Start => typed(pulse.start.0),
                    Self::Length => typed(pulse.length.0),
                    _ => typed(pulse.level.per_mille() * 100),
                },
            ),
            Self::LaneName => role_of(pattern, lane).to_owned(),
        }
    }
}

/// What an operation works on in one lane.
struct Meant<'a> {
    lane: usize,
    role: &'a str,
    /// All pulses of the lane.
    pulses: &'a [Pulse],
    /// Which of them are meant, rising.
    indices: Vec<usize>,
    /// Whether they are selected, and not just all of the lane.
    is_selected: bool,
}

impl Meant<'_> {
    /// Whether a pulse is meant.
    fn has(&self, index: usize) -> bool {
        self.indices.binary_search(&index).is_ok()
    }

    /// The pulses that are meant.
    fn chosen(&self) -> Vec<Pulse> {
        let of = |index: &usize| self.pulses.get(*index).copied();
        self.indices.iter().filter_map(of).collect()
    }

    /// The same, the two pieces of a pulse across the end of the period as one.
    fn chosen_whole(&self, period: Micros) -> Vec<Pulse> {
        seam_joined(&self.chosen(), period)
    }

    /// From the first start to the last end of what is meant.
    fn span(&self) -> (Micros, Micros) {
        let at = |index: Option<&usize>| index.and_then(|index| self.pulses.get(*index));
        (
            at(self.indices.first()).map_or(Micros::ZERO, |first| first.start),
            at(self.indices.last()).map_or(Micros::ZERO, Pulse::end),
        )
    }
}

/// All pulses a lane gets, and those of them to be selected.
type Changed = Result<(Vec<Pulse>, Vec<Pulse>), String>;

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
            Action::Answer(question, text) => {
                let done = self.answer(&pattern, question, &text);
                self.refused_answer = done.is_err().then(|| (question, Rc::from(text)));
                done
            }
            _ => Ok(Outcome::Quiet),
        }
    }

    fn operation(&mut self, pattern: &Pattern, operation: Operation) -> Done {
        match operation {
            Operation::Copy => self.copy(pattern),
            Operation::Cut => {
                self.copy(pattern)?;
                self.delete(pattern, Some("Cut"))
            }
            Operation::Paste => self.paste(pattern),
            Operation::Mirror => self.mirror(pattern, None),
            Operation::Mute | Operation::Alone => self.silence(pattern, operation),
            of_trains => self.shape(pattern, of_trains),
        }
    }

    fn answer(&mut self, pattern: &Pattern, question: Question, text: &str) -> Done {
        let number = |unit: &str| {
            with_unit(text, unit)
                .ok_or_else(|| format!("\"{text}\", a number with at most three decimals wanted"))
        };
        let time = || number("ms").map(Micros);
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
            Question::Duty => self.set_duty(pattern, number("%")?),
            Question::Repeat => {
                let times = number("times")?;
                if times % 1000 != 0 || !(2_000..=1_000_000).contains(&times) {
                    return Err(format!(
                        "{text} times, a whole number from 2 to 1000 wanted"
                    ));
                }
                self.repeat(pattern, times / 1000)
            }
            Question::Shift => {
                let by = time()?;
                self.shift(pattern, by)
            }
            Question::Period => {
                let period = time()?;
                self.scale(pattern, period)?;
                let beside = beside_tick(period, pattern.tick);
                Ok(Outcome::Say(format!("Scaled to {period}{beside}")))
            }
            Question::MirrorTo => {
                let role = RoleId::new(text.trim()).map_err(|error| error.to_string())?;
                self.mirror(pattern, Some(role))
            }
            Question::Start => {
                let start = time()?;
                self.edit_pulses(Action::SetStart(start))
            }
            Question::Length => {
                let length = time()?;
                self.edit_pulses(Action::SetLength(length))
            }
            Question::Level => {
                let percent = number("%")?;
                let level = Level::new(percent / 100)
                    .ok()
                    .filter(|_| percent % 100 == 0)
                    .ok_or_else(|| {
                        format!(
                            "level {} %, 0.1 to 100 % with at most one decimal wanted",
                            typed(percent)
                        )
                    })?;
                self.edit_pulses(Action::SetLevel(level))
            }
            Question::LaneName => {
                let lane = self.focus.lane().ok_or("no lane is in focus")?;
                self.edit_pattern(Action::RenameLane {
                    lane,
                    role: text.to_owned(),
                })
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

    /// What is meant in each lane; lanes without such pulses are left out unless the operation is on lanes as a whole.
    fn meant<'a>(&self, pattern: &'a Pattern, is_of_lanes: bool) -> Result<Vec<Meant<'a>>, String> {
        let is_selected = !self.selection.pulses.is_empty();
        let lanes = if is_selected && !is_of_lanes {
            self.selection.lanes_of_pulses().into_iter().collect()
        } else {
            self.lanes_meant(pattern)?
        };
        let mut meant = Vec::new();
        for lane in lanes {
            let pulses = pulses_of(pattern, lane);
            let indices: Vec<usize> = if is_selected {
                self.selection.in_lane(lane).collect()
            } else {
                (0..pulses.len()).collect()
            };
            if is_of_lanes || !indices.is_empty() {
                meant.push(Meant {
                    lane,
                    role: role_of(pattern, lane),
                    pulses,
                    indices,
                    is_selected,
                });
            }
        }
        if meant.is_empty() {
            return Err("there is no pulse in the lane".into());
        }
        Ok(meant)
    }

    /// Changes each lane, as one step.
    fn change_each(
        &mut self,
        pattern: &Pattern,
        label: &str,
        meant: &[Meant<'_>],
        change: &dyn Fn(&Meant<'_>) -> Changed,
    ) -> Done {
        let mut changes = LaneChanges::default();
        let mut chosen = Vec::new();
        for of_lane in meant {
            let (all, selected) = change(of_lane)?;
            changes.insert(of_lane.lane, all);
            for pulse in selected {
                chosen.push((of_lane.lane, pulse));
            }
        }
        self.commit_lanes(pattern, label, changes, &chosen)
    }

    /// Commits new pulses of lanes as one step, and selects those that start where `chosen` do.
    pub(crate) fn commit_lanes(
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
        Ok(Outcome::Say(match (chosen.len(), n_lanes) {
            (0, 1) => label.to_owned(),
            (0, more) => format!("{label}, {more} lanes"),
            (1, _) => format!("{label}, 1 pulse"),
            (more, _) => format!("{label}, {more} pulses"),
        }))
    }

    /// Selects the pulses that start at given instants, and focuses the first.
    pub(crate) fn choose_pulses(&mut self, chosen: &[(usize, Pulse)]) {
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
}

/// What there is to say of a period that is no whole number of ticks.
pub(crate) fn beside_tick(period: Micros, tick: Micros) -> String {
    if period.round_to(tick) == period {
        String::new()
    } else {
        format!(", no whole number of ticks of {tick}")
    }
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
