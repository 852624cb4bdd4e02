//! Heads on the plan: lined up, spread, mirrored and dragged.

use super::*;

#[test]
fn heads_line_up_spread_and_mirror() {
    let state = eight();
    let select = |state: &EditorState, ids: &[&str]| {
        let ids = ids.iter().map(|id| HeadId::new(id).unwrap()).collect();
        state.apply(Action::SelectHeads(ids, SelectMode::Replace))
    };
    let left = ["front-left-1", "rear-left-1", "rear-left-2"];
    let state = select(&state, &left);
    let lined = heads(&state, HeadsChange::SameLeft);
    // 600, 600 and 200 mm.
    assert_eq!(place(&lined, "rear-left-2").1, 466);
    let lined = heads(&lined, HeadsChange::Move(Millimeters(50), Millimeters(0)));
    let x = |state: &EditorState, id: &str| place(state, id).0;
    assert_eq!(x(&lined, "rear-left-1"), x(&state, "rear-left-1") + 50);
    let moved = edit(
        &lined,
        fill(&lined, &[head("rear-left-1")], "x_m", How::Number, "-1").unwrap(),
    );
    let spread = heads(&moved, HeadsChange::Spread);
    let (front, rear) = (x(&spread, "front-left-1"), x(&spread, "rear-left-2"));
    assert_eq!(x(&spread, "rear-left-1"), rear + (front - rear) / 2);

    // The starter has set one there already.
    let outer = select(&state, &["front-left-1"]);
    let refused = outer.apply(Action::Heads(HeadsChange::Mirror));
    assert_eq!(
        &*refused.message().text,
        "there are heads at those places of the other side already"
    );
    let moved = heads(&outer, HeadsChange::Move(Millimeters(50), Millimeters(0)));
    let mirrored = heads(&moved, HeadsChange::Mirror);
    let selected: Vec<&str> = mirrored
        .selection()
        .heads
        .iter()
        .map(HeadId::as_str)
        .collect();
    assert_eq!(selected, ["front-right-1-2"]);
    let Some(Item::Head(copy)) = mirrored.program().item(&head("front-right-1-2")) else {
        panic!("no copy");
    };
    assert_eq!((copy.y.0, copy.label.as_str()), (-600, "Front right 1"));
    assert_eq!(copy.facing, Millidegrees(0));
    assert_eq!(
        mirrored.history().undo_label(),
        Some("Copy 1 head to the other side")
    );
}

#[test]
fn heads_moved_by_key_make_one_step_that_says_the_whole_way() {
    let select = |state: &EditorState, ids: &[&str]| {
        let ids = ids.iter().map(|id| HeadId::new(id).unwrap()).collect();
        state.apply(Action::SelectHeads(ids, SelectMode::Replace))
    };
    let by = |forward, left| HeadsChange::Move(Millimeters(forward), Millimeters(left));
    let first = select(&eight(), &["rear-left-1"]);
    let n_before = first.history().done().count();
    let moved = [by(50, 0), by(50, 0), by(0, -10), by(50, 0)]
        .into_iter()
        .fold(first.clone(), |state, change| heads(&state, change));
    assert_eq!(
        moved.history().undo_label(),
        Some("Move Rear left 1 0.15 m forward, 0.01 m right")
    );
    assert_eq!(moved.history().done().count(), n_before + 1);
    let (x, y) = place(&first, "rear-left-1");
    assert_eq!(place(&moved, "rear-left-1"), (x + 150, y - 10));
    assert_eq!(place(&moved.apply(Action::Undo), "rear-left-1"), (x, y));
    let two = heads(&select(&moved, &["rear-left-1", "rear-left-2"]), by(-50, 0));
    assert_eq!(
        two.history().undo_label(),
        Some("Move 2 heads 0.05 m rearward")
    );
    assert_eq!(two.history().done().count(), n_before + 2);
}

#[test]
fn a_dragged_head_snaps_and_makes_one_step_or_none() {
    let state = eight().apply(Action::SelectNothing);
    let id = HeadId::new("rear-right-1").unwrap();
    let (x, y) = place(&state, "rear-right-1");
    let drag = |state: &EditorState, forward: i64, left: i64| {
        state.apply(Action::Heads(HeadsChange::Drag {
            forward: Millimeters(forward),
            left: Millimeters(left),
            no_snap: false,
        }))
    };
    let pressed = state.apply(Action::Heads(HeadsChange::Press(id.clone())));
    assert!(pressed.selection().heads.contains(&id));
    let dragged = drag(&drag(&pressed, 5, 5), 123, -331);
    let (now_x, now_y) = place(&dragged, "rear-right-1");
    assert_eq!((now_x % 50, now_y % 50), (0, 0));
    assert!((now_x - x - 123).abs() <= 25 && (now_y - y + 331).abs() <= 25);
    assert_eq!(dragged.history().undo_label(), state.history().undo_label());
    assert_eq!(
        place_of(dragged.committed_program(), "rear-right-1"),
        (x, y)
    );

    let released = dragged.apply(Action::Release);
    assert_eq!(released.history().undo_label(), Some("Move heads"));
    assert_eq!(place(&released.apply(Action::Undo), "rear-right-1"), (x, y));

    let given_up = dragged.apply(Action::CancelGesture);
    assert_eq!(place(&given_up, "rear-right-1"), (x, y));
    assert_eq!(
        given_up.history().undo_label(),
        state.history().undo_label()
    );
    let still = drag(&pressed, 0, 0).apply(Action::Release);
    assert_eq!(still.history().undo_label(), state.history().undo_label());
}

fn place_of(program: &Program, id: &str) -> (i64, i64) {
    match program.item(&head(id)) {
        Some(Item::Head(head)) => (head.x.0, head.y.0),
        _ => (0, 0),
    }
}

#[test]
fn heads_are_dragged_dark_so_that_the_drawing_can_follow() {
    let state = eight();
    let id = HeadId::new("rear-right-1").unwrap();
    let pressed = state.apply(Action::Heads(HeadsChange::Press(id)));
    assert!(!pressed.is_dragging_heads());
    let dragged = pressed.apply(Action::Heads(HeadsChange::Drag {
        forward: Millimeters(100),
        left: Millimeters(0),
        no_snap: false,
    }));
    assert!(dragged.is_dragging_heads());
    assert!(!dragged.apply(Action::Release).is_dragging_heads());

    let frame = Micros::from_ms(16);
    let moved = |state: &EditorState| Change {
        is_playing: false,
        is_by_hand: true,
        is_elsewhere: !state.is_dragging_heads(),
    };
    let (mut dark, mut lit) = (Gate::default(), Gate::default());
    let mut now = Micros::ZERO;
    let (mut n_dark, mut n_lit) = (0, 0);
    for _ in 0..60 {
        n_dark += u32::from(dark.may_paint(now, &[0.0, 0.0], moved(&dragged)));
        n_lit += u32::from(lit.may_paint(now, &[0.0, 1.0], moved(&pressed)));
        now += frame;
    }
    assert_eq!(n_dark, 60);
    // Just under a second.
    assert!(n_lit <= 3, "{n_lit} pictures with a lit lamp elsewhere");
}
