//! Getting the records of this phone to collectors.
//!
//! [`Courier`] decides everything: which request is due, when, and what an
//! answer means. Here requests are made, triggers are heard and what was
//! acknowledged is kept. Nothing of it runs in the same turn as a call: an
//! entry is looked at [`PAUSE`] after it was kept.

mod address;
mod place;
mod wire;

pub use address::{Named, NotAnAddress, Own};
pub use place::{Held, Key, Place, Post, Standing};

use std::cell::{Cell, RefCell};
use std::ops::Range;
use std::rc::Rc;
use std::time::Duration;

use engine::log::sync::{AT_WORK, Answer, Ask, Courier, Request, Shelf, Trouble};
use engine::log::{Chain, Hash, LogName};
use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::chalk::{Chalk, Reach, Shown};
use crate::lock::Lock;
use crate::store::Acknowledged;
use crate::tabs::Tabs;
use crate::{clock, js};
use wire::{Reply, Stop};

/// From an entry kept to the request that sends it, so that the screen that
/// recorded it is drawn first and a few calls in a row go together.
const PAUSE: Duration = Duration::from_millis(1_000);
/// From finding that another tab delivers to looking again.
const ELSEWHERE: Duration = Duration::from_secs(5);
/// Between two questions whether the own address is a collector (ms).
const QUESTION: u64 = 60_000;

/// Delivery to one collector.
struct Round {
    address: String,
    courier: RefCell<Courier>,
    running: Cell<bool>,
    ended: Cell<bool>,
    timer: Cell<Option<TimeoutHandle>>,
    stop: RefCell<Option<Stop>>,
}

impl Round {
    fn new(address: String) -> Rc<Self> {
        Rc::new(Self {
            address,
            courier: RefCell::default(),
            running: Cell::new(false),
            ended: Cell::new(false),
            timer: Cell::new(None),
            stop: RefCell::new(None),
        })
    }

    fn end(&self) {
        self.ended.set(true);
        if let Some(timer) = self.timer.take() {
            timer.clear();
        }
        if let Some(stop) = self.stop.borrow().as_ref() {
            stop.now();
        }
    }
}

/// The records of the phone, looked up by the courier where they are shown.
struct Records(Chalk);

impl Records {
    fn with<T>(&self, log: LogName, read: impl Fn(&Chain) -> Option<T>) -> Option<T> {
        let of = |shown: &Shown| {
            let chains = chains(shown)?;
            let mut chains = chains.filter(|c| named(c) == log);
            chains.next().map(&read)
        };
        // What is on the screen is newer than its line in the list.
        let open = self.0.open.with_untracked(|o| o.as_ref().and_then(of));
        let found = open.or_else(|| self.0.games.with_untracked(|g| g.iter().find_map(of)));
        found.flatten()
    }

    fn all(&self) -> Vec<(LogName, u64)> {
        let of = |shown: &Shown| {
            let count = |c: &Chain| (named(c), c.next_seq());
            chains(shown)
                .map(|chains| chains.map(count).collect::<Vec<_>>())
                .unwrap_or_default()
        };
        let listed = self
            .0
            .games
            .with_untracked(|g| g.iter().flat_map(of).collect::<Vec<_>>());
        let open = self.0.open.with_untracked(|o| o.as_ref().map(of));
        let open = open.unwrap_or_default();
        let older = |(log, _): &(LogName, u64)| !open.iter().any(|(o, _)| o == log);
        listed
            .into_iter()
            .filter(older)
            .chain(open.clone())
            .collect()
    }

    fn bytes(&self, log: LogName, entries: Range<u64>) -> Option<Vec<u8>> {
        self.with(log, |chain| {
            let bytes = entries.clone().map(|seq| Some(chain.at(seq)?.bytes()));
            Some(bytes.collect::<Option<Vec<_>>>()?.concat())
        })
    }
}

impl Shelf for Records {
    fn length(&self, log: LogName, seq: u64) -> Option<usize> {
        self.with(log, |chain| Some(chain.at(seq)?.bytes().len()))
    }
    fn hash(&self, log: LogName, seq: u64) -> Option<Hash> {
        self.with(log, |chain| Some(chain.at(seq)?.hash()))
    }
}

fn named(chain: &Chain) -> LogName {
    LogName {
        game: chain.game(),
        author: chain.author().fingerprint(),
    }
}

/// The records of a game; `None` for one that is made up or cannot be read.
fn chains(shown: &Shown) -> Option<impl Iterator<Item = &Chain>> {
    let book = shown.book.as_ref().ok().filter(|_| !shown.listed.demo)?;
    let others = book.others.iter().map(|o| o.record.chain());
    Some(core::iter::once(book.record.chain()).chain(others))
}

/// The records of a game, as screens show them; none for one that is made up.
pub fn held(shown: &Shown) -> Vec<Held> {
    let one = |(at, chain): (usize, &Chain)| {
        let author = &chain.opening().author;
        let by = match author.name.trim() {
            "" => author.role.to_string(),
            name => format!("{}, {name}", author.role),
        };
        Held {
            key: place::key(named(chain)),
            stored: chain.next_seq(),
            own: at == 0,
            by,
        }
    };
    chains(shown).map_or_else(Vec::new, |all| all.enumerate().map(one).collect())
}

/// Shared by the screens that show it.
#[derive(Clone, Copy)]
pub struct Delivery {
    chalk: Chalk,
    rounds: StoredValue<Vec<Rc<Round>>, LocalStorage>,
    tabs: StoredValue<Option<Tabs>, LocalStorage>,
    begun: StoredValue<bool, LocalStorage>,
    nudged: StoredValue<bool, LocalStorage>,
    asked: StoredValue<u64, LocalStorage>,
    /// The collectors that are named.
    pub named: RwSignal<Named>,
    /// How things stand at each.
    pub posts: RwSignal<Vec<Post>>,
}

/// The shared context.
pub fn delivery() -> Delivery {
    expect_context()
}

impl Delivery {
    /// Nothing known yet; begins when the games can be reached.
    pub fn new(chalk: Chalk) -> Self {
        let it = Self {
            chalk,
            rounds: StoredValue::new_local(Vec::new()),
            tabs: StoredValue::new_local(None),
            begun: StoredValue::new_local(false),
            nudged: StoredValue::new_local(false),
            asked: StoredValue::new_local(0),
            named: RwSignal::new(Named::default()),
            posts: RwSignal::new(Vec::new()),
        };
        let ready = Memo::new(move |_| chalk.reach.get() == Reach::Ready);
        Effect::new(move |_| {
            if ready.get() {
                spawn_local(it.start());
            }
        });
        Effect::new(move |_| {
            chalk.open.track();
            chalk.games.track();
            it.nudge();
        });
        it
    }

    async fn start(self) {
        // Unreadable, they have to be named again; nothing is lost.
        self.named
            .set(self.chalk.collectors().await.unwrap_or_default());
        self.begun.set_value(true);
        self.name_all();
        self.read_kept().await;
        let heard = move |_| spawn_local(self.read_kept());
        self.tabs.set_value(Tabs::on("chalkbook-delivery", heard));
        let signal = move || {
            self.ask_own(true);
            self.all(|round| round.courier.borrow_mut().online());
        };
        let online = window_event_listener_untyped("online", move |_| signal());
        // The service worker heard that the signal is back.
        let woken = window_event_listener_untyped("chalkbook:deliver", move |_| signal());
        let seen = window_event_listener_untyped("visibilitychange", move |_| self.looked_at());
        on_cleanup(move || {
            online.remove();
            woken.remove();
            seen.remove();
        });
        self.ask_own(false);
        self.nudge();
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
        self.all(|round| {
            let mut courier = round.courier.borrow_mut();
            if matches!(
                courier.trouble(),
                Some(Trouble::NoSignal | Trouble::NotACollector)
            ) {
                courier.online();
            }
        });
    }

    /// An entry may be new: looks a moment later.
    fn nudge(self) {
        if self.nudged.get_value() || !self.begun.get_value() {
            return;
        }
        self.nudged.set_value(true);
        let later = move || {
            self.nudged.set_value(false);
            self.ask_own(false);
            self.all(|_| ());
        };
        set_timeout(later, PAUSE);
    }

    /// Does something to every courier and lets it go on.
    fn all(self, change: impl Fn(&Round)) {
        for round in self.rounds.get_value() {
            change(&round);
            spawn_local(self.run(round));
        }
    }

    /// Tries everything at once, what was refused too.
    pub fn by_hand(self) {
        self.ask_own(true);
        self.all(|round| {
            round.courier.borrow_mut().by_hand();
            if let Some(stop) = round.stop.borrow().as_ref() {
                stop.now();
            }
        });
    }

    /// Names one more collector.
    ///
    /// # Errors
    /// When the text is no address that may be named.
    pub fn name(self, text: &str) -> Result<(), NotAnAddress> {
        let address = address::read(text)?;
        let own = address::own();
        if self
            .named
            .with_untracked(|n| n.addresses(&own).contains(&address))
        {
            return Err(NotAnAddress::Known);
        }
        self.named.update(|n| match address == own {
            true => n.own = Own::Used,
            false => n.others.push(address),
        });
        self.renamed();
        Ok(())
    }

    /// No longer delivers to a collector. What it has stays there.
    pub fn remove(self, address: &str) {
        self.named.update(|n| {
            if address == address::own() {
                n.own = Own::Off;
            }
            n.others.retain(|a| a != address);
        });
        self.renamed();
    }

    fn renamed(self) {
        self.name_all();
        spawn_local(async move {
            let named = self.named.get_untracked();
            // Not kept, they are named again after the next start.
            let _ = self.chalk.keep_collectors(&named).await;
            self.read_kept().await;
            self.all(|_| ());
        });
    }

    /// One round and one line on the screen for each address named.
    fn name_all(self) {
        let own = address::own();
        let addresses = self.named.with_untracked(|n| n.addresses(&own));
        self.rounds.update_value(|rounds| {
            rounds
                .iter()
                .filter(|r| !addresses.contains(&r.address))
                .for_each(|r| r.end());
            let old = core::mem::take(rounds);
            let round = |a: &String| {
                let known = old.iter().find(|r| r.address == *a);
                known.map_or_else(|| Round::new(a.clone()), Rc::clone)
            };
            rounds.extend(addresses.iter().map(round));
        });
        self.posts.update(|posts| {
            let old = core::mem::take(posts);
            let post = |address: String| {
                let known = old.iter().find(|p| p.address == address);
                known.cloned().unwrap_or(Post {
                    own: address == own,
                    address,
                    ..Post::default()
                })
            };
            posts.extend(addresses.into_iter().map(post));
        });
    }

    /// What was kept, unless something newer is known.
    async fn read_kept(self) {
        // Without it everything counts as waiting until the collector answers.
        let Ok(rows) = self.chalk.acknowledged().await else {
            return;
        };
        self.posts.update(|posts| {
            for row in rows {
                let post = posts.iter_mut().find(|p| p.address == row.collector);
                let Some(post) = post else { continue };
                let newer = |p: &Place| p.at > row.place.at;
                if !post.places.get(&row.key).is_some_and(newer) {
                    post.places.insert(row.key, row.place);
                }
            }
        });
    }

    /// Asks the address that the app came from whether it is a collector,
    /// while that is not known and there is something to deliver.
    fn ask_own(self, at_once: bool) {
        let unknown = self.named.with_untracked(|n| n.own == Own::Unknown);
        let now = clock::now();
        let lately = now.abs_diff(self.asked.get_value()) < QUESTION;
        if !unknown || (lately && !at_once) || Records(self.chalk).all().is_empty() {
            return;
        }
        self.asked.set_value(now);
        spawn_local(async move {
            let url = format!("{}/api/health", address::own());
            let reply = wire::exchange(&url, None, &Stop::new()).await;
            if reply == Reply::Lost {
                let later = Duration::from_millis(QUESTION);
                set_timeout(move || self.ask_own(false), later);
            }
            let is = matches!(reply, Reply::Came { status: 200, body, .. } if body == AT_WORK.as_bytes());
            if is && self.named.with_untracked(|n| n.own == Own::Unknown) {
                self.named.update(|n| n.own = Own::Used);
                self.renamed();
            }
        });
    }

    /// Makes the requests that are due, one after another, and sees to it that
    /// it is called again when the next one is.
    async fn run(self, round: Rc<Round>) {
        if round.ended.get() || round.running.replace(true) {
            return;
        }
        if let Some(timer) = round.timer.take() {
            timer.clear();
        }
        let name = format!("chalkbook-delivery {}", round.address);
        let wait = match Lock::ask(&name, false, || ()).await {
            Some(_lock) => {
                self.make_requests(&round).await;
                let now = clock::now();
                let at = round.courier.borrow().wake_at(now);
                at.map(|at| Duration::from_millis(at.saturating_sub(now).max(50)))
            }
            None => Some(ELSEWHERE),
        };
        round.running.set(false);
        if round.ended.get() {
            return;
        }
        let again = wait.map(|w| clock::now() + w.as_millis() as u64);
        let trouble = round.courier.borrow().trouble();
        self.show(&round.address, |post| {
            post.sending = false;
            post.trouble = trouble;
            post.again = again;
        });
        if trouble.is_some() {
            ask_to_be_woken();
        }
        if let Some(wait) = wait {
            let next = round.clone();
            let timer = set_timeout_with_handle(move || spawn_local(self.run(next)), wait);
            round.timer.set(timer.ok());
        }
    }

    async fn make_requests(self, round: &Rc<Round>) {
        let records = Records(self.chalk);
        loop {
            if round.ended.get() {
                return;
            }
            let request = {
                let mut courier = round.courier.borrow_mut();
                for (log, entries) in records.all() {
                    courier.stored(log, entries);
                }
                courier.next(clock::now(), &records)
            };
            let Some(request) = request else { return };
            self.show(&round.address, |post| post.sending = true);
            let reply = self.exchange(round, &request).await;
            let answer = match &reply {
                Reply::Lost => Answer::Lost,
                Reply::Came {
                    status,
                    retry_after,
                    body,
                } => Answer::Came {
                    status: *status,
                    retry_after: *retry_after,
                    body,
                },
            };
            let jitter = (js_sys::Math::random() * f64::from(u32::MAX)) as u32;
            let now = clock::now();
            let progress = {
                let mut courier = round.courier.borrow_mut();
                courier.answered(request.number, now, jitter, &records, answer);
                courier.progress(request.log)
            };
            let came = reply != Reply::Lost && round.courier.borrow().trouble().is_none();
            let place = progress.filter(|_| came).and_then(|p| Place::of(&p, now));
            if let Some(place) = place {
                self.learn(round, request.log, place).await;
            }
        }
    }

    async fn exchange(self, round: &Round, request: &Request) -> Reply {
        let path = request.log.path();
        let stop = Stop::new();
        *round.stop.borrow_mut() = Some(stop.clone());
        let url = format!("{}{path}", round.address);
        let reply = match request.what {
            Ask::Head => wire::exchange(&format!("{url}/head"), None, &stop).await,
            Ask::Send { from, count } => {
                match Records(self.chalk).bytes(request.log, from..from + count) {
                    Some(entries) => wire::exchange(&url, Some(&entries), &stop).await,
                    // Gone from the phone since it was asked for.
                    None => Reply::Lost,
                }
            }
        };
        *round.stop.borrow_mut() = None;
        reply
    }

    /// Shows and keeps what a collector said.
    async fn learn(self, round: &Round, log: LogName, place: Place) {
        let key = place::key(log);
        let row = Acknowledged {
            collector: round.address.clone(),
            key: key.clone(),
            place: place.clone(),
        };
        let mut new = false;
        let trouble = round.courier.borrow().trouble();
        self.show(&round.address, |post| {
            let before = post.places.insert(key, place.clone());
            new = before.is_none_or(|b| Place { at: 0, ..b } != Place { at: 0, ..place });
            post.trouble = trouble;
        });
        // Not kept, it is only asked for again.
        if new && self.chalk.keep_acknowledged(&row).await.is_ok() {
            self.tabs.with_value(|tabs| {
                if let Some(tabs) = tabs {
                    tabs.tell(&round.address);
                }
            });
        }
    }

    fn show(self, address: &str, change: impl FnOnce(&mut Post)) {
        self.posts.update(|posts| {
            if let Some(post) = posts.iter_mut().find(|p| p.address == address) {
                change(post);
            }
        });
    }
}

/// Asks the service worker to wake the open pages when the signal is back,
/// where the browser offers that.
fn ask_to_be_woken() {
    if let (Some(window), Ok(event)) = (js::window(), web_sys::Event::new("chalkbook:wake-me")) {
        let _ = window.dispatch_event(&event);
    }
}
