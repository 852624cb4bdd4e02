//! Colors of states, red flashes and color alternations.
//!
//! WCAG 2.2, red flash: opposing changes where one state has R/(R+G+B) of 0.8 or more and the two
//! states differ by more than 0.2 in CIE 1976 u'v'. A dark state is taken to have the color of the
//! adapting white D65, which makes red on and off a red flash and amber on and off none.
//!
//! Quantization: u' and v' are whole numbers of 1e-9. A single color follows from its chromaticity
//! exactly, rounded down once; in a mixture X, Y and Z are first shortened to 31 bits, which moves
//! u' and v' of any visible color by less than 1e-8. R, G and B use the inverse matrix rounded to 1e-7.
//! Invariant: integers only.

use super::cycles::Cycles;
use super::scene::{Ambient, Extent};
use super::settings::Ratio;
use super::train::{Train, Worst};

/// A chromaticity in CIE 1931 x, y, as whole numbers of 1e-4.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Chromaticity {
    x_e4: u16,
    y_e4: u16,
}

impl Chromaticity {
    /// The adapting white, x 0.3127, y 0.3290.
    pub const D65: Self = Self {
        x_e4: 3127,
        y_e4: 3290,
    };

    /// x and y in units of 1e-4; `None` when y is 0 or x + y is above 1.
    #[must_use]
    pub const fn new(x_e4: u16, y_e4: u16) -> Option<Self> {
        if y_e4 > 0 && x_e4 as u32 + y_e4 as u32 <= 10_000 {
            Some(Self { x_e4, y_e4 })
        } else {
            None
        }
    }

    /// x in units of 1e-4.
    #[must_use]
    pub const fn x_e4(self) -> u16 {
        self.x_e4
    }

    /// y in units of 1e-4.
    #[must_use]
    pub const fn y_e4(self) -> u16 {
        self.y_e4
    }

    /// CIE 1976 u' and v' in units of 1e-9, rounded down.
    #[must_use]
    pub fn uv_e9(self) -> (i64, i64) {
        let state = self.state();
        (state.u_e9, state.v_e9)
    }

    /// Whether R/(R+G+B) is 0.8 or more (linear sRGB, negatives set to 0).
    #[must_use]
    pub fn is_saturated_red(self) -> bool {
        self.state().is_saturated
    }

    /// Whether the distance to another chromaticity in u'v' is above 0.2.
    #[must_use]
    pub fn is_far_from(self, other: Self) -> bool {
        self.state().is_far_from(other.state())
    }

    /// Whether flashing this color against the dark is a red flash by the wording of WCAG 2.2.
    #[must_use]
    pub fn is_red_against_dark(self) -> bool {
        self.is_saturated_red() && self.is_far_from(Self::D65)
    }

    fn state(self) -> ColorState {
        let (x, y) = (i64::from(self.x_e4), i64::from(self.y_e4));
        ColorState::of_xyz(x, y, 10_000 - x - y)
    }
}

/// A color as the red test sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct ColorState {
    u_e9: i64,
    v_e9: i64,
    is_saturated: bool,
}

/// 0.2 in u'v', in units of 1e-9 (WCAG 2.2, red flash).
const FAR_E9: i64 = 200_000_000;

impl ColorState {
    const DARK_PLACE: usize = 0;

    /// From X, Y, Z with X + 15 Y + 3 Z below 2^31.
    fn of_xyz(x: i64, y: i64, z: i64) -> Self {
        let sum = (x + 15 * y + 3 * z).max(1);
        // The inverse of the RGB to XYZ matrix printed with WCAG 2.2, in units of 1e-7.
        let red = (32_404_548 * x - 15_371_389 * y - 4_985_315 * z).max(0);
        let green = (-9_692_664 * x + 18_760_109 * y + 415_561 * z).max(0);
        let blue = (556_434 * x - 2_040_259 * y + 10_572_252 * z).max(0);
        Self {
            u_e9: 4 * x * 1_000_000_000 / sum,
            v_e9: 9 * y * 1_000_000_000 / sum,
            is_saturated: red > 0 && red >= 4 * (green + blue),
        }
    }

    fn is_far_from(self, other: Self) -> bool {
        let (u, v) = (self.u_e9 - other.u_e9, self.v_e9 - other.v_e9);
        // Either part alone decides when it is large, and the squares of small ones fit.
        u.abs() > FAR_E9 || v.abs() > FAR_E9 || u * u + v * v > FAR_E9 * FAR_E9
    }
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
        let (x, y) = (u64::from(chromaticity.x_e4), u64::from(chromaticity.y_e4));
        let per_y = |part: u64| ((part << 32) + y / 2) / y;
        Self {
            chromaticity,
            x_per_y: per_y(x),
            z_per_y: per_y(10_000 - x - y),
            place: 0,
        }
    }
}

/// The color of the sum in one cell.
#[derive(Clone, Copy, Debug)]
struct Shown {
    time: i64,
    place: usize,
    is_lit: bool,
}

/// Reusable memory for the color of the sum, and what was found in it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Colors {
    primaries: Vec<Primary>,
    primary_of: Vec<usize>,
    /// Light of each primary in each cell, primary by primary.
    amounts: Vec<i64>,
    states: Vec<ColorState>,
    shown: Vec<Shown>,
    /// `shown` with equal neighbors as one.
    changes: Vec<(i64, usize)>,
    far: Vec<u64>,
    kept: Vec<u64>,
    /// For each of `changes`, how many changes before it the nearest far one lies; none around the period when 0.
    since_far: Vec<usize>,
    /// For each of `changes`, how many changes after it the counter changes next; never when 0.
    until_next: Vec<usize>,
    cycles: Cycles,
    to_red: Vec<i64>,
    from_red: Vec<i64>,
    alternations: Vec<i64>,
}

/// A chroma state is lit from this share of the reference on; 10 %, as a general flash.
const LIT_SHARE_DIVISOR: i64 = 10;

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
        let (chromaticities, values) = clusters;
        let cells = times.len();
        self.learn_primaries(chromaticities, ambient);
        self.add_up_primaries(values, ambient, cells);
        let dark_below = dark_share.ceil_of(reference);
        self.shown.clear();
        let mut before = None;
        for (cell, (&time, &y)) in times.iter().zip(luma).enumerate() {
            let place = if y < dark_below || y == 0 {
                ColorState::DARK_PLACE
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
        // The first place is the dark: the color of the adapting white, never saturated.
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

    /// The worst second of red flashes of the sum.
    pub(crate) fn red(&mut self, extent: Extent, second: i64) -> Worst {
        self.changes.clear();
        for shown in &self.shown {
            if self.changes.last().is_none_or(|last| last.1 != shown.place) {
                self.changes.push((shown.time, shown.place));
            }
        }
        if let (Extent::Cyclic { .. }, [first, .., last]) = (extent, self.changes.as_slice())
            && first.1 == last.1
        {
            self.changes.remove(0);
        }
        if !self.find_far() {
            return Worst::default();
        }
        match extent {
            Extent::Cyclic { period } => self.red_cyclic(period, second),
            Extent::Once { .. } => self.red_once(second),
        }
    }

    /// Fills the table of states that differ by more than 0.2, at least one of them saturated.
    ///
    /// False when no saturated state is far from one that is not, so that red changes at most once.
    fn find_far(&mut self) -> bool {
        let n = self.states.len();
        if !self.states.iter().any(|state| state.is_saturated) {
            return false;
        }
        let words = n.div_ceil(64);
        self.far.clear();
        self.far.resize(n * words, 0);
        let mut found = false;
        // Only pairs with a saturated state are ever asked for.
        for (place, state) in self.states.iter().enumerate() {
            if !state.is_saturated {
                continue;
            }
            for (other_place, other) in self.states.iter().enumerate() {
                if state.is_far_from(*other) {
                    self.far[place * words + other_place / 64] |= 1 << (other_place % 64);
                    self.far[other_place * words + place / 64] |= 1 << (place % 64);
                    found |= !other.is_saturated;
                }
            }
        }
        self.kept.clear();
        self.kept.resize(words, 0);
        found
    }

    fn red_cyclic(&mut self, period: i64, second: i64) -> Worst {
        self.find_since_far();
        self.find_next();
        let Self {
            changes,
            states,
            until_next,
            cycles,
            to_red,
            from_red,
            ..
        } = self;
        let mut worst = Worst::default();
        cycles.visit(
            changes.len(),
            |at| {
                let n_steps = until_next[at];
                let (place, n) = (at + n_steps, changes.len());
                let turns = i64::try_from(place / n).unwrap_or(0);
                (n_steps > 0).then_some((place % n, turns))
            },
            |cycle, turns| {
                to_red.clear();
                from_red.clear();
                for &(at, turn) in cycle {
                    let (time, place) = changes[at];
                    let is_red = states[place].is_saturated;
                    let train = if is_red { &mut *to_red } else { &mut *from_red };
                    train.push(time + turn * period);
                }
                for times in [&*to_red, &*from_red] {
                    let here = Train {
                        times,
                        period: Some(turns * period),
                    }
                    .worst(second);
                    if here.count > worst.count {
                        worst = here;
                    }
                }
            },
        );
        worst
    }

    /// Fills `since_far`: for a saturated state any state counts, for another one the saturated ones, as the table of far states has it.
    fn find_since_far(&mut self) {
        let Self {
            changes,
            states,
            far,
            since_far,
            ..
        } = self;
        let n = changes.len();
        let words = states.len().div_ceil(64);
        since_far.clear();
        since_far.extend((0..n).map(|at| {
            let of_state = changes[at].1;
            let far = &far[of_state * words..(of_state + 1) * words];
            if far.iter().all(|word| *word == 0) {
                return 0;
            }
            let before = changes[..at].iter().rev().chain(changes[at..].iter().rev());
            before
                .zip(1..n)
                .find(|((_, place), _)| far[place / 64] & (1 << (place % 64)) != 0)
                .map_or(0, |(_, n_steps)| n_steps)
        }));
    }

    /// Fills `until_next`: what the counter of [`RedMachine`] keeps from a place on is everything that can bear on a change, so it changes at the first state of the other kind whose nearest far state is not further back than that place.
    ///
    /// A later place keeps less, so it is never followed by an earlier change: one pass does for all places of a kind.
    fn find_next(&mut self) {
        let Self {
            changes,
            states,
            since_far,
            until_next,
            ..
        } = self;
        let n = changes.len();
        until_next.clear();
        until_next.resize(n, 0);
        for is_red in [false, true] {
            let mut next = 0;
            for at in 0..n {
                next = next.max(at + 1);
                let is_change = |place: usize| {
                    states[changes[place % n].1].is_saturated != is_red
                        && (1..=place - at).contains(&since_far[place % n])
                };
                // Twice around suffices: then everything that repeats has been kept.
                while next <= at + 2 * n && !is_change(next) {
                    next += 1;
                }
                if next > at + 2 * n {
                    break;
                }
                if states[changes[at].1].is_saturated == is_red {
                    until_next[at] = next - at;
                }
            }
        }
    }

    fn red_once(&mut self, second: i64) -> Worst {
        let Self {
            changes,
            states,
            far,
            kept,
            to_red,
            from_red,
            ..
        } = self;
        to_red.clear();
        from_red.clear();
        let mut machine = RedMachine { states, far, kept };
        let mut is_red = false;
        if let Some(&(_, place)) = changes.first() {
            machine.reset(place);
        }
        for &(time, place) in changes.iter().skip(1) {
            if machine.changes_at(place, is_red) {
                is_red = !is_red;
                machine.reset(place);
                if is_red {
                    to_red.push(time)
                } else {
                    from_red.push(time)
                }
            }
        }
        // The last change has no opposing one.
        if is_red {
            to_red.pop();
        } else {
            from_red.pop();
        }
        let rises = Train {
            times: to_red,
            period: None,
        }
        .worst(second);
        let falls = Train {
            times: from_red,
            period: None,
        }
        .worst(second);
        if falls.count > rises.count {
            falls
        } else {
            rises
        }
    }

    /// Color alternations in the worst second: changes by more than 0.2 between successive lit
    /// states, dark gaps skipped, two to an alternation. Information only.
    pub(crate) fn alternations(&mut self, extent: Extent, second: i64) -> u32 {
        self.alternations.clear();
        let is_cyclic = extent.period().is_some();
        let last = self.shown.iter().rev().find(|shown| shown.is_lit);
        let mut before = last.filter(|_| is_cyclic).map(|shown| shown.place);
        for shown in self.shown.iter().filter(|shown| shown.is_lit) {
            if let Some(place) = before
                && place != shown.place
                && self.states[place].is_far_from(self.states[shown.place])
            {
                self.alternations.push(shown.time);
            }
            before = Some(shown.place);
        }
        let train = Train {
            times: &self.alternations,
            period: extent.period(),
        };
        train.worst(second).count.div_ceil(2)
    }
}

/// The two-state red counter: what it has kept since its last change.
struct RedMachine<'a> {
    states: &'a [ColorState],
    far: &'a [u64],
    kept: &'a mut [u64],
}

impl RedMachine<'_> {
    fn reset(&mut self, place: usize) {
        self.kept.fill(0);
        self.keep(place);
    }

    fn keep(&mut self, place: usize) {
        self.kept[place / 64] |= 1 << (place % 64);
    }

    /// Whether the state at `place` changes the counter; if not, it is kept where it may be.
    ///
    /// In the red state only saturated states are kept.
    fn changes_at(&mut self, place: usize, is_red: bool) -> bool {
        let is_saturated = self.states[place].is_saturated;
        if is_saturated != is_red {
            let words = self.kept.len();
            let far = &self.far[place * words..(place + 1) * words];
            if far
                .iter()
                .zip(&*self.kept)
                .any(|(far, kept)| far & kept != 0)
            {
                return true;
            }
        }
        if is_saturated || !is_red {
            self.keep(place);
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn color(x_e4: u16, y_e4: u16) -> Chromaticity {
        Chromaticity::new(x_e4, y_e4).unwrap()
    }

    /// Illustrative colors with u', v' and the ratio, computed in double precision from the
    /// formulas printed with WCAG 2.2.
    #[test]
    fn illustrative_colors_have_their_coordinates_and_red_verdicts() {
        let rows = [
            (color(3127, 3290), 0.1978, 0.4683, false, false),
            (color(7000, 2990), 0.5397, 0.5187, true, true),
            (color(5750, 4240), 0.3315, 0.5500, true, false),
            (color(1400, 600), 0.1628, 0.1570, false, false),
            (color(1700, 7000), 0.0615, 0.5696, false, false),
        ];
        for (color, u, v, is_saturated, is_red) in rows {
            let (u_e9, v_e9) = color.uv_e9();
            assert!((u_e9 as f64 / 1e9 - u).abs() < 6e-5, "{color:?}");
            assert!((v_e9 as f64 / 1e9 - v).abs() < 6e-5, "{color:?}");
            assert_eq!(color.is_saturated_red(), is_saturated, "{color:?}");
            assert_eq!(color.is_red_against_dark(), is_red, "{color:?}");
        }
    }

    #[test]
    fn amber_is_far_from_blue_and_not_from_white() {
        let amber = color(5750, 4240);
        assert!(amber.is_far_from(color(1400, 600)));
        assert!(!amber.is_far_from(Chromaticity::D65));
    }

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
            let primary = Primary::new(color(x, y));
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

    #[test]
    fn coordinates_at_the_corners_are_compared_without_overflow() {
        let corners = [color(9999, 1), color(1, 1), color(1, 9999)];
        for a in corners {
            for b in corners {
                assert_eq!(a.is_far_from(b), a != b);
            }
        }
    }

    #[test]
    fn chromaticities_outside_the_diagram_are_refused() {
        assert_eq!(Chromaticity::new(3000, 0), None);
        assert_eq!(Chromaticity::new(6000, 4001), None);
        assert!(Chromaticity::new(6000, 4000).is_some());
    }
}
