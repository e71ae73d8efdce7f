//! A pool's games in, its table and steps out.

use engine::competition::standings::{
    Batting, Criterion, GameResult, LadderStep, SideLine, Standing, Table, TableRules,
};
use engine::competition::{Entrant, Entrants};
use engine::report::csv;
use engine::rules::Edition;
use engine::team::{BySide, Side};
use serde::Deserialize;
use serde_json::{Value, json};

use crate::refused;

/// A pool as `check.py` writes it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pool {
    teams: Vec<String>,
    games: Vec<Game>,
    lot: Vec<u16>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Game {
    number: u32,
    guest: u16,
    home: u16,
    standing: State,
    rules: Rules,
    lines: Option<[Line; 2]>,
}

/// What the rules of a game say.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Rules {
    innings: u8,
    forfeit: u8,
    unsettled: String,
    tied: String,
}

impl Rules {
    fn read(&self) -> Result<TableRules, String> {
        let (innings, forfeit) = (self.innings.to_string(), self.forfeit.to_string());
        let edition = Edition::federation().with_all([
            ("innings", innings.as_str()),
            ("forfeit-score", &forfeit),
            ("unsettled-games", &self.unsettled),
            ("tied-games", &self.tied),
        ]);
        edition
            .as_ref()
            .map(TableRules::of)
            .map_err(ToString::to_string)
    }
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum State {
    Final,
    Tied,
    Unsettled,
    ForfeitByGuest,
    ForfeitByHome,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(deny_unknown_fields)]
struct Line {
    runs: u16,
    outs: u16,
    earned: Option<u16>,
    batting: Option<[u16; 2]>,
}

impl Line {
    fn read(self) -> SideLine {
        SideLine {
            runs: self.runs,
            outs: self.outs,
            earned: self.earned,
            batting: self
                .batting
                .map(|[at_bats, hits]| Batting { at_bats, hits }),
        }
    }
}

impl Game {
    fn read(&self) -> Result<GameResult, String> {
        let lines = || {
            self.lines
                .map(|[guest, home]| BySide {
                    guest: guest.read(),
                    home: home.read(),
                })
                .ok_or(format!("game {} has no lines", self.number))
        };
        Ok(GameResult {
            number: self.number,
            guest: Entrant::at(self.guest),
            home: Entrant::at(self.home),
            standing: match self.standing {
                State::Final => Standing::Final(lines()?),
                State::Tied => Standing::Tied(lines()?),
                State::Unsettled => Standing::Unsettled(lines()?),
                State::ForfeitByGuest => Standing::Forfeit(Side::Guest),
                State::ForfeitByHome => Standing::Forfeit(Side::Home),
            },
            rules: self.rules.read()?,
        })
    }
}

impl Pool {
    /// The table, or what was refused.
    pub fn answer(self) -> Value {
        let entrants = match Entrants::new(&self.teams) {
            Ok(entrants) => entrants,
            Err(problems) => return refused(&problems),
        };
        let games = match self
            .games
            .iter()
            .map(Game::read)
            .collect::<Result<Vec<_>, _>>()
        {
            Ok(games) => games,
            Err(error) => return refused(&[error]),
        };
        let lot: Vec<Entrant> = self.lot.iter().map(|at| Entrant::at(*at)).collect();
        let group: Vec<Entrant> = entrants.iter().collect();
        match Table::of(&entrants, &group, &games, &lot) {
            Ok(table) => written(&table, &entrants),
            Err(problems) => refused(&problems),
        }
    }
}

fn seats(teams: &[Entrant]) -> Vec<usize> {
    teams.iter().map(|team| team.index()).collect()
}

fn name(criterion: Criterion) -> &'static str {
    match criterion {
        Criterion::WinsLosses => "wins-losses",
        Criterion::AmongTied => "among-tied",
        Criterion::Balance => "balance",
        Criterion::EarnedBalance => "earned-balance",
        Criterion::BattingAverage => "batting-average",
        Criterion::Lot => "lot",
    }
}

fn step(step: &LadderStep, entrants: &Entrants) -> Value {
    let groups: Vec<_> = step.groups.iter().map(|group| seats(group)).collect();
    let values: Vec<_> = step
        .values
        .iter()
        .map(|(team, value)| json!([team.index(), value.rank().map(|rank| rank.to_string())]))
        .collect();
    json!({
        "criterion": name(step.criterion),
        "among": seats(&step.among),
        "groups": groups,
        "comparable": step.gap.is_none(),
        "values": values,
        "words": step.words(entrants),
    })
}

fn written(table: &Table, entrants: &Entrants) -> Value {
    let rows: Vec<_> = table
        .rows()
        .iter()
        .map(|row| {
            json!({
                "place": row.place,
                "shared": row.shared,
                "team": row.team.index(),
                "record": [row.record.wins, row.record.losses, row.record.ties],
                "average": row.share().map(|share| share.average()),
                "scored": row.scored,
                "allowed": row.allowed,
            })
        })
        .collect();
    let steps: Vec<_> = table.steps().iter().map(|s| step(s, entrants)).collect();
    json!({
        "rows": rows,
        "steps": steps,
        "left_out": table.left_out(),
        "csv": csv::standings(table, entrants),
    })
}
