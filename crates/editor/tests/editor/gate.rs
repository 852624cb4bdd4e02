//! Whatever makes the picture change, no second of what is let through holds more than three flashes.

use crate::support::*;
use lampwright_editor::preview::{Change, Gate};
use lampwright_editor::{
    Action, EditorState, Eye, PlanScene, Projection, painted_lamps, vehicle_scene,
};
use lampwright_timing::Micros;

/// What a page would paint, frame by frame.
struct Page {
    state: EditorState,
    gate: Gate,
    scene: PlanScene,
    /// Whether something was done since the last painted frame.
    is_by_hand: bool,
    playhead: Micros,
    /// When each frame was painted, and how bright each lamp was.
    painted: Vec<(Micros, Vec<f64>)>,
    n_held: usize,
}

impl Page {
    fn new(state: EditorState) -> Self {
        let scene = scene_of(&state);
        Self {
            state,
            gate: Gate::default(),
            scene,
            is_by_hand: true,
            playhead: Micros::ZERO,
            painted: Vec::new(),
            n_held: 0,
        }
    }

    fn frame(&mut self, now: Micros, elapsed: Micros) {
        self.gate.begin_frame(now);
        let before = self.playhead;
        let is_playing = self.state.preview().is_playing;
        if is_playing {
            self.playhead = before + self.state.preview_speed().program_time(elapsed);
        } else {
            self.playhead = self.state.preview().at;
        }
        let scene = scene_of(&self.state);
        let lamps = painted_lamps(&scene, &self.state.preview_levels(self.playhead));
        let change = Change {
            is_playing,
            is_by_hand: self.is_by_hand,
            is_elsewhere: scene != self.scene,
        };
        if self.gate.may_paint(now, &lamps, change) {
            self.is_by_hand = false;
            self.painted.push((now, lamps));
            self.scene = scene;
        } else {
            self.n_held += 1;
            self.playhead = before;
        }
    }

    /// Runs so many seconds at 60 frames a second, with something done before each frame.
    fn run(&mut self, seconds: i64, mut act: impl FnMut(&EditorState, i64) -> Option<Action>) {
        for frame in 0..seconds * 60 {
            if let Some(action) = act(&self.state, frame) {
                self.state = self.state.apply(action);
                self.is_by_hand = true;
            }
            self.frame(Micros(frame * 1_000_000 / 60), Micros(1_000_000 / 60));
        }
    }

    /// Most frames of any second in which a lamp begins to brighten by a tenth of full, or appears elsewhere.
    fn worst(&self) -> usize {
        let mut begun = Vec::new();
        let n_lamps = self.painted[0].1.len();
        let mut courses = vec![(0.0_f64, false); n_lamps];
        for (now, lamps) in &self.painted {
            let mut begins = false;
            for ((extreme, is_rising), value) in courses.iter_mut().zip(lamps) {
                if *is_rising {
                    if *value > *extreme {
                        *extreme = *value;
                    } else if *extreme - *value >= 0.1 {
                        (*extreme, *is_rising) = (*value, false);
                    }
                } else if *value < *extreme {
                    *extreme = *value;
                } else if *value - *extreme >= 0.1 {
                    (*extreme, *is_rising) = (*value, true);
                    begins = true;
                }
            }
            if begins {
                begun.push(*now);
            }
        }
        assert!(!begun.is_empty(), "something flashed");
        begun
            .iter()
            .map(|from| {
                begun
                    .iter()
                    .filter(|at| **at >= *from && **at < *from + Micros(1_000_000))
                    .count()
            })
            .max()
            .unwrap_or(0)
    }
}

const PLAY: Change = Change {
    is_playing: true,
    is_by_hand: false,
    is_elsewhere: false,
};

fn scene_of(state: &EditorState) -> PlanScene {
    let preview = state.preview();
    let drive = &state.results().drive;
    vehicle_scene(
        state.program(),
        drive,
        preview.projection,
        preview.eye,
        (300.0, 400.0),
    )
}

fn next_situation(state: &EditorState) -> Option<Action> {
    let situations = &state.program().situations;
    let now = situations
        .iter()
        .position(|known| Some(&known.id) == state.current_situation());
    let next = now.map_or(0, |now| (now + 1) % situations.len());
    Some(Action::ChooseSituation(situations[next].id.clone()))
}

#[track_caller]
fn is_safe(page: &Page) {
    assert!(page.worst() <= 3, "{} flashes in a second", page.worst());
}

#[test]
fn taps_while_it_plays_are_held_back() {
    let mut page = Page::new(editor().apply(Action::Play));
    page.run(20, |state, frame| {
        (frame % 2 == 0).then(|| next_situation(state)).flatten()
    });
    assert!(page.n_held > 0);
    is_safe(&page);
}

#[test]
fn pictures_that_are_seen_late_are_held_back_from_when_they_are_seen() {
    for is_playing in [false, true] {
        for seed in 0..5_u64 {
            let mut state = editor();
            if is_playing {
                state = state.apply(Action::Play);
            }
            let mut page = Page::new(state);
            let (mut now, mut random) = (Micros::ZERO, seed);
            for _ in 0..400 {
                random = random
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1_442_695_040_888_963_407);
                // Mostly 60 a second; one in eight frames takes up to half a second, and is seen at its end.
                let is_long = random >> 61 == 0;
                let length = if is_long {
                    ms(i64::try_from((random >> 40) % 500).unwrap())
                } else {
                    Micros(1_000_000 / 60)
                };
                page.state = page.state.apply(next_situation(&page.state).unwrap());
                page.is_by_hand = true;
                let n_painted = page.painted.len();
                page.frame(now, Micros(1_000_000 / 60));
                if let Some((seen, _)) = page.painted.get_mut(n_painted) {
                    *seen = now + length;
                }
                now += length;
            }
            assert!(page.n_held > 0);
            is_safe(&page);
        }
    }
}

#[test]
fn one_tap_while_it_plays_is_one_flash_among_three() {
    for at in 0..120 {
        let mut page = Page::new(editor().apply(Action::Play));
        page.run(5, |state, frame| {
            (frame == at).then(|| next_situation(state)).flatten()
        });
        is_safe(&page);
    }
}

#[test]
fn taps_while_it_stands_still_are_held_back_and_the_last_picture_comes() {
    let mut page = Page::new(editor());
    page.run(6, |state, frame| {
        (frame < 200 && frame % 3 == 0)
            .then(|| next_situation(state))
            .flatten()
    });
    is_safe(&page);
    let last = &page.painted.last().unwrap().1;
    let wanted = painted_lamps(
        &scene_of(&page.state),
        &page.state.preview_levels(Micros::ZERO),
    );
    assert_eq!(*last, wanted);
}

#[test]
fn scrubbing_is_held_back() {
    for is_playing in [false, true] {
        let mut state = editor();
        if is_playing {
            state = state.apply(Action::Play);
        }
        let mut page = Page::new(state);
        page.run(10, |_, frame| Some(Action::Seek(ms(frame * 67 % 500))));
        is_safe(&page);
    }
}

#[test]
fn other_views_are_held_back_while_lamps_are_lit() {
    let mut page = Page::new(editor().apply(Action::Play));
    page.run(10, |_, frame| {
        let view = Projection::ALL[usize::try_from(frame).unwrap() / 2 % Projection::ALL.len()];
        (frame % 2 == 0).then_some(Action::LookFrom(view))
    });
    assert!(page.n_held > 0);
    is_safe(&page);
}

#[test]
fn steps_of_the_observer_are_held_back_while_lamps_are_lit() {
    let mut page = Page::new(editor().apply(Action::LookFrom(Projection::Approach)));
    page.run(10, |_, frame| {
        Some(Action::StandAt(Eye {
            distance_m: 30,
            azimuth_degrees: u16::try_from(frame * 90 % 360).unwrap(),
        }))
    });
    is_safe(&page);
}

#[test]
fn a_preview_left_alone_is_not_held_up() {
    let mut page = Page::new(editor().apply(Action::Play));
    page.run(20, |_, _| None);
    assert!(page.n_held <= 2, "{} frames held back", page.n_held);
    is_safe(&page);
}

#[test]
fn a_rise_in_steps_is_one_flash_and_a_fall_is_none() {
    let mut gate = Gate::default();
    for (frame, level) in [0.0, 0.2, 0.4, 0.6, 0.8, 1.0, 0.5, 0.2, 0.1]
        .into_iter()
        .enumerate()
    {
        assert!(gate.may_paint(ms(frame as i64), &[level], PLAY));
    }
    for frame in 0..2 {
        assert!(gate.may_paint(ms(20 + 2 * frame), &[1.0], PLAY));
        assert!(gate.may_paint(ms(21 + 2 * frame), &[0.0], PLAY));
    }
    assert!(!gate.may_paint(ms(30), &[1.0], PLAY), "a fourth");
    assert!(
        gate.may_paint(ms(1_110), &[1.0], PLAY),
        "more than a second later"
    );
}

#[test]
fn what_is_raised_by_hand_is_a_flash_of_its_own() {
    let by_hand = Change {
        is_playing: true,
        is_by_hand: true,
        is_elsewhere: false,
    };
    let mut gate = Gate::default();
    let mut n_painted = 0;
    // From dim to full, one lamp after the other, none of them dark in between.
    assert!(gate.may_paint(ms(0), &[0.1; 8], by_hand));
    for frame in 1..60 {
        let lamps: Vec<f64> = (0..8)
            .map(|lamp| if lamp < frame / 7 { 1.0 } else { 0.1 })
            .collect();
        let may = gate.may_paint(ms(frame * 1000 / 60), &lamps, by_hand);
        n_painted += u32::from(may && frame % 7 == 0);
    }
    assert!(n_painted <= 2, "{n_painted} raised in the first second");
}

#[test]
fn a_drawing_that_jumps_about_counts_also_while_its_lamps_are_dark() {
    for is_playing in [false, true] {
        let change = Change {
            is_playing,
            is_by_hand: true,
            is_elsewhere: true,
        };
        let mut gate = Gate::default();
        let paint = |frame: i64| u32::from(gate.may_paint(ms(frame * 16), &[0.0; 4], change));
        let n_painted: u32 = (0..60).map(paint).sum();
        assert!((2..=4).contains(&n_painted), "{n_painted}");
    }
}
