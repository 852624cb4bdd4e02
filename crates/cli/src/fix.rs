//! `lampwright fix`: mends what a rule found where that is mechanical, shows the change, and writes it when asked to.
//!
//! Invariant: a file is written whole or not at all, and never when part of it could not be read.
//! Absent: making fixes, which the analysis does and has tried before they get here.

use crate::arguments::FixArguments;
use crate::state::read;
use crate::{Ending, complain, files, print, profile};
use lampwright_analysis::fix::{TriedFix, fixes};
use lampwright_analysis::report::{Finding, Report};
use lampwright_analysis::rules::{CheckSettings, rule};
use lampwright_formats::write_program;
use lampwright_model::{Edit, Profile, Program, RuleCode, Severity};
use similar::TextDiff;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::io::{self, Write as _};
use std::path::Path;

/// Most findings mended in one run.
const MOST_MENDED: usize = 256;

pub(crate) fn fix(arguments: &FixArguments) -> io::Result<Ending> {
    let Some(code) = arguments
        .code
        .parse::<RuleCode>()
        .ok()
        .filter(|code| rule(*code).is_some())
    else {
        complain(&format!(
            "there is no rule {}; `lampwright rules` lists them",
            arguments.code
        ));
        return Ok(Ending::Failed);
    };
    if arguments.write && files::is_standard_input(&arguments.file) {
        complain("--write cannot change the standard input; name a file");
        return Ok(Ending::Failed);
    }
    let Some((program, has_problems)) = read(&arguments.file) else {
        return Ok(Ending::Failed);
    };
    if has_problems && arguments.write {
        complain(
            "the file is not written, since what could not be read would be lost; mend that first",
        );
        return Ok(Ending::Failed);
    }
    let chosen = match arguments.profile.as_deref().map(profile::read) {
        None => None,
        Some(Ok(profile)) => Some(profile),
        Some(Err(profile::Complained)) => return Ok(Ending::Failed),
    };
    let mended = mend(&program, chosen.as_ref(), code, arguments);
    if let Some(place) = &arguments.place
        && let Some(why) = place_without_finding(&mended.before, code, place)
    {
        complain(&why);
        return Ok(Ending::Failed);
    }
    let mut out = mended.told;
    let edit = Edit::Together(mended.edits);
    // The edits were tried one after the other on this very program.
    let after = match program.apply(&edit) {
        Ok(after) => after,
        Err(error) => {
            complain(&format!("the fixes do not fit together: {error}"));
            return Ok(Ending::Failed);
        }
    };
    if after != program {
        let _ = write!(out, "\n{}", diff(&arguments.file, &program, &after));
    }
    let _ = write!(out, "\n{}", sums(code, &mended.before, &mended.after));
    if after != program && arguments.write {
        write_whole(&arguments.file, &write_program(&after))?;
        let _ = writeln!(out, "written to {}", arguments.file.display());
    } else if after != program {
        out.push_str("not written; --write does\n");
    }
    print(&out)?;
    let is_left = mended
        .after
        .findings
        .iter()
        .any(|finding| is_asked(finding, code, arguments));
    Ok(if is_left {
        Ending::Findings
    } else {
        Ending::Clean
    })
}

struct Mended {
    told: String,
    edits: Vec<Edit>,
    before: Report,
    after: Report,
}

fn is_asked(finding: &Finding, code: RuleCode, arguments: &FixArguments) -> bool {
    finding.code == code
        && finding.counts()
        && arguments
            .place
            .as_ref()
            .is_none_or(|place| *place == finding.place.to_string())
}

/// Mends one finding after the other, each on the program that the ones before left.
fn mend(
    program: &Program,
    profile: Option<&Profile>,
    code: RuleCode,
    arguments: &FixArguments,
) -> Mended {
    let settings = CheckSettings::default();
    let mut now = match profile {
        None => program.clone(),
        Some(profile) => profile::put(program, profile).0,
    };
    let before = lampwright_analysis::check_with(&now, &settings);
    let mut report = before.clone();
    let mut told = String::new();
    let mut edits = Vec::new();
    // Findings that no fix mends, by what they say, so that each is told once.
    let mut given_up: Vec<String> = Vec::new();
    for _ in 0..MOST_MENDED {
        let next = report
            .findings
            .iter()
            .find(|finding| {
                is_asked(finding, code, arguments) && !given_up.contains(&line(finding))
            })
            .cloned();
        let Some(finding) = next else {
            break;
        };
        let _ = writeln!(told, "{}", line(&finding));
        let offered = fixes(&now, &report, &finding, &settings);
        match chosen(&mut told, offered, arguments.choice) {
            Some(tried) => {
                edits.push(tried.fix.edit);
                now = tried.program;
                report = tried.report;
            }
            None => given_up.push(line(&finding)),
        }
    }
    if told.is_empty() {
        let _ = writeln!(told, "{code} finds nothing to mend");
    }
    Mended {
        told,
        edits,
        before,
        after: report,
    }
}

/// What is wrong with a place at which the rule finds nothing, with the places to choose from.
fn place_without_finding(report: &Report, code: RuleCode, place: &str) -> Option<String> {
    let places: BTreeSet<String> = report
        .findings
        .iter()
        .filter(|finding| finding.code == code && finding.counts())
        .map(|finding| finding.place.to_string())
        .collect();
    if places.contains(place) {
        return None;
    }
    let known = if places.is_empty() {
        "it finds nothing at any other place either".to_owned()
    } else {
        let places: Vec<String> = places.into_iter().collect();
        format!("its places are {}", places.join("; "))
    };
    Some(format!("no finding of {code} at that place; {known}"))
}

fn line(finding: &Finding) -> String {
    format!(
        "{} {} at {}: {}",
        finding.severity.name(),
        finding.code,
        finding.place,
        finding.message
    )
}

/// Tells the fixes offered and gives the one that is taken.
fn chosen(told: &mut String, offered: Vec<TriedFix>, choice: usize) -> Option<TriedFix> {
    if offered.is_empty() {
        told.push_str("  no mechanical change mends this; `lampwright explain` says what to do\n");
        return None;
    }
    let taken = choice.checked_sub(1);
    for (index, tried) in offered.iter().enumerate() {
        let mark = if Some(index) == taken { "*" } else { " " };
        let _ = writeln!(told, " {mark}{}. {}", index + 1, tried.fix.label);
    }
    let tried = taken.and_then(|index| offered.into_iter().nth(index));
    if tried.is_none() {
        let _ = writeln!(told, "  there is no fix {choice}");
    }
    tried
}

/// What changes in the file as this program writes it.
fn diff(path: &Path, before: &Program, after: &Program) -> String {
    let (before, after) = (write_program(before), write_program(after));
    let name = path.display().to_string();
    TextDiff::from_lines(before.as_str(), after.as_str())
        .unified_diff()
        .context_radius(2)
        .header(&name, &format!("{name}, mended"))
        .to_string()
}

/// How many findings there were and are.
fn sums(code: RuleCode, before: &Report, after: &Report) -> String {
    let of_rule = |report: &Report| {
        report
            .findings
            .iter()
            .filter(|finding| finding.code == code && finding.counts())
            .count()
    };
    let mut out = format!(
        "judged again: findings of {code} {} before, {} after; all errors {} before, {} after; all warnings and errors {} before, {} after\n",
        of_rule(before),
        of_rule(after),
        before.n_at_least(Severity::Error),
        after.n_at_least(Severity::Error),
        before.n_at_least(Severity::Warning),
        after.n_at_least(Severity::Warning),
    );
    for finding in after.findings.iter().filter(|finding| finding.counts()) {
        let is_known = before
            .findings
            .iter()
            .any(|known| known.code == finding.code && known.place == finding.place);
        if !is_known {
            let _ = writeln!(out, "new: {}", line(finding));
        }
    }
    out
}

/// Puts a new file in the place of the old one, so that a failure leaves the old one.
fn write_whole(path: &Path, text: &str) -> io::Result<()> {
    let path = fs::canonicalize(path)?;
    let mut beside = path.clone().into_os_string();
    beside.push(".new");
    let result = fs::File::create(&beside)
        .and_then(|mut file| {
            file.write_all(text.as_bytes())?;
            file.sync_all()
        })
        .and_then(|()| fs::rename(&beside, &path));
    if result.is_err() {
        // The half-written file is of no use; that it stays would be the lesser trouble.
        let _ = fs::remove_file(&beside);
    }
    result
}
