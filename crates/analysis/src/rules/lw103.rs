//! LW103: a state that has a name is one the program calls impossible.

use super::{Context, Draft, Judgment, Known, Options, Rule, RuleGroup, RuleMeta, Source};
use crate::report::FoundIn;
use lampwright_model::{Alternative, ItemId, Place, RuleCode, Severity};

/// A named state that is said to be impossible.
pub(super) struct ImpossibleStateNamed;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(103),
    name: "impossible-state-named",
    summary: "The default state or a situation is one that the program calls impossible",
    group: RuleGroup::Document,
    severity: Severity::Error,
    since: "0.1.0",
    sources: &[Source {
        document: "impossible conditions of the program",
        edition: "",
        clause: "",
        says: "which values of signals never come together, so that no proof over all states looks at them",
        known: Known::Stated,
    }],
    parameters: &[],
    is_always_run: true,
    page: page!("pages/lw103.md"),
};

impl Rule for ImpossibleStateNamed {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let program = context.program;
        if program.impossible.is_empty() {
            return Judgment::not_applicable("nothing is called impossible");
        }
        let (place, name) = match &context.found_in {
            FoundIn::Situation(id) => {
                (Place::Item(ItemId::Situation(id.clone())), "this situation")
            }
            FoundIn::DefaultState => (Place::Program, "the default state"),
            FoundIn::Program | FoundIn::State(_) => (Place::Program, "this state"),
        };
        let state = &context.drive.state;
        Judgment::Checked {
            findings: program
                .impossible
                .iter()
                .filter(|condition| state.meets_alternative(program, condition))
                .map(|condition| {
                    Draft::new(options, SOURCE, place.clone()).say(
                        format!(
                            "{name} has what is called impossible: {}; the proofs over all states pass it over",
                            words(condition)
                        ),
                        "Take the condition off those that are impossible, or give the state other values",
                    )
                })
                .collect(),
            tightest: None,
            note: String::new(),
        }
    }
}

/// The values that are said never to come together.
fn words(condition: &Alternative) -> String {
    let signals = condition.0.iter().map(|(signal, values)| {
        let values: Vec<&str> = values.iter().map(|value| value.as_str()).collect();
        format!("{signal} {}", values.join(" or "))
    });
    signals.collect::<Vec<String>>().join(" with ")
}

#[cfg(test)]
mod tests {
    use crate::report::{FoundIn, Verdict};
    use crate::rules::sketch::{finding, findings, passes, verdict};

    const SIGNALS: &str =
        "head a front red\nsteady a\nsignal gear park,drive,reverse\nsignal door shut,open\n";

    fn sketch(lines: &str) -> String {
        format!("{SIGNALS}{lines}")
    }

    #[test]
    fn a_situation_and_the_default_state_are_held_against_what_is_impossible() {
        let driving = "situation loading gear=drive door=open\n";
        let named = finding(
            103,
            &sketch(&format!("{driving}impossible gear=drive door=open")),
        );
        assert_eq!(named.place.to_string(), "situation loading");
        assert_eq!(
            named.found_in,
            FoundIn::Situation("loading".parse().unwrap())
        );
        assert!(
            named.message.contains("gear drive with door open"),
            "{}",
            named.message
        );
        // The default state has the first value of each signal.
        let default = finding(103, &sketch("impossible gear=park,drive door=shut"));
        assert_eq!(default.found_in, FoundIn::DefaultState);
        assert!(
            default
                .message
                .contains("gear park or drive with door shut"),
            "{}",
            default.message
        );
    }

    #[test]
    fn each_impossible_condition_is_told_apart() {
        let text =
            sketch("situation s gear=drive door=open\nimpossible gear=drive\nimpossible door=open");
        assert_eq!(findings(103, &text).len(), 2);
    }

    #[test]
    fn states_that_lack_one_value_pass() {
        passes(
            103,
            &sketch("situation s gear=drive\nimpossible gear=drive door=open"),
        );
        passes(
            103,
            &sketch("situation s gear=reverse door=open\nimpossible gear=drive door=open"),
        );
    }

    #[test]
    fn without_impossible_conditions_there_is_nothing_to_look_at() {
        assert!(matches!(
            verdict(103, SIGNALS),
            Verdict::NotApplicable { .. }
        ));
    }
}
