//! LW038: the battery does not carry the lamps long enough with the engine off.

use super::lw030::{assumed, note_on_assumed};
use super::{
    Context, Draft, Judgment, Known, Margin, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use crate::facts::{minutes_from_amp_hours, minutes_from_reserve};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{Battery, Place, RuleCode, Severity};

/// Engine-off time too short.
pub(super) struct EngineOffTooShort;

const TIME: usize = 0;
const PEUKERT: usize = 1;

/// Hours a stated charge is rated over (common practice, no source).
const RATED_HOURS: f64 = 20.0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(38),
    name: "engine-off-too-short",
    summary: "The battery does not carry the lamps for the time wanted with the engine off",
    group: RuleGroup::Power,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[
        Source {
            document: "time the agency wants",
            edition: "",
            clause: "",
            says: "at least 30 minutes unless the profile sets its own",
            known: Known::Proposal,
        },
        Source {
            document: "reserve capacity and the law of Peukert",
            edition: "",
            clause: "",
            says: "minutes from RC (25 A / I)^k times the usable share; k 1.2 to 1.3 for flooded batteries, 40 to 50 % usable when the engine must start again",
            known: Known::SecondHand,
        },
    ],
    parameters: &[
        Parameter {
            name: "least_minutes",
            label: "time the lamps must run with the engine off",
            unit: "min",
            default: 30_000,
            range: (1_000, 10_000_000),
            source: TIME,
        },
        Parameter {
            name: "peukert",
            label: "exponent of the battery; about 1.05 to 1.15 for absorbed glass mat",
            unit: "",
            default: 1_200,
            range: (1_000, 2_000),
            source: PEUKERT,
        },
        Parameter {
            name: "usable_percent",
            label: "share of the charge that may be used",
            unit: "%",
            default: 40_000,
            range: (1_000, 100_000),
            source: PEUKERT,
        },
    ],
    is_always_run: false,
    page: page!("pages/lw038.md"),
};

impl Rule for EngineOffTooShort {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let electrical = &context.facts.electrical;
        let (Some(battery), Some(engine_off)) = (
            context.program.vehicle.supply.battery,
            &electrical.engine_off,
        ) else {
            return Judgment::not_evaluated("no battery is entered");
        };
        let amps = engine_off.load.as_f64();
        let exponent = crate::Ratio::thousandths(options.thousandths("peukert")).as_f64();
        let usable =
            crate::Ratio::new(i128::from(options.thousandths("usable_percent")), 100_000).as_f64();
        let minutes = match battery {
            Battery::ReserveMinutes(reserve) => {
                minutes_from_reserve(f64::from(reserve), amps, exponent, usable)
            }
            Battery::MilliampHours(charge) => minutes_from_amp_hours(
                crate::Ratio::thousandths(charge).as_f64(),
                RATED_HOURS,
                amps,
                exponent,
                usable,
            ),
        };
        if minutes.is_infinite() {
            return Judgment::not_applicable("nothing draws current");
        }
        let minutes = Quantity::rounded(minutes, Unit::Minutes);
        let least = Quantity::thousandths(options.thousandths("least_minutes"), Unit::Minutes);
        let limit = Limit::at_least(least);
        let mut findings = Vec::new();
        if !limit.admits(minutes) {
            findings.push(
                Draft::new(options, TIME, Place::Supply)
                    .measured(minutes, limit)
                    .say(
                        format!(
                            "the battery carries {} for {} with the engine off, at least {least} wanted{}",
                            Quantity::of(engine_off.load, Unit::Amperes),
                            minutes.text_apart_from(&[least]),
                            assumed(electrical.n_assumed)
                        ),
                        "Dim or switch off lamps in this state, shed other load, or have a larger battery fitted",
                    ),
            );
        }
        Judgment::Checked {
            findings,
            tightest: Margin::of(minutes, limit, "supply"),
            note: note_on_assumed(electrical.n_assumed),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    /// At 25 A a reserve of 75 minutes is 75 minutes whatever the exponent; 40 % of it is 30.
    #[test]
    fn at_25_amperes_the_usable_share_of_the_reserve_counts() {
        let text = "battery 75\nhead a front red 25A\nsteady a";
        let at = |least: &str| format!("{text}\nrule LW038 least_minutes={least}");
        passes(38, &at("30"));
        let found = finding(38, &at("30.001"));
        assert!(found.is_unverified);
        assert!(
            found.message.contains("carries 25 A for 30 min"),
            "{}",
            found.message
        );
    }

    /// Half the current with exponent 1.2: 2^1.2 = 2.297 times as long.
    #[test]
    fn the_exponent_makes_half_the_current_last_more_than_twice_as_long() {
        let text = "battery 75\nhead a front red 12.5A\nsteady a\nrule LW038 least_minutes=";
        passes(38, &format!("{text}68.9"));
        finding(38, &format!("{text}69"));
        finding(38, &format!("{text}60.001 peukert=1"));
    }

    #[test]
    fn without_a_battery_it_is_not_evaluated() {
        let verdict = verdict(38, "head a front red 4A\nsteady a");
        assert!(
            matches!(verdict, Verdict::NotEvaluated { .. }),
            "{verdict:?}"
        );
    }
}
