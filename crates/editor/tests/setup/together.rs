//! Several things filled in together, what is missing of them, and what the steps are called.

use crate::support::{edit, eight, head, heads, place, put, row};
use lampwright_editor::setup::{
    Control, HeadsChange, How, ThingKind, add, labels, missing, step_label,
};
use lampwright_editor::{Action, EditorState, SelectMode};
use lampwright_model::ItemId;

#[test]
fn several_heads_are_filled_in_together() {
    let state = eight();
    let pair = [head("front-left-1"), head("rear-left-1")];
    let value = row(&state, &pair, "x_m", How::Number).control;
    assert_eq!(
        value,
        Control::Entry {
            value: String::new(),
            hint: "various".into(),
            is_number: true
        }
    );
    let state = put(&state, &pair, "x_m", How::Number, "0.5");
    assert_eq!(place(&state, "front-left-1").0, 500);
    assert_eq!(place(&state, "rear-left-1").0, 500);

    // A choice in which they differ shows none of theirs.
    let state = put(&state, &pair[..1], "emitters/0/color", How::Text, "blue");
    let on = |state: &EditorState| match row(state, &pair, "emitters/0/color", How::Text).control {
        Control::Choice(options) => {
            let on = options.into_iter().filter(|option| option.is_on);
            on.map(|option| option.label).collect::<Vec<_>>()
        }
        other => panic!("{other:?}"),
    };
    assert_eq!(on(&state), ["various"]);
    let state = put(&state, &pair, "emitters/0/color", How::Text, "red");
    assert_eq!(on(&state), ["R red"]);
}

#[test]
fn a_box_checked_for_several_things_is_checked_in_all_of_them() {
    let state = eight();
    let mut ids = Vec::new();
    let mut state = state.apply(Action::SelectHeads(Vec::new(), SelectMode::Replace));
    for _ in 0..2 {
        let (_, change, id) = add(&state, ThingKind::Group, None).unwrap();
        state = edit(&state, change);
        ids.extend(id);
    }
    let members = |state: &EditorState, id: &ItemId| match row(
        state,
        std::slice::from_ref(id),
        "heads",
        How::Member,
    )
    .control
    {
        Control::Checks(options) => options.iter().filter(|option| option.is_on).count(),
        other => panic!("{other:?}"),
    };
    let state = put(&state, &ids[1..], "heads", How::Member, "rear-left-1");
    let state = put(&state, &ids, "heads", How::Member, "rear-left-1");
    assert_eq!((members(&state, &ids[0]), members(&state, &ids[1])), (1, 1));
    let state = put(&state, &ids, "heads", How::Member, "rear-left-1");
    assert_eq!((members(&state, &ids[0]), members(&state, &ids[1])), (0, 0));
}

#[test]
fn what_is_missing_is_counted_until_it_is_entered() {
    let state = heads(&eight(), HeadsChange::Wire);
    let counts = |state: &EditorState, kind| -> Vec<(&str, usize)> {
        let missing = missing(state.program(), kind).into_iter();
        missing.map(|lack| (lack.words, lack.ids.len())).collect()
    };
    assert_eq!(
        counts(&state, ThingKind::Head),
        [
            ("peak intensity", 8),
            ("current", 8),
            ("chromaticity", 8),
            ("beam", 8)
        ]
    );
    assert_eq!(
        counts(&state, ThingKind::Output),
        [("rating", 8), ("fuse", 8), ("wire", 8)]
    );
    let one = [head("front-left-1")];
    let state = put(&state, &one, "emitters/0/peak_cd", How::Number, "900");
    assert_eq!(counts(&state, ThingKind::Head)[0], ("peak intensity", 7));
    let output = [ItemId::Output("output-1".parse().unwrap())];
    let state = put(&state, &output, "rating_a", How::Number, "8");
    assert_eq!(counts(&state, ThingKind::Output)[0], ("rating", 7));
    assert_eq!(
        labels(state.program(), ThingKind::Output)[0].1,
        "Front left 1 amber"
    );
}

#[test]
fn steps_say_what_happened_to_what() {
    let state = eight();
    let one = [head("front-left-1")];
    let state = put(&state, &one, "emitters", How::Add, r#"{"color": "red"}"#);
    let said = |ids: &[ItemId], path, how| step_label(&state, ids, &row(&state, ids, path, how));
    assert_eq!(
        said(&one, "facing_deg", How::Number),
        "Facing of Front left 1"
    );
    assert_eq!(
        said(&one, "emitters/1/peak_cd", How::Number),
        "Peak intensity of emitter 2 of Front left 1"
    );
    assert_eq!(
        said(&one, "emitters", How::Add),
        "Add emitter to Front left 1"
    );
    assert_eq!(
        said(&one, "emitters/1", How::Remove),
        "Remove emitter 2 from Front left 1"
    );
    let pair = [head("front-left-1"), head("rear-left-1")];
    assert_eq!(
        said(&pair, "z_m", How::Number),
        "Above the ground of 2 heads"
    );
}
