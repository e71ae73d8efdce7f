//! What the organiser signs, and what of it is handed on.

use engine::charter::{EndedKey, GoodPart};
use engine::log::{
    Author, AuthorLog, Body, ConsideredLog, GameId, GameRecord, Hash, LogName, Opening, Role,
    Setup, SignedReceipt,
};
use leptos::prelude::*;

use super::DeskView;
use super::take::entries_in;
use crate::clock;
use crate::ledger::{Log, Writing, WrittenEntries};
use crate::state::{AppState, NotRecorded};
use crate::store::Trouble;

impl AppState {
    /// Signs a decision or a lot and puts it into this phone's own log of the
    /// game, which is opened for it where there is none.
    ///
    /// # Errors
    /// When it is too long or cannot be kept; nothing has changed then.
    pub async fn desk_sign(self, game: GameId, body: Body) -> Result<(), NotRecorded> {
        let setup = self.desk.books.with_value(|books| {
            let any = books.logs.of_game(game).find_map(|l| l.shown());
            any.map(|c| c.opening().setup.clone())
        });
        self.desk_sign_in(setup.ok_or(NotRecorded::NothingOpen)?, body)
            .await
    }

    /// As [`AppState::desk_sign`], about a game of which no record may be here.
    ///
    /// # Errors
    /// As [`AppState::desk_sign`], and when the setup gives no game.
    pub async fn desk_sign_in(self, setup: Setup, body: Body) -> Result<(), NotRecorded> {
        let game = setup.game_id();
        let ledger = self.ledger()?;
        let own = ledger.key().public().fingerprint();
        let name = LogName { game, author: own };
        let take = || {
            let chain = self.desk.books.with_value(|books| {
                let shown = books.logs.log(name).and_then(|l| l.shown());
                shown.cloned()
            });
            let log = match chain {
                Some(chain) => Log::Here(Box::new(GameRecord::replay(chain)?)),
                None => Log::New(Box::new(Opening::new(
                    setup,
                    Author::new(
                        *ledger.key().public(),
                        self.official.get_untracked().name,
                        Role::Organiser,
                    ),
                ))),
            };
            Ok(Writing {
                log,
                bodies: vec![(body, clock::now())],
                lists: false,
                now: clock::now(),
            })
        };
        let word = game.to_string();
        let show = |written: WrittenEntries| {
            let new = written.new;
            let bytes: Vec<u8> = new.iter().flat_map(|e| e.bytes()).copied().collect();
            self.desk.books.update_value(|books| {
                let line = books.first.entry(name).or_default();
                line.extend(new.iter().map(|e| (e.payload().seq, e.hash())));
                books.logs.take(&bytes);
            });
            self.tell(&word);
        };
        ledger.write(take, show).await?;
        self.show_again(&word).await?;
        self.desk.changed();
        Ok(())
    }

    /// The end of an official's key in an event: what is here of the logs that
    /// it opened stays good, or only as much as one of these collectors dated
    /// before a moment (ms since 1970).
    ///
    /// # Errors
    /// When the browser cannot read what is kept.
    pub async fn ended_key(
        self,
        event: &str,
        author: Author,
        moment: Option<u64>,
        collectors: &[Author],
    ) -> Result<EndedKey, Trouble> {
        self.open_desk().await?;
        let kept = self.event(event);
        let of_event = |log: &&AuthorLog| {
            let opening = log.shown().map(|c| c.opening());
            let charter = opening.and_then(|o| o.setup.charter);
            let version = charter.and_then(|hash| kept.as_ref()?.version(&hash).map(drop));
            log.name().author == author.key.fingerprint() && version.is_some()
        };
        let part = |log: &AuthorLog| {
            Some(GoodPart {
                game: log.name().game,
                entries: log.next_seq(),
                head: log.head()?,
            })
        };
        let good: Vec<GoodPart> = self.desk.books.with_value(|books| {
            let logs = books.logs.logs().filter(of_event).filter_map(part);
            logs.take(EndedKey::GOOD_LIMIT).collect()
        });
        let Some(moment) = moment else {
            return Ok(EndedKey { author, good });
        };
        let store = self.opened_store().await?;
        let mut receipts = Vec::new();
        for part in &good {
            let name = author.key.fingerprint().to_string();
            let kept = store.receipts(&part.game.to_string(), &name).await?;
            receipts.extend(SignedReceipt::all_in(&kept));
        }
        self.desk.files.with_untracked(|files| {
            for file in files {
                receipts.extend(SignedReceipt::all_in(&entries_in(&file.bytes)));
            }
        });
        receipts.retain(|r| good.iter().any(|g| g.game == r.content().log.game));
        Ok(EndedKey::at(author, moment, &receipts, collectors))
    }

    /// The logs of a game as they are here now, for a decision to name.
    pub fn desk_considered(self, game: GameId) -> Vec<ConsideredLog> {
        let own = self.key().ok().map(|key| key.public().fingerprint());
        self.desk.books.with_value(|books| {
            let logs = books.logs.of_game(game);
            let others = logs.filter(|l| Some(l.name().author) != own);
            others
                .filter_map(|l| {
                    Some(ConsideredLog {
                        author: l.name().author,
                        head: l.head()?,
                    })
                })
                .collect()
        })
    }

    /// How far a log is here: entries, and the hash of the last.
    pub fn desk_head(self, name: LogName) -> (u64, Option<Hash>) {
        self.desk.books.with_value(|books| {
            let log = books.logs.log(name);
            log.map_or((0, None), |l| (l.next_seq(), l.head()))
        })
    }

    /// This phone's logs of decisions on an event's games, to send.
    pub fn desk_own(self, event: &str) -> Vec<(LogName, Vec<u8>)> {
        let view = untrack(|| self.desk_view(event));
        view.map(|view| self.own_decisions(&view))
            .unwrap_or_default()
    }

    /// This phone's own decisions on an event's games, to hand on: its logs of
    /// games that it does not call.
    pub fn desk_decisions(self, view: &DeskView) -> Vec<u8> {
        let own = self.own_decisions(view);
        own.into_iter().flat_map(|(_, log)| log).collect()
    }

    fn own_decisions(self, view: &DeskView) -> Vec<(LogName, Vec<u8>)> {
        let own = self.key().ok().map(|key| key.public().fingerprint());
        let (Some(author), games) = (own, view.games().iter()) else {
            return Vec::new();
        };
        self.desk.books.with_value(|books| {
            let of_game = |game: GameId| {
                let name = LogName { game, author };
                let chain = books.logs.log(name)?.shown()?;
                let record = GameRecord::replay(chain.clone()).ok()?;
                record.is_of_desk().then(|| (name, chain.to_bytes()))
            };
            games.filter_map(|g| of_game(g.game)).collect()
        })
    }
}
