//! Help from the editor's table of commands, and the pages of rules.

use super::dialog::Dialog;
use super::rules::{number, source_text};
use crate::keys::is_offered;
use crate::markdown;
use crate::platform::beside;
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
    html! {
        <Dialog id="help" title="Commands and keys" on_close={props.on_close.clone()}>
            <p class="text">{ "Keys of the groups Edit, Pulse, Pattern, Move about and View work while the timeline has the focus; those with Ctrl or Alt work from anywhere outside a text field. Space and Escape stop the preview from anywhere. Enter on the timeline edits the pulse in numbers" }</p>
            { for CommandGroup::ALL.into_iter().map(group) }
        </Dialog>
    }
}

fn group(group: CommandGroup) -> Html {
    let commands = || {
        COMMANDS
            .iter()
            .filter(move |command| command.group == group && is_offered(command))
    };
    html! {
        <section key={group.name()}>
            <h3>{ group.name() }</h3>
            <table>
                <caption class="only-spoken">{ format!("Commands of the group {}", group.name()) }</caption>
                <tbody>{ for commands().map(|command| html! {
                    <tr>
                        <th scope="row">{ command.name }</th>
                        <td>{ for command.chords.iter().map(|chord| html! { <><kbd>{ chord.to_string() }</kbd>{ " " }</> }) }</td>
                    </tr>
                }) }</tbody>
            </table>
        </section>
    }
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
        return html! {
            <Dialog id="explain" title={format!("{} is no rule of this version", props.code)} on_close={props.on_close.clone()}>
                <p>{ "The profile or a waiver names it; take it out or use a version that has it" }</p>
            </Dialog>
        };
    };
    html! {
        <Dialog id="explain" title={format!("{} {}", meta.code, meta.name)} on_close={props.on_close.clone()}>
            <p class="text">{ meta.summary }</p>
            <p class="quiet">{ format!("Group {}, severity {}, since {}", meta.group.name(), meta.severity.name(), meta.since) }</p>
            <h3>{ "Sources" }</h3>
            <ul class="bullets">{ for meta.sources.iter().map(|source| html! {
                <li>{ source_text(source) }</li>
            }) }</ul>
            if !meta.parameters.is_empty() {
                <h3>{ "Parameters" }</h3>
                <table>
                    <thead><tr><th scope="col">{ "Name" }</th><th scope="col">{ "What" }</th><th scope="col" class="number">{ "Default" }</th></tr></thead>
                    <tbody>{ for meta.parameters.iter().map(|parameter| html! {
                        <tr><td><code>{ parameter.name }</code></td><td>{ parameter.label }</td>
                        <td class="number">{ format!("{} {}", number(parameter.default), parameter.unit) }</td></tr>
                    }) }</tbody>
                </table>
            }
            { match read.as_ref().filter(|(code, _)| *code == props.code) {
                Some((_, Ok(text))) => markdown::page(text),
                Some((_, Err(problem))) => html! { <p class="text" role="alert">{ format!("The page of {}: {problem}", props.code) }</p> },
                None => html! { <p class="quiet" role="status">{ "Loading the page" }</p> },
            } }
        </Dialog>
    }
}
