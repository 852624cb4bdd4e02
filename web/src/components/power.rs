//! Currents in the shown state: the vehicle, its fuses and its outputs.

use crate::store::use_document;
use lampwright_analysis::WIRING_CAUTION;
use lampwright_analysis::facts::CurrentFacts;
use yew::prelude::*;

/// Currents against ratings.
#[component]
pub(crate) fn Power() -> Html {
    let Some(document) = use_document() else {
        return Html::default();
    };
    let results = document.results();
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
    html! {
        <div class="view column">
            <p>{ format!("In the shown state, at {}", electrical.supply_voltage) }</p>
            <p class="quiet">{ WIRING_CAUTION }</p>
            if electrical.n_assumed > 0 {
                <p class="quiet">{ format!("{} emitters have assumed currents, because none was entered", electrical.n_assumed) }</p>
            }
            <dl class="figures narrow">
                <dt>{ "Whole vehicle" }</dt><dd>{ currents(&electrical.vehicle) }</dd>
                if let Some(idle) = &electrical.idle_margin {
                    <dt>{ "Left over at idle" }</dt>
                    <dd>{ format!("{} of {}, other load {}", amperes(idle.margin.as_f64()), amperes(idle.alternator.as_f64()), amperes(idle.other_load.as_f64())) }</dd>
                }
                if let Some(off) = &electrical.engine_off {
                    <dt>{ "With the engine off" }</dt>
                    <dd>{ if off.minutes.is_finite() { format!("{:.0} min until the usable charge is spent", off.minutes) } else { "no load".into() } }</dd>
                }
            </dl>
            <table>
                <caption>{ "Fuses: root mean square against rating" }</caption>
                <thead><tr>
                    <th scope="col">{ "Fuse" }</th><th scope="col" class="number">{ "Rating, A" }</th>
                    <th scope="col" class="number">{ "Mean, A" }</th><th scope="col" class="number">{ "RMS, A" }</th>
                    <th scope="col" class="number">{ "Peak, A" }</th><th scope="col" class="number">{ "RMS of rating, %" }</th>
                </tr></thead>
                <tbody>{ for electrical.fuses.iter().map(|fuse| html! {
                    <tr key={fuse.fuse.as_str().to_owned()}>
                        <th scope="row">{ fuse_label(&fuse.fuse) }</th>
                        <td class="number">{ number(fuse.rating.in_units()) }</td>
                        { cells(&fuse.current) }
                        <td class="number">{ format!("{:.1}", fuse.rms_share * 100.0) }</td>
                    </tr>
                }) }</tbody>
            </table>
            <table>
                <caption>{ "Outputs: peak against rating" }</caption>
                <thead><tr>
                    <th scope="col">{ "Output" }</th><th scope="col" class="number">{ "Rating, A" }</th>
                    <th scope="col" class="number">{ "Mean, A" }</th><th scope="col" class="number">{ "RMS, A" }</th>
                    <th scope="col" class="number">{ "Peak, A" }</th>
                </tr></thead>
                <tbody>{ for electrical.outputs.iter().map(|output| html! {
                    <tr key={output.output.as_str().to_owned()}>
                        <th scope="row">{ output_label(&output.output) }</th>
                        <td class="number">{ number(output.rating.in_units()) }</td>
                        { cells(&output.current) }
                    </tr>
                }) }</tbody>
            </table>
        </div>
    }
}

fn cells(current: &CurrentFacts) -> Html {
    html! {
        <>
            <td class="number">{ number(current.mean.as_f64()) }</td>
            <td class="number">{ number(current.rms_in_phase_amps) }</td>
            <td class="number">{ number(current.peak.as_f64()) }</td>
        </>
    }
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
    format!("{value:.2} A")
}

fn number(value: f64) -> String {
    format!("{value:.2}")
}
