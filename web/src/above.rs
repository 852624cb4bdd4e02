//! What is shown above the page, one thing at a time.
//!
//! Invariant: each is a dialog of its own, so that closing one never answers another.

use crate::components::finder::{self, Asker, Finder};
use crate::components::help::{self, Explain, Help};
use crate::components::notices;
use crate::components::open::Programs;
use crate::components::steps::{self, Steps};
use crate::components::title::name_and_notes;
use crate::components::trying::{self, Patterns};
use crate::opening::{From, Next, Opener};
use crate::tag::component;
use lampwright_editor::{PlatformTask, Question};
use lampwright_model::{Problem, Program, RuleCode};
use std::rc::Rc;
use yew::prelude::*;

/// What is shown above the page.
#[derive(Clone)]
pub(crate) enum Above {
    /// Nothing.
    Nothing,
    /// All commands and keys.
    Help,
    /// All commands, to be found by their names.
    Find,
    /// What a command asks for.
    Ask(Question),
    /// The programs one can open without a file.
    Programs,
    /// The pattern library, with what came of a pattern file that was opened; the pattern builder for nothing.
    Patterns(Option<AttrValue>),
    /// Step tables for a controller.
    Steps,
    /// The page of a rule.
    Explain(RuleCode),
    /// Name and notes of the program.
    Title,
    /// A link, to be copied by hand.
    Link(String),
    /// What was wrong with a file.
    Broken(Rc<Broken>),
    /// The present program is not safe, and another one would take its place.
    Unsaved(Rc<Next>),
}

/// A text that could not be read whole.
#[derive(Clone, Debug, Default)]
pub(crate) struct Broken {
    /// Where the text came from.
    pub(crate) from: From,
    /// What could be read of it, if there is anything to use.
    pub(crate) program: Option<Rc<Program>>,
    /// What was wrong.
    pub(crate) problems: Vec<Problem>,
    /// How many more problems there were.
    pub(crate) n_more: usize,
    /// What the file is instead of a program, if that is known.
    pub(crate) instead: Option<&'static str>,
    /// The page starts with it: what is open otherwise is a demo.
    pub(crate) is_first: bool,
}

/// The dialog that is open, if any.
pub(crate) fn dialogs(
    above: &Above,
    opener: &Opener,
    on_task: &Callback<PlatformTask>,
    on_close: &Callback<()>,
) -> Html {
    match above {
        Above::Nothing => Html::default(),
        Above::Help => component::<Help>(help::Props {
            on_close: on_close.clone(),
        }),
        Above::Find => component::<Finder>(finder::Props {
            on_task: on_task.clone(),
            on_close: on_close.clone(),
        }),
        Above::Ask(question) => component::<Asker>(finder::AskerProps {
            question: *question,
            on_close: on_close.clone(),
        }),
        Above::Explain(code) => component::<Explain>(help::ExplainProps {
            code: *code,
            on_close: on_close.clone(),
        }),
        Above::Programs => component::<Programs>(crate::components::open::Props {
            opener: opener.clone(),
            on_task: on_task.clone(),
            on_close: on_close.clone(),
        }),
        Above::Steps => component::<Steps>(steps::Props {
            dispatch: opener.dispatch.clone(),
            on_close: on_close.clone(),
        }),
        Above::Patterns(news) => component::<Patterns>(trying::Props {
            news: news.clone(),
            on_close: on_close.clone(),
        }),
        Above::Title => name_and_notes(opener, on_close),
        Above::Link(address) => notices::link(address, on_close),
        Above::Broken(broken) => notices::broken(broken, opener, on_close),
        Above::Unsaved(next) => notices::unsaved(next, opener, on_task, on_close),
    }
}
