//! Every photosensitive-screening reference case, natively.

use lampwright_tests::screening_reference::run_cases;

#[test]
fn screening_matches_every_reference_case() {
    let report = run_cases();
    assert_eq!(report.failures, Vec::<String>::new());
    assert_eq!(report.n_cases, 46);
    assert_eq!(report.n_compared, 774);
}
