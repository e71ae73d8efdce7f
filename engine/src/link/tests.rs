#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
use super::packet::{SYMBOL_IDS, symbols};
use super::*;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use alloc::{format, vec};
use proptest::prelude::*;
use sha2::{Digest, Sha256};

fn kinds() -> impl Strategy<Value = Kind> {
    proptest::sample::select(Kind::ALL.to_vec())
}

/// Bytes that do not compress, as signatures do not.
fn noise(len: usize, seed: u8) -> Vec<u8> {
    let mut out = vec![0; len];
    fastrand::Rng::with_seed(seed.into()).fill(&mut out);
    out
}

fn all(sender: &Sender, ids: impl Iterator<Item = u32>) -> Option<ReceivedPayload> {
    let mut receiver = Receiver::new();
    for id in ids {
        if receiver.accept(&sender.packet(id)).unwrap().complete {
            return receiver.take();
        }
    }
    None
}

proptest! {
    #[test]
    fn any_payload_crosses_with_losses_duplicates_and_disorder(
        kind in kinds(),
        len in 0usize..20_000,
        fill in any::<u8>(),
        size in 32u16..900,
        lost in 0u32..60,
        order in any::<u64>(),
    ) {
        let payload = noise(len, fill);
        let sender = Sender::new(kind, &payload, SymbolSize::new(size)).unwrap();
        let mut receiver = Receiver::expecting(kind);
        let mut rng = fastrand::Rng::with_seed(order);
        let mut last = 0.0;
        let mut seen = alloc::collections::BTreeSet::new();
        for turn in 0..sender.symbols() * 8 + 64 {
            if rng.u32(..100) < lost { continue; }
            // Within a window ahead, so that packets come out of order and again.
            let packet = sender.packet(turn + rng.u32(..7));
            let packet = Packet::from_bytes(&packet.to_bytes()).unwrap();
            seen.insert(packet.symbol_id);
            let progress = receiver.accept(&packet).unwrap();
            prop_assert!(progress.fraction() >= last && progress.fraction() <= 1.0);
            prop_assert_eq!(progress.fraction() == 1.0, progress.complete);
            last = progress.fraction();
            if progress.complete {
                // RFC 6330's design: hardly ever more than two beyond the least.
                prop_assert!(seen.len() as u32 <= sender.symbols() + 4);
                break;
            }
        }
        let received = receiver.take().expect("complete");
        prop_assert_eq!(received.payload, payload);
        prop_assert_eq!(received.kind, kind);
    }

    #[test]
    fn no_bytes_make_a_packet_reader_or_a_receiver_fall(
        bytes in proptest::collection::vec(any::<u8>(), 0..200),
    ) {
        let _ = Packet::from_bytes(&bytes);
        // The same with a right check, so that the header is read too.
        let mut sealed = bytes;
        let check = Sha256::digest(&sealed);
        sealed.extend_from_slice(&check[..4]);
        let mut receiver = Receiver::new();
        if let Ok(packet) = Packet::from_bytes(&sealed) {
            let _ = receiver.accept(&packet);
        }
    }

    /// Well-formed packets of nonsense: contradictory, huge, sparse.
    #[test]
    fn no_packets_make_a_receiver_fall(
        length in object::OVERHEAD..40_000,
        size in 1usize..600,
        ids in proptest::collection::vec(0..SYMBOL_IDS, 1..120),
        fill in any::<u8>(),
    ) {
        prop_assume!(symbols(length, size) <= MAX_SYMBOLS);
        let mut receiver = Receiver::new();
        for symbol_id in ids {
            let packet = Packet {
                kind: Kind::Charter, transfer: TransferId([fill; 8]), length, symbol_id,
                data: noise(size, symbol_id as u8),
            };
            let packet = Packet::from_bytes(&packet.to_bytes()).unwrap();
            match receiver.accept(&packet) {
                Ok(progress) => prop_assert!(!progress.complete),
                Err(refusal) => prop_assert_eq!(refusal, Refusal::Contradiction),
            }
        }
    }

    #[test]
    fn no_text_makes_the_reader_fall(text in "\\PC*", tail in "[A-Z2-7:. \\n]*") {
        let _ = text::read_line(&text);
        let _ = text::read(&text);
        let _ = text::read(&format!("{text}CHALK:{tail}"));
    }

    /// Any single byte altered is noticed.
    #[test]
    fn an_altered_packet_is_refused(at in any::<prop::sample::Index>(), flip in 1u8..) {
        let sender = Sender::new(Kind::Entries, &noise(900, 3), SymbolSize::new(300)).unwrap();
        let mut bytes = sender.packet(1).to_bytes();
        let at = at.index(bytes.len());
        bytes[at] ^= flip;
        prop_assert_eq!(Packet::from_bytes(&bytes), Err(Refusal::Damaged));
    }

    #[test]
    fn pasted_lines_survive_what_chats_do(
        chunk in 5usize..90,
        lower in any::<bool>(),
        around in "[ a-zA-Z0-9,!?>\\n]{0,40}",
    ) {
        let sender = Sender::new(Kind::Rulings, &noise(700, 9), SymbolSize::new(200)).unwrap();
        let mut pasted = String::new();
        for line in text::lines(&sender, 1).lines() {
            pasted.push_str(&around);
            pasted.push('\n');
            for part in line.as_bytes().chunks(chunk) {
                pasted.push_str("> ");
                pasted.push_str(core::str::from_utf8(part).unwrap());
                pasted.push_str("\u{200b}\r\n\t");
            }
        }
        if lower { pasted = pasted.to_lowercase(); }
        let found = text::read(&pasted);
        prop_assert_eq!(found.refused, vec![]);
        prop_assert_eq!(found.packets, sender.batch(1).collect::<Vec<_>>());
    }
}

#[test]
fn a_code_of_another_making_is_named_so() {
    for other in [
        "",
        "WIFI:S:court;;",
        "https://example.org/",
        "CHALK",
        "12345",
    ] {
        assert_eq!(text::read_line(other), Err(Refusal::NotOurs), "{other}");
    }
    assert_eq!(text::read_line("CHALK:ABC."), Err(Refusal::Damaged));
    assert_eq!(text::read_line("CHALK:"), Err(Refusal::Damaged));
}

/// A packet with its bytes changed and its check made right again.
fn forged(change: impl Fn(&mut Vec<u8>)) -> Result<Packet, Refusal> {
    let sender = Sender::new(Kind::Entries, &noise(900, 3), SymbolSize::new(300)).unwrap();
    let mut bytes = sender.packet(0).to_bytes();
    bytes.truncate(bytes.len() - 4);
    change(&mut bytes);
    let check = Sha256::digest(&bytes);
    bytes.extend_from_slice(&check[..4]);
    Packet::from_bytes(&bytes)
}

#[test]
fn headers_out_of_range_are_refused_with_their_reason() {
    assert!(forged(|_| ()).is_ok());
    assert_eq!(forged(|b| b[0] = 2), Err(Refusal::Newer { format: 2 }));
    assert_eq!(forged(|b| b[0] = 0), Err(Refusal::Damaged));
    assert_eq!(
        forged(|b| b[1] = 99),
        Err(Refusal::UnknownKind { code: 99 })
    );
    assert_eq!(forged(|b| b[10] = 0xff), Err(Refusal::TooLarge));
    assert_eq!(
        forged(|b| b[10..13].copy_from_slice(&[0, 0, 32])),
        Err(Refusal::Damaged)
    );
    assert_eq!(forged(|b| b.truncate(16)), Err(Refusal::Damaged));
    assert_eq!(forged(|b| b.resize(4000, 0)), Err(Refusal::Damaged));
    // 1 MiB in symbols of one byte.
    assert_eq!(
        forged(|b| {
            b[10] = 0x10;
            b.truncate(17);
        }),
        Err(Refusal::TooLarge)
    );
}

#[test]
fn kinds_keep_their_bytes() {
    for kind in Kind::ALL {
        assert_eq!(Kind::from_code(kind.code()), Some(kind));
    }
    assert_eq!(Kind::from_code(0), None);
    assert_eq!(Kind::from_code(5), None, "no longer sent, never reused");
}

#[test]
fn another_kind_or_transfer_changes_nothing() {
    let game = Sender::new(Kind::Entries, &noise(2000, 1), SymbolSize::new(300)).unwrap();
    let other = Sender::new(Kind::Entries, &noise(2000, 2), SymbolSize::new(300)).unwrap();
    let charter = Sender::new(Kind::Charter, &noise(2000, 1), SymbolSize::new(300)).unwrap();
    let mut receiver = Receiver::expecting(Kind::Entries);
    assert_eq!(
        receiver.accept(&charter.packet(0)),
        Err(Refusal::OtherKind {
            wanted: Kind::Entries,
            got: Kind::Charter
        })
    );
    assert_eq!(receiver.progress(), None);
    for id in 0..game.symbols() {
        receiver.accept(&game.packet(id)).unwrap();
        assert_eq!(
            receiver.accept(&other.packet(id)),
            Err(Refusal::OtherTransfer {
                under_way: game.transfer(),
                got: other.transfer()
            })
        );
    }
    assert_eq!(receiver.take().unwrap().payload, noise(2000, 1));
    assert_eq!(receiver.progress(), None);
}

/// The same game in other symbols is a piece that does not fit.
#[test]
fn other_symbols_of_one_payload_do_not_mix() {
    let payload = noise(2000, 1);
    let big = Sender::new(Kind::Entries, &payload, SymbolSize::new(600)).unwrap();
    let small = Sender::new(Kind::Entries, &payload, SymbolSize::new(200)).unwrap();
    let mut receiver = Receiver::new();
    receiver.accept(&big.packet(0)).unwrap();
    assert_eq!(receiver.accept(&small.packet(0)), Err(Refusal::Damaged));
    for id in 1..big.symbols() {
        receiver.accept(&big.packet(id)).unwrap();
    }
    assert!(receiver.accept(&small.packet(0)).unwrap().complete);
}

#[test]
fn pieces_that_contradict_are_dropped_and_the_transfer_can_start_again() {
    let payload = noise(3000, 5);
    let sender = Sender::new(Kind::Entries, &payload, SymbolSize::new(300)).unwrap();
    let mut receiver = Receiver::new();
    let mut wrong = sender.packet(3);
    wrong.data[7] ^= 1;
    receiver.accept(&wrong).unwrap();
    let refused = (0..sender.symbols() * 2)
        .filter(|id| *id != 3)
        .find_map(|id| receiver.accept(&sender.packet(id)).err());
    assert_eq!(refused, Some(Refusal::Contradiction));
    assert_eq!(receiver.progress(), None);
    for id in 100.. {
        if receiver.accept(&sender.packet(id)).unwrap().complete {
            break;
        }
    }
    assert_eq!(receiver.take().unwrap().payload, payload);
}

#[test]
fn an_object_that_unpacks_too_far_is_refused() {
    let bomb = vec![0; MAX_PAYLOAD + 1];
    assert_eq!(
        Sender::new(Kind::Entries, &bomb, SymbolSize::QR).err(),
        Some(ObjectTooLarge {
            bytes: MAX_PAYLOAD + 1
        })
    );
    let digest = object::digest(Kind::Entries, &bomb);
    let packed = object::pack(&digest, &bomb);
    assert_eq!(
        object::unpack(Kind::Entries, object::transfer_id(&digest), &packed),
        Err(Refusal::Contradiction)
    );
    let largest = &bomb[1..];
    let sender = Sender::new(Kind::Entries, largest, SymbolSize::QR).unwrap();
    assert_eq!(all(&sender, 0..).unwrap().payload.len(), MAX_PAYLOAD);
}

#[test]
fn sizes_at_their_limits() {
    let most = MAX_OBJECT as usize - 33;
    let payload = noise(most, 1);
    let sender = Sender::new(Kind::Charter, &payload, SymbolSize::MIN).unwrap();
    assert!(sender.symbols() <= MAX_SYMBOLS);
    let repair = sender.symbols() / 2..;
    assert_eq!(all(&sender, repair).unwrap().payload, payload);
    let over = noise(most + 1, 1);
    assert!(Sender::new(Kind::Charter, &over, SymbolSize::MAX).is_err());
    let empty = Sender::new(Kind::Charter, &[], SymbolSize::MIN).unwrap();
    let none = all(&empty, SYMBOL_IDS - 1..SYMBOL_IDS + 40)
        .unwrap()
        .payload;
    assert!(none.is_empty());
}

#[test]
fn a_chat_with_several_transfers_gives_each() {
    let payloads: Vec<_> = (1..=3).map(|n| noise(900 * usize::from(n), n)).collect();
    let senders: Vec<_> = payloads
        .iter()
        .map(|p| Sender::new(Kind::Entries, p, SymbolSize::new(250)).unwrap())
        .collect();
    let mut inbox = Inbox::new();
    let mut whole = Vec::new();
    for id in 0..20 {
        for sender in &senders {
            inbox.accept(&sender.packet(id)).unwrap();
        }
        whole.extend(inbox.take());
    }
    whole.sort_by_key(|r| r.payload.len());
    whole.dedup();
    let got: Vec<_> = whole.into_iter().map(|r| r.payload).collect();
    assert_eq!(got, payloads);
}

/// A camera had read one code when the same record was pasted as text.
#[test]
fn pieces_of_one_payload_in_two_sizes_are_two_transfers() {
    let payload = noise(2000, 9);
    let sized = |size| Sender::new(Kind::Entries, &payload, SymbolSize::new(size)).unwrap();
    let (codes, text) = (sized(250), sized(600));
    let mut inbox = Inbox::new();
    inbox.accept(&codes.packet(0)).unwrap();
    for id in 0..8 {
        inbox.accept(&text.packet(id)).unwrap();
    }
    let whole = inbox.take();
    assert_eq!(whole.first().map(|r| &r.payload), Some(&payload));
}

#[test]
fn an_inbox_keeps_no_more_than_a_few_transfers() {
    let mut inbox = Inbox::new();
    for n in 0..50 {
        let sender = Sender::new(Kind::Entries, &noise(900, n), SymbolSize::new(250)).unwrap();
        inbox.accept(&sender.packet(0)).unwrap();
    }
    assert_eq!(inbox.progress().count(), 4);
}

/// Source: RFC 4648 section 10, base 32 of "foobar" without padding.
#[test]
fn base32_is_the_standard_one() {
    assert_eq!(data_encoding::BASE32_NOPAD.encode(b"foobar"), "MZXW6YTBOI");
}

/// Source: FIPS 180-4 through NIST's example "abc" of SHA-256: ba7816bf.
/// The check of a packet is its head.
#[test]
fn the_check_is_the_head_of_sha_256() {
    let bytes = [b"abc".as_slice(), &[0xba, 0x78, 0x16, 0xbf]].concat();
    // "a" is no format of ours, so a right check reads as a newer one.
    assert_eq!(
        Packet::from_bytes(&bytes),
        Err(Refusal::Newer { format: b'a' })
    );
}

#[test]
fn refusals_speak_in_sentences() {
    for refusal in [
        Refusal::NotOurs,
        Refusal::Damaged,
        Refusal::Newer { format: 2 },
        Refusal::OtherKind {
            wanted: Kind::Entries,
            got: Kind::Charter,
        },
        Refusal::TooLarge,
        Refusal::Contradiction,
    ] {
        let said = refusal.to_string();
        assert!(said.ends_with('.') && said.len() > 30, "{said}");
    }
}
