//! What the app weighs on the way to a browser.
//!
//! Invariant: the figure compared with the budget is the compressed WebAssembly plus the
//! compressed JavaScript, at the highest brotli quality, as a static host would send them, of all
//! that a browser loads to show a program and edit its patterns.
//! What is loaded when another view or a dialog is opened first is weighed and printed apart.
//! Absent: pages, styles and icons, which the budget does not count.

use std::path::Path;

use crate::bundle::LATER_PART;
use crate::process::Problem;

/// Most bytes of compressed WebAssembly and JavaScript: 400 kB, the project's own budget.
pub(crate) const BUDGET_BYTES: usize = 400_000;

/// Where the tests draw the line for all parts together: what is loaded later must not grow unseen either.
pub(crate) const CEILING_BYTES: usize = 540_000;

/// Sizes of the files that make up the app, in bytes.
#[derive(Debug)]
pub(crate) struct Sizes {
    parts: Vec<Part>,
}

#[derive(Debug)]
struct Part {
    name: String,
    raw_bytes: usize,
    compressed_bytes: usize,
}

impl Sizes {
    /// Weighs every `.wasm` and `.js` file directly in a folder.
    pub(crate) fn of_folder(folder: &Path) -> Result<Self, Problem> {
        let failed = |error: std::io::Error| Problem::file(folder, &error);
        let mut parts = Vec::new();
        for entry in std::fs::read_dir(folder).map_err(failed)? {
            let path = entry.map_err(failed)?.path();
            let is_counted = path
                .extension()
                .is_some_and(|extension| extension == "wasm" || extension == "js");
            if !is_counted {
                continue;
            }
            let bytes = std::fs::read(&path).map_err(|error| Problem::file(&path, &error))?;
            parts.push(Part {
                name: path
                    .file_name()
                    .map(|name| name.to_string_lossy().into_owned())
                    .unwrap_or_default(),
                raw_bytes: bytes.len(),
                compressed_bytes: compressed_len(&bytes)?,
            });
        }
        parts.sort_by(|left, right| left.name.cmp(&right.name));
        Ok(Self { parts })
    }

    /// Compressed bytes of what is loaded to begin with.
    pub(crate) fn first_bytes(&self) -> usize {
        self.bytes_of(|part| part.name != LATER_PART)
    }

    /// Compressed bytes of all parts.
    pub(crate) fn total_bytes(&self) -> usize {
        self.bytes_of(|_| true)
    }

    fn bytes_of(&self, is_counted: impl Fn(&Part) -> bool) -> usize {
        let counted = self.parts.iter().filter(|part| is_counted(part));
        counted.map(|part| part.compressed_bytes).sum()
    }

    /// Prints a line per part and the total against the budget.
    pub(crate) fn print(&self) {
        for part in &self.parts {
            println!(
                "size: {:<24} {:>9} bytes, {:>8} with brotli",
                part.name, part.raw_bytes, part.compressed_bytes
            );
        }
        println!(
            "size: to begin with {} of {BUDGET_BYTES} bytes with brotli, {:.0} %",
            self.first_bytes(),
            self.ratio() * 100.0
        );
        println!(
            "size: {LATER_PART} is loaded when another view or a dialog is opened; all parts {} of {CEILING_BYTES} bytes",
            self.total_bytes()
        );
    }

    /// What is loaded to begin with as a share of the budget.
    pub(crate) fn ratio(&self) -> f64 {
        self.first_bytes() as f64 / BUDGET_BYTES as f64
    }

    /// A problem if the app is over its budget, if all parts are over the ceiling, or if there is nothing to weigh.
    pub(crate) fn check(&self) -> Result<(), Problem> {
        if !self.parts.iter().any(|part| part.name.ends_with(".wasm")) {
            return Err(Problem::new(
                "there is no WebAssembly to weigh",
                "build the app first with `cargo xtask build`",
            ));
        }
        let over = [
            (
                "what is loaded to begin with",
                self.first_bytes(),
                BUDGET_BYTES,
            ),
            ("all of the app", self.total_bytes(), CEILING_BYTES),
        ]
        .into_iter()
        .find(|(_, found, most)| found > most);
        if let Some((what, found, most)) = over {
            return Err(Problem::new(
                format!("{what} weighs {found} bytes with brotli, at most {most} are allowed"),
                "find what was added with `cargo tree -p lampwright-web -e normal`, and leave it out",
            ));
        }
        Ok(())
    }
}

fn compressed_len(bytes: &[u8]) -> Result<usize, Problem> {
    let mut compressed = Vec::new();
    let parameters = brotli::enc::BrotliEncoderParams {
        quality: 11,
        lgwin: 22,
        size_hint: bytes.len(),
        ..Default::default()
    };
    brotli::BrotliCompress(&mut &bytes[..], &mut compressed, &parameters)
        .map_err(|error| Problem::new(format!("brotli: {error}"), "report this as a fault"))?;
    Ok(compressed.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sizes(name: &str, compressed_bytes: usize) -> Sizes {
        Sizes {
            parts: vec![Part {
                name: name.into(),
                raw_bytes: compressed_bytes,
                compressed_bytes,
            }],
        }
    }

    #[test]
    fn the_limits_themselves_are_allowed_and_one_byte_more_is_not() {
        assert!(sizes("app.wasm", BUDGET_BYTES).check().is_ok());
        assert!(sizes("app.wasm", BUDGET_BYTES + 1).check().is_err());
        let both = |later_bytes| {
            let mut sizes = sizes("app.wasm", BUDGET_BYTES);
            sizes.parts.push(Part {
                name: LATER_PART.into(),
                raw_bytes: later_bytes,
                compressed_bytes: later_bytes,
            });
            sizes
        };
        assert_eq!(both(5).first_bytes(), BUDGET_BYTES);
        assert!(both(CEILING_BYTES - BUDGET_BYTES).check().is_ok());
        assert!(both(CEILING_BYTES - BUDGET_BYTES + 1).check().is_err());
    }

    #[test]
    fn nothing_to_weigh_is_not_a_pass() {
        assert!(sizes("app.js", 10).check().is_err());
    }

    #[test]
    fn repetition_compresses() {
        assert!(compressed_len(&[7; 10_000]).is_ok_and(|length| length < 100));
    }
}
