//! The reference cases as WebAssembly: the same function the native test calls.

#![cfg(target_arch = "wasm32")]

use lampwright_tests::facts_reference;
use lampwright_tests::screening_reference::run_cases;
use wasm_bindgen_test::wasm_bindgen_test;

#[wasm_bindgen_test]
fn screening_matches_every_reference_case() {
    let report = run_cases();
    assert_eq!(report.failures, Vec::<String>::new());
    assert_eq!(report.n_cases, 46);
    assert_eq!(report.n_compared, 774);
}

#[wasm_bindgen_test]
fn facts_match_every_flash_rule_case() {
    facts_reference::flash_rule_cases();
}

#[wasm_bindgen_test]
fn facts_match_every_electrical_case() {
    facts_reference::electrical_cases();
}

#[wasm_bindgen_test]
fn floating_point_facts_have_the_native_bits() {
    assert_eq!(facts_reference::fingerprint(), facts_reference::FINGERPRINT);
}
