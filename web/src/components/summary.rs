//! The figures that an edit moves: balance, overlap, phase, duty, current, combined flash rate and band.
//!
//! Invariant: a band never stands without its cautions; each figure that the last step changed shows what it was.

use crate::store::use_document;
use crate::tag::{said, tag, text};
use lampwright_analysis::facts::{GroupFacts, PairFacts, Phase};
use lampwright_analysis::report::ScreenedState;
use lampwright_analysis::screening::{Band, cautions};
use lampwright_analysis::{Ratio, fixed, shortened};
use lampwright_editor::{EditorState, Results};
use lampwright_model::{Program, Side};
use std::rc::Rc;
use yew::prelude::*;

/// One figure.
#[derive(Clone, PartialEq, Debug)]
struct Figure {
    label: &'static str,
    value: String,
    note: String,
}

impl Figure {
    fn new(label: &'static str, value: String) -> Self {
        Self {
            label,
            value,
            note: String::new(),
        }
    }

    fn with_note(label: &'static str, value: String, note: String) -> Self {
        Self { label, value, note }
    }
}

/// What the figures were before the last step.
#[derive(Default)]
struct Before {
    program: Option<Rc<Program>>,
    present: Vec<Figure>,
    previous: Vec<Figure>,
}

/// What stands in place of what is not judged yet.
pub(crate) const JUDGING: &str = "judging…";

/// In place of a view of what is not judged yet.
pub(crate) fn judging() -> Html {
    tag("div", "view")
        .tag(said("p", "quiet", JUDGING).with("role", "status"))
        .done()
}

/// The figures of the shown state.
#[component]
pub(crate) fn Summary() -> Html {
    let before = use_mut_ref(Before::default);
    let Some(document) = use_document() else {
        return Html::default();
    };
    let Some(results) = document.judged() else {
        return tag("section", "panel summary")
            .with("tabindex", "0")
            .with("aria-labelledby", "summary-title")
            .tag(said("h2", "", "This state in numbers").with("id", "summary-title"))
            .tag(said("p", "quiet", JUDGING))
            .done();
    };
    let figures = figures(&results);
    let was: Vec<Figure> = {
        let mut before = before.borrow_mut();
        if document.gesture().is_none() {
            let is_same = before
                .program
                .as_ref()
                .is_some_and(|program| Rc::ptr_eq(program, document.program()));
            if !is_same {
                before.previous = std::mem::take(&mut before.present);
                before.program = Some(document.program().clone());
            }
            before.present.clone_from(&figures);
            let history = document.history();
            if history.undo_label().is_none() && history.redo_label().is_none() {
                // Just opened: there is no step that changed anything.
                before.previous.clear();
            }
            before.previous.clone()
        } else {
            before.present.clone()
        }
    };
    let screened = results.report.screened.first();
    let mut list = tag("dl", "figures");
    for figure in figures {
        let earlier = was
            .iter()
            .find(|earlier| earlier.label == figure.label && earlier.value != figure.value)
            .map(|earlier| text("span", "was", format!(" was {}", earlier.value)));
        let note = (!figure.note.is_empty()).then(|| text("span", "note", figure.note));
        list = list.tag(said("dt", "", figure.label)).tag(
            tag("dd", "")
                .tag(text("strong", "number", figure.value))
                .maybe(earlier)
                .maybe(note),
        );
    }
    tag("section", "panel summary")
        .with("tabindex", "0")
        .with("aria-labelledby", "summary-title")
        .tag(said("h2", "", "This state in numbers").with("id", "summary-title"))
        .child(band(&results, screened))
        .tag(list)
        .done()
}

/// The band and the counts of findings on one line, with the caution that belongs to a band.
pub(crate) fn glance(document: &EditorState, counts: &str) -> Html {
    let results = document.judged();
    let band = match &results {
        None => said("span", "band", JUDGING).with("id", "judging"),
        Some(results) => {
            let (words, class, _) = words(results.report.screened.first());
            said("span", class, words).with("id", "band")
        }
    };
    tag("section", "panel glance")
        .with("aria-label", "At a glance")
        .tag(
            said("p", "", "Combined flash rate ")
                .tag(band)
                .say(" · ")
                .tag(text("strong", "", counts.to_owned()).with("id", "counts")),
        )
        .tag(said("p", "cautions", cautions::NOT_A_CLEARANCE))
        .done()
}

/// The band in words, the class of what shows it, and the counts behind it.
fn words(screened: Option<&ScreenedState>) -> (&'static str, &'static str, String) {
    let worst = screened.and_then(|screened| screened.worst.as_ref());
    match (screened, worst) {
        (None, _) => ("not screened", "band", String::new()),
        (Some(_), None) => (
            "no light",
            "band",
            "no direction has light in this state".to_owned(),
        ),
        (Some(_), Some(worst)) => {
            let class = band_class(Some(worst.band));
            let bound = if worst.is_bound {
                ", a sum over clocks that drift"
            } else {
                ""
            };
            (
                worst.band.name(),
                class,
                format!(
                    "{} in the worst second toward {}°, {} red{bound}",
                    flashes(worst.n),
                    worst.azimuth_degrees,
                    worst.n_red
                ),
            )
        }
    }
}

/// The class of an element that shows a band; none is the dark.
pub(crate) fn band_class(band: Option<Band>) -> &'static str {
    match band {
        None => "band",
        Some(Band::Low | Band::Limit) => "band calm",
        Some(Band::Elevated) => "band raised",
        Some(_) => "band grave",
    }
}

fn band(results: &Results, screened: Option<&ScreenedState>) -> Html {
    let (_, _, detail) = words(screened);
    let assumed = results.facts.electrical.n_assumed;
    let not_screened = screened
        .filter(|screened| screened.n_not_screened > 0)
        .map(|screened| {
            let words = format!(
                "{} of {} directions could not be screened",
                screened.n_not_screened, screened.n_directions
            );
            text("p", "", words)
        });
    let items = cautions::STANDING
        .iter()
        .skip(1)
        .chain(&cautions::LIMITS)
        .chain(std::iter::once(&cautions::PROPOSALS))
        .fold(tag("ul", ""), |list, words| list.tag(said("li", "", words)));
    tag("div", "column")
        .tag(text("p", "", detail).with("id", "band-detail"))
        .maybe(not_screened)
        .tag(
            tag("div", "cautions").tag(
                tag("details", "")
                    .tag(said("summary", "", "All cautions of this screening"))
                    .tag(items),
            ),
        )
        .maybe((assumed > 0).then(|| {
            let words = format!("{assumed} currents are assumed, not entered");
            text("p", "cautions", words)
        }))
        .done()
}

fn flashes(n: u32) -> String {
    if n == 1 {
        "1 flash".into()
    } else {
        format!("{n} flashes")
    }
}

fn figures(results: &Results) -> Vec<Figure> {
    let facts = &results.facts;
    let mut figures = vec![
        share("Left share of light", &facts.left_right),
        share("Front share of light", &facts.front_rear),
        Figure::new(
            "Left and right both lit",
            optional_percent(facts.left_right.overlap, &facts.left_right),
        ),
        Figure::new(
            "Left and right both dark",
            optional_percent(facts.left_right.both_dark, &facts.left_right),
        ),
        phase("Right after left", facts.left_right.phase),
        phase("Rear after front", facts.front_rear.phase),
        duty("Duty, left", facts.side(Side::Left)),
        duty("Duty, right", facts.side(Side::Right)),
    ];
    let current = &facts.electrical.vehicle;
    figures.push(Figure::new("Current, mean", amperes(current.mean.as_f64())));
    figures.push(Figure::new(
        "Current, RMS",
        amperes(current.rms_in_phase_amps),
    ));
    figures.push(Figure::with_note(
        "Current, peak",
        amperes(current.peak.as_f64()),
        if current.is_bound {
            "bound over clocks".into()
        } else {
            String::new()
        },
    ));
    figures.push(match &facts.electrical.idle_margin {
        Some(idle) => Figure::with_note(
            "Left over at idle",
            amperes(idle.margin.as_f64()),
            format!("of {}", amperes(idle.alternator.as_f64())),
        ),
        None => Figure::new("Left over at idle", "alternator not entered".into()),
    });
    figures
}

fn share(label: &'static str, pair: &PairFacts) -> Figure {
    Figure::new(
        label,
        pair.share_of_first
            .map_or_else(|| "no light".into(), percent),
    )
}

fn duty(label: &'static str, group: Option<&GroupFacts>) -> Figure {
    let timing = group.and_then(|group| group.timing.as_ref());
    Figure::new(
        label,
        timing.map_or_else(
            || "clocks drift".into(),
            |timing| {
                if timing.is_lit() {
                    percent(timing.duty)
                } else {
                    "dark".into()
                }
            },
        ),
    )
}

fn phase(label: &'static str, phase: Phase) -> Figure {
    match phase {
        Phase::Angle { degrees, rate } => Figure::with_note(
            label,
            format!("{}°", fixed(degrees, 1)),
            format!(
                "at {} Hz, {}/min",
                decimals(rate.hz()),
                decimals(rate.per_minute())
            ),
        ),
        Phase::NotLit => Figure::new(label, "not both lit".into()),
        Phase::Unchanging => Figure::new(label, "not both flash".into()),
        Phase::NoCommonRate => Figure::new(label, "no common rate".into()),
        Phase::Drifting => Figure::new(label, "clocks drift".into()),
    }
}

fn optional_percent(ratio: Option<Ratio>, pair: &PairFacts) -> String {
    match (ratio, pair.phase) {
        (Some(ratio), _) => percent(ratio),
        (None, Phase::NotLit) => "no light".into(),
        (None, _) => "clocks drift".into(),
    }
}

fn percent(ratio: Ratio) -> String {
    format!("{} %", fixed(ratio.as_f64() * 100.0, 1))
}

fn amperes(value: f64) -> String {
    format!("{} A", fixed(value, 2))
}

/// At most three decimals, trailing zeros dropped.
fn decimals(ratio: Ratio) -> String {
    shortened(ratio.as_f64(), 3)
}
