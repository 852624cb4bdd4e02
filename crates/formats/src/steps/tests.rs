//! Texts of small tables.

use super::*;
use lampwright_model::Pulse;

fn table() -> StepTable {
    let pulse = |start, length, level, color| Pulse {
        start: Micros::from_ms(start),
        length: Micros::from_ms(length),
        level: Level::nearest(level),
        color,
    };
    let period = Micros::from_ms(500);
    let tick = Micros::from_ms(10);
    let left = [
        pulse(0, 74, 1000, None),
        pulse(300, 50, 250, Some(Color::Blue)),
    ];
    StepTable {
        program: "Two */ lamps\n#".into(),
        subject: "pattern beat, double".into(),
        tick,
        columns: vec![
            StepColumn::of("left".into(), period, &left, tick),
            StepColumn::of("right".into(), period, &[], tick),
        ],
        notes: vec!["Caution: try it".into()],
        drives: vec!["left drives a lamp".into()],
    }
}

#[test]
fn csv_has_notes_titles_and_a_row_for_each_step() {
    let text = write_steps_csv(&table());
    let rows: Vec<&str> = text.lines().filter(|line| !line.starts_with('#')).collect();
    assert_eq!(
        rows,
        [
            "lane,period_ms,time_ms,level_permille,color,rounding_ms",
            "left,500,0,1000,,0",
            "left,500,70,0,,-4",
            "left,500,300,250,blue,0",
            "left,500,350,0,,0",
            "right,500,0,0,,0",
        ]
    );
    assert!(text.contains("# tick_ms 10\n"));
    assert!(text.contains("# Caution: try it\n"));
}

#[test]
fn c_has_ticks_and_a_comment_that_no_name_ends() {
    let text = write_steps_c(&table());
    assert_eq!(text.matches("*/").count(), 3, "{text}");
    assert!(text.contains("#define LAMPWRIGHT_TICK_MICROSECONDS 10000\n"));
    assert!(
        text.contains("{7u, 0u, 0},\n    {30u, 250u, 'B'},"),
        "{text}"
    );
    assert!(text.contains("{\"left\", 50u, 4u, lampwright_steps_0},"));
}

#[test]
fn what_a_spreadsheet_makes_of_it_reads_the_same() {
    let text = write_steps_csv(&table());
    let exact = read_steps_csv(text.as_bytes()).table.unwrap();
    let mut spread = String::from("\u{feff}");
    for line in text.lines() {
        if line.starts_with('#') {
            spread.push_str(&format!("\"{line}\",,,,,\r\n"));
        } else {
            spread.push_str(&format!("{line}\r\n"));
        }
    }
    spread.push_str(",,,,,\r\n\"\",\"\"\r\n");
    assert_eq!(read_steps_csv(spread.as_bytes()).table.unwrap(), exact);
    assert_eq!(exact.tick, Micros::from_ms(10));
    assert_eq!(exact.columns.len(), 2);
    assert_eq!(exact.name(), Some("double"));
}

#[track_caller]
fn check(text: &str, line: &str, expected: &str) {
    let outcome = read_steps_csv(text.as_bytes());
    assert_eq!(outcome.table, None, "{text}");
    let problem = outcome.problems.first().unwrap();
    assert_eq!(problem.path, line);
    assert!(problem.expected.contains(expected), "{problem:?}");
}

#[test]
fn what_is_wrong_is_said_with_its_line() {
    let with = |rows: &str| format!("lane,period_ms,time_ms,level_permille\n{rows}\n");
    check("", "file", "rows of lane");
    check(&with(""), "file", "rows of lane");
    check("lane,time_ms\n", "line 1", "period_ms");
    check(&with("a,500,0,1001"), "line 2", "0 to 1000");
    check(&with("a,500,0,1.5"), "line 2", "0 to 1000");
    check(&with("a,500,0.0001,1"), "line 2", "three decimals");
    check(&with("a,500,1e3,1"), "line 2", "three decimals");
    check(&with("a,0,0,1"), "line 2", "above 0");
    check(
        &with("a,500,0,1\na,500,0,1"),
        "line 3",
        "after the row before",
    );
    check(&with("a,500,500,1"), "line 2", "below the period");
    check(
        &with("a,500,0,1\na,400,10,1"),
        "line 3",
        "500 as in the rows before",
    );
    check(&with("a b,500,0,1"), "line 2", "lane of 1 to 64");
    check(
        "lane,period_ms,time_ms,level_permille,color\na,500,0,1,pink\n",
        "line 2",
        "a color",
    );
    assert_eq!(read_steps_csv(&[0xff, 0xfe]).table, None);
}

#[test]
fn without_a_tick_the_longest_that_fits_is_taken() {
    let text = "lane,time_ms,level_permille,period_ms\na,40,1000,500\na,140,0,500\n";
    let table = read_steps_csv(text.as_bytes()).table.unwrap();
    assert_eq!(table.tick, Micros::from_ms(20));
    assert_eq!(table.columns[0].pulses().len(), 1);
}
