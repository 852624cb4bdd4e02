//! The browser behind small plain functions: storage, files, animation frames, clock, preferences.
//!
//! Invariant: nothing here knows what a lamp is, and nothing here sends anything anywhere: the one request is for a file of the app itself.

use wasm_bindgen::JsCast as _;

pub(crate) mod beside;
pub(crate) mod clock;
pub(crate) mod files;
pub(crate) mod frame;
pub(crate) mod in_place;
pub(crate) mod link;
pub(crate) mod listen;
pub(crate) mod preferences;
pub(crate) mod promise;
pub(crate) mod storage;

/// The window this page runs in; the app is never started outside one.
pub(crate) fn window() -> Option<web_sys::Window> {
    web_sys::window()
}

/// The document of the page.
pub(crate) fn document() -> Option<web_sys::Document> {
    window()?.document()
}

/// The element with an identifier, as the wanted type.
pub(crate) fn element<T: wasm_bindgen::JsCast>(id: &str) -> Option<T> {
    document()?.get_element_by_id(id)?.dyn_into().ok()
}

/// A text in lower case, by the browser's own tables of letters.
pub(crate) fn lower(text: &str) -> String {
    js_sys::JsString::from(text).to_lower_case().into()
}
