#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]
use alloc::string::String;
use alloc::vec::Vec;

use coset::iana::Algorithm;
use coset::{
    CborSerializable, CoseSign1, CoseSign1Builder, HeaderBuilder, ProtectedHeader,
    SignatureContext, TaggedCborSerializable, sig_structure_data,
};
use proptest::prelude::*;

use super::super::sample::{hex, secret};
use super::*;

const CONTENT: &[u8] = b"This is the content.";

/// Source: COSE working group Examples, sign1-tests/sign-pass-01.json and
/// sign-pass-02.json, eddsa-examples/eddsa-sig-02.json: `ToBeSign_hex`.
#[test]
fn the_signed_bytes_are_those_of_the_published_examples() {
    let examples = [
        (
            "", // sign-pass-01: a protected header changed to an empty one
            "",
            "846A5369676E617475726531404054546869732069732074686520636F6E74656E742E",
        ),
        (
            "A10126", // sign-pass-02: external data
            "11aa22bb33cc44dd55006699",
            "846A5369676E61747572653143A101264C11AA22BB33CC44DD5500669954546869732069732074686520636F6E74656E742E",
        ),
        (
            "A10127", // eddsa-sig-02
            "",
            "846A5369676E61747572653143A101274054546869732069732074686520636F6E74656E742E",
        ),
    ];
    for (protected, aad, want) in examples {
        assert_eq!(
            sig_structure(&hex(aad), &hex(protected), CONTENT),
            hex(want),
            "{protected}"
        );
    }
}

/// Source: COSE working group Examples, eddsa-examples/eddsa-sig-01.json
/// (COSE_Sign1 with the key of RFC 8032 7.1 TEST 1), as repeated in the test
/// suites of several COSE libraries.
#[test]
fn the_published_ed25519_example_verifies() {
    let message = hex(
        "D28445A201270300A10442313154546869732069732074686520636F6E74656E742E58407142FD2FF96D56DB
         85BEE905A76BA1D0B7321A95C8C4D3607C5781932B7AFB8711497DFA751BF40B58B3BCC32300B1487F3DB340
         85EEF013BF08F4A44D6FEF0D",
    );
    let key = PublicKey::from_bytes(&hex(
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
    ));
    let sign1 = CoseSign1::from_tagged_slice(&message).unwrap();
    let protected = sign1.protected.original_data.clone().unwrap();
    assert_eq!(protected, hex("A201270300"));
    let signed = sig_structure(b"", &protected, &sign1.payload.unwrap());
    let mut signature: [u8; 64] = sign1.signature.try_into().unwrap();
    assert!(key.unwrap().accepts(&signed, &signature));
    signature[63] ^= 1;
    assert!(!key.unwrap().accepts(&signed, &signature));
    // A good COSE_Sign1, but not in our one accepted form.
    assert_eq!(
        Envelope::parse(&message, 1000),
        Err(EnvelopeError::OtherHeaders)
    );
}

/// Source: COSE working group Examples, sign1-tests (ES256, so none is ours):
/// each is refused by the name of what is other about it.
#[test]
fn published_examples_of_other_forms_are_refused_by_name() {
    let tail =
        "54546869732069732074686520636F6E74656E742E5840EAE868ECC176883766C5DC5BA5B8DCA25DAB3C2E56
        A551CE5705B793914348E155388B10C4F1B59A6733EAB416870A945111A4B2FBDBEF33A77234B1DEFF2F9B";
    let examples = [
        (
            "sign-pass-01",
            "D28441A0A20126044231 31",
            EnvelopeError::OtherHeaders,
        ),
        (
            "sign-pass-02",
            "D28443A10126A104423131",
            EnvelopeError::OtherAlgorithm,
        ),
        (
            "sign-pass-03, untagged",
            "8443A10126A104423131",
            EnvelopeError::MalformedCose,
        ),
        (
            "sign-fail-01, tag 998",
            "D903E68443A10126A104423131",
            EnvelopeError::MalformedCose,
        ),
    ];
    for (name, head, want) in examples {
        let bytes = [hex(head), hex(tail)].concat();
        assert_eq!(Envelope::parse(&bytes, 1000), Err(want), "{name}");
    }
}

/// Source: RFC 8949 appendix A, encoded column, in the order of the table.
const APPENDIX_A: &str = "
    00 01 0a 17 1818 1819 1864 1903e8 1a000f4240 1b000000e8d4a51000 1bffffffffffffffff
    c249010000000000000000 3bffffffffffffffff c349010000000000000000 20 29 3863 3903e7
    f90000 f98000 f93c00 fb3ff199999999999a f93e00 f97bff fa47c35000 fa7f7fffff
    fb7e37e43c8800759c f90001 f90400 f9c400 fbc010666666666666 f97c00 f97e00 f9fc00
    fa7f800000 fa7fc00000 faff800000 fb7ff0000000000000 fb7ff8000000000000
    fbfff0000000000000 f4 f5 f6 f7 f0 f8ff
    c074323031332d30332d32315432303a30343a30305a c11a514b67b0 c1fb41d452d9e8200000
    d74401020304 d818456449455446
    d82076687474703a2f2f7777772e6578616d706c652e636f6d
    40 4401020304 60 6161 6449455446 62225c 62c3bc 63e6b0b4 64f0908591 80 83010203
    8301820203820405 98190102030405060708090a0b0c0d0e0f101112131415161718181819
    a0 a201020304 a26161016162820203 826161a161626163
    a56161614161626142616361436164614461656145
    5f42010243030405ff 7f657374726561646d696e67ff 9fff 9f018202039f0405ffff
    9f01820203820405ff 83018202039f0405ff 83019f0203ff820405
    9f0102030405060708090a0b0c0d0e0f101112131415161718181819ff
    bf61610161629f0203ffff 826161bf61626163ff bf6346756ef563416d7421ff";

#[test]
fn every_published_encoding_is_one_item_of_a_sequence() {
    let items: Vec<Vec<u8>> = APPENDIX_A.split_whitespace().map(hex).collect();
    assert_eq!(items.len(), 81);
    for item in &items {
        assert_eq!(item_end(item), Ok(item.len()), "{item:02x?}");
        let followed = [item.clone(), hex("00")].concat();
        assert_eq!(item_end(&followed), Ok(item.len()), "{item:02x?}");
        for cut in 0..item.len() {
            assert_eq!(
                item_end(&item[..cut]),
                Err(EnvelopeError::CutShort),
                "{item:02x?} cut at {cut}"
            );
        }
        // None of them is an entry.
        assert!(Envelope::parse(item, 1000).is_err());
    }
    // The table's last rows are those of unknown length.
    let open = items.iter().position(|item| item[0] == 0x5f).unwrap();
    for (at, item) in items.iter().enumerate() {
        let whole = Extent::of_whole(item).unwrap();
        assert_eq!(whole.deterministic, at < open, "{item:02x?}");
    }
}

/// Source: RFC 8949 appendix F, from memory: what is cut short, and what no
/// further byte would mend.
#[test]
fn what_is_not_well_formed_is_told_from_what_is_cut_short() {
    let cut = "18 19 1a 1b 1901 1a0102 1b01020304050607 38 58 78 98 9a01ff00 b8 d8 f8 f900
        fa0000 fb000000 41 61 5affffffff00 5bffffffffffffffff010203 7affffffff00
        7b7fffffffffffffff010203 81 818181818181818181 8200 a1 a20102 a100 a2000000 c0
        5f4100 7f6100 9f 9f0102 bf bf01020102 819f 9f8000 9f9f9f9f9fffffffff
        9f819f819f9fffffff";
    let bad = "1c 1d 1e 3c 3d 3e 5c 5d 5e 7c 7d 7e 9c 9d 9e bc bd be dc dd de fc fd fe
        f800 f801 f818 f81f 5f00ff 5f21ff 5f6100ff 5f80ff 5fa0ff 5fc000ff 5fe0ff 7f4100ff
        5f5f4100ffff 7f7f6100ffff ff 81ff 8200ff a1ff a1ff00 a100ff a20000ff 9f81ff
        9f829f819f9fffffffff bf00ff bf000000ff 1f 3f df";
    for (items, want) in [
        (cut, EnvelopeError::CutShort),
        (bad, EnvelopeError::MalformedCose),
    ] {
        for item in items.split_whitespace() {
            assert_eq!(item_end(&hex(item)), Err(want.clone()), "{item}");
        }
    }
    let nested = |lists| [alloc::vec![0x81; lists], hex("00")].concat();
    assert_eq!(item_end(&nested(31)), Ok(32));
    assert_eq!(item_end(&nested(32)), Err(EnvelopeError::MalformedCose));
}

/// Source: RFC 8949, section 4.2.1, with the example of keys in their order.
#[test]
fn one_encoding_of_a_value_is_deterministic() {
    let deterministic = |item| Extent::of_whole(&hex(item)).unwrap().deterministic;
    assert!(deterministic(
        "a80a0018640020 00617a00626161 00811864008120 00f400"
    ));
    for other in [
        "1817",
        "190018",
        "1a00000100",
        "1b0000000000010000",
        "3800",
        "580100",
        "780161",
        "980100",
        "b8010000",
        "d81100",
        "a202000100",
        "a201000100",
        "81811817",
    ] {
        assert!(!deterministic(other), "{other}");
    }
}

/// Source: RFC 8949 appendix A, the kinds of value that a log holds.
#[test]
fn what_a_log_holds_is_written_as_published() {
    let ints: [(u64, &str); 11] = [
        (0, "00"),
        (1, "01"),
        (10, "0a"),
        (23, "17"),
        (24, "1818"),
        (25, "1819"),
        (100, "1864"),
        (1000, "1903e8"),
        (1_000_000, "1a000f4240"),
        (1_000_000_000_000, "1b000000e8d4a51000"),
        (u64::MAX, "1bffffffffffffffff"),
    ];
    for (value, want) in ints {
        assert_eq!(minicbor::to_vec(value).unwrap(), hex(want));
        assert_eq!(minicbor::decode::<u64>(&hex(want)).unwrap(), value);
    }
    let texts = [
        ("", "60"),
        ("a", "6161"),
        ("IETF", "6449455446"),
        ("\"\\", "62225c"),
        ("\u{fc}", "62c3bc"),
        ("\u{6c34}", "63e6b0b4"),
        ("\u{10151}", "64f0908591"),
    ];
    for (value, want) in texts {
        assert_eq!(minicbor::to_vec(value).unwrap(), hex(want));
        assert_eq!(minicbor::decode::<String>(&hex(want)).unwrap(), value);
    }
    assert_eq!(minicbor::to_vec(false).unwrap(), hex("f4"));
    assert_eq!(minicbor::to_vec(true).unwrap(), hex("f5"));
    assert_eq!(minicbor::to_vec(None::<u8>).unwrap(), hex("f6"));
    assert_eq!(minicbor::to_vec([1u8, 2, 3]).unwrap(), hex("83010203"));
    let nested = (1u8, (2u8, 3u8), (4u8, 5u8));
    assert_eq!(minicbor::to_vec(nested).unwrap(), hex("8301820203820405"));
    let bytes = minicbor::bytes::ByteArray::from([1u8, 2, 3, 4]);
    assert_eq!(minicbor::to_vec(bytes).unwrap(), hex("4401020304"));
}

/// Each defect of an envelope by name, with a signature that is otherwise good.
#[test]
fn each_defect_of_an_envelope_has_its_own_name() {
    let key = secret(1);
    let kid = key.public().fingerprint();
    let payload = b"\x83\x01\x02\x03".to_vec();
    let sign = |domain| key.sign(&to_be_signed(domain, &kid, &payload));
    let good = Envelope::assemble(kid, payload.clone(), sign(Domain::Log));
    let bytes = good.bytes().to_vec();
    assert_eq!(Envelope::parse(&bytes, 1000), Ok(good.clone()));
    assert_eq!(good.verify(Domain::Log, &key.public()), Ok(()));

    let replaced = |from: &[u8], to: &[u8]| {
        let at = bytes.windows(from.len()).position(|w| w == from).unwrap();
        [&bytes[..at], to, &bytes[at + from.len()..]].concat()
    };
    let k = &kid.0[..];
    let header = [b"\x55\xa2\x01\x27\x04\x50", k].concat();
    use EnvelopeError::*;
    let defects: [(&str, Vec<u8>, EnvelopeError); 14] = [
        (
            "trailing byte",
            [&bytes[..], b"\0"].concat(),
            Trailing { bytes: 1 },
        ),
        ("cut short", bytes[..bytes.len() - 1].to_vec(), CutShort),
        ("nothing", Vec::new(), CutShort),
        ("no tag", bytes[1..].to_vec(), MalformedCose),
        (
            "tag 98 (COSE_Sign)",
            replaced(b"\xd2\x84", b"\xd8\x62\x84"),
            MalformedCose,
        ),
        (
            "detached payload",
            replaced(b"\x44\x83\x01\x02\x03", b"\xf6"),
            MalformedCose,
        ),
        (
            "three members",
            replaced(b"\xd2\x84", b"\xd2\x83"),
            Trailing { bytes: 66 },
        ),
        (
            "note in the unprotected header",
            replaced(b"\xa0\x44", b"\xa1\x18\x63\x01\x44"),
            OtherHeaders,
        ),
        (
            "no key named",
            replaced(&header, b"\x43\xa1\x01\x27"),
            OtherHeaders,
        ),
        (
            "short key name",
            replaced(&header, &[b"\x54\xa2\x01\x27\x04\x4f", &k[1..]].concat()),
            OtherHeaders,
        ),
        ("ES256", replaced(b"\x01\x27", b"\x01\x26"), OtherAlgorithm),
        (
            "header out of order",
            replaced(&header, &[b"\x55\xa2\x04\x50", k, b"\x01\x27"].concat()),
            NotDeterministic,
        ),
        (
            "long form of a length",
            replaced(b"\xa0\x44\x83", b"\xa0\x58\x04\x83"),
            NotDeterministic,
        ),
        (
            "payload in pieces",
            replaced(b"\x44\x83\x01\x02\x03", b"\x5f\x42\x83\x01\x42\x02\x03\xff"),
            NotDeterministic,
        ),
    ];
    for (name, bytes, want) in defects {
        assert_eq!(Envelope::parse(&bytes, 1000), Err(want.clone()), "{name}");
        assert!(alloc::format!("{want}").ends_with('.'));
    }
    assert_eq!(
        Envelope::parse(&bytes, 50),
        Err(TooLong {
            given: bytes.len(),
            most: 50
        })
    );
    let stranger = secret(2).public();
    assert_eq!(
        good.verify(Domain::Log, &stranger),
        Err(OtherKey {
            named: kid,
            expected: stranger.fingerprint()
        })
    );
    for domain in [Domain::Statement, Domain::Charter] {
        assert_eq!(good.verify(domain, &key.public()), Err(BadSignature));
        let other = Envelope::assemble(kid, payload.clone(), sign(domain));
        assert_eq!(other.verify(Domain::Log, &key.public()), Err(BadSignature));
    }
}

/// The payload of an envelope that the library `coset` takes, with the same
/// demands.
fn by_library(bytes: &[u8]) -> Option<Vec<u8>> {
    let sign1 = CoseSign1::from_tagged_slice(bytes).ok()?;
    let payload = sign1.payload.clone()?;
    let key_id = sign1.protected.header.key_id.clone();
    if key_id.len() != Fingerprint::LEN || sign1.signature.len() != 64 {
        return None;
    }
    let plain = HeaderBuilder::new()
        .algorithm(Algorithm::EdDSA)
        .key_id(key_id)
        .build();
    let again = CoseSign1Builder::new()
        .protected(plain)
        .payload(payload.clone())
        .signature(sign1.signature)
        .build();
    (again.to_tagged_vec().unwrap() == bytes).then_some(payload)
}

/// Source: the independent library `coset` (RFC 9052).
#[test]
fn an_envelope_and_what_is_signed_are_those_of_another_library() {
    for length in [0, 1, 23, 24, 255, 256, 70_000] {
        let (kid, payload) = (Fingerprint([7; 16]), alloc::vec![5; length]);
        let ours = Envelope::assemble(kid, payload.clone(), [9; 64]);
        assert_eq!(by_library(ours.bytes()), Some(payload.clone()));
        let header = HeaderBuilder::new()
            .algorithm(Algorithm::EdDSA)
            .key_id(kid.0.to_vec())
            .build();
        assert_eq!(protected(&kid), header.clone().to_vec().unwrap());
        let header = ProtectedHeader {
            original_data: None,
            header,
        };
        let aad = Domain::Log.tag();
        let theirs = sig_structure_data(SignatureContext::CoseSign1, header, None, aad, &payload);
        assert_eq!(to_be_signed(Domain::Log, &kid, &payload), theirs);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4_000))]

    /// Source: the independent library `coset`: of an envelope with a few
    /// bytes altered, left out or put in, nothing is taken that it does not
    /// take, and nothing refused that it takes. Its order of checks is its own.
    #[test]
    fn altered_envelopes_are_judged_as_by_another_library(
        changes in proptest::collection::vec((0..40usize, any::<u8>(), 0..3u8), 1..4),
    ) {
        let whole = Envelope::assemble(Fingerprint([0x41; 16]), alloc::vec![0x80, 1, 2], [3; 64]);
        let mut bytes = whole.bytes().to_vec();
        for (at, byte, how) in changes {
            match how {
                0 => bytes[at] = byte,
                1 => bytes.insert(at, byte),
                _ => { bytes.remove(at); }
            }
        }
        let ours = Envelope::parse(&bytes, 1_000).map(|e| e.payload().to_vec());
        prop_assert_eq!(ours.ok(), by_library(&bytes));
    }
}
