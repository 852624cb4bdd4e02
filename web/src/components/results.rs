//! The column of results: band and counts on top, then figures and findings, each scrolling on its own.
//!
//! Invariant: while a gesture is under way the live state is judged at once, or said to be still to judge; all states are judged again when the edit is done, and until then the list says that it is from before.

use super::findings::{self, Findings, counts};
use super::repair::{fix_dialog, waive_dialog};
use super::summary::{JUDGING, Summary, glance};
use crate::judging::{Steps, do_later};
use crate::live::Live;
use crate::platform::clock::Timeout;
use crate::store::{Dispatch, use_dispatch, use_document};
use crate::tag::{component, said, tag};
use lampwright_analysis::Judging;
use lampwright_analysis::fix::{TriedFix, fixes, is_worth_trying};
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
enum Asked {
    Fix(Finding, Option<Rc<Vec<TriedFix>>>),
    Waive(Finding),
}

/// How long the dialog stands before changes are tried, in milliseconds, so that it is painted.
const TRY_AFTER_MS: i32 = 50;

/// How long after the last change all states are judged, in milliseconds.
const JUDGE_AFTER_MS: i32 = 120;

/// Figures, findings and outcomes.
#[component]
pub(crate) fn ResultsColumn(props: &Props) -> Html {
    let asked = use_state(|| None::<Asked>);
    let trying = use_mut_ref(|| None::<Timeout>);
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
        let (asked, judged) = (asked.clone(), props.judged.clone());
        Callback::from(move |index: usize| {
            let Some((judged, finding)) = judged.clone().and_then(|judged| {
                let finding = judged.report.findings.get(index)?.clone();
                Some((judged, finding))
            }) else {
                return;
            };
            asked.set(Some(Asked::Fix(finding.clone(), None)));
            let asked = asked.clone();
            *trying.borrow_mut() = Timeout::new(TRY_AFTER_MS, move || {
                let settings = CheckSettings::default();
                let tried = fixes(&judged.program, &judged.report, &finding, &settings);
                asked.set(Some(Asked::Fix(finding, Some(Rc::new(tried)))));
            });
        })
    };
    let on_close = {
        let asked = asked.clone();
        Callback::from(move |()| asked.set(None))
    };
    let dialog = match (&*asked, &props.judged) {
        (Some(Asked::Fix(finding, tried)), Some(judged)) => {
            let tried = tried.as_ref().map(|tried| tried.as_slice());
            fix_dialog(&dispatch, judged, finding, tried, &on_close)
        }
        (Some(Asked::Waive(finding)), _) => waive_dialog(&dispatch, finding, &on_close),
        _ => Html::default(),
    };
    let option = |value: &'static str, is_selected: bool, words: &'static str| {
        said("option", "", words)
            .with("value", value)
            .flag("selected", is_selected)
    };
    let select = tag("select", "grow")
        .with("id", "scope")
        .on_change(on_scope)
        .tag(option("all", *is_all, "default state and all situations"))
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

/// Steps of judging the default state and every situation.
struct AllStates {
    program: Rc<Program>,
    live: Rc<Live>,
    judging: Option<(Judging, DirectionTable)>,
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
        let (judging, table) = self.judging.get_or_insert_with(|| {
            let judging = Judging::of_program(program, CheckSettings::default());
            (judging, directions(&program.vehicle))
        });
        judging.step(program, table)
    }

    fn done(self: Box<Self>) {
        let Self {
            program,
            judging,
            on_judged,
            ..
        } = *self;
        let Some((_, report)) = judging.and_then(|(judging, _)| judging.finish()) else {
            return;
        };
        let report = Rc::new(report);
        let is_fixable = |finding| is_worth_trying(&program, &report, finding);
        let fixable = report.findings.iter().map(is_fixable).collect();
        on_judged.emit(Judged {
            fixable: Rc::new(fixable),
            program,
            report,
        });
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
