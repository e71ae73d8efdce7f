#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]
use alloc::vec;
use alloc::vec::Vec;
use proptest::prelude::*;

use super::*;
use crate::log::sample::{self, safe, secret};
use crate::log::*;
use crate::play::Goal;

/// A phone's shelf: the entries of one log.
struct Phone(LogName, Vec<Vec<u8>>);

impl Shelf for Phone {
    fn length(&self, log: Parcel, seq: u64) -> Option<usize> {
        (log == self.0.into()).then(|| self.1.get(seq as usize).map(Vec::len))?
    }
    fn hash(&self, log: Parcel, seq: u64) -> Option<Hash> {
        (log == self.0.into()).then(|| self.1.get(seq as usize).map(|b| Hash::of(b)))?
    }
}

fn phone(plays: usize) -> Phone {
    let key = secret(1);
    let mut record = sample::record(7, &key);
    for _ in 0..plays {
        let call = match record.history().game().needs_courtesy_runner() {
            true => break,
            false => safe(Goal::Home),
        };
        sample::play(&mut record, &key, call);
    }
    held(&record)
}

fn held(record: &GameRecord) -> Phone {
    let name = record.chain().name();
    let entries = record.chain().entries().iter();
    Phone(name, entries.map(|e| e.bytes().to_vec()).collect())
}

/// A collector in memory, with a limit on the bytes of a batch.
struct Collector {
    log: AuthorLog,
    limit: usize,
}

impl Collector {
    fn new(name: LogName) -> Self {
        Self {
            log: AuthorLog::new(name),
            limit: usize::MAX,
        }
    }

    fn hear(&mut self, phone: &Phone, request: Request) -> (u16, Vec<u8>) {
        let receipt = Receipt::of(&self.log);
        let Ask::Send { from, count } = request.what else {
            return (200, receipt.to_bytes());
        };
        self.take(&phone.1[from as usize..(from + count) as usize])
    }

    fn take(&mut self, batch: &[Vec<u8>]) -> (u16, Vec<u8>) {
        if batch.iter().map(Vec::len).sum::<usize>() > self.limit {
            return (413, Vec::new());
        }
        let mut staged = StagedEntries::default();
        let mut wrong = None;
        for (at, entry) in (0..).zip(batch) {
            if let Err(e) = self.log.stage(&mut staged, entry) {
                let (name, sentence) = (e.name().to_string(), e.to_string());
                wrong = Some(Refusal { at, name, sentence });
                break;
            }
        }
        self.log.add(staged);
        let mut receipt = Receipt::of(&self.log);
        receipt.refusal = wrong;
        (
            if receipt.refusal.is_some() { 409 } else { 200 },
            receipt.to_bytes(),
        )
    }
}

fn came(status: u16, body: &[u8]) -> Answer<'_> {
    Answer::Came {
        status,
        retry_after: None,
        body,
    }
}

/// Runs until nothing is due, without faults. Gives the number of requests.
fn deliver(uploader: &mut Uploader, phone: &Phone, to: &mut Collector, now: u64) -> usize {
    let mut count = 0;
    while let Some(request) = uploader.next(now, phone) {
        let (status, body) = to.hear(phone, request);
        uploader.answered(request.number, now, 0, phone, came(status, &body));
        count += 1;
        assert!(count < 1000, "it never ends");
    }
    count
}

fn starting(phone: &Phone) -> Uploader {
    let mut uploader = Uploader::default();
    uploader.stored(phone.0, phone.1.len() as u64);
    uploader
}

fn progress(uploader: &Uploader, phone: &Phone) -> (u64, u64) {
    let p = uploader.progress(phone.0).unwrap();
    (p.delivered, p.waiting())
}

#[test]
fn a_days_log_is_delivered_in_batches_and_then_one_by_one() {
    let mut phone = phone(30);
    let rest = phone.1.split_off(20);
    let mut to = Collector::new(phone.0);
    let mut uploader = starting(&phone);
    assert_eq!(progress(&uploader, &phone), (0, 20));
    assert_eq!(
        deliver(&mut uploader, &phone, &mut to, 0),
        2,
        "head, then all"
    );
    assert_eq!(progress(&uploader, &phone), (20, 0));
    assert_eq!(uploader.wake_at(5), None);
    for entry in rest {
        phone.1.push(entry);
        uploader.stored(phone.0, phone.1.len() as u64);
        assert_eq!(deliver(&mut uploader, &phone, &mut to, 0), 1);
    }
    assert_eq!(to.log.head(), phone.hash(phone.0.into(), 30));
}

#[test]
fn an_app_started_again_goes_on_from_the_collectors_head() {
    let phone = phone(30);
    let mut to = Collector::new(phone.0);
    let first = Phone(phone.0, phone.1[..10].to_vec());
    deliver(&mut starting(&first), &first, &mut to, 0);
    let mut uploader = starting(&phone);
    uploader.next(0, &phone).unwrap();
    uploader.by_hand();
    let ask = uploader.next(0, &phone).unwrap();
    assert_eq!(ask.what, Ask::Head);
    let (status, body) = to.hear(&phone, ask);
    uploader.answered(ask.number, 0, 0, &phone, came(status, &body));
    let send = uploader.next(0, &phone).unwrap();
    assert_eq!(
        send.what,
        Ask::Send {
            from: 10,
            count: 21
        }
    );
}

#[test]
fn a_portals_page_is_no_receipt_whatever_its_status() {
    let phone = phone(3);
    let page = b"<!doctype html><title>Welcome to the free network</title>";
    for status in [200, 204, 302, 401, 403, 404, 409, 511] {
        let mut uploader = starting(&phone);
        let ask = uploader.next(0, &phone).unwrap();
        uploader.answered(ask.number, 0, 0, &phone, came(status, page));
        assert_eq!(progress(&uploader, &phone), (0, 4), "{status}");
        let expected = match status {
            500.. => Trouble::Failing { status },
            _ => Trouble::NotACollector,
        };
        assert_eq!(uploader.trouble(), Some(expected));
        assert_eq!(uploader.next(0, &phone), None, "it waits");
        assert!(uploader.next(Backoff::FIRST_MS, &phone).is_some());
    }
}

#[test]
fn a_receipt_of_another_log_counts_for_nothing() {
    let phone = phone(3);
    let other = held(&sample::record(9, &secret(2)));
    let mut receipt = Receipt::of(&AuthorLog::new(other.0));
    receipt.next = 4;
    let mut uploader = starting(&phone);
    let ask = uploader.next(0, &phone).unwrap();
    uploader.answered(ask.number, 0, 0, &phone, came(200, &receipt.to_bytes()));
    assert_eq!(uploader.trouble(), Some(Trouble::NotACollector));
}

#[test]
fn a_batch_too_large_is_halved_until_it_fits() {
    let phone = phone(30);
    let mut to = Collector::new(phone.0);
    to.limit = phone.1[0].len().max(phone.1[1].len() * 2);
    let mut uploader = starting(&phone);
    deliver(&mut uploader, &phone, &mut to, 0);
    assert_eq!(progress(&uploader, &phone), (31, 0));
    assert_eq!(to.log.next_seq(), 31);
}

#[test]
fn one_entry_too_large_is_refused_with_the_reason_and_tried_again_later() {
    let phone = phone(3);
    let mut to = Collector::new(phone.0);
    to.limit = 10;
    let mut uploader = starting(&phone);
    deliver(&mut uploader, &phone, &mut to, 0);
    let refused = uploader.progress(phone.0).unwrap().refused.unwrap();
    assert_eq!((refused.0, refused.1.name.as_str()), (0, "too-large"));
    assert_eq!(uploader.next(Backoff::LONGEST_MS - 1, &phone), None);
    assert_eq!(uploader.wake_at(0), Some(Backoff::LONGEST_MS));
    to.limit = usize::MAX;
    uploader.by_hand();
    deliver(&mut uploader, &phone, &mut to, 1);
    assert_eq!(progress(&uploader, &phone), (4, 0));
    assert_eq!(uploader.progress(phone.0).unwrap().refused, None);
}

#[test]
fn a_busy_collector_is_given_the_time_it_asks_for_but_not_for_ever() {
    let phone = phone(3);
    for (asked, least, most) in [
        (60, 60_000, 60_000),
        (u64::MAX, Backoff::LONGEST_MS, Backoff::LONGEST_MS),
    ] {
        let mut uploader = starting(&phone);
        let ask = uploader.next(0, &phone).unwrap();
        let said = [SAYS, "Too many requests."].concat();
        let answer = Answer::Came {
            status: 429,
            retry_after: Some(asked),
            body: said.as_bytes(),
        };
        uploader.answered(ask.number, 0, 0, &phone, answer);
        assert_eq!(uploader.trouble(), Some(Trouble::Busy));
        assert_eq!(uploader.next(least - 1, &phone), None);
        assert_eq!(uploader.wake_at(0), Some(most));
        assert!(uploader.next(most, &phone).is_some());
    }
}

#[test]
fn a_paused_collector_is_told_from_one_in_trouble_and_gets_everything_later() {
    let phone = phone(3);
    let mut uploader = starting(&phone);
    let ask = uploader.next(0, &phone).unwrap();
    let mut receipt = Receipt::of(&AuthorLog::new(phone.0));
    receipt.refusal = Some(Refusal {
        at: 0,
        name: Refusal::PAUSED.into(),
        sentence: "Paused.".into(),
    });
    let paused = receipt.to_bytes();
    uploader.answered(ask.number, 0, 0, &phone, came(503, &paused));
    assert_eq!(uploader.trouble(), Some(Trouble::Paused));
    assert_eq!(progress(&uploader, &phone), (0, 4));
    let again = uploader.next(Backoff::FIRST_MS, &phone).unwrap();
    assert_eq!((again.parcel, again.what), (ask.parcel, ask.what));
}

#[test]
fn nobody_elses_word_is_a_reason_to_wait_long() {
    let phone = phone(3);
    for status in [429, 500, 502, 503, 511] {
        let mut uploader = starting(&phone);
        let ask = uploader.next(0, &phone).unwrap();
        let answer = Answer::Came {
            status,
            retry_after: Some(900),
            body: b"<!doctype html><title>Pay first</title>",
        };
        uploader.answered(ask.number, 0, 0, &phone, answer);
        assert!(uploader.trouble().is_some());
        assert!(
            uploader.next(Backoff::FIRST_MS, &phone).is_some(),
            "{status}"
        );
    }
}

#[test]
fn a_request_cut_or_slow_on_the_way_is_no_signal_and_a_refusal_is_the_collectors() {
    let phone = phone(3);
    let own = [SAYS, "Send it as application/cbor-seq."].concat();
    for (status, body, expected) in [
        (400, own.as_bytes(), Trouble::NoSignal),
        // As the library that reads requests answers, without a word.
        (400, b"", Trouble::NoSignal),
        (408, own.as_bytes(), Trouble::NoSignal),
        (403, own.as_bytes(), Trouble::Unwelcome { status: 403 }),
        (415, own.as_bytes(), Trouble::Unwelcome { status: 415 }),
        (403, b"<html>", Trouble::NotACollector),
    ] {
        let mut uploader = starting(&phone);
        let ask = uploader.next(0, &phone).unwrap();
        uploader.answered(ask.number, 0, 0, &phone, came(status, body));
        assert_eq!(uploader.trouble(), Some(expected), "{status}");
        assert_eq!(uploader.progress(phone.0).unwrap().refused, None);
        assert!(uploader.next(Backoff::FIRST_MS, &phone).is_some());
    }
}

#[test]
fn a_batch_cut_on_the_way_is_sent_again_soon_but_a_cut_entry_is_said() {
    let phone = phone(6);
    let mut to = Collector::new(phone.0);
    let mut uploader = starting(&phone);
    let ask = uploader.next(0, &phone).unwrap();
    let (status, body) = to.hear(&phone, ask);
    uploader.answered(ask.number, 0, 0, &phone, came(status, &body));
    let cut = |to: &Collector, at| {
        let mut receipt = Receipt::of(&to.log);
        receipt.refusal = Some(Refusal {
            at,
            name: "cut-short".into(),
            sentence: "It stops in the middle.".into(),
        });
        receipt.to_bytes()
    };
    // Three of the seven came whole.
    let ask = uploader.next(0, &phone).unwrap();
    let mut staged = StagedEntries::default();
    for entry in &phone.1[..3] {
        to.log.stage(&mut staged, entry).unwrap();
    }
    to.log.add(staged);
    uploader.answered(ask.number, 0, 0, &phone, came(422, &cut(&to, 3)));
    assert_eq!(progress(&uploader, &phone), (3, 4));
    assert_eq!(uploader.progress(phone.0).unwrap().refused, None);
    assert_eq!(uploader.trouble(), Some(Trouble::NoSignal));
    let again = uploader.clone().next(Backoff::FIRST_MS, &phone).unwrap();
    assert_eq!(again.what, Ask::Send { from: 3, count: 4 });
    // Always the same one: it is not the network.
    let mut now = 0;
    while uploader.progress(phone.0).unwrap().refused.is_none() {
        now = uploader.wake_at(now).unwrap();
        let ask = uploader.next(now, &phone).unwrap();
        uploader.answered(ask.number, now, 0, &phone, came(422, &cut(&to, 0)));
        assert!(now < 4 * Backoff::LONGEST_MS, "it never ends");
    }
    let refused = uploader.progress(phone.0).unwrap().refused.unwrap();
    assert_eq!((refused.0, refused.1.name.as_str()), (3, "cut-short"));
}

#[test]
fn waits_grow_and_spread_and_end_when_the_signal_is_back() {
    let mut waits = Vec::new();
    let mut backoff = Backoff::default();
    for _ in 0..40 {
        let mut low = backoff;
        let (least, most) = (low.next(0), backoff.next(u32::MAX));
        assert!(least >= Backoff::FIRST_MS / 2 && least * 2 >= most && most <= Backoff::LONGEST_MS);
        waits.push(most);
    }
    assert!(waits.windows(2).all(|w| w[0] <= w[1]));
    let phone = phone(1);
    let mut uploader = starting(&phone);
    for _ in 0..20 {
        let now = uploader.wake_at(0).unwrap();
        let ask = uploader.next(now, &phone).unwrap();
        uploader.answered(ask.number, now, 77, &phone, Answer::Lost);
    }
    assert_eq!(uploader.trouble(), Some(Trouble::NoSignal));
    assert_eq!(uploader.next(0, &phone), None);
    uploader.online();
    assert!(uploader.next(0, &phone).is_some());
}

#[test]
fn a_clock_set_back_or_ahead_stops_nothing() {
    let phone = phone(1);
    let day = 24 * 3_600_000;
    let mut uploader = starting(&phone);
    let ask = uploader.next(10 * day, &phone).unwrap();
    uploader.answered(ask.number, 10 * day, 0, &phone, Answer::Lost);
    assert_eq!(uploader.next(10 * day, &phone), None);
    assert!(uploader.clone().next(9 * day, &phone).is_some(), "set back");
    assert!(
        uploader.clone().next(11 * day, &phone).is_some(),
        "set ahead"
    );
    let ask = uploader.next(u64::MAX, &phone).unwrap();
    uploader.answered(ask.number, u64::MAX, 0, &phone, Answer::Lost);
    assert!(uploader.next(0, &phone).is_some());
}

#[test]
fn a_phone_set_back_delivers_its_own_line_beside_the_other() {
    let key = secret(1);
    let mut a = sample::record(7, &key);
    for _ in 0..5 {
        sample::play(&mut a, &key, safe(Goal::Home));
    }
    let mut b = sample::record(7, &key);
    sample::play(&mut b, &key, safe(Goal::First));
    let (full, back) = (held(&a), held(&b));
    let mut to = Collector::new(full.0);
    deliver(&mut starting(&full), &full, &mut to, 0);
    let mut uploader = starting(&back);
    deliver(&mut uploader, &back, &mut to, 0);
    let p = uploader.progress(back.0).unwrap();
    assert_eq!(
        (p.delivered, p.waiting(), p.forked, p.ahead),
        (2, 0, true, true)
    );
    assert_eq!(to.log.entries().len(), 7);
    assert_eq!(to.log.forked_at(), Some(1));
}

/// A phone that holds proof of a fork: the line, and entries beside it.
struct Proof(Phone, Vec<Vec<u8>>);

impl Shelf for Proof {
    fn length(&self, log: Parcel, seq: u64) -> Option<usize> {
        self.0.length(log, seq)
    }
    fn hash(&self, log: Parcel, seq: u64) -> Option<Hash> {
        self.0.hash(log, seq)
    }
    fn length_beside(&self, _: Parcel, at: u64) -> Option<usize> {
        self.1.get(at as usize).map(Vec::len)
    }
}

impl Proof {
    /// The line is `line` entries long; beside it stand `beside` of another
    /// line that leaves it after the first entry.
    fn new(line: usize, beside: usize) -> Self {
        let mut one = phone(line - 1);
        one.1.truncate(line);
        let key = secret(1);
        let mut other = sample::record(7, &key);
        for n in 0..beside {
            let text = alloc::format!("Other line, {n}.");
            let remark = crate::game::Notice::Remark { text };
            sample::add(&mut other, &key, Body::Event(Event::Notice(remark)));
        }
        let mut other = held(&other).1;
        Self(one, other.split_off(1))
    }

    fn deliver(&self, uploader: &mut Uploader, to: &mut Collector) -> Vec<Ask> {
        uploader.stored(self.0.0, self.0.1.len() as u64);
        uploader.stored_beside(self.0.0, self.1.len() as u64);
        let mut asked = Vec::new();
        while let Some(request) = uploader.next(0, self) {
            let (status, body) = match request.what {
                Ask::SendBeside { from, count } => {
                    to.take(&self.1[from as usize..(from + count) as usize])
                }
                _ => to.hear(&self.0, request),
            };
            uploader.answered(request.number, 0, 0, self, came(status, &body));
            asked.push(request.what);
            assert!(asked.len() < 100, "it never ends");
        }
        assert_eq!(uploader.wake_at(0), None);
        asked
    }
}

#[test]
fn proof_that_only_the_phone_holds_is_delivered_too() {
    // Beside a longer line and a shorter one, which the collector then shows.
    for (line, beside) in [(6, 1), (6, 3), (3, 7)] {
        let mut proof = Proof::new(line, beside);
        let mut to = Collector::new(proof.0.0);
        let mut uploader = Uploader::default();
        proof.deliver(&mut uploader, &mut to);
        assert_eq!(to.log.forked_at(), Some(1), "{line} {beside}");
        assert_eq!(to.log.entries().len(), line + beside);
        let p = uploader.progress(proof.0.0).unwrap();
        assert_eq!((p.forked, p.waiting(), p.refused), (true, 0, None));
        assert_eq!(p.beside_delivered, beside as u64);
        // The record goes on, and one more entry beside it comes to light.
        let more = phone(line);
        proof.0.1.extend(more.1.into_iter().skip(line));
        let longer = Proof::new(line, beside + 1);
        proof.1 = longer.1;
        proof.deliver(&mut uploader, &mut to);
        assert_eq!(to.log.entries().len(), line + beside + 2);
        // A collector that lost everything gets everything again.
        let mut to = Collector::new(proof.0.0);
        proof.deliver(&mut Uploader::default(), &mut to);
        assert_eq!(to.log.entries().len(), line + beside + 2);
    }
    // One that takes little at a time gets little at a time.
    let proof = Proof::new(4, 7);
    let mut to = Collector::new(proof.0.0);
    to.limit = 1_200;
    let asked = proof.deliver(&mut Uploader::default(), &mut to);
    let beside = |a: &&Ask| matches!(a, Ask::SendBeside { .. });
    assert!(asked.iter().filter(beside).count() > 1, "{asked:?}");
    assert_eq!(to.log.entries().len(), 11);
}

#[test]
fn a_collector_that_is_ahead_on_the_same_line_is_no_fork() {
    let all = phone(9);
    let mut to = Collector::new(all.0);
    deliver(&mut starting(&all), &all, &mut to, 0);
    let behind = Phone(all.0, all.1[..4].to_vec());
    let mut uploader = starting(&behind);
    deliver(&mut uploader, &behind, &mut to, 0);
    let p = uploader.progress(all.0).unwrap();
    assert_eq!((p.ahead, p.forked, p.waiting()), (true, false, 0));
    assert_eq!(to.log.forked_at(), None);
}

#[test]
fn a_collector_that_lost_everything_gets_everything_again() {
    let mut phone = phone(12);
    let last = phone.1.pop().unwrap();
    let mut to = Collector::new(phone.0);
    let mut uploader = starting(&phone);
    deliver(&mut uploader, &phone, &mut to, 0);
    to = Collector::new(phone.0);
    phone.1.push(last);
    uploader.stored(phone.0, 13);
    deliver(&mut uploader, &phone, &mut to, 0);
    assert_eq!(
        (to.log.next_seq(), progress(&uploader, &phone)),
        (13, (13, 0))
    );
}

#[test]
fn a_key_that_is_not_listed_is_refused_and_the_others_go_on() {
    let (phone, key) = (phone(3), secret(2));
    let mut other = sample::record(8, &key);
    sample::play(&mut other, &key, safe(Goal::Home));
    let listed = held(&other);
    struct Both(Phone, Phone);
    impl Shelf for Both {
        fn length(&self, log: Parcel, seq: u64) -> Option<usize> {
            self.0.length(log, seq).or_else(|| self.1.length(log, seq))
        }
        fn hash(&self, log: Parcel, seq: u64) -> Option<Hash> {
            self.0.hash(log, seq).or_else(|| self.1.hash(log, seq))
        }
    }
    let both = Both(phone, listed);
    let mut uploader = starting(&both.0);
    uploader.stored(both.1.0, both.1.1.len() as u64);
    let mut to = Collector::new(both.1.0);
    while let Some(request) = uploader.next(0, &both) {
        let (status, body) = if request.parcel == both.1.0.into() {
            to.hear(&both.1, request)
        } else {
            let mut receipt = Receipt::of(&AuthorLog::new(both.0.0));
            receipt.refusal = Some(Refusal {
                at: 0,
                name: "unlisted-key".into(),
                sentence: "Ask the organiser to add the key.".into(),
            });
            (403, receipt.to_bytes())
        };
        uploader.answered(request.number, 0, 0, &both, came(status, &body));
    }
    let refused = uploader.progress(both.0.0).unwrap();
    assert_eq!(refused.refused.unwrap().1.name, "unlisted-key");
    assert_eq!(uploader.progress(both.1.0).unwrap().waiting(), 0);
}

#[test]
fn answers_late_or_repeated_change_nothing() {
    let phone = phone(3);
    let mut to = Collector::new(phone.0);
    let mut uploader = starting(&phone);
    let ask = uploader.next(0, &phone).unwrap();
    let (status, early) = to.hear(&phone, ask);
    uploader.answered(ask.number, 0, 0, &phone, came(status, &early));
    deliver(&mut uploader, &phone, &mut to, 0);
    for _ in 0..3 {
        uploader.answered(ask.number, 0, 0, &phone, came(status, &early));
        uploader.answered(ask.number, 0, 0, &phone, Answer::Lost);
    }
    assert_eq!(progress(&uploader, &phone), (4, 0));
    assert_eq!(uploader.trouble(), None);
}

#[test]
fn heads_name_what_to_fetch() {
    let (a, b, c) = (
        Fingerprint([1; 16]),
        Fingerprint([2; 16]),
        Fingerprint([3; 16]),
    );
    let head = |author, next, forked_at| LogHead {
        author,
        next,
        head: Some(Hash([next as u8; 32])),
        forked_at,
    };
    let heads = Heads {
        game: GameId([7; 32]),
        logs: vec![head(a, 5, None), head(b, 3, None), head(c, 2, Some(1))],
    };
    assert_eq!(Heads::read(&heads.to_bytes()), Some(heads.clone()));
    assert_eq!(Heads::read(b"<html>"), None);
    let have = |who: Fingerprint| match who {
        w if w == a => (2, Some(Hash([2; 32]))),
        w if w == b => (3, Some(Hash([3; 32]))),
        _ => (2, Some(Hash([2; 32]))),
    };
    assert_eq!(heads.missing(have), [(a, 2), (c, 0)]);
}

#[test]
fn a_pass_is_good_for_its_address_path_and_day_only() {
    let key = secret(4);
    let here = "https://fives.example";
    let sign = |path: &str, at| key.sign(&ReadPass::to_be_signed(here, path, at));
    let now = 1_781_344_800;
    let pass = ReadPass::new(key.public(), now, sign("/api/logs/1/2", now));
    let read = ReadPass::read(&pass.header()).unwrap();
    assert_eq!(read, pass);
    assert!(read.admits(here, "/api/logs/1/2", now));
    assert!(read.admits("HTTPS://Fives.example:443/", "/api/logs/1/2", now));
    assert!(
        read.admits(here, "/api/logs/1/2", now + 3 * 3600),
        "a clock hours wrong"
    );
    assert!(!read.admits(here, "/api/logs/1/3", now));
    assert!(!read.admits(here, "/api/logs/1/2", now + 30 * 3600));
    for elsewhere in [
        "https://other.example",
        "http://fives.example",
        "https://fives.example:8505",
        "https://fives.example.other",
    ] {
        assert!(!read.admits(elsewhere, "/api/logs/1/2", now), "{elsewhere}");
    }
    let other = ReadPass::new(secret(5).public(), now, sign("/a", now));
    assert!(!other.admits(here, "/a", now));
    for bad in [
        "",
        "Chalkbook",
        "Basic YTpi",
        "Chalkbook zz 1 zz",
        "Chalkbook  1 ",
    ] {
        assert_eq!(ReadPass::read(bad), None);
    }
}

#[derive(Clone, Copy, Debug)]
enum Fault {
    None,
    RequestLost,
    AnswerLost,
    Twice,
    Portal,
    Error,
    CutAnswer,
    Late,
    Killed,
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Whatever happens on the way: nothing is lost, nothing is there twice,
    /// and what is shown as delivered is there.
    #[test]
    fn every_entry_arrives_once(
        faults in prop::collection::vec((0u8..9, any::<u32>(), 0u64..20), 0..60), plays in 0usize..12,
    ) {
        let phone = phone(plays);
        let mut to = Collector::new(phone.0);
        let mut uploader = starting(&phone);
        let mut now = 0u64;
        let mut late: Vec<(u64, Vec<u8>)> = Vec::new();
        for (kind, jitter, hours) in faults {
            let kind = [Fault::None, Fault::RequestLost, Fault::AnswerLost, Fault::Twice, Fault::Portal,
                Fault::Error, Fault::CutAnswer, Fault::Late, Fault::Killed][kind as usize];
            // Now and then the clock jumps, either way.
            now = if hours > 17 { hours } else { now + hours * 400_000 };
            let Some(request) = uploader.next(now, &phone) else { continue };
            let (status, body) = match kind {
                Fault::RequestLost => (0, Vec::new()),
                Fault::Portal => (200, b"<html>".to_vec()),
                Fault::Error => (500, Vec::new()),
                Fault::Twice => { to.hear(&phone, request); to.hear(&phone, request) }
                _ => to.hear(&phone, request),
            };
            let answer = match kind {
                Fault::RequestLost | Fault::AnswerLost => Answer::Lost,
                Fault::CutAnswer => came(status, &body[..body.len() / 2]),
                Fault::Late => { late.push((request.number, body.clone())); Answer::Lost }
                _ => came(status, &body),
            };
            uploader.answered(request.number, now, jitter, &phone, answer);
            for (number, body) in &late {
                uploader.answered(*number, now, jitter, &phone, came(200, body));
            }
            if matches!(kind, Fault::Killed) {
                uploader = starting(&phone);
            }
            prop_assert!(uploader.progress(phone.0).unwrap().delivered <= to.log.next_seq());
        }
        uploader.by_hand();
        deliver(&mut uploader, &phone, &mut to, now);
        prop_assert_eq!(progress(&uploader, &phone), (phone.1.len() as u64, 0));
        let there: Vec<Vec<u8>> = to.log.entries().iter().map(|e| e.bytes().to_vec()).collect();
        prop_assert_eq!(there, phone.1);
    }
}
