//! Files written in place, where the browser has it.
//!
//! Invariant: only a file the person chose is written, and the browser asks them for leave itself.

use super::promise::{Outcome, call, get, then};
use super::window;
use wasm_bindgen::JsValue;

/// A file the person chose, for as long as the page lives.
#[derive(Clone, Debug)]
pub(crate) struct ChosenFile(JsValue);

impl ChosenFile {
    /// Its name.
    pub(crate) fn name(&self) -> String {
        let name = get(&self.0, "name").ok();
        name.and_then(|name| name.as_string()).unwrap_or_default()
    }

    /// Replaces what is in it, and calls back with whether that was done; what was there stays until all is written.
    pub(crate) fn write(&self, text: &str, done: impl FnOnce(bool) + 'static) {
        let text = JsValue::from_str(text);
        then(call(&self.0, "createWritable", &[]), move |stream| {
            let Ok(stream) = stream else {
                return done(false);
            };
            then(call(&stream, "write", &[text]), move |written| {
                if written.is_err() {
                    return done(false);
                }
                then(call(&stream, "close", &[]), move |closed| {
                    done(closed.is_ok())
                });
            });
        });
    }
}

/// Whether the browser can write files in place.
pub(crate) fn is_offered() -> bool {
    window().is_some_and(|window| {
        get(&window, "showSaveFilePicker").is_ok_and(|picker| picker.is_function())
    })
}

/// Lets the person choose a file to write, and calls back with it; none when they choose none.
pub(crate) fn choose(name: &str, done: impl FnOnce(Option<ChosenFile>) + 'static) {
    let pick = || -> Outcome {
        let window = window().ok_or(JsValue::NULL)?;
        let name = String::from(js_sys::JSON::stringify(&JsValue::from_str(name))?);
        let options = js_sys::JSON::parse(&format!(
            "{{\"suggestedName\":{name},\"types\":[{{\"accept\":{{\"application/json\":[\".json\"]}}}}]}}"
        ))?;
        call(&window, "showSaveFilePicker", &[options])
    };
    then(pick(), move |file| done(file.ok().map(ChosenFile)));
}
