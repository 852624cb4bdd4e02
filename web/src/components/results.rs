//! The column of results: band and counts on top, then figures and findings, each scrolling on its own.
//!
//! Invariant: while a gesture is under way the live state is judged at once, or said to be still to judge; all states are judged again when the edit is done, and until then the list says that it is from before.

use super::findings::{self, Findings, counts};
use super::summary::{JUDGING, Summary, glance};
use crate::judging::{Steps, do_later};
use crate::later::{Wanted, use_later};
use crate::live::Live;
use crate::platform::clock::Timeout;
use crate::store::{Dispatch, use_dispatch, use_document};
use crate::tag::{component, said, tag};
use lampwright_analysis::Judging;
use lampwright_analysis::fix::is_worth_trying;
use lampwright_analysis::light::DirectionTable;
use lampwright_analysis::report::{Finding, FoundIn, Report};
use lampwright_analysis::rules::CheckSettings;
use lampwright_editor::{Action, SelectMode, View, directions};
use lampwright_model::{ItemId, Place, Program, RuleCode};
use std::rc::Rc;
use web_sys::HtmlSelectElement;
use yew::prelude::*;

/// Properties of [`ResultsColumn`].
#[derive(Properties, PartialEq)]
pub(crate) struct Props {
    /// Explains a rule.
    pub(crate) on_explain: Callback<RuleCode>,
    /// The last judgment of all states.
    pub(crate) judged: Option<Judged>,
    /// Told when all states were judged.
    pub(crate) on_judged: Callback<Judged>,
}

/// Every state judged, with the program that was judged.
#[derive(Clone)]
pub(crate) struct Judged {
    /// The program.
    pub(crate) program: Rc<Program>,
    /// What judging it gave.
    pub(crate) report: Rc<Report>,
    /// For each finding whether there is a fix to try.
    fixable: Rc<Vec<bool>>,
}

impl PartialEq for Judged {
    fn eq(&self, other: &Self) -> bool {
        Rc::ptr_eq(&self.program, &other.program) && Rc::ptr_eq(&self.report, &other.report)
    }
}

/// What is asked about a finding, by a copy of it.
#[derive(Clone)]
pub(crate) enum Asked {
    /// To be taken away by a change.
    Fix(Finding),
    /// To be accepted with a reason.
    Waive(Finding),
}

/// How long after the last change all states are judged, in milliseconds.
const JUDGE_AFTER_MS: i32 = 120;

/// Figures, findings and outcomes.
#[component]
pub(crate) fn ResultsColumn(props: &Props) -> Html {
    let later = use_later();
    let asked = use_state(|| None::<Asked>);
    let is_all = use_state(|| true);
    let current = use_state(|| None::<usize>);
    let timer = use_mut_ref(|| None::<Timeout>);
    let (dispatch, document) = (use_dispatch(), use_document());
    let live = dispatch.as_ref().map(|dispatch| dispatch.live.clone());
    let committed = document
        .as_ref()
        .map(|document| document.committed_program().clone());
    {
        let (on_judged, timer, current) = (props.on_judged.clone(), timer.clone(), current.clone());
        use_effect_with(Shared(committed.clone()), move |program: &Shared| {
            if let (Some(program), Some(live)) = (program.0.clone(), live) {
                let on_judged = move |judged| {
                    current.set(None);
                    on_judged.emit(judged);
                };
                let steps = AllStates {
                    program,
                    live,
                    judging: None,
                    report: None,
                    fixable: Vec::new(),
                    on_judged: Callback::from(on_judged),
                };
                do_later(&timer, JUDGE_AFTER_MS, Box::new(steps));
            }
        });
    }
    let (Some(dispatch), Some(document)) = (dispatch, document) else {
        return Html::default();
    };
    let results = document.judged();
    let live = Rc::new(
        results
            .as_ref()
            .map_or_else(Report::default, |results| results.report.clone()),
    );
    let (program, report, is_old) = match (&props.judged, *is_all) {
        (Some(judged), true) => (
            judged.program.clone(),
            judged.report.clone(),
            !Rc::ptr_eq(&judged.program, document.program()),
        ),
        (None, true) => (document.program().clone(), live, true),
        (_, false) => (document.program().clone(), live, false),
    };
    // A list without findings would be taken for a verdict.
    let is_unknown = results.is_none() && (!*is_all || props.judged.is_none());
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
    let fixable = match &props.judged {
        Some(judged) if *is_all => judged.fixable.clone(),
        _ => Rc::default(),
    };
    let on_waive = {
        let (asked, report) = (asked.clone(), report.clone());
        Callback::from(move |index: usize| {
            asked.set(report.findings.get(index).cloned().map(Asked::Waive));
        })
    };
    let on_fix = {
        let (asked, report) = (asked.clone(), report.clone());
        Callback::from(move |index: usize| {
            let finding = report.findings.get(index).cloned();
            asked.set(finding.map(Asked::Fix));
        })
    };
    let on_close = {
        let asked = asked.clone();
        Callback::from(move |()| asked.set(None))
    };
    let dialog = asked.as_ref().map_or_else(Html::default, |asked| {
        later.node(&Wanted::Repair {
            asked,
            dispatch: &dispatch,
            judged: props.judged.as_ref(),
            is_present: props
                .judged
                .as_ref()
                .is_some_and(|judged| Rc::ptr_eq(&judged.program, document.committed_program())),
            on_close: &on_close,
        })
    });
    let option = |value: &'static str, is_selected: bool, words: &'static str| {
        said("option", "", words)
            .with("value", value)
            .flag("selected", is_selected)
    };
    let select = tag("select", "grow")
        .with("id", "scope")
        .on_change(on_scope)
        .tag(option("all", *is_all, "default and named states"))
        .tag(option("one", !*is_all, "the shown state, live"));
    let scope = tag("div", "scope")
        .tag(said("label", "row nowrap", "Judged states").tag(select))
        .maybe(is_old.then(|| said("p", "quiet", "From before the change under way")))
        .maybe((is_unknown && !is_old).then(|| said("p", "quiet", JUDGING)));
    let mut counted = if is_unknown {
        JUDGING.to_owned()
    } else {
        counts(&report)
    };
    if is_old && results.is_none() && !is_unknown {
        counted.push_str(", from before");
    }
    let glance = glance(&document, &counted);
    let findings = component::<Findings>(findings::Props {
        program,
        report,
        on_go,
        on_fix,
        fixable,
        on_waive,
        on_explain: props.on_explain.clone(),
        current: *current,
    });
    let found = tag("div", "found")
        .with("tabindex", "0")
        .with("role", "group")
        .with("aria-label", "Findings and their scope")
        .tag(scope)
        .child(if is_unknown {
            Html::default()
        } else {
            findings
        });
    tag("div", "results")
        .child(glance)
        .child(component::<Summary>(()))
        .tag(found)
        .child(dialog)
        .done()
}

/// Steps of judging the default state and every situation, then of looking what can be mended.
struct AllStates {
    program: Rc<Program>,
    live: Rc<Live>,
    judging: Option<(Judging, DirectionTable)>,
    report: Option<Report>,
    /// Of the first findings of the report.
    fixable: Vec<bool>,
    on_judged: Callback<Judged>,
}

impl Steps for AllStates {
    /// After the gesture under way, and after what is shown.
    fn may_go_on(&self) -> bool {
        let editor = self.live.editor();
        editor.gesture().is_none() && editor.judged().is_some()
    }

    fn step(&mut self) -> bool {
        let program = &self.program;
        if let Some(report) = &self.report {
            let next = report.findings.get(self.fixable.len());
            self.fixable
                .extend(next.map(|finding| is_worth_trying(program, report, finding)));
            return next.is_some();
        }
        let (judging, table) = self.judging.get_or_insert_with(|| {
            let judging = Judging::of_program(program, CheckSettings::default());
            (judging, directions(&program.vehicle))
        });
        if !judging.step(program, table) {
            let judging = self.judging.take();
            self.report = judging.and_then(|(judging, _)| Some(judging.finish()?.1));
        }
        self.report.is_some() || self.judging.is_some()
    }

    fn done(self: Box<Self>) {
        if let Some(report) = self.report {
            self.on_judged.emit(Judged {
                program: self.program,
                report: Rc::new(report),
                fixable: Rc::new(self.fixable),
            });
        }
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
