//! LW080: a warning beacon is uneven or outside the band.

use super::flash_rule::{Evenness, FlashIs, FlashRule, least_per_minute, most_per_minute};
use super::meta::{Known, RuleMeta, Source};

/// A warning beacon flashes outside 60 to 240 per minute or at unequal times.
pub(super) static RULE: FlashRule =
    FlashRule::of(&META, FlashIs::PulseOrTrain).evenness(Evenness::Alike(BAND));

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    80,
    "beacon-not-even-or-outside-uk-band",
    "A warning beacon flashes outside 60 to 240 per minute or at unequal times",
    &[Source::of(
        "Road Vehicles Lighting Regulations",
        "1989",
        "Schedules, number not verified",
        "warning beacons show 60 to 240 equal flashes per minute at constant intervals",
        Known::Memory,
    )],
    &[least_per_minute(60, BAND), most_per_minute(240, BAND)],
    page!("pages/lw080.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{edges, finding};

    #[test]
    fn sixty_and_two_hundred_and_forty_per_minute_are_inside() {
        edges(
            80,
            "head a front amber\nlane a ",
            &["period 250 ms: 0-100", "period 1000 ms: 0-200"],
            &[
                "period 400 ms: 0-50 150-200",
                "period 249.999 ms: 0-100",
                "period 1000.001 ms: 0-200",
                "period 500 ms: 0-100 250-350.001",
            ],
        );
    }

    /// Whether a double flash counts once or is forbidden is not known.
    #[test]
    fn a_double_flash_depends_on_the_reading() {
        let found = finding(80, "head a front amber\nlane a period 500 ms: 0-50 100-150");
        assert!(found.depends_on_reading, "{found:?}");
        assert!(
            found.message.contains("flashes are not alike on head a"),
            "{}",
            found.message
        );
    }
}
