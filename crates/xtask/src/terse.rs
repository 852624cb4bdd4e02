//! Shorter names between the generated JavaScript and WebAssembly, and none for what only a debugger asks about.
//!
//! The generator ends the name of each import with 16 random digits, in both files; nothing compresses them, and together they weigh several kilobytes on the way to a browser.
//!
//! Invariant: both files name the same imports in the same order as before; when they do not fit each other, nothing is written.
//! Absent: shortening anything else than the names, the custom sections and the space around lines.

use crate::bundle::LATER;
use crate::process::Problem;

/// A section that nothing is run by: names of functions, and what the module was made with.
const CUSTOM: u8 = 0;

/// The section of imports.
const IMPORTS: u8 = 2;

/// Bytes before the first section.
const HEADER: usize = 8;

/// The script and the module with short names.
pub(crate) fn shortened(script: &str, module: &[u8]) -> Result<(String, Vec<u8>), Problem> {
    let (module, names) = renamed(module).ok_or_else(|| unfit("the WebAssembly is cut off"))?;
    let mut text = String::with_capacity(script.len());
    let mut n_found = 0;
    // Space in a text over several lines would mean something.
    let may_trim = script
        .lines()
        .all(|line| line.matches('`').count() % 2 == 0);
    for line in script.lines() {
        let trimmed = line.trim_start();
        let known = trimmed
            .split_once(": function(")
            .and_then(|(name, rest)| Some((names.iter().position(|known| known == name)?, rest)));
        if let Some((index, rest)) = known {
            n_found += 1;
            text.push_str(&format!("{}: function({rest}\n", short(index)));
        } else if !may_trim {
            text.push_str(line);
            text.push('\n');
        } else if !trimmed.is_empty() {
            text.push_str(trimmed);
            text.push('\n');
        }
    }
    if n_found == names.len() {
        Ok((text, module))
    } else {
        Err(unfit(&format!(
            "the WebAssembly imports {} names, the script gives {n_found} of them",
            names.len()
        )))
    }
}

/// The module without its custom sections, which the splitter leaves in the part it takes out; none when it is cut off.
pub(crate) fn nameless(module: &[u8]) -> Option<Vec<u8>> {
    let mut written = module.get(..HEADER)?.to_vec();
    let mut rest = module.get(HEADER..)?;
    while let Some((&kind, after)) = rest.split_first() {
        let (content, after) = take_bytes(after)?;
        rest = after;
        if kind != CUSTOM {
            written.push(kind);
            put_bytes(&mut written, content);
        }
    }
    Some(written)
}

fn unfit(what: &str) -> Problem {
    Problem::new(
        what,
        "check that wasm-bindgen and wasm-bindgen-cli-support have the same version",
    )
}

/// The module with short names of its imports, and the names they had.
fn renamed(module: &[u8]) -> Option<(Vec<u8>, Vec<String>)> {
    let mut names = Vec::new();
    let mut written = module.get(..HEADER)?.to_vec();
    let mut rest = module.get(HEADER..)?;
    while let Some((&kind, after)) = rest.split_first() {
        let (content, after) = take_bytes(after)?;
        rest = after;
        written.push(kind);
        if kind == IMPORTS {
            let content = renamed_imports(content, &mut names)?;
            put_bytes(&mut written, &content);
        } else {
            put_bytes(&mut written, content);
        }
    }
    Some((written, names))
}

fn renamed_imports(content: &[u8], names: &mut Vec<String>) -> Option<Vec<u8>> {
    let mut written = Vec::new();
    let (count, mut rest) = take_number(content)?;
    put_number(&mut written, count);
    for _ in 0..count {
        let (from, after) = take_bytes(rest)?;
        let (name, after) = take_bytes(after)?;
        let description = description_len(after)?;
        put_bytes(&mut written, from);
        // What the other part of the app is loaded by keeps the name it has there.
        if from.ends_with(LATER.as_bytes()) {
            put_bytes(&mut written, name);
        } else {
            put_bytes(&mut written, short(names.len()).as_bytes());
            names.push(String::from_utf8(name.to_vec()).ok()?);
        }
        written.extend_from_slice(after.get(..description)?);
        rest = after.get(description..)?;
    }
    rest.is_empty().then_some(written)
}

/// How many bytes describe what is imported; functions are all that the generator imports.
fn description_len(bytes: &[u8]) -> Option<usize> {
    let (&kind, after) = bytes.split_first()?;
    let (_, rest) = take_number(after)?;
    (kind == 0).then(|| bytes.len() - rest.len())
}

/// "a" to "z", "aa", "ab" and so on.
fn short(mut index: usize) -> String {
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(b'a' + (index % 26) as u8));
        index /= 26;
        if index == 0 {
            return letters.into_iter().rev().collect();
        }
        index -= 1;
    }
}

/// An unsigned number in groups of seven bits, lowest first.
fn take_number(bytes: &[u8]) -> Option<(usize, &[u8])> {
    let mut value = 0_usize;
    for (index, byte) in bytes.iter().take(5).enumerate() {
        value |= usize::from(byte & 127) << (7 * index);
        if byte & 128 == 0 {
            return Some((value, bytes.get(index + 1..)?));
        }
    }
    None
}

fn take_bytes(bytes: &[u8]) -> Option<(&[u8], &[u8])> {
    let (length, rest) = take_number(bytes)?;
    rest.split_at_checked(length)
}

fn put_number(written: &mut Vec<u8>, mut value: usize) {
    while value > 127 {
        written.push((value & 127) as u8 | 128);
        value >>= 7;
    }
    written.push(value as u8);
}

fn put_bytes(written: &mut Vec<u8>, bytes: &[u8]) {
    put_number(written, bytes.len());
    written.extend_from_slice(bytes);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A module that imports two functions of type 0, followed by a section of its own.
    fn module(names: [&str; 2]) -> Vec<u8> {
        let mut imports = vec![2];
        for name in names {
            put_bytes(&mut imports, b"./app.js");
            put_bytes(&mut imports, name.as_bytes());
            imports.extend([0, 0]);
        }
        let mut module = b"\0asm\x01\0\0\0".to_vec();
        module.push(IMPORTS);
        put_bytes(&mut module, &imports);
        module.push(11);
        put_bytes(&mut module, &[7; 300]);
        module
    }

    const LONG: [&str; 2] = [
        "__wbg_click_0123456789abcdef",
        "__wbg_blur_fedcba9876543210",
    ];

    #[test]
    fn names_are_the_same_on_both_sides_and_the_rest_stays() {
        let script = "const imports = {\n    __wbg_blur_fedcba9876543210: function(arg0) {\n    },\n\n    __wbg_click_0123456789abcdef: function() { return 1; },\n};\n";
        let (script, short) = shortened(script, &module(LONG)).expect("they fit");
        assert_eq!(short, module(["a", "b"]));
        assert_eq!(
            script,
            "const imports = {\nb: function(arg0) {\n},\na: function() { return 1; },\n};\n"
        );
    }

    #[test]
    fn a_script_without_one_of_the_names_is_refused() {
        let script = "const imports = {\n    __wbg_blur_fedcba9876543210: function(arg0) {\n";
        assert!(shortened(script, &module(LONG)).is_err());
    }

    #[test]
    fn space_within_a_text_of_several_lines_is_kept() {
        let script = "x(`one\n    two`);\n__wbg_blur_fedcba9876543210: function(\n__wbg_click_0123456789abcdef: function(\n";
        let (script, _) = shortened(script, &module(LONG)).expect("they fit");
        assert!(script.starts_with("x(`one\n    two`);\n"));
    }

    #[test]
    fn custom_sections_are_left_out_and_the_rest_stays() {
        let plain = module(LONG);
        let mut named = plain.clone();
        named.push(CUSTOM);
        put_bytes(&mut named, b"\x04name\x01\x02");
        assert_eq!(nameless(&named).as_deref(), Some(&*plain));
        named.pop();
        assert_eq!(nameless(&named), None);
    }

    #[test]
    fn a_module_that_is_cut_off_is_refused() {
        let whole = module(LONG);
        assert!(shortened("", whole.get(..40).expect("longer")).is_err());
    }

    #[test]
    fn short_names_are_all_different() {
        let names: std::collections::BTreeSet<String> = (0..1000).map(short).collect();
        assert_eq!(names.len(), 1000);
        assert_eq!((short(25), short(26)), ("z".into(), "aa".into()));
    }
}
