//! The rule book: a static registry, one file and one page per rule.
//!
//! Invariant: a rule is a pure function of the facts of a state (or of all judged states) and of its options; it says passed, failed, not applicable or not evaluated, never nothing.
//! Absent: measuring (facts), counting flashes for the screening, and printing.

mod carriers;
mod context;
mod directions;
mod draft;
mod judgment;
mod lights;
mod lw001;
mod lw002;
mod lw003;
mod lw004;
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
mod lw060;
mod lw061;
mod lw062;
mod lw063;
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
pub use meta::{Known, Parameter, RuleGroup, RuleMeta, Source};
pub use options::Options;

pub(crate) use draft::{Draft, count, listed};
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
    &lw001::FlashRateOutsideSaeBand,
    &lw002::FlashRateOutsideAmbulanceBand,
    &lw003::FlashTimingOutsideUnR65,
    &lw004::ArrowRateOutsideBand,
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
    &lw060::CarrierTooSlow,
    &lw061::CarrierBeats,
    &lw062::CarrierModulatesTooMuch,
    &lw063::FuseHeadsInStep,
];

/// The rule of a code.
#[must_use]
pub fn rule(code: RuleCode) -> Option<&'static dyn Rule> {
    RULES.iter().copied().find(|rule| rule.meta().code == code)
}
