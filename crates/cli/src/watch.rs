//! `lampwright check --watch`: checks again what changed, until the person ends it.
//!
//! Files are looked at by their length and time of change, which every system offers; a change that keeps both is not seen.
//! Invariant: a file that vanishes, or is half written, stops nothing.

use crate::arguments::{CheckArguments, ReportFormat};
use crate::check::{check_all, ending, for_people};
use crate::checked::{Checked, shown};
use crate::{Ending, complain, files, profile, write_while_read};
use lampwright_model::{Profile, Severity};
use lampwright_render::file::FileReport;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

/// Time from one look at the files to the next.
const PAUSE: Duration = Duration::from_millis(300);

pub(crate) fn watch(arguments: &CheckArguments) -> io::Result<Ending> {
    if !matches!(arguments.format, ReportFormat::Text | ReportFormat::Rich) {
        complain("--watch writes text or rich reports only");
        return Ok(Ending::Failed);
    }
    if arguments
        .paths
        .iter()
        .any(|path| files::is_standard_input(path))
    {
        complain("--watch cannot look at the standard input again; name a file");
        return Ok(Ending::Failed);
    }
    // Ctrl-C ends the process the way the system does it, so this never stops by itself.
    run(arguments, &mut io::stdout().lock(), || {
        std::thread::sleep(PAUSE);
        true
    })
}

/// Looks, reports and waits, until `wait` says to stop.
fn run(
    arguments: &CheckArguments,
    out: &mut impl io::Write,
    mut wait: impl FnMut() -> bool,
) -> io::Result<Ending> {
    let mut files = Watched::default();
    let mut profile_file = Watched::default();
    let mut chosen: Option<Profile> = None;
    let mut is_usable = true;
    let mut results: BTreeMap<PathBuf, Checked> = BTreeMap::new();
    let severity = Severity::from(arguments.severity);
    loop {
        let mut changes = files.look(files::find(&arguments.paths).files.into_iter());
        if let Some(path) = &arguments.profile
            && profile_file.look(std::iter::once(path.clone())).is_any()
        {
            let read = profile::read(path);
            is_usable = read.is_ok();
            chosen = read.ok();
            changes.changed = files.known.keys().cloned().collect();
            results.retain(|path, _| files.known.contains_key(path));
        }
        let mut told = String::new();
        if changes.is_any() && is_usable {
            for path in &changes.gone {
                results.remove(path);
                let _ = writeln!(told, "{} is gone", shown(path));
            }
            let checked = check_all(&changes.changed, chosen.as_ref(), false);
            let views: Vec<FileReport<'_>> = checked.iter().map(Checked::view).collect();
            told.push_str(&for_people(&views, arguments));
            drop(views);
            results.extend(changes.changed.into_iter().zip(checked));
            let _ = writeln!(told, "{}", standing(&results, severity));
        } else if changes.is_any() {
            // They are checked as soon as the profile can be used again, since that is a change too.
            told.push_str("waiting for a profile that can be used\n");
        }
        let is_read = told.is_empty() || write_while_read(out, &[&told])?;
        if !is_read || !wait() {
            let all: Vec<Checked> = results.into_values().collect();
            return Ok(ending(&all, severity));
        }
    }
}

/// "watching 3 files, 1 with findings, 1 could not be judged; Ctrl-C ends".
fn standing(results: &BTreeMap<PathBuf, Checked>, severity: Severity) -> String {
    let count = |ending| {
        results
            .values()
            .filter(|checked| checked.ending(severity) == ending)
            .count()
    };
    let files = if results.len() == 1 { "file" } else { "files" };
    format!(
        "watching {} {files}, {} with findings, {} could not be judged; Ctrl-C ends",
        results.len(),
        count(Ending::Findings),
        count(Ending::Failed)
    )
}

/// How a file looked: its length and when it was changed; none when it cannot be looked at.
type Stamp = Option<(u64, Option<SystemTime>)>;

/// Files with how they looked the last time.
#[derive(Default)]
struct Watched {
    known: BTreeMap<PathBuf, Stamp>,
}

/// What is different from the last look.
#[derive(Default, PartialEq, Eq, Debug)]
struct Changes {
    changed: Vec<PathBuf>,
    gone: Vec<PathBuf>,
}

impl Changes {
    fn is_any(&self) -> bool {
        !self.changed.is_empty() || !self.gone.is_empty()
    }
}

impl Watched {
    fn look(&mut self, paths: impl Iterator<Item = PathBuf>) -> Changes {
        let now: BTreeMap<PathBuf, Stamp> =
            paths.map(|path| (path.clone(), stamp(&path))).collect();
        let changes = Changes {
            changed: now
                .iter()
                .filter(|(path, stamp)| self.known.get(*path) != Some(stamp))
                .map(|(path, _)| path.clone())
                .collect(),
            gone: self
                .known
                .keys()
                .filter(|path| !now.contains_key(*path))
                .cloned()
                .collect(),
        };
        self.known = now;
        changes
    }
}

fn stamp(path: &Path) -> Stamp {
    let data = std::fs::metadata(path).ok()?;
    Some((data.len(), data.modified().ok()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arguments::{Arguments, Command};
    use clap::Parser as _;
    use std::fs;

    const PROGRAM: &str = r#"{"format": "lampwright-program", "version": 1, "name": "lamp",
  "vehicle": {"heads": [{"id": "nose", "x_m": 2, "y_m": 0, "z_m": 1, "facing_deg": 0, "emitters": [{"color": "red"}]}]},
  "patterns": [{"id": "beat", "period_ms": 500, "tick_ms": 1,
    "lanes": [{"role": "all", "pulses": [{"start_ms": 0, "length_ms": 80}]}]}],
  "layers": [{"id": "on", "play": {"pattern": "beat", "bindings": [{"lane": "all", "heads": ["all"]}]}}],
  "profile": {"title": "t", "rules": [{"code": "LW001"}]}}"#;

    /// Runs the loop; before each look but the first, one step is done.
    fn watched(arguments: &[&str], steps: &mut [&mut dyn FnMut()]) -> (String, Ending) {
        let parsed =
            Arguments::try_parse_from(["lampwright", "check", "--watch"].iter().chain(arguments))
                .unwrap();
        let Command::Check(arguments) = parsed.command else {
            unreachable!("the words say check")
        };
        let mut out = Vec::new();
        let mut steps = steps.iter_mut();
        let ending = run(&arguments, &mut out, || match steps.next() {
            Some(step) => {
                step();
                true
            }
            None => false,
        })
        .unwrap();
        (String::from_utf8(out).unwrap(), ending)
    }

    #[test]
    fn what_changes_is_checked_again_and_nothing_else() {
        let folder = tempfile::tempdir().unwrap();
        let (a, b) = (folder.path().join("a.json"), folder.path().join("b.json"));
        fs::write(&a, PROGRAM).unwrap();
        fs::write(&b, PROGRAM).unwrap();
        let (out, ending) = watched(
            &[folder.path().to_str().unwrap()],
            &mut [
                &mut || {},
                &mut || fs::write(&a, PROGRAM.replace("500", "1500")).unwrap(),
                &mut || fs::write(&b, "{").unwrap(),
                &mut || fs::remove_file(&b).unwrap(),
            ],
        );
        let standing: Vec<&str> = out
            .lines()
            .filter(|line| line.starts_with("watching"))
            .collect();
        assert_eq!(
            standing,
            [
                "watching 2 files, 0 with findings, 0 could not be judged; Ctrl-C ends",
                "watching 2 files, 1 with findings, 0 could not be judged; Ctrl-C ends",
                "watching 2 files, 1 with findings, 1 could not be judged; Ctrl-C ends",
                "watching 1 file, 1 with findings, 0 could not be judged; Ctrl-C ends",
            ],
            "{out}"
        );
        assert_eq!(out.matches("a.json\n").count(), 2, "{out}");
        assert_eq!(out.matches("b.json is gone").count(), 1, "{out}");
        assert_eq!(ending, Ending::Findings);
    }

    #[test]
    fn a_changed_profile_checks_every_file_again() {
        let folder = tempfile::tempdir().unwrap();
        let inner = folder.path().join("programs");
        fs::create_dir(&inner).unwrap();
        fs::write(inner.join("a.json"), PROGRAM).unwrap();
        let chosen = folder.path().join("county.json");
        let profile = r#"{"format": "lampwright-profile", "version": 1, "profile": {"title": "c", "rules": [{"code": "LW001"}]}}"#;
        fs::write(&chosen, profile).unwrap();
        let (out, ending) = watched(
            &[
                inner.to_str().unwrap(),
                "--profile",
                chosen.to_str().unwrap(),
            ],
            &mut [&mut || fs::write(&chosen, "{").unwrap(), &mut || {
                let strict =
                    profile.replace(r#""LW001""#, r#""LW001", "parameters": {"most_hz": 1.5}"#);
                fs::write(&chosen, strict).unwrap();
            }],
        );
        assert!(out.contains("waiting for a profile"), "{out}");
        assert_eq!(out.matches("watching 1 file").count(), 2, "{out}");
        assert!(out.contains("at most 1.5 Hz"), "{out}");
        assert_eq!(ending, Ending::Findings);
    }
}
