//! From the `web` package to the folder of pages that a browser loads.
//!
//! Invariant: the pages folder holds exactly the shell, the public files and this build, nothing
//! left over from an earlier one.
//! Absent: the service worker and the one-file page; see `dist`.

use std::path::{Path, PathBuf};

use wasm_bindgen_cli_support::Bindgen;

use crate::process::{Problem, run};
use crate::{setup, terse, toolchain, workspace};

/// The stem of the generated files: `lampwright.js` and `lampwright_bg.wasm`.
pub(crate) const STEM: &str = "lampwright";

const PACKAGE: &str = "lampwright-web";

/// Compiles the app and writes the pages folder, whose path is returned.
pub(crate) fn build_pages() -> Result<PathBuf, Problem> {
    let way = setup::require_wasm()?;
    println!("build: WebAssembly by {}", way.describe());
    run(
        way.build_smallest()?.args(["--package", PACKAGE]),
        "mend what the compiler reports; if it misses a standard library, run `cargo xtask setup`",
    )?;
    let compiled = workspace::wasm_target()
        .join(toolchain::TARGET)
        .join("web")
        .join(format!("{PACKAGE}.wasm"));
    let pages = workspace::pages();
    empty_folder(&pages)?;
    copy_folder(&workspace::root().join("web").join("public"), &pages)?;
    copy_file(
        &workspace::root().join("web").join("index.html"),
        &pages.join("index.html"),
    )?;
    let first = split(&compiled, &pages)?;
    bind(&first, &pages, STEM)?;
    for (path, source) in beside()? {
        let target = pages.join(&path);
        if let Some(folder) = target.parent() {
            std::fs::create_dir_all(folder).map_err(|error| Problem::file(folder, &error))?;
        }
        copy_file(&source, &target)?;
    }
    let target = pages.join(LIBRARY);
    std::fs::write(&target, library()?).map_err(|error| Problem::file(&target, &error))?;
    Ok(pages)
}

/// Address of the pattern library, one pattern file per line.
pub(crate) const LIBRARY: &str = "patterns.txt";

/// Every pattern file of the library on a line of its own, by name, so that all of them are read with one request.
pub(crate) fn library() -> Result<String, Problem> {
    let folder = workspace::root().join("patterns/library");
    let failed = |error: std::io::Error| Problem::file(&folder, &error);
    let mut paths = Vec::new();
    for entry in std::fs::read_dir(&folder).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        if path.extension().is_some_and(|found| found == "json") {
            paths.push(path);
        }
    }
    paths.sort();
    let mut lines = String::new();
    for path in paths {
        let text = std::fs::read_to_string(&path).map_err(|error| Problem::file(&path, &error))?;
        lines.push_str(&on_one_line(&text));
        lines.push('\n');
    }
    Ok(lines)
}

/// A file with its line breaks and indents left out; texts within it write theirs as `\n`.
fn on_one_line(text: &str) -> String {
    text.lines().map(str::trim_start).collect()
}

/// What the app reads only when it is asked for, as `(address, source)`, sorted: the pages of the rules, the demo programs and the profiles.
pub(crate) fn beside() -> Result<Vec<(String, PathBuf)>, Problem> {
    let root = workspace::root();
    let rules = root.join("crates/analysis/src/rules/pages");
    let mut files = Vec::new();
    for (name, folder, extension) in [
        ("rules", rules, "md"),
        ("programs", root.join("patterns"), "json"),
        ("profiles", root.join("patterns/profiles"), "json"),
    ] {
        let failed = |error: std::io::Error| Problem::file(&folder, &error);
        for entry in std::fs::read_dir(&folder).map_err(failed)? {
            let path = entry.map_err(failed)?.path();
            if path.extension().is_some_and(|found| found == extension)
                && let Some(file) = path.file_name()
            {
                files.push((format!("{name}/{}", file.to_string_lossy()), path));
            }
        }
    }
    files.sort();
    Ok(files)
}

/// What loads the other part of the app, beside the file it loads.
pub(crate) const LATER: &str = "later.js";

/// The file it loads.
pub(crate) const LATER_PART: &str = "split_later.wasm";

/// Takes what only the function `later` of the app needs out into a file of its own in `pages`; returns the path of the rest, which is still to be bound.
fn split(compiled: &Path, pages: &Path) -> Result<PathBuf, Problem> {
    let bytes = std::fs::read(compiled).map_err(|error| Problem::file(compiled, &error))?;
    let first = compiled.with_extension("first.wasm");
    let link_name = format!("./{LATER}");
    let main_module = format!("./{STEM}.js");
    let mut options = wasm_split_cli_support::Options::new(&bytes);
    options.output_dir = pages;
    options.main_out_path = &first;
    options.link_name = &link_name;
    options.main_module = &main_module;
    let written = wasm_split_cli_support::transform(options).map_err(|error| {
        Problem::new(
            format!("{}: {error:#}", compiled.display()),
            "check that wasm_split_helpers and wasm_split_cli_support fit each other",
        )
    })?;
    let wanted = [pages.join(LATER_PART)];
    if written.split_modules != wanted {
        return Err(Problem::new(
            format!("the app was split into {:?}", written.split_modules),
            "keep one split-off module, named `later`; more need loaders of their own in the one-file page",
        ));
    }
    let [later] = wanted;
    let part = std::fs::read(&later).map_err(|error| Problem::file(&later, &error))?;
    let part = terse::nameless(&part)
        .ok_or_else(|| Problem::new("the split-off module is cut off", "build again"))?;
    std::fs::write(&later, part).map_err(|error| Problem::file(&later, &error))?;
    Ok(first)
}

/// Generates `STEM.js`, which loads what was compiled, beside the trimmed `STEM_bg.wasm`, with short names between the two.
pub(crate) fn bind(compiled: &Path, pages: &Path, stem: &str) -> Result<(), Problem> {
    let mut generator = Bindgen::new();
    generator
        .input_path(compiled)
        .out_name(stem)
        .typescript(false)
        .remove_name_section(true)
        .remove_producers_section(true)
        // The other part of the app works on the same table of functions.
        .keep_lld_exports(true)
        .omit_default_module_path(true);
    generator
        .web(true)
        .and_then(|generator| generator.generate(pages))
        .map_err(|error| {
            Problem::new(
                format!("{}: {error:#}", compiled.display()),
                "check that wasm-bindgen and wasm-bindgen-cli-support have the same version",
            )
        })?;
    let script_path = pages.join(format!("{stem}.js"));
    let module_path = pages.join(format!("{stem}_bg.wasm"));
    let script = std::fs::read_to_string(&script_path)
        .map_err(|error| Problem::file(&script_path, &error))?;
    let module =
        std::fs::read(&module_path).map_err(|error| Problem::file(&module_path, &error))?;
    let (script, module) = terse::shortened(&script, &module)?;
    std::fs::write(&script_path, script).map_err(|error| Problem::file(&script_path, &error))?;
    std::fs::write(&module_path, module).map_err(|error| Problem::file(&module_path, &error))
}

/// Makes a folder that is there and empty.
pub(crate) fn empty_folder(folder: &Path) -> Result<(), Problem> {
    if folder.exists() {
        std::fs::remove_dir_all(folder).map_err(|error| Problem::file(folder, &error))?;
    }
    std::fs::create_dir_all(folder).map_err(|error| Problem::file(folder, &error))
}

/// Copies everything in one folder into another that exists.
pub(crate) fn copy_folder(from: &Path, to: &Path) -> Result<(), Problem> {
    let failed = |error: std::io::Error| Problem::file(from, &error);
    for entry in std::fs::read_dir(from).map_err(failed)? {
        let entry = entry.map_err(failed)?;
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            std::fs::create_dir_all(&target).map_err(|error| Problem::file(&target, &error))?;
            copy_folder(&entry.path(), &target)?;
        } else {
            copy_file(&entry.path(), &target)?;
        }
    }
    Ok(())
}

/// Copies one file.
pub(crate) fn copy_file(from: &Path, to: &Path) -> Result<(), Problem> {
    std::fs::copy(from, to)
        .map(|_| ())
        .map_err(|error| Problem::file(from, &error))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_library_is_one_pattern_a_line() {
        let library = library().expect("the library can be read");
        assert!(library.lines().count() >= 50, "{}", library.lines().count());
        for line in library.lines() {
            assert!(
                line.starts_with(r#"{"format": "lampwright-pattern","#),
                "{line}"
            );
            assert!(line.ends_with('}'), "{line}");
        }
        assert_eq!(
            on_one_line("{\n  \"a\": \"b  c\\n d\"\n}\n"),
            r#"{"a": "b  c\n d"}"#
        );
    }
}
