//! A made-up event of practice in a harbour town, so that a newcomer sees a full
//! app at once: two pools under way, a game in dispute, the next ones to come.
//! This phone is its organiser and the umpire of one court; everybody else is
//! invented, and every entry is signed like any other.

use demoday::{DemoGame, Fault, Pen};
use engine::charter::SignedCharter;
use engine::competition::schedule::{Clock, Window};
use engine::log::{Author, Entry, Role, Unsigned, Verified};

use crate::charter_draft::ahead;
use crate::clock;
use crate::keys::OfficialKey;
use crate::ledger::Signer as _;

/// Which of the invented events.
const SEED: u64 = 1;
/// What the charter calls this phone.
const HERE: &str = "This phone";
/// The place of this phone in the list of officials, from 1.
const OWN: u8 = 3;
/// How long ago the first games began (ms): the last games of the pools have
/// just begun.
const AGO: u64 = 182 * 60_000;

/// The event.
pub struct DemoEvent {
    /// Its charter, which this phone signed as organiser.
    pub charter: SignedCharter<Verified>,
    /// Its games, with the records of each.
    pub games: Vec<DemoGame>,
}

/// Signs for an official of the event.
enum Signs<'a> {
    Here(&'a OfficialKey),
    Invented(Box<engine::log::SecretKey>),
}

impl Pen for Signs<'_> {
    async fn sign(&self, entry: Unsigned) -> Result<Entry<Verified>, Fault> {
        match self {
            Self::Here(key) => key.sign(entry).await.map_err(|why| why.what().into()),
            Self::Invented(key) => Pen::sign(&**key, entry).await,
        }
    }
}

/// The event as it stands now (ms since 1970).
///
/// # Errors
/// When the browser does not sign.
pub async fn event(key: &OfficialKey, now: u64) -> Result<DemoEvent, Fault> {
    let begun = now.saturating_sub(AGO);
    let midnight = clock::midnight(begun).unwrap_or(begun);
    let here = |role| Author::new(*key.public(), HERE, role);
    let mut charter = demoday::charter(SEED);
    charter.event = "Harbour Day (made up)".into();
    charter.date = clock::date(begun);
    charter.practice = true;
    charter.organiser = here(Role::Organiser);
    if let Some(own) = charter.officials.get_mut(usize::from(OWN) - 1) {
        *own = here(Role::Umpire);
    }
    if let Some(arranged) = &mut charter.arranged {
        let opens = u32::try_from(begun.saturating_sub(midnight) / 60_000).unwrap_or(0);
        arranged.windows = vec![Window {
            opens: Clock(opens),
            closes: Clock(opens + 10 * 60),
        }];
        arranged.ahead = ahead(&charter.date);
    }
    let unsigned = charter.with_fixtures()?.draft()?;
    let signature = key.signature(&unsigned.to_be_signed()).await;
    let charter = unsigned.assemble(&signature.map_err(|why| why.what())?)?;
    let pen = |n: u8| match n {
        OWN => Signs::Here(key),
        n => Signs::Invented(Box::new(demoday::key(SEED, n))),
    };
    let games = demoday::play(&charter, SEED, pen, now).await?;
    Ok(DemoEvent { charter, games })
}

/// Two cards, for tests.
#[cfg(test)]
pub(crate) fn two_cards() -> engine::team::BySide<engine::team::Card> {
    a_game(&OfficialKey::from_seed(&[5; 32]))
        .opening()
        .setup
        .cards
        .clone()
}

/// A finished game of this key, for tests.
#[cfg(test)]
#[allow(clippy::unwrap_used)]
pub(crate) fn a_game(key: &OfficialKey) -> engine::log::GameRecord {
    let event = demoday::at_once(event(key, 1_780_000_000_000)).unwrap();
    let mut all = event.games.into_iter().flat_map(|g| g.records);
    all.find(|r| r.chain().author() == key.public()).unwrap()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use engine::report::{EventReport, GameReport, Verdict};

    use super::*;

    fn at(now: u64) -> DemoEvent {
        let key = OfficialKey::from_seed(&[5; 32]);
        demoday::at_once(event(&key, now)).unwrap()
    }

    /// Noon, just after midnight and just before it, in UTC.
    const TIMES: [u64; 3] = [1_780_315_200_000, 1_780_272_300_000, 1_780_271_700_000];

    #[test]
    fn at_any_hour_there_are_tables_a_dispute_and_games_under_way_and_to_come() {
        for now in TIMES {
            let event = at(now);
            let charter = event.charter.charter();
            let report = |game: &DemoGame| demoday::report(game, charter).unwrap();
            let games: Vec<GameReport> = event.games.iter().map(report).collect();
            let all: Vec<&GameReport> = games.iter().collect();
            let count = |test: &dyn Fn(&GameReport) -> bool| all.iter().filter(|g| test(g)).count();
            assert!(count(&|g| g.ending.is_some()) >= 8, "{now}");
            let here = |r: &&engine::log::GameRecord| r.opening().author.name == HERE;
            let own = event.games.iter().flat_map(|g| &g.records).filter(here);
            let goes_on = own.filter(|r| r.history().game().ending().is_none());
            assert_eq!(goes_on.count(), 1, "{now}");
            assert_eq!(count(&|g| g.verdict == Verdict::Disputed), 1, "{now}");
            assert!(count(&|g| g.practice) == all.len());
            assert!(charter.fixtures.iter().any(|f| f.starts > now));
            let report = EventReport::of(charter, &all);
            let results = report.results().unwrap();
            let tables = results.tables().len();
            assert_eq!(tables, 2, "{:?}", report.problems());
        }
    }

    #[test]
    fn the_event_is_the_same_every_time() {
        let bytes = || {
            let records = at(TIMES[0]).games.into_iter().flat_map(|g| g.records);
            records.map(|r| r.chain().to_bytes()).collect::<Vec<_>>()
        };
        assert_eq!(bytes(), bytes());
    }
}
