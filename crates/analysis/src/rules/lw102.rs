//! LW102: toward some direction a fire apparatus would be without signal if one source failed.

use super::directions::{azimuth, directions, heads_toward};
use super::meta::{Known, Parameter, RuleMeta, Source};
use super::shares::is_flashing;
use super::{Context, Draft, Judgment, Margin, Options, Rule, count};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::Place;

/// Fewer than two flashing heads toward a direction.
pub(super) struct OneSourceTowardADirection;

const FAILURE: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    102,
    "one-source-toward-a-direction",
    "Toward some direction a fire apparatus would show no flash if one head failed",
    &[
        Source::of(
            "NFPA 1901",
            "2009 and 2016",
            "",
            "failure of one optical source must not leave a measuring point without signal",
            Known::Memory,
        ),
        Source::of(
            "this project",
            "",
            "",
            "a head is one optical source, and every head whose beam reaches a direction gives a signal there",
            Known::Proposal,
        ),
    ],
    &[Parameter {
        name: "least_heads",
        label: "fewest flashing heads toward each direction",
        unit: "",
        default: 2_000,
        range: (1_000, 1_000_000),
        source: FAILURE,
    }],
    page!("pages/lw102.md"),
);

impl Rule for OneSourceTowardADirection {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let flashes = |index: usize| {
            options.looks_at_head(index) && is_flashing(context, options, index, None)
        };
        if !(0..context.facts.heads.len()).any(flashes) {
            return Judgment::not_applicable("nothing flashes");
        }
        let Some(toward) = heads_toward(context, flashes) else {
            return directions(context).conclude(Vec::new(), None, String::new());
        };
        let least = Quantity::thousandths(options.thousandths("least_heads"), Unit::Count);
        let limit = Limit::at_least(least);
        let number = |heads: &[usize]| Quantity::whole(heads.len() as i64, Unit::Count);
        let Some((degrees, heads)) = toward.iter().min_by_key(|(_, heads)| heads.len()) else {
            return Judgment::not_evaluated("no direction was looked at");
        };
        let fewest = number(heads);
        let mut findings = Vec::new();
        if !limit.admits(fewest) {
            let n_below = toward
                .iter()
                .filter(|(_, heads)| !limit.admits(number(heads)))
                .count();
            findings.push(
                Draft::new(options, FAILURE, Place::Direction(*degrees))
                    .direction(*degrees)
                    .measured(fewest, limit)
                    .say(
                        format!(
                            "{} flashing toward {}, {} wanted; below it toward {n_below} of {} directions",
                            count(heads.len(), "head", "heads"),
                            azimuth(*degrees),
                            limit.text(),
                            toward.len()
                        ),
                        "Let another head that reaches this direction flash",
                    ),
            );
        }
        Judgment::Checked {
            findings,
            tightest: Margin::of(fewest, limit, &format!("direction {}", azimuth(*degrees))),
            note: "counts the heads whose beam, stated or assumed, reaches a direction".into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};
    use lampwright_model::Severity;

    const ROUND: &str = "head a front red\nhead b rear red\nhead c left red\nhead d right red\n\
        head e front red\nhead f rear red\nhead g left red\nhead h right red\n";

    #[test]
    fn a_second_head_has_to_flash_toward_every_direction() {
        passes(
            102,
            &format!("{ROUND}lane a b c d e f g h period 500 ms: 0-100"),
        );
        let found = finding(
            102,
            &format!("{ROUND}lane a b c d f g h period 500 ms: 0-100\nsteady e"),
        );
        assert_eq!(found.severity, Severity::Warning);
        assert!(found.is_unverified);
        assert!(
            found
                .message
                .starts_with("1 head flashing toward 0° (front), at least 2 wanted"),
            "{}",
            found.message
        );
        passes(
            102,
            &format!("{ROUND}lane a b c d period 500 ms: 0-100\nrule LW102 least_heads=1"),
        );
    }

    #[test]
    fn a_direction_without_light_has_no_head_at_all() {
        let found = finding(102, "head a front red\nlane a period 500 ms: 0-100");
        assert!(
            found.message.starts_with("0 heads flashing"),
            "{}",
            found.message
        );
    }
}
