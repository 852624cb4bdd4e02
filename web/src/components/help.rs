//! Help from the editor's table of commands, and the pages of rules.

use super::dialog::dialog;
use super::rules::{number, source_text};
use crate::keys::is_offered;
use crate::markdown;
use crate::platform::beside;
use crate::tag::{Tag, columns, said, tag, text};
use lampwright_analysis::rules;
use lampwright_editor::{COMMANDS, CommandGroup};
use lampwright_model::RuleCode;
use yew::prelude::*;

/// Properties of [`Help`].
#[derive(Properties, PartialEq)]
pub(crate) struct Props {
    /// Called when it is closed.
    pub(crate) on_close: Callback<()>,
}

/// All commands with their keys.
#[component]
pub(crate) fn Help(props: &Props) -> Html {
    let groups = CommandGroup::ALL.into_iter().map(group);
    let body = tag("div", "")
        .tag(said("p", "text", "Keys of the groups Edit, Pulse, Shape, Pattern, Move about and View work while the timeline has the focus; those with Ctrl or Alt work from anywhere outside a text field. Space and Escape stop the preview from anywhere. Enter on the timeline edits the pulse in numbers"))
        .tags(groups);
    dialog(
        "help",
        "Commands and keys".into(),
        "Close",
        &props.on_close,
        body.inside(),
    )
}

fn group(group: CommandGroup) -> Tag {
    let mut rows = tag("tbody", "");
    for command in COMMANDS {
        if command.group != group || !is_offered(command) {
            continue;
        }
        let mut keys = tag("td", "");
        for chord in command.chords {
            keys = keys.tag(text("kbd", "", chord.to_string())).say(" ");
        }
        rows = rows.tag(
            tag("tr", "")
                .tag(said("th", "", command.name).with("scope", "row"))
                .tag(keys),
        );
    }
    let caption = format!("Commands of the group {}", group.name());
    tag("section", "").tag(said("h3", "", group.name())).tag(
        tag("table", "")
            .tag(text("caption", "only-spoken", caption))
            .tag(rows),
    )
}

/// Properties of [`Explain`].
#[derive(Properties, PartialEq)]
pub(crate) struct ExplainProps {
    /// The rule.
    pub(crate) code: RuleCode,
    /// Called when it is closed.
    pub(crate) on_close: Callback<()>,
}

/// The page of a rule with its sources and parameters.
#[component]
pub(crate) fn Explain(props: &ExplainProps) -> Html {
    // What was read last, and of which rule.
    let read = use_state(|| None::<(RuleCode, Result<String, String>)>);
    {
        let read = read.clone();
        use_effect_with(props.code, move |&code| {
            let path = format!("rules/{}.md", code.to_string().to_ascii_lowercase());
            beside::read(&path, move |text| read.set(Some((code, text))));
        });
    }
    let Some(meta) = rules::rule(props.code).map(|rule| rule.meta()) else {
        return dialog(
            "explain",
            format!("{} is no rule of this version", props.code),
            "Close",
            &props.on_close,
            said(
                "p",
                "",
                "The profile or a waiver names it; take it out or use a version that has it",
            )
            .done(),
        );
    };
    let words = format!(
        "Group {}, severity {}, since {}",
        meta.group.name(),
        meta.severity.name(),
        meta.since
    );
    let sources = meta
        .sources
        .iter()
        .map(|source| text("li", "", source_text(source)));
    let mut body = tag("div", "")
        .tag(said("p", "text", meta.summary))
        .tag(text("p", "quiet", words))
        .tag(said("h3", "", "Sources"))
        .tag(tag("ul", "bullets").tags(sources));
    if !meta.parameters.is_empty() {
        let rows = meta.parameters.iter().map(|parameter| {
            let default = format!("{} {}", number(parameter.default), parameter.unit);
            tag("tr", "")
                .tag(tag("td", "").tag(said("code", "", parameter.name)))
                .tag(said("td", "", parameter.label))
                .tag(text("td", "number", default))
        });
        body = body.tag(said("h3", "", "Parameters")).tag(
            tag("table", "")
                .tag(columns(&[
                    ("Name", false),
                    ("What", false),
                    ("Default", true),
                ]))
                .tag(tag("tbody", "").tags(rows)),
        );
    }
    let page = match read.as_ref().filter(|(code, _)| *code == props.code) {
        Some((_, Ok(text))) => markdown::page(text),
        Some((_, Err(problem))) => text(
            "p",
            "text",
            format!("The page of {}: {problem}", props.code),
        )
        .with("role", "alert")
        .done(),
        None => said("p", "quiet", "Loading the page")
            .with("role", "status")
            .done(),
    };
    dialog(
        "explain",
        format!("{} {}", meta.code, meta.name),
        "Close",
        &props.on_close,
        body.child(page).inside(),
    )
}
