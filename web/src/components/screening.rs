//! Flashes by direction around the vehicle in the shown state.

use crate::store::{use_dispatch, use_document, use_viewed};
use lampwright_analysis::light::ScreenedDirection;
use lampwright_analysis::screening::{Band, cautions};
use yew::prelude::*;

/// Counts and band toward every direction.
#[component]
pub(crate) fn Screening() -> Html {
    // The view context renders this again when a finding of another direction is gone to.
    let (Some(dispatch), Some(document), Some(_viewed)) =
        (use_dispatch(), use_document(), use_viewed())
    else {
        return Html::default();
    };
    let marked = dispatch.live.direction.get();
    let results = document.results();
    let screened = &results.screened;
    html! {
        <div class="view column">
            <p class="quiet">{ cautions::NOT_A_CLEARANCE }</p>
            <p class="quiet">{ cautions::CONDITIONS }</p>
            <table>
                <caption>{ "Flashes in the worst second by direction, in the shown state; degrees counterclockwise from the front, neighbors alike on one row" }</caption>
                <thead><tr>
                    <th scope="col">{ "Directions" }</th>
                    <th scope="col" class="number">{ "Flashes" }</th>
                    <th scope="col" class="number">{ "Red flashes" }</th>
                    <th scope="col">{ "Band" }</th>
                    <th scope="col">{ "Governed by" }</th>
                </tr></thead>
                <tbody>{ for screened.directions.chunk_by(|one, other| words(one) == words(other)).map(|directions| row(directions, marked)) }</tbody>
            </table>
        </div>
    }
}

/// What a row shows besides its directions.
#[derive(PartialEq)]
struct Words {
    n: String,
    n_red: String,
    band: Option<Band>,
    governor: String,
}

fn words(direction: &ScreenedDirection) -> Words {
    match &*direction.result {
        Err(problem) => Words {
            n: "not screened".into(),
            n_red: String::new(),
            band: None,
            governor: problem.to_string(),
        },
        Ok(result) => Words {
            n: result.n().to_string(),
            n_red: result.n_red().to_string(),
            band: result.band(),
            governor: match (result.bound, result.governing_unit()) {
                (Some(_), _) => "sum over clocks that drift".into(),
                (None, Some(unit)) => unit.screening.governed_by.name().into(),
                (None, None) => "no light".into(),
            },
        },
    }
}

fn row(directions: &[ScreenedDirection], marked: Option<u16>) -> Html {
    let (Some(first), Some(last)) = (directions.first(), directions.last()) else {
        return Html::default();
    };
    let place = if directions.len() == 1 {
        format!("{}°", first.azimuth_degrees)
    } else {
        format!("{}° to {}°", first.azimuth_degrees, last.azimuth_degrees)
    };
    let words = words(first);
    let class = match words.band {
        Some(Band::Low | Band::Limit) => "calm",
        Some(Band::Elevated) => "raised",
        Some(_) => "grave",
        None => "",
    };
    let is_marked = directions
        .iter()
        .any(|direction| Some(direction.azimuth_degrees) == marked);
    html! {
        <tr key={first.azimuth_degrees} class={classes!(is_marked.then_some("is-selected"))}>
            <th scope="row">{ place }</th>
            <td class="number">{ words.n }</td>
            <td class="number">{ words.n_red }</td>
            <td><span class={classes!("band", class)}>{ words.band.map_or("dark", Band::name) }</span></td>
            <td>{ words.governor }</td>
        </tr>
    }
}
