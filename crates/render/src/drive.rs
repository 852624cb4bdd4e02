//! What every head does in a state and why, as text and JSON.

use lampwright_analysis::facts::TimingFacts;
use lampwright_model::{Decision, Drive, HeadDrive, LayerId, Program};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// One block per head: what it does, which layer decided it, what was hidden and what dimmed it.
#[must_use]
pub fn text(program: &Program, drive: &Drive) -> String {
    let mut out = format!("state: {}\n", drive.state.describe(program));
    for head in &drive.heads {
        let label = program
            .vehicle
            .heads
            .iter()
            .find(|known| known.id == head.head)
            .map(|known| known.label.as_str())
            .unwrap_or_default();
        let _ = writeln!(out, "head {} \"{label}\": {}", head.head, does(head));
        let _ = writeln!(out, "  because: {}", because(program, head));
        if !head.hidden.is_empty() {
            let _ = writeln!(out, "  hidden below: {}", layers(program, &head.hidden));
        }
        if !head.dims.is_empty() {
            let _ = writeln!(out, "  dimmed by: {}", dims(program, &head.dims));
        }
        for color in &head.missing_colors {
            let _ = writeln!(
                out,
                "  asked for {color} ({}), which it has not",
                color.letter()
            );
        }
    }
    out
}

/// The same as JSON.
#[must_use]
pub fn json(program: &Program, drive: &Drive) -> Value {
    let signals: serde_json::Map<String, Value> = program
        .signals
        .iter()
        .filter_map(|signal| {
            let value = drive.state.value(program, &signal.id)?;
            Some((signal.id.to_string(), json!(value.as_str())))
        })
        .collect();
    let heads: Vec<Value> = drive
        .heads
        .iter()
        .map(|head| {
            json!({
                "head": head.head.as_str(),
                "decided_by": match &head.decided_by {
                    Decision::Layer(id) => json!(id.as_str()),
                    Decision::Nothing => Value::Null,
                },
                "hidden": head.hidden.iter().map(LayerId::as_str).collect::<Vec<_>>(),
                "dims": head.dims.iter().map(LayerId::as_str).collect::<Vec<_>>(),
                "missing_colors": head
                    .missing_colors
                    .iter()
                    .map(|color| color.name())
                    .collect::<Vec<_>>(),
                "emitters": head
                    .emitters
                    .iter()
                    .map(|emitter| {
                        json!({
                            "color": emitter.color.name(),
                            "period_ms": emitter.level.period().as_ms(),
                            "steps": emitter
                                .level
                                .steps()
                                .iter()
                                .map(|step| json!({"at_ms": step.at.as_ms(), "level": step.value}))
                                .collect::<Vec<_>>(),
                            "lanes": emitter
                                .lanes
                                .iter()
                                .map(|lane| json!({
                                    "pattern": lane.pattern.as_str(),
                                    "lane": lane.lane.as_str(),
                                    "offset_ms": lane.offset.as_ms(),
                                }))
                                .collect::<Vec<_>>(),
                        })
                    })
                    .collect::<Vec<_>>(),
            })
        })
        .collect();
    json!({
        "format": "lampwright-drive",
        "version": 1,
        "signals": signals,
        "heads": heads,
    })
}

/// "red steady at 500 ‰, white double flash up to 1000 ‰".
fn does(head: &HeadDrive) -> String {
    let parts: Vec<String> = head
        .emitters
        .iter()
        .filter(|emitter| emitter.level.maximum() > 0)
        .map(|emitter| {
            let lanes: Vec<String> = emitter
                .lanes
                .iter()
                .map(|lane| {
                    let offset = if lane.offset == lampwright_timing::Micros::ZERO {
                        String::new()
                    } else {
                        format!(" {} later", lane.offset)
                    };
                    format!("pattern {} lane {}{offset}", lane.pattern, lane.lane)
                })
                .collect();
            let lanes = if lanes.is_empty() {
                String::new()
            } else {
                format!(", {}", lanes.join(" and "))
            };
            format!(
                "{} ({}) {} at {} ‰{lanes}",
                emitter.color,
                emitter.color.letter(),
                TimingFacts::of(&emitter.level).rhythm,
                emitter.level.maximum()
            )
        })
        .collect();
    if parts.is_empty() {
        "dark".into()
    } else {
        parts.join("; ")
    }
}

fn because(program: &Program, head: &HeadDrive) -> String {
    match &head.decided_by {
        Decision::Nothing => "no layer that holds addresses it".into(),
        Decision::Layer(id) => format!("layer {}", layers(program, std::slice::from_ref(id))),
    }
}

fn layers(program: &Program, ids: &[LayerId]) -> String {
    named(ids, |id| {
        program
            .layers
            .iter()
            .find(|layer| layer.id == *id)
            .map(|layer| layer.label.clone())
    })
}

fn dims(program: &Program, ids: &[LayerId]) -> String {
    named(ids, |id| {
        program
            .dims
            .iter()
            .find(|dim| dim.id == *id)
            .map(|dim| format!("{}, times {} ‰", dim.label, dim.factor.per_mille()))
    })
}

fn named(ids: &[LayerId], label: impl Fn(&LayerId) -> Option<String>) -> String {
    let parts: Vec<String> = ids
        .iter()
        .map(|id| match label(id).filter(|label| !label.is_empty()) {
            Some(label) => format!("{id} \"{label}\""),
            None => id.to_string(),
        })
        .collect();
    parts.join(", ")
}
