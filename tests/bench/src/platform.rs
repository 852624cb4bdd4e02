//! What the app's painter asks of the page, by the names it has in the app.

/// The window this page runs in.
pub(crate) fn window() -> Option<web_sys::Window> {
    web_sys::window()
}

/// The document of the page.
pub(crate) fn document() -> Option<web_sys::Document> {
    window()?.document()
}
