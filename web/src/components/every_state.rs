//! Every possible state: how many there are, which guarantees hold in all of them, and what the rules find in each distinct drive.
//!
//! Invariant: what is shown belongs to one program, and says so when the program has changed since; what is not judged yet is never shown as a result.

use super::summary::band_class;
use crate::judging::{Place, Steps, do_later};
use crate::live::Live;
use crate::platform::clock::milliseconds_now;
use crate::store::{Dispatch, use_dispatch, use_document};
use crate::tag::{Tag, button, columns, link, said, tag, text};
use lampwright_analysis::light::DirectionTable;
use lampwright_analysis::report::FoundIn;
use lampwright_analysis::rules::CheckSettings;
use lampwright_analysis::screening::cautions;
use lampwright_analysis::states::{
    Answers, FoundOver, Inquiry, LayerUse, OverStates, Progress, Proof, Use,
};
use lampwright_editor::{Action, directions};
use lampwright_model::{Program, State};
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use yew::prelude::*;

/// How often what is known so far is shown anew, in milliseconds.
const SHOW_EVERY_MS: f64 = 400.0;

/// An inquiry into a program, under way or done.
struct Asked {
    program: Rc<Program>,
    inquiry: RefCell<Inquiry>,
    /// Why it could not be done, in plain words; empty when it could.
    problem: RefCell<String>,
    place: Place,
    /// Shows it again, while it is in sight.
    on_news: RefCell<Callback<()>>,
    is_stopped: Cell<bool>,
}

/// Steps of the inquiry.
struct AskedSteps {
    asked: Rc<Asked>,
    live: Rc<Live>,
    table: DirectionTable,
    shown_ms: f64,
}

impl Steps for AskedSteps {
    /// After the gesture under way, and after what is shown.
    fn may_go_on(&self) -> bool {
        let editor = self.live.editor();
        editor.gesture().is_none() && editor.judged().is_some()
    }

    fn step(&mut self) -> bool {
        let asked = &self.asked;
        if !Rc::ptr_eq(&asked.program, self.live.editor().committed_program()) {
            asked.is_stopped.set(true);
            return false;
        }
        let stepped = asked.inquiry.borrow_mut().step(&asked.program, &self.table);
        let now_ms = milliseconds_now();
        if now_ms - self.shown_ms > SHOW_EVERY_MS {
            self.shown_ms = now_ms;
            asked.on_news.borrow().emit(());
        }
        stepped.unwrap_or_else(|problem| {
            *asked.problem.borrow_mut() = problem.to_string();
            false
        })
    }

    fn done(self: Box<Self>) {
        self.asked.on_news.borrow().emit(());
    }
}

/// What is known of every possible state, once the person asks.
#[component]
pub(crate) fn EveryState() -> Html {
    let (dispatch, document) = (use_dispatch(), use_document());
    let news = use_force_update();
    let live = dispatch.as_ref().map(|dispatch| dispatch.live.clone());
    let asked = live
        .as_ref()
        .and_then(|live| live.under_way.borrow().clone())
        .and_then(|asked| asked.downcast::<Asked>().ok());
    {
        let (asked, news) = (asked.clone(), news.clone());
        use_effect(move || {
            if let Some(asked) = &asked {
                *asked.on_news.borrow_mut() = Callback::from(move |()| news.force_update());
            }
            move || {
                if let Some(asked) = &asked {
                    *asked.on_news.borrow_mut() = Callback::noop();
                }
            }
        });
    }
    let (Some(dispatch), Some(document), Some(live)) = (dispatch, document, live) else {
        return Html::default();
    };
    let program = document.committed_program().clone();
    let on_ask = {
        let (live, program, news) = (live.clone(), program.clone(), news.clone());
        Callback::from(move |_: MouseEvent| {
            ask(&live, &program);
            news.force_update();
        })
    };
    let Some(asked) = asked else {
        return tag("div", "column")
            .tag(said("p", "quiet", ABOUT))
            .tag(tag("div", "row").tag(button("Judge every state", on_ask)))
            .done();
    };
    let is_old = !Rc::ptr_eq(&asked.program, &program);
    let inquiry = asked.inquiry.borrow();
    let progress = inquiry.progress(&asked.program);
    let problem = asked.problem.borrow().clone();
    let is_over =
        progress == Progress::Done || asked.is_stopped.get() || is_old || !problem.is_empty();
    let on_stop = {
        let (asked, news) = (asked.clone(), news.clone());
        Callback::from(move |_: MouseEvent| {
            asked.place.borrow_mut().take();
            asked.is_stopped.set(true);
            news.force_update();
        })
    };
    let words = if is_old {
        "From before a change of the program: judge again".to_owned()
    } else if !problem.is_empty() {
        format!("Not judged: {problem}")
    } else {
        let stopped = if asked.is_stopped.get() && progress != Progress::Done {
            "Stopped. "
        } else {
            ""
        };
        format!("{stopped}{}", progress_words(progress))
    };
    let control = if is_over {
        button("Judge every state again", on_ask)
    } else {
        button("Stop", on_stop)
    };
    let mut column = tag("div", "column").tag(
        tag("div", "row").tag(control).tag(
            text("p", "", words)
                .with("role", "status")
                .with("id", "every-state-progress"),
        ),
    );
    if let Some(answers) = inquiry.answers() {
        column = column
            .tag(numbers(&asked.program, answers))
            .maybe(guarantees(&dispatch, &asked.program, answers))
            .tags(judged(&dispatch, &asked.program, answers, progress).into_iter())
            .tags(logic(&dispatch, &asked.program, answers).into_iter());
    }
    column.done()
}

const ABOUT: &str = "Counts every state the signals can be in, proves the guarantees over all of them, and judges each distinct drive by the profile's rules; a large program takes a minute or two, and the page can be used meanwhile";

fn ask(live: &Rc<Live>, program: &Rc<Program>) {
    let asked = Rc::new(Asked {
        program: program.clone(),
        inquiry: RefCell::new(Inquiry::new(program, CheckSettings::default())),
        problem: RefCell::default(),
        place: Place::default(),
        on_news: RefCell::default(),
        is_stopped: Cell::new(false),
    });
    let steps = AskedSteps {
        asked: asked.clone(),
        live: live.clone(),
        table: directions(&program.vehicle),
        shown_ms: milliseconds_now(),
    };
    let earlier = live.under_way.replace(Some(asked.clone()));
    if let Some(earlier) = earlier.and_then(|earlier| earlier.downcast::<Asked>().ok()) {
        earlier.place.borrow_mut().take();
    }
    // What is said first is painted before the work begins.
    do_later(&asked.place, 30, Box::new(steps));
}

fn progress_words(progress: Progress) -> String {
    match progress {
        Progress::Counting => "Counting states".into(),
        Progress::Proving(n, n_all) => format!("Proving guarantee {n} of {n_all}"),
        Progress::Judging(n, n_all) => format!("Judged {n} of {n_all} distinct drives"),
        Progress::Done => "All states judged".into(),
    }
}

fn numbers(program: &Program, answers: &Answers) -> Tag {
    let states = &answers.states;
    text(
        "p",
        "",
        format!(
            "{} of {} combinations of {} signals are possible; they come to {} distinct drives, by what decides and scales each head",
            states.n_possible,
            states.n_all,
            program.signals.len(),
            states.n_drives()
        ),
    )
}

/// A link that shows a state.
fn state_link(dispatch: &Dispatch, program: &Program, state: &State) -> Tag {
    let values = state.differences(program);
    let words = state.describe(program);
    let dispatch = dispatch.clone();
    link(
        words,
        Callback::from(move |_: MouseEvent| {
            dispatch.send(Action::ShowDefaultState);
            for (signal, value) in &values {
                dispatch.send(Action::SetSignal(signal.clone(), value.clone()));
            }
        }),
    )
}

/// "1 state", "96 states".
fn of_states(n: u128) -> String {
    format!("{n} state{}", if n == 1 { "" } else { "s" })
}

fn guarantees(dispatch: &Dispatch, program: &Program, answers: &Answers) -> Option<Tag> {
    if program.guarantees.is_empty() {
        return None;
    }
    let rows = program
        .guarantees
        .iter()
        .enumerate()
        .map(|(index, guarantee)| {
            let label = if guarantee.label.is_empty() {
                guarantee.id.to_string()
            } else {
                guarantee.label.clone()
            };
            let (class, words, state) = match answers.proofs.get(index) {
                None => ("quiet", "not yet proven".to_owned(), None),
                Some(Proof::Proven { n_states }) => (
                    "",
                    format!("holds in all {} it speaks of", of_states(*n_states)),
                    None,
                ),
                Some(Proof::SpeaksOfNone) => ("", "speaks of no possible state".to_owned(), None),
                Some(Proof::Refuted {
                    n_states,
                    state,
                    why,
                }) => (
                    "severity error",
                    format!("broken in {}: {why}", of_states(*n_states)),
                    Some(state),
                ),
                Some(Proof::Open { .. }) => (
                    "severity warning",
                    "not proven: too many drives differ in what matters to it".to_owned(),
                    None,
                ),
            };
            let first = state.map(|state| state_link(dispatch, program, state));
            tag("tr", "")
                .key(guarantee.id.to_string())
                .tag(text("th", "", label).with("scope", "row"))
                .tag(tag("td", "").tag(text("span", class, words)))
                .tag(tag("td", "").maybe(first))
        });
    let table = tag("table", "")
        .tag(columns(&[
            ("Guarantee", false),
            ("Over all states", false),
            ("Broken first in", false),
        ]))
        .tag(tag("tbody", "").tags(rows));
    Some(titled("Guarantees over all states").tag(table))
}

fn titled(title: &'static str) -> Tag {
    tag("div", "column").tag(said("h3", "", title))
}

/// Screening and findings of the drives judged so far.
fn judged(
    dispatch: &Dispatch,
    program: &Program,
    answers: &Answers,
    progress: Progress,
) -> Vec<Tag> {
    let judged = answers.judged.clone().sorted();
    if judged.n_drives == 0 {
        return Vec::new();
    }
    let mut found = titled("Found in all states");
    if progress != Progress::Done {
        found = found.tag(text(
            "p",
            "quiet",
            format!(
                "So far, in {} of {}",
                judged.n_states,
                of_states(answers.states.n_possible)
            ),
        ));
    }
    let findings = if judged.findings.is_empty() {
        said(
            "p",
            "",
            "Nothing found by the chosen rules in the states judged",
        )
    } else {
        let rows = judged
            .findings
            .iter()
            .enumerate()
            .map(|(index, found)| finding_row(dispatch, program, index, found));
        tag("table", "")
            .tag(columns(&[
                ("Rule", false),
                ("Finding", false),
                ("States", true),
                ("Gravest in", false),
            ]))
            .tag(tag("tbody", "").tags(rows))
    };
    let not_whole = said(
        "p",
        "quiet",
        "Rules that compare situations or look at the program as a whole are not part of this; they stand in the list of findings",
    );
    vec![
        screening(dispatch, program, &judged),
        found.tag(findings).tag(not_whole),
    ]
}

fn finding_row(dispatch: &Dispatch, program: &Program, index: usize, found: &FoundOver) -> Tag {
    let finding = &found.finding;
    let severity = if finding.counts() {
        finding.severity.name()
    } else {
        "waived"
    };
    let state = match &finding.found_in {
        FoundIn::State(state) => Some(state_link(dispatch, program, state)),
        _ => None,
    };
    tag("tr", "")
        .key(index.to_string())
        .tag(
            tag("th", "").with("scope", "row").tag(
                tag("span", "")
                    .with_text("class", format!("severity {severity}"))
                    .text(format!("{} {severity}", finding.code)),
            ),
        )
        .tag(text(
            "td",
            "",
            format!("{}: {}", finding.place, finding.message),
        ))
        .tag(text("td", "number", found.n_states.to_string()))
        .tag(tag("td", "").maybe(state))
}

fn screening(dispatch: &Dispatch, program: &Program, judged: &OverStates) -> Tag {
    let mut panel = titled("Combined flash rate over all states");
    panel = match &judged.worst {
        None => panel.tag(said("p", "", "Nothing is lit in the states judged")),
        Some((worst, state)) => panel.tag(
            tag("p", "")
                .tag(said(
                    "span",
                    band_class(Some(worst.band)),
                    worst.band.name(),
                ))
                .text(format!(
                    " toward {}°, {} flashes in the worst second, {} red{}; in the state ",
                    worst.azimuth_degrees,
                    worst.n,
                    worst.n_red,
                    if worst.is_bound {
                        ", a bound over free-running clocks"
                    } else {
                        ""
                    }
                ))
                .tag(state_link(dispatch, program, state)),
        ),
    };
    let bands = judged.bands.iter().map(|(band, n_states)| {
        text(
            "li",
            "",
            format!("{}: {}", band.name(), of_states(*n_states)),
        )
    });
    panel = panel.tag(tag("ul", "bullets").tags(bands));
    if judged.n_not_screened > 0 {
        panel = panel.tag(text(
            "p",
            "",
            format!(
                "Not screened toward some directions in {}",
                of_states(judged.n_not_screened)
            ),
        ));
    }
    panel.tag(said(
        "p",
        "quiet",
        cautions::STANDING.first().copied().unwrap_or_default(),
    ))
}

/// Layers that never act, what changes nothing, and where the order matters.
fn logic(dispatch: &Dispatch, program: &Program, answers: &Answers) -> Vec<Tag> {
    let states = &answers.states;
    let mut list = tag("ul", "bullets");
    let mut n_listed = 0;
    for LayerUse { layer, found } in states.layers.iter().chain(&states.dims) {
        let item = match found {
            Use::NeverHolds => {
                tag("li", "").text(format!("Layer {layer} holds in no possible state"))
            }
            Use::NeverActs { n_holding, state } => tag("li", "")
                .text(format!(
                    "Layer {layer} holds in {} but never acts, first: ",
                    of_states(*n_holding)
                ))
                .tag(state_link(dispatch, program, state)),
            Use::Acts { .. } => continue,
        };
        n_listed += 1;
        list = list.tag(item);
    }
    let signals = states
        .idle_signals
        .iter()
        .map(|id| format!("Signal {id} changes nothing in any state"));
    let heads = states
        .dark_heads
        .iter()
        .map(|id| format!("Head {id} is dark in every state"));
    for words in signals.chain(heads) {
        n_listed += 1;
        list = list.tag(text("li", "", words));
    }
    let idle = titled("What never happens");
    let idle = if n_listed == 0 {
        idle.tag(said(
            "p",
            "",
            "Every layer acts, every signal changes something and every head is lit in some state",
        ))
    } else {
        idle.tag(list)
    };
    let orders = states.orders.iter().map(|order| {
        tag("li", "")
            .text(format!(
                "{} stands above {} and decides otherwise in {}, first: ",
                order.above,
                order.below,
                of_states(order.n_states)
            ))
            .tag(state_link(dispatch, program, &order.state))
    });
    let summary = format!("Layers whose order matters: {} pairs", states.orders.len());
    let orders = tag("details", "")
        .tag(text("summary", "", summary))
        .tag(tag("ul", "bullets").tags(orders));
    vec![idle, orders]
}
