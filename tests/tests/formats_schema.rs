//! The published JSON Schemas, checked with a validator that is not part of the project.

#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use jsonschema::Validator;
use lampwright_formats::{
    pattern_schema, program_schema, read_program, write_pattern, write_program,
};
use lampwright_tests::generate;
use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use serde_json::{Value, json};
use std::path::Path;

const FULL: &str = include_str!("data/every-part.json");

fn validator(schema: &str) -> Validator {
    let schema: Value = serde_json::from_str(schema).unwrap();
    jsonschema::meta::validate(&schema).unwrap();
    jsonschema::draft202012::new(&schema).unwrap()
}

#[track_caller]
fn check_golden(name: &str, text: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/golden")
        .join(name);
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, text).unwrap();
    }
    let golden = std::fs::read_to_string(&path).unwrap_or_default();
    for (line, golden) in text.lines().zip(golden.lines()) {
        assert_eq!(
            line, golden,
            "{name}; with UPDATE_GOLDEN=1 the file is written anew"
        );
    }
    assert_eq!(
        text.len(),
        golden.len(),
        "{name} has other lines at its end"
    );
}

#[test]
fn the_schemas_are_the_reviewed_ones() {
    check_golden("program.schema.json", &program_schema());
    check_golden("pattern.schema.json", &pattern_schema());
}

#[test]
fn what_is_written_is_valid() {
    let validator = validator(&program_schema());
    let full: Value = serde_json::from_str(FULL).unwrap();
    assert!(validator.is_valid(&full));
    let mut runner = TestRunner::new(ProptestConfig::with_cases(64));
    runner
        .run(&generate::program(), |program| {
            let tree: Value = serde_json::from_str(&write_program(&program)).unwrap();
            let errors: Vec<String> = validator
                .iter_errors(&tree)
                .map(|error| format!("{}: {error}", error.instance_path()))
                .collect();
            prop_assert_eq!(errors, Vec::<String>::new());
            Ok(())
        })
        .unwrap();
}

#[test]
fn a_written_pattern_is_valid() {
    let validator = validator(&pattern_schema());
    let mut runner = TestRunner::new(ProptestConfig::with_cases(64));
    runner
        .run(&generate::pattern(), |pattern| {
            let tree: Value = serde_json::from_str(&write_pattern(&pattern, "a")).unwrap();
            prop_assert!(validator.is_valid(&tree));
            Ok(())
        })
        .unwrap();
}

/// Puts a value at a place of [`FULL`]; schema and reader must both refuse the result.
#[track_caller]
fn check_refused(pointer: &str, value: Value) {
    let mut tree: Value = serde_json::from_str(FULL).unwrap();
    *tree.pointer_mut(pointer).unwrap() = value;
    assert!(!validator(&program_schema()).is_valid(&tree), "{pointer}");
    assert!(
        !read_program(tree.to_string().as_bytes())
            .problems
            .is_empty(),
        "{pointer}"
    );
}

#[test]
fn what_the_schema_refuses_the_reader_refuses() {
    check_refused("/format", json!("lampwright-pattern"));
    check_refused("/version", json!(2));
    check_refused("/vehicle/heads/0/id", json!("a b"));
    check_refused("/vehicle/heads/0/emitters/0/color", json!("violet"));
    check_refused("/vehicle/heads/0/emitters/0/dimming", json!("slow"));
    check_refused("/vehicle/heads/0/emitters/0/chromaticity/x", json!(1.5));
    check_refused("/vehicle/heads/0/beam", json!({}));
    check_refused("/vehicle/heads/0/x_m", json!("1"));
    check_refused(
        "/vehicle/outputs/0/wire/return",
        json!({"chassis_mohm": 1.5}),
    );
    check_refused("/vehicle/groups/0/heads", Value::Null);
    check_refused("/patterns/0/lanes/0/pulses/0", json!({"start_ms": 0}));
    check_refused("/patterns/0/lanes/0/pulses/1/level", json!(1001));
    check_refused("/layers/0/when/0/mode", json!(3));
    check_refused("/layers/0/play/bindings/0/heads/0", json!("heads:x"));
    check_refused(
        "/guarantees/0/must",
        json!({"show_only": [], "show_never": []}),
    );
    check_refused("/profile/rules/0/code", json!("LW1"));
    check_refused(
        "/waivers/0",
        json!({"rule": "LW001", "reason": "", "by": "", "date": "", "note": ""}),
    );
}
