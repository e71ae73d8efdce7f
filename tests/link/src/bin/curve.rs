//! The loss curve: packets to show until a game's record is whole, by the
//! share of them lost.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
use engine::link::{Kind, Receiver, Sender, SymbolSize};
use fastrand::Rng;
use link::game;

fn main() {
    let runs = 200;
    let payload = game::record(game::PLAYS, 1);
    let sender = Sender::new(Kind::Entries, &payload, SymbolSize::QR).unwrap();
    let least = sender.symbols();
    println!(
        "{} bytes in {least} packets of {} bytes, {runs} runs each",
        payload.len(),
        sender.packet_bytes()
    );
    println!("lost   shown: mean   p95   most   received beyond the least: mean  most");
    for lost in (0..=60).step_by(5) {
        let mut rng = Rng::with_seed(lost);
        let mut shown = Vec::new();
        let mut extra = Vec::new();
        for _ in 0..runs {
            let mut receiver = Receiver::expecting(Kind::Entries);
            let from = rng.u32(..1000);
            let mut got = 0;
            for id in from.. {
                if rng.f64() * 100.0 < lost as f64 {
                    continue;
                }
                got += 1;
                if receiver.accept(&sender.packet(id)).unwrap().complete {
                    shown.push(id - from + 1);
                    extra.push(got - least);
                    break;
                }
            }
            assert_eq!(receiver.take().unwrap().payload, payload);
        }
        shown.sort_unstable();
        let mean = |v: &[u32]| f64::from(v.iter().sum::<u32>()) / v.len() as f64;
        println!(
            "{lost:3} %        {:6.1} {:5} {:6}                              {:5.3} {:5}",
            mean(&shown),
            shown[runs * 95 / 100],
            shown[runs - 1],
            mean(&extra),
            extra.iter().max().unwrap()
        );
    }
}
