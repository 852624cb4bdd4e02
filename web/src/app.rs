//! The page: state, contexts, listeners, and where its parts stand.
//!
//! Invariant: one animation-frame loop, started and ended in one effect.

use crate::components::dialog::Dialog;
use crate::components::head::Head;
use crate::components::help::{Explain, Help};
use crate::components::notices::{Broken, BrokenFile};
use crate::components::open::Programs;
use crate::components::power::Power;
use crate::components::reason::Reason;
use crate::components::results::{Judged, ResultsColumn};
use crate::components::rules::Rules;
use crate::components::screening::Screening;
use crate::components::states::States;
use crate::components::timeline::{Timeline, focus, perform};
use crate::components::vehicle::Vehicle;
use crate::keys;
use crate::live::Live;
use crate::opening::{INPUT, Opener};
use crate::platform::frame::FrameLoop;
use crate::platform::listen::Listener;
use crate::platform::{files, preferences, window};
use crate::saving::{Keeper, Start, start};
use crate::session;
use crate::store::{Dispatch, Document, Store, Viewed};
use lampwright_analysis::screening::cautions;
use lampwright_editor::{Action, EditorState, MessageKind, PlatformTask, SaveState, Theme, View};
use lampwright_formats::write_program;
use lampwright_model::RuleCode;
use std::rc::Rc;
use web_sys::{BeforeUnloadEvent, HtmlInputElement, StorageEvent};
use yew::prelude::*;

/// What is shown above the page.
#[derive(Clone)]
enum Above {
    Nothing,
    Help,
    Programs,
    Explain(RuleCode),
    Broken(Rc<Broken>),
}

/// What lives as long as the page.
struct Roots {
    start: Start,
    live: Rc<Live>,
    keeper: Rc<Keeper>,
}

/// The whole page.
#[component]
pub(crate) fn App() -> Html {
    let roots = use_memo((), |()| {
        let start = start();
        Roots {
            live: Rc::new(Live::new(Rc::new(start.editor.clone()))),
            keeper: Rc::new(Keeper::new(start.slot.clone())),
            start,
        }
    });
    let store = {
        let roots = roots.clone();
        use_reducer(move || Store {
            editor: Rc::new(roots.start.editor.clone()),
        })
    };
    let above = {
        let roots = roots.clone();
        use_state(move || first_above(&roots.start))
    };
    let saved_at = use_state(|| AttrValue::Static(""));
    let is_table = use_state(|| false);
    let judged = use_state(|| None::<Judged>);
    let editor = store.editor.clone();
    roots.live.show(editor.clone());
    let dispatch = use_memo((), |()| {
        Dispatch::new(store.dispatcher(), roots.live.clone())
    });
    let flush = {
        let (roots, dispatch, saved_at) = (roots.clone(), dispatch.clone(), saved_at.clone());
        Callback::from(move |()| {
            roots
                .keeper
                .save_now(&dispatch, |at| saved_at.set(at.into()));
        })
    };
    let opener = Opener {
        dispatch: (*dispatch).clone(),
        keeper: roots.keeper.clone(),
        flush: flush.clone(),
        on_broken: {
            let above = above.clone();
            Callback::from(move |broken| above.set(Above::Broken(broken)))
        },
    };
    let on_table = {
        let is_table = is_table.clone();
        Callback::from(move |shown| is_table.set(shown))
    };
    let on_task = {
        let (opener, above, dispatch, on_table) = (
            opener.clone(),
            above.clone(),
            dispatch.clone(),
            on_table.clone(),
        );
        Callback::from(move |task: PlatformTask| match task {
            PlatformTask::OpenFile => opener.pick(),
            PlatformTask::SaveFile => save_file(&dispatch),
            PlatformTask::NewProgram => above.set(Above::Programs),
            PlatformTask::ShowHelp => above.set(Above::Help),
            PlatformTask::FocusFindings => focus("findings"),
            PlatformTask::FocusTable => {
                dispatch.send(Action::SetView(View::Timeline));
                perform(task, &on_table);
            }
            PlatformTask::Print => {}
        })
    };
    use_loop_and_keys(&dispatch, &on_task, &opener, &flush, &roots);
    use_saving(&editor, &dispatch, &roots, &saved_at);
    use_theme(&editor, &dispatch);

    let on_command = {
        let (dispatch, on_task) = (dispatch.clone(), on_task.clone());
        Callback::from(move |id| keys::run(&dispatch, id, &on_task))
    };
    let on_explain = {
        let above = above.clone();
        Callback::from(move |code| above.set(Above::Explain(code)))
    };
    let on_judged = {
        let judged = judged.clone();
        Callback::from(move |new| judged.set(Some(new)))
    };
    let on_close = {
        let above = above.clone();
        Callback::from(move |()| above.set(Above::Nothing))
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
    html! {
        <ContextProvider<Dispatch> context={(*dispatch).clone()}>
        <ContextProvider<Document> context={Document(editor.clone())}>
        <ContextProvider<Viewed> context={Viewed(editor.clone())}>
            <div class="page">
                <Head on_command={on_command} saved_at={(*saved_at).clone()} />
                <input type="file" id={INPUT} class="only-spoken" tabindex="-1" aria-label="Program file" accept=".json,application/json" onchange={on_file} />
                { notices(&editor, &dispatch) }
                <main class="work">
                    <div class="side"><Vehicle /></div>
                    <div class="center">
                        <Views view={shown_view(editor.view())} is_table={*is_table} on_table={on_table} judged={(*judged).clone()} on_explain={on_explain.clone()} />
                        <Reason />
                    </div>
                    <ResultsColumn on_explain={on_explain} judged={(*judged).clone()} on_judged={on_judged} />
                </main>
                <footer class="foot">
                    <p role="status" aria-live="polite" id="message" class={classes!((message.kind == MessageKind::Refused).then_some("is-refused"))}>
                        { message.text.to_string() }
                    </p>
                </footer>
            </div>
            { dialogs(&above, &opener, &on_close) }
            if editor.preview().is_asking_full_speed {
                <FullSpeed />
            }
        </ContextProvider<Viewed>>
        </ContextProvider<Document>>
        </ContextProvider<Dispatch>>
    }
}

fn first_above(start: &Start) -> Above {
    if start.problems.is_empty() {
        return Above::Nothing;
    }
    Above::Broken(Rc::new(Broken {
        name: "The program kept in this browser".into(),
        program: None,
        problems: start.problems.clone(),
        n_more: 0,
    }))
}

/// The view a state asks for, of those this page has.
fn shown_view(view: View) -> View {
    match view {
        View::Night | View::Sheet => View::Timeline,
        view => view,
    }
}

/// The one frame loop, and everything that listens on the window.
#[hook]
fn use_loop_and_keys(
    dispatch: &Rc<Dispatch>,
    on_task: &Callback<PlatformTask>,
    opener: &Opener,
    flush: &Callback<()>,
    roots: &Rc<Roots>,
) {
    let (dispatch, on_task, opener, flush, roots) = (
        dispatch.clone(),
        on_task.clone(),
        opener.clone(),
        flush.clone(),
        roots.clone(),
    );
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
        if let Some(window) = window() {
            let (leaving, keeping) = (flush.clone(), roots.keeper.clone());
            listeners.push(Listener::new(&window, "pagehide", move |_| {
                leaving.emit(());
            }));
            listeners.push(Listener::typed::<StorageEvent>(
                &window,
                "storage",
                move |event| {
                    if let Some(key) = event.key() {
                        keeping.note_foreign_write(&key);
                    }
                },
            ));
            let unsaved = dispatch.clone();
            listeners.push(Listener::typed::<BeforeUnloadEvent>(
                &window,
                "beforeunload",
                move |event| {
                    let editor = unsaved.live.editor();
                    if matches!(editor.save_state(), SaveState::Failed { .. }) {
                        event.prevent_default();
                    }
                },
            ));
        }
        move || {
            drop(listeners);
            drop(frames);
        }
    });
}

/// Saves after each committed step, and remembers what is shown.
#[hook]
fn use_saving(
    editor: &Rc<EditorState>,
    dispatch: &Rc<Dispatch>,
    roots: &Rc<Roots>,
    saved_at: &UseStateHandle<AttrValue>,
) {
    {
        let (dispatch, roots, saved_at) = (dispatch.clone(), roots.clone(), saved_at.clone());
        use_effect_with(editor.revision(), move |_| {
            roots
                .keeper
                .save_soon(&dispatch, move |at| saved_at.set(at.into()));
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

fn save_file(dispatch: &Dispatch) {
    let editor = dispatch.live.editor();
    let program = editor.committed_program();
    if let Err(reason) = files::download(&files::file_name(&program.name), &write_program(program))
    {
        dispatch.send(Action::SaveFailed { reason });
    }
}

fn notices(editor: &EditorState, dispatch: &Rc<Dispatch>) -> Html {
    let download = {
        let dispatch = dispatch.clone();
        Callback::from(move |_: MouseEvent| save_file(&dispatch))
    };
    let left_out = editor
        .notices()
        .iter()
        .filter(|notice| !notice.is_refusal)
        .count();
    html! {
        <>
            if let SaveState::Failed { reason } = editor.save_state() {
                <div class="notice is-grave" role="alert">
                    <p>{ format!("{reason}. The work is kept while this page is open") }</p>
                    <button type="button" class="main" onclick={download}>{ "Download a copy" }</button>
                </div>
            }
            if left_out > 0 {
                <div class="notice">
                    <details>
                        <summary>{ format!("{left_out} problems of the opened file: what is listed was left out") }</summary>
                        <ul>{ for editor.notices().iter().map(|notice| html! { <li>{ notice.problem.to_string() }</li> }) }</ul>
                    </details>
                    <button type="button" onclick={dispatch.callback(|_: MouseEvent| Action::DismissNotices)}>{ "Dismiss" }</button>
                </div>
            }
        </>
    }
}

fn dialogs(above: &UseStateHandle<Above>, opener: &Opener, on_close: &Callback<()>) -> Html {
    match &**above {
        Above::Nothing => Html::default(),
        Above::Help => html! { <Help on_close={on_close.clone()} /> },
        Above::Explain(code) => html! { <Explain code={*code} on_close={on_close.clone()} /> },
        Above::Programs => {
            let (demos, kept, empty) = (opener.clone(), opener.clone(), opener.clone());
            let (close, close_kept, close_empty) =
                (on_close.clone(), on_close.clone(), on_close.clone());
            html! {
                <Programs slot={opener.keeper.slot()} on_close={on_close.clone()}
                    on_demo={Callback::from(move |index| { close.emit(()); demos.demo(index); })}
                    on_kept={Callback::from(move |slot: String| { close_kept.emit(()); kept.kept(&slot); })}
                    on_empty={Callback::from(move |()| { close_empty.emit(()); empty.empty(); })} />
            }
        }
        Above::Broken(broken) => {
            let (using, opener, close) = (broken.clone(), opener.clone(), on_close.clone());
            let on_use = Callback::from(move |()| {
                close.emit(());
                if let Some(program) = &using.program {
                    opener.accept(
                        program.clone(),
                        using.problems.clone(),
                        Some(using.name.clone()),
                    );
                }
            });
            html! { <BrokenFile broken={broken.clone()} on_use={on_use} on_keep={on_close.clone()} /> }
        }
    }
}

/// Properties of [`Views`].
#[derive(Properties, PartialEq)]
struct ViewProps {
    view: View,
    is_table: bool,
    on_table: Callback<bool>,
    judged: Option<Judged>,
    on_explain: Callback<RuleCode>,
}

/// The views this page has.
const VIEWS: [View; 5] = [
    View::Timeline,
    View::States,
    View::Screening,
    View::Power,
    View::Rules,
];

/// The views behind their tabs.
#[component]
fn Views(props: &ViewProps) -> Html {
    let Some(dispatch) = crate::store::use_dispatch() else {
        return Html::default();
    };
    let view = props.view;
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
    html! {
        <section class="views" aria-label="Views">
            <div class="tabs" role="tablist" aria-label="Views" onkeydown={on_key}>
                { for VIEWS.into_iter().map(|known| html! {
                    <button type="button" role="tab" key={known.name()} id={tab_id(known)} aria-controls="view"
                        aria-selected={if known == view { "true" } else { "false" }} tabindex={if known == view { "0" } else { "-1" }}
                        onclick={dispatch.callback(move |_: MouseEvent| Action::SetView(known))}>
                        { known.name() }
                    </button>
                }) }
            </div>
            <div id="view" role="tabpanel" tabindex="0" class="views" aria-labelledby={tab_id(view)}>
                { match view {
                    View::States => html! { <States /> },
                    View::Screening => html! { <Screening /> },
                    View::Power => html! { <Power /> },
                    View::Rules => html! { <Rules judged={props.judged.clone()} on_explain={props.on_explain.clone()} /> },
                    _ => html! { <Timeline is_table={props.is_table} on_table={props.on_table.clone()} /> },
                } }
            </div>
        </section>
    }
}

fn tab_id(view: View) -> String {
    format!("tab-{}", view.name().to_ascii_lowercase())
}

/// The caution before full speed.
#[component]
fn FullSpeed() -> Html {
    let Some(dispatch) = crate::store::use_dispatch() else {
        return Html::default();
    };
    let confirm = dispatch.callback(|_: MouseEvent| Action::ConfirmFullSpeed);
    let keep = dispatch.callback(|()| Action::UseSafeSpeed);
    let buttons = html! {
        <button type="button" class="main" onclick={confirm}>{ "Allow full speed for this program" }</button>
    };
    html! {
        <Dialog id="full-speed" title="Play at full speed?" close="Keep the slowed rate" on_close={keep} buttons={buttons}>
            <p class="text">{ "At full speed the preview flashes as fast as the vehicle does, which can be more than three flashes a second and can provoke a seizure in people who are photosensitive, also in people who do not know that they are" }</p>
            <p class="text">{ "Make sure that nobody near this screen can be affected. Space or Escape stops the preview at once" }</p>
            <ul class="bullets">{ for cautions::STANDING.iter().map(|text| html! { <li>{ *text }</li> }) }</ul>
        </Dialog>
    }
}
