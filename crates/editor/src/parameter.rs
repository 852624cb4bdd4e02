//! The figure a person types for a parameter of a rule.
//!
//! Invariant: what is outside the range of the parameter is refused with the range, and never moved into it.
//! Absent: changing the profile.

use crate::numbers::{typed, with_unit};
use lampwright_analysis::rules::Parameter;

/// Thousandths of the parameter's unit, which may stand behind the number.
///
/// # Errors
/// What was wanted instead: a number, or one within the range.
pub fn parameter_value(parameter: &Parameter, text: &str) -> Result<i64, String> {
    let in_unit = |thousandths: i64| {
        let number = typed(thousandths);
        match parameter.unit {
            "" => number,
            unit => format!("{number} {unit}"),
        }
    };
    let Some(value) = with_unit(text, parameter.unit) else {
        return Err(format!(
            "\"{text}\", a number with at most three decimals wanted"
        ));
    };
    let (least, most) = parameter.range;
    let end = match value {
        _ if value < least => "below the least",
        _ if value > most => "above the most",
        _ => return Ok(value),
    };
    Err(format!(
        "{} is {end} that makes sense for this limit, from {} to {} wanted",
        in_unit(value),
        in_unit(least),
        in_unit(most)
    ))
}

#[cfg(test)]
mod tests {
    use super::parameter_value;
    use lampwright_analysis::rules::{RULES, rule};
    use lampwright_model::RuleCode;

    fn typed(code: u16, name: &str, text: &str) -> Result<i64, String> {
        let meta = rule(RuleCode(code)).unwrap().meta();
        parameter_value(meta.parameter(name).unwrap(), text)
    }

    #[test]
    fn a_figure_out_of_range_is_refused_with_the_range_and_its_unit() {
        assert_eq!(typed(1, "gap_ms", "100"), Ok(100_000));
        assert_eq!(typed(1, "gap_ms", "100,5 ms"), Ok(100_500));
        assert_eq!(
            typed(1, "gap_ms", "-5"),
            Err("-5 ms is below the least that makes sense for this limit, from 0 ms to 10000 ms wanted".into())
        );
        assert_eq!(
            typed(1, "most_hz", "1000"),
            Err("1000 Hz is above the most that makes sense for this limit, from 0.01 Hz to 100 Hz wanted".into())
        );
        assert_eq!(
            typed(1, "gap_ms", "0.0001"),
            Err("\"0.0001\", a number with at most three decimals wanted".into())
        );
    }

    #[test]
    fn the_ends_of_every_range_are_taken_and_what_is_past_them_is_not() {
        for parameter in RULES.iter().flat_map(|rule| rule.meta().parameters) {
            let (least, most) = parameter.range;
            let text = super::typed;
            assert_eq!(parameter_value(parameter, &text(least)), Ok(least));
            assert_eq!(parameter_value(parameter, &text(most)), Ok(most));
            for past in [least - 1, most + 1] {
                let refused = parameter_value(parameter, &text(past)).unwrap_err();
                assert!(refused.contains("makes sense"), "{refused}");
            }
        }
    }
}
