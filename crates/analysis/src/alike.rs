//! Findings that say the same of several heads, outputs, fuses or lanes, so that they can be shown as one.
//!
//! Invariant: every finding stands in exactly one list, and those of a list differ in nothing but in what they name.
//! Absent: counting, waiving and files, for which each finding stays one of its own.

use crate::report::Finding;
use lampwright_model::{ItemId, Place, Vehicle};

/// The findings that are alike, as indices: lists in the order of their first ones, each in the order of the report.
#[must_use]
pub fn alike(findings: &[Finding]) -> Vec<Vec<usize>> {
    let mut lists: Vec<Vec<usize>> = Vec::new();
    for (index, finding) in findings.iter().enumerate() {
        let list = lists.iter_mut().find(|list| {
            let first = list.first().and_then(|first| findings.get(*first));
            first.is_some_and(|first| is_alike(first, finding))
        });
        match list {
            Some(list) => list.push(index),
            None => lists.push(vec![index]),
        }
    }
    lists
}

fn is_alike(one: &Finding, other: &Finding) -> bool {
    let same = |finding: &Finding| {
        (
            (finding.code, finding.severity, finding.direction_degrees),
            (finding.measured, finding.limit, finding.margin),
            (finding.source, finding.is_unverified),
            (finding.depends_on_reading, finding.waived_by),
        )
    };
    same(one) == same(other)
        && is_of_a_kind(&one.place, &other.place)
        && (&one.found_in, &one.also_in) == (&other.found_in, &other.also_in)
        && one.help == other.help
        && unnamed(one) == unnamed(other)
}

/// Whether two places are things of one kind of which a vehicle has many, or lanes of one pattern.
fn is_of_a_kind(one: &Place, other: &Place) -> bool {
    match (one, other) {
        (Place::Emitter(_, one), Place::Emitter(_, other)) => one == other,
        (Place::Lane(one, _), Place::Lane(other, _)) => one == other,
        (Place::Item(one), Place::Item(other)) => matches!(
            (one, other),
            (ItemId::Head(_), ItemId::Head(_))
                | (ItemId::Output(_), ItemId::Output(_))
                | (ItemId::Fuse(_), ItemId::Fuse(_))
        ),
        _ => false,
    }
}

/// The words of a message without labels, which stand between quotation marks, and without the identifier of its own thing.
fn unnamed(finding: &Finding) -> Vec<&str> {
    let own = match &finding.place {
        Place::Item(ItemId::Output(id)) => id.as_str(),
        Place::Item(ItemId::Fuse(id)) => id.as_str(),
        _ => finding.head.as_ref().map_or("", |head| head.as_str()),
    };
    let mut words = Vec::new();
    for (index, part) in finding.message.split('"').enumerate() {
        // Every second part is a label.
        if index % 2 == 0 {
            let parted = part.split(' ');
            words.extend(
                parted
                    .map(|word| word.strip_suffix(',').unwrap_or(word))
                    .filter(|word| *word != own),
            );
        }
    }
    words
}

/// The others of a list, counted and named as far as names fit on some lines: "3 more heads: Roof left, Roof right, Grille".
#[must_use]
pub fn others_named(vehicle: &Vehicle, others: &[&Finding]) -> String {
    let kind = match others.first().map(|finding| &finding.place) {
        Some(Place::Item(ItemId::Output(_))) => "output",
        Some(Place::Item(ItemId::Fuse(_))) => "fuse",
        Some(Place::Lane(..)) => "lane",
        _ => "head",
    };
    let names = others.iter().take(MOST_NAMES);
    let names: Vec<&str> = names.map(|finding| name(vehicle, &finding.place)).collect();
    let plural = if others.len() == 1 { "" } else { "s" };
    let mut text = format!("{} more {kind}{plural}: {}", others.len(), names.join(", "));
    if others.len() > MOST_NAMES {
        text.push_str(&format!(" and {} more", others.len() - MOST_NAMES));
    }
    text
}

/// Most names of one list.
const MOST_NAMES: usize = 12;

/// The label of the thing at a place, or its identifier; of a lane its role.
fn name<'a>(vehicle: &'a Vehicle, place: &'a Place) -> &'a str {
    let (label, id) = match place {
        Place::Item(ItemId::Head(id)) | Place::Emitter(id, _) => {
            let head = vehicle.heads.iter().find(|head| head.id == *id);
            (head.map(|head| head.label.as_str()), id.as_str())
        }
        Place::Item(ItemId::Output(id)) => {
            let output = vehicle.outputs.iter().find(|output| output.id == *id);
            (output.map(|output| output.label.as_str()), id.as_str())
        }
        Place::Item(ItemId::Fuse(id)) => {
            let fuse = vehicle.fuses.iter().find(|fuse| fuse.id == *id);
            (fuse.map(|fuse| fuse.label.as_str()), id.as_str())
        }
        Place::Lane(_, role) => (None, role.as_str()),
        _ => (None, ""),
    };
    label.filter(|label| !label.is_empty()).unwrap_or(id)
}

#[cfg(test)]
mod tests {
    use super::{alike, others_named};
    use crate::report::Finding;
    use crate::rules::sketch::{findings, program};
    use lampwright_model::RuleCode;

    #[track_caller]
    fn check(code: u16, text: &str, expected: &[&[usize]]) {
        let found = findings(code, text);
        assert_eq!(alike(&found), expected, "{found:#?}");
    }

    #[test]
    fn heads_that_are_never_lit_are_one_list_however_many_they_are() {
        let heads: Vec<String> = (0..60).map(|n| format!("head h{n} front red")).collect();
        let all: Vec<usize> = (0..60).collect();
        check(14, &heads.join("\n"), &[&all]);
    }

    #[test]
    fn lanes_of_a_pattern_are_one_list_and_another_fault_is_another() {
        // SAE J845 as LW001 states it: at least 1 Hz; two lanes flash at 0.5 Hz, the third never goes dark long enough.
        let text = "head h1 front red\nhead h2 front red\nhead h3 front red\nplay p period 2000 ms: h1 0-100; h2 300-400; h3 0-1900";
        check(1, text, &[&[0, 1], &[2]]);
        // The same fault in two patterns is looked at in each.
        let text = "head h1 front red\nhead h2 front red\nlane h1 period 2000 ms: 0-100\nlane h2 period 2000 ms: 0-100";
        check(1, text, &[&[0], &[1]]);
    }

    #[test]
    fn a_waived_one_stands_apart_from_those_that_count() {
        let text = "head h1 front red\nhead h2 front red\nhead h3 front red\nwaiver LW014 head h2";
        check(14, text, &[&[0, 2], &[1]]);
    }

    #[test]
    fn the_others_are_counted_and_named() {
        let heads: Vec<String> = (0..30).map(|n| format!("head h{n} front red")).collect();
        let vehicle = program(RuleCode(14), &heads.join("\n")).vehicle.clone();
        let found = findings(14, &heads.join("\n"));
        let others: Vec<&Finding> = found.iter().skip(1).collect();
        assert_eq!(others_named(&vehicle, &others[..1]), "1 more head: h1");
        assert_eq!(
            others_named(&vehicle, &others[..2]),
            "2 more heads: h1, h10"
        );
        let all = others_named(&vehicle, &others);
        assert!(all.starts_with("29 more heads: h1, h10, "), "{all}");
        assert!(all.ends_with(" and 17 more"), "{all}");
    }
}
