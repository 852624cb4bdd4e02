//! What the person asked of the whole system, less motion and larger text, and of this page, dark or light.

use super::listen::Listener;
use super::{document, window};
use std::rc::Rc;

const REDUCED: &str = "(prefers-reduced-motion: reduce)";

/// Whether the system asks for less motion.
pub(crate) fn is_motion_reduced() -> bool {
    window()
        .and_then(|window| window.match_media(REDUCED).ok().flatten())
        .is_some_and(|list| list.matches())
}

/// Size of the page's text where nobody asks for another, in CSS pixels: what the style sheet says of the root element.
const USUAL_TEXT_PX: f64 = 14.0;

/// How many times its usual size the page's text has, from half to four times.
pub(crate) fn text_scale() -> f64 {
    window()
        .zip(document().and_then(|document| document.document_element()))
        .and_then(|(window, root)| window.get_computed_style(&root).ok().flatten())
        .and_then(|style| style.get_property_value("font-size").ok())
        .map(|size| js_sys::parse_float(&size) / USUAL_TEXT_PX)
        .filter(|scale| scale.is_finite())
        .map_or(1.0, |scale| scale.clamp(0.5, 4.0))
}

/// Puts the theme on the root element, where the style sheet looks for it.
pub(crate) fn show_theme(is_light: bool) {
    if let Some(root) = document().and_then(|document| document.document_element()) {
        let _ = root.set_attribute("data-theme", if is_light { "light" } else { "dark" });
    }
}

/// What changes the colors of the page without a word from the person.
const COLORS: [&str; 2] = ["(forced-colors: active)", "(prefers-contrast: more)"];

/// Puts the key of the open program on the root element, where it is found when the app has stopped.
pub(crate) fn name_slot(slot: &str) {
    if let Some(root) = document().and_then(|document| document.document_element()) {
        let _ = root.set_attribute("data-slot", slot);
    }
}

/// Calls back whenever the system's wish for other colors changes, until dropped.
pub(crate) fn on_colors_change(callback: &Rc<dyn Fn()>) -> Vec<Listener> {
    COLORS
        .into_iter()
        .filter_map(|query| {
            let list = window()?.match_media(query).ok().flatten()?;
            let callback = callback.clone();
            Some(Listener::new(&list, "change", move |_| callback()))
        })
        .collect()
}

/// Calls back whenever the system's wish for less motion changes, until dropped.
pub(crate) fn on_motion_change(callback: impl Fn(bool) + 'static) -> Option<Listener> {
    let list = window()?.match_media(REDUCED).ok().flatten()?;
    let watched = list.clone();
    Some(Listener::new(&list, "change", move |_| {
        callback(watched.matches());
    }))
}
