//! From an empty program to a playing one: heads around the roof, a pattern on heads, a vehicle taken into a new program.
//!
//! Layouts are neutral and invented, given by numbers alone.

use super::{ThingKind, fill, free_id};
use crate::EditorState;
use lampwright_model::{
    Color, Condition, Edit, Emitter, Head, HeadId, Item, ItemId, Layer, LayerId, Millidegrees,
    Millimeters, Parts, Profile, Program, Target,
};

/// Heads in rows along the edges of the roof.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Around {
    /// Heads facing forward.
    pub n_front: usize,
    /// Heads facing rearward.
    pub n_rear: usize,
    /// Heads facing left, and as many facing right.
    pub n_side: usize,
    /// From one head of a row to the next.
    pub spacing: Millimeters,
    /// Color of all of them.
    pub color: Color,
}

impl Default for Around {
    /// Eight heads: four forward, four rearward.
    fn default() -> Self {
        Self {
            n_front: 4,
            n_rear: 4,
            n_side: 0,
            spacing: Millimeters(400),
            color: Color::Amber,
        }
    }
}

impl Around {
    /// How many heads there are in all.
    #[must_use]
    pub fn n_heads(&self) -> usize {
        self.n_front
            .saturating_add(self.n_rear)
            .saturating_add(self.n_side.saturating_mul(2))
    }
}

/// Most heads of one row.
const MOST_IN_ROW: usize = 30;
/// Distance of the rows from the edges of the vehicle seen from above.
const INSET_MM: i64 = 100;

/// The labelled edit that adds heads around the roof, each with one emitter of which nothing but the color is stated, and their identifiers.
///
/// # Errors
/// When a row does not fit the vehicle.
pub fn around(program: &Program, plan: &Around) -> Result<(String, Edit, Vec<HeadId>), String> {
    let outline = program.vehicle.outline;
    let (half_length, half_width) = (outline.length.0 / 2, outline.width.0 / 2);
    if plan.n_heads() == 0 {
        return Err("no head is asked for, at least 1 wanted".into());
    }
    if plan.spacing.0 <= 0 {
        return Err(format!("spacing {}, more than 0 m wanted", plan.spacing));
    }
    // Roof rows stand behind the windshield and before the rear edge.
    let rows = [
        ("Front", plan.n_front, half_length / 3, 0, outline.width),
        (
            "Rear",
            plan.n_rear,
            INSET_MM - half_length,
            180_000,
            outline.width,
        ),
        (
            "Left",
            plan.n_side,
            half_width - INSET_MM,
            90_000,
            outline.length,
        ),
        (
            "Right",
            plan.n_side,
            INSET_MM - half_width,
            -90_000,
            outline.length,
        ),
    ];
    let mut heads = Vec::new();
    let mut taken = program.to_parts();
    for (name, n_heads, across, facing, room) in rows {
        let (n, last) = match (i64::try_from(n_heads), n_heads) {
            (Ok(n), 1..=MOST_IN_ROW) => (n, n - 1),
            (_, 0) => continue,
            _ => {
                return Err(format!(
                    "{n_heads} heads in a row, at most {MOST_IN_ROW} wanted"
                ));
            }
        };
        if last * plan.spacing.0 > room.0 {
            return Err(format!(
                "{n_heads} heads {} apart take {}, the vehicle has {room} there",
                plan.spacing,
                Millimeters(last * plan.spacing.0)
            ));
        }
        for index in 0..n {
            // From left to right, or from front to rear.
            let along = (last - 2 * index) * plan.spacing.0 / 2;
            let is_across = facing % 180_000 == 0;
            let (x, y) = if is_across {
                (across, along)
            } else {
                (along, across)
            };
            let side = match y {
                _ if !is_across => "",
                1.. => " left",
                0 => " center",
                _ => " right",
            };
            let stem = format!("{name}{side}");
            let id_stem = stem.to_ascii_lowercase().replace(' ', "-");
            let (id, number) = free_id(&taken, ThingKind::Head, &id_stem, 1)?;
            let head = Head {
                id: HeadId::new(&id).map_err(|error| error.to_string())?,
                label: format!("{stem} {number}"),
                x: Millimeters(x),
                y: Millimeters(y),
                z: outline.height,
                facing: Millidegrees(facing),
                beam: None,
                emitters: vec![Emitter::of(plan.color)],
                clock: None,
                tags: Vec::new(),
            };
            taken.vehicle.heads.push(head.clone());
            heads.push(head);
        }
    }
    let ids = heads.iter().map(|head| head.id.clone()).collect();
    let label = format!("Add {} heads around the roof", heads.len());
    let puts = heads.into_iter().map(|head| Edit::Put(Item::Head(head)));
    let edit = fill::tried(program, Edit::Together(puts.collect()))?;
    Ok((label, edit, ids))
}

/// The labelled edit that plays the open pattern on the selected heads, or on all, in every state no layer above decides.
///
/// The new layer stands below those with conditions and above the first that always acts, which would hide it.
///
/// # Errors
/// When there is no pattern or no head, or no lane fits a head.
pub fn play_on_heads(state: &EditorState) -> Result<(String, Edit, ItemId), String> {
    let program = state.program();
    let pattern = state
        .open_pattern()
        .ok_or("no pattern is open: add one in the timeline first")?;
    if program.vehicle.heads.is_empty() {
        return Err("there is no head yet: add heads first".into());
    }
    let selected = state.selection().heads.iter();
    let targets: Vec<Target> = selected.map(|id| Target::Head(id.clone())).collect();
    let action = fill::played(program, &pattern.id, &targets)?;
    let targets: Vec<Target> = action.targets().cloned().collect();
    let n_heads = program.heads_of(&targets).len();
    if n_heads == 0 {
        return Err("no lane of the pattern fits a head: name lanes left, right or 1, 2, 3".into());
    }
    let (id, _) = free_id(program, ThingKind::Layer, "play", 1)?;
    let id = LayerId::new(&id).map_err(|error| error.to_string())?;
    let layer = Layer {
        id: id.clone(),
        label: pattern.label.clone(),
        when: Condition::always(),
        action,
    };
    let is_always = |layer: &Layer| layer.when.is_always();
    let at = program.layers.iter().position(is_always);
    let at = at.unwrap_or(program.layers.len());
    let edit = fill::tried(program, Edit::Insert(at, Item::Layer(layer)))?;
    let label = format!("Play {} on {n_heads} heads", pattern.label);
    Ok((label, edit, ItemId::Layer(id)))
}

/// A new program with nothing in it but a profile, so that it is judged from its first pulse on.
#[must_use]
pub fn new_program(profile: Profile) -> Program {
    let parts = Parts {
        name: "New program".into(),
        profile,
        ..Parts::default()
    };
    // What the profile says of heads and patterns that are not there is cut off.
    Program::admit(parts).0
}

/// A new program with the vehicle, its signals, controls and situations, what cannot happen and the profile; without patterns, layers, guarantees and waivers, which belong to the work done so far.
#[must_use]
pub fn with_vehicle_of(program: &Program) -> Program {
    let parts = Parts {
        name: format!("{}, new", program.name),
        about: String::new(),
        patterns: Vec::new(),
        layers: Vec::new(),
        dims: Vec::new(),
        guarantees: Vec::new(),
        waivers: Vec::new(),
        ..program.to_parts()
    };
    // What the profile says of patterns is cut off with them.
    Program::admit(parts).0
}
