//! What has to be shown wherever a band or a count is shown.
//!
//! The wording is this project's; what it rests on is stated with each text.

/// What the screen is and is not.
pub const NOT_A_CLEARANCE: &str = "This is a screening aid. It is not a medical clearance, not a statement of conformity, and it does not replace professional judgment; local law and the agency's specification decide.";

/// What the counts cover.
pub const COUNTS_COVER: &str = "The counts hold for the program, the direction and the units selected. Lights that do not keep time with these add to the count.";

/// The conditions assumed (Salet et al. 2019; ITU-R BT.1702-3, Annex 5).
pub const CONDITIONS: &str = "Night, both eyes open and a large lit field are assumed. Neither distance nor low brightness is used to excuse a pattern.";

/// What to do when someone is affected.
pub const IF_AFFECTED: &str = "If someone is affected: set the lamps to steady or switch them off, have the person cover one eye and look away, and follow first-aid practice.";

/// The preview is a flashing light itself (WCAG 2.2, 2.3.1).
pub const PREVIEW: &str = "The preview flashes too. It starts still, plays slowed to at most three flashes a second unless full speed is confirmed, and stops on Space or Escape.";

/// The five texts that stand beside every band.
pub const STANDING: [&str; 5] = [
    NOT_A_CLEARANCE,
    COUNTS_COVER,
    CONDITIONS,
    IF_AFFECTED,
    PREVIEW,
];

/// Why the screen is an analogy.
pub const ANALOGY: &str = "Every criterion used here was made for screens or for strobes in a clinic. No standard sets photosensitive limits for a whole vehicle; the criteria are carried over and applied strictly.";

/// The limit of the relative criterion.
pub const WEAK_LIGHTS: &str = "A lamp below a tenth of the combined peak is not counted, however near it may be. Such lamps are listed apart when they flash more than three times a second.";

/// What a low band does not say.
pub const NOT_PROOF: &str = "LOW or LIMIT is no proof of safety: a few people react below 3 Hz, or to stripes, color or glare alone. First seizures occur in people who did not know of their sensitivity.";

/// What is not modeled.
pub const NOT_MODELED: &str = "Not modeled: other vehicles, reflections, wipers, trees and fences, moving observers, dimming carriers beating with cameras or other lamps, and the afterglow of lamps.";

/// Who the percentages in the literature speak of.
pub const SHARES: &str = "Shares of people reacting speak of photosensitive patients under laboratory stimulation, not of passers-by.";

/// Regulations and the screen are apart.
pub const REGULATIONS: &str = "A lamp regulation may require more than three flashes a second. Screening says nothing about approval, and approval nothing about screening.";

/// Being seen protects too (SAE 2022-01-0967; PMC6215324).
pub const CONSPICUITY: &str = "Being seen is a matter of safety as well, and the officer weighs both. Published trials suggest that slower, synchronized patterns that do not go fully dark cost little at night.";

/// The remaining limits, shown in full reports.
pub const LIMITS: [&str; 7] = [
    ANALOGY,
    WEAK_LIGHTS,
    NOT_PROOF,
    NOT_MODELED,
    SHARES,
    REGULATIONS,
    CONSPICUITY,
];

/// For continuous operation in any band from LIMIT up (ITU-R BT.1702-3, Annex 1).
pub const FIVE_SECONDS: &str =
    "Flashing that goes on for more than 5 s may be a risk even where every second complies.";

/// With units on clocks of their own.
pub const PHASES_UNKNOWN: &str = "Phases unknown: these units do not keep time with one another, so their worst counts are added. The bound governs; an alignment shown is only the worst one found.";

/// When the span of four leading edges is one second or a little more.
pub const NO_TIMING_MARGIN: &str = "No timing margin: the fourth flash falls just outside the second, by less than the timing tolerance of the hardware.";

/// When red flashes stem from amber beside blue or green.
pub const AMBER_WITH_OTHER_COLOR: &str = "Amber alternating with blue or green is a red flash by the wording of WCAG 2.2, since amber reaches the red share and the colors differ by more than 0.2 in u'v'.";

/// Which figures are this project's own.
pub const PROPOSALS: &str = "Proposals of this project, not published limits: the interval of 6 to 9, the steps for red and for bursts, onsets within 1/30 s as one, the tenth below which a cluster does not count, and the timing tolerance of 2 %.";
