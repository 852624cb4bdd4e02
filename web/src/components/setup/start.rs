//! What a program begins with: heads around the roof, a pattern that plays, and rules that judge it.

use super::Open;
use crate::components::findings::judged_by;
use crate::components::table::micros;
use crate::tag::{Tag, said, tag, text};
use lampwright_editor::EditorState;
use lampwright_editor::setup::Around;
use lampwright_model::{Color, Millimeters};

/// What the starter asks for, with the unit.
const STARTER: [&str; 4] = [
    "Facing forward",
    "Facing rearward",
    "On each side",
    "Spacing, m",
];

/// The starter, and the way to a playing pattern.
pub(super) fn start(document: &EditorState, open: &Open) -> Tag {
    let vehicle = &document.program().vehicle;
    let fields = STARTER.iter().zip(&open.starter).enumerate();
    let fields = fields.map(|(index, (label, value))| {
        tag("label", "").key(index.to_string()).say(label).tag(
            tag("input", "input short")
                .with("inputmode", "decimal")
                .with_text("name", format!("starter-{index}"))
                .value(value.clone()),
        )
    });
    let colors = Color::ALL.into_iter().map(|color| {
        let words = format!("{} {color}", color.letter());
        text("option", "", words)
            .with("value", color.name())
            .flag("selected", open.color == color)
    });
    let n_heads = starter(open).map_or_else(|_| "the".into(), |plan| plan.n_heads().to_string());
    let starter = tag("details", "")
        .flag("open", vehicle.heads.is_empty())
        .tag(said("summary", "", "Heads around the roof"))
        .tag(
            tag("div", "row")
                .tags(fields)
                .tag(
                    tag("label", "").say("Color").tag(
                        tag("select", "")
                            .with("name", "starter-color")
                            .with("data-now", open.color.name())
                            .tags(colors),
                    ),
                )
                .tag(
                    text(
                        "button",
                        "main",
                        format!("Add {n_heads} heads around the roof"),
                    )
                    .with("type", "button")
                    .with("name", "around"),
                ),
        );
    let n_selected = document.selection().heads.len();
    let profile = &document.program().profile;
    let rules = if profile.rules.is_empty() {
        "Choose rules"
    } else {
        "Change rules"
    };
    let rules = tag("div", "row")
        .tag(text("span", "", judged_by(profile)))
        .tag(
            said("button", "", rules)
                .with("type", "button")
                .with("name", "rules"),
        );
    let on_which = match n_selected {
        0 => "all heads".to_owned(),
        1 => "the selected head".to_owned(),
        more => format!("the {more} selected heads"),
    };
    let play = match document.open_pattern() {
        None => said("button", "", "Add a pattern to play").with("name", "pattern"),
        Some(pattern) => {
            let words = format!("Play {} on {on_which}", pattern.label);
            text("button", "main", words)
                .with("name", "play")
                .flag("disabled", vehicle.heads.is_empty())
        }
    };
    tag("div", "column")
        .key("start".into())
        .tag(starter)
        .tag(tag("div", "row").tag(play.with("type", "button")))
        .tag(rules)
}

/// The plan that the starter's numbers stand for.
pub(super) fn starter(open: &Open) -> Result<Around, String> {
    let [front, rear, side, spacing] = &open.starter;
    let count = |text: &str| {
        text.trim()
            .parse::<usize>()
            .map_err(|_| format!("\"{text}\" heads, a whole number wanted"))
    };
    let spacing = micros(spacing).ok_or("a spacing in meters wanted, such as 0.4")?;
    Ok(Around {
        n_front: count(front)?,
        n_rear: count(rear)?,
        n_side: count(side)?,
        // Meters with three decimals have the digits of milliseconds.
        spacing: Millimeters(spacing.get()),
        color: open.color,
    })
}
