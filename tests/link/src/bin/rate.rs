//! Decode rate and time of the reader in use, over one thing varied at a time.
//! Arguments: shots each, symbol bytes.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
use engine::link::{Kind, Sender, SymbolSize, qr, text};
use fastrand::Rng;
use link::camera::{Shot, photograph};
use link::game;
use std::time::Instant;

fn main() {
    let mut args = std::env::args().skip(1);
    let shots: u32 = args.next().map_or(10, |n| n.parse().unwrap());
    let size = args
        .next()
        .map_or(SymbolSize::QR, |n| SymbolSize::new(n.parse().unwrap()));
    let payload = game::record(game::PLAYS, 1);
    let sender = Sender::new(Kind::Entries, &payload, size).unwrap();
    let mut scanner = qr::Scanner::new();
    for (w, h) in [(640, 480), (1280, 720)] {
        let steady = Shot::steady(w, h);
        let mut spent = Vec::new();
        let mut row = |name: &str, values: &[f64], set: &dyn Fn(&mut Shot, f64)| {
            print!("{w}x{h} {name}:");
            for value in values {
                let mut rng = Rng::with_seed(11);
                let mut shot = steady;
                set(&mut shot, *value);
                let mut read = 0;
                for id in 0..shots {
                    let line = text::line(&sender.packet(id));
                    let code = qr::draw(&line).unwrap();
                    let seen = photograph(code.side(), |x, y| code.dark(x, y), &shot, &mut rng);
                    let start = Instant::now();
                    let found = scanner.scan(w, h, &seen);
                    spent.push(start.elapsed().as_secs_f64() * 1000.0);
                    read += u32::from(found.first().is_some_and(|f| f == line.as_bytes()));
                }
                print!("  {value} {} %", 100 * read / shots);
            }
            println!();
        };
        row("blur, pixels", &[0.5, 1.0, 1.5, 2.0, 2.5, 3.0], &|s, v| {
            s.blur = v
        });
        row(
            "turn, degrees",
            &[0.0, 10.0, 25.0, 45.0, 90.0, 180.0],
            &|s, v| s.turn = v,
        );
        row("tilt, degrees", &[0.0, 10.0, 20.0, 30.0, 40.0], &|s, v| {
            s.tilt = v
        });
        row(
            "part of the frame",
            &[0.95, 0.8, 0.7, 0.6, 0.5, 0.4],
            &|s, v| s.fill = v,
        );
        row("noise, levels", &[0.0, 10.0, 20.0, 30.0], &|s, v| {
            s.noise = v
        });
        row("shade, part", &[0.0, 0.3, 0.6, 0.8], &|s, v| s.shade = v);
        spent.sort_by(f64::total_cmp);
        let median = spent[spent.len() / 2];
        println!(
            "{w}x{h}: median {median:.1} ms a frame, most {:.1} ms",
            spent[spent.len() - 1]
        );
    }
}
