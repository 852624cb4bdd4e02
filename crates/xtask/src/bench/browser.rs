//! Budgets of the browser: the edit, the frame, the first paint, and a scripted minute in the app.
//!
//! Invariant: the code that is measured is the app's own, compiled with the app's profile; the times come from the browser's clock.

use std::path::PathBuf;
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
    require_fine_clock(&figures)?;
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

/// A program that is kept in the browser when the app is opened.
#[derive(Clone, Copy)]
pub(super) enum Kept {
    /// The largest of the demos.
    LargestDemo,
    /// A generated one: 60 heads play 64 lanes with 100,000 pulses.
    Played,
}

/// A minute of dragging, zooming and scrolling in the app, and the first paint before it.
pub(super) struct Minute {
    /// From an input of a drag until its effects are laid out on the page, milliseconds.
    pub(super) edit: Figure,
    pub(super) on_edits: Vec<String>,
    /// Drawing one frame, milliseconds.
    pub(super) frame: Figure,
    pub(super) on_frames: Vec<String>,
    /// Seconds.
    pub(super) paint: Figure,
}

/// Fewer drags that moved something in a minute mean that the script missed the pulses.
const FEWEST_DRAGS: u64 = 10;

/// Opens the app, built before, with a program and works in it for a minute.
pub(super) fn minute(kept: Kept) -> Result<Minute, Problem> {
    let path = match kept {
        Kept::LargestDemo => largest_demo()?,
        Kept::Played => write_played()?,
    };
    let figures = measure(&["minute", &path.to_string_lossy()])?;
    require_fine_clock(&figures)?;
    let n_drags = figures["nDrags"].as_u64().unwrap_or_default();
    if n_drags < FEWEST_DRAGS {
        return Err(Problem::new(
            format!("only {n_drags} drags of the scripted minute moved a pulse"),
            "look at what the page shows in tests/bench/measure.mjs",
        ));
    }
    let of = |name: &str| Figure::of_times(&figures[name]);
    let or_none =
        |name: &str| of(name).map_or_else(|_| "none".into(), |figure| format!("{figure} ms"));
    let (edit, frame) = (of("drag")?, of("frame")?);
    let n_behind = figures["nBehind"].as_u64().unwrap_or_default();
    Ok(Minute {
        on_edits: vec![
            format!(
                "{n_drags} drags that moved pulses, {} events sent; {} of the moves took more than 8 ms",
                figures["nSent"],
                share_over(&figures["drag"], 8.0),
            ),
            format!("pressing and letting go: {}", or_none("press")),
            format!(
                "moving without a button: {}; zooming: {}; scrolling: {}",
                or_none("hover"),
                or_none("zoom"),
                or_none("pan"),
            ),
            format!(
                "after {n_behind} presses and moves the findings said that they were from before; until they were new: {}",
                or_none("behind"),
            ),
        ],
        on_frames: vec![
            format!(
                "{} of the drawn frames took more than 8 ms",
                share_over(&figures["frame"], 8.0)
            ),
            format!(
                "busy between two frames, with inputs and all else: {}; more than 16.7 ms in {}",
                or_none("busy"),
                share_over(&figures["busy"], 1000.0 / 60.0),
            ),
            format!(
                "saving, judging and what else is put off: {}",
                or_none("task")
            ),
        ],
        edit,
        frame,
        paint: of("paint")?.scaled(1e-3),
    })
}

/// How many of some times are above a limit, in per cent.
fn share_over(times: &Value, limit: f64) -> String {
    let times = times.as_array().map_or(&[][..], Vec::as_slice);
    let n_over = times
        .iter()
        .filter(|time| time.as_f64().is_some_and(|time| time > limit))
        .count();
    format!("{:.1} %", 100.0 * n_over as f64 / times.len().max(1) as f64)
}

fn largest_demo() -> Result<PathBuf, Problem> {
    let folder = workspace::root().join("patterns");
    let files = std::fs::read_dir(&folder).map_err(|error| {
        Problem::new(format!("{}: {error}", folder.display()), "check the files")
    })?;
    files
        .filter_map(Result::ok)
        .map(|file| file.path())
        .filter(|path| {
            path.extension()
                .is_some_and(|extension| extension == "json")
        })
        .max_by_key(|path| path.metadata().map_or(0, |known| known.len()))
        .ok_or_else(|| Problem::new("there is no demo", "check the folder patterns"))
}

fn write_played() -> Result<PathBuf, Problem> {
    let path = workspace::native_target().join("bench-played.json");
    run(
        workspace::cargo()
            .args(["run", "--release", "--package", "lampwright-bench"])
            .args(["--bin", "write-played", "--"])
            .arg(&path),
        "mend what the compiler reports",
    )?;
    Ok(path)
}

fn require_fine_clock(figures: &Value) -> Result<(), Problem> {
    if figures["isIsolated"] == Value::Bool(true) {
        return Ok(());
    }
    Err(Problem::new(
        "the browser gave only its coarse clock",
        "look at the headers in tests/bench/measure.mjs and crates/xtask/src/serve.rs",
    ))
}

fn build_page() -> Result<PathBuf, Problem> {
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
