//! The rule pages' Markdown as elements: headings, paragraphs, lists, tables, code, emphasis.
//!
//! Invariant: text becomes text nodes only, so no page can bring markup of its own.
//! Absent: links, images and nested lists, which no rule page uses.

use crate::example;
use yew::prelude::*;

/// A page of Markdown; its headings start at level three, below the dialog's own.
pub(crate) fn page(text: &str) -> Html {
    let mut blocks = Vec::new();
    let mut lines = text.lines().peekable();
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
            blocks.push(heading);
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
            blocks.push(html! {
                <ul class="bullets">{ for items.iter().map(|text| html! { <li>{ inline(text) }</li> }) }</ul>
            });
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
            blocks.push(html! { <p class="text">{ inline(&paragraph) }</p> });
        }
    }
    html! { <>{ for blocks }</> }
}

fn heading(line: &str) -> Option<Html> {
    let level = line.chars().take_while(|letter| *letter == '#').count();
    let text = line.get(level..)?.strip_prefix(' ')?;
    match level {
        // The dialog's title says it already.
        1 => Some(Html::default()),
        2..=6 => Some(html! { <h3>{ inline(text) }</h3> }),
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

fn table(rows: &[Vec<String>]) -> Html {
    let is_rule = |row: &Vec<String>| {
        row.iter()
            .all(|cell| !cell.is_empty() && cell.chars().all(|letter| "-: ".contains(letter)))
    };
    let (head, body) = match rows {
        [head, rule, body @ ..] if is_rule(rule) => (Some(head), body),
        all => (None, all),
    };
    html! {
        <table>
            if let Some(head) = head {
                <thead><tr>{ for head.iter().map(|cell| html! { <th scope="col">{ inline(cell) }</th> }) }</tr></thead>
            }
            <tbody>
                { for body.iter().map(|row| html! {
                    <tr>{ for row.iter().map(|cell| html! { <td>{ inline(cell) }</td> }) }</tr>
                }) }
            </tbody>
        </table>
    }
}

/// Code between backquotes, strong text between double asterisks.
fn inline(text: &str) -> Html {
    let parts = text.split('`').enumerate().map(|(index, part)| {
        if index % 2 == 1 {
            html! { <code>{ part.to_owned() }</code> }
        } else {
            let strong = part.split("**").enumerate().map(|(index, part)| {
                if index % 2 == 1 {
                    html! { <strong>{ part.to_owned() }</strong> }
                } else {
                    html! { { part.to_owned() } }
                }
            });
            html! { <>{ for strong }</> }
        }
    });
    html! { <>{ for parts }</> }
}
