//! Labels in the texts of findings: rules write identifiers behind "head", "output" and "fuse", people read what is written on the lamp and on the panel.
//!
//! Invariant: a place keeps its identifiers, since waivers name it; a thing without a label of its own keeps its identifier in the text too.

use lampwright_model::Vehicle;

#[derive(Clone, Copy)]
enum Kind {
    Head,
    Output,
    Fuse,
}

impl Kind {
    /// The kind a word announces.
    fn announced_by(word: &str) -> Option<Self> {
        match word {
            "head" | "heads" => Some(Self::Head),
            "output" | "outputs" => Some(Self::Output),
            "fuse" | "fuses" => Some(Self::Fuse),
            _ => None,
        }
    }

    fn label<'a>(self, vehicle: &'a Vehicle, id: &str) -> Option<&'a str> {
        fn find<'v>(
            mut things: impl Iterator<Item = (&'v str, &'v str)>,
            id: &str,
        ) -> Option<&'v str> {
            things
                .find(|(known, _)| *known == id)
                .map(|(_, label)| label)
        }
        let label = match self {
            Self::Head => find(
                vehicle
                    .heads
                    .iter()
                    .map(|head| (head.id.as_str(), head.label.as_str())),
                id,
            ),
            Self::Output => find(
                vehicle
                    .outputs
                    .iter()
                    .map(|output| (output.id.as_str(), output.label.as_str())),
                id,
            ),
            Self::Fuse => find(
                vehicle
                    .fuses
                    .iter()
                    .map(|fuse| (fuse.id.as_str(), fuse.label.as_str())),
                id,
            ),
        };
        label.filter(|label| !label.is_empty() && *label != id)
    }
}

/// The text with labels in place of the identifiers in lists such as "heads a, b and c".
pub(crate) fn labelled(vehicle: &Vehicle, text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut kind: Option<Kind> = None;
    // Whether an identifier may stand here: behind the kind, a comma of the list, or its "and".
    let mut is_open = false;
    for word in text.split_inclusive(' ') {
        let bare = word.trim_end_matches([' ', ',', ';', ':', '.']);
        let label = kind
            .filter(|_| is_open)
            .and_then(|kind| kind.label(vehicle, bare));
        if let Some(label) = label {
            let tail = word.get(bare.len()..).unwrap_or_default();
            out.push('"');
            out.push_str(label);
            out.push('"');
            out.push_str(tail);
            is_open = tail.starts_with(',');
            continue;
        }
        out.push_str(word);
        is_open = true;
        if bare != "and" {
            kind = Kind::announced_by(word.trim_end());
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::labelled;
    use crate::rules::sketch;
    use lampwright_model::{Program, RuleCode};

    fn vehicle() -> Program {
        let text = "head a front red output=a\nhead b front red\nhead flash front red\noutput a 3A fuse=f\nfuse f 5A";
        let mut parts = sketch::program(RuleCode(1), text).to_parts();
        parts.vehicle.heads[0].label = "Grille, left".into();
        parts.vehicle.heads[1].label = "Roof".into();
        parts.vehicle.heads[2].label = "Beacon".into();
        parts.vehicle.outputs[0].label = "Line 4".into();
        Program::admit(parts).0
    }

    #[track_caller]
    fn check(text: &str, expected: &str) {
        assert_eq!(labelled(&vehicle().vehicle, text), expected);
    }

    #[test]
    fn what_follows_its_kind_gets_its_label() {
        check(
            "on head a, at most 2",
            "on head \"Grille, left\", at most 2",
        );
        check("output a draws 4 A", "output \"Line 4\" draws 4 A");
        check(
            "heads a, b and flash flash",
            "heads \"Grille, left\", \"Roof\" and \"Beacon\" flash",
        );
        check(
            "heads a, b and 3 more",
            "heads \"Grille, left\", \"Roof\" and 3 more",
        );
        check(
            "head a and head b",
            "head \"Grille, left\" and head \"Roof\"",
        );
    }

    #[test]
    fn words_that_happen_to_be_identifiers_stay() {
        check(
            "1 flash of a lamp on pattern a",
            "1 flash of a lamp on pattern a",
        );
        check("heads flash at b and a", "heads \"Beacon\" at b and a");
        check("fuse f of 5 A, a bound", "fuse f of 5 A, a bound");
        check("head a\nand a", "head a\nand a");
    }
}
