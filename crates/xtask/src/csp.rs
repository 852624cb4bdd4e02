//! The content security policies of the served, the distributed and the one-file page.
//!
//! Invariant: no policy names an address outside the page's own origin, so no request can leave it.
//! Absent: any loosening for development; the served page has the same policy as the distributed one.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest as _, Sha256};

/// What both the header and the `meta` element can carry.
pub(crate) const PAGE: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; \
    style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; worker-src 'self'; \
    manifest-src 'self'; base-uri 'none'; form-action 'none'";

/// The header of the local server: the page policy, and no framing by other pages (which a `meta`
/// element cannot say).
pub(crate) fn header() -> String {
    format!("{PAGE}; frame-ancestors 'none'")
}

/// The policy of the one-file page: exactly the given inline scripts and styles, and nothing else.
pub(crate) fn one_file(scripts: &[String], styles: &[String]) -> String {
    let hashes = |texts: &[String]| -> String {
        texts
            .iter()
            .map(|text| format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text))))
            .collect::<Vec<_>>()
            .join(" ")
    };
    format!(
        "default-src 'none'; script-src {} 'wasm-unsafe-eval'; style-src {}; \
         img-src data: blob:; worker-src data: blob:; base-uri 'none'; form-action 'none'",
        hashes(scripts),
        hashes(styles),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inline_scripts_are_allowed_by_their_hash() {
        // Script and digest: W3C Content Security Policy Level 2, "Hash usage for script elements"
        // (clause from memory); the digest was reproduced with OpenSSL.
        let policy = one_file(&["alert('Hello, world.');".to_owned()], &[]);
        assert!(
            policy.contains("'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='"),
            "{policy}"
        );
    }

    #[test]
    fn no_policy_allows_inline_code_or_other_origins() {
        for policy in [header(), one_file(&["a".into()], &["b".into()])] {
            for loose in ["'unsafe-inline'", "'unsafe-eval'", "http:", "https:", "*"] {
                assert!(!policy.contains(loose), "{policy} has {loose}");
            }
        }
    }
}
