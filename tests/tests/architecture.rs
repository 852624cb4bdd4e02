//! The shape of the workspace: who may depend on whom, and what the core crates must not touch.
#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .unwrap()
        .into()
}

/// Direct normal dependencies of a package, as `cargo tree` tells them.
fn direct_dependencies(package: &str) -> BTreeSet<String> {
    let output = Command::new(env!("CARGO"))
        .current_dir(root())
        .args(["tree", "--package", package, "--edges", "normal"])
        .args(["--depth", "1", "--prefix", "none", "--locked"])
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "cargo tree failed: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    let names: BTreeSet<String> = String::from_utf8(output.stdout)
        .unwrap()
        .lines()
        .skip(1)
        .filter_map(|line| line.split_whitespace().next())
        .map(str::to_owned)
        .collect();
    names
}

#[track_caller]
fn depends_only_on(package: &str, allowed: &[&str]) {
    let allowed: BTreeSet<String> = allowed.iter().map(ToString::to_string).collect();
    let found = direct_dependencies(package);
    let beyond: Vec<&String> = found.difference(&allowed).collect();
    assert!(
        beyond.is_empty(),
        "{package} must not depend on {beyond:?}; allowed are {allowed:?}"
    );
}

#[test]
fn arrows_of_dependency_point_one_way() {
    let timing = "lampwright-timing";
    let model = "lampwright-model";
    let analysis = "lampwright-analysis";
    let formats = "lampwright-formats";
    depends_only_on(timing, &[]);
    depends_only_on(model, &[timing]);
    depends_only_on(analysis, &[timing, model, "libm"]);
    depends_only_on(formats, &[timing, model]);
    depends_only_on(
        "lampwright-editor",
        &[timing, model, analysis, formats, "libm"],
    );
    depends_only_on(
        "lampwright-render",
        &[timing, model, analysis, formats, "serde_json", "libm"],
    );
}

#[test]
fn the_timing_crate_really_stands_alone() {
    assert!(direct_dependencies("lampwright-timing").is_empty());
    assert!(!direct_dependencies("lampwright-analysis").is_empty());
}

fn sources_below(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources_below(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
}

/// Lines of code in `src` of a crate that hold any of the words, tests and comments left out.
fn uses_of(krate: &str, words: &[&str]) -> Vec<String> {
    let mut files = Vec::new();
    sources_below(&root().join("crates").join(krate).join("src"), &mut files);
    assert!(!files.is_empty(), "no sources in {krate}");
    files.sort();
    let mut uses = Vec::new();
    for file in files {
        let text = std::fs::read_to_string(&file).unwrap();
        let code = text.split("#[cfg(test)]").next().unwrap_or("");
        for (number, line) in code.lines().enumerate() {
            let line = line.split("//").next().unwrap_or("");
            if let Some(word) = words.iter().find(|word| line.contains(**word)) {
                uses.push(format!("{}:{}: {word}", file.display(), number + 1));
            }
        }
    }
    uses
}

const CORE: [&str; 6] = ["timing", "model", "analysis", "formats", "editor", "render"];

#[test]
fn core_crates_do_no_input_or_output_and_have_no_clock() {
    let words = [
        "std::fs",
        "std::net",
        "std::env",
        "std::process",
        "std::thread",
        "std::time",
        "Instant::now",
        "SystemTime",
        "println!",
        "eprintln!",
        "web_sys",
        "js_sys",
        "wasm_bindgen",
    ];
    for krate in CORE {
        let uses = uses_of(krate, &words);
        assert!(uses.is_empty(), "{uses:#?}");
    }
}

/// These give other bits natively and in the browser; the `libm` crate gives the same on both.
#[test]
fn core_crates_use_no_platform_mathematics() {
    let words = [
        ".sin()",
        ".cos()",
        ".tan()",
        ".atan()",
        ".atan2(",
        ".exp()",
        ".ln()",
        ".log10()",
        ".log2()",
        ".powf(",
        ".powi(",
        ".exp2()",
        ".hypot(",
        ".asin()",
        ".acos()",
        ".tanh()",
        ".cbrt()",
        ".sin_cos()",
    ];
    for krate in CORE {
        let uses = uses_of(krate, &words);
        assert!(uses.is_empty(), "{uses:#?}");
    }
}

#[test]
fn time_and_model_hold_no_floating_point_fields() {
    for krate in ["timing", "model"] {
        let uses: Vec<String> = uses_of(krate, &["f64", "f32"])
            .into_iter()
            .filter(|place| !place.contains("units.rs") && !place.contains("micros.rs"))
            .collect();
        assert!(uses.is_empty(), "{uses:#?}");
    }
}

#[test]
fn the_scan_finds_what_it_looks_for() {
    let uses = uses_of("timing", &["pub struct Waveform"]);
    assert_eq!(uses.len(), 1, "{uses:?}");
    if uses_of("cli", &["std::fs"]).is_empty() {
        panic!("the command line must read files somewhere, so the scan is broken");
    }
}

#[test]
fn every_source_file_says_what_it_is_for() {
    let mut files = Vec::new();
    sources_below(&root().join("crates"), &mut files);
    sources_below(&root().join("web").join("src"), &mut files);
    let silent: Vec<PathBuf> = files
        .into_iter()
        .filter(|file| file.components().any(|part| part.as_os_str() == "src"))
        .filter(|file| {
            !std::fs::read_to_string(file)
                .unwrap()
                .trim_start()
                .starts_with("//!")
        })
        .collect();
    assert!(silent.is_empty(), "no //! at the top of {silent:#?}");
}
