//! Log files that are wrong in one known way each, and some that are good.
//!
//! All signatures are the sample officials' own, so that nothing but the named
//! defect is wrong.

use engine::log::Content as _;
use engine::log::{
    Body, Care, GameId, Hash, KeyChange, Payload, ReceiptClaim, RecordError, SecretKey, Setup,
    Signature, Unsigned, Verified,
};
use engine::play::{BatterFate, Call, Goal};

use crate::sample::{self, Writer, key};

/// A file with what a verifier must say of it.
#[derive(Clone, Debug)]
pub struct Defect {
    /// What is wrong.
    pub name: &'static str,
    /// The file.
    pub bytes: Vec<u8>,
    /// Good entries before the fault.
    pub entries: usize,
    /// The documented name of the fault, or `good`.
    pub verdict: &'static str,
}

/// External data of a signature under an ordinary entry.
const LOG: &[u8] = b"chalkbook:log";
/// External data of a signature under a statement.
const STATEMENT: &[u8] = b"chalkbook:statement";

/// An envelope put together by hand.
struct Forged<'a> {
    key: &'a SecretKey,
    aad: &'a [u8],
    protected: Vec<u8>,
}

impl<'a> Forged<'a> {
    fn by(key: &'a SecretKey) -> Self {
        let kid = key.public().fingerprint();
        Self {
            key,
            aad: LOG,
            protected: [b"\xa2\x01\x27\x04\x50", &kid.0[..]].concat(),
        }
    }

    fn signature(&self, payload: &[u8]) -> Vec<u8> {
        let mut signed = b"\x84\x6aSignature1".to_vec();
        for part in [&self.protected, self.aad, payload] {
            string(&mut signed, part);
        }
        self.key.sign(&signed).to_vec()
    }

    fn entry(&self, payload: &[u8]) -> Vec<u8> {
        let mut bytes = b"\xd2\x84".to_vec();
        string(&mut bytes, &self.protected);
        bytes.push(0xa0);
        string(&mut bytes, payload);
        string(&mut bytes, &self.signature(payload));
        bytes
    }
}

/// Writes a byte string.
fn string(out: &mut Vec<u8>, bytes: &[u8]) {
    let mut e = minicbor::Encoder::new(out);
    // Writing to memory cannot fail.
    let _ = e.bytes(bytes);
}

/// `bytes` with the last occurrence of `from` replaced; the samples hold it.
fn replaced(bytes: &[u8], from: &[u8], to: &[u8]) -> Vec<u8> {
    let at = bytes.windows(from.len()).rposition(|w| w == from);
    let at = at.unwrap_or_else(|| unreachable!("the sample holds what is replaced"));
    [&bytes[..at], to, &bytes[at + from.len()..]].concat()
}

/// The entry at `at` with its payload changed and signed again.
fn resigned(log: &Writer, at: usize, by: &SecretKey, edit: impl FnOnce(&mut Payload)) -> Vec<u8> {
    let mut payload = log.chain().entries()[at].payload().clone();
    edit(&mut payload);
    let entry = Unsigned::new(payload, by.public()).map(|draft| draft.sign(by));
    match entry {
        Ok(Ok(entry)) => bytes(&entry),
        _ => unreachable!("a sample entry can be signed again"),
    }
}

fn bytes(entry: &engine::log::Entry<Verified>) -> Vec<u8> {
    entry.bytes().to_vec()
}

fn care(item: &str) -> Body {
    Body::Care(Care {
        item: item.to_owned(),
        who: "Official 1".to_owned(),
        in_order: true,
    })
}

/// Every file.
///
/// # Errors
/// When the engine refuses a sample.
pub fn all() -> Result<Vec<Defect>, RecordError> {
    let mut all = good()?;
    all.extend(of_form()?);
    all.extend(of_payload()?);
    all.extend(of_signature()?);
    all.extend(of_order()?);
    all.extend(of_receipt()?);
    Ok(all)
}

fn file(name: &'static str, items: &[Vec<u8>], entries: usize, verdict: &'static str) -> Defect {
    Defect {
        name,
        bytes: items.concat(),
        entries,
        verdict,
    }
}

fn good() -> Result<Vec<Defect>, RecordError> {
    let one = sample::short(1, 1)?.items();
    let two = sample::short(1, 2)?.items();
    let other = sample::short(2, 1)?.items();
    let whole = sample::whole(3, 1)?.items();
    let bodies = sample::every_body(4, 1)?.items();
    let turns = one.iter().zip(&two);
    let alternating: Vec<Vec<u8>> = turns.flat_map(|(a, b)| [a.clone(), b.clone()]).collect();
    Ok(vec![
        file("good-short", &one, one.len(), "good"),
        file("good-whole-game", &whole, whole.len(), "good"),
        file("good-every-body", &bodies, bodies.len(), "good"),
        file("good-authors-in-turns", &alternating, 8, "good"),
        file("good-two-games", &[one.clone(), other].concat(), 8, "good"),
        file(
            "good-said-twice",
            &[one.clone(), one.clone()].concat(),
            8,
            "good",
        ),
        file("good-without-an-end", &one[..2], 2, "good"),
        file("good-with-receipts", &with_receipts(&one)?, 7, "good"),
        file(
            "good-cut-before-its-receipt",
            &[&one[..2], &[receipt(&sample::short(1, 1)?, 4)]].concat(),
            3,
            "good",
        ),
    ])
}

/// A good short log whose entry 2 (the third of the file) is replaced.
fn third(name: &'static str, third: Vec<u8>, verdict: &'static str) -> Result<Defect, RecordError> {
    let mut items = sample::short(1, 1)?.items();
    items[2] = third;
    Ok(file(name, &items, 2, verdict))
}

/// What the sample collector signs of a log's first entries.
fn receipt(log: &Writer, entries: u64) -> Vec<u8> {
    let chain = log.chain();
    let at = usize::try_from(entries).unwrap_or(0).saturating_sub(1);
    let claim = ReceiptClaim {
        log: chain.name(),
        entries,
        head: chain.entries()[at.min(chain.entries().len() - 1)].hash(),
        received_ms: 1_781_344_900_000 + entries,
        collector: key(8).public(),
    };
    let signed = claim.sign(&key(8));
    signed.map_or_else(Vec::new, |signed| signed.bytes().to_vec())
}

/// A log among its receipts, one of them said twice, and one of another log.
fn with_receipts(one: &[Vec<u8>]) -> Result<Vec<Vec<u8>>, RecordError> {
    let (log, other) = (sample::short(1, 1)?, sample::short(2, 1)?);
    let [first, last] = [2, 4].map(|entries| receipt(&log, entries));
    let mut items = one.to_vec();
    items.splice(1..1, [first]);
    items.extend([last, receipt(&other, 3)]);
    Ok(items)
}

fn of_receipt() -> Result<Vec<Defect>, RecordError> {
    let log = sample::short(1, 1)?;
    let collector = key(8);
    let good = receipt(&log, 4);
    let payload = |edit: &dyn Fn(&mut Vec<u8>)| {
        // Behind tag, list, protected header and the head of the byte string.
        let mut d = minicbor::Decoder::new(&good);
        let read = d.tag().and_then(|_| d.array()).and_then(|_| d.skip());
        let read = read.and_then(|()| d.skip()).and_then(|()| d.bytes());
        let mut payload = read.unwrap_or_default().to_vec();
        edit(&mut payload);
        payload
    };
    let as_receipt = |payload: Vec<u8>| {
        let forged = Forged {
            aad: b"chalkbook:receipt",
            ..Forged::by(&collector)
        };
        forged.entry(&payload)
    };
    let whole = log.items();
    let after = |name, item: Vec<u8>, verdict| {
        let items = [&whole[..], &[item]].concat();
        file(name, &items, 4, verdict)
    };
    // The number of entries stands behind the game and the author.
    let entries = 1 + 1 + 8 + 34 + 17;
    let unsaid = |name: &'static str, edit: &dyn Fn(&mut Vec<u8>), verdict| {
        after(name, as_receipt(payload(edit)), verdict)
    };
    let mut flipped = good.clone();
    if let Some(last) = flipped.last_mut() {
        *last ^= 1;
    }
    Ok(vec![
        after("a-bit-of-a-receipts-signature", flipped, "bad-signature"),
        after(
            "receipt-signed-as-a-play",
            Forged::by(&collector).entry(&payload(&|_| ())),
            "bad-signature",
        ),
        after(
            "receipt-in-another-collectors-name",
            Forged {
                aad: b"chalkbook:receipt",
                ..Forged::by(&key(7))
            }
            .entry(&payload(&|_| ())),
            "other-key",
        ),
        unsaid(
            "receipt-of-no-entries",
            &|p| p[entries] = 0,
            "malformed-payload",
        ),
        unsaid(
            "receipt-with-a-long-form-of-a-number",
            &|p| {
                p.splice(entries..=entries, [0x18, 4]);
            },
            "not-deterministic",
        ),
        unsaid("receipt-of-the-next-format", &|p| p[1] = 2, "future-format"),
    ])
}

fn of_form() -> Result<Vec<Defect>, RecordError> {
    let log = sample::short(1, 1)?;
    let items = log.items();
    let entry = &items[2];
    let mut cut = items.concat();
    cut.pop();
    let kid = log.chain().author().fingerprint().0;
    let header = [b"\x55\xa2\x01\x27\x04\x50", &kid[..]].concat();
    let payload = log.chain().entries()[2].payload().to_bytes();
    let in_place = |protected: &[u8]| replaced(entry, &header, protected);
    let long = Forged::by(&key(1)).entry(&[0; 33_000]);
    let mut as_string = Vec::new();
    string(&mut as_string, &payload);
    let pieces = [b"\x5f", &as_string[..], b"\xff"].concat();
    Ok(vec![
        file("nothing", &[], 0, "empty"),
        file("cut-in-the-last-entry", &[cut], 3, "cut-short"),
        file(
            "a-byte-after-the-end",
            &[items.concat(), vec![0]],
            4,
            "malformed-cose",
        ),
        file(
            "a-break-after-the-end",
            &[items.concat(), vec![0xff]],
            4,
            "malformed-cose",
        ),
        file(
            "half-an-entry-after-the-end",
            &[items.concat(), entry[..9].to_vec()],
            4,
            "cut-short",
        ),
        third("no-tag", entry[1..].to_vec(), "malformed-cose")?,
        third(
            "tag-of-many-signers",
            replaced(entry, b"\xd2\x84", b"\xd8\x62\x84"),
            "malformed-cose",
        )?,
        third(
            "detached-payload",
            replaced(entry, &as_string, b"\xf6"),
            "malformed-cose",
        )?,
        third("too-many-bytes", long, "too-long")?,
        third(
            "other-algorithm",
            in_place(&[b"\x55\xa2\x01\x26\x04\x50", &kid[..]].concat()),
            "other-algorithm",
        )?,
        third(
            "no-key-named",
            in_place(b"\x43\xa1\x01\x27"),
            "other-headers",
        )?,
        third(
            "short-key-name",
            in_place(&[b"\x54\xa2\x01\x27\x04\x4f", &kid[1..]].concat()),
            "other-headers",
        )?,
        third(
            "content-type-in-the-header",
            in_place(&[b"\x57\xa3\x01\x27\x03\x00\x04\x50", &kid[..]].concat()),
            "other-headers",
        )?,
        third(
            "unsigned-header",
            replaced(
                entry,
                &[b"\xa0", &as_string[..]].concat(),
                &[b"\xa1\x18\x63\x01", &as_string[..]].concat(),
            ),
            "other-headers",
        )?,
        third(
            "header-out-of-order",
            in_place(&[b"\x55\xa2\x04\x50", &kid[..], b"\x01\x27"].concat()),
            "not-deterministic",
        )?,
        third(
            "payload-in-pieces",
            replaced(entry, &as_string, &pieces),
            "not-deterministic",
        )?,
        third(
            "long-form-of-a-length",
            replaced(entry, b"\x58\x40", b"\x59\x00\x40"),
            "not-deterministic",
        )?,
    ])
}

fn of_payload() -> Result<Vec<Defect>, RecordError> {
    let (one, log) = (key(1), sample::short(1, 1)?);
    let forged = Forged::by(&one);
    let play = log.chain().entries()[2].payload().to_bytes();
    let at = |edit: &dyn Fn(&mut Payload)| {
        let mut payload = log.chain().entries()[2].payload().clone();
        edit(&mut payload);
        payload.to_bytes()
    };
    let caring = at(&|p| p.body = care("xx"));
    let tail = b"\xa3\x00\x62xx\x01\x6aOfficial 1\x02\xf5";
    let third = |name, payload: &[u8], verdict| third(name, forged.entry(payload), verdict);
    let opening = log.chain().entries()[0].payload().to_bytes();
    let public = *one.public().as_bytes();
    let first = |name, payload: &[u8], verdict| file(name, &[forged.entry(payload)], 0, verdict);
    Ok(vec![
        third(
            "the-next-format",
            &replaced(&play, b"\x86\x01", b"\x86\x02"),
            "future-format",
        )?,
        third("a-far-format", b"\x82\x19\x03\xe8\xf6", "future-format")?,
        third(
            "format-zero",
            &replaced(&play, b"\x86\x01", b"\x86\x00"),
            "malformed-payload",
        )?,
        third(
            "seven-members",
            &replaced(&play, b"\x86\x01", b"\x87\x01"),
            "malformed-payload",
        )?,
        third(
            "bytes-after-the-body",
            &[&play[..], b"\0"].concat(),
            "malformed-payload",
        )?,
        third("payload-cut", &play[..play.len() - 1], "malformed-payload")?,
        third(
            "unknown-body",
            &replaced(&play, b"\x82\x01\x81\x82\x00", b"\x82\x18\x63\x81\x82\x00"),
            "malformed-payload",
        )?,
        third(
            "long-form-of-a-number",
            &replaced(&play, b"\x86\x01", b"\x86\x18\x01"),
            "not-deterministic",
        )?,
        third(
            "list-without-a-length",
            &[&replaced(&play, b"\x86\x01", b"\x9f\x01")[..], b"\xff"].concat(),
            "not-deterministic",
        )?,
        third(
            "unknown-field",
            &replaced(
                &caring,
                tail,
                b"\xa4\x00\x62xx\x01\x6aOfficial 1\x02\xf5\x03\xf5",
            ),
            "malformed-payload",
        )?,
        third(
            "fields-out-of-order",
            &replaced(&caring, tail, b"\xa3\x01\x6aOfficial 1\x00\x62xx\x02\xf5"),
            "not-deterministic",
        )?,
        third(
            "text-that-is-none",
            &replaced(&caring, b"\x62xx", b"\x62\xff\xff"),
            "malformed-payload",
        )?,
        third(
            "too-long-a-text",
            &at(&|p| p.body = care(&"x".repeat(501))),
            "too-large",
        )?,
        third(
            "escape-sequence-in-a-text",
            &at(&|p| p.body = care("\u{1b}[2KGOOD")),
            "control-character",
        )?,
        third(
            "text-shown-backwards",
            &at(&|p| p.body = care("\u{202e}TON")),
            "control-character",
        )?,
        third(
            "clock-of-the-year-262142",
            &at(&|p| p.claimed_ms = 8_210_266_876_799_999),
            "out-of-time",
        )?,
        third(
            "clock-of-the-year-1999",
            &at(&|p| p.claimed_ms = 946_684_799_999),
            "out-of-time",
        )?,
        first(
            "too-long-a-name",
            &replaced(
                &opening,
                b"\x63Ada",
                &[b"\x78\x79", &[b'a'; 121][..]].concat(),
            ),
            "too-large",
        ),
        first(
            "shirt-number-100",
            &replaced(&opening, b"\xa2\x00\x15\x01", b"\xa2\x00\x18\x64\x01"),
            "malformed-payload",
        ),
        first(
            "key-of-small-order",
            &replaced(&opening, &public, &[0; 32]),
            "malformed-payload",
        ),
        first(
            "key-off-the-curve",
            &replaced(&opening, &public, &[2; 32]),
            "malformed-payload",
        ),
    ])
}

fn of_signature() -> Result<Vec<Defect>, RecordError> {
    let (one, two) = (key(1), key(2));
    let log = sample::short(1, 1)?;
    let items = log.items();
    let play = log.chain().entries()[2].payload().to_bytes();
    let statement = log.chain().entries()[3].payload().to_bytes();
    let mut flipped = items[2].clone();
    if let Some(last) = flipped.last_mut() {
        *last ^= 1;
    }
    let caught = b"\x82\x02\x80";
    let altered = replaced(&items[2], caught, b"\x82\x04\x80");
    let as_other = Forged {
        protected: Forged::by(&one).protected,
        ..Forged::by(&two)
    };
    let mut as_log = items.clone();
    as_log[3] = Forged::by(&one).entry(&statement);
    let as_statement = Forged {
        aad: STATEMENT,
        ..Forged::by(&one)
    };
    let foreign = resigned(&log, 2, &two, |_| {});
    let opened_by_two = Forged::by(&two).entry(&log.chain().entries()[0].payload().to_bytes());
    Ok(vec![
        third("a-bit-of-the-signature", flipped, "bad-signature")?,
        third("a-catch-made-no-hit", altered, "bad-signature")?,
        third("signed-with-a-foreign-key", foreign, "wrong-author")?,
        third(
            "foreign-key-under-the-authors-name",
            as_other.entry(&play),
            "bad-signature",
        )?,
        third(
            "play-signed-as-a-statement",
            as_statement.entry(&play),
            "bad-signature",
        )?,
        file("statement-signed-as-a-play", &as_log, 3, "bad-signature"),
        file(
            "opening-signed-with-a-foreign-key",
            &[opened_by_two],
            0,
            "other-key",
        ),
    ])
}

fn of_order() -> Result<Vec<Defect>, RecordError> {
    let (one, two, hundred) = (key(1), key(2), key(101));
    let log = sample::short(1, 1)?;
    let items = log.items();
    let other = sample::short(2, 1)?.items();
    let mut without = items.clone();
    without.remove(1);
    let mut swapped = items.clone();
    swapped.swap(1, 2);
    let again = |edit: fn(&mut Payload)| resigned(&log, 2, &one, edit);
    let first = |name, edit: fn(&mut Payload), verdict| {
        file(name, &[resigned(&log, 0, &one, edit)], 0, verdict)
    };
    let mut twin = Writer::open(1, 1)?;
    twin.play(Call::new(BatterFate::safe(Goal::Third)))?;
    let fork = twin.items()[1].clone();
    let second_opening = resigned(&log, 2, &one, |p| {
        p.body = log.chain().entries()[0].body().clone();
    });
    let early_statement = resigned(&log, 2, &one, |p| {
        p.body = log.chain().entries()[3].body().clone();
    });
    let mut changed = Writer::open(1, 1)?;
    changed.play(Call::new(BatterFate::Caught))?;
    let before = changed.items().len();
    let too_early = resigned(&log, 2, &hundred, |_| {});
    changed.change_key(101)?;
    changed.play(Call::new(BatterFate::Caught))?;
    let mut retired = changed.items();
    let last = retired.len() - 1;
    retired[last] = resigned(&changed, last, &one, |_| {});
    let claimed = |proof: Signature| {
        let change = KeyChange {
            key: two.public(),
            reason: "Mine now.".to_owned(),
            proof,
        };
        resigned(&log, 2, &one, |p| p.body = Body::KeyChange(change))
    };
    let (game, old) = (log.chain().game(), one.public().fingerprint());
    let for_later = KeyChange::signed(game, old, 3, &two, String::new()).proof;
    let to_itself = KeyChange::signed(game, old, 2, &one, String::new());
    let to_itself = resigned(&log, 2, &one, |p| p.body = Body::KeyChange(to_itself));
    let new_key_early = [&changed.items()[..before], &[too_early]].concat();
    let foreign_opening = resigned(&log, 0, &two, |p| {
        if let Body::Opening(o) = &mut p.body {
            o.author.key = key(2).public();
            o.setup = Setup {
                demo: true,
                ..o.setup.clone()
            };
        }
    });
    Ok(vec![
        file("beginning-missing", &items[1..], 0, "no-opening"),
        file("entry-taken-out", &without, 1, "gap"),
        file("entries-swapped", &swapped, 1, "reordered"),
        file(
            "two-entries-with-one-number",
            &[&items[..], core::slice::from_ref(&fork)].concat(),
            4,
            "fork",
        ),
        file(
            "fork-before-the-end",
            &[items[0].clone(), items[1].clone(), fork],
            2,
            "fork",
        ),
        file(
            "opened-twice",
            &[
                items[0].clone(),
                resigned(&log, 0, &one, |p| p.claimed_ms += 1),
            ],
            1,
            "fork",
        ),
        third("spliced-from-another-game", other[2].clone(), "no-opening")?,
        file(
            "spliced-among-two-games",
            &[items[0].clone(), other[0].clone(), other[2].clone()],
            2,
            "gap",
        ),
        third(
            "link-to-another-entry",
            again(|p| p.previous = Some(Hash([7; 32]))),
            "broken-link",
        )?,
        third("no-link", again(|p| p.previous = None), "broken-link")?,
        third("second-opening", second_opening, "second-opening")?,
        third(
            "statement-too-early",
            early_statement,
            "statement-of-another-record",
        )?,
        first(
            "opening-of-another-game",
            |p| p.game = GameId([7; 32]),
            "opening-of-another-game",
        ),
        first(
            "opening-with-a-link",
            |p| p.previous = Some(Hash([7; 32])),
            "broken-link",
        ),
        first("opening-numbered-three", |p| p.seq = 3, "second-opening"),
        file(
            "setup-changed-under-the-game-id",
            &[foreign_opening],
            0,
            "opening-of-another-game",
        ),
        third(
            "key-of-another-claimed",
            claimed(Signature([0; 64])),
            "unproven-key",
        )?,
        third(
            "key-claimed-with-the-proof-of-another-entry",
            claimed(for_later),
            "unproven-key",
        )?,
        third("key-changed-to-itself", to_itself, "key-used-before")?,
        file("old-key-after-its-change", &retired, last, "wrong-author"),
        file(
            "new-key-before-its-change",
            &new_key_early,
            before,
            "no-opening",
        ),
    ])
}
