//! The points of a measured beam between what a person types and what a file holds.
//!
//! Invariant: exact up to the file's thousandths of the peak, to which intensities are rounded.

use crate::thousandths;
use lampwright_formats::decimal_text;

/// A fraction of a file in per cent, as a person reads it.
pub(super) fn share_text(fraction: &str) -> String {
    thousandths(fraction).map_or_else(String::new, |per_mille| decimal_text(per_mille, 1))
}

/// The fraction of a file from a number in per cent.
pub(super) fn fraction(share: &str) -> Result<String, String> {
    let per_mille = thousandths(share).filter(|share| share % 100 == 0);
    let per_mille = per_mille.ok_or("a number with at most 1 decimal wanted")? / 100;
    if (0..=1000).contains(&per_mille) {
        Ok(decimal_text(per_mille, 3))
    } else {
        Err(format!("0 % to 100 % wanted, not {share}"))
    }
}

/// The two numbers of a line, parted by a blank, a tab, a semicolon or a comma; a decimal comma is one too where it cannot part them.
pub(super) fn two_numbers(line: &str) -> Option<(&str, &str)> {
    let is_between = |letter: char| letter.is_ascii_whitespace() || letter == ';';
    let mut parts = line
        .split(is_between)
        .map(|part| part.trim_end_matches(','))
        .filter(|part| !part.is_empty());
    match (parts.next(), parts.next(), parts.next()) {
        (Some(first), Some(second), None) => Some((first, second)),
        (Some(alone), None, _) => alone
            .split_once(',')
            .filter(|(_, second)| !second.contains(',')),
        _ => None,
    }
}

/// The points of a beam from lines of an angle in degrees and an intensity in any unit, the largest of which is the peak; as in a file, sorted by angle.
pub(super) fn points(lines: &str) -> Result<String, String> {
    let mut points = Vec::new();
    for (index, line) in lines.lines().enumerate() {
        let line = line.trim();
        // What has no digit is the head of the table.
        if !line.bytes().any(|byte| byte.is_ascii_digit()) {
            continue;
        }
        let numbers = two_numbers(line)
            .and_then(|(angle, intensity)| Some((thousandths(angle)?, thousandths(intensity)?)));
        let Some((angle, intensity)) = numbers else {
            let number = index + 1;
            return Err(format!(
                "line {number}: an angle and an intensity wanted, such as -20 12.5, not {line}"
            ));
        };
        if intensity < 0 {
            let number = index + 1;
            return Err(format!("line {number}: an intensity of 0 or more wanted"));
        }
        points.push((angle, intensity));
    }
    let peak = points.iter().map(|(_, intensity)| *intensity).max();
    let Some(peak) = peak.filter(|peak| *peak > 0) else {
        return Err("at least one intensity above 0 wanted".into());
    };
    lampwright_timing::sort_by(&mut points, |one, other| one.cmp(other));
    let mut text = String::new();
    for (angle, intensity) in points {
        text.push_str(if text.is_empty() { "[" } else { ", " });
        // Per mille of the peak, rounded to the nearest.
        let fraction = (2 * intensity * 1000 + peak) / (2 * peak);
        let (angle, fraction) = (decimal_text(angle, 3), decimal_text(fraction, 3));
        text.push_str(&format!(
            r#"{{"angle_deg": {angle}, "fraction": {fraction}}}"#
        ));
    }
    text.push(']');
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(line: &str, expected: Option<(&str, &str)>) {
        assert_eq!(two_numbers(line), expected, "{line}");
    }

    #[test]
    fn two_numbers_are_parted_by_what_people_part_them_by() {
        let both = Some(("-20", "12.5"));
        for line in [
            "-20 12.5",
            "-20\t12.5",
            "-20; 12.5",
            "-20,12.5",
            "-20, 12.5",
            " -20  12.5 ",
        ] {
            check(line, both);
        }
        check("0,575 0,424", Some(("0,575", "0,424")));
        check("0,575; 0,424", Some(("0,575", "0,424")));
        // Which comma is the decimal one cannot be told.
        check("0,575,0,424", None);
        check("-20", None);
        check("-20 12.5 cd", None);
    }

    #[test]
    fn candelas_become_fractions_of_the_largest_sorted_by_angle() {
        assert_eq!(
            points("angle cd\n20 300\n0\t900\n-20 300\n").as_deref(),
            Ok(
                r#"[{"angle_deg": -20, "fraction": 0.333}, {"angle_deg": 0, "fraction": 1}, {"angle_deg": 20, "fraction": 0.333}]"#
            )
        );
        assert_eq!(
            points("0 100\n5 50\nten 3"),
            Err("line 3: an angle and an intensity wanted, such as -20 12.5, not ten 3".into())
        );
        assert_eq!(
            points("0 100\n5 -1"),
            Err("line 2: an intensity of 0 or more wanted".into())
        );
        assert_eq!(
            points("0 0\n5 0"),
            Err("at least one intensity above 0 wanted".into())
        );
    }

    #[test]
    fn per_cent_and_fraction_are_the_same_number() {
        assert_eq!(fraction("12,5").as_deref(), Ok("0.125"));
        assert_eq!(share_text("0.125"), "12.5");
        assert_eq!(fraction("120"), Err("0 % to 100 % wanted, not 120".into()));
        assert!(fraction("12.55").is_err());
    }
}
