//! A phone that dies at every moment, is full, has two tabs, and is tapped twice.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::pin::pin;
use std::rc::Rc;
use std::task::{Context, Poll, Waker};

use engine::game::Notice;
use engine::log::{Author, Event, GameMark, Role, Setup};
use engine::play::{BatterFate, Call};
use engine::rules::Edition;
use engine::team::Side;

use super::*;
use crate::demo;
use crate::keys::OfficialKey;
use crate::store::read;

/// Lets whoever polls go on once, as a browser does between two of its own steps.
async fn step() {
    let mut waited = false;
    std::future::poll_fn(|context| {
        if std::mem::replace(&mut waited, true) {
            return Poll::Ready(());
        }
        context.waker().wake_by_ref();
        Poll::Pending
    })
    .await;
}

/// What survives when the page dies.
#[derive(Default)]
struct Disk {
    entries: RefCell<BTreeMap<(String, u64), Vec<u8>>>,
    games: RefCell<Vec<ListedGame>>,
    /// Entries that still fit; without a number, any.
    room: Cell<Option<usize>>,
}

impl Disk {
    /// What a new page reads of the one game.
    fn record(&self) -> GameRecord {
        let entries = self.entries.borrow();
        let game = entries.keys().next().unwrap().0.clone();
        let kept = entries
            .iter()
            .map(|((_, seq), bytes)| (*seq, bytes.clone()));
        let (record, damaged) = read(&game, kept.collect()).unwrap();
        assert!(damaged.is_empty());
        record
    }

    fn count(&self) -> usize {
        self.entries.borrow().len()
    }
}

impl Storage for Disk {
    async fn append(
        &self,
        listed: Option<&ListedGame>,
        record: &GameRecord,
        entries: &[Entry<Verified>],
    ) -> Result<(), Trouble> {
        let game = record.chain().game().to_string();
        step().await;
        let mut kept = self.entries.borrow().clone();
        for entry in entries {
            let at = (game.clone(), entry.payload().seq);
            if kept.insert(at, entry.bytes().to_vec()).is_some() {
                return Err(Trouble::Taken);
            }
        }
        if self.room.get().is_some_and(|room| kept.len() > room) {
            return Err(Trouble::Full);
        }
        step().await;
        *self.entries.borrow_mut() = kept;
        self.games.borrow_mut().extend(listed.cloned());
        step().await;
        Ok(())
    }
}

struct SlowKey(OfficialKey);

impl Signer for SlowKey {
    async fn sign(&self, unsigned: Unsigned) -> Result<Entry<Verified>, Trouble> {
        step().await;
        self.0.sign(unsigned).await
    }
}

type Page = Ledger<Rc<Disk>, SlowKey>;

fn page(disk: &Rc<Disk>) -> Page {
    Ledger::new(disk.clone(), SlowKey(OfficialKey::from_seed(&[3; 32])))
}

fn opening() -> Writing {
    let key = OfficialKey::from_seed(&[3; 32]);
    let setup = Setup::new(GameMark([1; 16]), demo::two_cards(), &Edition::federation());
    let author = Author::new(*key.public(), String::new(), Role::Umpire);
    Writing {
        log: Log::New(Box::new(Opening::new(setup, author))),
        bodies: Vec::new(),
        lists: true,
        now: 5,
    }
}

fn calls(disk: &Disk, bodies: Vec<Body>) -> Writing {
    Writing {
        log: Log::Here(Box::new(disk.record())),
        bodies: bodies.into_iter().map(|body| (body, 6)).collect(),
        lists: true,
        now: 6,
    }
}

fn caught(disk: &Disk) -> Body {
    let play = disk
        .record()
        .history()
        .next_play(Call::new(BatterFate::Caught));
    Body::Event(play)
}

fn time_out() -> Body {
    Body::Event(Event::Notice(Notice::TimeOut { side: Side::Guest }))
}

fn to_end<T>(work: impl Future<Output = T>) -> T {
    after(work, usize::MAX).unwrap()
}

/// What comes of some work when the page dies after so many steps.
fn after<T>(work: impl Future<Output = T>, steps: usize) -> Option<T> {
    let mut work = pin!(work);
    let mut context = Context::from_waker(Waker::noop());
    for _ in 0..steps {
        if let Poll::Ready(done) = work.as_mut().poll(&mut context) {
            return Some(done);
        }
    }
    None
}

fn begun() -> Rc<Disk> {
    let disk = Rc::new(Disk::default());
    to_end(page(&disk).write(|| Ok(opening()), |_| ())).unwrap();
    assert_eq!(disk.games.borrow().len(), 1);
    disk
}

#[test]
fn whenever_the_page_dies_all_of_it_is_kept_or_nothing() {
    let mut kept_without_word = 0;
    for steps in 0.. {
        let disk = begun();
        let bodies = vec![time_out(), caught(&disk)];
        let shown = Cell::new(false);
        let ledger = page(&disk);
        let work = ledger.write(|| Ok(calls(&disk, bodies)), |_| shown.set(true));
        let done = after(work, steps);
        assert!(
            !shown.get() || disk.count() == 3,
            "shown before it was kept"
        );
        assert!(
            [1, 3].contains(&disk.count()),
            "{} of 3 after {steps}",
            disk.count()
        );
        kept_without_word += usize::from(disk.count() == 3 && done.is_none());

        // The same page goes on, and so does a new one: the next call follows what is kept.
        let bodies = vec![caught(&disk)];
        to_end(ledger.write(|| Ok(calls(&disk, bodies)), |_| ())).unwrap();
        let bodies = vec![caught(&disk)];
        to_end(page(&disk).write(|| Ok(calls(&disk, bodies)), |_| ())).unwrap();
        if let Some(done) = done {
            assert_eq!(done, Ok(()));
            assert_eq!(disk.count(), 5);
            break;
        }
    }
    assert!(
        kept_without_word > 0,
        "a death between the disk and the screen was tried"
    );
}

#[test]
fn a_game_whose_opening_is_cut_short_is_whole_or_not_there() {
    for steps in 0.. {
        let disk = Rc::new(Disk::default());
        let done = after(page(&disk).write(|| Ok(opening()), |_| ()), steps);
        assert_eq!(disk.count(), disk.games.borrow().len());
        if done.is_some() {
            assert_eq!(disk.count(), 1);
            break;
        }
    }
}

#[test]
fn a_full_phone_keeps_what_it_has_and_goes_on_when_there_is_room() {
    let disk = begun();
    disk.room.set(Some(2));
    let ledger = page(&disk);
    let both = || Ok(calls(&disk, vec![time_out(), caught(&disk)]));
    let shown = Cell::new(0);
    let show = |_| shown.set(shown.get() + 1);
    assert_eq!(to_end(ledger.write(both, show)), Err(Trouble::Full.into()));
    assert_eq!((disk.count(), shown.get()), (1, 0));
    disk.room.set(None);
    assert_eq!(to_end(ledger.write(both, show)), Ok(()));
    assert_eq!((disk.count(), shown.get()), (3, 1));
}

#[test]
fn of_two_tabs_one_writes_and_the_other_is_told() {
    let disk = begun();
    let (one, other) = (page(&disk), page(&disk));
    // Both read the game before either has written.
    let (first, second) = (
        calls(&disk, vec![caught(&disk)]),
        calls(&disk, vec![time_out()]),
    );
    assert_eq!(to_end(one.write(|| Ok(first), |_| ())), Ok(()));
    let kept = disk.entries.borrow().clone();
    let refused = to_end(other.write(|| Ok(second), |_| panic!("it is not recorded")));
    assert_eq!(refused, Err::<(), _>(Trouble::Taken.into()));
    assert_eq!(*disk.entries.borrow(), kept);
    let again = || Ok(calls(&disk, vec![time_out()]));
    assert_eq!(to_end(other.write(again, |_| ())), Ok(()));
    assert_eq!(disk.count(), 3);
}

#[test]
fn the_second_of_two_taps_records_nothing() {
    let disk = begun();
    let ledger = page(&disk);
    let bodies = vec![caught(&disk)];
    let mut first = pin!(ledger.write(|| Ok(calls(&disk, bodies)), |_| ()));
    let mut context = Context::from_waker(Waker::noop());
    while first.as_mut().poll(&mut context).is_pending() {
        let second = || panic!("nothing is taken while something is being written");
        assert_eq!(to_end(ledger.write(second, |_| ())), Err(NotRecorded::Busy));
    }
    assert_eq!(disk.count(), 2);
}

#[test]
fn what_the_rules_refuse_in_the_middle_keeps_nothing_of_it() {
    let disk = begun();
    let ledger = page(&disk);
    let late = Event::Undo { target: 99 };
    let bodies = vec![caught(&disk), Body::Event(late)];
    let refused = to_end(ledger.write(|| Ok(calls(&disk, bodies)), |_| ()));
    assert!(
        matches!(refused, Err(NotRecorded::Refused(_))),
        "{refused:?}"
    );
    assert_eq!(disk.count(), 1);
}

#[test]
fn whoever_waits_for_it_waits_until_it_is_written() {
    let disk = begun();
    let ledger = page(&disk);
    let bodies = vec![caught(&disk)];
    let mut write = pin!(ledger.write(|| Ok(calls(&disk, bodies)), |_| ()));
    let mut settled = pin!(ledger.settled());
    let mut context = Context::from_waker(Waker::noop());
    assert!(write.as_mut().poll(&mut context).is_pending());
    assert!(settled.as_mut().poll(&mut context).is_pending());
    while write.as_mut().poll(&mut context).is_pending() {}
    assert!(settled.as_mut().poll(&mut context).is_ready());
}
