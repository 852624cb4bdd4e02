//! How far the chosen rules let a dragged edge go, and where to draw that.
//!
//! A limit holds a drag only from its allowed side: a lane that breaks it already can be moved freely.
//! Invariant: pure; a limit never moves an edge by itself.

use crate::lane_edit::Room;
use crate::lane_ops::lit_time;
use crate::{PulseAt, PulseEdge, Selection};
use lampwright_analysis::{Timed, TimingLimit};
use lampwright_model::{Pattern, Pulse, RuleCode};
use lampwright_timing::Micros;

/// Where a rule's limit lies while an edge is dragged.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LimitGuide {
    /// The instant within the period, or near it.
    pub at: Micros,
    /// The rule and what it asks: "LW003 dark at least 100 ms".
    pub text: String,
}

/// What limits a drag.
#[derive(Clone, Debug)]
pub(crate) struct Held {
    /// How far the limits let it go.
    pub(crate) room: Room,
    /// Every limit's place.
    pub(crate) guides: Vec<LimitGuide>,
    earlier: Option<RuleCode>,
    later: Option<RuleCode>,
}

impl Held {
    /// As much of a move as the limits allow, and the rule that holds it back.
    pub(crate) fn clamp(&self, by: Micros) -> (Micros, Option<RuleCode>) {
        let held = self.room.clamp(by);
        let rule = if held < by {
            self.later
        } else if held > by {
            self.earlier
        } else {
            None
        };
        (held, rule)
    }

    fn hold(&mut self, is_later: bool, by: Micros, code: RuleCode) {
        let room = &mut self.room;
        if is_later && by < room.most {
            room.most = by;
            self.later = Some(code);
        } else if !is_later && -by > room.least {
            room.least = -by;
            self.earlier = Some(code);
        }
    }
}

/// What the limits say about moving one edge of a pulse, or all of it when no edge is given, together with `moving`.
pub(crate) fn held(
    limits: &[TimingLimit],
    pattern: &Pattern,
    at: PulseAt,
    edge: Option<PulseEdge>,
    moving: &Selection,
) -> Held {
    let mut held = Held {
        room: Room::NO_LIMIT,
        guides: Vec::new(),
        earlier: None,
        later: None,
    };
    let Some((pulse, pulses)) = at
        .of(pattern)
        .zip(pattern.lanes.get(at.lane).map(|lane| &lane.pulses))
    else {
        return held;
    };
    let lit = lit_time(pulses);
    let n_moving = i64::try_from(moving.in_lane(at.lane).count())
        .unwrap_or(1)
        .max(1);
    for limit in limits {
        let text = limit_text(limit);
        match (limit.of, edge) {
            (Timed::Period, _) => held.guides.push(LimitGuide { at: limit.at, text }),
            (Timed::Lit, None) => {}
            (Timed::Lit, Some(edge)) => {
                // The lit time grows when the end goes later or the start earlier.
                let spare = if limit.is_least {
                    lit - limit.at
                } else {
                    limit.at - lit
                };
                let each = Micros(spare.0.div_euclid(n_moving));
                let is_later = (edge == PulseEdge::End) != limit.is_least;
                let (from, sign) = match edge {
                    PulseEdge::Start => (pulse.start, -1),
                    PulseEdge::End => (pulse.end(), 1),
                };
                let growth = if limit.is_least { -1 } else { 1 };
                held.guides.push(LimitGuide {
                    at: from + each * (sign * growth),
                    text,
                });
                if spare >= Micros::ZERO {
                    held.hold(is_later, each, limit.code);
                }
            }
            (Timed::Dark, _) => {
                for is_later in [false, true] {
                    let is_meant = match edge {
                        None => true,
                        Some(edge) => is_later == (edge == PulseEdge::End),
                    };
                    let neighbor = neighbor(pulses, pattern.period, at.pulse, is_later);
                    let moves_too = edge.is_none()
                        && (pulses.len() < 2
                            || moving.pulses.contains(&PulseAt {
                                pulse: neighbor.0,
                                ..at
                            }));
                    let gap = if is_later {
                        neighbor.1 - pulse.end()
                    } else {
                        pulse.start - neighbor.1
                    };
                    // A gap within a train is no flash's end and stays free.
                    if is_meant && !moves_too && gap >= limit.at {
                        held.guides.push(LimitGuide {
                            at: if is_later {
                                neighbor.1 - limit.at
                            } else {
                                neighbor.1 + limit.at
                            },
                            text: text.clone(),
                        });
                        held.hold(is_later, gap - limit.at, limit.code);
                    }
                }
            }
        }
    }
    held
}

/// How long it is dark beside an edge of a pulse, around the end of the period.
pub(crate) fn dark_beside(pattern: &Pattern, at: PulseAt, edge: PulseEdge) -> Option<Micros> {
    let pulse = at.of(pattern)?;
    let pulses = &pattern.lanes.get(at.lane)?.pulses;
    let is_later = edge == PulseEdge::End;
    let (_, near) = neighbor(pulses, pattern.period, at.pulse, is_later);
    Some(if is_later {
        near - pulse.end()
    } else {
        pulse.start - near
    })
}

/// The pulse after or before another around the end of the period: its index, and its near edge on the time line of the other.
fn neighbor(pulses: &[Pulse], period: Micros, index: usize, is_later: bool) -> (usize, Micros) {
    let n_pulses = pulses.len();
    let place = if is_later {
        (index + 1) % n_pulses
    } else {
        (index + n_pulses - 1) % n_pulses
    };
    let Some(other) = pulses.get(place) else {
        return (place, Micros::ZERO);
    };
    let edge = match (is_later, place) {
        (true, place) if place <= index => other.start + period,
        (true, _) => other.start,
        (false, place) if place >= index => other.end() - period,
        (false, _) => other.end(),
    };
    (place, edge)
}

fn limit_text(limit: &TimingLimit) -> String {
    let what = match limit.of {
        Timed::Lit => "lit",
        Timed::Dark => "dark",
        Timed::Period => "period",
    };
    let end = if limit.is_least {
        "at least"
    } else {
        "at most"
    };
    format!("{} {what} {end} {}", limit.code, limit.at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use lampwright_model::Lane;
    use lampwright_timing::Level;

    fn pattern(pulses: &[(i64, i64)]) -> Pattern {
        Pattern {
            id: "p".parse().unwrap(),
            label: String::new(),
            period: Micros::from_ms(500),
            tick: Micros::from_ms(10),
            lanes: vec![Lane {
                role: "left".parse().unwrap(),
                pulses: pulses
                    .iter()
                    .map(|(start, length)| Pulse {
                        start: Micros::from_ms(*start),
                        length: Micros::from_ms(*length),
                        level: Level::FULL,
                        color: None,
                    })
                    .collect(),
            }],
        }
    }

    const AT: PulseAt = PulseAt { lane: 0, pulse: 1 };

    fn limit(of: Timed, is_least: bool, ms: i64) -> TimingLimit {
        TimingLimit {
            code: RuleCode(3),
            of,
            is_least,
            at: Micros::from_ms(ms),
        }
    }

    #[track_caller]
    fn check(
        pulses: &[(i64, i64)],
        limit: TimingLimit,
        edge: Option<PulseEdge>,
        room_ms: (Option<i64>, Option<i64>),
        guides_ms: &[i64],
    ) {
        let moving = Selection {
            pulses: [AT].into(),
            ..Selection::default()
        };
        let held = held(&[limit], &pattern(pulses), AT, edge, &moving);
        let free = Room::NO_LIMIT;
        let least = room_ms.0.map_or(free.least, Micros::from_ms);
        let most = room_ms.1.map_or(free.most, Micros::from_ms);
        assert_eq!((held.room.least, held.room.most), (least, most));
        let guides: Vec<i64> = held.guides.iter().map(|guide| guide.at.0 / 1000).collect();
        assert_eq!(guides, guides_ms);
    }

    #[test]
    fn the_closing_gap_holds_an_edge_and_the_gap_in_a_train_does_not() {
        let double = [(0, 75), (125, 75)];
        let dark = limit(Timed::Dark, true, 100);
        check(
            &double,
            dark,
            Some(PulseEdge::End),
            (None, Some(200)),
            &[400],
        );
        check(&double, dark, Some(PulseEdge::Start), (None, None), &[]);
        check(&double, dark, None, (None, Some(200)), &[400]);
        let even = [(0, 75), (250, 75)];
        check(
            &even,
            dark,
            Some(PulseEdge::Start),
            (Some(-75), None),
            &[175],
        );
        check(&even, dark, None, (Some(-75), Some(75)), &[175, 400]);
        // Broken already: free.
        let broken = [(0, 75), (125, 350)];
        check(&broken, dark, Some(PulseEdge::End), (None, None), &[]);
    }

    #[test]
    fn the_lit_time_of_the_lane_holds_an_edge() {
        let double = [(0, 75), (125, 75)];
        let most = limit(Timed::Lit, false, 200);
        check(
            &double,
            most,
            Some(PulseEdge::End),
            (None, Some(50)),
            &[250],
        );
        check(
            &double,
            most,
            Some(PulseEdge::Start),
            (Some(-50), None),
            &[75],
        );
        check(&double, most, None, (None, None), &[]);
        let least = limit(Timed::Lit, true, 100);
        check(
            &double,
            least,
            Some(PulseEdge::End),
            (Some(-50), None),
            &[150],
        );
        check(
            &double,
            least,
            Some(PulseEdge::Start),
            (None, Some(50)),
            &[175],
        );
        let too_long = limit(Timed::Lit, false, 140);
        check(
            &double,
            too_long,
            Some(PulseEdge::End),
            (None, None),
            &[190],
        );
    }

    #[test]
    fn a_band_of_the_rate_is_drawn_and_holds_nothing() {
        let double = [(0, 75), (125, 75)];
        let period = limit(Timed::Period, true, 250);
        check(&double, period, Some(PulseEdge::End), (None, None), &[250]);
        assert_eq!(limit_text(&period), "LW003 period at least 250 ms");
    }
}
