//! Cycles of a walk on the cells of a period.
//!
//! Some counters remember only where they last acted: the next place they act follows from that
//! place alone. In endless operation such a counter settles into a cycle, which may take several
//! periods and may depend on where it started. All cycles are visited, so that the worst can be
//! taken and the choice of time zero plays no part.

/// One step of a walk: the next place, and how many periods later it lies.
pub(crate) type Step = (usize, i64);

const UNSEEN: u32 = 0;

/// Reusable memory of [`Cycles::visit`].
#[derive(Clone, Debug, Default)]
pub(crate) struct Cycles {
    walk_of: Vec<u32>,
    path: Vec<Step>,
    cycle: Vec<Step>,
}

impl Cycles {
    /// Calls `seen` with every cycle of `next` over the places `0..n`.
    ///
    /// A cycle is given as (place, periods since the first place of the cycle), ascending in time,
    /// with the number of periods after which it repeats.
    pub(crate) fn visit(
        &mut self,
        n: usize,
        mut next: impl FnMut(usize) -> Option<Step>,
        mut seen: impl FnMut(&[Step], i64),
    ) {
        self.walk_of.clear();
        self.walk_of.resize(n, UNSEEN);
        let mut walk = UNSEEN;
        for start in 0..n {
            if self.walk_of[start] != UNSEEN {
                continue;
            }
            walk += 1;
            self.path.clear();
            let (mut place, mut turns) = (start, 0);
            loop {
                if self.walk_of[place] != UNSEEN {
                    if self.walk_of[place] == walk {
                        self.close(place, turns, &mut seen);
                    }
                    break;
                }
                self.walk_of[place] = walk;
                self.path.push((place, turns));
                match next(place) {
                    Some((following, wraps)) => {
                        place = following;
                        turns += wraps;
                    }
                    None => break,
                }
            }
        }
    }

    fn close(&mut self, place: usize, turns: i64, seen: &mut impl FnMut(&[Step], i64)) {
        let Some(from) = self.path.iter().position(|step| step.0 == place) else {
            return;
        };
        let first_turns = self.path[from].1;
        self.cycle.clear();
        self.cycle.extend(
            self.path[from..]
                .iter()
                .map(|step| (step.0, step.1 - first_turns)),
        );
        seen(&self.cycle, turns - first_turns);
    }
}
