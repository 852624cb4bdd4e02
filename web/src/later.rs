//! What the first look at the page does without: every view but the timeline, and the dialogs.
//!
//! It is compiled with the rest, split off afterwards into a file of its own, and loaded when something of it is wanted first.
//!
//! Invariant: nothing of the page's state is in here; it makes nodes from what it is given.

use crate::above::{self, Above};
use crate::components::power::Power;
use crate::components::repair;
use crate::components::results::{Asked, Judged};
use crate::components::rules::{self, Rules};
use crate::components::screening::Screening;
use crate::components::setup::{self, Setup};
use crate::components::states::States;
use crate::handing::{copy_link, export_pattern};
use crate::opening::Opener;
use crate::platform::element;
use crate::store::Dispatch;
use crate::tag::{button, component, said, tag};
use lampwright_editor::{CommandId, PlatformTask, View};
use lampwright_model::RuleCode;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_split_helpers::{SplitLoaderError, wasm_split};
use web_sys::Element;
use yew::prelude::*;

/// What is to be shown.
pub(crate) enum Wanted<'page> {
    /// One of the views.
    View {
        view: View,
        judged: &'page Option<Judged>,
        on_command: &'page Callback<CommandId>,
        on_explain: &'page Callback<RuleCode>,
    },
    /// What is shown above the page.
    Dialog {
        above: &'page Above,
        opener: &'page Opener,
        on_task: &'page Callback<PlatformTask>,
        on_close: &'page Callback<()>,
    },
    /// What can be done about a finding.
    Repair {
        asked: &'page Asked,
        dispatch: &'page Dispatch,
        judged: Option<&'page Judged>,
        is_present: bool,
        on_close: &'page Callback<()>,
    },
}

/// What stands for a dialog that is not there yet: the keys are the dialog's already.
const COMING: &str = "coming";

thread_local! {
    /// What was typed into the dialog that is not there yet.
    static TYPED: RefCell<String> = const { RefCell::new(String::new()) };
}

/// Whether a dialog was asked for that is not there yet.
pub(crate) fn is_dialog_coming() -> bool {
    element::<Element>(COMING).is_some()
}

/// Keeps a key for the dialog that is on its way, as far as it is text; Enter ends the text.
pub(crate) fn type_ahead(key: &str) {
    TYPED.with_borrow_mut(|typed| match key {
        _ if typed.ends_with('\n') => {}
        "Enter" => typed.push('\n'),
        "Backspace" => {
            typed.pop();
        }
        key if key.chars().count() == 1 => typed.push_str(key),
        _ => {}
    });
}

/// What was typed before the dialog was there, for the one that takes it; with a line break where Enter was pressed.
pub(crate) fn take_typed() -> String {
    TYPED.take()
}

/// Makes the nodes of what is wanted.
type Maker = fn(&Wanted<'_>) -> Html;

/// The other part of the app, once something of it was wanted.
#[derive(Clone)]
pub(crate) struct Later {
    maker: UseStateHandle<Option<Result<Maker, ()>>>,
    is_coming: Rc<Cell<bool>>,
}

/// The other part of the app.
#[hook]
pub(crate) fn use_later() -> Later {
    Later {
        maker: use_state(|| None),
        is_coming: use_memo((), |()| Cell::new(false)),
    }
}

impl Later {
    fn load(&self) {
        if self.is_coming.replace(true) {
            return;
        }
        take_typed();
        let later = self.clone();
        yew::platform::spawn_local(async move {
            let maker = other_part().await.map_err(|_| ());
            later.is_coming.set(false);
            later.maker.set(Some(maker));
        });
    }

    /// What is wanted, or that it is not there yet.
    pub(crate) fn node(&self, wanted: &Wanted<'_>) -> Html {
        match &*self.maker {
            Some(Ok(make)) => make(wanted),
            Some(Err(())) => {
                let later = self.clone();
                let again = Callback::from(move |_: MouseEvent| later.load());
                tag("div", "notice is-grave")
                    .with("role", "alert")
                    .tag(said("p", "", "This part of the app could not be loaded"))
                    .tag(button("Try again", again))
                    .done()
            }
            None => {
                self.load();
                let coming = said("p", "quiet", "Loading").with("role", "status");
                match wanted {
                    Wanted::Dialog { .. } | Wanted::Repair { .. } => {
                        coming.with("id", COMING).done()
                    }
                    Wanted::View { .. } => coming.done(),
                }
            }
        }
    }
}

/// The maker, which is in the other part.
#[wasm_split(later, fallible)]
fn other_part() -> Result<Maker, SplitLoaderError> {
    Ok(make)
}

/// What is handed out by code of the other part.
#[derive(Clone, Copy)]
pub(crate) enum HandOut {
    /// The program, as a link.
    Link,
    /// The open pattern, as a file.
    Pattern,
}

/// Hands something out, once the other part is there.
pub(crate) fn hand_out(opener: &Opener, what: HandOut) {
    let opener = opener.clone();
    yew::platform::spawn_local(async move {
        if other_handing(opener.clone(), what).await.is_err() {
            let words = "This part of the app could not be loaded: try again";
            opener.keeper.tell(words.into());
        }
    });
}

#[wasm_split(later, fallible)]
fn other_handing(opener: Opener, what: HandOut) -> Result<(), SplitLoaderError> {
    match what {
        HandOut::Link => copy_link(&opener),
        HandOut::Pattern => export_pattern(&opener),
    }
    Ok(())
}

fn make(wanted: &Wanted<'_>) -> Html {
    match wanted {
        Wanted::Dialog {
            above,
            opener,
            on_task,
            on_close,
        } => above::dialogs(above, opener, on_task, on_close),
        Wanted::Repair {
            asked,
            dispatch,
            judged,
            is_present,
            on_close,
        } => repair::dialogs(asked, dispatch, *judged, *is_present, on_close),
        Wanted::View {
            view,
            judged,
            on_command,
            on_explain,
        } => match view {
            View::Setup => component::<Setup>(setup::Props {
                on_command: (*on_command).clone(),
            }),
            View::Screening => component::<Screening>(()),
            View::Power => component::<Power>(()),
            View::Rules => component::<Rules>(rules::Props {
                judged: (*judged).clone(),
                on_explain: (*on_explain).clone(),
            }),
            _ => component::<States>(()),
        },
    }
}
