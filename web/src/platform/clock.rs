//! What time it is, and calling back later.
//!
//! Absent: dates in anything that is analyzed; the wall clock is only ever shown.

use super::window;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

/// Milliseconds since a fixed instant, for telling how long something takes.
pub(crate) fn milliseconds_now() -> f64 {
    js_sys::Date::now()
}

/// The time of day where the user is, `14:02:11`.
pub(crate) fn time_of_day() -> String {
    let now = js_sys::Date::new_0();
    format!(
        "{:02}:{:02}:{:02}",
        now.get_hours(),
        now.get_minutes(),
        now.get_seconds()
    )
}

/// Today and the time of day, `2026-03-09 14:02:11`; sorts by age.
pub(crate) fn date_and_time() -> String {
    let now = js_sys::Date::new_0();
    format!(
        "{:04}-{:02}-{:02} {}",
        now.get_full_year(),
        now.get_month() + 1,
        now.get_date(),
        time_of_day()
    )
}

/// Today, `2026-03-09`.
pub(crate) fn today() -> String {
    let mut text = date_and_time();
    text.truncate(10);
    text
}

/// A call that is still to come; dropping it cancels it.
pub(crate) struct Timeout {
    handle: i32,
    _callback: Closure<dyn FnMut()>,
}

impl Timeout {
    /// Calls back once after some milliseconds.
    pub(crate) fn new(delay_ms: i32, callback: impl FnOnce() + 'static) -> Option<Self> {
        Self::boxed(delay_ms, Box::new(callback))
    }

    /// The same, compiled once for all that is called back.
    fn boxed(delay_ms: i32, callback: Box<dyn FnOnce()>) -> Option<Self> {
        let callback = Closure::once(callback);
        let handle = window()?
            .set_timeout_with_callback_and_timeout_and_arguments_0(
                callback.as_ref().unchecked_ref(),
                delay_ms,
            )
            .ok()?;
        Some(Self {
            handle,
            _callback: callback,
        })
    }
}

impl Drop for Timeout {
    fn drop(&mut self) {
        if let Some(window) = window() {
            window.clear_timeout_with_handle(self.handle);
        }
    }
}
