//! Every flash-rule and electrical reference case that a fact expresses, natively.

use lampwright_tests::facts_reference;

#[test]
fn flash_rule_cases() {
    facts_reference::flash_rule_cases();
}

#[test]
fn electrical_cases() {
    facts_reference::electrical_cases();
}
