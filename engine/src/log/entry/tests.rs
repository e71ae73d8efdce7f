#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]
use alloc::string::ToString;
use alloc::vec::Vec;

use super::super::cose::{self, Envelope};
use super::super::sample::{record, secret, short_game};
use super::super::*;
use super::*;

/// A well-signed entry around any payload.
fn signed(payload: &[u8], key: &SecretKey) -> Vec<u8> {
    let kid = key.public().fingerprint();
    let signature = key.sign(&cose::to_be_signed(Domain::Log, &kid, payload));
    let whole = Envelope::assemble(kid, payload.to_vec(), signature);
    whole.bytes().to_vec()
}

/// Each defect inside a signed payload by name. The signature is always good:
/// a good signature does not make an entry.
#[test]
fn each_defect_of_a_payload_has_its_own_name() {
    let key = secret(1);
    let r = short_game(7, &key);
    // A play: [1, game, 1, previous, 21000, [1, [[0, [turn, call]]]]]
    let good = r.chain().entries()[1].payload().to_bytes();
    let replaced = |from: &[u8], to: &[u8]| {
        let at = good.windows(from.len()).position(|w| w == from).unwrap();
        [&good[..at], to, &good[at + from.len()..]].concat()
    };
    let care = |item: &str| {
        let payload = Payload {
            body: Body::Care(Care {
                item: item.to_string(),
                who: "Official".to_string(),
                in_order: true,
            }),
            ..r.chain().entries()[1].payload().clone()
        };
        payload.to_bytes()
    };
    let long = "x".repeat(Body::TEXT_LIMIT + 1);
    let opening = record(7, &key).chain().entries()[0].payload().to_bytes();
    let weak = {
        let public = *key.public().as_bytes();
        let at = opening.windows(32).position(|w| w == public).unwrap();
        [&opening[..at], &[0; 32], &opening[at + 32..]].concat()
    };
    let shirt_100 = {
        let shirt = b"\xa2\x00\x18\x1a\x01\x60"; // {0: 26, 1: ""}
        let at = opening.windows(6).position(|w| w == shirt).unwrap();
        [&opening[..at + 3], &[100], &opening[at + 4..]].concat()
    };
    let text = b"xx".as_slice();
    let not_utf8 = {
        let short = care("xx");
        let at = short.windows(2).position(|w| w == text).unwrap();
        [&short[..at], &[0xff, 0xff], &short[at + 2..]].concat()
    };
    let unknown_key = {
        let short = care("xx"); // {0: "xx", 1: "Official", 2: true}
        let end = b"\x02\xf5";
        let at = short.windows(2).position(|w| w == end).unwrap();
        let mut more = [&short[..at], end, b"\x03\xf5"].concat();
        let map = more.iter().rposition(|b| *b == 0xa3).unwrap();
        more[map] = 0xa4;
        more
    };
    let out_of_order = {
        let short = care("xx");
        let pair = b"\x00\x62xx";
        let at = short.windows(4).position(|w| w == pair).unwrap();
        let who = b"\x01\x68Official";
        [&short[..at], who, pair, &short[at + 4 + who.len()..]].concat()
    };
    use EntryError::*;
    let defects: Vec<(&str, Vec<u8>, EntryError)> = alloc::vec![
        ("nothing", Vec::new(), MalformedPayload),
        ("not a list", b"\x01".to_vec(), MalformedPayload),
        (
            "the next format",
            replaced(b"\x86\x01", b"\x86\x02"),
            FutureFormat { found: 2 }
        ),
        (
            "a far format with other members",
            b"\x82\x19\x03\xe8\xf6".to_vec(),
            FutureFormat { found: 1000 },
        ),
        (
            "format 0",
            replaced(b"\x86\x01", b"\x86\x00"),
            MalformedPayload
        ),
        (
            "seven members",
            replaced(b"\x86\x01", b"\x87\x01"),
            MalformedPayload
        ),
        (
            "bytes after the body",
            [&good[..], b"\0"].concat(),
            MalformedPayload
        ),
        (
            "cut short",
            good[..good.len() - 1].to_vec(),
            MalformedPayload
        ),
        (
            "long form of a number",
            replaced(b"\x86\x01", b"\x86\x18\x01"),
            Envelope(EnvelopeError::NotDeterministic)
        ),
        (
            "list without a length",
            [&replaced(b"\x86\x01", b"\x9f\x01")[..], b"\xff"].concat(),
            Envelope(EnvelopeError::NotDeterministic)
        ),
        (
            "unknown kind of body",
            replaced(b"\x82\x01\x81\x82\x00", b"\x82\x18\x63\x81\x82\x00"),
            MalformedPayload
        ),
        ("unknown field", unknown_key, MalformedPayload),
        (
            "fields out of order",
            out_of_order,
            Envelope(EnvelopeError::NotDeterministic)
        ),
        ("text that is none", not_utf8, MalformedPayload),
        ("key of small order", weak, MalformedPayload),
        ("shirt number 100", shirt_100, MalformedPayload),
        (
            "too long a text",
            care(&long),
            TooLarge(super::super::TooLarge {
                field: super::super::Field::ChecklistItem,
                given: Body::TEXT_LIMIT + 1,
                most: Body::TEXT_LIMIT,
            }),
        ),
    ];
    assert!(Entry::parse(&signed(&good, &key)).is_ok());
    for (name, payload, want) in defects {
        let read = Entry::parse(&signed(&payload, &key)).err();
        assert_eq!(read, Some(want.clone()), "{name}");
        assert!(want.to_string().ends_with(['.', ')']), "{want}");
    }
}

#[test]
fn an_entry_beyond_the_limit_is_refused_unread_and_never_written() {
    let big = alloc::vec![0u8; Entry::<Unverified>::BYTES_LIMIT + 1];
    assert_eq!(
        Entry::parse(&big).err(),
        Some(EntryError::Envelope(EnvelopeError::TooLong {
            given: big.len(),
            most: Entry::<Unverified>::BYTES_LIMIT,
        }))
    );
    // Two cards of the most players with the longest names fit.
    let key = secret(1);
    let mut opening = super::super::sample::opening(7, &key);
    let name = "n".repeat(Setup::NAME_LIMIT);
    for side in crate::team::Side::BOTH {
        let card = &mut opening.setup.cards[side];
        card.team = name.clone();
        card.reserves = (0..Setup::PLAYERS_LIMIT - 5)
            .map(|n| crate::team::Player {
                shirt: crate::team::Shirt::new(n.to_le_bytes()[0]).unwrap(),
                name: name.clone(),
                gender: None,
            })
            .collect();
    }
    opening.setup.court_used = Some(alloc::vec![0; Setup::COURT_LIMIT]);
    let entry = Chain::draft_opening(opening, u64::MAX)
        .unwrap()
        .sign(&key)
        .unwrap();
    assert!(
        Entry::parse(entry.bytes()).is_ok(),
        "{}",
        entry.bytes().len()
    );
}

#[test]
fn a_signature_made_outside_is_checked_before_the_entry_exists() {
    let key = secret(1);
    let r = record(7, &key);
    let draft = r.draft(Body::Event(Event::Notice(crate::game::Notice::Resume)), 5);
    assert!(draft.is_err(), "nothing is held");
    let body = Body::Care(Care {
        item: "Surface dry".to_string(),
        who: "Official".to_string(),
        in_order: true,
    });
    let draft = r.draft(body, 5).unwrap();
    let signature = key.sign(&draft.to_be_signed());
    assert_eq!(
        draft.clone().assemble(&signature).unwrap(),
        draft.clone().sign(&key).unwrap()
    );
    let mut wrong = signature;
    wrong[0] ^= 1;
    assert_eq!(
        draft.clone().assemble(&wrong).err(),
        Some(EntryError::Envelope(EnvelopeError::BadSignature))
    );
    assert!(draft.sign(&secret(2)).is_err());
}
