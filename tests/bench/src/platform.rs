//! What the app's painter asks of the page, by the names it has in the app.

/// The window this page runs in.
pub(crate) fn window() -> Option<web_sys::Window> {
    web_sys::window()
}

/// The document of the page.
pub(crate) fn document() -> Option<web_sys::Document> {
    window()?.document()
}

/// What the person asked of the whole system.
pub(crate) mod preferences {
    /// Text of its usual size.
    pub(crate) fn text_scale() -> f64 {
        1.0
    }
}
