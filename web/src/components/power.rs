//! Currents in the shown state: the vehicle, its fuses and its outputs.

use super::summary::judging;
use crate::store::use_document;
use crate::tag::{Tag, columns, said, tag, text};
use lampwright_analysis::facts::{CurrentFacts, ElectricalFacts};
use lampwright_analysis::report::Report;
use lampwright_analysis::{WIRING_CAUTION, fixed};
use lampwright_model::{ItemId, Place, Severity};
use yew::prelude::*;

/// Currents against ratings.
#[component]
pub(crate) fn Power() -> Html {
    let Some(document) = use_document() else {
        return Html::default();
    };
    let Some(results) = document.judged() else {
        return judging();
    };
    let electrical = &results.facts.electrical;
    let vehicle = &document.program().vehicle;
    let fuse_label = |id: &lampwright_model::FuseId| {
        vehicle
            .fuses
            .iter()
            .find(|fuse| fuse.id == *id)
            .map_or_else(|| id.to_string(), |fuse| fuse.label.clone())
    };
    let output_label = |id: &lampwright_model::OutputId| {
        vehicle
            .outputs
            .iter()
            .find(|output| output.id == *id)
            .map_or_else(|| id.to_string(), |output| output.label.clone())
    };
    let fuses = electrical.fuses.iter().map(|fuse| {
        row(
            fuse.fuse.as_str(),
            fuse_label(&fuse.fuse),
            fuse.rating.in_units(),
            &fuse.current,
        )
        .tag(text("td", "number", fixed(fuse.rms_share * 100.0, 1)))
        .tag(mark(
            &results.report,
            ItemId::Fuse(fuse.fuse.clone()),
            fuse.rms_share > 1.0,
        ))
    });
    let outputs = electrical.outputs.iter().map(|output| {
        row(
            output.output.as_str(),
            output_label(&output.output),
            output.rating.in_units(),
            &output.current,
        )
        .tag(mark(
            &results.report,
            ItemId::Output(output.output.clone()),
            output.current.peak.as_f64() > output.rating.in_units(),
        ))
    });
    let assumed = (electrical.n_assumed > 0).then(|| {
        let words = format!(
            "{} emitters have assumed currents, because none was entered",
            electrical.n_assumed
        );
        text("p", "quiet", words)
    });
    tag("div", "view column")
        .tag(text(
            "p",
            "",
            format!("In the shown state, at {}", electrical.supply_voltage),
        ))
        .tag(said("p", "quiet", WIRING_CAUTION))
        .tags(assumed.into_iter())
        .tag(margins(electrical))
        .tag(
            tag("table", "")
                .tag(said(
                    "caption",
                    "",
                    "Fuses: root mean square against rating",
                ))
                .tag(columns(&[
                    ("Fuse", false),
                    ("Rating, A", true),
                    ("Mean, A", true),
                    ("RMS, A", true),
                    ("Peak, A", true),
                    ("RMS of rating, %", true),
                    ("Over", false),
                ]))
                .tag(tag("tbody", "").tags(fuses)),
        )
        .tag(
            tag("table", "")
                .tag(said("caption", "", "Outputs: peak against rating"))
                .tag(columns(&[
                    ("Output", false),
                    ("Rating, A", true),
                    ("Mean, A", true),
                    ("RMS, A", true),
                    ("Peak, A", true),
                    ("Over", false),
                ]))
                .tag(tag("tbody", "").tags(outputs)),
        )
        .done()
}

/// What is over its rating, whatever the profile, and the rules that find something there in the shown state.
fn mark(report: &Report, id: ItemId, is_over: bool) -> Tag {
    let place = Place::Item(id);
    let mut words = String::from(if is_over { "■ its rating" } else { "" });
    let mut gravest = is_over.then_some(Severity::Error);
    for finding in &report.findings {
        if finding.place == place && finding.counts() {
            words.push(' ');
            words.push_str(&finding.code.to_string());
            gravest = gravest.max(Some(finding.severity));
        }
    }
    let class = match gravest {
        None => "",
        Some(Severity::Info) => "severity info",
        Some(Severity::Warning) => "severity warning",
        Some(Severity::Error) => "severity error",
    };
    text("td", class, words)
}

/// The vehicle as a whole: current, what is left at idle, how long with the engine off.
fn margins(electrical: &ElectricalFacts) -> Tag {
    let entry = |list: Tag, term: &'static str, figure: String| {
        list.tag(said("dt", "", term)).tag(text("dd", "", figure))
    };
    let mut list = entry(
        tag("dl", "figures narrow"),
        "Whole vehicle",
        currents(&electrical.vehicle),
    );
    if let Some(idle) = &electrical.idle_margin {
        let figure = format!(
            "{} of {}, other load {}",
            amperes(idle.margin.as_f64()),
            amperes(idle.alternator.as_f64()),
            amperes(idle.other_load.as_f64())
        );
        list = entry(list, "Left over at idle", figure);
    }
    if let Some(off) = &electrical.engine_off {
        let figure = if off.minutes.is_finite() {
            format!(
                "{} min until the usable charge is spent",
                fixed(off.minutes, 0)
            )
        } else {
            "no load".into()
        };
        list = entry(list, "With the engine off", figure);
    }
    list
}

/// A row: what it is, its rating, and its currents.
fn row(key: &str, label: String, rating: f64, current: &CurrentFacts) -> Tag {
    tag("tr", "")
        .key(key.to_owned())
        .tag(text("th", "", label).with("scope", "row"))
        .tag(text("td", "number", number(rating)))
        .tag(text("td", "number", number(current.mean.as_f64())))
        .tag(text("td", "number", number(current.rms_in_phase_amps)))
        .tag(text("td", "number", number(current.peak.as_f64())))
}

fn currents(current: &CurrentFacts) -> String {
    format!(
        "mean {}, RMS {}, peak {}",
        amperes(current.mean.as_f64()),
        amperes(current.rms_in_phase_amps),
        amperes(current.peak.as_f64())
    )
}

fn amperes(value: f64) -> String {
    format!("{} A", fixed(value, 2))
}

fn number(value: f64) -> String {
    fixed(value, 2)
}
