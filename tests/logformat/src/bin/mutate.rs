//! Alters samples of everything that is read from outside and has every
//! decoder read it: `mutate INPUTS [SEED]`. Signatures are made anew with the
//! sample officials' keys where there are any, so that what lies behind them is
//! reached. Ends with the first input that breaks one, in hexadecimal.

use std::error::Error;
use std::time::Instant;

use engine::crosscheck::Exchange;
use engine::link::{Kind, Sender, SymbolSize, text};
use engine::log::{Author, Domain, Role, SecretKey};
use fastrand::Rng;
use logformat::{decoders, defects, sample};

/// Bytes at which encodings change their kind or width.
const HEADS: [u8; 20] = [
    0x00, 0x17, 0x18, 0x1b, 0x20, 0x3b, 0x40, 0x58, 0x5f, 0x60, 0x7b, 0x7f, 0x80, 0x9b, 0x9f, 0xa0,
    0xbf, 0xd2, 0xf6, 0xff,
];

fn altered(bytes: &[u8], pool: &[Vec<u8>], rng: &mut Rng) -> Vec<u8> {
    let mut made = bytes.to_vec();
    for _ in 0..=rng.usize(..3) {
        if made.is_empty() {
            break;
        }
        let at = rng.usize(..made.len());
        match rng.usize(..8) {
            0 => made[at] ^= 1 << rng.usize(..8),
            1 => made[at] = HEADS[rng.usize(..HEADS.len())],
            2 => made[at] = rng.u8(..),
            3 => made.insert(at, HEADS[rng.usize(..HEADS.len())]),
            4 => drop(made.remove(at)),
            5 => {
                let end = (at + rng.usize(..40)).min(made.len());
                let piece = made[at..end].to_vec();
                made.splice(at..at, piece);
            }
            6 => made.truncate(at),
            _ => {
                let other = &pool[rng.usize(..pool.len())];
                let from = rng.usize(..other.len());
                let end = (from + rng.usize(..60)).min(other.len());
                let over = (at + end - from).min(made.len());
                made.splice(at..over, other[from..end].iter().copied());
            }
        }
    }
    made
}

/// The payload of an item, and the key among the samples' that signed it.
fn opened(item: &[u8], keys: &[SecretKey]) -> Option<(Vec<u8>, SecretKey)> {
    let mut d = minicbor::Decoder::new(item);
    d.tag().ok()?;
    d.array().ok()?;
    let kid = d.bytes().ok()?.strip_prefix(b"\xa2\x01\x27\x04\x50")?;
    d.map().ok()?;
    let payload = d.bytes().ok()?.to_vec();
    let key = keys.iter().find(|k| k.public().fingerprint().0 == kid)?;
    Some((payload, key.clone()))
}

fn signed(payload: &[u8], key: &SecretKey, domain: Domain) -> Vec<u8> {
    let header = [b"\xa2\x01\x27\x04\x50", &key.public().fingerprint().0[..]].concat();
    let mut e = minicbor::Encoder::new(Vec::new());
    // Writing to memory cannot fail.
    let _ = e.array(4).and_then(|e| e.str("Signature1"));
    let _ = e.bytes(&header).and_then(|e| e.bytes(domain.tag()));
    let _ = e.bytes(payload);
    let signature = key.sign(&e.into_writer());
    let mut e = minicbor::Encoder::new(b"\xd2".to_vec());
    let _ = e.array(4).and_then(|e| e.bytes(&header));
    let _ = e.map(0).and_then(|e| e.bytes(payload));
    let _ = e.bytes(&signature);
    e.into_writer()
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let inputs: u64 = arguments.next().ok_or("mutate INPUTS [SEED]")?.parse()?;
    let seed: u64 = arguments.next().map_or(Ok(16), |seed| seed.parse())?;
    let mut rng = Rng::with_seed(seed);
    let keys: Vec<_> = (1..=9).chain([101]).map(sample::key).collect();

    let bodies = sample::every_body(4, 1)?;
    let whole = sample::whole(3, 1)?;
    let short = sample::short(1, 1)?;
    let exchange = Exchange::new(&short.record, [&whole.record], None).to_bytes();
    let card = Author::new(keys[0].public(), "Official 1", Role::Umpire);
    let mut files: Vec<Vec<u8>> = defects::all()?.into_iter().map(|d| d.bytes).collect();
    files.retain(|f| !f.is_empty() && f.len() < 40_000);
    let others = [
        logformat::signed::charter()?,
        logformat::signed::order()?,
        sample::setup(1).to_bytes(),
        card.to_bytes(),
        exchange.clone(),
        text::lines(&Sender::new(Kind::Entries, &exchange, SymbolSize::MAX)?, 1).into_bytes(),
    ];
    files.extend(others);
    let items: Vec<_> = [&bodies, &whole, &short]
        .iter()
        .flat_map(|log| log.items())
        .chain(files.iter().rev().take(6).cloned())
        .collect();
    let before = short.items();
    let start = Instant::now();
    for count in 0..inputs {
        let made: Vec<Vec<u8>> = match rng.usize(..4) {
            0 => {
                let file = files[rng.usize(..files.len())].clone();
                vec![altered(&file, &files, &mut rng)]
            }
            _ => {
                let item = items[rng.usize(..items.len())].clone();
                match opened(&item, &keys) {
                    Some((payload, key)) => {
                        let payload = altered(&payload, &items, &mut rng);
                        let domains = [
                            Domain::Log,
                            Domain::Log,
                            Domain::Statement,
                            Domain::Charter,
                            Domain::Order,
                            Domain::Receipt,
                        ];
                        let made = signed(&payload, &key, domains[rng.usize(..domains.len())]);
                        let kept = &before[..rng.usize(..3)];
                        vec![payload, [kept.concat(), made].concat()]
                    }
                    None => vec![altered(&item, &items, &mut rng)],
                }
            }
        };
        for made in made {
            if std::panic::catch_unwind(|| decoders::read(&made)).is_ok() {
                continue;
            }
            let digits: String = made.iter().map(|b| format!("{b:02x}")).collect();
            return Err(format!("input {count}: {digits}").into());
        }
        if count % 100_000 == 99_999 {
            eprintln!("{} inputs in {:?}", count + 1, start.elapsed());
        }
    }
    println!(
        "{inputs} inputs from seed {seed} in {:?}: nothing broke",
        start.elapsed()
    );
    Ok(())
}
