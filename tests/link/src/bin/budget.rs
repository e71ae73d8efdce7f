//! The time budget: a game's record from screen to camera, by simulation.
//!
//! The screen shows a new code every so often; the camera, on a clock of its
//! own, exposes for a while in which a change of code spoils the frame. Of the
//! rest a share is lost, and every other frame is drawn as the camera would see
//! it and truly read. Arguments: runs, frame width, frame height.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
use engine::link::{Kind, Receiver, Sender, SymbolSize, qr, text};
use fastrand::Rng;
use link::camera::{Shot, normal, photograph};
use link::game;

/// Exposure and read-out of one frame, seconds: indoors, rolling shutter.
const EXPOSURE: f64 = 0.025;
const FRAMES_PER_SECOND: f64 = 15.0;
const LOST: f64 = 0.30;

struct Outcome {
    seconds: f64,
    frames: u32,
    spoilt: u32,
    unread: u32,
}

fn transfer(size: u16, per_second: f64, frame: (usize, usize), seed: u64) -> Outcome {
    let mut rng = Rng::with_seed(seed);
    let payload = game::record(game::PLAYS, seed);
    let sender = Sender::new(Kind::Entries, &payload, SymbolSize::new(size)).unwrap();
    let mut receiver = Receiver::expecting(Kind::Entries);
    let mut scanner = qr::Scanner::new();
    // One hand and one light for the whole transfer, trembling from frame to frame.
    let hand = Shot::handheld(frame.0, frame.1, &mut rng);
    let start = rng.f64() / FRAMES_PER_SECOND;
    let first = rng.u32(..200);
    let mut out = Outcome {
        seconds: 0.0,
        frames: 0,
        spoilt: 0,
        unread: 0,
    };
    loop {
        let opens = start + f64::from(out.frames) / FRAMES_PER_SECOND;
        out.frames += 1;
        out.seconds = opens + EXPOSURE;
        if out.seconds > 60.0 {
            return out;
        }
        if rng.f64() < LOST {
            continue;
        }
        let shown = (opens * per_second) as u32;
        if shown != ((opens + EXPOSURE) * per_second) as u32 {
            out.spoilt += 1;
            continue;
        }
        let code = qr::draw(&text::line(&sender.packet(first + shown))).unwrap();
        let mut shot = hand;
        shot.turn += normal(&mut rng);
        shot.tilt += normal(&mut rng);
        shot.blur = (shot.blur + 0.15 * normal(&mut rng)).max(0.4);
        let seen = photograph(code.side(), |x, y| code.dark(x, y), &shot, &mut rng);
        let found = scanner.scan(frame.0, frame.1, &seen);
        let Some(line) = found.first().and_then(|b| core::str::from_utf8(b).ok()) else {
            out.unread += 1;
            continue;
        };
        let packet = text::read_line(line).unwrap();
        if receiver.accept(&packet).unwrap().complete {
            assert_eq!(receiver.take().unwrap().payload, payload);
            return out;
        }
    }
}

fn main() {
    let mut args = std::env::args()
        .skip(1)
        .map(|n| n.parse::<usize>().unwrap());
    let runs = args.next().unwrap_or(10);
    let frame = (args.next().unwrap_or(1280), args.next().unwrap_or(720));
    println!(
        "{}x{}, {runs} runs each; 60 s: not finished",
        frame.0, frame.1
    );
    for size in [400, 448, 520] {
        for per_second in [8.0, 10.0] {
            let mut outcomes: Vec<_> = (0..runs)
                .map(|seed| transfer(size, per_second, frame, seed as u64))
                .collect();
            outcomes.sort_by(|a, b| a.seconds.total_cmp(&b.seconds));
            let seen: u32 = outcomes.iter().map(|o| o.frames).sum();
            let spoilt: u32 = outcomes.iter().map(|o| o.spoilt).sum();
            let unread: u32 = outcomes.iter().map(|o| o.unread).sum();
            println!(
                "symbol {size} bytes, {per_second:2} codes a second: median {:4.1} s, worst {:4.1} s; \
                 spoilt by a change {} %, unread {} %",
                outcomes[runs / 2].seconds,
                outcomes[runs - 1].seconds,
                100 * spoilt / seen,
                100 * unread / seen
            );
        }
    }
}
