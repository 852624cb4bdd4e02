//! Flashes by direction around the vehicle in the shown state.

use super::summary::{band_class, judging};
use crate::store::{use_dispatch, use_document, use_viewed};
use crate::tag::{Tag, columns, said, tag, text};
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
    let Some(results) = document.judged() else {
        return judging();
    };
    let screened = &results.screened;
    let rows = screened
        .directions
        .chunk_by(|one, other| words(one) == words(other))
        .filter_map(|directions| row(directions, marked));
    tag("div", "view column")
        .tag(said("p", "quiet", cautions::NOT_A_CLEARANCE))
        .tag(said("p", "quiet", cautions::CONDITIONS))
        .tag(
            tag("table", "")
                .tag(said("caption", "", "Flashes in the worst second by direction, in the shown state; degrees counterclockwise from the front, neighbors alike on one row"))
                .tag(columns(&[
                    ("Directions", false),
                    ("Flashes", true),
                    ("Red flashes", true),
                    ("Band", false),
                    ("Governed by", false),
                ]))
                .tag(tag("tbody", "").tags(rows)),
        )
        .done()
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
            governor: result.why(),
        },
    }
}

fn row(directions: &[ScreenedDirection], marked: Option<u16>) -> Option<Tag> {
    let (first, last) = (directions.first()?, directions.last()?);
    let place = if directions.len() == 1 {
        format!("{}°", first.azimuth_degrees)
    } else {
        format!("{}° to {}°", first.azimuth_degrees, last.azimuth_degrees)
    };
    let words = words(first);
    let is_marked = directions
        .iter()
        .any(|direction| Some(direction.azimuth_degrees) == marked);
    let class = if is_marked { "is-selected" } else { "" };
    let band = said(
        "span",
        band_class(words.band),
        words.band.map_or("dark", Band::name),
    );
    Some(
        tag("tr", class)
            .key(first.azimuth_degrees.to_string())
            .tag(text("th", "", place).with("scope", "row"))
            .tag(text("td", "number", words.n))
            .tag(text("td", "number", words.n_red))
            .tag(tag("td", "").tag(band))
            .tag(text("td", "", words.governor)),
    )
}
