//! Distinct onsets over all clusters together.
//!
//! An onset joins the current event when it comes within the merge time of the event's first
//! onset and its cluster is not in the event yet; else it opens an event.
//! Onsets at one instant stay together: if one of them opens an event, all belong to it, so the
//! order of the clusters plays no part.
//! When onsets follow one another so densely that no gap passes the merge time, the outcome can
//! depend on where the grouping began; the worst possible grouping is taken then.
//!
//! Invariant: two onsets of one cluster are never one event.

use super::cycles::Cycles;
use super::train::{Train, Worst};

/// One instant with the clusters that rise at it, as a range of [`Union::members`].
#[derive(Clone, Copy, Debug)]
struct Instant {
    time: i64,
    from: usize,
    to: usize,
}

/// Reusable memory for grouping onsets, and the worst train of events found.
#[derive(Clone, Debug, Default)]
pub(crate) struct Union {
    onsets: Vec<(i64, usize)>,
    instants: Vec<Instant>,
    members: Vec<usize>,
    stamp_of: Vec<u64>,
    stamp: u64,
    cycles: Cycles,
    candidate: Vec<i64>,
    /// The first onset of every event, ascending.
    pub(crate) events: Vec<i64>,
    /// The period of `events`, which may be several periods of the light.
    pub(crate) period: Option<i64>,
    /// The worst second of `events`.
    pub(crate) worst: Worst,
}

impl Union {
    /// Forgets all onsets; `n_clusters` clusters will be added.
    pub(crate) fn start(&mut self, n_clusters: usize) {
        self.onsets.clear();
        self.events.clear();
        self.worst = Worst::default();
        self.stamp = 0;
        self.stamp_of.clear();
        self.stamp_of.resize(n_clusters, 0);
    }

    /// Adds the onsets of a cluster; times of cyclic light are brought into one period.
    pub(crate) fn add(&mut self, cluster: usize, times: &[i64], period: Option<i64>) {
        let wrapped = |time: i64| period.map_or(time, |period| time.rem_euclid(period));
        self.onsets
            .extend(times.iter().map(|&time| (wrapped(time), cluster)));
    }

    /// Groups the onsets and keeps the train of events with the worst second.
    pub(crate) fn finish(&mut self, period: Option<i64>, merge: i64, second: i64) {
        self.period = period;
        self.onsets.sort_unstable();
        self.instants.clear();
        self.members.clear();
        for &(time, cluster) in &self.onsets {
            self.members.push(cluster);
            match self.instants.last_mut() {
                Some(last) if last.time == time => last.to += 1,
                _ => self.instants.push(Instant {
                    time,
                    from: self.members.len() - 1,
                    to: self.members.len(),
                }),
            }
        }
        match period {
            Some(period) => self.finish_cyclic(period, merge, second),
            None => self.finish_once(merge, second),
        }
    }

    fn finish_once(&mut self, merge: i64, second: i64) {
        let mut place = Some(0).filter(|_| !self.instants.is_empty());
        while let Some(at) = place {
            self.events.push(self.instants[at].time);
            let mut book = Book {
                stamp_of: &mut self.stamp_of,
                stamp: &mut self.stamp,
            };
            place = next_event(&self.instants, &self.members, &mut book, at, None, merge)
                .map(|step| step.0);
        }
        self.worst = Train {
            times: &self.events,
            period: None,
        }
        .worst(second);
    }

    fn finish_cyclic(&mut self, period: i64, merge: i64, second: i64) {
        let Self {
            instants,
            members,
            stamp_of,
            stamp,
            cycles,
            candidate,
            events,
            worst,
            ..
        } = self;
        let own_period = &mut self.period;
        let mut least_span = None;
        cycles.visit(
            instants.len(),
            |at| {
                let mut book = Book { stamp_of, stamp };
                next_event(instants, members, &mut book, at, Some(period), merge)
            },
            |cycle, turns| {
                candidate.clear();
                candidate.extend(
                    cycle
                        .iter()
                        .map(|&(at, turn)| instants[at].time + turn * period),
                );
                let train = Train {
                    times: candidate,
                    period: Some(period * turns),
                };
                let here = train.worst(second);
                let span = train.span(3);
                if events.is_empty() || (here.count, least_span) > (worst.count, span) {
                    *worst = here;
                    least_span = span;
                    *own_period = train.period;
                    core::mem::swap(events, candidate);
                }
            },
        );
    }
}

/// Which clusters are in the current event: those whose stamp is the event's.
struct Book<'a> {
    stamp_of: &'a mut [u64],
    stamp: &'a mut u64,
}

/// Where the event after the one opened at instant `at` opens.
fn next_event(
    instants: &[Instant],
    members: &[usize],
    book: &mut Book<'_>,
    at: usize,
    period: Option<i64>,
    merge: i64,
) -> Option<(usize, i64)> {
    *book.stamp += 1;
    let stamp = *book.stamp;
    let first = instants[at];
    for &cluster in &members[first.from..first.to] {
        book.stamp_of[cluster] = stamp;
    }
    let mut place = at;
    let mut turns = 0;
    loop {
        place += 1;
        if place == instants.len() {
            period?;
            place = 0;
            turns += 1;
        }
        let instant = instants[place];
        let time = instant.time + turns * period.unwrap_or(0);
        let here = &members[instant.from..instant.to];
        if time - first.time > merge || here.iter().any(|&c| book.stamp_of[c] == stamp) {
            return Some((place, turns));
        }
        for &cluster in here {
            book.stamp_of[cluster] = stamp;
        }
    }
}
