#![allow(clippy::unwrap_used, missing_docs)]
use alloc::collections::BTreeSet;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::super::sample;
use super::*;

fn hex<const N: usize>(text: &str) -> [u8; N] {
    sample::hex(text).try_into().unwrap()
}

/// Source: RFC 8032 7.1, TEST 1, 2, 3 and SHA(abc): secret, public, message,
/// signature. TEST 1024 is among the outside vectors of `tests/logformat`.
const RFC8032: [(&str, &str, &str, &str); 4] = [
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
    ),
    (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
    ),
    (
        "833fe62409237b9d62ec77587520911e9a759cec1d19755b7da901b96dca3d42",
        "ec172b93ad5e563bf4932c70e1245034c35467ef2efd4d64ebf819683467e2bf",
        "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f",
        "dc2a4459e7369633a52b1bf277839a00201009a3efbf3ecb69bea2186c26b58909351fc9ac90b3ecfdfbc7c66431e0303dca179c138ac17ad9bef1177331a704",
    ),
];

#[test]
fn keys_and_signatures_are_those_of_the_standard() {
    for (secret, public, message, signature) in RFC8032 {
        let key = SecretKey::from_random(&hex(secret));
        assert_eq!(*key.public().as_bytes(), hex::<32>(public));
        let message = sample::hex(message);
        let signature = hex::<64>(signature);
        assert_eq!(key.sign(&message), signature);
        assert!(key.public().accepts(&message, &signature));
        let longer = [&message[..], b"x"].concat();
        assert!(!key.public().accepts(&longer, &signature));
    }
}

/// A signature's second half plus the group order is the same number to a
/// careless verifier. Source: RFC 8032 5.1.7 (S in range), 5.1 (the order).
#[test]
fn a_second_form_of_a_good_signature_is_refused() {
    const ORDER: [u8; 32] = [
        0xed, 0xd3, 0xf5, 0x5c, 0x1a, 0x63, 0x12, 0x58, 0xd6, 0x9c, 0xf7, 0xa2, 0xde, 0xf9, 0xde,
        0x14, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0x10,
    ];
    let key = SecretKey::from_random(&[1; 32]);
    let mut signature = key.sign(b"safe");
    let mut carry = 0u16;
    for (s, l) in signature[32..].iter_mut().zip(ORDER) {
        carry += u16::from(*s) + u16::from(l);
        *s = carry.to_le_bytes()[0];
        carry >>= 8;
    }
    assert!(!key.public().accepts(b"safe", &signature));
}

/// The points of small order, for which signatures can be made up. Source:
/// the orders 1, 2, 4, 8 and 8 of the curve of RFC 8032 5.1 (encodings from
/// memory, checked here: each is a point and is refused).
#[test]
fn keys_of_small_order_are_refused() {
    let weak = [
        "0100000000000000000000000000000000000000000000000000000000000000",
        "ecffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f",
        "0000000000000000000000000000000000000000000000000000000000000000",
        "0000000000000000000000000000000000000000000000000000000000000080",
        "26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc05",
        "26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc85",
        "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a",
        "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac03fa",
    ];
    for text in weak {
        let bytes = hex::<32>(text);
        assert!(
            VerifyingKey::from_bytes(&bytes).is_ok(),
            "{text} is a point"
        );
        assert_eq!(PublicKey::from_bytes(&bytes), Err(KeyError::NotAKey));
    }
    assert_eq!(PublicKey::from_bytes(&[2; 32]), Err(KeyError::NotAKey));
    // y = p + n names the point of y = n a second time (RFC 8032 5.1.3).
    for n in 0..19 {
        let mut second = [0xff; 32];
        (second[0], second[31]) = (0xed + n, 0x7f);
        assert_eq!(PublicKey::from_bytes(&second), Err(KeyError::NotAKey));
    }
    assert_eq!(PublicKey::from_bytes(&[2; 31]), Err(KeyError::Length(31)));
}

#[test]
fn a_phrase_is_six_words_of_the_fingerprints_first_six_bytes() {
    let fingerprint = Fingerprint([0, 1, 2, 253, 254, 255, 7, 7, 7, 7, 7, 7, 7, 7, 7, 7]);
    let want = [0, 1, 2, 253, 254, 255].map(|i: usize| WORDS[i]);
    assert!(fingerprint.phrase().words().eq(want));
    assert_eq!(fingerprint.phrase().to_string(), want.join(" "));
    let phrase = |s: [u8; 32]| SecretKey::from_random(&s).public().phrase();
    assert_ne!(phrase([3; 32]), phrase([4; 32]));
}

#[test]
fn the_words_can_be_told_apart() {
    let words: BTreeSet<&str> = WORDS.into_iter().collect();
    assert_eq!(words.len(), 256);
    assert!(WORDS.is_sorted());
    for word in WORDS {
        assert!((3..=8).contains(&word.len()), "{word}");
        assert!(word.bytes().all(|b| b.is_ascii_lowercase()), "{word}");
    }
    for (i, a) in WORDS.iter().enumerate() {
        for b in &WORDS[..i] {
            assert!(distance(a, b) >= 2, "{a} and {b}");
        }
    }
}

/// Letters to change, put in or leave out.
fn distance(a: &str, b: &str) -> usize {
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.bytes().enumerate() {
        let mut last = row[0];
        row[0] = i + 1;
        for (j, y) in b.bytes().enumerate() {
            let change = last + usize::from(x != y);
            last = row[j + 1];
            row[j + 1] = change.min(last + 1).min(row[j] + 1);
        }
    }
    row[b.len()]
}

#[test]
fn a_secret_key_never_shows_itself() {
    let shown: String = alloc::format!("{:?}", SecretKey::from_random(&[0xab; 32]));
    assert!(!shown.contains("abab"), "{shown}");
}
