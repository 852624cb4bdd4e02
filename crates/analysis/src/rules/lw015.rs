//! LW015: a layer asks for a color that a head does not have.

use super::{Draft, Judgment, Known, Options, Rule, RuleGroup, RuleMeta, Source, Whole, listed};
use lampwright_model::{
    Action, Color, HeadId, ItemId, Layer, Pattern, Place, Program, RuleCode, Severity, Target,
};

/// A color asked for that the head lacks.
pub(super) struct ColorNotInHead;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(15),
    name: "color-not-in-head",
    summary: "A layer asks a head for a color that it does not have, so it stays dark",
    group: RuleGroup::Heads,
    severity: Severity::Error,
    since: "0.1.0",
    sources: &[Source {
        document: "meaning of layers",
        edition: "",
        clause: "",
        says: "a head without an emitter of the color gives no light, and the layer still decides it",
        known: Known::Computed,
    }],
    parameters: &[],
    is_always_run: false,
    page: page!("pages/lw015.md"),
};

impl Rule for ColorNotInHead {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge_whole(&self, whole: &Whole<'_, '_>, options: &Options<'_>) -> Option<Judgment> {
        let program = whole.program;
        if program.layers.is_empty() {
            return Some(Judgment::not_applicable("there are no layers"));
        }
        let findings = program
            .layers
            .iter()
            .flat_map(|layer| judge_layer(program, layer, options))
            .collect();
        Some(Judgment::Checked {
            findings,
            tightest: None,
            note: String::new(),
        })
    }
}

/// One finding per color a layer asks for in vain.
fn judge_layer(
    program: &Program,
    layer: &Layer,
    options: &Options<'_>,
) -> Vec<crate::report::Finding> {
    let mut asked: Vec<(Color, usize)> = Vec::new();
    let mut ask = |color: Color, targets: &[Target]| {
        asked.extend(
            program
                .heads_of(targets)
                .into_iter()
                .map(|head| (color, head)),
        );
    };
    match &layer.action {
        Action::Dark { .. } => {}
        Action::Hold { heads, color, .. } => {
            if let Some(color) = color {
                ask(*color, heads);
            }
        }
        Action::Play { pattern, bindings } => {
            if !options.looks_at_pattern(pattern) {
                return Vec::new();
            }
            let pattern = program.patterns.iter().find(|known| known.id == *pattern);
            for binding in bindings {
                for color in colors_of(pattern, &binding.lane, binding.color) {
                    ask(color, &binding.heads);
                }
            }
        }
    }
    lampwright_timing::sort(&mut asked);
    asked.dedup();
    asked.retain(|(color, index)| {
        options.looks_at_head(*index)
            && program
                .vehicle
                .heads
                .get(*index)
                .is_some_and(|head| head.emitter(*color).is_none())
    });
    asked
        .chunk_by(|one, other| one.0 == other.0)
        .filter_map(|asked| {
            let (color, _) = asked.first()?;
            let heads: Vec<&HeadId> = asked
                .iter()
                .filter_map(|(_, index)| program.vehicle.heads.get(*index).map(|head| &head.id))
                .collect();
            let (noun, verb) = if heads.len() == 1 {
                ("head", "has")
            } else {
                ("heads", "have")
            };
            Some(
                Draft::new(
                    options,
                    SOURCE,
                    Place::Item(ItemId::Layer(layer.id.clone())),
                )
                .head(heads.first())
                .say(
                    format!(
                        "layer {} asks for {color} ({}), which {noun} {} {verb} not",
                        layer.id,
                        color.letter(),
                        listed(&heads)
                    ),
                    "Address only heads with that color, choose another color, or add the emitter to the head",
                ),
            )
        })
        .collect()
}

/// The colors that a lane's pulses ask for.
fn colors_of(
    pattern: Option<&Pattern>,
    lane: &lampwright_model::RoleId,
    color: Option<Color>,
) -> Vec<Color> {
    let Some(lane) = pattern.and_then(|pattern| pattern.lane(lane)) else {
        return Vec::new();
    };
    let mut colors: Vec<Color> = lane
        .pulses
        .iter()
        .filter_map(|pulse| pulse.color.or(color))
        .collect();
    lampwright_timing::sort(&mut colors);
    colors.dedup();
    colors
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};

    #[test]
    fn colors_of_pulses_are_looked_at_as_well() {
        let found = finding(
            15,
            "head a front red\nhead b front red\nlane a b period 500 ms: 0-100 200-300blue",
        );
        assert!(
            found
                .message
                .contains("asks for blue (B), which heads a and b have not"),
            "{}",
            found.message
        );
        passes(
            15,
            "head a front red,blue\nlane a period 500 ms: 0-100 200-300blue",
        );
    }
}
