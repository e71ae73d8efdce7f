//! Delivery at work: requests are made, triggers are heard, and what was
//! acknowledged is kept. Nothing of it runs in the same turn as a call: an
//! entry is looked at [`PAUSE`] after it was kept.

use std::collections::BTreeSet;
use std::rc::Rc;
use std::time::Duration;

use engine::sync::{AT_WORK, Answer, Ask, Parcel, Receipt, Request, Shelf as _, Trouble};
use leptos::prelude::*;
use wasm_bindgen_futures::spawn_local;

use super::records::Records;
use super::upload::Upload;
use super::{Collectors, LINE, NotAnAddress, OwnAddress, RecordProgress, address, status};
use crate::http::{self, Reply, Stop};
use crate::lock::Lock;
use crate::store::{Acknowledgement, Store};
use crate::tabs::Tabs;
use crate::{clock, js};

/// From an entry kept to the request that sends it, so that the screen that
/// recorded it is drawn first and a few calls in a row go together.
const PAUSE: Duration = Duration::from_millis(1_000);
/// From finding that another tab delivers to looking again.
const ELSEWHERE: Duration = Duration::from_secs(5);
/// Between two questions whether the own address is a collector (ms).
const QUESTION: u64 = 60_000;

/// What makes the requests: one on each page, one at a time among all pages.
#[derive(Clone, Copy)]
pub struct Delivery {
    store: StoredValue<Option<Rc<Store>>, LocalStorage>,
    records: StoredValue<Records, LocalStorage>,
    rounds: StoredValue<Vec<Rc<Upload>>, LocalStorage>,
    tabs: StoredValue<Option<Tabs>, LocalStorage>,
    /// Games with something new; the empty name stands for all of them.
    changed: StoredValue<BTreeSet<String>, LocalStorage>,
    asked: StoredValue<u64, LocalStorage>,
    /// How things stand.
    pub collectors: Collectors,
}

impl Delivery {
    /// Nothing known yet.
    pub fn new(collectors: Collectors) -> Self {
        Self {
            store: StoredValue::new_local(None),
            records: StoredValue::new_local(Records::default()),
            rounds: StoredValue::new_local(Vec::new()),
            tabs: StoredValue::new_local(None),
            changed: StoredValue::new_local(BTreeSet::new()),
            asked: StoredValue::new_local(0),
            collectors,
        }
    }

    /// Goes to work, for as long as the page lives.
    pub async fn start(self, store: Rc<Store>) {
        self.store.set_value(Some(store));
        self.read_posts().await;
        let acknowledged = Tabs::on(LINE, move |_| spawn_local(self.read_posts()));
        self.tabs.set_value(acknowledged);
        // The last one: the service worker heard that the signal is back.
        for name in ["online", "chalkbook:deliver"] {
            let _ = window_event_listener_untyped(name, move |_| {
                self.nudge(String::new());
                self.ask_own(true);
                self.all(|upload| upload.uploader.borrow_mut().online());
            });
        }
        let _ = window_event_listener_untyped("visibilitychange", move |_| self.looked_at());
        self.read_records([String::new()].into()).await;
        self.go_on();
    }

    /// Reads what is kept of collectors; another page may have changed it.
    async fn read_posts(self) {
        if let Some(store) = self.store.get_value() {
            self.collectors.read(&store).await;
            self.lay_out();
        }
    }

    async fn read_records(self, games: BTreeSet<String>) {
        let Some(store) = self.store.get_value() else {
            return;
        };
        for game in games {
            let one = Some(game.as_str()).filter(|game| !game.is_empty());
            // Unreadable, it is read again when something is recorded.
            if let Ok(newer) = Records::of(&store, one).await {
                self.records.update_value(|records| records.renew(newer));
            }
        }
        let from_desk = self.records.with_value(Records::of_desk);
        if self
            .collectors
            .from_desk
            .with_untracked(|known| *known != from_desk)
        {
            self.collectors.from_desk.set(from_desk);
        }
        let charters = self.records.with_value(Records::charters);
        if self
            .collectors
            .charters
            .with_untracked(|known| *known != charters)
        {
            self.collectors.charters.set(charters);
        }
    }

    /// Someone looks at the phone again: what a bad network held up is tried
    /// at once; a collector that asked to wait is left alone.
    fn looked_at(self) {
        let hidden = js::window()
            .and_then(|w| w.document())
            .and_then(|d| js::text(&d, "visibilityState"));
        if hidden.as_deref() != Some("visible") {
            return;
        }
        self.ask_own(false);
        self.all(|upload| {
            let mut uploader = upload.uploader.borrow_mut();
            if matches!(
                uploader.trouble(),
                Some(Trouble::NoSignal | Trouble::NotACollector)
            ) {
                uploader.online();
            }
        });
    }

    /// Something of a game is new, or of any game where no name is given:
    /// looks a moment later.
    pub fn nudge(self, game: String) {
        let mut waits = true;
        self.changed.update_value(|changed| {
            waits = !changed.is_empty();
            changed.insert(game);
        });
        if waits {
            return;
        }
        let later = move || {
            let games = self.changed.try_update_value(core::mem::take);
            spawn_local(async move {
                self.read_records(games.unwrap_or_default()).await;
                self.go_on();
            });
        };
        set_timeout(later, PAUSE);
    }

    fn go_on(self) {
        self.ask_own(false);
        self.all(|_| ());
    }

    /// Does something to every uploader and lets it go on.
    fn all(self, change: impl Fn(&Upload)) {
        for upload in self.rounds.get_value() {
            change(&upload);
            spawn_local(self.run(upload));
        }
    }

    /// Tries everything at once, what was refused too.
    pub fn by_hand(self) {
        self.nudge(String::new());
        self.ask_own(true);
        self.all(|upload| {
            upload.uploader.borrow_mut().by_hand();
            upload.cut_off();
        });
    }

    /// Names one more collector.
    ///
    /// # Errors
    /// When the text is no address that may be named.
    pub fn name(self, text: &str) -> Result<(), NotAnAddress> {
        let address = address::read(text)?;
        let own = address::own();
        let named = self.collectors.named;
        if named.with_untracked(|n| n.addresses(&own).contains(&address)) {
            return Err(NotAnAddress::Known);
        }
        named.update(|n| match address == own {
            true => n.own = OwnAddress::Used,
            false => n.others.push(address),
        });
        self.renamed();
        Ok(())
    }

    /// No longer delivers to a collector. What it has stays there.
    pub fn remove(self, address: &str) {
        self.collectors.named.update(|n| {
            if address == address::own() {
                n.own = OwnAddress::Off;
            }
            n.others.retain(|a| a != address);
        });
        self.renamed();
    }

    fn renamed(self) {
        self.collectors.lay_out();
        self.lay_out();
        spawn_local(async move {
            let named = self.collectors.named.get_untracked();
            if let Some(store) = self.store.get_value() {
                // Not kept, they are named again after the next start.
                let _ = store.keep_collectors(&named).await;
                self.collectors.read(&store).await;
            }
            self.tell();
            self.all(|_| ());
        });
    }

    /// One upload for each address named.
    fn lay_out(self) {
        let addresses = self.collectors.at.with_untracked(|collectors| {
            collectors
                .iter()
                .map(|p| p.address.clone())
                .collect::<Vec<_>>()
        });
        self.rounds.update_value(|rounds| {
            rounds
                .iter()
                .filter(|r| !addresses.contains(&r.address))
                .for_each(|r| r.end());
            let old = core::mem::take(rounds);
            let upload = |address: String| {
                let known = old.iter().find(|r| r.address == address);
                known.map_or_else(|| Upload::new(address.clone()), Rc::clone)
            };
            rounds.extend(addresses.into_iter().map(upload));
        });
    }

    /// Tells the other tabs that what is kept of collectors has changed.
    fn tell(self) {
        self.tabs.with_value(|line| {
            if let Some(line) = line {
                line.tell("");
            }
        });
    }

    /// Asks the address that the app came from whether it is a collector,
    /// while that is not known and there is something to deliver.
    fn ask_own(self, at_once: bool) {
        let named = self.collectors.named;
        let unknown = named.with_untracked(|n| n.own == OwnAddress::Unknown);
        let now = clock::now();
        let lately = now.abs_diff(self.asked.get_value()) < QUESTION;
        if !unknown || (lately && !at_once) || self.records.with_value(Records::is_empty) {
            return;
        }
        self.asked.set_value(now);
        spawn_local(async move {
            let url = format!("{}/api/health", address::own());
            let reply = http::exchange(http::Request::new(&url), &Stop::new()).await;
            if reply == Reply::Lost {
                let later = Duration::from_millis(QUESTION);
                set_timeout(move || self.ask_own(false), later);
            }
            let is = matches!(reply, Reply::Came { status: 200, body, .. } if body == AT_WORK.as_bytes());
            if is && named.with_untracked(|n| n.own == OwnAddress::Unknown) {
                named.update(|n| n.own = OwnAddress::Used);
                self.renamed();
            }
        });
    }

    /// Makes the requests that are due, one after another, and sees to it that
    /// it is called again when the next one is.
    async fn run(self, upload: Rc<Upload>) {
        if upload.ended.get() || upload.running.replace(true) {
            return;
        }
        if let Some(timer) = upload.timer.take() {
            timer.clear();
        }
        let name = format!("chalkbook-delivery {}", upload.address);
        let wait = match Lock::ask(&name, false, || ()).await {
            Some(_lock) => {
                self.make_requests(&upload).await;
                let now = clock::now();
                let at = upload.uploader.borrow().wake_at(now);
                at.map(|at| Duration::from_millis(at.saturating_sub(now).max(50)))
            }
            None => Some(ELSEWHERE),
        };
        upload.running.set(false);
        if upload.ended.get() {
            return;
        }
        let again = wait.map(|w| clock::now() + w.as_millis() as u64);
        let trouble = upload.uploader.borrow().trouble();
        self.collectors.show(&upload.address, |collector| {
            collector.sending = false;
            collector.trouble = trouble;
            collector.again = again;
        });
        if trouble.is_some() {
            ask_to_be_woken();
        }
        if let Some(wait) = wait {
            let next = upload.clone();
            let timer = set_timeout_with_handle(move || spawn_local(self.run(next)), wait);
            upload.timer.set(timer.ok());
        }
    }

    async fn make_requests(self, upload: &Rc<Upload>) {
        loop {
            if upload.ended.get() {
                return;
            }
            let request = {
                let mut uploader = upload.uploader.borrow_mut();
                self.records.with_value(|records| {
                    for (log, entries, beside) in records.all() {
                        uploader.stored(log, entries);
                        uploader.stored_beside(log, beside);
                    }
                    uploader.next(clock::now(), records)
                })
            };
            let Some(request) = request else { return };
            self.collectors
                .show(&upload.address, |collector| collector.sending = true);
            let reply = self.exchange(upload, &request).await;
            let answer = match &reply {
                Reply::Lost => Answer::Lost,
                Reply::Came {
                    status,
                    retry_after,
                    body,
                    ..
                } => Answer::Came {
                    status: *status,
                    retry_after: *retry_after,
                    body,
                },
            };
            let jitter = (js_sys::Math::random() * f64::from(u32::MAX)) as u32;
            let now = clock::now();
            let progress = {
                let mut uploader = upload.uploader.borrow_mut();
                self.records.with_value(|records| {
                    uploader.answered(request.number, now, jitter, records, answer);
                });
                uploader.progress(request.parcel)
            };
            if let Reply::Came { body, .. } = &reply {
                self.keep_receipt(body).await;
            }
            let came = reply != Reply::Lost && upload.uploader.borrow().trouble().is_none();
            let place = progress
                .filter(|_| came)
                .and_then(|p| RecordProgress::of(&p, now));
            if let Some(place) = place {
                self.learn(upload, request.parcel, place).await;
            }
        }
    }

    async fn exchange(self, upload: &Upload, request: &Request) -> Reply {
        let path = request.parcel.path();
        let stop = Stop::new();
        *upload.stop.borrow_mut() = Some(stop.clone());
        let url = format!("{}{path}", upload.address);
        let log = request.parcel;
        let entries = self.records.with_value(|records| match request.what {
            Ask::Head => None,
            Ask::Send { from, count } => records.bytes(log, from..from + count),
            Ask::SendBeside { from, count } => records.bytes_beside(log, from..from + count),
        });
        let reply = match (request.what, entries) {
            (Ask::Head, _) => {
                let head = format!("{url}/head");
                http::exchange(http::Request::new(&head), &stop).await
            }
            (_, Some(entries)) => {
                let entries = Some(entries.as_slice());
                let send = http::Request {
                    entries,
                    ..http::Request::new(&url)
                };
                http::exchange(send, &stop).await
            }
            // Gone from the phone since it was asked for.
            (_, None) => Reply::Lost,
        };
        *upload.stop.borrow_mut() = None;
        reply
    }

    /// Keeps the signed receipt of an answer, where it is for a record as it is
    /// here.
    async fn keep_receipt(self, body: &[u8]) {
        let Some(receipt) = Receipt::read(body).and_then(|r| r.signed()) else {
            return;
        };
        let claim = *receipt.content();
        let last = claim.entries - 1;
        let here = self
            .records
            .with_value(|records| records.hash(claim.log.into(), last));
        if here == Some(claim.head)
            && let Some(store) = self.store.get_value()
        {
            // Not kept, the next one dates as much.
            let _ = store.keep_receipt(&receipt).await;
        }
    }

    /// Shows and keeps what a collector said.
    async fn learn(self, upload: &Upload, parcel: Parcel, place: RecordProgress) {
        let key = status::key(parcel);
        let row = Acknowledgement {
            collector: upload.address.clone(),
            key: key.clone(),
            place: place.clone(),
        };
        let mut new = false;
        let trouble = upload.uploader.borrow().trouble();
        self.collectors.show(&upload.address, |collector| {
            let before = collector.places.insert(key, place.clone());
            new = before
                .is_none_or(|b| RecordProgress { at: 0, ..b } != RecordProgress { at: 0, ..place });
            collector.trouble = trouble;
        });
        let Some(store) = self.store.get_value().filter(|_| new) else {
            return;
        };
        // Not kept, it is only asked for again.
        if store.keep_acknowledged(&row).await.is_ok() {
            self.tell();
        }
    }
}

/// Asks the service worker to wake the open pages when the signal is back,
/// where the browser offers that.
fn ask_to_be_woken() {
    if let (Some(window), Ok(event)) = (js::window(), web_sys::Event::new("chalkbook:wake-me")) {
        let _ = window.dispatch_event(&event);
    }
}
