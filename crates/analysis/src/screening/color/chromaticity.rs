//! A chromaticity, and how the red test sees it.
//!
//! u' and v' are whole numbers of 1e-9, rounded down once; R, G and B use the inverse matrix rounded to 1e-7.

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

    pub(super) fn state(self) -> ColorState {
        let (x, y) = (i64::from(self.x_e4), i64::from(self.y_e4));
        ColorState::of_xyz(x, y, 10_000 - x - y)
    }
}

/// A color as the red test sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct ColorState {
    pub(super) u_e9: i64,
    pub(super) v_e9: i64,
    pub(super) is_saturated: bool,
}

/// 0.2 in u'v', in units of 1e-9 (WCAG 2.2, red flash).
const FAR_E9: i64 = 200_000_000;

impl ColorState {
    /// From X, Y, Z with X + 15 Y + 3 Z below 2^31.
    pub(super) fn of_xyz(x: i64, y: i64, z: i64) -> Self {
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

    pub(super) fn is_far_from(self, other: Self) -> bool {
        let (u, v) = (self.u_e9 - other.u_e9, self.v_e9 - other.v_e9);
        // Either part alone decides when it is large, and the squares of small ones fit.
        u.abs() > FAR_E9 || v.abs() > FAR_E9 || u * u + v * v > FAR_E9 * FAR_E9
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
