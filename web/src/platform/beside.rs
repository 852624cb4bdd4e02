//! Files that come with the app but are read only when they are asked for.
//!
//! Invariant: a path is one of this page's own, and nothing is sent with the request; in the one-file page the texts stand in the page itself and there is no request at all.
//! Absent: remembering; the browser keeps what it has read.

use super::{document, window};
use wasm_bindgen::JsCast as _;
use wasm_bindgen::closure::Closure;
use web_sys::{Event, XmlHttpRequest};

/// What to do about a file that does not come.
const REMEDY: &str = "it could not be loaded; check that the place this page comes from can be reached, and open it again";

/// Reads the text of a file beside the page and calls back with it, or with what went wrong.
pub(crate) fn read(path: &str, done: impl FnOnce(Result<String, String>) + 'static) {
    read_boxed(path, Box::new(done));
}

/// The same, compiled once for all that is done afterwards.
fn read_boxed(path: &str, done: Box<dyn FnOnce(Result<String, String>)>) {
    let within = document()
        .and_then(|document| document.get_element_by_id(&format!("file:{path}")))
        .and_then(|element| element.text_content());
    if let Some(text) = within {
        done(Ok(text));
        return;
    }
    let Some(request) = window().and_then(|_| XmlHttpRequest::new().ok()) else {
        done(Err(REMEDY.into()));
        return;
    };
    let ended = request.clone();
    let callback = Closure::once_into_js(move |_: Event| {
        let text = (ended.status() == Ok(200))
            .then(|| ended.response_text().ok().flatten())
            .flatten();
        done(text.ok_or_else(|| REMEDY.into()));
    });
    request.set_onloadend(callback.dyn_ref());
    // A failure to start is told by the same event.
    if request.open("GET", path).is_ok() {
        let _ = request.send();
    }
}
