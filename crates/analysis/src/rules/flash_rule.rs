//! Rules that hold the flashes of single lights, and how lights keep together, against what a published rule asks.
//!
//! Each such rule states its own definition of a flash; its figures are its parameters, found by name, and each rests on its parameter's source.
//! Invariant: exact comparisons, both ends of a band inside; a rule that no light comes under says so.
//! Absent: rules on several lights added up, on colors, and on levels.

pub(crate) use super::figures::{
    gap, hz, least_lit, least_per_minute, most_intervals, most_lit, most_lit_to_dark,
    most_per_minute, rate, share,
};

use super::figures::{GAP, LEAST_LIT, MOST_LIT, MOST_LIT_TO_DARK};
use super::lights::{Light, irregular, lights_of};
use super::rate_band::{self, RateBand, hertz, note_on_gap, period_for};
use super::shares::is_flashing;
use super::{
    Context, Draft, Judgment, Margin, Options, Rule, RuleMeta, count, heads_listed, listed,
    together,
};
use crate::Ratio;
use crate::facts::Flashes;
use crate::quantity::{Limit, Quantity, Unit};
use crate::report::Finding;
use lampwright_model::{Color, HeadId, ItemId, Place};
use lampwright_timing::{Micros, Waveform};

/// A rule on the flashes of single lights.
pub(crate) struct FlashRule {
    meta: &'static RuleMeta,
    flash: FlashIs,
    evenness: Evenness,
    keeping: Keeping,
    color: Option<Color>,
    named: Option<&'static str>,
    is_mean_enough: bool,
}

/// What a rule counts as one flash.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum FlashIs {
    /// Every lit period; the document says so.
    Pulse,
    /// Every pulse; whether a train of pulses may count as one flash is not said.
    PulseOrTrain,
    /// A pulse, or a train of pulses closed by the dark gap of the parameter `gap_ms`.
    Train,
    /// One repetition of the whole course.
    Cycle,
}

/// How alike the flashes have to be, with the source that asks for it.
#[derive(Clone, Copy)]
pub(crate) enum Evenness {
    /// As they come.
    Free,
    /// Flashes of equal light and equal dark.
    Alike(usize),
    /// Alike, and each at one level.
    AlikeAndFlat(usize),
}

/// How the lights keep to each other, with the source that asks for it.
#[derive(Clone, Copy)]
pub(crate) enum Keeping {
    /// Each for itself.
    Free,
    /// All lit and dark together.
    InStep(usize),
    /// Left and right in turn.
    InTurn(usize),
    /// In turn, and one side always lit.
    InTurnWithoutDark(usize),
}

impl FlashRule {
    /// A rule with only its parameters: rates (`least_per_minute`, `most_per_minute`, or in `hz`, and an `other_` band where two texts disagree) and lit share.
    pub(crate) const fn of(meta: &'static RuleMeta, flash: FlashIs) -> Self {
        Self {
            meta,
            flash,
            evenness: Evenness::Free,
            keeping: Keeping::Free,
            color: None,
            named: None,
            is_mean_enough: true,
        }
    }

    /// How alike the flashes have to be.
    pub(crate) const fn evenness(mut self, evenness: Evenness) -> Self {
        self.evenness = evenness;
        self
    }

    /// How the lights keep to each other.
    pub(crate) const fn keeping(mut self, keeping: Keeping) -> Self {
        self.keeping = keeping;
        self
    }

    /// Only light of one color.
    pub(crate) const fn only(mut self, color: Color) -> Self {
        self.color = Some(color);
        self
    }

    /// A light whose flashes come at more intervals than the parameter `most_intervals` does not pass by its mean rate alone: what is asked of it is not known.
    pub(crate) const fn of_regular_lights(mut self) -> Self {
        self.is_mean_enough = false;
        self
    }

    /// Only heads or patterns the profile names as this: "a headlamp".
    pub(crate) const fn named(mut self, what: &'static str) -> Self {
        self.named = Some(what);
        self
    }
}

impl Rule for FlashRule {
    fn meta(&self) -> &'static RuleMeta {
        self.meta
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        if let Some(judgment) = self.named.and_then(|what| unnamed(options, what)) {
            return judgment;
        }
        let lights = lights_of(context, options, self.color);
        if lights.list.is_empty() {
            return Judgment::not_applicable(lights.why_empty());
        }
        let mut found = Found::default();
        let mut n_by_gap = 0;
        let band = Band::of(options, "");
        let other = Band::of(options, "other_");
        for light in &lights.list {
            if let Some(band) = &band {
                n_by_gap += self.judge_rate(light, options, band, other.as_ref(), &mut found);
            }
            self.judge_evenness(light, options, band.as_ref(), &mut found);
            judge_lit_share(light, options, &mut found);
        }
        self.judge_keeping(context, options, &mut found);
        let mut note = match &band {
            Some(band) if self.flash == FlashIs::Train => {
                note_on_gap(n_by_gap, options, &band.by_trains(options))
            }
            _ => String::new(),
        };
        if !self.is_mean_enough {
            let unjudged: Vec<String> = lights
                .list
                .iter()
                .filter_map(|light| irregular(light, options))
                .collect();
            if !unjudged.is_empty() {
                let why = format!(
                    "irregular flashes at {}; what is asked of pseudo-random patterns is not known here",
                    listed(&unjudged)
                );
                if found.findings.is_empty() {
                    return Judgment::not_evaluated(why);
                }
                if !note.is_empty() {
                    note.push_str("; ");
                }
                note.push_str("by their mean rate alone: ");
                note.push_str(&why);
            }
        }
        Judgment::Checked {
            findings: found.findings,
            tightest: found.tightest,
            note,
        }
    }
}

/// The judgment of a rule on named lamps when the profile names none.
pub(crate) fn unnamed(options: &Options<'_>, what: &str) -> Option<Judgment> {
    (!options.is_narrowed()).then(|| {
        Judgment::not_evaluated(format!(
            "the profile does not say what is {what}; list its heads in heads or its patterns in only_patterns"
        ))
    })
}

/// What was found so far.
#[derive(Default)]
struct Found {
    findings: Vec<Finding>,
    tightest: Option<Margin>,
}

impl Found {
    /// Notes the margin of a value within its limit.
    fn inside(&mut self, value: Quantity, limit: Limit, place: &Place) {
        Margin::tighten(&mut self.tightest, value, limit, place);
    }
}

/// A band of rates and where it comes from.
struct Band {
    limit: Limit,
    source: usize,
}

impl Band {
    /// The band of the parameters whose names start so; none when the rule has none.
    fn of(options: &Options<'_>, prefix: &str) -> Option<Self> {
        let mut source = None;
        let mut end = |word: &str| {
            let find = |unit: &str| options.meta().parameter(&format!("{prefix}{word}_{unit}"));
            let (parameter, denominator) = find("per_minute")
                .map(|parameter| (parameter, 60_000))
                .or_else(|| find("hz").map(|parameter| (parameter, 1_000)))?;
            source = source.or(Some(parameter.source));
            let value = i128::from(options.thousandths(parameter.name));
            Some(Quantity::new(value, denominator, Unit::Hertz))
        };
        let limit = Limit {
            at_least: end("least"),
            at_most: end("most"),
        };
        source.map(|source| Self { limit, source })
    }

    fn by_trains(&self, options: &Options<'_>) -> RateBand {
        RateBand {
            limit: self.limit,
            gap: Micros(options.thousandths(GAP)),
            band_source: self.source,
            gap_source: options
                .meta()
                .parameter(GAP)
                .map_or(self.source, |parameter| parameter.source),
        }
    }
}

impl FlashRule {
    /// Judges the rate of a light; one when it is inside by the gap alone.
    fn judge_rate(
        &self,
        light: &Light<'_>,
        options: &Options<'_>,
        band: &Band,
        other: Option<&Band>,
        found: &mut Found,
    ) -> usize {
        if self.flash == FlashIs::Train {
            match rate_band::judge_light(light, options, &band.by_trains(options)) {
                Ok(passed) => {
                    found.inside(passed.rate, band.limit, &light.place);
                    return usize::from(passed.rests_on_gap);
                }
                Err(finding) => found.findings.push(*finding),
            }
            return 0;
        }
        let pulses = light.timing.flashes(Micros::ZERO);
        let (rate, n) = if self.flash == FlashIs::Cycle {
            let cycle = cycle(light.level);
            let rate = Ratio::new(1_000_000, i128::from(cycle.0));
            (Quantity::of(rate, Unit::Hertz), 1)
        } else {
            (hertz(&pulses), pulses.list.len())
        };
        let is_inside = band.limit.admits(rate);
        let is_inside_other = other.map_or(is_inside, |other| other.limit.admits(rate));
        if is_inside && is_inside_other {
            found.inside(rate, band.limit, &light.place);
            return 0;
        }
        let judged = other.filter(|_| is_inside).unwrap_or(band);
        let ends = judged.limit.ends();
        let draft = self
            .draft(light, options, judged.source)
            .measured(rate, judged.limit)
            .reading_differs(is_inside != is_inside_other || n == 0);
        let wanted = judged.limit.text();
        let on_heads = light.on_heads();
        if n == 0 {
            found.findings.push(draft.say(
                format!("never goes dark{on_heads}, so no flash ends; {wanted} wanted"),
                "Leave a dark gap after each flash, or hold the light steady",
            ));
            return 0;
        }
        let as_trains = self.as_trains(light, Some(band));
        let reading = match &as_trains {
            Some(trains) => format!("; counted as trains of pulses {}", hertz(trains)),
            None if is_inside != is_inside_other => "; the two texts disagree here".into(),
            None => String::new(),
        };
        let is_too_fast = judged.limit.at_most.is_some_and(|most| rate > most);
        let end = judged
            .limit
            .at_most
            .filter(|_| is_too_fast)
            .or(judged.limit.at_least)
            .unwrap_or(rate);
        let what = if self.flash == FlashIs::Cycle {
            "cycle repeats at"
        } else {
            "flashes at"
        };
        found
            .findings
            .push(draft.reading_differs(as_trains.is_some()).say(
                format!(
                    "{what} {}{on_heads}, {wanted} wanted{reading}",
                    rate.text_apart_from(&ends)
                ),
                format!(
                    "Make the period at {} {} for its {}",
                    if is_too_fast { "least" } else { "most" },
                    period_for(n, end, is_too_fast),
                    count(n, "flash", "flashes")
                ),
            ));
        0
    }

    fn judge_evenness(
        &self,
        light: &Light<'_>,
        options: &Options<'_>,
        band: Option<&Band>,
        found: &mut Found,
    ) {
        let (source, is_flat_wanted) = match self.evenness {
            Evenness::Free => return,
            Evenness::Alike(source) => (source, false),
            Evenness::AlikeAndFlat(source) => (source, true),
        };
        let on_heads = light.on_heads();
        let none = Limit::at_most(Quantity::whole(0, Unit::Milliseconds));
        let flashes = light.timing.flashes(Micros::ZERO);
        if let (Some(lit), Some(dark)) = (flashes.lights(), flashes.offs()) {
            let spread = (lit.largest - lit.least).max(dark.largest - dark.least);
            let spread = Quantity::of_time(spread);
            if none.admits(spread) {
                found.inside(spread, none, &light.place);
            } else {
                let time = Quantity::of_time;
                found.findings.push(
                    self.draft(light, options, source)
                        .measured(spread, none)
                        .reading_differs(self.as_trains(light, band).is_some())
                        .say(
                            format!(
                                "flashes are not alike{on_heads}: lit {} to {}, dark {} to {}; equal times wanted",
                                time(lit.least),
                                time(lit.largest),
                                time(dark.least),
                                time(dark.largest)
                            ),
                            "Give every flash the same length and every dark gap the same length",
                        ),
                );
            }
        } else if band.is_none() {
            found.findings.push(
                self.draft(light, options, source)
                    .reading_differs(true)
                    .say(
                        format!("never goes dark{on_heads}, so no flash ends"),
                        "Leave a dark gap after each flash, or hold the light steady",
                    ),
            );
        }
        let mut levels: Vec<i64> = light
            .level
            .steps()
            .iter()
            .map(|step| step.value)
            .filter(|level| *level > 0)
            .collect();
        levels.sort_unstable();
        if let (Some(least), Some(most)) = (levels.first(), levels.last())
            && least != most
            && is_flat_wanted
        {
            let level = |value: i64| Quantity::whole(value, Unit::LevelPerMille);
            found.findings.push(
                self.draft(light, options, source)
                    .measured(level(most - least), Limit::at_most(level(0)))
                    .say(
                        format!(
                            "level while lit goes from {} to {}{on_heads}, one level wanted",
                            level(*least),
                            level(*most)
                        ),
                        "Give all pulses of the lane one level",
                    ),
            );
        }
    }

    /// The flashes of the light as trains that keep band and evenness, when the rule's text may be read so.
    fn as_trains(&self, light: &Light<'_>, band: Option<&Band>) -> Option<Flashes> {
        if self.flash != FlashIs::PulseOrTrain {
            return None;
        }
        let pulses = light.timing.flashes(Micros::ZERO);
        let mut gaps: Vec<Micros> = pulses.list.iter().map(|flash| flash.off).collect();
        gaps.sort_unstable();
        gaps.dedup();
        gaps.into_iter()
            .skip(1)
            .map(|gap| light.timing.flashes(gap))
            .find(|trains| {
                let is_alike = [trains.lights(), trains.offs(), trains.intervals()]
                    .into_iter()
                    .all(|range| range.is_some_and(crate::facts::Range::is_equal));
                let is_free = matches!(self.evenness, Evenness::Free);
                band.is_none_or(|band| band.limit.admits(hertz(trains))) && (is_free || is_alike)
            })
    }

    fn draft<'o, 'p>(
        &self,
        light: &Light<'_>,
        options: &'o Options<'p>,
        source: usize,
    ) -> Draft<'o, 'p> {
        Draft::new(options, source, light.place.clone())
            .lane(light.lane_id())
            .head(light.heads.first())
            .span(light.on_lane(Micros::ZERO, light.level.period()))
    }

    fn judge_keeping(&self, context: &Context<'_>, options: &Options<'_>, found: &mut Found) {
        let heads: Vec<usize> = (0..context.facts.heads.len())
            .filter(|index| {
                options.looks_at_head(*index) && is_flashing(context, options, *index, self.color)
            })
            .collect();
        match self.keeping {
            Keeping::Free => {}
            Keeping::InStep(source) => {
                let ids: Vec<&HeadId> = together::out_of_step(&context.facts, &heads)
                    .into_iter()
                    .filter_map(|index| context.facts.heads.get(index).map(|head| &head.head))
                    .collect();
                if let Some(id) = ids.first() {
                    let place = Place::Item(ItemId::Head((*id).clone()));
                    let verb = if ids.len() == 1 { "is" } else { "are" };
                    found.findings.push(
                        Draft::new(options, source, place).head(Some(id)).say(
                            format!(
                                "{} {verb} not lit and dark together with head {}, all {} together wanted",
                                heads_listed(&ids),
                                heads
                                    .first()
                                    .and_then(|index| context.facts.heads.get(*index))
                                    .map_or("", |head| head.head.as_str()),
                                heads.len()
                            ),
                            "Play one lane on all of them, with no offset, on one clock",
                        ),
                    );
                }
            }
            Keeping::InTurn(source) => judge_turns(context, options, &heads, source, false, found),
            Keeping::InTurnWithoutDark(source) => {
                judge_turns(context, options, &heads, source, true, found);
            }
        }
    }
}

/// Left and right never lit at once; and never dark at once where that is asked for.
fn judge_turns(
    context: &Context<'_>,
    options: &Options<'_>,
    heads: &[usize],
    source: usize,
    is_one_always_lit: bool,
    found: &mut Found,
) {
    let place = Place::Pair("left", "right");
    let draft = || Draft::new(options, source, place.clone());
    let turns = match together::turns(&context.facts, heads) {
        Ok(turns) => turns,
        Err(why) => {
            found.findings.push(draft().say(
                format!("{why}, left and right in turn wanted"),
                "Let heads on both sides flash, on one clock, the other side half a period later",
            ));
            return;
        }
    };
    let none = Limit::at_most(Quantity::whole(0, Unit::Percent));
    let percent = |share: Ratio| Quantity::of(share.times(100), Unit::Percent);
    let mut judge = |share: Quantity, what: &str, help: &str| {
        if none.admits(share) {
            found.inside(share, none, &place);
        } else {
            let text = share.text_apart_from(&none.ends());
            let finding = draft().measured(share, none);
            let message = format!("left and right are {what} {text}, never wanted");
            found.findings.push(finding.say(message, help));
        }
    };
    judge(
        percent(turns.overlap),
        "lit at once for a share of their lit time of",
        "Let each side start only when the other has gone dark",
    );
    if is_one_always_lit {
        judge(
            percent(turns.both_dark),
            "dark at once for a share of the time of",
            "Let each side start at the instant the other goes dark",
        );
    }
}

/// The share of the time a light is lit, and lit against dark, where the rule has parameters for it.
fn judge_lit_share(light: &Light<'_>, options: &Options<'_>, found: &mut Found) {
    let timing = light.timing;
    let lit = Quantity::of(timing.duty.times(100), Unit::Percent);
    let to_dark = (timing.off_time > Micros::ZERO).then(|| {
        let ratio = Ratio::of_times(timing.on_time, timing.off_time);
        Quantity::of(ratio, Unit::Count)
    });
    for (name, value) in [
        (LEAST_LIT, Some(lit)),
        (MOST_LIT, Some(lit)),
        (MOST_LIT_TO_DARK, to_dark),
    ] {
        let (Some(parameter), Some(value)) = (options.meta().parameter(name), value) else {
            continue;
        };
        let end = Quantity::thousandths(options.thousandths(name), value.unit());
        let limit = if name == LEAST_LIT {
            Limit::at_least(end)
        } else {
            Limit::at_most(end)
        };
        if limit.admits(value) {
            found.inside(value, limit, &light.place);
            continue;
        }
        let on_heads = light.on_heads();
        let text = value.text_apart_from(&[end]);
        let what = if name == MOST_LIT_TO_DARK {
            format!("is lit {text} times as long as dark{on_heads}, at most {end} times wanted")
        } else {
            format!(
                "is lit {text} of the period{on_heads}, {} wanted",
                limit.text()
            )
        };
        found.findings.push(
            Draft::new(options, parameter.source, light.place.clone())
                .lane(light.lane_id())
                .head(light.heads.first())
                .span(light.on_lane(Micros::ZERO, light.level.period()))
                .measured(value, limit)
                .say(
                    what,
                    if name == LEAST_LIT {
                        "Lengthen the pulses"
                    } else {
                        "Shorten the pulses"
                    },
                ),
        );
    }
}

/// The shortest time after which a course repeats, which may be a part of its stated period.
pub(crate) fn cycle(course: &Waveform) -> Micros {
    let (period, edges) = (course.period(), course.edges());
    let n = edges.len();
    (1..=n)
        .filter(|part| n % part == 0 && period.0 % (n / part) as i64 == 0)
        .map(|part| (part, Micros(period.0 / (n / part) as i64)))
        .find(|(part, shift)| {
            edges
                .iter()
                .enumerate()
                .all(|(index, (at, before, after))| {
                    let (turn, place) = ((index + part) / n, (index + part) % n);
                    edges
                        .get(place)
                        .is_some_and(|(other, other_before, other_after)| {
                            *other + period * turn as i64 == *at + *shift
                                && (other_before, other_after) == (before, after)
                        })
                })
        })
        .map_or(period, |(_, shift)| shift)
}
