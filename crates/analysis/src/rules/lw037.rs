//! LW037: too much voltage is lost over a wire at the peak current.

use super::lw030::{assumed, note_on_assumed};
use super::wires::{NO_WIRES, size};
use super::{
    Context, Draft, Judgment, Known, Margin, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use crate::facts::ResistanceSource;
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{ItemId, Place, Return, RuleCode, Severity};

/// Too much voltage lost over a wire.
pub(super) struct WireDropTooLarge;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(37),
    name: "wire-drop-too-large",
    summary: "The wire of an output loses too much voltage at the peak current",
    group: RuleGroup::Power,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source {
        document: "boat wiring practice, as a public wiring guide quotes it",
        edition: "",
        clause: "",
        says: "at most 10 % lost for lighting that is not critical, 3 % for critical circuits; here a stand-in (proxy) for road vehicles",
        known: Known::SecondHand,
    }],
    parameters: &[Parameter {
        name: "most_percent",
        label: "largest drop as a share of the supply voltage; 3 for critical circuits",
        unit: "%",
        default: 10_000,
        range: (100, 50_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: page!("pages/lw037.md"),
};

impl Rule for WireDropTooLarge {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let electrical = &context.facts.electrical;
        let most = Quantity::thousandths(options.thousandths("most_percent"), Unit::Percent);
        let limit = Limit::at_most(most);
        let mut findings = Vec::new();
        let mut tightest = None;
        let (mut n_wires, mut n_assumed) = (0, 0);
        for output in &electrical.outputs {
            let Some(facts) = &output.wire else { continue };
            n_wires += 1;
            n_assumed += output.n_assumed;
            let place = Place::Item(ItemId::Output(output.output.clone()));
            let share = facts
                .drop_share
                .map(|share| Quantity::rounded(share * 100.0, Unit::Percent));
            if let Some(share) = share.filter(|share| limit.admits(*share)) {
                Margin::tighten(&mut tightest, share, limit, &place);
                continue;
            }
            let back = match facts.wire.return_path {
                Return::Wire => "and back by wire",
                Return::Chassis(_) => "and back through the body",
            };
            let wire = format!(
                "{} m of {} {back}{}, {}",
                Quantity::thousandths(facts.wire.length.0, Unit::Count),
                size(facts.wire.size),
                assumed(output.n_assumed),
                known(facts.resistance.source)
            );
            let peak = Quantity::of(output.current.peak, Unit::Amperes);
            let mut draft = Draft::new(options, SOURCE, place);
            let text = match (share, facts.drop_volts) {
                (Some(share), Some(volts)) => {
                    draft = draft.measured(share, limit);
                    format!(
                        "output {} loses {} V of {} at {peak}, {}, at most {most} wanted; {wire}",
                        output.output,
                        Quantity::rounded(volts, Unit::Count),
                        electrical.supply_voltage,
                        share.text_apart_from(&[most])
                    )
                }
                _ => format!(
                    "output {} cannot carry lamps of {peak} at any voltage, at most {most} drop wanted; {wire}",
                    output.output
                ),
            };
            findings.push(draft.say(
                text,
                "Have a qualified installer choose a thicker or shorter wire or a return wire, or let heads of this output flash in turn",
            ));
        }
        if n_wires == 0 {
            return Judgment::not_applicable(NO_WIRES);
        }
        Judgment::Checked {
            findings,
            tightest,
            note: note_on_assumed(n_assumed),
        }
    }
}

/// How the resistance is known.
const fn known(source: ResistanceSource) -> &'static str {
    match source {
        ResistanceSource::Faa43Table11Dash9 => {
            "largest resistance by FAA AC 43.13-1B Table 11-9 (read)"
        }
        ResistanceSource::Iec60228Class5 => "largest resistance by IEC 60228 class 5 (second-hand)",
        ResistanceSource::SolidCopper => "resistance of solid copper (computed)",
        ResistanceSource::SolidCopperWithMargin => {
            "resistance of solid copper with a margin (proposal of this project)"
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};

    fn run(amps: &str, wire: &str) -> String {
        format!(
            "head a front red {amps} current=constant output=o\noutput o 50A wire={wire}\nsteady a"
        )
    }

    /// 13.3 ohm/km (IEC 60228 class 5, second-hand), 50 degrees: 8 m loop of 0.11894 ohm; 10 % of 12.8 V is lost at 10.761 A.
    #[test]
    fn a_tenth_may_be_lost_and_no_more() {
        passes(37, &run("10.76A", "1.5mm2/4/wire"));
        let found = finding(37, &run("10.763A", "1.5mm2/4/wire"));
        assert!(found.message.contains("IEC 60228"), "{}", found.message);
        assert!(
            found.message.contains("4 m of 1.5 mm²"),
            "{}",
            found.message
        );
    }

    #[test]
    fn the_body_as_return_path_counts_with_its_own_resistance() {
        passes(37, &run("10.763A", "1.5mm2/4/chassis5"));
        finding(37, &run("10.763A", "1.5mm2/4/chassis60"));
    }

    #[test]
    fn three_percent_is_a_choice_of_the_profile() {
        let text = run("3.23A", "1.5mm2/4/wire");
        passes(37, &text);
        finding(37, &format!("{text}\nrule LW037 most_percent=3"));
        passes(
            37,
            &format!(
                "{}\nrule LW037 most_percent=3",
                run("3.22A", "1.5mm2/4/wire")
            ),
        );
    }

    /// 12.8 V squared over four times 0.238 ohm is 172 W; 20 A at 12.8 V are 256 W.
    #[test]
    fn a_load_the_wire_cannot_feed_at_any_voltage_is_said_so() {
        let text = "head a front red 20A output=o\noutput o 50A wire=1.5mm2/8/wire\nsteady a";
        assert!(finding(37, text).message.contains("at any voltage"));
    }
}
