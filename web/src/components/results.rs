//! The column of results: figures, findings, outcomes.
//!
//! Invariant: while a gesture is under way the live state is judged at once; all states are judged again when the edit is done, and until then the list says that it is from before.

use super::findings::{Findings, Outcomes};
use super::summary::Summary;
use crate::platform::clock::Timeout;
use crate::store::{Dispatch, use_dispatch, use_document};
use lampwright_analysis::check;
use lampwright_analysis::report::{Finding, FoundIn, Report};
use lampwright_editor::{Action, SelectMode, View};
use lampwright_model::{ItemId, Place, Program, RuleCode};
use std::rc::Rc;
use web_sys::HtmlSelectElement;
use yew::prelude::*;

/// Properties of [`ResultsColumn`].
#[derive(Properties, PartialEq)]
pub(crate) struct Props {
    /// Explains a rule.
    pub(crate) on_explain: Callback<RuleCode>,
}

/// Every state judged, with the program that was judged.
#[derive(Clone)]
struct Judged {
    program: Rc<Program>,
    report: Rc<Report>,
}

/// How long after the last change all states are judged, in milliseconds.
const JUDGE_AFTER_MS: i32 = 120;

/// Figures, findings and outcomes.
#[component]
pub(crate) fn ResultsColumn(props: &Props) -> Html {
    let judged = use_state(|| None::<Judged>);
    let is_all = use_state(|| true);
    let current = use_state(|| None::<usize>);
    let timer = use_mut_ref(|| None::<Timeout>);
    let (dispatch, document) = (use_dispatch(), use_document());
    let committed = document
        .as_ref()
        .map(|document| document.committed_program().clone());
    {
        let (judged, timer, current) = (judged.clone(), timer.clone(), current.clone());
        use_effect_with(Shared(committed.clone()), move |program: &Shared| {
            if let Some(program) = program.0.clone() {
                *timer.borrow_mut() = Timeout::new(JUDGE_AFTER_MS, move || {
                    let report = Rc::new(check(&program));
                    current.set(None);
                    judged.set(Some(Judged { program, report }));
                });
            }
        });
    }
    let (Some(dispatch), Some(document)) = (dispatch, document) else {
        return Html::default();
    };
    let results = document.results();
    let live = Rc::new(results.report.clone());
    let (program, report, is_old) = match (&*judged, *is_all) {
        (Some(judged), true) => (
            judged.program.clone(),
            judged.report.clone(),
            !Rc::ptr_eq(&judged.program, document.program()),
        ),
        (None, true) => (document.program().clone(), live, true),
        (_, false) => (document.program().clone(), live, false),
    };
    let on_go = {
        let (dispatch, report, current) = (dispatch.clone(), report.clone(), current.clone());
        Callback::from(move |index: usize| {
            if let Some(finding) = report.findings.get(index) {
                current.set(Some(index));
                go(&dispatch, finding);
            }
        })
    };
    let on_scope = {
        let (is_all, current) = (is_all.clone(), current.clone());
        Callback::from(move |event: Event| {
            let select = event.target_dyn_into::<HtmlSelectElement>();
            is_all.set(select.is_some_and(|select| select.value() == "all"));
            current.set(None);
        })
    };
    html! {
        <div class="results">
            <Summary />
            <div class="scope">
                <label class="row nowrap">
                    { "Judged" }
                    <select class="grow" id="scope" onchange={on_scope}>
                        <option value="all" selected={*is_all}>{ "default state and all situations" }</option>
                        <option value="one" selected={!*is_all}>{ "the shown state, live" }</option>
                    </select>
                </label>
                if is_old {
                    <p class="quiet">{ "From before the change under way" }</p>
                }
            </div>
            <Findings program={program} report={report.clone()} on_go={on_go} on_explain={props.on_explain.clone()} current={*current} />
            <Outcomes report={report} on_explain={props.on_explain.clone()} />
        </div>
    }
}

/// A program compared by identity.
#[derive(Clone)]
struct Shared(Option<Rc<Program>>);

impl PartialEq for Shared {
    fn eq(&self, other: &Self) -> bool {
        match (&self.0, &other.0) {
            (Some(one), Some(other)) => Rc::ptr_eq(one, other),
            (None, None) => true,
            _ => false,
        }
    }
}

/// Shows the state a finding was made in, then its lane, time, head or direction.
fn go(dispatch: &Dispatch, finding: &Finding) {
    match &finding.found_in {
        FoundIn::Situation(id) => dispatch.send(Action::ChooseSituation(id.clone())),
        FoundIn::DefaultState => dispatch.send(Action::ShowDefaultState),
        FoundIn::Program | FoundIn::State(_) => {}
    }
    dispatch.live.direction.set(finding.direction_degrees);
    let at = finding.span.map(|span| span.start);
    if let Some((pattern, lane)) = &finding.lane {
        dispatch.send(Action::JumpTo(
            Place::Lane(pattern.clone(), lane.clone()),
            at,
        ));
    } else if let (Some(head), true) = (&finding.head, finding.direction_degrees.is_none()) {
        dispatch.send(Action::JumpTo(Place::Item(ItemId::Head(head.clone())), at));
    } else {
        dispatch.send(Action::JumpTo(finding.place.clone(), at));
    }
    if let Some(head) = &finding.head {
        dispatch.send(Action::SelectHeads(vec![head.clone()], SelectMode::Replace));
    }
    if finding.direction_degrees.is_some() {
        dispatch.send(Action::SetView(View::Screening));
    }
}
