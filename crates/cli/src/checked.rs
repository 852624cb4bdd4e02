//! One file, read and judged, with the place of each thing in its text; the text itself is not kept.

use crate::{Ending, files, profile};
use lampwright_analysis::fix::fixes;
use lampwright_analysis::report::{Finding, Report};
use lampwright_analysis::rules::CheckSettings;
use lampwright_formats::{FileIndex, Location, read_pattern, read_profile, read_program};
use lampwright_model::{Place, Problem, Profile, Program, Severity};
use lampwright_render::file::{FileContent, FileReport};
use lampwright_render::replacement::{FixText, replacements};
use std::path::Path;

/// What came of one file.
pub(crate) struct Checked {
    path: String,
    content: Content,
    problems: Vec<Problem>,
    problem_locations: Vec<Location>,
    n_more_problems: usize,
    fixes: Vec<Vec<FixText>>,
}

enum Content {
    Program(Box<Judged>),
    Pattern { label: String, n_lanes: usize },
    Profile { title: String, n_rules: usize },
    Unreadable(String),
}

struct Judged {
    program: Program,
    report: Report,
    locations: Vec<Location>,
}

/// Reads and judges a file, a program under `profile` when one is given; with `is_fixing` mechanical fixes are tried, which takes some tens of judgments a finding.
pub(crate) fn check_file(path: &Path, profile: Option<&Profile>, is_fixing: bool) -> Checked {
    let bytes = match files::read(path) {
        Ok(bytes) => bytes,
        Err(why) => {
            return Checked {
                path: shown(path),
                content: Content::Unreadable(why),
                problems: Vec::new(),
                problem_locations: Vec::new(),
                n_more_problems: 0,
                fixes: Vec::new(),
            };
        }
    };
    let (content, problems, n_more_problems) = match format_of(&bytes) {
        Format::Pattern => read_as_pattern(&bytes),
        Format::Profile => read_as_profile(&bytes),
        Format::Program => read_as_program(&bytes, profile),
    };
    let mut checked = Checked {
        path: shown(path),
        content,
        problems,
        problem_locations: Vec::new(),
        n_more_problems,
        fixes: Vec::new(),
    };
    checked.locate(&bytes);
    // Where something was left out, values stand elsewhere in the text than in the program.
    if is_fixing && checked.problems.is_empty() {
        checked.try_fixes(&bytes);
    }
    checked
}

type Read = (Content, Vec<Problem>, usize);

fn read_as_pattern(bytes: &[u8]) -> Read {
    let outcome = read_pattern(bytes);
    let content = outcome.pattern.map_or_else(
        || Content::Unreadable("no pattern could be read".into()),
        |pattern| Content::Pattern {
            n_lanes: pattern.lanes.len(),
            label: pattern.label,
        },
    );
    (content, outcome.problems, outcome.n_more_problems)
}

fn read_as_profile(bytes: &[u8]) -> Read {
    let mut outcome = read_profile(bytes);
    let content = outcome.profile.map_or_else(
        || Content::Unreadable("no profile could be read".into()),
        |profile| {
            // An empty program under it shows what it asks for that no rule offers.
            let (program, _) = profile::put(&Program::default(), &profile);
            outcome
                .problems
                .extend(lampwright_analysis::check(&program).profile_problems);
            Content::Profile {
                title: profile.title,
                n_rules: profile.rules.len(),
            }
        },
    );
    (content, outcome.problems, outcome.n_more_problems)
}

fn read_as_program(bytes: &[u8], profile: Option<&Profile>) -> Read {
    let mut outcome = read_program(bytes);
    let content = outcome.program.map_or_else(
        || Content::Unreadable("no program could be read".into()),
        |program| {
            let program = match profile {
                None => program,
                Some(profile) => {
                    let (program, lacks) = profile::put(&program, profile);
                    outcome.problems.extend(lacks);
                    program
                }
            };
            Content::Program(Box::new(Judged {
                report: lampwright_analysis::check(&program),
                program,
                locations: Vec::new(),
            }))
        },
    );
    (content, outcome.problems, outcome.n_more_problems)
}

enum Format {
    Program,
    Pattern,
    Profile,
}

/// Which format is named first; a file that names none is read as a program and says so.
fn format_of(bytes: &[u8]) -> Format {
    let position = |name: &[u8]| {
        bytes
            .windows(name.len())
            .position(|window| window == name)
            .unwrap_or(usize::MAX)
    };
    let program = position(b"\"lampwright-program\"");
    let pattern = position(b"\"lampwright-pattern\"");
    let profile = position(b"\"lampwright-profile\"");
    if pattern < program.min(profile) {
        Format::Pattern
    } else if profile < program.min(pattern) {
        Format::Profile
    } else {
        Format::Program
    }
}

impl Checked {
    /// Finds the places of problems and findings in the text.
    fn locate(&mut self, bytes: &[u8]) {
        let n_findings = match &self.content {
            Content::Program(judged) => judged.report.findings.len(),
            _ => 0,
        };
        if n_findings == 0 && self.problems.is_empty() {
            return;
        }
        let text = match std::str::from_utf8(bytes) {
            Ok(text) => text,
            Err(error) => bytes
                .get(..error.valid_up_to())
                .and_then(|valid| std::str::from_utf8(valid).ok())
                .unwrap_or_default(),
        };
        let index = FileIndex::new(text);
        self.problem_locations = self
            .problems
            .iter()
            .map(|problem| index.path(&problem.path))
            .collect();
        if let Content::Program(judged) = &mut self.content {
            judged.locations = judged
                .report
                .findings
                .iter()
                .map(|finding| location_of(&judged.program, finding, &index))
                .collect();
        }
    }

    /// Tries the fixes of every finding and puts them into words of the text.
    fn try_fixes(&mut self, bytes: &[u8]) {
        let (Content::Program(judged), Ok(text)) = (&self.content, std::str::from_utf8(bytes))
        else {
            return;
        };
        let Judged {
            program, report, ..
        } = &**judged;
        let settings = CheckSettings::default();
        let of_finding = |finding| {
            let tried = fixes(program, report, finding, &settings).into_iter();
            let texts = tried.filter_map(|tried| {
                Some(FixText {
                    replacements: replacements(text, program, &tried.program)?,
                    label: tried.fix.label,
                })
            });
            texts.collect()
        };
        self.fixes = report.findings.iter().map(of_finding).collect();
    }

    /// What it means for the exit code.
    pub(crate) fn ending(&self, severity: Severity) -> Ending {
        let own = match &self.content {
            Content::Unreadable(_) => Ending::Failed,
            Content::Pattern { .. } | Content::Profile { .. } => Ending::Clean,
            Content::Program(judged) => {
                let report = &judged.report;
                if report.n_rules_chosen == 0 {
                    Ending::Failed
                } else if report.n_at_least(severity) > 0 || !report.profile_problems.is_empty() {
                    Ending::Findings
                } else {
                    Ending::Clean
                }
            }
        };
        let of_problems = if self.problems.is_empty() {
            Ending::Clean
        } else {
            Ending::Findings
        };
        own.max(of_problems)
    }

    /// The same for the outputs.
    pub(crate) fn view(&self) -> FileReport<'_> {
        FileReport {
            path: &self.path,
            content: match &self.content {
                Content::Program(judged) => FileContent::Program {
                    program: &judged.program,
                    report: &judged.report,
                    locations: &judged.locations,
                },
                Content::Pattern { label, n_lanes } => FileContent::Pattern {
                    label,
                    n_lanes: *n_lanes,
                },
                Content::Profile { title, n_rules } => FileContent::Profile {
                    title,
                    n_rules: *n_rules,
                },
                Content::Unreadable(why) => FileContent::Unreadable(why),
            },
            problems: &self.problems,
            problem_locations: &self.problem_locations,
            n_more_problems: self.n_more_problems,
            fixes: &self.fixes,
        }
    }
}

/// Where a finding stands: its place; where that is no thing of the file, its lane or head; in a lane the pulse that starts the stretch.
fn location_of(program: &Program, finding: &Finding, index: &FileIndex<'_>) -> Location {
    let is_thing = !matches!(
        finding.place,
        Place::Program | Place::Pair(..) | Place::Direction(_)
    );
    let at_pulse = finding
        .lane
        .as_ref()
        .filter(|(pattern, role)| {
            !is_thing || finding.place == Place::Lane(pattern.clone(), role.clone())
        })
        .and_then(|(id, role)| {
            let pattern = program.patterns.iter().find(|known| known.id == *id)?;
            let span = finding.span.filter(|span| span.length < pattern.period)?;
            let number = pattern
                .lane(role)?
                .pulses
                .iter()
                .position(|pulse| pulse.start == span.start)?;
            Some(index.pulse(id.as_str(), role.as_str(), number))
        });
    if let Some(location) = at_pulse {
        return location;
    }
    match (&finding.lane, &finding.head) {
        (Some((pattern, role)), _) if !is_thing => {
            index.place(&Place::Lane(pattern.clone(), role.clone()))
        }
        (None, Some(head)) if !is_thing => {
            index.place(&Place::Item(lampwright_model::ItemId::Head(head.clone())))
        }
        _ => index.place(&finding.place),
    }
}

/// The path with forward slashes, so that output does not depend on the system.
pub(crate) fn shown(path: &Path) -> String {
    path.to_string_lossy().replace('\\', "/")
}
