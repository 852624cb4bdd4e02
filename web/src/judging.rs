//! Long work in slices between events, so that the page stays at hand.
//!
//! Invariant: a result is told once, when its last step is done; new work in the same place gives up what was under way.

use crate::platform::clock::{Timeout, milliseconds_now};
use std::cell::RefCell;
use std::rc::Rc;

/// How long one slice lasts at most, unless a single step takes longer.
const SLICE_MS: f64 = 5.0;

/// How long to wait while the work may not go on, in milliseconds.
const WAIT_MS: i32 = 120;

/// Where work under way stands; emptied to give it up.
pub(crate) type Place = Rc<RefCell<Option<Timeout>>>;

/// What is to be done in steps.
pub(crate) trait Steps {
    /// Whether it may go on now.
    fn may_go_on(&self) -> bool;
    /// Does one step; false when there is none left.
    fn step(&mut self) -> bool;
    /// Tells what came of it.
    fn done(self: Box<Self>);
}

/// Starts work after a delay in milliseconds, in place of what was under way there.
pub(crate) fn do_later(place: &Place, delay_ms: i32, mut steps: Box<dyn Steps>) {
    let next = place.clone();
    let timeout = Timeout::new(delay_ms, move || {
        if !steps.may_go_on() {
            return do_later(&next, WAIT_MS, steps);
        }
        let until = milliseconds_now() + SLICE_MS;
        while steps.step() {
            if milliseconds_now() >= until {
                return do_later(&next, 0, steps);
            }
        }
        steps.done();
    });
    *place.borrow_mut() = timeout;
}
