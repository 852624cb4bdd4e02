//! A second screening, written to be obvious and slow: one value per tick, every tick tried as the
//! start of a second, cyclic light unrolled, colors in floating point.
//!
//! It follows the published definitions step by step and shares no code with the analysis crate.
//! Where the outcome may depend on where counting began (dense onsets of several clusters, red
//! among several colors), every beginning is tried and the worst taken.

/// Light of one cluster.
#[derive(Clone, Debug)]
pub(crate) struct Cluster {
    pub(crate) xy: (f64, f64),
    /// One value per tick, over the period or the horizon.
    pub(crate) light: Vec<i64>,
}

/// The light of one direction.
#[derive(Clone, Debug)]
pub(crate) struct Light {
    pub(crate) second: i64,
    pub(crate) is_cyclic: bool,
    pub(crate) clusters: Vec<Cluster>,
    pub(crate) reference: Option<i64>,
    /// cd/m2 of one unit of light, whole.
    pub(crate) cd_m2_per_light: Option<i64>,
}

/// How long more than three a second go on.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub(crate) enum Run {
    Ticks(i64),
    Continuous,
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Found {
    pub(crate) sum: u32,
    pub(crate) pairs_floor: u32,
    pub(crate) cluster: u32,
    pub(crate) union: u32,
    pub(crate) abs: Option<u32>,
    pub(crate) red_sum: u32,
    pub(crate) red_union: u32,
    pub(crate) chroma: u32,
    pub(crate) span4: Option<i64>,
    pub(crate) burst: Option<i64>,
    pub(crate) run: Run,
}

type Move = (i64, bool);

fn qualifies_by_share(lo: i64, hi: i64, reference: i64) -> bool {
    10 * (hi - lo) >= reference && 10 * lo < 8 * reference
}

fn qualifies_by_luminance(lo: i64, hi: i64) -> bool {
    if lo < 160 {
        hi - lo >= 20
    } else {
        8 * (hi - lo) >= lo
    }
}

/// The moves of a signal of one value per tick from tick 0.
fn turning(values: &[i64], qualifies: &dyn Fn(i64, i64) -> bool) -> Vec<Move> {
    let (mut lo, mut hi, mut extreme) = (values[0], values[0], values[0]);
    let mut direction = 0;
    let mut moves = Vec::new();
    for (tick, &value) in values.iter().enumerate().skip(1) {
        let tick = tick as i64;
        match direction {
            0 => {
                if value > lo && qualifies(lo, value) {
                    direction = 1;
                    extreme = value;
                    moves.push((tick, true));
                } else if value < hi && qualifies(value, hi) {
                    direction = -1;
                    extreme = value;
                    moves.push((tick, false));
                }
                lo = lo.min(value);
                hi = hi.max(value);
            }
            1 => {
                if value >= extreme {
                    extreme = value;
                } else if qualifies(value, extreme) {
                    direction = -1;
                    extreme = value;
                    moves.push((tick, false));
                }
            }
            _ => {
                if value <= extreme {
                    extreme = value;
                } else if qualifies(extreme, value) {
                    direction = 1;
                    extreme = value;
                    moves.push((tick, true));
                }
            }
        }
    }
    moves
}

/// How many of the ascending `times` are in the second from `start` on.
fn in_second(times: &[i64], start: i64, second: i64) -> usize {
    times.partition_point(|time| *time < start + second) - times.partition_point(|t| *t < start)
}

/// The most instants in any second that starts at a tick of `from..to`.
fn worst(times: &[i64], second: i64, from: i64, to: i64) -> u32 {
    let counts = (from..to).map(|start| in_second(times, start, second));
    counts.max().unwrap_or(0) as u32
}

fn of_direction(moves: &[Move], is_rise: bool) -> Vec<i64> {
    moves
        .iter()
        .filter(|step| step.1 == is_rise)
        .map(|step| step.0)
        .collect()
}

/// Groups onsets (time, cluster), sorted by time, from instant number `first` on.
fn merged(onsets: &[(i64, usize)], first: i64, merge_per_second: (i64, i64)) -> Vec<i64> {
    let (second, parts) = merge_per_second;
    let mut events = Vec::new();
    let mut members: Vec<usize> = Vec::new();
    let mut opened: Option<i64> = None;
    let from = onsets.partition_point(|onset| onset.0 < first);
    let mut place = from;
    while place < onsets.len() {
        let time = onsets[place].0;
        let here: Vec<usize> = onsets[place..]
            .iter()
            .take_while(|onset| onset.0 == time)
            .map(|o| o.1)
            .collect();
        let is_near = opened.is_some_and(|opened| parts * (time - opened) <= second);
        if is_near && !here.iter().any(|cluster| members.contains(cluster)) {
            members.extend(&here);
        } else {
            opened = Some(time);
            members.clone_from(&here);
            events.push(time);
        }
        place += here.len();
    }
    events
}

fn to_xyz(xy: (f64, f64), y: f64) -> [f64; 3] {
    let (cx, cy) = xy;
    [y * cx / cy, y, y * (1.0 - cx - cy) / cy]
}

const D65: (f64, f64) = (0.3127, 0.3290);

#[derive(Clone, Copy, Debug, PartialEq)]
struct Color {
    u: f64,
    v: f64,
    is_saturated: bool,
    is_lit: bool,
}

fn color(xyz: [f64; 3], is_dark: bool, is_lit: bool) -> Color {
    let [x, y, z] = if is_dark { to_xyz(D65, 1.0) } else { xyz };
    let sum = x + 15.0 * y + 3.0 * z;
    let red = (3.240_454_8 * x - 1.537_138_9 * y - 0.498_531_5 * z).max(0.0);
    let green = (-0.969_266_4 * x + 1.876_010_9 * y + 0.041_556_1 * z).max(0.0);
    let blue = (0.055_643_4 * x - 0.204_025_9 * y + 1.057_225_2 * z).max(0.0);
    let is_saturated = !is_dark && red / (red + green + blue) >= 0.8;
    Color {
        u: 4.0 * x / sum,
        v: 9.0 * y / sum,
        is_saturated,
        is_lit,
    }
}

fn is_far(a: Color, b: Color) -> bool {
    ((a.u - b.u).powi(2) + (a.v - b.v).powi(2)).sqrt() > 0.2
}

fn red_moves(colors: &[Color], first: usize) -> Vec<Move> {
    let mut is_red = false;
    let mut kept = vec![colors[first]];
    let mut moves = Vec::new();
    for (tick, &here) in colors.iter().enumerate().skip(first + 1) {
        if here == colors[tick - 1] {
            // Nothing is new: it was kept, or changed the counter, a tick ago.
            continue;
        }
        let far = kept.iter().any(|&known| is_far(here, known));
        if here.is_saturated != is_red && far {
            is_red = !is_red;
            kept = vec![here];
            moves.push((tick as i64, is_red));
        } else if (here.is_saturated || !is_red) && !kept.contains(&here) {
            kept.push(here);
        }
    }
    moves
}

impl Light {
    fn ticks(&self) -> i64 {
        self.clusters[0].light.len() as i64
    }

    /// Everything the screening reports, by brute force.
    pub(crate) fn screen(&self) -> Found {
        let period = self.ticks();
        let second = self.second;
        // One period to settle, then starts over the longer of a period and two seconds.
        let (turns, from, to) = if self.is_cyclic {
            let starts = period.max(2 * second);
            let all = period + starts + 2 * second + period;
            ((all + period - 1) / period, period, period + starts)
        } else {
            (1, 0, period)
        };
        let unroll = |light: &[i64]| light.repeat(turns as usize);
        let n = period as usize;
        let luma: Vec<i64> = (0..n)
            .map(|tick| self.clusters.iter().map(|c| c.light[tick]).sum())
            .collect();
        let reference = self
            .reference
            .unwrap_or(luma.iter().copied().max().unwrap());
        let leading = |mut moves: Vec<Move>| {
            if self.is_cyclic {
                moves.retain(|step| step.0 >= period);
            } else {
                moves.pop();
            }
            moves
        };
        let count = |moves: &[Move]| {
            let rises = worst(&of_direction(moves, true), second, from, to);
            rises.max(worst(&of_direction(moves, false), second, from, to))
        };

        let sum_all = turning(&unroll(&luma), &|lo, hi| {
            qualifies_by_share(lo, hi, reference)
        });
        let all_times: Vec<i64> = sum_all.iter().map(|step| step.0).collect();
        let pairs_floor = worst(&all_times, second, from, to) / 2;
        let sum_moves = leading(sum_all);
        let mut trains = vec![
            of_direction(&sum_moves, true),
            of_direction(&sum_moves, false),
        ];

        let abs = self.cd_m2_per_light.map(|per_light| {
            let luminance: Vec<i64> = luma.iter().map(|light| light * per_light).collect();
            let moves = leading(turning(&unroll(&luminance), &qualifies_by_luminance));
            trains.push(of_direction(&moves, true));
            trains.push(of_direction(&moves, false));
            count(&moves)
        });

        let mut cluster_trains: Vec<Vec<i64>> = Vec::new();
        let (mut onsets, mut red_onsets) = (Vec::new(), Vec::new());
        for (place, cluster) in self.clusters.iter().enumerate() {
            let peak = cluster.light.iter().copied().max().unwrap();
            if 10 * peak < reference {
                continue;
            }
            let moves = turning(&unroll(&cluster.light), &|lo, hi| {
                qualifies_by_share(lo, hi, peak)
            });
            let moves = leading(moves);
            let rises = of_direction(&moves, true);
            let full = color(to_xyz(cluster.xy, 1.0), false, true);
            let is_red = full.is_saturated && is_far(full, color([0.0; 3], true, false));
            onsets.extend(rises.iter().map(|time| (*time, place)));
            if is_red {
                red_onsets.extend(rises.iter().map(|time| (*time, place)));
            }
            cluster_trains.push(rises);
            cluster_trains.push(of_direction(&moves, false));
        }
        let count_of = |train: &[i64]| worst(train, second, from, to);
        let cluster = cluster_trains
            .iter()
            .map(|train| count_of(train))
            .max()
            .unwrap_or(0);
        trains.extend(
            cluster_trains
                .into_iter()
                .filter(|train| cluster > 0 && count_of(train) == cluster),
        );

        let (union, events) = self.union(onsets);
        let (red_union, _) = self.union(red_onsets);
        let n = count(&sum_moves)
            .max(cluster)
            .max(union)
            .max(abs.unwrap_or(0));

        let span = |train: &[i64], k: usize| {
            train
                .windows(k + 1)
                .map(|window| window[k] - window[0])
                .min()
        };
        // The events may repeat over several periods only; their own windows tell all.
        let mut spans: Vec<i64> = trains.iter().filter_map(|train| span(train, 3)).collect();
        spans.extend(span(&events, 3));
        let bursts = trains.iter().filter(|train| count_of(train) > 3);
        let mut bursts: Vec<i64> = bursts.filter_map(|train| span(train, 2)).collect();
        if union > 3 {
            bursts.extend(span(&events, 2));
        }
        let runs = trains.iter().chain([&events]).map(|train| self.run(train));
        let run = runs.fold(Run::Ticks(0), |a, b| if b > a { b } else { a });
        assert_eq!(
            n > 3,
            spans.iter().any(|span| *span < second),
            "span4 against n"
        );

        let (red_sum, chroma) = self.colors(&luma, reference);
        Found {
            sum: count(&sum_moves),
            pairs_floor,
            cluster,
            union,
            abs,
            red_sum,
            red_union,
            chroma,
            span4: spans.into_iter().min(),
            burst: bursts.into_iter().min(),
            run,
        }
    }

    /// The worst second of the events, and the worst train of events.
    fn union(&self, mut onsets: Vec<(i64, usize)>) -> (u32, Vec<i64>) {
        onsets.sort_unstable();
        let period = self.ticks();
        let merge = (self.second, 30);
        if !self.is_cyclic {
            let events = merged(&onsets, 0, merge);
            return (worst(&events, self.second, 0, period), events);
        }
        let Some(first) = onsets.first().map(|onset| onset.0) else {
            return (0, Vec::new());
        };
        // One period of onsets, unrolled over as many periods as grouping can need.
        onsets.retain(|onset| onset.0 < first + period);
        let n = onsets.len() as i64;
        let settle = n + 1;
        let turns = 2 * settle + 2 + 3 * self.second / period + 3;
        let unrolled: Vec<(i64, usize)> = (0..turns)
            .flat_map(|turn| {
                onsets
                    .iter()
                    .map(move |onset| (onset.0 + turn * period, onset.1))
            })
            .collect();
        let mut best: Option<(u32, i64, Vec<i64>)> = None;
        let starts: std::collections::BTreeSet<i64> = onsets.iter().map(|onset| onset.0).collect();
        for start in starts {
            let events = merged(&unrolled, start, merge);
            let from = first + settle * period;
            let events: Vec<i64> = events.into_iter().filter(|time| *time >= from).collect();
            let count = events
                .iter()
                .filter(|start| **start < first + 2 * settle * period)
                .map(|start| in_second(&events, *start, self.second))
                .max()
                .unwrap_or(0) as u32;
            let span = events
                .windows(4)
                .map(|window| window[3] - window[0])
                .min()
                .unwrap_or(i64::MAX);
            if best
                .as_ref()
                .is_none_or(|(n, s, _)| (count, *s) > (*n, span))
            {
                best = Some((count, span, events));
            }
        }
        best.map(|(count, _, events)| (count, events))
            .unwrap_or_default()
    }

    /// The longest time above three a second, tick by tick; cyclic trains have settled.
    fn run(&self, train: &[i64]) -> Run {
        let mut covered: Vec<(i64, i64)> = Vec::new();
        for window in train.windows(4) {
            let (from, to) = (window[0], window[3]);
            if to - from >= self.second {
                continue;
            }
            match covered.last_mut() {
                Some(last) if from <= last.1 => last.1 = last.1.max(to),
                _ => covered.push((from, to)),
            }
        }
        if self.is_cyclic
            && covered
                .iter()
                .any(|(from, to)| to - from >= self.ticks().max(self.second))
        {
            return Run::Continuous;
        }
        Run::Ticks(
            covered
                .iter()
                .map(|(from, to)| to - from)
                .max()
                .unwrap_or(0),
        )
    }

    /// Red flashes of the sum and color alternations.
    fn colors(&self, luma: &[i64], reference: i64) -> (u32, u32) {
        let colors: Vec<Color> = (0..luma.len())
            .map(|tick| {
                let mut xyz = [0.0; 3];
                for cluster in &self.clusters {
                    let part = to_xyz(cluster.xy, cluster.light[tick] as f64);
                    for (sum, part) in xyz.iter_mut().zip(part) {
                        *sum += part;
                    }
                }
                let light = luma[tick];
                let is_dark = 100 * light < reference || light == 0;
                color(xyz, is_dark, 10 * light >= reference && light > 0)
            })
            .collect();
        let period = self.ticks();
        let second = self.second;
        let distinct = colors.windows(2).filter(|pair| pair[0] != pair[1]).count() as i64 + 1;
        let (settle, starts) = if self.is_cyclic {
            (distinct + 1, period)
        } else {
            (0, 1)
        };
        let turns = if self.is_cyclic {
            2 * settle + 2 * second / period + 3
        } else {
            1
        };
        let unrolled = colors.repeat(turns as usize);
        let mut red = 0;
        for first in 0..starts {
            if self.is_cyclic && first > 0 && colors[first as usize] == colors[first as usize - 1] {
                continue;
            }
            let mut moves = red_moves(&unrolled, first as usize);
            if self.is_cyclic {
                moves.retain(|step| step.0 >= settle * period);
            } else {
                moves.pop();
            }
            for is_rise in [true, false] {
                let times = of_direction(&moves, is_rise);
                let until = if self.is_cyclic {
                    2 * settle * period
                } else {
                    period
                };
                let count = times
                    .iter()
                    .filter(|start| **start < until.max(settle * period + period))
                    .map(|start| in_second(&times, *start, second))
                    .max()
                    .unwrap_or(0);
                red = red.max(count as u32);
            }
        }

        let mut changes = Vec::new();
        let mut before: Option<Color> = None;
        for (tick, &here) in unrolled
            .iter()
            .enumerate()
            .filter(|(_, color)| color.is_lit)
        {
            if before.is_some_and(|before| is_far(before, here)) {
                changes.push(tick as i64);
            }
            before = Some(here);
        }
        let (from, to) = if self.is_cyclic {
            (period, 2 * period)
        } else {
            (0, period)
        };
        changes.retain(|tick| *tick >= from);
        (red, worst(&changes, second, from, to).div_ceil(2))
    }
}
