//! An event's results as they are given out: JSON, CSV and iCalendar, byte for
//! byte the same from the phone of an organiser and from a collector.
//!
//! Units of JSON: times in milliseconds since 1970 (universal time) or as the
//! clock on the wall shows them; innings and counts as whole numbers. Names of
//! players stand as the charter's privacy setting allows.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use serde_json::{Value, json};

use super::{EventReport, GameReport, csv};
use crate::charter::{Charter, Privacy};
use crate::competition::bracket::GameState;
use crate::competition::calendar::{CalendarHead, Zone, calendar};
use crate::competition::leaders::{Category, Leader, Minimums, leaders};
use crate::competition::results::Results;
use crate::competition::schedule::Schedule;
use crate::rules::Edition;
use crate::team::{Player, Shirt, Side};

/// One file of results.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct File {
    /// Its name.
    pub name: String,
    /// Its media type.
    pub kind: &'static str,
    /// Its content.
    pub content: String,
}

const CSV: &str = "text/csv; charset=utf-8; header=present";
const JSON: &str = "application/json";
const CALENDAR: &str = "text/calendar; charset=utf-8";

/// An event as it is given out.
#[derive(Clone, Copy, Debug)]
pub struct Published<'a> {
    /// What names the event: the hash of its first charter in hexadecimal, or
    /// another name that is unique in the world.
    pub event: &'a str,
    /// Its charter in force, where it has one.
    pub charter: Option<&'a Charter>,
    /// Its games, in the order in which they are to be listed.
    pub games: &'a [&'a GameReport],
    /// Tables, knock-out and leaders, where there is a charter.
    pub report: Option<&'a EventReport>,
}

/// A player as everyone may see them; without a charter the number only.
#[must_use]
pub fn shown(charter: Option<&Charter>, team: &str, shirt: Shirt) -> String {
    let listed = charter.and_then(|c| c.team(team)?.roster.iter().find(|p| p.shirt == shirt));
    let numbered = Player::numbered(shirt);
    let privacy = charter.map_or(Privacy::Numbers, |c| c.privacy);
    privacy.shown(listed.unwrap_or(&numbered))
}

impl<'a> Published<'a> {
    fn arranged(&self) -> Option<(&'a Schedule, &'a Results)> {
        let report = self.report?;
        Some((report.schedule()?, report.results()?))
    }

    /// What the competition asks of a player who is to lead by an average.
    #[must_use]
    pub fn minimums(&self) -> Minimums {
        let edition = self
            .charter
            .and_then(|c| c.edition_of(None)?.edition().ok());
        Minimums::of(&edition.unwrap_or_else(Edition::federation))
    }

    /// The leaders: the best five of each category, with the
    /// [minimums](Self::minimums) for an average.
    #[must_use]
    pub fn leaders(&self) -> Vec<(Category, Vec<Leader>)> {
        let players = self.report.map(EventReport::players).unwrap_or_default();
        let least = self.minimums();
        let list = |c| leaders(players, c, least, 5).ok().map(|l| (c, l));
        Category::ALL.into_iter().filter_map(list).collect()
    }

    /// The names of all files that there are.
    #[must_use]
    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = ["games.csv", "games.json"].map(String::from).to_vec();
        if let Some((_, results)) = self.arranged() {
            names.extend((1..=results.tables().len()).map(|n| format!("standings-{n}.csv")));
            names.extend(
                [
                    "standings.json",
                    "schedule.csv",
                    "schedule.ics",
                    "schedule.json",
                    "leaders.csv",
                    "leaders.json",
                ]
                .map(String::from),
            );
        }
        names
    }

    /// A file by name; `None` when there is none.
    #[must_use]
    pub fn file(&self, name: &str) -> Option<File> {
        let (kind, content) = match name {
            "games.json" => (JSON, self.games_json().to_string()),
            "games.csv" => (CSV, csv::games(self.games)),
            "standings.json" => (JSON, self.standings_json().to_string()),
            "schedule.json" => (JSON, self.schedule_json().to_string()),
            "leaders.json" => (JSON, self.leaders_json().to_string()),
            "schedule.csv" => {
                let (schedule, results) = self.arranged()?;
                (CSV, csv::schedule(schedule, Some(results.progress())))
            }
            "leaders.csv" => {
                let (schedule, _) = self.arranged()?;
                (CSV, csv::leaders(&self.leaders(), schedule.entrants()))
            }
            "schedule.ics" => (CALENDAR, self.calendar()?),
            table => {
                let number = table.strip_prefix("standings-")?.strip_suffix(".csv")?;
                // Exactly as listed: no sign, no leading zero.
                let at = number.parse::<usize>().ok()?.checked_sub(1)?;
                let (schedule, results) = self.arranged()?;
                let table = results.tables().get(at)?;
                (CSV, csv::standings(&table.table, schedule.entrants()))
            }
        };
        Some(File {
            name: name.into(),
            kind,
            content,
        })
    }

    /// The games of fixtures that are decided: they name the sides of others.
    fn decided(&self) -> impl Iterator<Item = &'a GameReport> {
        let games = self.games.iter().copied();
        games.filter(|g| g.fixture.is_some() && g.standing.is_some())
    }

    /// How often the schedule was revised (RFC 5545 3.8.7.4): by each version of
    /// the charter, and by each game or decision that may name a side of another.
    /// A version may have 65 535 of those.
    fn revision(&self, charter: &Charter) -> u32 {
        let rulings = |g: &&GameReport| usize::from(g.ruled.is_some()) + g.drawn.len();
        let news = self.decided().count() + self.games.iter().map(rulings).sum::<usize>();
        let news = u32::try_from(news).unwrap_or(u32::MAX).min(0xffff);
        let versions = charter.version.saturating_sub(1).min(0x7fff);
        (versions << 16) | news
    }

    /// When it was last revised (3.8.7.2; seconds since 1970): the beginning of
    /// the last game decided, as the phone's clock had it, else of the first
    /// fixture. A clock that is years wrong does not count. The same records
    /// always give the same text.
    fn revised(&self, charter: &Charter) -> Option<i64> {
        const YEAR: u64 = 366 * 24 * 3600 * 1000;
        let first = charter.fixtures.first()?.starts;
        let of_time = |at: &u64| (first..first.saturating_add(YEAR)).contains(at);
        let last = self.decided().map(|g| g.opened_ms).filter(of_time).max();
        i64::try_from(last.unwrap_or(first) / 1000).ok()
    }

    fn calendar(&self) -> Option<String> {
        let charter = self.charter?;
        let (schedule, results) = self.arranged()?;
        let id = format!("{}.chalkbook.invalid", self.event);
        let head = CalendarHead {
            name: &charter.event,
            // The event's own id is unique in the world.
            id: &id,
            first_day: charter.first_day()?,
            zone: Zone::Utc {
                ahead: charter.arranged.as_ref()?.ahead,
            },
            stamp: self.revised(charter)?,
            sequence: self.revision(charter),
        };
        calendar(schedule, Some(results.progress()), &head).ok()
    }

    /// The games: `games`, each as [`game_json`].
    #[must_use]
    pub fn games_json(&self) -> Value {
        let games: Vec<Value> = self.games.iter().map(|g| game_json(g)).collect();
        json!({ "games": games })
    }

    /// The tables: `tables` with `stage`, `complete`, `rows` and `steps` in words;
    /// `problems`.
    #[must_use]
    pub fn standings_json(&self) -> Value {
        let report = self.report;
        let tables: Vec<Value> = report
            .and_then(|r| Some((r.schedule()?, r.results()?)))
            .into_iter()
            .flat_map(|(schedule, results)| {
                let entrants = schedule.entrants();
                results.tables().iter().map(move |t| {
                    let rows: Vec<Value> = t
                        .table
                        .rows()
                        .iter()
                        .map(|row| {
                            json!({
                                "place": row.place,
                                "shared": row.shared,
                                "team": entrants.name(row.team),
                                "wins": row.record.wins,
                                "losses": row.record.losses,
                                "ties": row.record.ties,
                                "scored": row.scored,
                                "allowed": row.allowed,
                            })
                        })
                        .collect();
                    json!({
                        "stage": t.stage.to_string(),
                        "complete": t.complete,
                        "rows": rows,
                        "steps": t.table.words(entrants),
                    })
                })
            })
            .collect();
        json!({ "tables": tables, "problems": report.map(EventReport::problems).unwrap_or_default() })
    }

    /// The schedule: `games` with `number`, `title`, `court`, `starts`, `guest`,
    /// `home`, `state` (`waiting`, `ready`, `won`,
    /// `not needed`, `not played`), `winner`.
    #[must_use]
    pub fn schedule_json(&self) -> Value {
        let arranged = self.arranged().map(|(s, r)| (s, r.progress()));
        let fixtures = self
            .charter
            .map(|c: &Charter| c.fixtures.as_slice())
            .unwrap_or_default();
        let games: Vec<Value> = fixtures
            .iter()
            .map(|f| {
                let found = arranged.and_then(|(schedule, progress)| {
                    let at = usize::try_from(f.number).ok()?.checked_sub(1)?;
                    let game = schedule.games().get(at)?;
                    Some((schedule, progress, game, progress.games().get(at)?))
                });
                let sides = found.map(|(schedule, progress, game, _)| {
                    [game.guest, game.home].map(|s| progress.side_name(schedule, s))
                });
                let [guest, home] =
                    sides.map_or([f.guest.clone(), f.home.clone()], |s| s.map(Some));
                let (state, winner) = match found {
                    None => (None, None),
                    Some((.., GameState::Waiting)) => (Some("waiting"), None),
                    Some((.., GameState::Ready)) => (Some("ready"), None),
                    Some((.., GameState::NotNeeded)) => (Some("not needed"), None),
                    Some((.., GameState::NotPlayed)) => (Some("not played"), None),
                    Some((schedule, .., GameState::Won(team))) => {
                        (Some("won"), Some(schedule.entrants().name(*team)))
                    }
                };
                json!({
                    "number": f.number,
                    "title": f.title,
                    "court": f.court,
                    "starts": f.starts,
                    "guest": guest,
                    "home": home,
                    "state": state,
                    "winner": winner,
                })
            })
            .collect();
        json!({ "games": games })
    }

    /// The leaders: `categories` with `category`, `needs` (a sentence, or null
    /// where everyone is ranked) and `leaders`.
    #[must_use]
    pub fn leaders_json(&self) -> Value {
        let schedule = self.report.and_then(EventReport::schedule);
        let team = |l: &Leader| schedule.map_or("", |s| s.entrants().name(l.team));
        let lists: Vec<Value> = self
            .leaders()
            .iter()
            .map(|(category, list)| {
                let list: Vec<Value> = list
                    .iter()
                    .map(|l| {
                        json!({
                            "place": l.place,
                            "shared": l.shared,
                            "team": team(l),
                            "number": l.shirt.get(),
                            "name": shown(self.charter, team(l), l.shirt),
                            "value": l.value.to_string(),
                        })
                    })
                    .collect();
                json!({
                    "category": category.to_string(),
                    "needs": self.minimums().sentence(*category),
                    "leaders": list,
                })
            })
            .collect();
        json!({ "categories": lists })
    }
}

/// A game in short: `game` (id), `number` (of its fixture), `title`, `court`,
/// `guest`, `home`, `score` (guest, home), `state`, `over`, `ending`, `inning`,
/// `outs`, `place` (where it is or how it ended, in words), `practice`, `counts` (false when the organiser took it out), `decided` (the
/// organiser's decision in a sentence, or null), `decided_because` (the reason in
/// the organiser's words, or null).
#[must_use]
pub fn game_json(report: &GameReport) -> Value {
    json!({
        "game": report.game.to_string(),
        "number": report.fixture,
        "title": report.title,
        "court": report.court,
        "guest": report.teams.guest,
        "home": report.teams.home,
        "score": [report.score.guest, report.score.home],
        "state": report.verdict.to_string(),
        "over": report.ending.is_some(),
        "ending": report.ending.map(|e| e.name()),
        "inning": report.inning,
        "outs": report.outs,
        "place": report.place(),
        "practice": report.practice,
        "counts": report.counts(),
        "decided": report.ruled.as_ref().map(|r| r.sentence.as_str()),
        "decided_because": report.ruled.as_ref().map(|r| r.reason.as_str()),
    })
}

/// A game in full: as [`game_json`], with `basis` (which record is shown, whether
/// it counts and why), `reasons`, `objections` (against the
/// charter), `line` (runs by half-inning) and `players` (totals by side).
#[must_use]
pub fn whole_game_json(charter: Option<&Charter>, report: &GameReport) -> Value {
    let mut whole = game_json(report);
    let line: Vec<Value> = report
        .line
        .halves()
        .iter()
        .map(|h| {
            json!({
                "inning": h.inning,
                "side": side(h.side),
                "runs": h.runs,
                "hits": h.hits,
                "errors": h.errors,
                "left": h.left,
                "over": h.over,
            })
        })
        .collect();
    let players: Vec<Value> = Side::BOTH
        .into_iter()
        .flat_map(|s| {
            report.sheet.players()[s]
                .iter()
                .map(move |(shirt, t)| (s, shirt, t))
        })
        .map(|(s, shirt, t)| {
            json!({
                "side": side(s),
                "number": shirt.get(),
                "name": shown(charter, &report.teams[s], *shirt),
                "turns": t.turns,
                "at_bats": t.at_bats,
                "runs": t.runs,
                "hits": t.hits,
                "doubles": t.doubles,
                "triples": t.triples,
                "home_runs": t.home_runs,
                "batted_in": t.batted_in,
                "putouts": t.putouts,
                "assists": t.assists,
                "errors": t.errors,
            })
        })
        .collect();
    if let Some(fields) = whole.as_object_mut() {
        fields.insert("basis".into(), json!(report.basis));
        fields.insert("reasons".into(), json!(report.reasons));
        fields.insert("objections".into(), json!(report.objections));
        fields.insert("line".into(), line.into());
        fields.insert("players".into(), players.into());
    }
    whole
}

const fn side(side: Side) -> &'static str {
    match side {
        Side::Guest => "guest",
        Side::Home => "home",
    }
}
