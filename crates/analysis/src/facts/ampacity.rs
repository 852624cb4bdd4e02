//! What a wire may carry: a published table for boats, as a stand-in for road vehicles.
//!
//! Gauge only: the table has no square millimeters, and the two are never converted into each other.

/// Insulation temperatures of the table's columns, degrees Celsius.
pub const INSULATION_CELSIUS: [i64; 7] = [60, 75, 80, 90, 105, 125, 200];

/// 33 CFR 183.425 Table 5 (read), amperes at 30 degrees Celsius around the wire; gauge number, 0 is 1/0, -1 is 2/0.
const AMPERES: [(i8, [i64; 7]); 15] = [
    (18, [10, 10, 15, 20, 20, 25, 25]),
    (16, [15, 15, 20, 25, 25, 30, 35]),
    (14, [20, 20, 25, 30, 35, 40, 45]),
    (12, [25, 25, 35, 40, 45, 50, 55]),
    (10, [40, 40, 50, 55, 60, 70, 70]),
    (8, [55, 65, 70, 70, 80, 90, 100]),
    (6, [80, 95, 100, 100, 120, 125, 135]),
    (4, [105, 125, 130, 135, 160, 170, 180]),
    (3, [120, 145, 150, 155, 180, 195, 210]),
    (2, [140, 170, 175, 180, 210, 225, 240]),
    (1, [165, 195, 210, 210, 245, 265, 280]),
    (0, [195, 230, 245, 245, 285, 305, 325]),
    (-1, [225, 265, 285, 285, 330, 355, 370]),
    (-2, [260, 310, 330, 330, 385, 410, 430]),
    (-3, [300, 360, 385, 385, 445, 475, 510]),
];

/// Amperes a gauge may carry with an insulation of at least this temperature; none for a gauge or a temperature the table lacks.
///
/// A temperature between two columns counts as the lower one.
#[must_use]
pub fn ampacity(gauge: i8, insulation_celsius: i64) -> Option<i64> {
    let column = INSULATION_CELSIUS
        .iter()
        .rposition(|column| *column <= insulation_celsius)?;
    let (_, row) = AMPERES.iter().find(|(known, _)| *known == gauge)?;
    row.get(column).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_temperature_between_columns_counts_as_the_lower() {
        assert_eq!(ampacity(16, 105), Some(25));
        assert_eq!(ampacity(16, 104), Some(25));
        assert_eq!(ampacity(16, 89), Some(20));
        assert_eq!(ampacity(16, 59), None);
        assert_eq!(ampacity(20, 105), None);
        assert_eq!(ampacity(-3, 250), Some(510));
    }

    #[test]
    fn thicker_wire_and_hotter_insulation_carry_no_less() {
        assert!(AMPERES.iter().all(|(_, row)| row.is_sorted()));
        for column in 0..INSULATION_CELSIUS.len() {
            assert!(AMPERES.is_sorted_by_key(|(_, row)| row[column]));
        }
    }
}
