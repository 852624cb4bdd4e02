//! Operations on lanes as a whole that reach beyond them: the other side, the period, and lanes typed as numbers.
//!
//! Invariant: a lane keeps its role; only mirroring makes a new one.

use super::{pulses_of, role_of};
use crate::edits::{Done, Outcome};
use crate::lane_edit::LaneChanges;
use crate::lane_ops::{lit_time, n_repeats, seam_joined, shifted, wrapped};
use crate::numbers::{nearest, runs, typed};
use crate::{EditorState, Focus};
use lampwright_analysis::fix::scaled;
use lampwright_model::{Edit, Item, Lane, Pattern, Pulse, RoleId};
use lampwright_timing::{MAX_COMMON_PERIOD, Micros};

impl EditorState {
    pub(super) fn mirror(&mut self, pattern: &Pattern, wanted: Option<RoleId>) -> Done {
        let sources = match &wanted {
            Some(_) => vec![self.focus.lane().ok_or("no lane is in focus")?],
            None => self.lanes_meant(pattern)?,
        };
        let mut next = pattern.clone();
        let mut names = Vec::new();
        let mut half = Micros::ZERO;
        for source in sources {
            if pulses_of(pattern, source).is_empty() {
                return Err(format!(
                    "lane {} is empty, there is nothing to mirror",
                    role_of(pattern, source)
                ));
            }
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
    pub(super) fn scale(&mut self, pattern: &Pattern, period: Micros) -> Result<(), String> {
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

    pub(super) fn set_runs(&mut self, pattern: &Pattern, text: &str) -> Done {
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

    pub(super) fn set_duty(&mut self, pattern: &Pattern, percent: i64) -> Done {
        let lane_idx = self.focus.lane().ok_or("no lane is in focus")?;
        let lane = self.focused_lane(pattern)?;
        let lit = lit_time(&lane.pulses);
        if lit == Micros::ZERO {
            return Err(format!("lane {} is dark, draw a pulse first", lane.role));
        }
        if !(1..=100_000).contains(&percent) {
            return Err(format!(
                "{} % lit, more than 0 and at most 100 % wanted",
                typed(percent)
            ));
        }
        let wanted = Micros(pattern.period.0.saturating_mul(percent) / 100_000);
        let mut all = seam_joined(&lane.pulses, pattern.period);
        let around = all.first().map_or(Micros::ZERO, |first| first.start) + pattern.period;
        for index in 0..all.len() {
            let next = all.get(index + 1).map_or(around, |next| next.start);
            if let Some(pulse) = all.get_mut(index) {
                let exact = i128::from(pulse.length.0) * i128::from(wanted.0) / i128::from(lit.0);
                let length = Micros(i64::try_from(exact).unwrap_or(i64::MAX / 4));
                pulse.length = length.round_to(pattern.tick).max(pattern.tick);
                if pulse.end() > next {
                    return Err(format!(
                        "{} % lit do not fit, pulse {} would last {} and has room for {}",
                        typed(percent),
                        index + 1,
                        pulse.length,
                        next - pulse.start
                    ));
                }
            }
        }
        let all = wrapped(&all, pattern.period);
        let reached = nearest(lit_time(&all).0 * 100_000, pattern.period.0);
        self.commit_lanes(
            pattern,
            "Set lit share",
            LaneChanges::from([(lane_idx, all)]),
            &[],
        )?;
        let mut text = format!("Lane {} is lit for {} %", lane.role, typed(reached));
        if reached != percent {
            text.push_str(&format!(
                ", as its pulses last whole ticks of {}",
                pattern.tick
            ));
        }
        Ok(Outcome::Say(text))
    }
}

/// The pulses of a whole lane in another period: repeated when that is a multiple of theirs.
pub(super) fn whole_lane(pulses: &[Pulse], from: Micros, to: Micros) -> Result<Vec<Pulse>, String> {
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
pub(super) enum OtherSide {
    /// There is one.
    Lane(usize),
    /// It is named by the lane and missing.
    New(RoleId),
    /// The lane names no side.
    None,
}

/// "left" and "right" change places in a role; numbers are counted from the other end.
pub(super) fn other_side(pattern: &Pattern, lane: usize) -> OtherSide {
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
