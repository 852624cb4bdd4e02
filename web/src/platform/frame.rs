//! Animation frames: one loop that can be cancelled.
//!
//! Invariant: after the loop is dropped its callback never runs again.

use super::window;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

type Step = Closure<dyn FnMut(f64)>;

/// Calls back before every repaint until it is dropped.
pub(crate) struct FrameLoop {
    handle: Rc<Cell<i32>>,
    step: Rc<RefCell<Option<Step>>>,
}

impl FrameLoop {
    /// Starts the loop; the callback gets the frame's time in milliseconds.
    pub(crate) fn new(callback: impl FnMut(f64) + 'static) -> Self {
        Self::boxed(Box::new(callback))
    }

    /// The same, compiled once for all that is called back.
    fn boxed(mut callback: Box<dyn FnMut(f64)>) -> Self {
        let handle = Rc::new(Cell::new(0));
        let step: Rc<RefCell<Option<Step>>> = Rc::new(RefCell::new(None));
        let (next_handle, next_step) = (handle.clone(), step.clone());
        *step.borrow_mut() = Some(Closure::new(move |time_ms: f64| {
            // Asked for before the work, so that a callback that drops the loop cancels this one too.
            next_handle.set(next_step.borrow().as_ref().map_or(0, request));
            callback(time_ms);
        }));
        handle.set(step.borrow().as_ref().map_or(0, request));
        Self { handle, step }
    }
}

impl Drop for FrameLoop {
    fn drop(&mut self) {
        if let Some(window) = window() {
            let _ = window.cancel_animation_frame(self.handle.get());
        }
        // Breaks the cycle between the closure and the cell that holds it, but not from within itself.
        let step = self.step.clone();
        wasm_bindgen::prelude::Closure::once_into_js(move || drop(step.borrow_mut().take()))
            .dyn_ref::<js_sys::Function>()
            .and_then(|function| {
                window()?
                    .set_timeout_with_callback_and_timeout_and_arguments_0(function, 0)
                    .ok()
            });
    }
}

fn request(step: &Step) -> i32 {
    window()
        .and_then(|window| {
            window
                .request_animation_frame(step.as_ref().unchecked_ref())
                .ok()
        })
        .unwrap_or(0)
}
