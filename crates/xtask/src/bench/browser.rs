//! Budgets of the browser: the edit, the frame, the first paint.
//!
//! Invariant: the code that is measured is the app's own, compiled with the app's profile; the times come from the browser's clock.

use std::process::{Command, Stdio};

use serde_json::Value;

use super::figure::Figure;
use crate::process::{Problem, run};
use crate::{bundle, setup, toolchain, workspace};

/// The stem of the generated files of the measuring page.
const STEM: &str = "bench";

/// Times of one edit: the whole, and a line on its parts.
pub(super) struct Edit {
    pub(super) whole: Figure,
    pub(super) parts: String,
}

/// Times of a frame at the zoom that takes longest, and a line on each zoom.
pub(super) struct Frame {
    pub(super) worst: Figure,
    pub(super) zooms: Vec<String>,
}

/// Builds the measuring page and takes the times of the edit and of the frame.
pub(super) fn edit_and_frame() -> Result<(Edit, Frame), Problem> {
    let folder = build_page()?;
    let figures = measure(&["budgets", &folder.to_string_lossy()])?;
    if figures["isIsolated"] != Value::Bool(true) {
        return Err(Problem::new(
            "the browser gave only its coarse clock",
            "look at the headers in tests/bench/measure.mjs",
        ));
    }
    let edit = &figures["edit"];
    let parts = ["edit", "resolve", "facts", "screening", "rules", "preview"]
        .map(|name| {
            Ok(format!(
                "{name} {:.2}",
                Figure::of_times(&edit[name])?.median
            ))
        })
        .into_iter()
        .collect::<Result<Vec<String>, Problem>>()?
        .join(", ");
    let edit = Edit {
        whole: Figure::of_times(&edit["whole"])?,
        parts: format!(
            "medians of parts in ms: {parts} (preview: choosing its safe speed, beyond what the budget asks)"
        ),
    };
    let (mut zooms, mut worst) = (Vec::new(), None::<Figure>);
    for (name, key) in [
        ("64 lanes in sight", "frames"),
        ("420 px in sight", "appFrames"),
    ] {
        for zoom in figures[key].as_array().into_iter().flatten() {
            let whole = Figure::of_times(&zoom["whole"])?;
            zooms.push(format!(
                "{name}, {:>9.3} s seen: {whole}, of which scene {:.2} and calls {:.2}; {} things",
                zoom["seenUs"].as_f64().unwrap_or_default() / 1e6,
                Figure::of_times(&zoom["scene"])?.median,
                Figure::of_times(&zoom["script"])?.median,
                zoom["items"],
            ));
            if key == "frames" && worst.is_none_or(|worst| whole.median > worst.median) {
                worst = Some(whole);
            }
        }
    }
    let worst = worst.ok_or_else(unreadable)?;
    Ok((edit, Frame { worst, zooms }))
}

/// Seconds until the app, built before, shows its timeline.
pub(super) fn first_paint() -> Result<Figure, Problem> {
    let figures = measure(&["paint"])?;
    Figure::of_times(&figures["times"]).map(|figure| figure.scaled(1e-3))
}

fn build_page() -> Result<std::path::PathBuf, Problem> {
    run(
        setup::require_wasm()?
            .build_smallest()?
            .args(["--package", "lampwright-bench", "--lib"]),
        "mend what the compiler reports",
    )?;
    let compiled = workspace::wasm_target()
        .join(toolchain::TARGET)
        .join("web")
        .join("lampwright_bench.wasm");
    let sources = workspace::root().join("tests").join("bench");
    let folder = workspace::wasm_target().join("bench");
    bundle::empty_folder(&folder)?;
    for file in ["index.html", "page.js"] {
        bundle::copy_file(&sources.join(file), &folder.join(file))?;
    }
    let styles = "lampwright.css";
    bundle::copy_file(
        &workspace::root().join("web").join("public").join(styles),
        &folder.join(styles),
    )?;
    bundle::bind(&compiled, &folder, STEM)?;
    Ok(folder)
}

/// Runs `tests/bench/measure.mjs`, which prints one JSON object.
fn measure(arguments: &[&str]) -> Result<Value, Problem> {
    let failed = |error: std::io::Error| {
        Problem::new(
            format!("the measurement could not be started: {error}"),
            "run `cargo xtask setup`",
        )
    };
    let chromium = setup::chromium()
        .ok_or_else(|| Problem::new("Chromium was not found", "run `cargo xtask setup`"))?;
    let output = Command::new("node")
        .arg(workspace::root().join("tests/bench/measure.mjs"))
        .args(arguments)
        .env("LAMPWRIGHT_CHROMIUM", chromium)
        .env("LAMPWRIGHT_XTASK", std::env::current_exe().map_err(failed)?)
        .stdin(Stdio::null())
        .stderr(Stdio::inherit())
        .output()
        .map_err(failed)?;
    if !output.status.success() {
        return Err(Problem::new(
            format!(
                "the measurement in the browser ended with {}",
                output.status
            ),
            "read what it said above",
        ));
    }
    serde_json::from_slice(&output.stdout).map_err(|_| unreadable())
}

fn unreadable() -> Problem {
    Problem::new(
        "the measurement in the browser gave no figures",
        "report this as a fault",
    )
}
