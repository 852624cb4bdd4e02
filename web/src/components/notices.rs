//! What was wrong with a file, and what to do with what could be read.

use super::dialog::Dialog;
use lampwright_model::{Problem, Program};
use std::rc::Rc;
use yew::prelude::*;

/// A file that was read with problems.
#[derive(Clone, Debug)]
pub(crate) struct Broken {
    /// Where the text came from.
    pub(crate) name: String,
    /// What could be read of it.
    pub(crate) program: Option<Rc<Program>>,
    /// What was wrong.
    pub(crate) problems: Vec<Problem>,
    /// How many more problems there were.
    pub(crate) n_more: usize,
}

/// Properties of [`BrokenFile`].
#[derive(Properties)]
pub(crate) struct Props {
    /// The file.
    pub(crate) broken: Rc<Broken>,
    /// Takes over what could be read.
    pub(crate) on_use: Callback<()>,
    /// Keeps the present program.
    pub(crate) on_keep: Callback<()>,
}

impl PartialEq for Props {
    fn eq(&self, other: &Self) -> bool {
        Rc::ptr_eq(&self.broken, &other.broken)
            && self.on_use == other.on_use
            && self.on_keep == other.on_keep
    }
}

/// The problems of a file with their paths in plain words.
#[component]
pub(crate) fn BrokenFile(props: &Props) -> Html {
    let broken = &props.broken;
    let n_problems = broken.problems.len() + broken.n_more;
    let title = match n_problems {
        1 => format!("{}: 1 problem", broken.name),
        n => format!("{}: {n} problems", broken.name),
    };
    let on_use = {
        let on_use = props.on_use.clone();
        Callback::from(move |_: MouseEvent| on_use.emit(()))
    };
    let buttons = html! {
        if broken.program.is_some() {
            <button type="button" class="main" onclick={on_use}>{ "Use what could be read" }</button>
        }
    };
    html! {
        <Dialog id="problems" title={title} close="Keep the present program" on_close={props.on_keep.clone()} buttons={buttons}>
            <p class="text">{ match &broken.program {
                None => "Nothing of it could be read as a program; the present program is untouched".to_owned(),
                Some(program) => readable(program),
            } }</p>
            <ol class="problems" tabindex="0" aria-label="Problems">
                { for broken.problems.iter().map(|problem| html! {
                    <li>
                        <code>{ problem.path.clone() }</code>
                        { format!(": found {}, expected {}", problem.found, problem.expected) }
                    </li>
                }) }
                if broken.n_more > 0 {
                    <li>{ format!("and {} more", broken.n_more) }</li>
                }
            </ol>
        </Dialog>
    }
}

fn readable(program: &Program) -> String {
    format!(
        "Could be read: {} heads, {} patterns, {} signals, {} layers, {} situations. The present program stays until this one is accepted, and is kept in this browser afterwards",
        program.vehicle.heads.len(),
        program.patterns.len(),
        program.signals.len(),
        program.layers.len(),
        program.situations.len()
    )
}
