//! Files beyond the limits: a clear problem, no panic, and no memory or time to speak of.

use lampwright_formats::{MOST_BYTES, MOST_PROBLEMS, MOST_PULSES, ReadOutcome, read_program};

fn with_parts(parts: &str) -> String {
    format!("{{\"format\": \"lampwright-program\", \"version\": 1, {parts}}}")
}

#[track_caller]
fn check_first(outcome: &ReadOutcome, path: &str, expected: &str) {
    let first = &outcome.problems[0];
    assert_eq!(
        (first.path.as_str(), first.expected.as_str()),
        (path, expected)
    );
}

/// A pattern of one lane with this many pulses of 1 µs.
fn pattern_of(n_pulses: usize) -> String {
    let mut text = String::from(
        "{\"id\": \"p\", \"period_ms\": 120000, \"tick_ms\": 1, \"lanes\": [{\"role\": \"1\", \"pulses\": [",
    );
    for index in 0..n_pulses {
        let comma = if index > 0 { "," } else { "" };
        let (whole, rest) = (index * 2 / 1000, index * 2 % 1000);
        text += &format!("{comma}{{\"start_ms\":{whole}.{rest:03},\"length_ms\":0.001}}");
    }
    text + "]}]}"
}

#[test]
fn a_file_of_too_many_bytes_is_refused_before_it_is_read() {
    let outcome = read_program(&vec![b' '; MOST_BYTES + 1]);
    assert_eq!(outcome.program, None);
    check_first(&outcome, "file", "at most 67108864 bytes");
    assert_eq!(outcome.problems[0].found, "67108865 bytes");
}

#[test]
fn as_many_pulses_as_allowed_are_read() {
    let text = with_parts(&format!("\"patterns\": [{}]", pattern_of(MOST_PULSES)));
    let outcome = read_program(text.as_bytes());
    assert_eq!(outcome.problems, []);
    let program = outcome.program.unwrap();
    assert_eq!(program.patterns[0].lanes[0].pulses.len(), MOST_PULSES);
}

#[test]
fn more_pulses_than_allowed_are_refused() {
    let text = with_parts(&format!("\"patterns\": [{}]", pattern_of(MOST_PULSES + 1)));
    let outcome = read_program(text.as_bytes());
    check_first(
        &outcome,
        "patterns[0].lanes[0].pulses",
        "at most 250000 items",
    );
    assert!(outcome.program.unwrap().patterns.is_empty());

    let half = pattern_of(MOST_PULSES / 2 + 1);
    let other = half.replacen("\"p\"", "\"q\"", 1);
    let text = with_parts(&format!("\"patterns\": [{half}, {other}]"));
    let outcome = read_program(text.as_bytes());
    check_first(
        &outcome,
        "patterns[1].lanes[0].pulses",
        "at most 250000 pulses in the file",
    );
    assert_eq!(outcome.program.unwrap().patterns.len(), 1);
}

#[test]
fn a_million_pulses_end_in_a_problem() {
    let text = with_parts(&format!("\"patterns\": [{}]", pattern_of(1_000_000)));
    let outcome = read_program(text.as_bytes());
    let first = &outcome.problems[0];
    assert!(first.path.starts_with("line 1, column "));
    assert_eq!(
        first.expected,
        "at most 2000000 values in the file, of them at most 250000 pulses"
    );
    assert!(outcome.program.unwrap().patterns.is_empty());
}

#[test]
fn deep_nesting_is_refused() {
    for (open, close) in [("[", "]"), ("{\"a\":", "}")] {
        let nested = format!("{}1{}", open.repeat(10_000), close.repeat(10_000));
        let outcome = read_program(with_parts(&format!("\"layers\": {nested}")).as_bytes());
        let first = &outcome.problems[0];
        assert_eq!(first.expected, "at most 64 levels of nesting");
        assert!(outcome.program.unwrap().layers.is_empty());
    }
}

#[test]
fn heads_beyond_the_limit_are_left_out() {
    let mut heads = Vec::new();
    for index in 0..600 {
        heads.push(format!(
            "{{\"id\": \"h{index}\", \"x_m\": 0, \"y_m\": 0, \"z_m\": 1, \"facing_deg\": 0, \"emitters\": [{{\"color\": \"red\"}}]}}"
        ));
    }
    let text = with_parts(&format!(
        "\"vehicle\": {{\"heads\": [{}]}}",
        heads.join(",")
    ));
    let outcome = read_program(text.as_bytes());
    assert_eq!(outcome.problems.len(), 1);
    check_first(&outcome, "vehicle.heads", "at most 512 items");
    assert_eq!(outcome.problems[0].found, "600");
    assert_eq!(outcome.program.unwrap().vehicle.heads.len(), 512);
}

#[test]
fn problems_beyond_the_limit_are_counted() {
    let keys: Vec<String> = (0..1000)
        .map(|index| format!("\"key{index}\": 0"))
        .collect();
    let outcome = read_program(with_parts(&keys.join(",")).as_bytes());
    assert_eq!(outcome.problems.len(), MOST_PROBLEMS);
    assert_eq!(outcome.n_more_problems, 800);
}

#[test]
fn huge_numbers_and_texts_are_only_problems() {
    let digits = "9".repeat(1_000_000);
    for number in [digits.clone(), format!("1e{digits}"), format!("0.{digits}")] {
        let text = with_parts(&format!(
            "\"vehicle\": {{\"outline\": {{\"length_m\": {number}}}}}"
        ));
        let outcome = read_program(text.as_bytes());
        assert_eq!(outcome.problems.len(), 1);
        assert_eq!(outcome.problems[0].path, "vehicle.outline.length_m");
        assert!(outcome.problems[0].found.chars().count() <= 41);
    }
    let outcome = read_program(with_parts(&format!("\"{digits}\": 0")).as_bytes());
    assert!(outcome.problems[0].path.chars().count() <= 41);
}

#[test]
fn many_members_of_one_object_take_no_square_of_time() {
    let mut keys = String::new();
    for index in 0..500_000 {
        keys += &format!("\"{index}\":0,");
    }
    let text = with_parts(&format!("\"vehicle\": {{{keys}\"name\": \"last\"}}"));
    let outcome = read_program(text.as_bytes());
    assert_eq!(outcome.n_more_problems, 500_000 - MOST_PROBLEMS);
    assert_eq!(outcome.program.unwrap().vehicle.name, "last");
}
