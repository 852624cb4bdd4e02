//! What an edit changes, in words before and after, for a preview.
//!
//! Invariant: pure; the order is that of the program.
//! Absent: what no offered fix changes: signals, situations, guarantees, the vehicle.

use lampwright_model::{Action, DimLayer, Layer, Pattern, Program, Pulse};

/// One thing that changes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Change {
    /// Which thing: "pattern beat, period".
    pub what: String,
    /// How it was; "absent" for a new thing.
    pub before: String,
    /// How it becomes; "absent" for a removed thing.
    pub after: String,
}

/// Pulses written out before a text is cut.
const MOST_PULSES: usize = 12;

/// What differs between two versions of a program.
#[must_use]
pub fn changes(before: &Program, after: &Program) -> Vec<Change> {
    let mut rows = Vec::new();
    for new in &after.patterns {
        let old = before.patterns.iter().find(|old| old.id == new.id);
        if let Some(old) = old.filter(|old| *old != new) {
            pattern(old, new, &mut rows);
        }
    }
    let layers = |program: &Program| -> Vec<(String, String)> {
        let of_layer = |layer: &Layer| (format!("layer {}", layer.id), layer_text(layer));
        let of_dim =
            |dim: &DimLayer| (format!("dim layer {}", dim.id), format!("× {}", dim.factor));
        let layers = program.layers.iter().map(of_layer);
        layers.chain(program.dims.iter().map(of_dim)).collect()
    };
    listed(&layers(before), &layers(after), &mut rows);
    let waivers = |program: &Program| -> Vec<(String, String)> {
        let text = |waiver: &lampwright_model::Waiver| {
            let place = waiver.place.as_deref().unwrap_or("everywhere");
            (
                format!("waiver of {}, {place}", waiver.rule),
                waiver.reason.clone(),
            )
        };
        program.waivers.iter().map(text).collect()
    };
    listed(&waivers(before), &waivers(after), &mut rows);
    rows
}

fn pattern(old: &Pattern, new: &Pattern, rows: &mut Vec<Change>) {
    let mut row = |what: String, before: String, after: String| {
        if before != after {
            rows.push(Change {
                what,
                before,
                after,
            });
        }
    };
    let id = &new.id;
    row(
        format!("pattern {id}, period"),
        old.period.to_string(),
        new.period.to_string(),
    );
    row(
        format!("pattern {id}, tick"),
        old.tick.to_string(),
        new.tick.to_string(),
    );
    for lane in &new.lanes {
        let before = old
            .lane(&lane.role)
            .map_or_else(String::new, |lane| pulses(&lane.pulses));
        row(
            format!("pattern {id}, lane {}", lane.role),
            before,
            pulses(&lane.pulses),
        );
    }
}

/// "0 ms to 80 ms, 120 ms to 200 ms at 50 %".
fn pulses(pulses: &[Pulse]) -> String {
    let mut texts: Vec<String> = pulses
        .iter()
        .take(MOST_PULSES)
        .map(|pulse| {
            let level = if pulse.level.per_mille() == 1000 {
                String::new()
            } else {
                format!(" at {}", pulse.level)
            };
            format!("{} to {}{level}", pulse.start, pulse.end())
        })
        .collect();
    if pulses.len() > MOST_PULSES {
        texts.push(format!("{} more", pulses.len() - MOST_PULSES));
    }
    texts.join(", ")
}

fn layer_text(layer: &Layer) -> String {
    match &layer.action {
        Action::Play { pattern, bindings } => {
            let bindings: Vec<String> = bindings
                .iter()
                .map(|binding| format!("lane {} {} later", binding.lane, binding.offset))
                .collect();
            format!("plays {pattern}: {}", bindings.join(", "))
        }
        Action::Hold { level, .. } => format!("steady at {level}"),
        Action::Dark { .. } => "dark".to_owned(),
    }
}

fn listed(before: &[(String, String)], after: &[(String, String)], rows: &mut Vec<Change>) {
    let find = |list: &[(String, String)], what: &str| {
        list.iter()
            .find(|(known, _)| known == what)
            .map_or_else(|| "absent".to_owned(), |(_, text)| text.clone())
    };
    let gone = before
        .iter()
        .filter(|(what, _)| after.iter().all(|(kept, _)| kept != what));
    for (what, _) in gone.chain(after) {
        let (old, new) = (find(before, what), find(after, what));
        if old != new {
            rows.push(Change {
                what: what.clone(),
                before: old,
                after: new,
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lampwright_model::{Edit, Parts, RuleCode, Waiver};
    use lampwright_timing::Micros;

    #[test]
    fn a_new_period_and_a_removed_waiver_are_told() {
        let parts = Parts {
            patterns: vec![Pattern {
                id: "beat".parse().unwrap(),
                label: String::new(),
                period: Micros(249_000),
                tick: Micros(1000),
                lanes: Vec::new(),
            }],
            waivers: vec![Waiver {
                rule: RuleCode(1),
                place: None,
                reason: "agreed".into(),
                by: "the shop".into(),
                date: "2030-01-01".into(),
            }],
            ..Parts::default()
        };
        let (before, _) = Program::admit(parts);
        let mut beat = before.patterns[0].clone();
        beat.period = Micros(250_000);
        let edit = Edit::Together(vec![
            Edit::Put(lampwright_model::Item::Pattern(beat)),
            Edit::SetWaivers(Vec::new()),
        ]);
        let rows = changes(&before, &before.apply(&edit).unwrap());
        let row = |what: &str, before: &str, after: &str| Change {
            what: what.into(),
            before: before.into(),
            after: after.into(),
        };
        assert_eq!(
            rows,
            [
                row("pattern beat, period", "249 ms", "250 ms"),
                row("waiver of LW001, everywhere", "agreed", "absent"),
            ]
        );
        assert_eq!(changes(&before, &before), []);
    }
}
