//! Colors of states, red flashes and color alternations.
//!
//! WCAG 2.2, red flash: opposing changes where one state has R/(R+G+B) of 0.8 or more and the two
//! states differ by more than 0.2 in CIE 1976 u'v'. A dark state is taken to have the color of the
//! adapting white D65, which makes red on and off a red flash and amber on and off none.
//!
//! Invariant: integers only.

mod alternations;
mod chromaticity;
mod mixture;
mod red;

pub use chromaticity::Chromaticity;

use super::scene::{Ambient, Extent};
use super::settings::Ratio;
use super::train::Worst;
use alternations::Alternations;
use mixture::Mixtures;
use red::RedFlashes;

/// Reusable memory for the color of the sum, and what was found in it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Colors {
    mixtures: Mixtures,
    red: RedFlashes,
    alternations: Alternations,
}

impl Colors {
    /// Finds the color of the sum `luma` in each cell.
    pub(crate) fn show(
        &mut self,
        times: &[i64],
        luma: &[i64],
        clusters: (&[Chromaticity], &[i64]),
        ambient: Option<Ambient>,
        reference: i64,
        dark_share: Ratio,
    ) {
        self.mixtures
            .show(times, luma, clusters, ambient, reference, dark_share);
    }

    /// The worst second of red flashes of the sum.
    pub(crate) fn red(&mut self, extent: Extent, second: i64) -> Worst {
        self.red.worst(&self.mixtures, extent, second)
    }

    /// Color alternations in the worst second.
    pub(crate) fn alternations(&mut self, extent: Extent, second: i64) -> u32 {
        self.alternations.worst(&self.mixtures, extent, second)
    }
}
