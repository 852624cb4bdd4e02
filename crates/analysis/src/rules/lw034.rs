//! LW034: the current of a fuse is where the fuse may blow, or where nobody can say.

use super::lw030::{assumed, note_on_assumed};
use super::{Context, Draft, Judgment, Known, Margin, Options, Rule, RuleGroup, RuleMeta, Source};
use crate::facts::{
    BLADE_GATES, BLOWS_FROM, CARRIES_UP_TO, FuseFacts, FuseGate, HeatingCourse, gate_at,
    heating_course, longest_at_least,
};
use crate::quantity::{Limit, Quantity, Unit};
use crate::report::Finding;
use lampwright_model::{ItemId, Place, RuleCode, Severity};
use lampwright_timing::Micros;

/// Fuse in its blow region.
pub(super) struct FuseMayBlow;

const CARRIES: usize = 0;
const FASTER: usize = 1;

static META: RuleMeta = RuleMeta {
    code: RuleCode(34),
    name: "fuse-may-blow",
    summary: "The current of a fuse is in the region where it may blow, or where the outcome is undefined",
    group: RuleGroup::Power,
    severity: Severity::Error,
    since: "0.1.0",
    sources: &[
        Source {
            document: "ISO 8820-3 blade fuse gates, as public data sheets quote them",
            edition: "",
            clause: "",
            says: "110 % of the rating is carried for at least 100 h; 135 % blows within 0.75 s to 600 s; between the two nothing is promised",
            known: Known::SecondHand,
        },
        Source {
            document: "gates above 135 %",
            edition: "",
            clause: "",
            says: "160 % 0.25 s to 50 s, 200 % 0.15 s to 5 s, 350 % 0.08 s to 0.5 s, 600 % 0.03 s to 0.1 s, with straight lines between the logarithms",
            known: Known::Memory,
        },
    ],
    parameters: &[],
    is_always_run: false,
    page: page!("pages/lw034.md"),
};

impl Rule for FuseMayBlow {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let electrical = &context.facts.electrical;
        if electrical.fuses.is_empty() {
            return Judgment::not_applicable("the vehicle lists no fuses");
        }
        let mut findings = Vec::new();
        let mut tightest = None;
        let mut all_assumed = 0;
        let mut drifting = Vec::new();
        for fuse in &electrical.fuses {
            let n_assumed = electrical
                .outputs
                .iter()
                .filter(|output| output.fuse.as_ref() == Some(&fuse.fuse))
                .map(|output| output.n_assumed)
                .sum();
            all_assumed += n_assumed;
            let found = match heat_for_long(options, fuse, n_assumed) {
                Some(finding) => Some(finding),
                None => {
                    let course = heating_course(context.program, &context.facts, &|emitter| {
                        emitter
                            .output
                            .as_ref()
                            .is_some_and(|output| fuse.outputs.contains(output))
                    });
                    if course.is_none() {
                        drifting.push(&fuse.fuse);
                    }
                    course.and_then(|course| heat_at_once(options, fuse, &course, n_assumed))
                }
            };
            match found {
                Some(finding) => findings.push(finding),
                None => {
                    let (rms, limit) = long_limit(fuse);
                    let place = format_args!("fuse {}", fuse.fuse);
                    Margin::tighten(&mut tightest, rms, limit, &place);
                }
            }
        }
        let mut note = note_on_assumed(all_assumed);
        if !drifting.is_empty() {
            if !note.is_empty() {
                note.push_str("; ");
            }
            note.push_str(&format!(
                "single bursts of fuse {} not looked at, its heads drift",
                super::listed(&drifting)
            ));
        }
        Judgment::Checked {
            findings,
            tightest,
            note,
        }
    }
}

fn long_limit(fuse: &FuseFacts) -> (Quantity, Limit) {
    let rms = Quantity::rounded(fuse.current.rms_in_phase_amps, Unit::Amperes);
    let (numerator, denominator) = Quantity::thousandths(fuse.rating.0, Unit::Amperes).fraction();
    let most = Quantity::new(numerator * 11, denominator * 10, Unit::Amperes);
    (rms, Limit::at_most(most))
}

/// Heat over many periods: the root mean square against the gates.
fn heat_for_long(options: &Options<'_>, fuse: &FuseFacts, n_assumed: usize) -> Option<Finding> {
    let (rms, limit) = long_limit(fuse);
    if limit.admits(rms) {
        return None;
    }
    let overload = fuse.current.rms_in_phase_amps / fuse.rating.in_units();
    let percent = Quantity::rounded(overload * 100.0, Unit::Percent);
    let edges =
        [CARRIES_UP_TO, BLOWS_FROM].map(|edge| Quantity::rounded(edge * 100.0, Unit::Percent));
    let (source, what) = match gate_at(&BLADE_GATES, overload) {
        None => (
            CARRIES,
            "between 110 % and 135 % nothing is promised, it may or may not blow".to_owned(),
        ),
        Some(gate) => (
            if overload > BLOWS_FROM {
                FASTER
            } else {
                CARRIES
            },
            format!("it blows after {}", between(&gate)),
        ),
    };
    let place = Place::Item(ItemId::Fuse(fuse.fuse.clone()));
    Some(Draft::new(options, source, place).measured(rms, limit).say(
        format!(
            "fuse {} carries {} RMS, {} of {}; {what}{}",
            fuse.fuse,
            rms.text_apart_from(&limit.ends()),
            percent.text_apart_from(&edges),
            fuse.rating,
            assumed(n_assumed)
        ),
        "Move an output to another fuse, or have a qualified installer choose fuse and wire for this current",
    ))
}

/// Heat of one burst: a stretch of high current that lasts as long as the fuse may need to blow.
fn heat_at_once(
    options: &Options<'_>,
    fuse: &FuseFacts,
    course: &HeatingCourse,
    n_assumed: usize,
) -> Option<Finding> {
    let rating = fuse.rating.in_units();
    let mut currents: Vec<f64> = course
        .iter()
        .map(|(_, amps)| *amps)
        .filter(|amps| amps / rating >= BLOWS_FROM)
        .collect();
    lampwright_timing::sort_by(&mut currents, f64::total_cmp);
    currents.dedup();
    let (amps, length, gate) = currents.into_iter().rev().find_map(|amps| {
        let gate = gate_at(&BLADE_GATES, amps / rating)?;
        let length = longest_at_least(course, amps);
        (seconds(length) >= gate.least_seconds).then_some((amps, length, gate))
    })?;
    let place = Place::Item(ItemId::Fuse(fuse.fuse.clone()));
    let burst = Quantity::of_time(length);
    let limit = Limit::at_most(Quantity::rounded(
        gate.least_seconds * 1000.0,
        Unit::Milliseconds,
    ));
    Some(Draft::new(options, FASTER, place).measured(burst, limit).say(
        format!(
            "fuse {} carries {} for {burst} at a stretch, {} of {}; it may blow after {}{}",
            fuse.fuse,
            Quantity::rounded(amps, Unit::Amperes),
            Quantity::rounded(amps / rating * 100.0, Unit::Percent),
            fuse.rating,
            between(&gate),
            assumed(n_assumed)
        ),
        "Let heads of this fuse flash in turn, or have a qualified installer choose fuse and wire for this current",
    ))
}

#[expect(
    clippy::cast_precision_loss,
    reason = "periods stay far below 2^53 microseconds"
)]
fn seconds(length: Micros) -> f64 {
    length.0 as f64 / 1e6
}

fn between(gate: &FuseGate) -> String {
    let seconds =
        |value: f64| Quantity::rounded(libm::round(value * 1000.0) / 1000.0, Unit::Seconds);
    format!(
        "{} to {}",
        seconds(gate.least_seconds),
        seconds(gate.most_seconds)
    )
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};

    fn steady(amps: &str) -> String {
        format!("head a front red {amps} output=o\noutput o 50A fuse=f\nfuse f 10A\nsteady a")
    }

    #[test]
    fn up_to_110_percent_is_carried_and_up_to_135_percent_nothing_is_promised() {
        passes(34, &steady("11A"));
        for amps in ["11.001A", "13.499A"] {
            let found = finding(34, &steady(amps));
            assert!(
                found.message.contains("nothing is promised"),
                "{}",
                found.message
            );
            assert!(!found.is_unverified);
        }
        let found = finding(34, &steady("13.5A"));
        assert!(
            found.message.contains("blows after 0.75 s to 600 s"),
            "{}",
            found.message
        );
        assert!(finding(34, &steady("13.501A")).is_unverified);
    }

    /// At 350 % a fuse may blow after 80 ms; 35 A for 80 ms of 2 s is 7 A RMS.
    #[test]
    fn a_single_burst_may_blow_it_though_the_heat_over_time_is_low() {
        let text = |end: &str| {
            format!(
                "head a front red 35A output=o\noutput o 50A fuse=f\nfuse f 10A\nlane a period 2000 ms: 0-{end}"
            )
        };
        passes(34, &text("79.999"));
        let found = finding(34, &text("80"));
        assert!(
            found.message.contains("35 A for 80 ms at a stretch"),
            "{}",
            found.message
        );
        assert!(found.is_unverified);
    }
}
