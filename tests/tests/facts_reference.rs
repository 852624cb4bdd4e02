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

/// The same bits are asked of the WebAssembly build.
#[test]
fn floating_point_facts_have_the_bits_they_had() {
    assert_eq!(facts_reference::fingerprint(), facts_reference::FINGERPRINT);
}
