//! Which reader of QR codes to use: decode rate and time over the same frames.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
use engine::link::{Kind, Sender, SymbolSize, qr, text};
use fastrand::Rng;
use link::camera::{Shot, photograph};
use link::game;
use std::time::Instant;

fn rqrr(w: usize, h: usize, frame: &[u8]) -> Option<Vec<u8>> {
    let mut image = rqrr::PreparedImage::prepare_from_greyscale(w, h, |x, y| frame[y * w + x]);
    image.detect_grids().iter().find_map(|grid| {
        let mut out = Vec::new();
        grid.decode_to(&mut out).ok().map(|_| out)
    })
}

fn ours(w: usize, h: usize, frame: &[u8]) -> Option<Vec<u8>> {
    qr::scan(w, h, frame).pop()
}

fn rxing(w: usize, h: usize, frame: &[u8]) -> Option<Vec<u8>> {
    use rxing::Reader;
    let source = rxing::Luma8LuminanceSource::new(frame.to_vec(), w as u32, h as u32).ok()?;
    let mut image = rxing::BinaryBitmap::new(rxing::common::HybridBinarizer::new(source));
    let mut reader = rxing::qrcode::QRCodeReader::default();
    let hints = rxing::DecodeHints::default().with(rxing::DecodeHintValue::TryHarder(true));
    reader
        .decode_with_hints(&mut image, &hints)
        .ok()
        .map(|r| r.getText().as_bytes().to_vec())
}

type Read = fn(usize, usize, &[u8]) -> Option<Vec<u8>>;

fn main() {
    let shots: u64 = std::env::args().nth(1).map_or(30, |n| n.parse().unwrap());
    let readers: [(&str, Read); 3] = [("rqrr", rqrr), ("quircs (in use)", ours), ("rxing", rxing)];
    let payload = game::record(game::PLAYS, 1);
    println!("payload {} bytes", payload.len());
    for (w, h) in [(640, 480), (1280, 720)] {
        for size in [200, 300, 400, 500, 600, 800] {
            let sender = Sender::new(Kind::Entries, &payload, SymbolSize::new(size)).unwrap();
            let mut rng = Rng::with_seed(7);
            let mut read = [0; 3];
            let mut spent = [0.0; 3];
            let mut version = 0;
            for n in 0..shots {
                let line = text::line(&sender.packet(n as u32));
                let code = qr::draw(&line).unwrap();
                version = code.version();
                let shot = Shot::handheld(w, h, &mut rng);
                let frame = photograph(code.side(), |x, y| code.dark(x, y), &shot, &mut rng);
                for (i, (_, reader)) in readers.iter().enumerate() {
                    let start = Instant::now();
                    let got = reader(w, h, &frame);
                    spent[i] += start.elapsed().as_secs_f64() * 1000.0;
                    read[i] += u64::from(got.as_deref() == Some(line.as_bytes()));
                }
            }
            print!(
                "{w}x{h} symbol {size:3} packets {:3} version {version:2}",
                sender.symbols()
            );
            for (i, (name, _)) in readers.iter().enumerate() {
                let rate = 100 * read[i] / shots;
                print!("  {name} {rate:3} % {:5.1} ms", spent[i] / shots as f64);
            }
            println!();
        }
    }
}
