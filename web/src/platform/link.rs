//! Texts in the fragment of the page's address, which never leaves the browser with a request.
//!
//! Invariant: a fragment that is too long is neither made nor read.

use super::promise::{Outcome, call, get, make, then};
use super::window;
use js_sys::Uint8Array;
use wasm_bindgen::JsValue;

/// Longest fragment, in bytes: what mail programs and message services are known to pass on varies, and this is our proposal.
pub(crate) const MOST_BYTES: usize = 32 * 1024;

const MARK: &str = "#program=";
/// The letters of base64 that need no escape in an address: RFC 4648, section 5.
const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

/// Called with the bytes, or with none where there are none to be had.
type Done = Box<dyn FnOnce(Option<Vec<u8>>)>;

/// What the address of the page carries.
pub(crate) enum Fragment {
    /// Nothing.
    Nothing,
    /// What is no text of ours.
    Unknown(String),
    /// More than is read.
    TooLong,
    /// A packed text.
    Packed(String),
}

/// What the address of the page carries now.
pub(crate) fn fragment() -> Fragment {
    let hash = location("hash");
    match hash.strip_prefix(MARK) {
        _ if hash.is_empty() => Fragment::Nothing,
        Some(packed) if packed.len() > MOST_BYTES => Fragment::TooLong,
        Some(packed) => Fragment::Packed(packed.to_owned()),
        None => Fragment::Unknown(hash.chars().take(40).collect()),
    }
}

/// Takes the fragment off the address, so that it is read once.
pub(crate) fn clear() {
    let address = location("pathname") + &location("search");
    let history = window()
        .ok_or(JsValue::NULL)
        .and_then(|window| get(&window, "history"));
    // Where it is refused, the same text is read again with the next visit and found kept already.
    let _ = history.and_then(|history| {
        call(
            &history,
            "replaceState",
            &[
                JsValue::NULL,
                JsValue::from_str(""),
                JsValue::from_str(&address),
            ],
        )
    });
}

/// Makes an address that carries a text, and calls back with it, or with the length that is too long, in bytes.
pub(crate) fn with_text(text: &str, done: impl FnOnce(Result<String, usize>) + 'static) {
    let plain = text.as_bytes().to_vec();
    let finish = move |packed: Option<Vec<u8>>| {
        let packed = match packed {
            Some(packed) => format!("d{}", encoded(&packed)),
            None => format!("p{}", encoded(&plain)),
        };
        let address = location("href");
        let page = address.split('#').next().unwrap_or_default();
        done(if packed.len() > MOST_BYTES {
            Err(packed.len())
        } else {
            Ok(format!("{page}{MARK}{packed}"))
        });
    };
    pump("CompressionStream", text.as_bytes(), Box::new(finish));
}

/// Reads a packed text, and calls back with its bytes; none when it is damaged or the browser cannot read it.
pub(crate) fn unpack(packed: &str, done: Done) {
    let bytes = packed.get(1..).and_then(decoded);
    match (packed.as_bytes().first(), bytes) {
        (Some(b'd'), Some(bytes)) => pump("DecompressionStream", &bytes, done),
        (Some(b'p'), bytes) => done(bytes),
        _ => done(None),
    }
}

/// Puts bytes through one of the browser's streams, in the format of RFC 1951.
fn pump(stream: &str, bytes: &[u8], done: Done) {
    let through = || -> Outcome {
        let body = get(
            &make("Response", &[Uint8Array::from(bytes).into()])?,
            "body",
        )?;
        let stream = make(stream, &[JsValue::from_str("deflate-raw")])?;
        let result = make("Response", &[call(&body, "pipeThrough", &[stream])?])?;
        call(&result, "arrayBuffer", &[])
    };
    then(through(), move |result| {
        done(result.ok().map(|buffer| Uint8Array::new(&buffer).to_vec()));
    });
}

fn location(part: &str) -> String {
    window()
        .and_then(|window| get(&window, "location").ok())
        .and_then(|location| get(&location, part).ok())
        .and_then(|value| value.as_string())
        .unwrap_or_default()
}

/// Bytes in the letters of base64, without padding.
fn encoded(bytes: &[u8]) -> String {
    let mut text = String::new();
    for group in bytes.chunks(3) {
        let bits = group.iter().enumerate().fold(0_u32, |bits, (index, byte)| {
            bits | u32::from(*byte) << (16 - 8 * index)
        });
        for index in 0..=group.len() {
            let letter = (bits >> (18 - 6 * index)) & 63;
            text.push(char::from(
                LETTERS.get(letter as usize).copied().unwrap_or_default(),
            ));
        }
    }
    text
}

/// The bytes again; none when there is another letter.
fn decoded(text: &str) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    for group in text.as_bytes().chunks(4) {
        let mut bits = 0_u32;
        for (index, letter) in group.iter().enumerate() {
            let value = LETTERS.iter().position(|known| known == letter)?;
            bits |= u32::try_from(value).ok()? << (18 - 6 * index);
        }
        let [_, first, second, third] = bits.to_be_bytes();
        bytes.extend([first, second, third].iter().take(group.len() - 1));
    }
    Some(bytes)
}
