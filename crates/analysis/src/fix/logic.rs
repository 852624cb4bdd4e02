//! Candidates that change who plays what: one side later, lower levels, a dim layer, fewer waivers.

use super::Candidate;
use crate::quantity::{Limit, Quantity};
use crate::report::Report;
use lampwright_model::{
    Action, Binding, Condition, Decision, DimKind, DimLayer, Edit, Guarantee, GuaranteeId, Item,
    ItemId, LaneUse, Layer, LayerId, Must, Place, Program, Pulse, Side, State, Target, resolve,
};
use lampwright_timing::{Level, Micros};

const RIGHT_LATER: u8 = 10;
const LOWER_PULSES: u8 = 11;
const DIM_LAYER: u8 = 12;
const FEWER_WAIVERS: u8 = 13;
const DARK_ON_TOP: u8 = 14;

/// The waivers without those that accept nothing.
pub(super) fn without_unused_waivers(
    program: &Program,
    report: &Report,
) -> Vec<Candidate<'static>> {
    let is_used = |index: usize| {
        report
            .findings
            .iter()
            .any(|finding| finding.waived_by == Some(index))
    };
    let kept: Vec<_> = program
        .waivers
        .iter()
        .enumerate()
        .filter(|(index, _)| is_used(*index))
        .map(|(_, waiver)| waiver.clone())
        .collect();
    let n = program.waivers.len() - kept.len();
    let label = if n == 1 {
        "Remove the waiver that accepts nothing".into()
    } else {
        format!("Remove the {n} waivers that accept nothing")
    };
    vec![Candidate::new(FEWER_WAIVERS, label, || {
        Some(Edit::SetWaivers(kept))
    })]
}

/// The right heads half a period later in every layer that decides them in these states, of the heads that are declared to alternate there.
pub(super) fn right_side_later(
    program: &Program,
    states: &[State],
    only: Option<&GuaranteeId>,
) -> Vec<Candidate<'static>> {
    let mut layers: Vec<LayerId> = Vec::new();
    for state in states {
        let alternating: Vec<Target> = program
            .guarantees
            .iter()
            .filter(|guarantee| {
                guarantee.must == Must::Alternate
                    && only.is_none_or(|only| *only == guarantee.id)
                    && state.meets(program, &guarantee.when)
            })
            .flat_map(|guarantee| guarantee.heads.iter().cloned())
            .collect();
        let alternating = program.heads_of(&alternating);
        for (index, (drive, head)) in resolve(program, state)
            .heads
            .iter()
            .zip(&program.vehicle.heads)
            .enumerate()
        {
            if let (Decision::Layer(id), Side::Right, true) =
                (&drive.decided_by, head.side(), drive.is_lit())
                && alternating.contains(&index)
                && !layers.contains(id)
            {
                layers.push(id.clone());
            }
        }
    }
    let mut edits = Vec::new();
    let mut half = Micros::ZERO;
    for layer in program
        .layers
        .iter()
        .filter(|layer| layers.contains(&layer.id))
    {
        let Action::Play { pattern, bindings } = &layer.action else {
            continue;
        };
        let Some(pattern) = program.patterns.iter().find(|known| known.id == *pattern) else {
            continue;
        };
        half = Micros(pattern.period.get() / 2).round_to(pattern.tick);
        let moved: Vec<Binding> = bindings
            .iter()
            .flat_map(|binding| right_later(program, binding, half, pattern.period))
            .collect();
        if moved != *bindings {
            edits.push(Edit::Put(Item::Layer(Layer {
                action: Action::Play {
                    pattern: pattern.id.clone(),
                    bindings: moved,
                },
                ..layer.clone()
            })));
        }
    }
    if edits.is_empty() {
        return Vec::new();
    }
    let where_to = if edits.len() == 1 {
        format!("by {half}, half a period")
    } else {
        format!("by half a period in {} layers", edits.len())
    };
    vec![Candidate::new(
        RIGHT_LATER,
        format!("Delay the right side {where_to}"),
        || Some(Edit::Together(edits)),
    )]
}

/// The binding with its right heads later; one that drives other heads too becomes two.
fn right_later(program: &Program, binding: &Binding, half: Micros, period: Micros) -> Vec<Binding> {
    let heads = program.heads_of(&binding.heads);
    let ids = |is_right: bool| -> Vec<Target> {
        heads
            .iter()
            .filter_map(|index| program.vehicle.heads.get(*index))
            .filter(|head| (head.side() == Side::Right) == is_right)
            .map(|head| Target::Head(head.id.clone()))
            .collect()
    };
    let (right, others) = (ids(true), ids(false));
    let later = |heads: Vec<Target>| Binding {
        heads,
        offset: (binding.offset + half).wrap(period),
        ..binding.clone()
    };
    match (right.is_empty(), others.is_empty()) {
        (true, _) => vec![binding.clone()],
        (false, true) => vec![later(binding.heads.clone())],
        (false, false) => vec![
            Binding {
                heads: others,
                ..binding.clone()
            },
            later(right),
        ],
    }
}

/// A layer above all others that does what the guarantee promises.
pub(super) fn dark_on_top(program: &Program, guarantee: &Guarantee) -> Vec<Candidate<'static>> {
    let Some(id) = free_layer_id(program, "dark") else {
        return Vec::new();
    };
    let layer = Layer {
        id,
        label: format!("Keeps guarantee {}", guarantee.id),
        when: guarantee.when.clone(),
        action: Action::Dark {
            heads: guarantee.heads.clone(),
        },
    };
    vec![Candidate::new(
        DARK_ON_TOP,
        format!(
            "Put a layer on top that keeps the heads of guarantee {} dark while it holds",
            guarantee.id
        ),
        || Some(Edit::Insert(0, Item::Layer(layer))),
    )]
}

/// An identifier that no layer and no dim layer has.
fn free_layer_id(program: &Program, word: &str) -> Option<LayerId> {
    (1..1000)
        .filter_map(|number| format!("{word}-{number}").parse::<LayerId>().ok())
        .find(|id| {
            program.layers.iter().all(|layer| layer.id != *id)
                && program.dims.iter().all(|dim| dim.id != *id)
        })
}

/// Lower pulses of the lanes on an output or fuse, or a dim layer over its heads.
pub(super) fn less_current<'program>(
    program: &'program Program,
    states: Vec<State>,
    place: &Place,
    measured: Quantity,
    limit: Limit,
) -> Vec<Candidate<'program>> {
    let is_on = |output: &lampwright_model::OutputId| match place {
        Place::Item(ItemId::Output(id)) => output == id,
        Place::Item(ItemId::Fuse(id)) => program
            .vehicle
            .outputs
            .iter()
            .any(|known| known.id == *output && known.fuse.as_ref() == Some(id)),
        _ => false,
    };
    let heads: Vec<usize> = program
        .vehicle
        .heads
        .iter()
        .enumerate()
        .filter(|(_, head)| {
            head.emitters
                .iter()
                .any(|emitter| emitter.output.as_ref().is_some_and(is_on))
        })
        .map(|(index, _)| index)
        .collect();
    let factors = factors(measured, limit);
    let mut lower = Vec::new();
    let mut dim = Vec::new();
    for factor in factors {
        let shown = Level::nearest(factor);
        let (states, lit) = (states.clone(), heads.clone());
        lower.push(Candidate::new(
            LOWER_PULSES,
            format!("Lower what plays on {place} to {shown} of its level; less light with it"),
            move || lower_light(program, &states, &lit, factor),
        ));
        let targets = heads
            .iter()
            .filter_map(|index| program.vehicle.heads.get(*index))
            .map(|head| Target::Head(head.id.clone()))
            .collect();
        dim.extend(dim_layer(
            program,
            format!("{place} within its rating"),
            Condition::always(),
            targets,
            factor,
            format!("Dim the heads on {place} to {shown} at all times; less light with it"),
        ));
    }
    lower.into_iter().chain(dim).collect()
}

/// A dim layer where and when a guarantee limits the level.
pub(super) fn lower_level(
    program: &Program,
    id: &GuaranteeId,
    measured: Quantity,
    limit: Limit,
) -> Vec<Candidate<'static>> {
    let Some(guarantee) = program.guarantees.iter().find(|known| known.id == *id) else {
        return Vec::new();
    };
    factors(measured, limit)
        .into_iter()
        .filter_map(|factor| {
            dim_layer(
                program,
                format!("Keeps guarantee {id}"),
                guarantee.when.clone(),
                guarantee.heads.clone(),
                factor,
                format!(
                    "Dim the heads of guarantee {id} to {} while it holds",
                    Level::nearest(factor)
                ),
            )
        })
        .collect()
}

/// Factors in per mille that bring the value to its limit if it follows the level, and stronger ones if it follows it less.
fn factors(measured: Quantity, limit: Limit) -> Vec<i64> {
    let Some(most) = limit.at_most.filter(|most| measured > *most) else {
        return Vec::new();
    };
    let (most_over, most_under) = most.fraction();
    let (over, under) = measured.fraction();
    let exact = most_over
        .checked_mul(1000)
        .and_then(|value| value.checked_mul(under))
        .zip(most_under.checked_mul(over))
        .filter(|(_, divisor)| *divisor > 0)
        .and_then(|(value, divisor)| i64::try_from(value / divisor).ok());
    let Some(first) = exact else {
        return Vec::new();
    };
    let mut factors: Vec<i64> = [first, first * 19 / 20, first * first / 1000, first / 2]
        .into_iter()
        .filter(|factor| (1..1000).contains(factor))
        .collect();
    lampwright_timing::sort_by(&mut factors, |one, other| other.cmp(one));
    factors.dedup();
    factors
}

/// Every lane and every hold that lights the heads in these states, at a factor.
fn lower_light(program: &Program, states: &[State], heads: &[usize], factor: i64) -> Option<Edit> {
    let mut lanes: Vec<LaneUse> = Vec::new();
    let mut holds: Vec<LayerId> = Vec::new();
    for state in states {
        let drive = resolve(program, state);
        for head in heads.iter().filter_map(|index| drive.heads.get(*index)) {
            for emitter in &head.emitters {
                for lane in &emitter.lanes {
                    let is_known = lanes
                        .iter()
                        .any(|known| known.pattern == lane.pattern && known.lane == lane.lane);
                    if !is_known {
                        lanes.push(lane.clone());
                    }
                }
            }
            if let Decision::Layer(id) = &head.decided_by
                && head.is_lit()
                && !holds.contains(id)
            {
                holds.push(id.clone());
            }
        }
    }
    let lowered = |level: Level| Level::nearest((level.per_mille() * factor / 1000).max(1));
    let mut edits = Vec::new();
    for lane in lanes {
        let pulses = program
            .patterns
            .iter()
            .find(|pattern| pattern.id == lane.pattern)
            .and_then(|pattern| pattern.lane(&lane.lane))
            .map(|known| {
                known
                    .pulses
                    .iter()
                    .map(|pulse| Pulse {
                        level: lowered(pulse.level),
                        ..*pulse
                    })
                    .collect::<Vec<_>>()
            })?;
        edits.push(Edit::SetPulses {
            pattern: lane.pattern,
            lane: lane.lane,
            pulses,
        });
    }
    for layer in program
        .layers
        .iter()
        .filter(|layer| holds.contains(&layer.id))
    {
        if let Action::Hold {
            heads,
            color,
            level,
        } = &layer.action
        {
            edits.push(Edit::Put(Item::Layer(Layer {
                action: Action::Hold {
                    heads: heads.clone(),
                    color: *color,
                    level: lowered(*level),
                },
                ..layer.clone()
            })));
        }
    }
    (!edits.is_empty()).then_some(Edit::Together(edits))
}

fn dim_layer(
    program: &Program,
    label: String,
    when: Condition,
    heads: Vec<Target>,
    factor: i64,
    says: String,
) -> Option<Candidate<'static>> {
    let id = free_layer_id(program, "dim")?;
    if heads.is_empty() {
        return None;
    }
    Some(Candidate::new(DIM_LAYER, says, move || {
        Some(Edit::Put(Item::DimLayer(DimLayer {
            id,
            label,
            when,
            heads,
            factor: Level::nearest(factor),
            only: DimKind::Both,
        })))
    }))
}
