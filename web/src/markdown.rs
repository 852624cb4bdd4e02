//! The rule pages' Markdown as elements: headings, paragraphs, lists, tables, code, emphasis.
//!
//! Invariant: text becomes text nodes only, so no page can bring markup of its own.
//! Absent: links, images and nested lists, which no rule page uses.

use crate::example;
use crate::tag::{Tag, tag, text, together};
use yew::prelude::*;

/// A page of Markdown; its headings start at level three, below the dialog's own.
pub(crate) fn page(page: &str) -> Html {
    let mut blocks = Vec::new();
    let mut lines = page.lines().peekable();
    while let Some(line) = lines.next() {
        let trimmed = line.trim();
        if trimmed.is_empty() {
            continue;
        }
        if let Some(fence) = trimmed.strip_prefix("```") {
            let mut code = Vec::new();
            for line in lines.by_ref() {
                if line.trim_start().starts_with("```") {
                    break;
                }
                code.push(line);
            }
            blocks.push(example::figure(fence, &code.join("\n")));
        } else if let Some(heading) = heading(trimmed) {
            blocks.extend(heading);
        } else if item(trimmed).is_some() {
            let mut items = vec![item(trimmed).unwrap_or_default().to_owned()];
            while let Some(next) = lines.peek() {
                if let Some(text) = item(next.trim()) {
                    items.push(text.to_owned());
                } else if next.starts_with("  ") && !next.trim().is_empty() {
                    if let Some(last) = items.last_mut() {
                        last.push(' ');
                        last.push_str(next.trim());
                    }
                } else {
                    break;
                }
                lines.next();
            }
            let items = items.iter().map(|words| inline("li", words));
            blocks.push(tag("ul", "bullets").tags(items));
        } else if trimmed.starts_with('|') {
            let mut rows = vec![cells(trimmed)];
            while let Some(next) = lines.peek().filter(|next| next.trim().starts_with('|')) {
                rows.push(cells(next.trim()));
                lines.next();
            }
            blocks.push(table(&rows));
        } else {
            let mut paragraph = trimmed.to_owned();
            while let Some(next) = lines.peek().map(|next| next.trim()) {
                let is_over = next.is_empty()
                    || next.starts_with("```")
                    || next.starts_with('|')
                    || next.starts_with('#')
                    || item(next).is_some();
                if is_over {
                    break;
                }
                paragraph.push(' ');
                paragraph.push_str(next);
                lines.next();
            }
            blocks.push(inline("p", &paragraph).with("class", "text"));
        }
    }
    together(blocks.into_iter())
}

/// A heading, or none inside for the title; nothing for a line that is no heading.
fn heading(line: &str) -> Option<Option<Tag>> {
    let level = line.chars().take_while(|letter| *letter == '#').count();
    let text = line.get(level..)?.strip_prefix(' ')?;
    match level {
        // The dialog's title says it already.
        1 => Some(None),
        2..=6 => Some(Some(inline("h3", text))),
        _ => None,
    }
}

fn item(line: &str) -> Option<&str> {
    line.strip_prefix("- ").or_else(|| line.strip_prefix("* "))
}

fn cells(line: &str) -> Vec<String> {
    line.trim_matches('|')
        .split('|')
        .map(|cell| cell.trim().to_owned())
        .collect()
}

fn table(rows: &[Vec<String>]) -> Tag {
    let is_rule = |row: &Vec<String>| {
        row.iter()
            .all(|cell| !cell.is_empty() && cell.chars().all(|letter| "-: ".contains(letter)))
    };
    let (head, body) = match rows {
        [head, rule, body @ ..] if is_rule(rule) => (Some(head), body),
        all => (None, all),
    };
    let head = head.map(|head| {
        let cells = head
            .iter()
            .map(|cell| inline("th", cell).with("scope", "col"));
        tag("thead", "").tag(tag("tr", "").tags(cells))
    });
    let rows = body
        .iter()
        .map(|row| tag("tr", "").tags(row.iter().map(|cell| inline("td", cell))));
    tag("table", "")
        .tags(head.into_iter())
        .tag(tag("tbody", "").tags(rows))
}

/// An element with code between backquotes, strong text between double asterisks.
fn inline(name: &'static str, words: &str) -> Tag {
    let mut element = tag(name, "");
    for (index, part) in words.split('`').enumerate() {
        if index % 2 == 1 {
            element = element.tag(text("code", "", part.to_owned()));
            continue;
        }
        for (index, part) in part.split("**").enumerate() {
            element = if index % 2 == 1 {
                element.tag(text("strong", "", part.to_owned()))
            } else {
                element.text(part.to_owned())
            };
        }
    }
    element
}
