//! The color of the sum in each cell: a mixture of the colors of its clusters.
//!
//! X, Y and Z of a mixture are shortened to 31 bits, which moves u' and v' of any visible color by less than 1e-8.
//! Invariant: cells of the same color have the same place among the states.

use super::chromaticity::{Chromaticity, ColorState};
use crate::screening::scene::Ambient;
use crate::screening::settings::Ratio;

/// The color of the sum in each cell, in memory that is used again.
#[derive(Clone, Debug, Default)]
pub(super) struct Mixtures {
    primaries: Vec<Primary>,
    primary_of: Vec<usize>,
    /// Light of each primary in each cell, primary by primary.
    amounts: Vec<i64>,
    /// All colors that are shown.
    pub(super) states: Vec<ColorState>,
    pub(super) shown: Vec<Shown>,
}

/// The color of the sum in one cell.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shown {
    pub(super) time: i64,
    pub(super) place: usize,
    pub(super) is_lit: bool,
}

/// X and Z of one unit of Y, in units of 2^-32.
#[derive(Clone, Copy, Debug)]
struct Primary {
    chromaticity: Chromaticity,
    x_per_y: u64,
    z_per_y: u64,
    place: usize,
}

impl Primary {
    fn new(chromaticity: Chromaticity) -> Self {
        let (x, y) = (
            u64::from(chromaticity.x_e4()),
            u64::from(chromaticity.y_e4()),
        );
        let per_y = |part: u64| ((part << 32) + y / 2) / y;
        Self {
            chromaticity,
            x_per_y: per_y(x),
            z_per_y: per_y(10_000 - x - y),
            place: 0,
        }
    }
}

/// A chroma state is lit from this share of the reference on; 10 %, as a general flash.
const LIT_SHARE_DIVISOR: i64 = 10;

/// The place of the dark among the states.
const DARK_PLACE: usize = 0;

impl Mixtures {
    /// Finds the color of the sum `luma` in each cell.
    pub(super) fn show(
        &mut self,
        times: &[i64],
        luma: &[i64],
        clusters: (&[Chromaticity], &[i64]),
        ambient: Option<Ambient>,
        reference: i64,
        dark_share: Ratio,
    ) {
        let (chromaticities, values) = clusters;
        let cells = times.len();
        self.learn_primaries(chromaticities, ambient);
        self.add_up_primaries(values, ambient, cells);
        let dark_below = dark_share.ceil_of(reference);
        self.shown.clear();
        let mut before = None;
        for (cell, (&time, &y)) in times.iter().zip(luma).enumerate() {
            let place = if y < dark_below || y == 0 {
                DARK_PLACE
            } else {
                match before {
                    Some((same, place)) if self.has_same_amounts(same, cell, cells) => place,
                    _ => {
                        let place = self.mix(cell, cells);
                        before = Some((cell, place));
                        place
                    }
                }
            };
            let is_lit =
                i128::from(y) * i128::from(LIT_SHARE_DIVISOR) >= i128::from(reference) && y > 0;
            self.shown.push(Shown {
                time,
                place,
                is_lit,
            });
        }
    }

    fn learn_primaries(&mut self, chromaticities: &[Chromaticity], ambient: Option<Ambient>) {
        self.primaries.clear();
        self.primary_of.clear();
        self.states.clear();
        // The dark: the color of the adapting white, never saturated.
        self.states.push(ColorState {
            is_saturated: false,
            ..Chromaticity::D65.state()
        });
        let all = chromaticities.iter().copied();
        for chromaticity in all.chain(ambient.map(|ambient| ambient.chromaticity)) {
            let known = self
                .primaries
                .iter()
                .position(|primary| primary.chromaticity == chromaticity);
            self.primary_of.push(known.unwrap_or(self.primaries.len()));
            if known.is_none() {
                let place = self.place_of(chromaticity.state());
                self.primaries.push(Primary {
                    place,
                    ..Primary::new(chromaticity)
                });
            }
        }
    }

    /// Adds the light of equal colors: primary `p` in cell `k` at `p * cells + k`.
    fn add_up_primaries(&mut self, values: &[i64], ambient: Option<Ambient>, cells: usize) {
        self.amounts.clear();
        self.amounts.resize(self.primaries.len() * cells, 0);
        for (row, &primary) in values.chunks_exact(cells).zip(&self.primary_of) {
            let sums = &mut self.amounts[primary * cells..(primary + 1) * cells];
            for (sum, value) in sums.iter_mut().zip(row) {
                *sum += value;
            }
        }
        if let (Some(ambient), Some(&primary)) = (ambient, self.primary_of.last()) {
            for sum in &mut self.amounts[primary * cells..(primary + 1) * cells] {
                *sum += ambient.light;
            }
        }
    }

    fn has_same_amounts(&self, cell: usize, other: usize, cells: usize) -> bool {
        self.amounts
            .chunks_exact(cells)
            .all(|row| row[cell] == row[other])
    }

    /// The place of the mixture in a cell.
    fn mix(&mut self, cell: usize, cells: usize) -> usize {
        let of_cell = self.amounts.iter().skip(cell).step_by(cells);
        let mut lit = self
            .primaries
            .iter()
            .zip(of_cell.clone())
            .filter(|(_, amount)| **amount > 0);
        if let (Some((only, _)), None) = (lit.next(), lit.next()) {
            return only.place;
        }
        let (mut x, mut y, mut z) = (0_u128, 0_u128, 0_u128);
        for (primary, &amount) in self.primaries.iter().zip(of_cell) {
            let amount = u128::from(amount.unsigned_abs());
            x += amount * u128::from(primary.x_per_y);
            y += amount << 32;
            z += amount * u128::from(primary.z_per_y);
        }
        let sum = x + 15 * y + 3 * z;
        let surplus = (128 - sum.leading_zeros()).saturating_sub(31);
        let short = |part: u128| i64::try_from(part >> surplus).unwrap_or(0);
        self.place_of(ColorState::of_xyz(short(x), short(y), short(z)))
    }

    fn place_of(&mut self, state: ColorState) -> usize {
        match self.states.iter().rposition(|known| *known == state) {
            Some(place) => place,
            None => {
                self.states.push(state);
                self.states.len() - 1
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mixture_of_one_color_with_itself_keeps_its_coordinates() {
        for (x, y) in [
            (3127, 3290),
            (7000, 2990),
            (1400, 600),
            (7347, 2653),
            (1741, 50),
            (82, 8338),
        ] {
            let primary = Primary::new(Chromaticity::new(x, y).unwrap());
            for amount in [1_u128, 7, 1000, 123_456_789, 100_000_000_000_000_000] {
                let parts = [
                    amount * u128::from(primary.x_per_y),
                    amount << 32,
                    amount * u128::from(primary.z_per_y),
                ];
                let sum = parts[0] + 15 * parts[1] + 3 * parts[2];
                let surplus = (128 - sum.leading_zeros()).saturating_sub(31);
                let [x, y, z] = parts.map(|part| i64::try_from(part >> surplus).unwrap());
                let mixed = ColorState::of_xyz(x, y, z);
                let exact = primary.chromaticity.state();
                assert!((mixed.u_e9 - exact.u_e9).abs() <= 10, "{mixed:?} {exact:?}");
                assert!((mixed.v_e9 - exact.v_e9).abs() <= 10, "{mixed:?} {exact:?}");
                assert_eq!(mixed.is_saturated, exact.is_saturated);
            }
        }
    }
}
