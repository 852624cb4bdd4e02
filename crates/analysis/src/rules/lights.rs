//! The courses of light that timing rules judge, each once, however many heads show it.
//!
//! Invariant: only light that changes and that a pattern decides; in the vehicle's order of heads.
//! Absent: steady light, which no flash rule speaks of, and the light of several heads together.

use super::figures::{GAP, MOST_INTERVALS};
use super::{Context, Options, count};
use crate::facts::{Longest, TimingFacts};
use lampwright_model::{Color, HeadId, LaneUse, PatternId, Place, RoleId};
use lampwright_timing::{Interval, Micros, SortedSet, Waveform};

/// One course of light: a lane as it plays, or one color of one head.
#[derive(Clone, Debug)]
pub(crate) struct Light<'a> {
    /// The lane, or the emitter where a lane shows more than one course or several lanes meet.
    pub(crate) place: Place,
    /// The lane that lights it.
    pub(crate) lane: LaneUse,
    /// The period of that lane's pattern.
    pub(crate) pattern_period: Micros,
    /// The heads that show it.
    pub(crate) heads: Vec<&'a HeadId>,
    /// Its level in per mille.
    pub(crate) level: &'a Waveform,
    /// Its timing, lit above zero.
    pub(crate) timing: &'a TimingFacts,
}

impl Light<'_> {
    /// Pattern and lane, as findings carry them.
    pub(crate) fn lane_id(&self) -> (PatternId, RoleId) {
        (self.lane.pattern.clone(), self.lane.lane.clone())
    }

    /// A stretch of this light as a stretch of its lane's period.
    pub(crate) fn on_lane(&self, start: Micros, length: Micros) -> Interval {
        Interval {
            start: (start - self.lane.offset).wrap(self.pattern_period),
            length,
        }
    }

    /// " on head a", " on 12 heads".
    pub(crate) fn on_heads(&self) -> String {
        match self.heads.as_slice() {
            [] => String::new(),
            [one] => format!(" on head {one}"),
            [one, other] => format!(" on heads {one} and {other}"),
            many => format!(" on {} heads", many.len()),
        }
    }
}

/// What a timing rule has to look at in a state.
pub(crate) struct Lights<'a> {
    /// Light that flashes or changes its level.
    pub(crate) list: Vec<Light<'a>>,
    /// Emitters lit without any change, left out.
    pub(crate) n_steady: usize,
    /// Emitters left out because the profile narrows the rule.
    pub(crate) n_left_out: usize,
    /// Flashing emitters left out because the rule speaks of another color.
    pub(crate) n_other_color: usize,
}

impl Lights<'_> {
    /// Why nothing can be judged, in words.
    pub(crate) fn why_empty(&self) -> String {
        if self.n_other_color > 0 && self.n_left_out == 0 {
            return "nothing flashes in the color the rule speaks of".into();
        }
        match (self.n_steady, self.n_left_out) {
            (0, 0) => "nothing is lit".into(),
            (steady, 0) => format!("nothing flashes, {steady} lit without change"),
            (_, left_out) => {
                format!("nothing the profile puts under this rule flashes, {left_out} left out")
            }
        }
    }
}

/// The lights of a state under a rule's options.
pub(crate) fn lights<'a>(context: &'a Context<'_>, options: &Options<'_>) -> Lights<'a> {
    lights_of(context, options, None)
}

/// The same of one color, where a color is given.
pub(crate) fn lights_of<'a>(
    context: &'a Context<'_>,
    options: &Options<'_>,
    color: Option<Color>,
) -> Lights<'a> {
    let mut lights = Lights {
        list: Vec::new(),
        n_steady: 0,
        n_left_out: 0,
        n_other_color: 0,
    };
    for (index, head) in context.facts.heads.iter().enumerate() {
        let lanes_of = |lane: &LaneUse| {
            head.emitters
                .iter()
                .filter(|emitter| {
                    emitter
                        .lanes
                        .iter()
                        .any(|known| known.pattern == lane.pattern && known.lane == lane.lane)
                })
                .count()
        };
        for emitter in &head.emitters {
            if emitter.level.maximum() == 0 {
                continue;
            }
            if emitter.level.is_constant() {
                lights.n_steady += 1;
                continue;
            }
            let Some(lane) = emitter.lanes.first() else {
                lights.n_steady += 1;
                continue;
            };
            if color.is_some_and(|color| color != emitter.color) {
                lights.n_other_color += 1;
                continue;
            }
            let is_looked_at = options.looks_at_head(index)
                && emitter
                    .lanes
                    .iter()
                    .all(|lane| options.looks_at_pattern(&lane.pattern));
            if !is_looked_at {
                lights.n_left_out += 1;
                continue;
            }
            let pattern = context
                .program
                .patterns
                .iter()
                .find(|pattern| pattern.id == lane.pattern);
            let mut light = Light {
                place: Place::Lane(lane.pattern.clone(), lane.lane.clone()),
                lane: lane.clone(),
                pattern_period: pattern.map_or(emitter.level.period(), |pattern| pattern.period),
                heads: vec![&head.head],
                level: &emitter.level,
                timing: &emitter.timing,
            };
            if emitter.lanes.len() > 1 || lanes_of(lane) > 1 {
                light.place = Place::Emitter(head.head.clone(), emitter.color);
            }
            let known = lights
                .list
                .iter_mut()
                .find(|known| known.place == light.place);
            match known {
                Some(known) if is_same_course(known, &light) => known.heads.push(&head.head),
                Some(_) => {
                    light.place = Place::Emitter(head.head.clone(), emitter.color);
                    lights.list.push(light);
                }
                None => lights.list.push(light),
            }
        }
    }
    lights
}

/// Whether two lights are one course up to their offsets and a common dimming.
fn is_same_course(one: &Light<'_>, other: &Light<'_>) -> bool {
    let shape = |light: &Light<'_>| {
        let peak = light.level.maximum().max(1);
        let mut lit: Vec<(Micros, Micros)> = light
            .timing
            .lit
            .iter()
            .map(|stretch| {
                let on_lane = light.on_lane(stretch.start, stretch.length);
                (on_lane.start, on_lane.length)
            })
            .collect();
        lampwright_timing::sort(&mut lit);
        let above_tenth = light.level.time_above(peak / 10);
        (light.level.period(), lit, above_tenth)
    };
    // Heads of one lane mostly share its course, which is cheaper to see than to compare.
    let is_shared = std::ptr::eq(one.level, other.level) && one.lane == other.lane;
    is_shared || shape(one) == shape(other)
}

/// Place and number of intervals of a light whose flashes, by the parameter `gap_ms`, come at more different ones than `most_intervals`.
pub(crate) fn irregular(light: &Light<'_>, options: &Options<'_>) -> Option<String> {
    let flashes = light.timing.flashes(Micros(options.thousandths(GAP)));
    let intervals: SortedSet<Micros> = flashes.list.iter().map(|flash| flash.interval).collect();
    let most = options.thousandths(MOST_INTERVALS) / 1_000;
    i64::try_from(intervals.len())
        .is_ok_and(|n| n > most)
        .then(|| {
            let n = count(intervals.len(), "different interval", "different intervals");
            format!("{} ({n})", light.place)
        })
}

/// The longest dark gap of a light that is lit at some time; zero when it never goes dark.
pub(crate) fn longest_dark(timing: &TimingFacts) -> Micros {
    match timing.longest_dark {
        Longest::Lasts(length) => length,
        Longest::Never | Longest::Always => Micros::ZERO,
    }
}
