//! Event listeners that are taken off when they are dropped.
//!
//! Invariant: a listener never outlives its owner, so no callback runs for a component that is gone.

use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{AddEventListenerOptions, Event, EventTarget};

/// One attached listener.
pub(crate) struct Listener {
    target: EventTarget,
    kind: &'static str,
    is_capturing: bool,
    callback: Closure<dyn FnMut(Event)>,
}

impl Listener {
    /// Calls `callback` for every event of a kind at the target.
    pub(crate) fn new(
        target: &EventTarget,
        kind: &'static str,
        callback: impl FnMut(Event) + 'static,
    ) -> Self {
        Self::attach(target, kind, false, Box::new(callback))
    }

    /// The same, before any element inside the target sees the event.
    pub(crate) fn capturing(
        target: &EventTarget,
        kind: &'static str,
        callback: impl FnMut(Event) + 'static,
    ) -> Self {
        Self::attach(target, kind, true, Box::new(callback))
    }

    /// The same with the event as its own type; events of another type are passed over.
    pub(crate) fn typed<E: JsCast>(
        target: &EventTarget,
        kind: &'static str,
        mut callback: impl FnMut(E) + 'static,
    ) -> Self {
        let callback = move |event: Event| {
            if let Ok(event) = event.dyn_into::<E>() {
                callback(event);
            }
        };
        Self::attach(target, kind, false, Box::new(callback))
    }

    fn attach(
        target: &EventTarget,
        kind: &'static str,
        is_capturing: bool,
        callback: Box<dyn FnMut(Event)>,
    ) -> Self {
        let callback = Closure::wrap(callback);
        let options = AddEventListenerOptions::new();
        options.set_capture(is_capturing);
        // Wheel events of a canvas must be cancellable, or the page would scroll under the zoom.
        options.set_passive(false);
        let listener = Self {
            target: target.clone(),
            kind,
            is_capturing,
            callback,
        };
        // Attaching fails for no target that exists.
        let _ = listener
            .target
            .add_event_listener_with_callback_and_add_event_listener_options(
                kind,
                listener.callback.as_ref().unchecked_ref(),
                &options,
            );
        listener
    }
}

impl Drop for Listener {
    fn drop(&mut self) {
        let _ = self.target.remove_event_listener_with_callback_and_bool(
            self.kind,
            self.callback.as_ref().unchecked_ref(),
            self.is_capturing,
        );
    }
}
