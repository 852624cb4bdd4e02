//! What judging a program yields: findings, one outcome per rule, and the states looked at.
//!
//! Invariant: findings and outcomes are sorted; the same program gives the same report.
//! Silence is never a pass: every known rule has an outcome, also the ones that were not run.

use crate::quantity::{Limit, Quantity};
use crate::screening::Band;
use lampwright_model::{
    HeadId, PatternId, Place, Problem, RoleId, RuleCode, Severity, SituationId, State,
};
use lampwright_timing::Interval;

/// What a rule reports: where, how much, against which limit, and what to do.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Finding {
    /// The rule.
    pub code: RuleCode,
    /// How grave it is, after the profile and after lowering what is unverified.
    pub severity: Severity,
    /// Where; its text is what a waiver names.
    pub place: Place,
    /// The state it was found in first.
    pub found_in: FoundIn,
    /// Further states with the same finding, in the order of review.
    pub also_in: Vec<FoundIn>,
    /// The lane that causes it.
    pub lane: Option<(PatternId, RoleId)>,
    /// The stretch to look at: of that lane's period, or of the light's own time when no lane is named.
    pub span: Option<Interval>,
    /// The head concerned.
    pub head: Option<HeadId>,
    /// Direction around the vehicle, whole degrees counterclockwise from forward.
    pub direction_degrees: Option<u16>,
    /// What was measured.
    pub measured: Option<Quantity>,
    /// What it was held against.
    pub limit: Option<Limit>,
    /// How far inside the limit; below zero when outside.
    pub margin: Option<Quantity>,
    /// What is wrong, with number, unit and limit.
    pub message: String,
    /// What to do about it.
    pub help: String,
    /// Index into the sources of the rule's meta data: where the limit comes from.
    pub source: Option<usize>,
    /// Whether the limit is known only from memory, a weak source or a proposal, and no agency has confirmed it.
    pub is_unverified: bool,
    /// Whether two readings of the source give different verdicts.
    pub depends_on_reading: bool,
    /// Index into the program's waivers when one accepts this finding.
    pub waived_by: Option<usize>,
}

impl Finding {
    /// Whether it counts: not waived.
    #[must_use]
    pub const fn counts(&self) -> bool {
        self.waived_by.is_none()
    }
}

/// In which state something was found.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum FoundIn {
    /// In the program as a whole, whatever the state.
    Program,
    /// With every signal at its default.
    DefaultState,
    /// In a situation.
    Situation(SituationId),
    /// In a state without a name.
    State(State),
}

/// What one rule came to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Outcome {
    /// The rule.
    pub code: RuleCode,
    /// Its verdict.
    pub verdict: Verdict,
    /// What the verdict does not cover, or how it was reached; empty when there is nothing to add.
    pub note: String,
    /// Whether a limit it rests on is unverified.
    pub is_unverified: bool,
    /// In how many of the judged states it looked.
    pub n_states: usize,
}

/// Why a rule that the profile does not choose was not evaluated.
pub const NOT_IN_PROFILE: &str = "not in the profile";

/// Verdict of one rule.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Verdict {
    /// Looked at, nothing found.
    Passed {
        /// The tightest margin, in words; empty when the rule has no measure.
        margin: String,
    },
    /// Something was found.
    Failed {
        /// Findings that count.
        n_findings: usize,
        /// Findings that a waiver accepts.
        n_waived: usize,
    },
    /// There is nothing for it to look at.
    NotApplicable {
        /// Why.
        why: String,
    },
    /// It did not look.
    NotEvaluated {
        /// Why.
        why: String,
    },
}

impl Verdict {
    /// The plain words.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Passed { .. } => "passed",
            Self::Failed { .. } => "failed",
            Self::NotApplicable { .. } => "not applicable",
            Self::NotEvaluated { .. } => "not evaluated",
        }
    }
}

/// What judging a program yields.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Report {
    /// Findings by severity (gravest first), code, place and state.
    pub findings: Vec<Finding>,
    /// One outcome per known rule, by code.
    pub outcomes: Vec<Outcome>,
    /// The states that were judged, in order of review.
    pub judged: Vec<FoundIn>,
    /// The screening of each judged state in its worst direction; shown only with `cautions`.
    pub screened: Vec<ScreenedState>,
    /// What the profile asks for that no rule offers: unknown codes, unknown or impossible parameters.
    pub profile_problems: Vec<Problem>,
    /// How many rules the profile chooses that exist.
    pub n_rules_chosen: usize,
    /// Figures of the screening that differ from their defaults, in words.
    pub screening_changes: Vec<String>,
    /// Texts to be shown with the findings they concern: screening and wiring cautions.
    pub cautions: Vec<&'static str>,
}

/// The worst direction of one judged state.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ScreenedState {
    /// The state.
    pub found_in: FoundIn,
    /// Its worst direction; none when nothing is lit.
    pub worst: Option<WorstDirection>,
    /// Directions that could not be screened.
    pub n_not_screened: usize,
    /// Directions screened.
    pub n_directions: usize,
}

/// Counts and band toward one direction.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct WorstDirection {
    /// Whole degrees counterclockwise from forward.
    pub azimuth_degrees: u16,
    /// Flashes in the worst second.
    pub n: u32,
    /// Red flashes in the worst second.
    pub n_red: u32,
    /// The band.
    pub band: Band,
    /// Whether the counts are a bound: a sum over free-running clocks.
    pub is_bound: bool,
}

impl Report {
    /// Findings of at least this severity that no waiver accepts.
    #[must_use]
    pub fn n_at_least(&self, severity: Severity) -> usize {
        self.findings
            .iter()
            .filter(|finding| finding.counts() && finding.severity >= severity)
            .count()
    }

    /// The gravest severity among the findings that count.
    #[must_use]
    pub fn worst(&self) -> Option<Severity> {
        self.findings
            .iter()
            .filter(|finding| finding.counts())
            .map(|finding| finding.severity)
            .max()
    }

    /// The outcome of a rule.
    #[must_use]
    pub fn outcome(&self, code: RuleCode) -> Option<&Outcome> {
        self.outcomes.iter().find(|outcome| outcome.code == code)
    }
}
