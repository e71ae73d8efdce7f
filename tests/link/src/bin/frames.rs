//! No frame makes the reader fall: codes hidden, cut, skewed and overlaid, and
//! plain noise. Argument: frames. A fall ends the program.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
use engine::link::{qr, text};
use fastrand::Rng;
use link::camera::{Shot, between, photograph};

fn main() {
    let frames = std::env::args().nth(1).map_or(500, |n| n.parse().unwrap());
    let (w, h) = (200, 150);
    let mut rng = Rng::with_seed(99);
    let mut scanner = qr::Scanner::new();
    let mut read = 0;
    for n in 0..frames {
        let length = rng.usize(1..300);
        let line: String = (0..length)
            .map(|_| char::from(b'A' + rng.u8(..26)))
            .collect();
        let code = qr::draw(&line).unwrap();
        let mut shot = Shot::handheld(w, h, &mut rng);
        shot.turn = between(&mut rng, -180.0, 180.0);
        shot.tilt = between(&mut rng, -50.0, 50.0);
        shot.fill = between(&mut rng, 0.3, 1.4);
        let mut seen = if n % 8 == 0 {
            (0..w * h).map(|_| rng.u8(..)).collect()
        } else {
            photograph(code.side(), |x, y| code.dark(x, y), &shot, &mut rng)
        };
        for _ in 0..rng.u8(..12) {
            let mut upto = |most: usize| rng.usize(..most);
            let (left, top, wide, high) = (upto(w), upto(h), upto(40), upto(40));
            let grey = rng.u8(..);
            for y in top..(top + high).min(h) {
                for x in left..(left + wide).min(w) {
                    seen[y * w + x] = grey;
                }
            }
        }
        for found in scanner.scan(w, h, &seen) {
            read += 1;
            // Whatever was read is taken apart without a fall, too.
            let content = String::from_utf8_lossy(&found);
            assert!(text::read_line(&content).is_err());
        }
    }
    println!("{frames} frames, {read} codes read, no fall");
}
