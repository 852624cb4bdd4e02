//! Reading files a person picked or dropped, and handing files back as downloads.
//!
//! Invariant: a file goes from the disk to the page and back; nothing is sent anywhere.

use super::document;
use lampwright_analysis::fixed;
use wasm_bindgen::JsCast;
use wasm_bindgen::JsValue;
use wasm_bindgen::closure::Closure;
use web_sys::{Blob, BlobPropertyBag, Event, File, FileReader, HtmlAnchorElement, Url};

/// Reads a file and calls back with its name and its bytes, or what went wrong.
pub(crate) fn read(
    file: &File,
    most_bytes: usize,
    done: impl FnOnce(String, Result<Vec<u8>, String>) + 'static,
) {
    read_boxed(file, most_bytes, Box::new(done));
}

/// Called with a name and the bytes, or with what went wrong.
type Done = Box<dyn FnOnce(String, Result<Vec<u8>, String>)>;

/// The same, compiled once for all that is done afterwards.
fn read_boxed(file: &File, most_bytes: usize, done: Done) {
    let name = file.name();
    #[expect(clippy::cast_precision_loss, reason = "a size for a message")]
    let most = most_bytes as f64;
    if file.size() > most {
        let found = format!(
            "{} MB, at most {} MB wanted",
            fixed(file.size() / 1e6, 0),
            fixed(most / 1e6, 0)
        );
        done(name, Err(found));
        return;
    }
    let Ok(reader) = FileReader::new() else {
        done(name, Err("this browser cannot read files".into()));
        return;
    };
    let ended = reader.clone();
    let callback = Closure::once_into_js(move |_: Event| {
        let bytes = ended
            .result()
            .ok()
            .and_then(|value| value.dyn_into::<js_sys::ArrayBuffer>().ok())
            .map(|buffer| js_sys::Uint8Array::new(&buffer).to_vec())
            .ok_or_else(|| {
                "nothing that can be read: a folder, or a file that is no longer there".to_owned()
            });
        done(name, bytes);
    });
    reader.set_onloadend(callback.dyn_ref());
    // A failure to start is reported through the same event.
    let _ = reader.read_as_array_buffer(file);
}

/// Offers a text as a download under a file name.
///
/// # Errors
/// When the browser refuses; the text says so.
pub(crate) fn download(name: &str, text: &str) -> Result<(), String> {
    let attempt = || -> Result<(), JsValue> {
        let options = BlobPropertyBag::new();
        options.set_type(if name.ends_with(".json") {
            "application/json"
        } else {
            "text/plain"
        });
        let parts = js_sys::Array::of1(&JsValue::from_str(text));
        let blob = Blob::new_with_str_sequence_and_options(&parts, &options)?;
        let address = Url::create_object_url_with_blob(&blob)?;
        let document = document().ok_or(JsValue::NULL)?;
        let anchor: HtmlAnchorElement = document.create_element("a")?.dyn_into()?;
        anchor.set_href(&address);
        anchor.set_download(name);
        anchor.click();
        // Kept long enough for the download to start.
        if let Some(timeout) = super::clock::Timeout::new(60_000, move || {
            let _ = Url::revoke_object_url(&address);
        }) {
            std::mem::forget(timeout);
        }
        Ok(())
    };
    attempt().map_err(|_| "this browser refused the download".to_owned())
}

/// A file name from a title: letters, digits and hyphens.
pub(crate) fn file_name(title: &str) -> String {
    let mut name = String::new();
    for letter in super::lower(title).chars() {
        // Beyond ASCII everything but space counts as a letter: the tables of letters weigh kilobytes.
        let is_letter =
            letter.is_ascii_alphanumeric() || (letter > '\u{a0}' && !letter.is_whitespace());
        if is_letter {
            name.push(letter);
        } else if !name.is_empty() && !name.ends_with('-') {
            name.push('-');
        }
    }
    let name = name.trim_end_matches('-');
    let name = if name.is_empty() { "program" } else { name };
    format!("{name}.json")
}
