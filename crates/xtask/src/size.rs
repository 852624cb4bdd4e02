//! What the app weighs on the way to a browser.
//!
//! Invariant: the figure compared with the budget is the compressed WebAssembly plus the
//! compressed JavaScript, at the highest brotli quality, as a static host would send them.
//! Absent: pages, styles and icons, which the budget does not count.

use std::path::Path;

use crate::process::Problem;

/// Most bytes of compressed WebAssembly and JavaScript: 400 kB, the project's own budget.
pub(crate) const BUDGET_BYTES: usize = 400_000;

/// Where the tests draw the line while the app is over its budget: it must not grow further.
///
/// The whole rule book took the app past the budget; `cargo xtask bench` says so and fails.
/// Lower this with every saving, down to [`BUDGET_BYTES`].
pub(crate) const CEILING_BYTES: usize = 500_000;

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

    /// Compressed bytes of all parts.
    pub(crate) fn total_bytes(&self) -> usize {
        self.parts.iter().map(|part| part.compressed_bytes).sum()
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
            "size: total {} of {BUDGET_BYTES} bytes with brotli, {:.0} %",
            self.total_bytes(),
            self.ratio() * 100.0
        );
        if self.total_bytes() > BUDGET_BYTES {
            println!("size: OVER BUDGET; the tests fail above {CEILING_BYTES} bytes");
        }
    }

    /// The total as a share of the budget.
    pub(crate) fn ratio(&self) -> f64 {
        self.total_bytes() as f64 / BUDGET_BYTES as f64
    }

    /// A problem if the app is over the ceiling or if there is nothing to weigh.
    pub(crate) fn check(&self) -> Result<(), Problem> {
        if !self.parts.iter().any(|part| part.name.ends_with(".wasm")) {
            return Err(Problem::new(
                "there is no WebAssembly to weigh",
                "build the app first with `cargo xtask build`",
            ));
        }
        if self.total_bytes() > CEILING_BYTES {
            return Err(Problem::new(
                format!(
                    "the app weighs {} bytes with brotli, at most {CEILING_BYTES} are allowed",
                    self.total_bytes()
                ),
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
    fn the_ceiling_itself_is_allowed_and_one_byte_more_is_not() {
        assert!(sizes("app.wasm", CEILING_BYTES).check().is_ok());
        assert!(sizes("app.wasm", CEILING_BYTES + 1).check().is_err());
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
