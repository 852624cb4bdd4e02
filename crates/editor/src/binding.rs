//! Which heads each lane of a pattern drives, found from the lane's role and the places of the heads.
//!
//! Invariant: pure; a lane that fits no head is left out; the heads of a binding are in the order they were given.
//! Absent: groups, and offsets, which stay at zero.

use lampwright_model::{Binding, Color, Head, Pattern, Side, Target, Zone};
use lampwright_timing::{Micros, sort_by};

/// Binds the lanes of a pattern to heads by side and position.
///
/// Words of a role, parted by `-`, `_` or `.`, choose among the heads: `left`, `right` and `center` the half of the vehicle, `front` and `rear` the end, a color the heads that have it.
/// Numbered lanes go to the heads in their order, from left to right, or from front to rear where the heads stand farther apart that way.
/// Lanes of other names go to all heads when there is one of them, else they count as numbered.
/// Heads on the middle line join the left and the right lane in turn when no lane is for the center, and where one side has none then either, the heads are halved in their order.
#[must_use]
pub fn bind_lanes(pattern: &Pattern, heads: &[&Head]) -> Vec<Binding> {
    let mut roles: Vec<Role> = pattern
        .lanes
        .iter()
        .map(|lane| Role::of(lane.role.as_str()))
        .collect();
    let n_unknown = roles.iter().filter(|role| role.is_unknown).count();
    if n_unknown > 1 {
        for (index, role) in roles.iter_mut().enumerate() {
            if role.is_unknown {
                role.number = Some(index);
            }
        }
    }
    let mut numbers: Vec<usize> = roles.iter().filter_map(|role| role.number).collect();
    lampwright_timing::sort(&mut numbers);
    numbers.dedup();
    let steps = steps(heads, numbers.len());
    let sides = sides(heads, &roles);
    pattern
        .lanes
        .iter()
        .zip(&roles)
        .filter_map(|(lane, role)| {
            let rank = role
                .number
                .and_then(|number| numbers.iter().position(|known| *known == number));
            let bound: Vec<Target> = heads
                .iter()
                .enumerate()
                .filter(|(index, head)| {
                    role.color.is_none_or(|color| head.emitter(color).is_some())
                        && role
                            .side
                            .is_none_or(|side| sides.get(*index) == Some(&side))
                        && role
                            .is_front
                            .is_none_or(|is_front| is_in_front(head) == is_front)
                        && rank.is_none_or(|rank| steps.get(*index) == Some(&rank))
                })
                .map(|(_, head)| Target::Head(head.id.clone()))
                .collect();
            (!bound.is_empty()).then(|| Binding {
                lane: lane.role.clone(),
                heads: bound,
                color: role.color,
                offset: Micros::ZERO,
            })
        })
        .collect()
}

/// What the name of a lane says about where it belongs.
#[derive(Default)]
struct Role {
    side: Option<Side>,
    is_front: Option<bool>,
    color: Option<Color>,
    number: Option<usize>,
    is_unknown: bool,
}

impl Role {
    fn of(role: &str) -> Self {
        let mut found = Self {
            is_unknown: true,
            ..Self::default()
        };
        for word in role.split(['-', '_', '.']) {
            let word = word.to_ascii_lowercase();
            match word.as_str() {
                "left" => found.side = Some(Side::Left),
                "right" => found.side = Some(Side::Right),
                "center" | "middle" => found.side = Some(Side::Center),
                "front" => found.is_front = Some(true),
                "rear" => found.is_front = Some(false),
                "all" => {}
                _ => match (Color::from_name(&word), word.parse()) {
                    (Some(color), _) => found.color = Some(color),
                    (None, Ok(number)) => found.number = Some(number),
                    (None, Err(_)) => continue,
                },
            }
            found.is_unknown = false;
        }
        found
    }
}

/// A head that faces neither forward nor rearward belongs to the end it stands at.
fn is_in_front(head: &Head) -> bool {
    match head.zone() {
        Zone::A => true,
        Zone::C => false,
        Zone::B | Zone::D => head.x.0 >= 0,
    }
}

/// Indices of the heads from left to right, or from front to rear.
fn in_order(heads: &[&Head], is_across: bool) -> Vec<usize> {
    let along = |index: usize| {
        heads.get(index).map_or((0, 0), |head| {
            let place = (-head.y.0, -head.x.0);
            if is_across { place } else { (place.1, place.0) }
        })
    };
    let mut order: Vec<usize> = (0..heads.len()).collect();
    sort_by(&mut order, |one, other| along(*one).cmp(&along(*other)));
    order
}

/// Heads closer together than this along the order stand at one place, in millimeters.
const SAME_PLACE_MM: i64 = 100;

/// For each head which of `n_steps` numbered lanes it belongs to, from zero.
///
/// As many heads as lanes get one each; else heads at one place share a lane, and the places are spread over the lanes.
fn steps(heads: &[&Head], n_steps: usize) -> Vec<usize> {
    let extent = |of: fn(&Head) -> i64| {
        let values = || heads.iter().map(|head| of(head));
        values().max().unwrap_or(0) - values().min().unwrap_or(0)
    };
    let across = |head: &Head| head.y.0;
    let along = |head: &Head| head.x.0;
    let is_across = extent(across) >= extent(along);
    let order = in_order(heads, is_across);
    let mut places = Vec::with_capacity(order.len());
    let mut place = 0;
    let mut began: Option<i64> = None;
    for index in &order {
        let at = heads
            .get(*index)
            .map_or(0, |head| if is_across { across(head) } else { along(head) });
        let is_same =
            heads.len() != n_steps && began.is_some_and(|began| began - at < SAME_PLACE_MM);
        if !is_same {
            place += usize::from(began.is_some());
            began = Some(at);
        }
        places.push(place);
    }
    let n_places = place + 1;
    let mut steps = vec![0; heads.len()];
    for (index, place) in order.into_iter().zip(places) {
        if let Some(step) = steps.get_mut(index) {
            *step = (2 * place + 1) * n_steps / (2 * n_places);
        }
    }
    steps
}

/// For each head which side it plays, given the sides the lanes are for.
fn sides(heads: &[&Head], roles: &[Role]) -> Vec<Side> {
    let wants = |side: Side| roles.iter().any(|role| role.side == Some(side));
    let mut sides: Vec<Side> = heads.iter().map(|head| head.side()).collect();
    if !(wants(Side::Left) && wants(Side::Right)) || wants(Side::Center) {
        return sides;
    }
    let mut is_left = true;
    for side in sides.iter_mut().filter(|side| **side == Side::Center) {
        *side = if is_left { Side::Left } else { Side::Right };
        is_left = !is_left;
    }
    if heads.len() > 1 && !(sides.contains(&Side::Left) && sides.contains(&Side::Right)) {
        for (rank, index) in in_order(heads, true).into_iter().enumerate() {
            if let Some(side) = sides.get_mut(index) {
                *side = if 2 * rank < heads.len() {
                    Side::Left
                } else {
                    Side::Right
                };
            }
        }
    }
    sides
}

#[cfg(test)]
mod tests {
    use super::*;
    use lampwright_model::{Emitter, Lane, Millidegrees, Millimeters};

    fn pattern(roles: &[&str]) -> Pattern {
        Pattern {
            id: "beat".parse().unwrap(),
            label: String::new(),
            period: Micros::from_ms(1000),
            tick: Micros::from_ms(10),
            lanes: roles
                .iter()
                .map(|role| Lane {
                    role: role.parse().unwrap(),
                    pulses: [].into(),
                })
                .collect(),
        }
    }

    fn head(id: &str, x: i64, y: i64, facing: i64, colors: &[Color]) -> Head {
        Head {
            id: id.parse().unwrap(),
            label: id.into(),
            x: Millimeters(x),
            y: Millimeters(y),
            z: Millimeters(2000),
            facing: Millidegrees(facing * 1000),
            beam: None,
            emitters: colors.iter().map(|color| Emitter::of(*color)).collect(),
            clock: None,
            tags: Vec::new(),
        }
    }

    const AMBER: &[Color] = &[Color::Amber];

    /// Two rows of four, front and rear: f1..f4 and r1..r4 from left to right.
    fn eight() -> Vec<Head> {
        let mut heads = Vec::new();
        for (row, x, facing) in [("f", 500, 0), ("r", -500, 180)] {
            for (index, y) in [600, 200, -200, -600].into_iter().enumerate() {
                heads.push(head(&format!("{row}{}", index + 1), x, y, facing, AMBER));
            }
        }
        heads
    }

    #[track_caller]
    fn check(roles: &[&str], heads: &[Head], expected: &[&str]) {
        let heads: Vec<&Head> = heads.iter().collect();
        let found: Vec<String> = bind_lanes(&pattern(roles), &heads)
            .iter()
            .map(|binding| {
                let color = binding
                    .color
                    .map_or(String::new(), |color| format!(" {color}"));
                let heads: Vec<&str> = binding
                    .heads
                    .iter()
                    .map(|target| match target {
                        Target::Head(id) => id.as_str(),
                        _ => "?",
                    })
                    .collect();
                format!("{}{color}: {}", binding.lane, heads.join(" "))
            })
            .collect();
        assert_eq!(found, expected);
    }

    #[test]
    fn left_and_right_lanes_go_to_their_sides() {
        check(
            &["left", "right"],
            &eight(),
            &["left: f1 f2 r1 r2", "right: f3 f4 r3 r4"],
        );
    }

    #[test]
    fn ends_and_sides_combine() {
        check(
            &["front-left", "rear"],
            &eight(),
            &["front-left: f1 f2", "rear: r1 r2 r3 r4"],
        );
    }

    #[test]
    fn as_many_lanes_as_heads_get_one_each() {
        check(
            &["1", "2", "3", "4", "5", "6", "7", "8"],
            &eight(),
            &[
                "1: f1", "2: r1", "3: f2", "4: r2", "5: f3", "6: r3", "7: f4", "8: r4",
            ],
        );
    }

    #[test]
    fn heads_at_one_place_share_a_numbered_lane() {
        check(
            &["1", "2", "3", "4"],
            &eight(),
            &["1: f1 r1", "2: f2 r2", "3: f3 r3", "4: f4 r4"],
        );
        check(
            &["2", "10"],
            &eight(),
            &["2: f1 f2 r1 r2", "10: f3 f4 r3 r4"],
        );
    }

    #[test]
    fn few_heads_are_spread_over_many_lanes() {
        check(
            &["1", "2", "3", "4"],
            &[head("a", 0, 500, 0, AMBER), head("b", 0, -500, 0, AMBER)],
            &["2: a", "4: b"],
        );
    }

    #[test]
    fn a_column_is_numbered_from_front_to_rear() {
        let column: Vec<Head> = [("c", -900), ("a", 900), ("b", 0)]
            .into_iter()
            .map(|(id, x)| head(id, x, 800, 90, AMBER))
            .collect();
        check(&["1", "2", "3"], &column, &["1: a", "2: b", "3: c"]);
        // No head on the right: halved in their order.
        check(&["left", "right"], &column, &["left: a b", "right: c"]);
    }

    #[test]
    fn heads_on_the_middle_line_join_both_sides_in_turn() {
        let heads = [
            head("a", 900, 0, 0, AMBER),
            head("b", -900, 0, 180, AMBER),
            head("l", 0, 700, 90, AMBER),
        ];
        check(&["left", "right"], &heads, &["left: a l", "right: b"]);
        check(
            &["left", "center", "right"],
            &heads,
            &["left: l", "center: a b"],
        );
    }

    #[test]
    fn a_color_in_the_role_chooses_the_emitter() {
        let heads = [
            head("a", 0, 500, 0, &[Color::Amber, Color::White]),
            head("b", 0, -500, 0, AMBER),
        ];
        check(
            &["left", "right", "left-white", "right-white", "white"],
            &heads,
            &[
                "left: a",
                "right: b",
                "left-white white: a",
                "white white: a",
            ],
        );
    }

    #[test]
    fn one_lane_of_any_name_goes_to_all_heads_and_several_count_as_numbered() {
        check(&["flash"], &eight()[..2], &["flash: f1 f2"]);
        check(&["all"], &eight()[..2], &["all: f1 f2"]);
        check(
            &["day", "dusk"],
            &eight()[..4],
            &["day: f1 f2", "dusk: f3 f4"],
        );
        check(&["left"], &[], &[]);
    }
}
