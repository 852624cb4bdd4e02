//! What the wire rules share: the table of ampacity under a profile's factors, and words for a wire.

use super::{Judgment, Known, Margin, Options, Parameter, Source, listed};
use crate::facts::ampacity;
use crate::quantity::{Quantity, Unit};
use crate::report::Finding;
use lampwright_model::{OutputId, WireSize};

/// The table's source.
pub(super) const TABLE: Source = Source {
    document: "33 CFR 183.425 Table 5",
    edition: "",
    clause: "",
    says: "allowable amperage of conductors on boats, by gauge and insulation, at 30 °C; here a stand-in (proxy) for road vehicles",
    known: Known::Read,
};

/// Why a wire rule has nothing to look at.
pub(super) const NO_WIRES: &str = "no output has a wire entered";

/// What changes the table's figures.
pub(super) const PARAMETERS: [Parameter; 3] = [
    Parameter {
        name: "insulation_c",
        label: "temperature the wire's insulation is rated for",
        unit: "°C",
        default: 80_000,
        range: (60_000, 200_000),
        source: 0,
    },
    Parameter {
        name: "bundle_percent",
        label: "what is left in a bundle: 70 % for 3 conductors, 60 % for 4 to 6, 50 % for 7 to 24, 40 % for more (second-hand, for boats)",
        unit: "%",
        default: 100_000,
        range: (10_000, 100_000),
        source: 0,
    },
    Parameter {
        name: "engine_space_percent",
        label: "what is left in an engine space: 85 % with 105 °C insulation (second-hand, for boats)",
        unit: "%",
        default: 100_000,
        range: (10_000, 100_000),
        source: 0,
    },
];

/// What a wire may carry.
pub(super) enum Ampacity {
    /// This much, after the factors.
    Amperes(Quantity),
    /// The table does not say.
    NotInTable,
}

/// What a wire of a size may carry under a rule's parameters.
pub(super) fn ampacity_of(size: WireSize, options: &Options<'_>) -> Ampacity {
    let WireSize::Gauge(gauge) = size else {
        return Ampacity::NotInTable;
    };
    let insulation = options.thousandths("insulation_c") / 1000;
    let Some(amperes) = ampacity(gauge, insulation) else {
        return Ampacity::NotInTable;
    };
    // Two percentages in thousandths: a whole is 10^5 each.
    let factor = |name| i128::from(options.thousandths(name));
    Ampacity::Amperes(Quantity::new(
        i128::from(amperes) * factor("bundle_percent") * factor("engine_space_percent"),
        10_000_000_000,
        Unit::Amperes,
    ))
}

/// "16 gauge", "1.5 mm²".
pub(super) fn size(size: WireSize) -> String {
    match size {
        WireSize::Gauge(gauge @ 1..) => format!("{gauge} gauge"),
        WireSize::Gauge(gauge) => format!("{}/0 gauge", 1 - i32::from(gauge)),
        WireSize::ThousandthsMm2(thousandths) => format!(
            "{} mm²",
            Quantity::thousandths(i64::from(thousandths), Unit::Count)
        ),
    }
}

/// Findings count even where the table says nothing of other wires; a pass does not when it says nothing at all.
pub(super) fn conclude(
    n_wires: usize,
    why_none: &str,
    findings: Vec<Finding>,
    tightest: Option<Margin>,
    unknown: &[&OutputId],
) -> Judgment {
    if n_wires == 0 {
        return Judgment::not_applicable(why_none);
    }
    let note = if unknown.is_empty() {
        String::new()
    } else {
        format!(
            "the table does not have the wire of output {}; it has 18 to 4/0 gauge and no square millimeters",
            listed(unknown)
        )
    };
    if unknown.len() == n_wires {
        return Judgment::not_evaluated(note);
    }
    Judgment::Checked {
        findings,
        tightest,
        note,
    }
}
