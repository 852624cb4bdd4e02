//! From what a person would say to a pattern: pulses per flash, rate, arrangement, level.
//!
//! Invariant: every edge of a built pattern is a multiple of the tick and every lane repeats once per period; what the tick does not allow exactly is said with the number.
//! Absent: judging what is built (see [`crate::trial`]), and binding it to heads (see [`crate::bind_lanes`]).

use lampwright_analysis::quantity::{Quantity, Unit};
use lampwright_model::{Color, Lane, Pattern, PatternId, Program, Pulse, RoleId};
use lampwright_timing::{Level, Micros};

/// What a person wants a pattern to do.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Wish {
    /// How the lanes stand to each other.
    pub arrangement: Arrangement,
    /// Number of lanes, for arrangements that count them.
    pub n_lanes: i64,
    /// Pulses in each flash.
    pub n_pulses: i64,
    /// How often each lane flashes, in thousandths of a flash per minute: 60,000 is 1 Hz.
    pub rate: i64,
    /// How long a pulse is.
    pub length: PulseLength,
    /// Time between two pulses of one flash.
    pub gap: Micros,
    /// Level of the pulses.
    pub level: Level,
    /// Level between them; dark for none.
    pub low: Level,
    /// Step of the controller.
    pub tick: Micros,
    /// Color of the pulses; none is the color the layer gives.
    pub color: Option<Color>,
    /// Color of the right side, or of every second pair; none is the same as the first.
    pub second_color: Option<Option<Color>>,
}

impl Default for Wish {
    /// Left against right, one pulse of 38 %, 75 per minute a side: together never more than three flashes in a second.
    fn default() -> Self {
        Self {
            arrangement: Arrangement::Alternating,
            n_lanes: 8,
            n_pulses: 1,
            rate: 75_000,
            length: PulseLength::Share(380),
            gap: Micros::from_ms(75),
            level: Level::FULL,
            low: Level::DARK,
            tick: Micros::from_ms(5),
            color: None,
            second_color: None,
        }
    }
}

/// How long a pulse is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum PulseLength {
    /// This long.
    Time(Micros),
    /// So that all pulses of a lane together are lit for this share of the period, per mille.
    Share(i64),
}

/// How the lanes of a pattern stand to each other.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Arrangement {
    /// Left and right together.
    InStep,
    /// Right half a period after left.
    Alternating,
    /// Lanes 1 and 2 together, 3 and 4 half a period later, and so on in turn.
    Pairs,
    /// One lane after the other from the first.
    SweepRight,
    /// One lane after the other from the last.
    SweepLeft,
    /// From the middle to both ends.
    SweepOut,
    /// From both ends to the middle.
    SweepIn,
    /// Light without a change.
    Steady,
}

impl Arrangement {
    /// All arrangements in their order.
    pub const ALL: [Self; 8] = [
        Self::InStep,
        Self::Alternating,
        Self::Pairs,
        Self::SweepRight,
        Self::SweepLeft,
        Self::SweepOut,
        Self::SweepIn,
        Self::Steady,
    ];

    /// What it is called in a list.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::InStep => "Both sides in step",
            Self::Alternating => "Left against right",
            Self::Pairs => "Pairs in turn",
            Self::SweepRight => "Sweep from left to right",
            Self::SweepLeft => "Sweep from right to left",
            Self::SweepOut => "Sweep outward",
            Self::SweepIn => "Sweep inward",
            Self::Steady => "Steady",
        }
    }

    /// Whether the number of lanes is the person's to choose.
    #[must_use]
    pub const fn counts_lanes(self) -> bool {
        !matches!(self, Self::InStep | Self::Alternating | Self::Steady)
    }

    /// Whether some of its lanes can have a second color.
    #[must_use]
    pub const fn has_second(self) -> bool {
        matches!(self, Self::InStep | Self::Alternating | Self::Pairs)
    }

    /// Whether a lane has the second color.
    const fn is_second(self, lane: usize) -> bool {
        match self {
            Self::InStep | Self::Alternating => lane == 1,
            Self::Pairs => lane / 2 % 2 == 1,
            _ => false,
        }
    }

    /// For each lane, after how many steps it begins, and into how many steps a period is parted.
    fn steps(self, n_lanes: i64) -> (Vec<i64>, i64) {
        let half = (n_lanes + 1) / 2;
        let from_end = |lane: i64| lane.min(n_lanes - 1 - lane);
        let lanes = 0..n_lanes;
        match self {
            Self::InStep | Self::Steady => (lanes.map(|_| 0).collect(), 1),
            Self::Alternating => (lanes.collect(), 2),
            Self::Pairs => (lanes.map(|lane| lane / 2 % 2).collect(), 2),
            Self::SweepRight => (lanes.collect(), n_lanes),
            Self::SweepLeft => (lanes.rev().collect(), n_lanes),
            Self::SweepIn => (lanes.map(from_end).collect(), half),
            Self::SweepOut => (lanes.map(|lane| half - 1 - from_end(lane)).collect(), half),
        }
    }
}

/// What came of a wish.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Built {
    /// The pattern; its identifier is that of its label.
    pub pattern: Pattern,
    /// What could not be met exactly, with the numbers.
    pub notes: Vec<String>,
    /// Length of a pulse.
    pub length: Micros,
    /// Lit time of a lane in per mille of the period.
    pub share: i64,
}

/// Fewest and most flashes per minute, in thousandths.
pub const RATES: (i64, i64) = (1_000, 1_200_000);
/// Fewest and most pulses of a flash.
pub const PULSES: (i64, i64) = (1, 12);
/// Fewest and most lanes of an arrangement that counts them.
pub const LANES: (i64, i64) = (2, 64);
/// Shortest and longest tick.
pub const TICKS: (Micros, Micros) = (Micros(100), Micros(100_000));
/// Period of a steady pattern.
const STEADY_PERIOD: Micros = Micros::from_ms(1_000);

/// Builds the pattern a person asks for.
///
/// # Errors
/// When it cannot be built: what does not fit, with the numbers and what to choose instead.
pub fn build(wish: &Wish) -> Result<Built, String> {
    let is_steady = wish.arrangement == Arrangement::Steady;
    within("pulses per flash", wish.n_pulses, PULSES)?;
    if wish.arrangement.counts_lanes() {
        within("lanes", wish.n_lanes, LANES)?;
    }
    if wish.arrangement == Arrangement::Pairs && wish.n_lanes < 3 {
        return Err(format!(
            "{} lanes make one pair, choose 3 or more",
            wish.n_lanes
        ));
    }
    if wish.tick < TICKS.0 || wish.tick > TICKS.1 {
        return Err(format!(
            "a tick of {}, between {} and {} wanted",
            wish.tick, TICKS.0, TICKS.1
        ));
    }
    if wish.level <= wish.low {
        return Err(format!(
            "level {} is not above the level between pulses, {}",
            wish.level, wish.low
        ));
    }
    if is_steady {
        return steady(wish);
    }
    if wish.rate < RATES.0 || wish.rate > RATES.1 {
        return Err(format!(
            "{}, between {} and {} wanted",
            rate_text(wish.rate),
            rate_text(RATES.0),
            rate_text(RATES.1)
        ));
    }
    let mut notes = Vec::new();
    let period = period(wish, &mut notes);
    let length = length(wish, period, &mut notes);
    let gap = rounded(wish.gap, wish.tick);
    if wish.n_pulses > 1 && gap != wish.gap {
        notes.push(format!(
            "A gap of {} on a {} tick becomes {gap}",
            wish.gap, wish.tick
        ));
    }
    let flash = length * wish.n_pulses + gap * (wish.n_pulses - 1);
    let dark = period - flash;
    if dark < wish.tick {
        return Err(format!(
            "{} take {flash}, the period is {period}: choose fewer or shorter pulses, shorter gaps or a lower rate",
            pulses_text(wish.n_pulses, length, gap)
        ));
    }
    if wish.n_pulses > 1 && dark <= gap {
        return Err(format!(
            "{dark} between two flashes is no longer than the gap of {gap} within one, so no flash ends: choose fewer or shorter pulses, shorter gaps or a lower rate"
        ));
    }
    let roles = roles(wish)?;
    let n_lanes = i64::try_from(roles.len()).unwrap_or(i64::MAX);
    let (starts, n_steps) = wish.arrangement.steps(n_lanes);
    let step = step(wish, period, flash, n_steps)?;
    let lanes = roles
        .into_iter()
        .zip(starts)
        .enumerate()
        .map(|(index, (role, start))| {
            let color = match wish.second_color {
                Some(second) if wish.arrangement.is_second(index) => second,
                _ => wish.color,
            };
            Lane {
                role,
                pulses: pulses(wish, color, period, step * start, length, gap).into(),
            }
        })
        .collect();
    let share = (length * wish.n_pulses).0 * 1000 / period.0;
    let label = label(wish, Some(period));
    Ok(Built {
        pattern: Pattern {
            id: id_of(&label)?,
            label,
            period,
            tick: wish.tick,
            lanes,
        },
        notes,
        length,
        share,
    })
}

/// A name for a new pattern that the program does not use yet.
#[must_use]
pub fn free_id(program: &Program, wanted: &PatternId) -> PatternId {
    let is_free = |id: &PatternId| !program.patterns.iter().any(|known| known.id == *id);
    if is_free(wanted) {
        return wanted.clone();
    }
    let stem: String = wanted.as_str().chars().take(58).collect();
    (2..100_000_u32)
        .filter_map(|number| PatternId::new(&format!("{stem}-{number}")).ok())
        .find(is_free)
        .unwrap_or_else(|| wanted.clone())
}

/// A rate in Hz with the figure per minute beside it; `rate` in thousandths per minute.
#[must_use]
pub fn rate_text(rate: i64) -> String {
    hertz(rate).text_apart_from(&[])
}

/// Thousandths per minute as an exact number of hertz.
fn hertz(rate: i64) -> Quantity {
    Quantity::new(i128::from(rate), 60_000, Unit::Hertz)
}

fn within(what: &str, value: i64, (least, most): (i64, i64)) -> Result<(), String> {
    if (least..=most).contains(&value) {
        Ok(())
    } else {
        Err(format!(
            "{value} asked for, between {least} and {most} {what} wanted"
        ))
    }
}

/// On the tick, at least one.
fn rounded(time: Micros, tick: Micros) -> Micros {
    time.round_to(tick).max(tick)
}

/// The period nearest to the wish; of an even number of ticks where the lanes take turns, so that half of it is on the tick too.
fn period(wish: &Wish, notes: &mut Vec<String>) -> Micros {
    let has_halves = matches!(
        wish.arrangement,
        Arrangement::Alternating | Arrangement::Pairs
    );
    let unit = if has_halves { wish.tick * 2 } else { wish.tick };
    // Sixty million microseconds a minute, by thousandths of a flash.
    let minute = 60_000_000_000;
    let n_units = (2 * minute + wish.rate * unit.0) / (2 * wish.rate * unit.0);
    let period = unit * n_units.max(1);
    if period.0 * wish.rate != minute {
        let asked = hertz(wish.rate);
        let got = Quantity::new(1_000_000, i128::from(period.0), Unit::Hertz);
        notes.push(format!(
            "{} on a {} tick{} gives {period}, {}",
            asked.text_apart_from(&[got]),
            wish.tick,
            if has_halves { " with equal halves" } else { "" },
            got.text_apart_from(&[asked])
        ));
    }
    period
}

/// The length of a pulse nearest to the wish.
fn length(wish: &Wish, period: Micros, notes: &mut Vec<String>) -> Micros {
    match wish.length {
        PulseLength::Time(asked) => {
            let length = rounded(asked, wish.tick);
            if length != asked {
                notes.push(format!(
                    "A pulse of {asked} on a {} tick becomes {length}",
                    wish.tick
                ));
            }
            length
        }
        PulseLength::Share(share) => {
            let n_parts = 1000 * wish.n_pulses * wish.tick.0;
            let n_ticks = (2 * period.0 * share + n_parts) / (2 * n_parts);
            let length = wish.tick * n_ticks.max(1);
            let percent = |numerator: i64, denominator: i64| {
                let (numerator, denominator) = (i128::from(numerator), i128::from(denominator));
                Quantity::new(numerator * 100, denominator, Unit::Percent)
            };
            let asked = percent(share, 1000);
            let got = percent((length * wish.n_pulses).0, period.0);
            if asked != got {
                notes.push(format!(
                    "{} lit on a {} tick becomes {}, pulses of {length}",
                    asked.text_apart_from(&[got]),
                    wish.tick,
                    got.text_apart_from(&[asked])
                ));
            }
            length
        }
    }
}

/// Time from the beginning of one step to the next: the flash itself where the period has room for all of them, else as much as it has room for.
fn step(wish: &Wish, period: Micros, flash: Micros, n_steps: i64) -> Result<Micros, String> {
    if n_steps <= 2 && !wish.arrangement.is_sweep() {
        return Ok(Micros(period.0 / n_steps));
    }
    let room = Micros(period.0 / n_steps / wish.tick.0 * wish.tick.0);
    if room < wish.tick {
        return Err(format!(
            "{n_steps} steps of at least one {} tick do not fit into {period}: choose fewer lanes, a finer tick or a lower rate",
            wish.tick
        ));
    }
    Ok(flash.min(room))
}

impl Arrangement {
    const fn is_sweep(self) -> bool {
        matches!(
            self,
            Self::SweepRight | Self::SweepLeft | Self::SweepOut | Self::SweepIn
        )
    }
}

/// The pulses of one lane, cut where they pass the end of the period, with the low level between them.
fn pulses(
    wish: &Wish,
    color: Option<Color>,
    period: Micros,
    start: Micros,
    length: Micros,
    gap: Micros,
) -> Vec<Pulse> {
    let mut spans = Vec::new();
    for number in 0..wish.n_pulses {
        let from = (start + (length + gap) * number).wrap(period);
        let to = from + length;
        spans.push((from, to.min(period)));
        if to > period {
            spans.push((Micros::ZERO, to - period));
        }
    }
    lampwright_timing::sort(&mut spans);
    let mut pulses = Vec::new();
    let mut put = |from: Micros, to: Micros, level: Level| {
        if to > from && level > Level::DARK {
            pulses.push(Pulse {
                start: from,
                length: to - from,
                level,
                color,
            });
        }
    };
    let mut lit_until = Micros::ZERO;
    for (from, to) in spans {
        put(lit_until, from, wish.low);
        put(from, to, wish.level);
        lit_until = to;
    }
    put(lit_until, period, wish.low);
    pulses
}

fn steady(wish: &Wish) -> Result<Built, String> {
    let period = rounded(STEADY_PERIOD, wish.tick);
    let label = label(wish, None);
    let pulse = Pulse {
        start: Micros::ZERO,
        length: period,
        level: wish.level,
        color: wish.color,
    };
    let lane = |role: RoleId| Lane {
        role,
        pulses: [pulse].into(),
    };
    Ok(Built {
        pattern: Pattern {
            id: id_of(&label)?,
            label,
            period,
            tick: wish.tick,
            lanes: RoleId::new("all").into_iter().map(lane).collect(),
        },
        notes: Vec::new(),
        length: period,
        share: 1000,
    })
}

fn roles(wish: &Wish) -> Result<Vec<RoleId>, String> {
    let names = if wish.arrangement.counts_lanes() {
        (1..=wish.n_lanes)
            .map(|number| number.to_string())
            .collect()
    } else {
        vec!["left".to_owned(), "right".to_owned()]
    };
    names
        .iter()
        .map(|name| RoleId::new(name).map_err(|error| error.to_string()))
        .collect()
}

fn pulses_text(n_pulses: i64, length: Micros, gap: Micros) -> String {
    match n_pulses {
        1 => format!("Pulses of {length}"),
        2 => format!("2 pulses of {length} with a gap of {gap}"),
        more => format!("{more} pulses of {length} with gaps of {gap}"),
    }
}

/// A plain-word name.
fn label(wish: &Wish, period: Option<Micros>) -> String {
    let flash = match wish.n_pulses {
        1 => "single flash".to_owned(),
        2 => "double flash".to_owned(),
        3 => "triple flash".to_owned(),
        4 => "quad flash".to_owned(),
        more => format!("flash of {more} pulses"),
    };
    let n_lanes = wish.n_lanes;
    let mut label = match wish.arrangement {
        Arrangement::InStep => format!("Both sides in step, {flash}"),
        Arrangement::Alternating => format!("Alternating {flash}"),
        Arrangement::Pairs => format!("Pairs in turn over {n_lanes}, {flash}"),
        Arrangement::SweepRight => format!("Sweep to the right over {n_lanes}, {flash}"),
        Arrangement::SweepLeft => format!("Sweep to the left over {n_lanes}, {flash}"),
        Arrangement::SweepOut => format!("Sweep outward over {n_lanes}, {flash}"),
        Arrangement::SweepIn => format!("Sweep inward over {n_lanes}, {flash}"),
        Arrangement::Steady => "Steady".to_owned(),
    };
    if let Some(period) = period {
        let minute = Quantity::new(60_000_000, i128::from(period.0), Unit::Count);
        let side = if wish.arrangement == Arrangement::Alternating {
            " a side"
        } else {
            ""
        };
        label.push_str(&format!(
            ", {} per minute{side}",
            minute.number_apart_from(&[])
        ));
    }
    if wish.level != Level::FULL {
        label.push_str(&format!(", {}", wish.level));
    }
    if wish.low > Level::DARK && period.is_some() {
        label.push_str(&format!(", never below {}", wish.low));
    }
    label
}

/// An identifier from a label: letters and digits, with hyphens between.
fn id_of(label: &str) -> Result<PatternId, String> {
    let mut id = String::new();
    for letter in label.bytes() {
        if letter.is_ascii_alphanumeric() && id.len() < 64 {
            id.push(char::from(letter.to_ascii_lowercase()));
        } else if !id.is_empty() && !id.ends_with('-') && id.len() < 63 {
            id.push('-');
        }
    }
    PatternId::new(id.trim_end_matches('-')).map_err(|error| error.to_string())
}
