//! What is measured of a head's light: beam and chromaticity.

use crate::support::{edit, eight, head, put, refused, row, van};
use lampwright_editor::EditorState;
use lampwright_editor::setup::{Control, How, fill, form, step_label};
use lampwright_model::{Beam, Chromaticity, Color, Head, Item, ItemId, Millidegrees};

const POINTS: &str = "beam/table/horizontal";

fn front() -> [ItemId; 1] {
    [head("front-left-1")]
}

fn shape(state: &EditorState, label: &str) -> String {
    match row(state, &front(), "beam", How::Json).control {
        Control::Choice(options) => {
            options
                .into_iter()
                .find(|option| option.label == label)
                .unwrap()
                .value
        }
        other => panic!("{other:?}"),
    }
}

fn of(state: &EditorState) -> Head {
    match state.program().item(&front()[0]) {
        Some(Item::Head(head)) => head,
        other => panic!("{other:?}"),
    }
}

fn points(state: &EditorState) -> Vec<(i64, u16)> {
    match of(state).beam {
        Some(Beam::Table { horizontal, .. }) => horizontal
            .into_iter()
            .map(|(angle, fraction)| (angle.0, fraction))
            .collect(),
        other => panic!("{other:?}"),
    }
}

fn measured() -> EditorState {
    let state = eight();
    let table = shape(&state, "measured table");
    put(&state, &front(), "beam", How::Json, &table)
}

#[test]
fn a_measured_beam_starts_as_the_assumed_one_and_is_filled_in_point_by_point() {
    let state = measured();
    let start = [
        (-40_000, 0),
        (-20_000, 500),
        (0, 1000),
        (20_000, 500),
        (40_000, 0),
    ];
    assert_eq!(points(&state), start);
    // Half the peak where the assumed beam has it.
    let assumed = eight();
    assert_eq!(
        of(&assumed).beam_or_assumed().value,
        Beam::HalfPeak {
            horizontal: Millidegrees(20_000),
            vertical: Millidegrees(5_000)
        }
    );
    let angle = format!("{POINTS}/1/angle_deg");
    let state = put(&state, &front(), &angle, How::Number, "-12.5");
    let state = put(
        &state,
        &front(),
        &format!("{POINTS}/1/fraction"),
        How::Share,
        "62,5",
    );
    assert_eq!(points(&state)[1], (-12_500, 625));
    let shown = row(
        &state,
        &front(),
        &format!("{POINTS}/1/fraction"),
        How::Share,
    );
    assert!(matches!(shown.control, Control::Entry { value, .. } if value == "62.5"));
    assert_eq!(shown.unit, "%");
    refused(
        &state,
        &front(),
        &angle,
        How::Number,
        "5",
        "angles of the beam that rise wanted, not 0 ° after 5 °",
    );
    refused(
        &state,
        &front(),
        &angle,
        How::Number,
        "-190",
        "angles of the beam from -180° to 180° wanted, not -190 °",
    );
    refused(
        &state,
        &front(),
        "beam/table/vertical_deg",
        How::Number,
        "0",
        "a half-angle of the beam above 0° up to 90° wanted, not 0 °",
    );

    let Control::Button(next) = row(&state, &front(), POINTS, How::Add).control else {
        panic!("a button adds a point");
    };
    let state = put(&state, &front(), POINTS, How::Add, &next);
    assert_eq!(points(&state).last(), Some(&(45_000, 0)));
    let mut state = state;
    for _ in 0..4 {
        state = put(&state, &front(), &format!("{POINTS}/0"), How::Remove, "");
    }
    refused(
        &state,
        &front(),
        &format!("{POINTS}/0"),
        How::Remove,
        "",
        "a beam of two or more points wanted, not 1",
    );
}

#[test]
fn a_pasted_table_takes_the_place_of_the_points_as_one_step() {
    let state = measured();
    let text = row(&state, &front(), POINTS, How::Points);
    assert_eq!(
        text.control,
        Control::Lines("-40 0\n-20 50\n0 100\n20 50\n40 0".into())
    );
    assert_eq!(
        step_label(&state, &front(), &text),
        "Points of the beam of Front left 1"
    );
    let pasted = put(
        &state,
        &front(),
        POINTS,
        How::Points,
        "Angle\tcd\r\n-10\t600\r\n0\t1200\r\n15\t100\r\n",
    );
    assert_eq!(points(&pasted), [(-10_000, 500), (0, 1000), (15_000, 83)]);
    // What it shows is the same table again.
    let Control::Lines(shown) = row(&pasted, &front(), POINTS, How::Points).control else {
        panic!("lines wanted");
    };
    let again = fill(&pasted, &front(), POINTS, How::Points, &shown).unwrap();
    assert_eq!(points(&edit(&pasted, again)), points(&pasted));
    refused(
        &state,
        &front(),
        POINTS,
        How::Points,
        "0 100\n10",
        "line 2: an angle and an intensity wanted, such as -20 12.5, not 10",
    );
    refused(
        &state,
        &front(),
        POINTS,
        How::Points,
        "0 100\n0 50",
        "angles of the beam that rise wanted, not 0 ° after 0 °",
    );
}

#[test]
fn a_beam_that_is_no_table_offers_no_points() {
    let rows = form(&eight(), &front());
    assert!(!rows.iter().any(|row| row.path.starts_with("beam/")));
}

#[test]
fn the_usual_chromaticity_is_marked_as_assumed_until_one_is_entered() {
    let state = eight();
    let path = "emitters/0/chromaticity";
    let shown = |state: &EditorState, ids: &[ItemId]| match row(state, ids, path, How::Chromaticity)
        .control
    {
        Control::Entry { value, hint, .. } => (value, hint),
        other => panic!("{other:?}"),
    };
    let usual = Color::Amber.default_chromaticity();
    assert_eq!((usual.x, usual.y), (5750, 4240));
    let assumed = (String::new(), "0.575, 0.424, assumed".to_owned());
    assert_eq!(shown(&state, &front()), assumed);

    let entered = put(&state, &front(), path, How::Chromaticity, "0,5801 0,4152");
    let chromaticity = of(&entered).emitters[0].chromaticity_or_assumed();
    assert_eq!(chromaticity.value, Chromaticity { x: 5801, y: 4152 });
    assert!(!chromaticity.is_assumed);
    assert_eq!(shown(&entered, &front()).0, "0.5801, 0.4152");
    let both = [head("front-left-1"), head("rear-left-1")];
    assert_eq!(
        shown(&entered, &both),
        (String::new(), "various".to_owned())
    );
    for (text, words) in [
        ("0.58", "x and y wanted, such as 0.575, 0.424"),
        (
            "0.7 0.4",
            "y above 0 and x + y at most 1 wanted, not x 0.7000, y 0.4000",
        ),
        (
            "0.58011 0.4",
            "a number with at most 4 decimals wanted, not 0.58011",
        ),
        ("red 0.4", "a number wanted, such as 0.5"),
    ] {
        refused(&entered, &front(), path, How::Chromaticity, text, words);
    }
    let back = put(&entered, &front(), path, How::Chromaticity, "");
    assert_eq!(shown(&back, &front()), assumed);
    assert_eq!(**back.program(), **state.program());
}

#[test]
fn the_demo_shows_its_measured_beam_in_per_cent() {
    let ids = [head("bumper-corner-left")];
    let Control::Lines(lines) = row(&van(), &ids, POINTS, How::Points).control else {
        panic!("lines wanted");
    };
    let lines: Vec<&str> = lines.lines().collect();
    assert_eq!(lines.len(), 11);
    assert_eq!(lines[..4], ["-90 0", "-70 5", "-50 25", "-30 60"]);
}
