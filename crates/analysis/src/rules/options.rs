//! What a profile says about one rule, with the rule's own figures where it says nothing.

use super::{Known, RuleMeta};
use lampwright_model::{
    Confirmation, PatternId, Problem, Profile, Program, RuleChoice, RuleCode, Severity, State,
};

/// How one rule is to be run on one program.
#[derive(Clone, Debug)]
pub struct Options<'a> {
    meta: &'static RuleMeta,
    choice: Option<&'a RuleChoice>,
    /// One entry per head of the vehicle: whether the rule looks at it.
    heads: Vec<bool>,
}

impl<'a> Options<'a> {
    /// The profile's choice of a rule; none when the rule is not to be run.
    #[must_use]
    pub fn of(program: &'a Program, meta: &'static RuleMeta) -> Option<Self> {
        let choice = program
            .profile
            .rules
            .iter()
            .find(|choice| choice.code == meta.code);
        if choice.is_none() && !meta.is_always_run {
            return None;
        }
        let mut heads = vec![false; program.vehicle.heads.len()];
        match choice.map(|choice| choice.heads.as_slice()) {
            None | Some([]) => heads.fill(true),
            Some(targets) => {
                for index in program.heads_of(targets) {
                    if let Some(looks) = heads.get_mut(index) {
                        *looks = true;
                    }
                }
            }
        }
        Some(Self {
            meta,
            choice,
            heads,
        })
    }

    /// The rule's meta data.
    #[must_use]
    pub const fn meta(&self) -> &'static RuleMeta {
        self.meta
    }

    /// Whether the profile lists the rule.
    #[must_use]
    pub const fn is_chosen(&self) -> bool {
        self.choice.is_some()
    }

    /// A parameter in thousandths of its unit: the profile's value, else the rule's own; an impossible value counts as not given.
    #[must_use]
    pub fn thousandths(&self, name: &str) -> i64 {
        let Some(parameter) = self.meta.parameter(name) else {
            return 0;
        };
        self.given(name)
            .filter(|value| (parameter.range.0..=parameter.range.1).contains(value))
            .unwrap_or(parameter.default)
    }

    /// Severity of a finding that rests on the source with this index: the profile's or the rule's own, at most a warning while unverified.
    #[must_use]
    pub fn severity(&self, source: usize) -> Severity {
        let severity = self
            .choice
            .and_then(|choice| choice.severity)
            .unwrap_or(self.meta.severity);
        if self.is_unverified(source) {
            severity.min(Severity::Warning)
        } else {
            severity
        }
    }

    /// Whether the limit of a source still needs the agency's confirmation.
    #[must_use]
    pub fn is_unverified(&self, source: usize) -> bool {
        self.confirmation().is_none()
            && self
                .meta
                .sources
                .get(source)
                .is_some_and(|source| source.known.needs_confirmation())
    }

    /// The agency's confirmation of the limit.
    #[must_use]
    pub fn confirmation(&self) -> Option<&'a Confirmation> {
        self.choice.and_then(|choice| choice.confirmed.as_ref())
    }

    /// How the limit of a source is known.
    #[must_use]
    pub fn known(&self, source: usize) -> Option<Known> {
        self.meta.sources.get(source).map(|source| source.known)
    }

    /// Whether the rule looks at a state.
    #[must_use]
    pub fn looks_at_state(&self, program: &Program, state: &State) -> bool {
        self.choice
            .and_then(|choice| choice.when.as_ref())
            .is_none_or(|when| state.meets(program, when))
    }

    /// Whether the profile says in which states the rule looks.
    #[must_use]
    pub fn is_bound_to_states(&self) -> bool {
        self.choice.is_some_and(|choice| choice.when.is_some())
    }

    /// Whether the rule looks at a head, by its index in the vehicle.
    #[must_use]
    pub fn looks_at_head(&self, index: usize) -> bool {
        self.heads.get(index).copied().unwrap_or(false)
    }

    /// Whether the rule looks at a pattern.
    #[must_use]
    pub fn looks_at_pattern(&self, pattern: &PatternId) -> bool {
        self.choice
            .is_none_or(|choice| choice.looks_at_pattern(pattern))
    }

    /// Whether the profile names the patterns it looks at.
    #[must_use]
    pub fn names_patterns(&self) -> bool {
        self.choice
            .is_some_and(|choice| !choice.only_patterns.is_empty())
    }

    /// Whether the profile names the heads it looks at.
    #[must_use]
    pub fn names_heads(&self) -> bool {
        self.choice.is_some_and(|choice| !choice.heads.is_empty())
    }

    /// Whether the profile names the states it looks at.
    #[must_use]
    pub fn names_states(&self) -> bool {
        self.choice.is_some_and(|choice| choice.when.is_some())
    }

    /// Whether the profile narrows the heads or patterns the rule looks at.
    #[must_use]
    pub fn is_narrowed(&self) -> bool {
        self.choice.is_some_and(|choice| {
            !choice.heads.is_empty()
                || !choice.only_patterns.is_empty()
                || !choice.except_patterns.is_empty()
        })
    }

    fn given(&self, name: &str) -> Option<i64> {
        let choice = self.choice?;
        let (_, value) = choice.parameters.iter().find(|(known, _)| known == name)?;
        Some(*value)
    }
}

/// What a profile asks for that no rule offers.
#[must_use]
pub(crate) fn profile_problems(
    profile: &Profile,
    meta_of: impl Fn(RuleCode) -> Option<&'static RuleMeta>,
) -> Vec<Problem> {
    let mut problems = Vec::new();
    for (index, choice) in profile.rules.iter().enumerate() {
        let path = format!("profile.rules[{index}]");
        let Some(meta) = meta_of(choice.code) else {
            problems.push(Problem::new(
                format!("{path}.code"),
                "the code of a known rule",
                choice.code.to_string(),
            ));
            continue;
        };
        for (name, value) in &choice.parameters {
            let path = format!("{path}.parameters.{name}");
            match meta.parameter(name) {
                None => {
                    let known: Vec<&str> = meta.parameters.iter().map(|known| known.name).collect();
                    let expected = if known.is_empty() {
                        format!("no parameters, {} has none", meta.code)
                    } else {
                        format!("one of {}", known.join(", "))
                    };
                    problems.push(Problem::new(path, expected, name.clone()));
                }
                Some(parameter) => {
                    let (least, most) = parameter.range;
                    if !(least..=most).contains(value) {
                        problems.push(Problem::new(
                            path,
                            format!(
                                "{} to {} {}",
                                thousandths(least),
                                thousandths(most),
                                parameter.unit
                            ),
                            format!(
                                "{}; the rule's own {} is used",
                                thousandths(*value),
                                thousandths(parameter.default)
                            ),
                        ));
                    }
                }
            }
        }
    }
    problems
}

/// A value in thousandths as plain decimal text.
pub(crate) fn thousandths(value: i64) -> String {
    crate::quantity::Quantity::thousandths(value, crate::quantity::Unit::Count).to_string()
}
