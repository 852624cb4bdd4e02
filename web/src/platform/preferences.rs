//! What the person asked of the whole system, less motion, and of this page, dark or light.

use super::{document, window};

const REDUCED: &str = "(prefers-reduced-motion: reduce)";

/// Whether the system asks for less motion.
pub(crate) fn is_motion_reduced() -> bool {
    window()
        .and_then(|window| window.match_media(REDUCED).ok().flatten())
        .is_some_and(|list| list.matches())
}

/// Puts the theme on the root element, where the style sheet looks for it.
pub(crate) fn show_theme(is_light: bool) {
    if let Some(root) = document().and_then(|document| document.document_element()) {
        let _ = root.set_attribute("data-theme", if is_light { "light" } else { "dark" });
    }
}

/// Calls back whenever the system's wish for less motion changes, until dropped.
pub(crate) fn on_motion_change(
    callback: impl Fn(bool) + 'static,
) -> Option<super::listen::Listener> {
    let list = window()?.match_media(REDUCED).ok().flatten()?;
    let watched = list.clone();
    Some(super::listen::Listener::new(&list, "change", move |_| {
        callback(watched.matches());
    }))
}
