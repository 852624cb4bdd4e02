//! The invented vehicle of sixty heads, wired and fused.

use super::{id, whole};
use lampwright_model::{
    Beam, Color, CurrentLaw, Dimming, Emitter, Fuse, Group, GroupMembers, Head, Milliamps,
    Millicandela, Millidegrees, Millimeters, Outline, Output, Return, Supply, Target, Vehicle,
    Wire, WireSize,
};

/// Heads of [`vehicle_program`](super::vehicle_program).
pub const N_HEADS: usize = 60;

/// Rows of heads around the vehicle: name, how many, from and to place (millimeters forward and left), height, facing.
type Row = (&'static str, usize, (i64, i64), (i64, i64), i64, i64);

const ROWS: [Row; 6] = [
    ("roof-front", 14, (1200, 800), (1200, -800), 2400, 0),
    ("roof-rear", 14, (-2400, 800), (-2400, -800), 2400, 180_000),
    ("side-left", 10, (1800, 1000), (-2200, 1000), 1900, 90_000),
    (
        "side-right",
        10,
        (1800, -1000),
        (-2200, -1000),
        1900,
        270_000,
    ),
    ("grille", 6, (2600, 600), (2600, -600), 800, 0),
    ("tail", 6, (-2600, 700), (-2600, -700), 900, 180_000),
];

pub(super) fn vehicle() -> Vehicle {
    let mut heads = Vec::new();
    for (row, n_heads, from, to, z, facing) in ROWS {
        let last = whole(n_heads) - 1;
        for index in 0..n_heads {
            let between = |from: i64, to: i64| from + (to - from) * whole(index) / last;
            heads.push(Head {
                id: id(&format!("{row}-{index}")),
                label: format!("{row} {index}"),
                x: Millimeters(between(from.0, to.0)),
                y: Millimeters(between(from.1, to.1)),
                z: Millimeters(z),
                facing: Millidegrees(facing),
                beam: Some(Beam::HalfPeak {
                    horizontal: Millidegrees(25_000),
                    vertical: Millidegrees(6_000),
                }),
                emitters: emitters(row, index),
                clock: None,
                tags: Vec::new(),
            });
        }
    }
    let outputs = heads
        .iter()
        .flat_map(|head| &head.emitters)
        .filter_map(|emitter| emitter.output.clone())
        .enumerate()
        .map(|(index, output)| Output {
            label: output.to_string(),
            id: output,
            rating: Milliamps(2000),
            fuse: Some(id(&format!("fuse-{}", index % 8))),
            wire: Some(Wire {
                size: WireSize::ThousandthsMm2(1500),
                length: Millimeters(4000),
                return_path: Return::Wire,
            }),
            is_shared_within_head: false,
        })
        .collect();
    let groups = ROWS
        .iter()
        .map(|(row, n_heads, ..)| Group {
            id: id(row),
            label: (*row).into(),
            members: GroupMembers::List(
                (0..*n_heads)
                    .map(|index| id(&format!("{row}-{index}")))
                    .collect(),
            ),
        })
        .collect();
    Vehicle {
        name: "Invented rescue vehicle".into(),
        outline: Outline::default(),
        supply: Supply {
            alternator_idle: Some(Milliamps(90_000)),
            alternator_speed: Some(Milliamps(180_000)),
            other_load: Milliamps(30_000),
            ..Supply::default()
        },
        heads,
        outputs,
        fuses: (0..8)
            .map(|index| Fuse {
                id: id(&format!("fuse-{index}")),
                label: format!("Fuse {index}"),
                rating: Milliamps(15_000),
            })
            .collect(),
        clocks: Vec::new(),
        groups,
    }
}

/// A warning color and white, each on an output of its own.
fn emitters(row: &str, index: usize) -> Vec<Emitter> {
    let warning = if row == "roof-rear" || row == "tail" {
        Color::Amber
    } else {
        Color::Red
    };
    [(warning, 1400), (Color::White, 2800)]
        .into_iter()
        .map(|(color, candela)| Emitter {
            peak: Some(Millicandela(candela * 1000)),
            full_current: Some(Milliamps(450)),
            current_law: CurrentLaw::ConstantPower,
            dimming: Dimming::Linear,
            output: Some(id(&format!("{row}-{index}-{}", color.name()))),
            ..Emitter::of(color)
        })
        .collect()
}

/// The left or the right half of a row, by place in the row.
pub(super) fn half_of(row: &str, half: usize) -> Vec<Target> {
    let n_heads = ROWS
        .iter()
        .find(|(name, ..)| *name == row)
        .map_or(0, |(_, n_heads, ..)| *n_heads);
    (0..n_heads)
        .filter(|index| usize::from(*index >= n_heads / 2) == half)
        .map(|index| Target::Head(id(&format!("{row}-{index}"))))
        .collect()
}
