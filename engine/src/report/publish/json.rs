//! The results as JSON (RFC 8259): what each object holds, under its own name.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use serde::Serialize;

use super::{PublishedEvent, shown};
use crate::charter::{Charter, Scheduled};
use crate::competition::bracket::GameState;
use crate::competition::leaders::Leader;
use crate::report::{EventReport, GameReport, PlannedFixture};
use crate::score::{HalfInningTotals, PlayerTotals};
use crate::team::{Shirt, Side};

/// `games.json`.
#[derive(Clone, Debug, Serialize)]
pub struct Games<'a> {
    /// Every game.
    pub games: Vec<Game<'a>>,
}

/// A game in short.
#[derive(Clone, Debug, Serialize)]
pub struct Game<'a> {
    /// Its id in hexadecimal.
    pub game: String,
    /// The number of its fixture.
    pub number: Option<u32>,
    /// What it is.
    pub title: Option<&'a str>,
    /// The court.
    pub court: Option<&'a str>,
    /// The guests.
    pub guest: &'a str,
    /// The home side.
    pub home: &'a str,
    /// Runs of guests and home side.
    pub score: [u16; 2],
    /// How it stands, as [`GameReport::state`].
    pub state: String,
    /// Games kept for the same fixture that end differently.
    pub rivals: Vec<String>,
    /// Whether it is at its end.
    pub over: bool,
    /// How it ended, by name.
    pub ending: Option<&'static str>,
    /// The half-inning, as "Top of 3rd".
    pub inning: &'a str,
    /// Outs in it.
    pub outs: u8,
    /// Where it is or how it ended, in words.
    pub place: String,
    /// Whether it is practice.
    pub practice: bool,
    /// False when the organiser took it out.
    pub counts: bool,
    /// The organiser's decision in a sentence.
    pub decided: Option<&'a str>,
    /// The reason in the organiser's words.
    pub decided_because: Option<&'a str>,
}

impl<'a> From<&'a GameReport> for Game<'a> {
    fn from(report: &'a GameReport) -> Self {
        Self {
            game: report.game.to_string(),
            number: report.fixture,
            title: report.title.as_deref(),
            court: report.court.as_deref(),
            guest: &report.teams.guest,
            home: &report.teams.home,
            score: [report.score.guest, report.score.home],
            state: report.state(),
            rivals: report.rivals.iter().map(ToString::to_string).collect(),
            over: report.ending.is_some(),
            ending: report.ending.map(|e| e.name()),
            inning: &report.inning,
            outs: report.outs,
            place: report.place(),
            practice: report.practice,
            counts: report.counts(),
            decided: report.ruled.as_ref().map(|r| r.sentence.as_str()),
            decided_because: report.ruled.as_ref().map(|r| r.reason.as_str()),
        }
    }
}

/// A game in full.
#[derive(Clone, Debug, Serialize)]
pub struct WholeGame<'a> {
    /// The game in short.
    #[serde(flatten)]
    pub game: Game<'a>,
    /// Which record is shown, whether it counts and why.
    pub basis: &'a str,
    /// Why it stands as it does.
    pub reasons: &'a [String],
    /// What does not agree with the charter.
    pub objections: &'a [String],
    /// Runs by half-inning.
    pub line: &'a [HalfInningTotals],
    /// Totals of the players, guests first.
    pub players: Vec<Player<'a>>,
}

/// A player's totals in a game.
#[derive(Clone, Debug, Serialize)]
pub struct Player<'a> {
    /// The side.
    pub side: Side,
    /// The shirt.
    pub number: u8,
    /// The name as the charter's privacy setting allows.
    pub name: String,
    /// The totals.
    #[serde(flatten)]
    pub totals: &'a PlayerTotals,
}

impl<'a> WholeGame<'a> {
    /// The game, its players named as the charter's privacy setting allows.
    #[must_use]
    pub fn new(charter: Option<&Charter>, report: &'a GameReport) -> Self {
        let player = |side: Side, shirt: Shirt, totals: &'a PlayerTotals| Player {
            side,
            number: shirt.get(),
            name: shown(charter, &report.teams[side], shirt),
            totals,
        };
        let players = Side::BOTH.into_iter().flat_map(|side| {
            let all = report.sheet.players()[side].iter();
            all.map(move |(shirt, totals)| player(side, *shirt, totals))
        });
        Self {
            game: report.into(),
            basis: &report.basis,
            reasons: &report.reasons,
            objections: &report.objections,
            line: report.line.halves(),
            players: players.collect(),
        }
    }
}

/// `standings.json`.
#[derive(Clone, Debug, Serialize)]
pub struct Standings<'a> {
    /// The tables.
    pub tables: Vec<Table<'a>>,
    /// What does not fit together, in sentences.
    pub problems: &'a [String],
}

/// A table of the round robin or of a pool.
#[derive(Clone, Debug, Serialize)]
pub struct Table<'a> {
    /// The stage.
    pub stage: String,
    /// `complete`, `provisional` while one of its games is not settled, or
    /// `so far`.
    pub state: &'static str,
    /// Whether it is final.
    pub complete: bool,
    /// Its rows, best first.
    pub rows: Vec<Row<'a>>,
    /// How the order came about, in sentences.
    pub steps: Vec<String>,
}

/// A row of a table.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Row<'a> {
    /// The place, from 1.
    pub place: usize,
    /// Whether another team has it too.
    pub shared: bool,
    /// The team.
    pub team: &'a str,
    /// Games won.
    pub wins: u32,
    /// Games lost.
    pub losses: u32,
    /// Games without a winner.
    pub ties: u32,
    /// Runs scored.
    pub scored: u64,
    /// Runs allowed.
    pub allowed: u64,
}

/// `schedule.json`.
#[derive(Clone, Debug, Serialize)]
pub struct Schedule<'a> {
    /// The fixtures.
    pub games: Vec<Fixture<'a>>,
}

/// A fixture with how far it is.
#[derive(Clone, Debug, Serialize)]
pub struct Fixture<'a> {
    /// Its number.
    pub number: u32,
    /// What it is.
    pub title: &'a str,
    /// The court.
    pub court: &'a str,
    /// When it begins (milliseconds since 1970, universal time).
    pub starts: u64,
    /// The guests, or what they are played for.
    pub guest: Option<String>,
    /// The home side, or what it is played for.
    pub home: Option<String>,
    /// `waiting`, `ready`, `won`, `not needed` or `not played`; null where the
    /// schedule says nothing.
    pub state: Option<&'static str>,
    /// The winner.
    pub winner: Option<&'a str>,
}

/// `leaders.json`.
#[derive(Clone, Debug, Serialize)]
pub struct Leaders<'a> {
    /// The lists.
    pub categories: Vec<Category<'a>>,
}

/// One list of leaders.
#[derive(Clone, Debug, Serialize)]
pub struct Category<'a> {
    /// What they are ranked by.
    pub category: String,
    /// What one needs to be ranked, in a sentence.
    pub needs: Option<String>,
    /// The leaders, best first.
    pub leaders: Vec<LeadingPlayer<'a>>,
}

/// A player on a list.
#[derive(Clone, Debug, Serialize)]
pub struct LeadingPlayer<'a> {
    /// The place, from 1.
    pub place: usize,
    /// Whether another player has it too.
    pub shared: bool,
    /// The team.
    pub team: &'a str,
    /// The shirt.
    pub number: u8,
    /// The name as the charter's privacy setting allows.
    pub name: String,
    /// The value as printed.
    pub value: String,
}

impl<'a> PublishedEvent<'a> {
    /// The games.
    #[must_use]
    pub fn games_json(&self) -> Games<'a> {
        Games {
            games: self.games.iter().map(|g| Game::from(*g)).collect(),
        }
    }

    /// The tables.
    #[must_use]
    pub fn standings_json(&self) -> Standings<'a> {
        let mut tables = Vec::new();
        if let Some((schedule, results)) = self.arranged() {
            let entrants = schedule.entrants();
            tables.extend(results.tables().iter().map(|t| {
                let rows = t.table.rows().iter().map(|row| Row {
                    place: row.place,
                    shared: row.shared,
                    team: entrants.name(row.team),
                    wins: row.record.wins,
                    losses: row.record.losses,
                    ties: row.record.ties,
                    scored: row.scored,
                    allowed: row.allowed,
                });
                Table {
                    stage: t.stage.to_string(),
                    state: t.state(),
                    complete: t.complete,
                    rows: rows.collect(),
                    steps: t.table.words(entrants),
                }
            }));
        }
        Standings {
            tables,
            problems: self.report.map(EventReport::problems).unwrap_or_default(),
        }
    }

    /// The schedule.
    #[must_use]
    pub fn schedule_json(&self) -> Schedule<'a> {
        let fixtures = self.charter.map(|c| c.fixtures.as_slice());
        let fixture = |f: &'a Scheduled| {
            let planned = PlannedFixture::new(self.report, f);
            let [guest, home] = planned.sides;
            Fixture {
                number: f.number,
                title: &f.title,
                court: &f.court,
                starts: f.starts,
                guest,
                home,
                state: planned.state.map(GameState::name),
                winner: planned.winner,
            }
        };
        Schedule {
            games: fixtures.unwrap_or_default().iter().map(fixture).collect(),
        }
    }

    /// The leaders.
    #[must_use]
    pub fn leaders_json(&self) -> Leaders<'a> {
        let schedule = self.report.and_then(EventReport::schedule);
        let player = |l: &Leader| {
            let team = schedule.map_or("", |s| s.entrants().name(l.team));
            LeadingPlayer {
                place: l.place,
                shared: l.shared,
                team,
                number: l.shirt.get(),
                name: shown(self.charter, team, l.shirt),
                value: l.value.to_string(),
            }
        };
        let least = self.minimums();
        let lists = self.leaders();
        let list = lists.iter().map(|(category, list)| Category {
            category: category.to_string(),
            needs: least.sentence(*category),
            leaders: list.iter().map(player).collect(),
        });
        Leaders {
            categories: list.collect(),
        }
    }
}
