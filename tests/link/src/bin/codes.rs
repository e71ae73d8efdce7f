//! Writes what independent programs are to read: codes as grey pictures with
//! the line each must give, and the symbols of objects. Argument: a directory.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
use engine::link::{Kind, Sender, SymbolSize, qr, text};
use fastrand::Rng;
use link::camera::{Shot, photograph};
use link::game;
use std::{fmt::Write, fs, path::Path};

/// Symbols beyond the source symbols to compare.
const REPAIR: u32 = 60;

fn picture(path: &Path, w: usize, h: usize, grey: &[u8]) {
    let mut file = format!("P5\n{w} {h}\n255\n").into_bytes();
    file.extend_from_slice(grey);
    fs::write(path, file).unwrap();
}

fn main() {
    let to = std::env::args().nth(1).expect("a directory");
    let to = Path::new(&to);
    fs::create_dir_all(to).unwrap();
    let payload = game::record(game::PLAYS, 3);
    let mut rng = Rng::with_seed(5);
    let mut n = 0;
    for size in [40, 100, 200, 300, 400, 500, 600, 700] {
        let sender = Sender::new(Kind::Entries, &payload, SymbolSize::new(size)).unwrap();
        for id in [0, 1, 5000] {
            let line = text::line(&sender.packet(id));
            let code = qr::draw(&line).unwrap();
            // As a screen shows it: four pixels a module, quiet zone included.
            let side = (code.side() + 2 * qr::Code::QUIET) * 4;
            let grey: Vec<u8> = (0..side * side)
                .map(|i| {
                    let (x, y) = (i % side / 4, i / side / 4);
                    let dark = x >= 4 && y >= 4 && code.dark(x - 4, y - 4);
                    if dark { 0 } else { 255 }
                })
                .collect();
            picture(&to.join(format!("screen-{n}.pgm")), side, side, &grey);
            fs::write(to.join(format!("screen-{n}.txt")), &line).unwrap();
            n += 1;
        }
    }
    // And as a steady camera sees codes of the size in use.
    let sender = Sender::new(Kind::Entries, &payload, SymbolSize::QR).unwrap();
    for n in 0..10 {
        let line = text::line(&sender.packet(n));
        let code = qr::draw(&line).unwrap();
        // A reader may miss a picture: a phone looks at each code more than once.
        for frame in 0..3 {
            let shot = Shot::steady(1280, 720);
            let seen = photograph(code.side(), |x, y| code.dark(x, y), &shot, &mut rng);
            picture(
                &to.join(format!("camera-{n}@{frame}.pgm")),
                1280,
                720,
                &seen,
            );
        }
        fs::write(to.join(format!("camera-{n}.txt")), &line).unwrap();
    }
    // Objects that fill their symbols; 33 bytes of each are the digest's.
    for (n, (symbols, size)) in [(6, 40), (10, 40), (16, 100), (36, 400), (120, 500)]
        .into_iter()
        .enumerate()
    {
        let bytes = symbols * usize::from(size) - 33;
        let payload: Vec<u8> = (0..bytes).map(|_| rng.u8(..)).collect();
        let sender = Sender::new(Kind::Charter, &payload, SymbolSize::new(size)).unwrap();
        // A packet is 16 bytes of header, the symbol and 4 bytes of check.
        let symbol = |id| {
            let bytes = sender.packet(id).to_bytes();
            bytes[16..bytes.len() - 4].to_vec()
        };
        let mut object: Vec<u8> = Vec::new();
        let mut table = String::new();
        for id in 0..sender.symbols() + REPAIR {
            let symbol = symbol(id);
            if id < sender.symbols() {
                object.extend_from_slice(&symbol);
            }
            write!(table, "{id} ").unwrap();
            symbol
                .iter()
                .for_each(|b| write!(table, "{b:02x}").unwrap());
            table.push('\n');
        }
        fs::write(to.join(format!("object-{n}.bin")), object).unwrap();
        fs::write(to.join(format!("object-{n}.txt")), table).unwrap();
    }
}
