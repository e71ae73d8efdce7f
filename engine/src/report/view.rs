//! An event as it stands: its games in order and what they come to. The
//! organiser's desk, a collector's pages and every file show this one view.

use alloc::sync::Arc;
use alloc::vec::Vec;

use super::publish::PublishedEvent;
use super::{EventReport, GameReport, Verdict};
use crate::charter::{Charter, SignedCharter};
use crate::competition::standings::Standing;
use crate::crosscheck::KeptRecord;
use crate::log::{AuthorLog, Fingerprint, GameId, GameRecord, Hash, PublicKey, Verified};
use crate::message::text;

/// An event as it stands.
#[derive(Clone, Debug)]
pub struct EventView {
    games: Vec<Arc<GameReport>>,
    report: Option<EventReport>,
}

/// What is kept for one fixture.
#[derive(Clone, Debug)]
pub enum OfFixture<'a> {
    /// Nothing.
    ToCome,
    /// This game counts, or will once it has a result.
    One(&'a Arc<GameReport>),
    /// Several games, and the organiser must say which one counts.
    Several {
        /// The games.
        games: Vec<&'a Arc<GameReport>>,
        /// The umpire's, where that is one.
        proposed: Option<&'a Arc<GameReport>>,
    },
}

impl EventView {
    /// The event after these games, in order of the schedule, then by time.
    /// Games that contradict each other over one fixture are disputed here,
    /// whatever each is by itself.
    #[must_use]
    pub fn new(charter: Option<&Charter>, mut games: Vec<Arc<GameReport>>) -> Self {
        games.sort_by_key(|g| (g.fixture.is_none(), g.fixture, g.opened_ms, g.game));
        let plain: Vec<&GameReport> = games.iter().map(|g| &**g).collect();
        let report = charter.map(|c| EventReport::of(c, &plain));
        let rivals: Vec<Vec<usize>> = report
            .iter()
            .flat_map(EventReport::disputed)
            .map(|(_, games)| games.to_vec())
            .collect();
        for list in rivals {
            let names: Vec<GameId> = list
                .iter()
                .filter_map(|at| games.get(*at))
                .map(|g| g.game)
                .collect();
            for at in list {
                if let Some(game) = games.get_mut(at) {
                    disputed(Arc::make_mut(game), &names);
                }
            }
        }
        Self { games, report }
    }

    /// Its games, in order of the schedule, then by time.
    #[must_use]
    pub fn games(&self) -> &[Arc<GameReport>] {
        &self.games
    }

    /// Tables, knock-out and leaders; `None` without a charter.
    #[must_use]
    pub const fn report(&self) -> Option<&EventReport> {
        self.report.as_ref()
    }

    /// A game of it.
    #[must_use]
    pub fn game(&self, game: GameId) -> Option<&Arc<GameReport>> {
        self.games.iter().find(|g| g.game == game)
    }

    /// What is kept for a fixture.
    #[must_use]
    pub fn fixture(&self, number: u32) -> OfFixture<'_> {
        let Some(report) = &self.report else {
            return OfFixture::ToCome;
        };
        let at = |at: usize| self.games.get(at);
        if let Some(game) = report.counting(number).and_then(at) {
            return OfFixture::One(game);
        }
        let games: Vec<_> = report
            .undecided(number)
            .iter()
            .filter_map(|n| at(*n))
            .collect();
        match games.is_empty() {
            true => OfFixture::ToCome,
            false => OfFixture::Several {
                games,
                proposed: report.proposed(number).and_then(at),
            },
        }
    }

    /// What is given out of it. `event` names it: the hash of its first charter
    /// in hexadecimal, or another name that is unique in the world.
    pub fn published<T>(
        &self,
        event: &str,
        charter: Option<&Charter>,
        take: impl FnOnce(&PublishedEvent<'_>) -> T,
    ) -> T {
        let games: Vec<&GameReport> = self.games.iter().map(|g| &**g).collect();
        take(&PublishedEvent {
            event,
            charter,
            games: &games,
            report: self.report.as_ref(),
        })
    }
}

fn disputed(game: &mut GameReport, all: &[GameId]) {
    game.rivals = all.iter().copied().filter(|g| *g != game.game).collect();
    game.verdict = Verdict::Disputed;
    game.standing = match game.standing {
        Some(Standing::Final(lines) | Standing::Tied(lines)) => Some(Standing::Unsettled(lines)),
        _ => None,
    };
    game.reasons.insert(0, text!("rival-game"));
}

/// What a game's report was computed from: by whose word, and the logs.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Basis {
    charter: Option<Hash>,
    own: Option<PublicKey>,
    logs: Vec<(Fingerprint, Hash, Option<u64>)>,
}

/// The reports of games, each computed again only when something that it was
/// made of has changed.
#[derive(Clone, Debug, Default)]
pub struct Reports {
    games: alloc::collections::BTreeMap<GameId, (Basis, Arc<GameReport>)>,
}

/// By whose word games are judged.
#[derive(Clone, Copy, Debug, Default)]
pub struct Judges<'a> {
    /// The charter in force of their event.
    pub charter: Option<&'a SignedCharter<Verified>>,
    /// Without one, whose decisions count: the organiser's own key, on the
    /// organiser's own phone.
    pub own: Option<&'a PublicKey>,
}

impl<'a> Judges<'a> {
    /// Whose word counts.
    #[must_use]
    pub fn authority(self) -> super::Authority<'a> {
        match (self.charter, self.own) {
            (Some(charter), _) => super::Authority::Charter(charter.charter()),
            (None, Some(own)) => super::Authority::Own(own),
            (None, None) => super::Authority::Nobody,
        }
    }
}

impl Reports {
    /// The report of a game from every log of it; `None` when none of them
    /// gives a game. `version` finds a version of a charter by its hash.
    pub fn of_game<'c>(
        &mut self,
        game: GameId,
        logs: &[&AuthorLog],
        judges: Judges<'_>,
        version: impl FnOnce(Hash) -> Option<&'c SignedCharter<Verified>>,
    ) -> Option<Arc<GameReport>> {
        let heads = logs
            .iter()
            .filter_map(|b| Some((b.name().author, b.head()?, b.forked_at())));
        let basis = Basis {
            charter: judges.charter.map(SignedCharter::hash),
            own: judges.own.copied(),
            logs: heads.collect(),
        };
        if let Some((of, report)) = self.games.get(&game)
            && *of == basis
        {
            return Some(report.clone());
        }
        // A setup that gives no game is no game: its log is kept all the same.
        let records: Vec<(GameRecord, bool)> = logs
            .iter()
            .filter_map(|b| {
                let chain = match judges.charter {
                    Some(charter) => charter.charter().good_part(b.shown()?)?,
                    None => b.shown()?.clone(),
                };
                let record = GameRecord::replay(chain).ok()?;
                Some((record, b.forked_at().is_some()))
            })
            .collect();
        let kept: Vec<KeptRecord<'_>> = records
            .iter()
            .map(|(record, forked)| KeptRecord {
                record,
                forked: *forked,
            })
            .collect();
        let report = GameReport::of(&kept, judges.authority())?;
        let named = records.first().and_then(|(r, _)| r.opening().setup.charter);
        let report = match named.and_then(version) {
            Some(version) => report.against(version, &kept),
            None => report,
        };
        let report = Arc::new(report);
        self.games.insert(game, (basis, report.clone()));
        Some(report)
    }
}
