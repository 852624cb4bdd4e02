//! Fixes: edits that make a finding go away where that is mechanical.
//!
//! A fix is tried before it is offered: the edited program is judged, and the edit counts only when the finding is gone, and nothing as grave as it came in its place.
//! Therefore fixes are made when they are asked for, not with every report.
//!
//! Invariant: pure; at most [`MOST_FIXES`] fixes, the least intrusive first; the program itself is never changed here.
//! Absent: choosing for a person, and fixes that need one: other lamps, other wires, another layout.

mod lanes;
mod logic;

pub use lanes::scaled;

use crate::check::check_with;
use crate::quantity::Unit;
use crate::report::{Finding, FoundIn, Report};
use crate::rules::CheckSettings;
use lampwright_model::{Edit, ItemId, Must, Place, Program, RuleCode, State};

/// A change that removes a finding.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fix {
    /// What it does, in words: "Stretch pattern beat from 249 ms to 250 ms".
    pub label: String,
    /// The change.
    pub edit: Edit,
}

/// A fix with the program and the report that it leads to, for a preview.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TriedFix {
    /// The fix.
    pub fix: Fix,
    /// The program with it.
    pub program: Program,
    /// The judgment of that program.
    pub report: Report,
}

/// Most fixes that are offered for one finding.
pub const MOST_FIXES: usize = 3;

/// Most candidates that are tried for one finding, each by judging the whole program.
const MOST_TRIED: usize = 24;

/// The fixes of a finding; `report` is that of `program` under the same settings.
///
/// Every state of review is judged again for each candidate, so this takes some tens of judgments.
#[must_use]
pub fn fixes(
    program: &Program,
    report: &Report,
    finding: &Finding,
    settings: &CheckSettings,
) -> Vec<TriedFix> {
    let mut tried: Vec<TriedFix> = Vec::new();
    let mut kinds_done: Vec<u8> = Vec::new();
    for candidate in candidates(program, report, finding)
        .into_iter()
        .take(MOST_TRIED)
    {
        if tried.len() >= MOST_FIXES {
            break;
        }
        // One kind of change is offered in its gentlest working strength only.
        if kinds_done.contains(&candidate.kind) {
            continue;
        }
        let Candidate { kind, label, make } = candidate;
        let Some(edit) = make() else {
            continue;
        };
        if let Some(fix) = attempt(program, report, finding, settings, Fix { label, edit }) {
            kinds_done.push(kind);
            tried.push(fix);
        }
    }
    tried
}

/// Whether there is anything to try for a finding; cheap, as no change is made for it, and no promise that [`fixes`] finds one.
#[must_use]
pub fn is_worth_trying(program: &Program, report: &Report, finding: &Finding) -> bool {
    !candidates(program, report, finding).is_empty()
}

/// A change that may remove the finding, made when it is tried: a lane can hold very many pulses.
pub(crate) struct Candidate<'program> {
    /// Candidates of one kind differ in strength alone.
    kind: u8,
    label: String,
    /// None when it turns out that nothing can be changed this way.
    make: Box<dyn FnOnce() -> Option<Edit> + 'program>,
}

impl<'program> Candidate<'program> {
    fn new(kind: u8, label: String, make: impl FnOnce() -> Option<Edit> + 'program) -> Self {
        Self {
            kind,
            label,
            make: Box::new(make),
        }
    }
}

fn candidates<'program>(
    program: &'program Program,
    report: &'program Report,
    finding: &'program Finding,
) -> Vec<Candidate<'program>> {
    const SIDES_IN_STEP: RuleCode = RuleCode(11);
    const UNUSED_WAIVER: RuleCode = RuleCode(40);
    if finding.code == UNUSED_WAIVER {
        return logic::without_unused_waivers(program, report);
    }
    if finding.code == SIDES_IN_STEP {
        return logic::right_side_later(program, &states_of(program, finding), None);
    }
    if let Place::Item(ItemId::Guarantee(id)) = &finding.place
        && let Some(guarantee) = program.guarantees.iter().find(|known| known.id == *id)
    {
        match guarantee.must {
            Must::Alternate => {
                let states = states_of(program, finding);
                return logic::right_side_later(program, &states, Some(id));
            }
            Must::BeDark => return logic::dark_on_top(program, guarantee),
            _ => {}
        }
    }
    let (Some(measured), Some(limit)) = (finding.measured, finding.limit) else {
        return Vec::new();
    };
    let lane = finding.lane.as_ref();
    match (measured.unit(), lane, &finding.place) {
        (Unit::Hertz, Some((pattern, _)), _) => {
            lanes::other_period(program, pattern, measured, limit)
        }
        (Unit::Percent, Some(lane), _) => lanes::longer_pulses(program, lane, measured, limit),
        (Unit::Milliseconds, Some(lane), _) => {
            lanes::other_lengths(program, lane, finding.span, measured, limit)
        }
        (Unit::Amperes, _, Place::Item(ItemId::Output(_) | ItemId::Fuse(_))) => {
            logic::less_current(
                program,
                states_of(program, finding),
                &finding.place,
                measured,
                limit,
            )
        }
        (Unit::LevelPerMille, _, Place::Item(ItemId::Guarantee(id))) => {
            logic::lower_level(program, id, measured, limit)
        }
        _ => Vec::new(),
    }
}

/// The states a finding was found in.
fn states_of(program: &Program, finding: &Finding) -> Vec<State> {
    std::iter::once(&finding.found_in)
        .chain(&finding.also_in)
        .filter_map(|found_in| match found_in {
            FoundIn::Program | FoundIn::DefaultState => Some(State::default_of(program)),
            FoundIn::Situation(id) => State::of_situation_id(program, id),
            FoundIn::State(state) => Some(state.clone()),
        })
        .collect()
}

/// Judges the program with the fix; none when it does not do what it should.
fn attempt(
    program: &Program,
    before: &Report,
    finding: &Finding,
    settings: &CheckSettings,
    fix: Fix,
) -> Option<TriedFix> {
    let fixed = program.apply(&fix.edit).ok()?;
    if fixed == *program {
        return None;
    }
    let after = check_with(&fixed, settings);
    let unit = |finding: &Finding| finding.measured.map(crate::quantity::Quantity::unit);
    let same = |other: &&Finding| {
        other.code == finding.code
            && other.place == finding.place
            && other.lane == finding.lane
            && other.counts() == finding.counts()
    };
    let n_same = |report: &Report| report.findings.iter().filter(same).count();
    let is_gone = !after.findings.iter().filter(same).any(|other| {
        other.source == finding.source
            && unit(other) == unit(finding)
            && other.severity >= finding.severity
    });
    let has_worse = after
        .findings
        .iter()
        .filter(|found| found.counts() && found.severity >= finding.severity)
        .any(|found| {
            !before.findings.iter().any(|known| {
                known.code == found.code
                    && known.place == found.place
                    && known.severity >= found.severity
            })
        });
    let is_better = is_gone && n_same(&after) < n_same(before) && !has_worse;
    is_better.then_some(TriedFix {
        fix,
        program: fixed,
        report: after,
    })
}

#[cfg(test)]
mod tests;
