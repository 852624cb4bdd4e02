//! The rule book: a static registry, one file and one page per rule.
//!
//! Invariant: a rule is a pure function of the facts of a state (or of all judged states) and of its options; it says passed, failed, not applicable or not evaluated, never nothing.
//! Absent: measuring (facts), counting flashes for the screening, and printing.

/// The text of a rule's page, or nothing in a build that loads the pages by itself.
macro_rules! page {
    ($path:literal) => {
        if cfg!(feature = "pages") {
            include_str!($path)
        } else {
            ""
        }
    };
}

mod arrows;
mod carriers;
mod colors;
mod context;
mod directions;
mod draft;
mod figures;
mod flash_rule;
mod judgment;
mod labels;
mod lights;
mod lw001;
mod lw002;
mod lw003;
mod lw004;
mod lw005;
mod lw006;
mod lw007;
mod lw008;
mod lw009;
mod lw010;
mod lw011;
mod lw012;
mod lw013;
mod lw014;
mod lw015;
mod lw020;
mod lw021;
mod lw022;
mod lw023;
mod lw030;
mod lw031;
mod lw032;
mod lw033;
mod lw034;
mod lw035;
mod lw036;
mod lw037;
mod lw038;
mod lw039;
mod lw040;
mod lw041;
mod lw042;
mod lw043;
mod lw044;
mod lw045;
mod lw046;
mod lw047;
mod lw048;
mod lw049;
mod lw050;
mod lw051;
mod lw052;
mod lw053;
mod lw054;
mod lw055;
mod lw056;
mod lw057;
mod lw058;
mod lw059;
mod lw060;
mod lw061;
mod lw062;
mod lw063;
mod lw064;
mod lw065;
mod lw066;
mod lw067;
mod lw068;
mod lw069;
mod lw070;
mod lw071;
mod lw072;
mod lw073;
mod lw074;
mod lw075;
mod lw076;
mod lw077;
mod lw080;
mod lw081;
mod lw082;
mod lw083;
mod lw084;
mod lw085;
mod lw086;
mod lw087;
mod lw088;
mod lw089;
mod lw090;
mod lw091;
mod lw092;
mod lw093;
mod lw094;
mod lw095;
mod lw096;
mod lw097;
mod lw098;
mod lw099;
mod lw100;
mod lw101;
mod lw102;
mod lw103;
mod meta;
mod options;
mod rate_band;
mod shares;
mod together;
mod wires;

#[cfg(test)]
mod pages_run;
#[cfg(test)]
pub(crate) mod sketch;

pub use context::{CheckSettings, Context, Whole};
pub use judgment::{Judgment, Margin};
pub(crate) use lw041::why_broken;
pub use meta::{Known, Parameter, RuleGroup, RuleMeta, Source};
pub use options::Options;

pub(crate) use draft::{Draft, count, heads_listed, listed};
pub(crate) use labels::labelled;
pub(crate) use options::profile_problems;

use lampwright_model::RuleCode;

/// A rule of the book.
pub trait Rule: Sync {
    /// Code, name, sources, parameters and page.
    fn meta(&self) -> &'static RuleMeta;

    /// Judges one state; a rule of the whole program has nothing to say here.
    fn judge(&self, _context: &Context<'_>, _options: &Options<'_>) -> Judgment {
        Judgment::not_applicable("looks at the program as a whole")
    }

    /// Judges the program as a whole; none for a rule that judges state by state.
    fn judge_whole(&self, _whole: &Whole<'_, '_>, _options: &Options<'_>) -> Option<Judgment> {
        None
    }
}

/// Every rule, by code.
pub static RULES: &[&dyn Rule] = &[
    &lw001::RULE,
    &lw002::RULE,
    &lw003::FlashTimingOutsideUnR65,
    &lw004::ArrowRateOutsideBand,
    &lw005::IrregularFlashes,
    &lw006::RULE,
    &lw007::TooFewFlashesTowardADirection,
    &lw008::RULE,
    &lw009::RULE,
    &lw010::SidesOutOfBalance,
    &lw011::SidesInStep,
    &lw012::EndsOutOfBalance,
    &lw013::HeadNeverDark,
    &lw014::HeadNeverLit,
    &lw015::ColorNotInHead,
    &lw020::CombinedRateAboveThree,
    &lw021::RedFlashesAboveThree,
    &lw022::BandAboveLimit,
    &lw023::RatesFromFreeRunningClocks,
    &lw030::OutputOverRating,
    &lw031::FuseOver75PercentRms,
    &lw032::IdleAlternatorExceeded,
    &lw033::OutputOverRatingByRms,
    &lw034::FuseMayBlow,
    &lw035::FuseLargerThanWire,
    &lw036::WireOverAmpacity,
    &lw037::WireDropTooLarge,
    &lw038::EngineOffTooShort,
    &lw039::CarriersInPhase,
    &lw040::UnusedWaiver,
    &lw041::GuaranteeBroken,
    &lw042::PatternPeriodCut,
    &lw043::RULE,
    &lw044::RULE,
    &lw045::RULE,
    &lw046::RapidBeaconStepsWrong,
    &lw047::RULE,
    &lw048::RULE,
    &lw049::RULE,
    &lw050::RULE,
    &lw051::RULE,
    &lw052::RULE,
    &lw053::RULE,
    &lw054::HeadlampModulationOutsideLimits,
    &lw055::RULE,
    &lw056::RULE,
    &lw057::RULE,
    &lw058::RULE,
    &lw059::RULE,
    &lw060::CarrierTooSlow,
    &lw061::CarrierBeats,
    &lw062::CarrierModulatesTooMuch,
    &lw063::FuseHeadsInStep,
    &lw064::RULE,
    &lw065::RULE,
    &lw066::ArrowFightsFlashing,
    &lw067::WhiteToTheRear,
    &lw068::FlashesWhereBarred,
    &lw069::ClocksDrift,
    &lw070::PairIncomplete,
    &lw071::AllDarkAtOnce,
    &lw072::AllLitAtOnce,
    &lw073::PeriodsNotMultiples,
    &lw074::NoRearWarning,
    &lw075::OutputCannotDiffer,
    &lw076::LayerAlwaysCovered,
    &lw077::TwoArrowsAtOnce,
    &lw080::RULE,
    &lw081::RULE,
    &lw082::RULE,
    &lw083::RULE,
    &lw084::RULE,
    &lw085::RULE,
    &lw086::RULE,
    &lw087::RULE,
    &lw088::RULE,
    &lw089::RULE,
    &lw090::RULE,
    &lw091::RULE,
    &lw092::RULE,
    &lw093::RULE,
    &lw094::RULE,
    &lw095::RULE,
    &lw096::RateWithinGuardedRange,
    &lw097::RULE,
    &lw098::RULE,
    &lw099::RULE,
    &lw100::RULE,
    &lw101::RULE,
    &lw102::OneSourceTowardADirection,
    &lw103::ImpossibleStateNamed,
];

/// The rule of a code.
#[must_use]
pub fn rule(code: RuleCode) -> Option<&'static dyn Rule> {
    RULES.iter().copied().find(|rule| rule.meta().code == code)
}
