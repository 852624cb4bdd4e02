//! What is known about a rule before it runs: its text, sources and parameters.

use lampwright_model::{RuleCode, Severity};

/// Everything about a rule that does not depend on a program.
#[derive(Clone, Copy, Debug)]
pub struct RuleMeta {
    /// The code, never reused.
    pub code: RuleCode,
    /// The fault it finds: "flash-rate-outside-sae-band".
    pub name: &'static str,
    /// The fault in one sentence.
    pub summary: &'static str,
    /// The family it belongs to.
    pub group: RuleGroup,
    /// Severity unless a profile changes it.
    pub severity: Severity,
    /// First version of this project that has it.
    pub since: &'static str,
    /// Where its limits come from; a finding names one by index.
    pub sources: &'static [Source],
    /// Figures a profile can set.
    pub parameters: &'static [Parameter],
    /// Whether it runs even when the profile does not list it: it checks what the program itself promises.
    pub is_always_run: bool,
    /// Its page in Markdown; empty without the feature `pages`.
    pub page: &'static str,
}

impl RuleMeta {
    /// A timing rule that is an error where its sources bear it.
    pub(crate) const fn timing(
        code: u16,
        name: &'static str,
        summary: &'static str,
        sources: &'static [Source],
        parameters: &'static [Parameter],
        page: &'static str,
    ) -> Self {
        Self {
            code: RuleCode(code),
            name,
            summary,
            group: RuleGroup::Timing,
            severity: Severity::Error,
            since: "0.1.0",
            sources,
            parameters,
            is_always_run: false,
            page,
        }
    }

    /// The parameter of a name.
    #[must_use]
    pub fn parameter(&self, name: &str) -> Option<&'static Parameter> {
        self.parameters
            .iter()
            .find(|parameter| parameter.name == name)
    }
}

/// Family of rules.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum RuleGroup {
    /// How fast and how long a light flashes.
    Timing,
    /// Sides and ends against each other.
    Balance,
    /// What heads can and cannot do.
    Heads,
    /// Photosensitive screening.
    Screening,
    /// Currents.
    Power,
    /// Mistakes that installers know.
    Practice,
    /// The document itself: promises, waivers, periods.
    Document,
}

impl RuleGroup {
    /// The plain word.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Timing => "timing",
            Self::Balance => "balance",
            Self::Heads => "heads",
            Self::Screening => "screening",
            Self::Power => "power",
            Self::Practice => "practice",
            Self::Document => "document",
        }
    }
}

/// Where a limit comes from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Source {
    /// The document.
    pub document: &'static str,
    /// Its edition or date; empty when it has none.
    pub edition: &'static str,
    /// The clause; empty when none is claimed.
    pub clause: &'static str,
    /// What it sets, in our words.
    pub says: &'static str,
    /// How far that can be trusted.
    pub known: Known,
}

/// The definition of a flash by a closing dark gap, which several rules take over.
pub(crate) const CLOSING_GAP: Source = Source::of(
    "SAE J595 and J845",
    "",
    "definition of a flash",
    "a flash is a pulse, or a train of pulses, closed by a dark interval of at least 160 ms",
    Known::Memory,
);

/// What rules on pseudo-random patterns say, which is not known here.
pub(crate) const PSEUDO_RANDOM: Source = Source::of(
    "SAE J845",
    "June 2013",
    "5.7 and 6.7, revision notes",
    "a definition of pseudo-random patterns and requirements on them were added; their content was not seen",
    Known::Read,
);

/// When a light may count as pseudo-random.
pub(crate) const REGULAR: Source = Source::of(
    "this project",
    "",
    "",
    "a light whose flashes come at three or more different intervals may count as pseudo-random",
    Known::Proposal,
);

/// Flickering lights on inland waterways, by one text.
pub(crate) const INLAND_LAW: Source = Source::of(
    "Binnenvaartpolitiereglement",
    "",
    "article 1.01, list 5 and 6",
    "flickering lights flash 50 to 60 times per minute, rapidly flickering ones 100 to 150",
    Known::Read,
);

/// The same by another text, which disagrees.
pub(crate) const INLAND_DRAFT: Source = Source::of(
    "UNECE inland waterways wiki",
    "draft",
    "",
    "40 to 60 and 100 to 120 per minute",
    Known::SecondHand,
);

/// Indicator lamps, by their rhythm.
pub(crate) const INDICATORS: Source = Source::of(
    "IEC 60073",
    "",
    "",
    "indicators flash 24 to 48 times per minute for the slow rhythm and 84 to 168 for the normal one",
    Known::Memory,
);

impl Source {
    /// What is done in the trade, without a document.
    pub(crate) const fn practice(says: &'static str) -> Self {
        Self::of("common practice", "", "", says, Known::CommonPractice)
    }

    /// Document, edition, clause, what it sets and how that is known.
    pub(crate) const fn of(
        document: &'static str,
        edition: &'static str,
        clause: &'static str,
        says: &'static str,
        known: Known,
    ) -> Self {
        Self {
            document,
            edition,
            clause,
            says,
            known,
        }
    }

    /// Document, edition and clause on one line.
    #[must_use]
    pub fn title(&self) -> String {
        [self.document, self.edition, self.clause]
            .into_iter()
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join(", ")
    }
}

/// How a limit is known.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Known {
    /// Stated in the program itself by those who wrote it.
    Stated,
    /// Read in the document itself.
    Read,
    /// Read in another public document that states it.
    SecondHand,
    /// Calculated from a stated formula.
    Computed,
    /// Usual practice, no source.
    CommonPractice,
    /// A choice of this project.
    Proposal,
    /// From memory.
    Memory,
    /// From memory, weak, or a source too poor to rely on.
    Weak,
}

impl Known {
    /// The plain words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Stated => "stated in the program",
            Self::Read => "read",
            Self::SecondHand => "second-hand",
            Self::Computed => "computed",
            Self::CommonPractice => "common practice, no source",
            Self::Proposal => "proposal of this project",
            Self::Memory => "from memory",
            Self::Weak => "from memory, weak",
        }
    }

    /// Whether a limit so known needs an agency's confirmation before it can decide an error.
    #[must_use]
    pub const fn needs_confirmation(self) -> bool {
        matches!(self, Self::Proposal | Self::Memory | Self::Weak)
    }
}

/// A figure a profile can set.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Parameter {
    /// Name in a profile.
    pub name: &'static str,
    /// What it is.
    pub label: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// Default in thousandths of the unit.
    pub default: i64,
    /// Least and largest sensible value in thousandths of the unit, inclusive.
    pub range: (i64, i64),
    /// Index into the rule's sources.
    pub source: usize,
}
