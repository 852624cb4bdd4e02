//! Numbers that look like chance and are the same on every run, and simple things made of them.

use lampwright_editor::{EditorState, Pointer, PulseAt, SelectMode};
use lampwright_model::HeadId;
use lampwright_timing::Micros;

/// A small generator of numbers, always the same (a linear congruence with the constants of Knuth's MMIX, from memory).
pub(super) struct Numbers {
    state: u64,
    /// How many things were picked; kinds of things come in turn.
    pub(super) n_picked: usize,
}

impl Numbers {
    pub(super) fn from_seed(seed: u64) -> Self {
        Self {
            state: seed,
            n_picked: 0,
        }
    }

    pub(super) fn next(&mut self, below: usize) -> usize {
        self.state = self
            .state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.state >> 33).unwrap() % below
    }

    pub(super) fn is_one_in(&mut self, n: usize) -> bool {
        self.next(n) == 0
    }

    pub(super) fn between(&mut self, least: i64, most: i64) -> i64 {
        least + i64::try_from(self.next(usize::try_from(most - least + 1).unwrap())).unwrap()
    }

    pub(super) fn micros(&mut self) -> Micros {
        Micros(self.between(-20_000, 680_000))
    }

    #[expect(clippy::cast_precision_loss, reason = "pixels")]
    pub(super) fn px(&mut self, below: usize) -> f64 {
        self.next(below) as f64
    }

    /// One of a list; none of an empty one.
    pub(super) fn one<'list, T>(&mut self, of: &'list [T]) -> Option<&'list T> {
        (!of.is_empty()).then(|| &of[self.next(of.len())])
    }

    pub(super) fn any<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.next(of.len())]
    }

    pub(super) fn text(&mut self) -> String {
        self.any(&[
            "2",
            "75 50 75 300",
            "0 20 100@40",
            "150/min",
            "-35.5",
            "30",
            "480",
            "right",
            "",
            "x",
            "1 1 1",
        ])
        .into()
    }

    pub(super) fn pointer(&mut self) -> Pointer {
        let mut pointer = Pointer::at(self.px(1000), self.px(300));
        pointer.modifiers.extend = self.is_one_in(4);
        pointer.modifiers.no_snap = self.is_one_in(4);
        pointer
    }

    pub(super) fn mode(&mut self) -> SelectMode {
        self.any(&[
            SelectMode::Replace,
            SelectMode::Add,
            SelectMode::Toggle,
            SelectMode::Keep,
        ])
    }

    pub(super) fn pulse_at(&mut self) -> PulseAt {
        PulseAt {
            lane: self.next(3),
            pulse: self.next(5),
        }
    }

    pub(super) fn head(&mut self, state: &EditorState) -> HeadId {
        let heads = &state.program().vehicle.heads;
        let head = self.one(heads).map(|head| head.id.clone());
        head.unwrap_or_else(|| HeadId::new("none").unwrap())
    }
}
