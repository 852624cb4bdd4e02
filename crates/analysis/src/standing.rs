//! What the limit of a finding rests on: the source, how it is known, what the profile set in its place, and who confirmed it.
//!
//! Invariant: a limit that the profile moved is never passed off as its source's own.
//! Absent: limits of rules that found nothing, which [`coverage`](crate::coverage::coverage) lists.

use crate::coverage::UsedLimit;
use crate::report::Finding;
use crate::rules::{Options, Source, rule};
use lampwright_model::{Confirmation, Program};

/// The grounds of one finding.
#[derive(Clone, Debug)]
pub struct Standing<'a> {
    /// Where the limit comes from.
    pub source: &'static Source,
    /// Figures of that source which the profile replaced.
    pub replaced: Vec<UsedLimit>,
    /// The agency's confirmation of the rule's limits.
    pub confirmed: Option<&'a Confirmation>,
}

impl<'a> Standing<'a> {
    /// The grounds of a finding of a program; none when the finding names no source.
    #[must_use]
    pub fn of(program: &'a Program, finding: &Finding) -> Option<Self> {
        let meta = rule(finding.code)?.meta();
        let index = finding.source?;
        let source = meta.sources.get(index)?;
        let options = Options::of(program, meta);
        let replaced = meta
            .parameters
            .iter()
            .filter(|parameter| parameter.source == index)
            .map(|parameter| UsedLimit::of(meta, parameter, options.as_ref()))
            .filter(|limit| limit.is_set)
            .collect();
        Some(Self {
            source,
            replaced,
            confirmed: options.and_then(|options| options.confirmation()),
        })
    }

    /// "SAE J845, June 2013 (read; the profile sets 5 Hz in place of 4 Hz as largest flash rate; confirmed by …)".
    #[must_use]
    pub fn text(&self) -> String {
        let mut text = self.source.title();
        text.push_str(" (");
        text.push_str(self.source.known.name());
        for limit in &self.replaced {
            text.push_str("; the profile sets ");
            text.push_str(&limit.value_text());
            text.push_str(" in place of ");
            text.push_str(&limit.own_text());
            text.push_str(" as ");
            text.push_str(limit.label);
        }
        if let Some(confirmed) = self.confirmed {
            text.push_str("; confirmed by ");
            text.push_str(&confirmed.by);
            text.push_str(" on ");
            text.push_str(&confirmed.date);
            text.push_str(" from ");
            text.push_str(&confirmed.source);
        }
        text.push(')');
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check;
    use crate::rules::sketch;
    use lampwright_model::RuleCode;

    fn grounds(rule: &str) -> String {
        let text = format!("head a front red\nlane a period 150 ms: 0-50\n{rule}");
        let program = sketch::program(RuleCode(1), &text);
        let report = check(&program);
        Standing::of(&program, &report.findings[0]).unwrap().text()
    }

    #[test]
    fn a_limit_that_the_profile_moved_is_not_passed_off_as_its_sources_own() {
        let title = "SAE J845, June 2013, 5.7 and 6.7, revision notes";
        assert_eq!(grounds(""), format!("{title} (read)"));
        assert_eq!(
            grounds("rule LW001 most_hz=5"),
            format!("{title} (read; the profile sets 5 Hz in place of 4 Hz as largest flash rate)")
        );
        // The source's own figure, written out, replaces nothing; nor does a figure of another source.
        assert_eq!(
            grounds("rule LW001 most_hz=4 gap_ms=20"),
            format!("{title} (read)")
        );
        assert!(grounds("rule LW001 confirmed").contains("; confirmed by "));
    }
}
