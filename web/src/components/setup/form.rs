//! The rows of a form of the set-up, as elements.
//!
//! Invariant: a row is found again by its number, which each of its inputs and buttons carries.

use crate::platform::document;
use crate::tag::{Tag, said, tag, text};
use lampwright_editor::setup::{Chosen, Control, How, Row, VARIOUS_VALUE};
use wasm_bindgen::JsCast;
use web_sys::HtmlSelectElement;

/// The rows of the form; in the row of `at` something is `typed`, or was `refused`.
pub(super) fn fields(
    rows: &[Row],
    at: Option<&(String, How)>,
    typed: &str,
    refused: &str,
) -> Vec<Tag> {
    let mut title = ("", "");
    let mut fields: Vec<Tag> = Vec::with_capacity(rows.len());
    let mut line = None::<(&str, Tag)>;
    for (index, row) in rows.iter().enumerate() {
        let is_in_line = line.as_ref().is_some_and(|(path, _)| {
            let rest = row.path.strip_prefix(path);
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
        });
        if !is_in_line {
            fields.extend(line.take().map(|(_, tag)| tag));
        }
        if row.control == Control::Line {
            let number =
                text("span", "quiet number", row.label.clone()).with("aria-hidden", "true");
            let begun = tag("div", "row nowrap line").key(key(row));
            line = Some((&row.path, begun.tag(number)));
            continue;
        }
        if row.control == Control::Title {
            let short = row.label.split(',').next().unwrap_or_default();
            title = (&row.path, short);
            fields.push(text("h3", "", row.label.clone()).key(key(row)));
            continue;
        }
        let is_below = row
            .path
            .strip_prefix(title.0)
            .is_some_and(|rest| rest.starts_with('/'));
        let mut spoken = if is_below {
            format!("{}: {}", title.1, row.label)
        } else {
            row.label.clone()
        };
        if !row.unit.is_empty() {
            spoken.push_str(", ");
            spoken.push_str(row.unit);
        }
        let is_here = at.is_some_and(|(path, how)| *path == row.path && *how == row.how);
        let is_typed = is_here && matches!(row.control, Control::Entry { .. } | Control::Lines(_));
        let refusal = (is_here && !refused.is_empty()).then(|| {
            text("p", "is-refused", refused.to_owned())
                .with("id", "setup-refusal")
                .with("role", "alert")
        });
        let is_refused = refusal.is_some();
        let typed = is_typed.then_some(typed);
        let field = match row.control {
            // On a line there is room for a sign only.
            Control::Button(_) if is_in_line => tag("div", "field")
                .tag(row_button("×".into(), row, index).with_text("aria-label", spoken)),
            _ => field(row, index, spoken, typed, is_refused),
        };
        let field = field.key(key(row)).maybe(refusal);
        match line.take() {
            Some((path, tag)) => line = Some((path, tag.tag(field))),
            None => fields.push(field),
        }
    }
    fields.extend(line.map(|(_, tag)| tag));
    fields
}

/// One row: its label, what is filled in, and its unit.
fn field(row: &Row, index: usize, spoken: String, typed: Option<&str>, is_refused: bool) -> Tag {
    let number = || index.to_string();
    let labeled = |input: Tag| {
        tag("div", "field")
            .tag(text("span", "", row.label.clone()).with("aria-hidden", "true"))
            .tag(
                tag("div", "row nowrap")
                    .tag(
                        input
                            .with_text("data-row", number())
                            .with_text("data-path", row.path.clone())
                            .with_text("aria-label", spoken.clone())
                            .with_if(is_refused, "aria-invalid", "true")
                            .with_if(is_refused, "aria-describedby", "setup-refusal"),
                    )
                    .tag(said("span", "quiet", row.unit).with("aria-hidden", "true")),
            )
    };
    match &row.control {
        Control::Title | Control::Line => tag("h3", ""),
        Control::Lines(value) => tag("div", "field wide-field")
            .tag(text("span", "", row.label.clone()).with("aria-hidden", "true"))
            .tag(
                tag("textarea", "input")
                    .with("rows", "6")
                    .with("spellcheck", "false")
                    .with_text("data-row", number())
                    .with_text("aria-label", spoken.clone())
                    .with_if(is_refused, "aria-invalid", "true")
                    .with_if(is_refused, "aria-describedby", "setup-refusal")
                    .value(typed.unwrap_or(value).to_owned()),
            ),
        Control::Entry {
            value,
            hint,
            is_number,
        } => labeled(
            tag("input", if *is_number { "input short" } else { "input" })
                .with_if(*is_number, "inputmode", "decimal")
                .with_text("placeholder", hint.clone())
                .value(typed.unwrap_or(value).to_owned()),
        ),
        Control::Choice(options) => {
            let now = options.iter().find(|option| option.is_on);
            let now = now.map_or_else(String::new, |option| option.value.clone());
            labeled(
                tag("select", "")
                    .with_text("data-now", now)
                    .tags(options.iter().map(|option| {
                        text("option", "", option.label.clone())
                            .with_text("value", option.value.clone())
                            .flag("disabled", option.value == VARIOUS_VALUE)
                            .flag("selected", option.is_on)
                    })),
            )
        }
        Control::Checks(options) => checks(row, &number(), spoken, options),
        Control::Check(is_on) => tag("div", "choices").tag(check(
            (&number(), &row.path),
            &Chosen {
                value: String::new(),
                label: row.label.clone(),
                is_on: *is_on,
            },
        )),
        // On a line of its own, below what it belongs to.
        Control::Button(_) => {
            tag("div", "wide-field").tag(row_button(row.label.clone(), row, index))
        }
    }
}

/// What an element stays the same by, whatever rows come before it.
fn key(row: &Row) -> String {
    format!("{} {}", row.path, row.label)
}

/// The button of a row.
fn row_button(words: String, row: &Row, index: usize) -> Tag {
    text("button", "", words)
        .with("type", "button")
        .with("name", "row")
        .with_text("data-row", index.to_string())
        .with_text("data-path", row.path.clone())
}

/// Any of several, folded away when they are many.
fn checks(row: &Row, number: &str, spoken: String, options: &[Chosen]) -> Tag {
    let boxes = tag("div", "choices")
        .with("role", "group")
        .with_text("aria-label", spoken)
        .tags(
            options
                .iter()
                .map(|option| check((number, &row.path), option)),
        );
    if options.len() <= MOST_IN_SIGHT {
        let label = text("span", "", row.label.clone()).with("aria-hidden", "true");
        let is_short = options.len() <= MOST_SHORT;
        let class = if is_short {
            "field"
        } else {
            "field wide-field"
        };
        return tag("div", class).tag(label).tag(boxes);
    }
    let mut words: Vec<&str> = options
        .iter()
        .filter(|option| option.is_on)
        .map(|option| option.label.as_str())
        .collect();
    let n_on = words.len();
    words.truncate(MOST_SHORT);
    let more = match n_on {
        0 => "none".to_owned(),
        n if n > MOST_SHORT => format!(" and {} more", n - MOST_SHORT),
        _ => String::new(),
    };
    let words = format!("{}: {}{more}", row.label, words.join(", "));
    tag("div", "field wide-field").tag(
        tag("details", "")
            .tag(text("summary", "", words))
            .tag(boxes),
    )
}

/// Most boxes that stand beside another field, and most that are named when they are folded away.
const MOST_SHORT: usize = 5;

/// Most boxes that are not folded away.
const MOST_IN_SIGHT: usize = 16;

fn check((number, path): (&str, &str), option: &Chosen) -> Tag {
    tag("label", "")
        .tag(
            tag("input", "")
                .with("type", "checkbox")
                .with_text("data-row", number.to_owned())
                .with_text("data-path", path.to_owned())
                .with_text("value", option.value.clone())
                .checked(option.is_on),
        )
        .text(option.label.clone())
}

/// Lets every choice show what is chosen in the program.
pub(super) fn show_choices() {
    let selects = document().and_then(|page| page.query_selector_all(".setup select").ok());
    let Some(selects) = selects else {
        return;
    };
    for index in 0..selects.length() {
        if let Some(select) = selects
            .item(index)
            .and_then(|node| node.dyn_into::<HtmlSelectElement>().ok())
            && let Some(now) = select.get_attribute("data-now")
        {
            select.set_value(&now);
        }
    }
}
