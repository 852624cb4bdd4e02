//! The page: state, contexts, listeners, and where its parts stand.
//!
//! Invariant: one animation-frame loop, started and ended in one effect.

use crate::above::{Above, Broken};
use crate::components::bars::notices;
use crate::components::fields::show_heads;
use crate::components::head::{self, Head};
use crate::components::notices::question;
use crate::components::reason::Reason;
use crate::components::results::{self, Judged, ResultsColumn};
use crate::components::timeline::{self, Timeline, focus, perform, soon};
use crate::components::vehicle::Vehicle;
use crate::handing::{open_link, save_copy, save_file};
use crate::judging::{Steps, do_later};
use crate::keys;
use crate::later::{HandOut, Later, Wanted, hand_out, use_later};
use crate::live::Live;
use crate::opening::{INPUT, Opener, has_content, kept_from};
use crate::platform::frame::FrameLoop;
use crate::platform::listen::Listener;
use crate::platform::promise::get;
use crate::platform::{preferences, window};
use crate::saving::{Keeper, Start};
use crate::session;
use crate::store::{Dispatch, Document, Store, Viewed};
use crate::tabs::HAIL;
use crate::tag::{Tag, button, component, said, tag, text};
use lampwright_analysis::screening::cautions;
use lampwright_editor::{Action, CommandId, EditorState, MessageKind, PlatformTask, Theme, View};
use lampwright_formats::read_program;
use lampwright_model::{Problem, RuleCode};
use std::rc::Rc;
use web_sys::HtmlInputElement;
use yew::context::ContextProviderProps;
use yew::prelude::*;
use yew::virtual_dom::{VComp, VList};

/// Properties of [`App`].
#[derive(Properties)]
pub(crate) struct Props {
    /// What the page starts with.
    pub(crate) start: Rc<Start>,
}

impl PartialEq for Props {
    fn eq(&self, other: &Self) -> bool {
        Rc::ptr_eq(&self.start, &other.start)
    }
}

/// What lives as long as the page.
struct Roots {
    editor: Rc<EditorState>,
    live: Rc<Live>,
    keeper: Rc<Keeper>,
}

/// The whole page.
#[component]
pub(crate) fn App(props: &Props) -> Html {
    let start = props.start.clone();
    let roots = use_memo((), |()| Roots {
        live: Rc::new(Live::new(start.editor.clone())),
        keeper: start.keeper.clone(),
        editor: start.editor.clone(),
    });
    let store = {
        let roots = roots.clone();
        use_reducer(move || Store {
            editor: roots.editor.clone(),
        })
    };
    let above = {
        let start = props.start.clone();
        use_state(move || first_above(&start))
    };
    let news = use_force_update();
    let later = use_later();
    let is_table = use_state(|| false);
    let judged = use_state(|| None::<Judged>);
    let editor = store.editor.clone();
    roots.live.show(editor.clone());
    let dispatch = use_memo((), |()| {
        *roots.keeper.on_news.borrow_mut() = Callback::from(move |()| news.force_update());
        Dispatch::new(store.dispatcher(), roots.live.clone())
    });
    let opener = Opener {
        dispatch: (*dispatch).clone(),
        keeper: roots.keeper.clone(),
        above: {
            let above = above.clone();
            Callback::from(move |shown| above.set(shown))
        },
    };
    let on_table = {
        let is_table = is_table.clone();
        Callback::from(move |shown| is_table.set(shown))
    };
    let on_task = {
        let (opener, on_table) = (opener.clone(), on_table.clone());
        Callback::from(move |task: PlatformTask| match task {
            PlatformTask::OpenFile => opener.pick(),
            PlatformTask::SaveFile => save_file(&opener),
            PlatformTask::SaveCopy => save_copy(&opener),
            PlatformTask::CopyLink => hand_out(&opener, HandOut::Link),
            PlatformTask::NameProgram => opener.above.emit(Above::Title),
            PlatformTask::NewProgram => opener.above.emit(Above::Programs),
            PlatformTask::EmptyProgram => opener.empty(),
            PlatformTask::CopyVehicle => opener.copy_vehicle(),
            PlatformTask::StepTables => opener.above.emit(Above::Steps),
            PlatformTask::ShowHelp => opener.above.emit(Above::Help),
            PlatformTask::FindCommand => opener.above.emit(Above::Find),
            PlatformTask::Ask(question) => opener.above.emit(Above::Ask(question)),
            PlatformTask::BuildPattern => opener.above.emit(Above::Patterns(None)),
            PlatformTask::ShowLibrary => opener.above.emit(Above::Patterns(Some("".into()))),
            PlatformTask::ExportPattern => hand_out(&opener, HandOut::Pattern),
            PlatformTask::FocusFindings => focus("findings"),
            PlatformTask::FocusHeads => {
                opener.dispatch.send(Action::SetView(View::Timeline));
                soon(show_heads);
            }
            PlatformTask::FocusTable => {
                opener.dispatch.send(Action::SetView(View::Timeline));
                perform(task, &on_table);
            }
            _ => {}
        })
    };
    use_loop_and_keys(&dispatch, &on_task, &opener);
    use_judging(&editor, &roots.keeper);
    use_saving(&editor, &dispatch, &roots);
    use_theme(&editor, &dispatch);

    let on_command = {
        let (dispatch, on_task) = (dispatch.clone(), on_task.clone());
        Callback::from(move |id| keys::run(&dispatch, id, &on_task))
    };
    let on_close = {
        let above = above.clone();
        Callback::from(move |()| above.set(Above::Nothing))
    };
    // The same ones each time, so that what has a half typed field is not made anew when the page is.
    let lasting = use_memo((), move |()| (on_command, on_table, on_close));
    let (on_command, on_table, on_close) = (*lasting).clone();
    let on_explain = {
        let above = above.clone();
        Callback::from(move |code| above.set(Above::Explain(code)))
    };
    let on_judged = {
        let judged = judged.clone();
        Callback::from(move |new| judged.set(Some(new)))
    };
    let on_file = {
        let opener = opener.clone();
        Callback::from(move |event: Event| {
            let file = event
                .target_dyn_into::<HtmlInputElement>()
                .and_then(|input| input.files())
                .and_then(|files| files.get(0));
            if let Some(file) = file {
                opener.file(&file);
            }
        })
    };
    let message = editor.message();
    let said = text(
        "p",
        if message.kind == MessageKind::Refused {
            "is-refused"
        } else {
            ""
        },
        message.text.to_string(),
    )
    .with("role", "status")
    .with("aria-live", "polite")
    .with("id", "message");
    let views = views(
        &Shown {
            view: shown_view(editor.view()),
            is_table: *is_table,
            judged: &judged,
        },
        &dispatch,
        &on_command,
        &on_table,
        &on_explain,
        &later,
    );
    let page = tag("div", "page")
        .child(component::<Head>(head::Props {
            on_command,
            saved: roots.keeper.saved().into(),
        }))
        .tag(
            tag("input", "only-spoken")
                .with("type", "file")
                .with("id", INPUT)
                .with("tabindex", "-1")
                .with("aria-label", "Program file")
                .with("accept", ".json,application/json")
                .on_change(on_file),
        )
        .child(notices(&editor, &opener))
        .tag(
            tag("main", "work")
                .tag(tag("div", "side").child(component::<Vehicle>(())))
                .tag(
                    tag("div", "center")
                        .tag(views)
                        .child(component::<Reason>(())),
                )
                .child(component::<ResultsColumn>(results::Props {
                    on_explain,
                    judged: (*judged).clone(),
                    on_judged,
                })),
        )
        .tag(tag("footer", "foot").tag(said));
    let asking = if editor.preview().is_asking_full_speed {
        full_speed(&dispatch)
    } else {
        Html::default()
    };
    let dialog = match &*above {
        Above::Nothing => Html::default(),
        above => later.node(&Wanted::Dialog {
            above,
            opener: &opener,
            on_task: &on_task,
            on_close: &on_close,
        }),
    };
    let all = VList::with_children(vec![page.done(), dialog, asking], None);
    let viewed = provide(Viewed(editor.clone()), all.into());
    provide((*dispatch).clone(), provide(Document::new(editor), viewed))
}

/// What is inside reads the value from its context.
fn provide<T: Clone + PartialEq + 'static>(context: T, children: Html) -> Html {
    let props = ContextProviderProps { context, children };
    VComp::new::<ContextProvider<T>>(Rc::new(props), None).into()
}

fn first_above(start: &Start) -> Above {
    let damaged = start.damaged.as_deref();
    let Some((slot, text)) =
        damaged.and_then(|slot| session::program_text(slot).map(|text| (slot, text)))
    else {
        return start.missing.clone().map_or(Above::Nothing, |found| {
            Above::Broken(Rc::new(Broken {
                problems: vec![Problem::new("file", "the demo's file", found)],
                ..Broken::default()
            }))
        });
    };
    let outcome = read_program(text.as_bytes());
    Above::Broken(Rc::new(Broken {
        from: kept_from(slot, text),
        program: outcome.program.filter(has_content).map(Rc::new),
        problems: outcome.problems,
        n_more: outcome.n_more_problems,
        instead: None,
        is_first: true,
    }))
}

/// The view a state asks for, of those this page has.
fn shown_view(view: View) -> View {
    match view {
        View::Night | View::Sheet => View::Timeline,
        view => view,
    }
}

/// How long after the last change a state that takes long is judged, in milliseconds.
const JUDGE_AFTER_MS: i32 = 150;

/// Judges the shown state in slices once the hand rests, when it takes too long to be judged within a move.
#[hook]
fn use_judging(editor: &Rc<EditorState>, keeper: &Rc<Keeper>) {
    let place = use_mut_ref(|| None);
    let keeper = keeper.clone();
    use_effect_with(Unjudged(editor.clone()), move |unjudged| {
        place.borrow_mut().take();
        let editor = unjudged.0.clone();
        if editor.judged().is_none() {
            do_later(
                &place,
                JUDGE_AFTER_MS,
                Box::new(ShownSteps { editor, keeper }),
            );
        }
    });
}

/// Steps of judging the shown state.
struct ShownSteps {
    editor: Rc<EditorState>,
    keeper: Rc<Keeper>,
}

impl Steps for ShownSteps {
    fn may_go_on(&self) -> bool {
        true
    }

    fn step(&mut self) -> bool {
        self.editor.judge_step()
    }

    fn done(self: Box<Self>) {
        // Everything that shows what was judged is rendered again.
        self.keeper.on_news.borrow().emit(());
    }
}

/// A state compared by what follows from it.
struct Unjudged(Rc<EditorState>);

impl PartialEq for Unjudged {
    fn eq(&self, other: &Self) -> bool {
        self.0.has_results_of(&other.0)
    }
}

/// The one frame loop, and everything that listens on the window.
#[hook]
fn use_loop_and_keys(dispatch: &Rc<Dispatch>, on_task: &Callback<PlatformTask>, opener: &Opener) {
    let (dispatch, on_task, opener) = (dispatch.clone(), on_task.clone(), opener.clone());
    use_effect_with((), move |()| {
        let framing = dispatch.clone();
        let frames = FrameLoop::new(move |time_ms| {
            if let Some((width_px, height_px)) = framing.live.tick(time_ms) {
                framing.send(Action::Resize {
                    width_px,
                    height_px,
                });
            }
        });
        let mut listeners = keys::listen(&dispatch, &on_task);
        listeners.extend(opener.listen());
        open_link(&opener);
        if let Some(window) = window() {
            let (leaving, unsaved) = (opener.clone(), opener.clone());
            listeners.push(Listener::new(&window, "pagehide", move |_| {
                leaving.keeper.save_now(&leaving.dispatch);
                leaving.keeper.leave();
            }));
            let linked = opener.clone();
            listeners.push(Listener::new(&window, "hashchange", move |_| {
                open_link(&linked);
            }));
            let (returning, hearing) = (opener.keeper.clone(), opener.keeper.clone());
            listeners.push(Listener::new(&window, "pageshow", move |_| {
                returning.enter();
            }));
            listeners.push(Listener::new(&window, "storage", move |event| {
                let text = |name| get(&event, name).ok().and_then(|value| value.as_string());
                if text("key").as_deref() == Some(HAIL)
                    && let Some(message) = text("newValue")
                {
                    hearing.hear(&message);
                }
            }));
            listeners.push(Listener::new(&window, "beforeunload", move |event| {
                if !unsaved.keeper.save_now(&unsaved.dispatch) {
                    event.prevent_default();
                }
            }));
        }
        move || {
            drop(listeners);
            drop(frames);
        }
    });
}

/// Saves after each committed step, and remembers what is shown.
#[hook]
fn use_saving(editor: &Rc<EditorState>, dispatch: &Rc<Dispatch>, roots: &Rc<Roots>) {
    let had_gesture = use_mut_ref(|| false);
    {
        let (dispatch, roots) = (dispatch.clone(), roots.clone());
        use_effect_with(editor.revision(), move |_| {
            roots.keeper.save_soon(&dispatch);
        });
    }
    {
        // Before a drag and right after it, so that a kill takes nothing but the drag it falls into.
        let (dispatch, roots) = (dispatch.clone(), roots.clone());
        use_effect_with(editor.gesture().is_some(), move |has_gesture| {
            if had_gesture.replace(*has_gesture) != *has_gesture {
                roots.keeper.save_now(&dispatch);
            }
        });
    }
    let (editor, roots) = (editor.clone(), roots.clone());
    let shown = (editor.shown_state(), editor.open_pattern_id().cloned());
    use_effect_with(shown, move |_| roots.keeper.remember_shown(&editor));
}

/// Puts the theme on the page, and follows the system's wish for less motion.
#[hook]
fn use_theme(editor: &Rc<EditorState>, dispatch: &Rc<Dispatch>) {
    let is_first = use_mut_ref(|| true);
    {
        let dispatch = dispatch.clone();
        use_effect_with(editor.theme(), move |theme| {
            let is_light = *theme == Theme::Light;
            preferences::show_theme(is_light);
            dispatch.live.change_looks();
            // Only what the person chose is remembered, not what the system prefers.
            if !is_first.replace(false) {
                session::remember_theme(is_light);
            }
        });
    }
    let dispatch = dispatch.clone();
    use_effect_with((), move |()| {
        let listener = preferences::on_motion_change(move |is_reduced| {
            if is_reduced {
                keys::stop_preview(&dispatch);
            }
            dispatch.send(Action::SetReducedMotion(is_reduced));
        });
        move || drop(listener)
    });
}

/// The views this page has.
const VIEWS: [View; 6] = [
    View::Timeline,
    View::Setup,
    View::States,
    View::Screening,
    View::Power,
    View::Rules,
];

/// Which view is shown, and how.
struct Shown<'page> {
    view: View,
    is_table: bool,
    judged: &'page Option<Judged>,
}

/// The views behind their tabs.
fn views(
    shown: &Shown<'_>,
    dispatch: &Rc<Dispatch>,
    on_command: &Callback<CommandId>,
    on_table: &Callback<bool>,
    on_explain: &Callback<RuleCode>,
    later: &Later,
) -> Tag {
    let view = shown.view;
    let on_key = {
        let dispatch = dispatch.clone();
        Callback::from(move |event: KeyboardEvent| {
            let step = match event.key().as_str() {
                "ArrowRight" => 1,
                "ArrowLeft" => VIEWS.len() - 1,
                _ => return,
            };
            event.prevent_default();
            let now = VIEWS.iter().position(|known| *known == view).unwrap_or(0);
            if let Some(next) = VIEWS.get((now + step) % VIEWS.len()) {
                dispatch.send(Action::SetView(*next));
                focus(&tab_id(*next));
            }
        })
    };
    let tabs = VIEWS.into_iter().map(|known| {
        let is_shown = known == view;
        button(
            known.name(),
            dispatch.callback(move |_: MouseEvent| Action::SetView(known)),
        )
        .key(known.name().to_owned())
        .with("role", "tab")
        .with_text("id", tab_id(known))
        .with("aria-controls", "view")
        .with("aria-selected", if is_shown { "true" } else { "false" })
        .with("tabindex", if is_shown { "0" } else { "-1" })
    });
    let inside = if view == View::Timeline {
        component::<Timeline>(timeline::Props {
            is_table: shown.is_table,
            on_table: on_table.clone(),
            on_command: on_command.clone(),
        })
    } else {
        later.node(&Wanted::View {
            view,
            judged: shown.judged,
            on_command,
            on_explain,
        })
    };
    tag("section", "views")
        .with("aria-label", "Views")
        .tag(
            tag("div", "tabs")
                .with("role", "tablist")
                .with("aria-label", "Views")
                .on_key(on_key)
                .tags(tabs),
        )
        .tag(
            tag("div", "views")
                .with("id", "view")
                .with("role", "tabpanel")
                .with("tabindex", "0")
                .with_text("aria-labelledby", tab_id(view))
                .child(inside),
        )
}

fn tab_id(view: View) -> String {
    format!("tab-{}", view.name().to_ascii_lowercase())
}

/// The caution before full speed.
fn full_speed(dispatch: &Dispatch) -> Html {
    let allow = button(
        "Allow full speed for this program",
        dispatch.callback(|_: MouseEvent| Action::ConfirmFullSpeed),
    )
    .with("class", "main");
    let standing = cautions::STANDING.iter().map(|words| said("li", "", words));
    question(
        "full-speed",
        "Play at full speed?".into(),
        "Keep the slowed rate",
        &dispatch.callback(|()| Action::UseSafeSpeed),
        tag("div", "row").tag(allow),
        tag("div", "column")
            .tag(said("p", "text", "At full speed the preview flashes as fast as the vehicle does, which can be more than three flashes a second and can provoke a seizure in people who are photosensitive, also in people who do not know that they are"))
            .tag(said("p", "text", "Make sure that nobody near this screen can be affected. Space or Escape stops the preview at once"))
            .tag(tag("ul", "bullets").tags(standing)),
    )
}
