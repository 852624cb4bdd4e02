//! Handing the program out: as a file in place, as a download, as a link; and taking it from a link.
//!
//! Invariant: the person is told where the program went, or why it went nowhere.

use crate::above::Above;
use crate::opening::Opener;
use crate::platform::in_place::{self, ChosenFile};
use crate::platform::link::{self, Fragment};
use crate::platform::promise::{call, get, then};
use crate::platform::{clock, files, window};
use lampwright_editor::Action;
use lampwright_formats::{write_pattern, write_program};
use wasm_bindgen::JsValue;

/// Hands the program out as a download.
pub(crate) fn save_copy(opener: &Opener) {
    let editor = opener.dispatch.live.editor();
    let program = editor.committed_program();
    match files::download(&files::file_name(&program.name), &write_program(program)) {
        Ok(()) => opener.keeper.note_file(editor.revision()),
        Err(reason) => opener.dispatch.send(Action::SaveFailed { reason }),
    }
}

/// Hands the open pattern out as a file of its own, which the library reads.
pub(crate) fn export_pattern(opener: &Opener) {
    let editor = opener.dispatch.live.editor();
    let Some(pattern) = editor.open_pattern() else {
        return;
    };
    let name = files::file_name(&pattern.label);
    let words = match files::download(&name, &write_pattern(pattern, "")) {
        Ok(()) => format!("Exported as {name}, which the pattern library imports"),
        Err(reason) => format!("{} was not exported: {reason}", pattern.label),
    };
    opener.keeper.tell(words);
}

/// Saves the program in the file it was saved in before, or in one to be chosen; as a download where files cannot be written in place.
pub(crate) fn save_file(opener: &Opener) {
    if let Some(file) = opener.keeper.file.borrow().clone() {
        return write_file(opener, file);
    }
    if !in_place::is_offered() {
        return save_copy(opener);
    }
    let opener = opener.clone();
    let editor = opener.dispatch.live.editor();
    // A file that was opened most likely goes back to where it came from.
    let name = match editor.file_name().filter(|name| name.ends_with(".json")) {
        Some(name) => name.to_owned(),
        None => files::file_name(&editor.committed_program().name),
    };
    in_place::choose(&name, move |file| {
        if let Some(file) = file {
            *opener.keeper.file.borrow_mut() = Some(file.clone());
            write_file(&opener, file);
        }
    });
}

fn write_file(opener: &Opener, file: ChosenFile) {
    let editor = opener.dispatch.live.editor();
    let text = write_program(editor.committed_program());
    let (opener, name) = (opener.clone(), file.name());
    file.write(&text, move |is_written| {
        let keeper = &opener.keeper;
        if is_written {
            keeper.note_file(editor.revision());
            keeper.say_saved(format!("Saved in {name} {}", clock::time_of_day()));
        } else {
            // The next time another file can be chosen.
            keeper.file.take();
            keeper.tell(format!(
                "{name} could not be written: save the file again in another place, or save a copy"
            ));
        }
    });
}

/// Copies a link that carries the program, or shows it where copying is refused.
pub(crate) fn copy_link(opener: &Opener) {
    let editor = opener.dispatch.live.editor();
    let text = write_program(editor.committed_program());
    let opener = opener.clone();
    link::with_text(&text, move |address| {
        let address = match address {
            Ok(address) => address,
            Err(n_bytes) => {
                return opener.keeper.tell(format!(
                    "No link was made: it would take {} kB, at most {} kB are passed on safely; save a copy as a file instead",
                    n_bytes.div_ceil(1024),
                    link::MOST_BYTES / 1024
                ));
            }
        };
        let copied = window()
            .ok_or(JsValue::NULL)
            .and_then(|window| get(&window, "navigator"))
            .and_then(|navigator| get(&navigator, "clipboard"))
            .and_then(|clipboard| call(&clipboard, "writeText", &[JsValue::from_str(&address)]));
        then(copied, move |copied| {
            if copied.is_ok() {
                opener.keeper.tell(format!(
                    "Link copied, {} kB: it carries the program as it is now, and whoever has the link can read it",
                    address.len().div_ceil(1024)
                ));
            } else {
                opener.above.emit(Above::Link(address));
            }
        });
    });
}

/// Opens the program that the address of the page carries, if it carries one.
pub(crate) fn open_link(opener: &Opener) {
    let words = match link::fragment() {
        Fragment::Nothing => return,
        Fragment::Packed(packed) => {
            let opener = opener.clone();
            let take = move |bytes: Option<Vec<u8>>| {
                match bytes {
                Some(bytes) => opener.named("program of the link".into(), &bytes),
                None => opener.keeper.tell(
                    "The program in the link is damaged, or this browser cannot unpack it: ask for the link again, or for a file".into(),
                ),
            }
            };
            link::unpack(&packed, Box::new(take));
            return link::clear();
        }
        Fragment::TooLong => format!(
            "The program in the link is longer than {} kB and was not read: ask for a file",
            link::MOST_BYTES / 1024
        ),
        Fragment::Unknown(hash) => {
            format!("{hash} at the end of the address is no program: nothing was opened from it")
        }
    };
    opener.keeper.tell(words);
}
