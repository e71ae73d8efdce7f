//! Results as JSON. Units: times in milliseconds since 1970 (universal time) or
//! as the clock on the wall shows them; innings and counts as whole numbers.
//! Names of players stand as the charter's privacy setting allows.

use engine::competition::bracket::GameState;
use engine::competition::day::GameReport;
use engine::competition::leaders::{Category, Leader};
use engine::log::Charter;
use engine::team::Side;
use serde_json::{Value, json};

use crate::event::{EventId, Events};
use crate::pages::shown;
use crate::standings::View;

/// An event: `event`, `name`, `date`, `place`, `version`, `charter` (hash of the
/// version in force), `privacy`, `open`.
#[must_use]
pub fn event(events: &Events, id: EventId) -> Value {
    let signed = events.charter(id);
    let charter = signed.map(|c| c.charter());
    json!({
        "event": id.to_string(),
        "name": events.name(id),
        "date": charter.map(|c| &c.date),
        "place": charter.map(|c| &c.place),
        "version": charter.map(|c| c.version),
        "charter": signed.map(|c| c.hash().to_string()),
        "privacy": match events.privacy(id) {
            engine::log::Privacy::Names => "names",
            engine::log::Privacy::Initials => "initials",
            engine::log::Privacy::Numbers => "numbers",
        },
        "open": charter.is_none_or(|c| c.open),
    })
}

/// A game in short: `game` (id), `number` (of its fixture), `title`, `court`,
/// `guest`, `home`, `score` (guest, home), `state`, `over`, `ending`, `inning`,
/// `outs`, `practice`.
#[must_use]
pub fn game(report: &GameReport) -> Value {
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
        "practice": report.practice,
    })
}

/// A game in full: as [`game`], with `reasons`, `line` (runs by half-inning) and
/// `players` (totals by side).
#[must_use]
pub fn whole_game(view: &View, report: &GameReport) -> Value {
    let mut whole = game(report);
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
                "name": shown(view.charter(), &report.teams[s], *shirt),
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
        fields.insert("reasons".into(), json!(report.reasons));
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

/// The tables: `tables` with `stage`, `complete`, `rows` and `steps` in words;
/// `problems`.
#[must_use]
pub fn standings(view: &View) -> Value {
    let report = view.report.as_ref();
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
    json!({ "tables": tables, "problems": report.map(|r| r.problems()).unwrap_or_default() })
}

/// The schedule: `games` with `number`, `title`, `court`, `starts`, `guest`,
/// `home`, `state` (`waiting`, `ready`, `won`, `not needed`), `winner`.
#[must_use]
pub fn schedule(view: &View) -> Value {
    let report = view.report.as_ref();
    let arranged = report.and_then(|r| Some((r.schedule()?, r.results()?.progress())));
    let fixtures = view
        .charter()
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
            let [guest, home] = sides.map_or([f.guest.clone(), f.home.clone()], |s| s.map(Some));
            let (state, winner) = match found {
                None => (None, None),
                Some((.., GameState::Waiting)) => (Some("waiting"), None),
                Some((.., GameState::Ready)) => (Some("ready"), None),
                Some((.., GameState::NotNeeded)) => (Some("not needed"), None),
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

/// The leaders: `categories` with `category` and `leaders`.
#[must_use]
pub fn leaders(view: &View, lists: &[(Category, Vec<Leader>)]) -> Value {
    let schedule = view.report.as_ref().and_then(|r| r.schedule());
    let team = |l: &Leader| schedule.map_or("", |s| s.entrants().name(l.team));
    let lists: Vec<Value> = lists
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
                        "name": shown(view.charter(), team(l), l.shirt),
                        "value": l.value.to_string(),
                    })
                })
                .collect();
            json!({ "category": category.to_string(), "leaders": list })
        })
        .collect();
    json!({ "categories": lists })
}
