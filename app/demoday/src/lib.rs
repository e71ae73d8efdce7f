//! A whole invented event: eight teams, two courts, two pools and finals, two
//! officials a game, their slips, one log signed twice and one file tampered
//! with. Played through the real engine and signed with real keys. The same
//! number gives the same event, byte for byte.
//!
//! Everything in it is made up. The keys come from the number and are secret to
//! nobody: they must never be used for a real event.

mod names;
mod official;
mod play;

use std::collections::BTreeMap;

use engine::charter::{Arrangement, Charter, Privacy, SignedCharter, Team};
use engine::competition::schedule::{Clock, Format, PoolDraw, Window};
use engine::log::{
    Author, Body, CoSign, GameMark, GameRecord, LogFile, Role, SecretKey, Setup, Verified, split,
};
use engine::report::{Authority, EventReport, GameReport, KeptRecord};
use engine::rules::Edition;
use engine::team::{BySide, Card, Player, Position, Shirt};
use fastrand::Rng;

pub use official::{Official, Pen};
pub use play::likely_call;

/// The event with everything that was recorded.
#[derive(Debug)]
pub struct DemoDay {
    /// The event's charter, signed.
    pub charter: SignedCharter<Verified>,
    /// Its organiser's key, to sign later versions.
    pub organiser: SecretKey,
    /// The games, in the order in which they were played.
    pub games: Vec<DemoGame>,
    /// A log file of which one byte was changed after it was signed.
    pub tampered: Vec<u8>,
    /// The fixture whose file that is.
    pub tampered_fixture: u32,
}

/// One game with its records.
#[derive(Clone, Debug)]
pub struct DemoGame {
    /// Number of its fixture.
    pub fixture: u32,
    /// What was unusual about it.
    pub story: Story,
    /// The records that the collector is to receive.
    pub records: Vec<GameRecord>,
    /// The other line of a record that was signed twice.
    pub second_line: Option<GameRecord>,
}

/// What is unusual about a game.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Story {
    /// Nothing: both records agree.
    Plain,
    /// A slip taken back at once.
    Undone,
    /// A slip amended later.
    Amended,
    /// A slip found by comparing, settled by a ruling that both recorded.
    Settled,
    /// A difference left open.
    LeftOpen,
    /// Only the umpire kept a record.
    Alone,
    /// The scorer's phone was set back: two lines from one point.
    Forked,
}

impl Story {
    /// The stories of pool games, by number of the fixture; every other game is
    /// plain.
    #[must_use]
    pub const fn of(fixture: u32) -> Self {
        match fixture {
            2 => Self::Undone,
            3 => Self::Amended,
            5 => Self::Settled,
            7 => Self::LeftOpen,
            8 => Self::Alone,
            10 => Self::Forked,
            _ => Self::Plain,
        }
    }
}

/// The secret key with this number of an event.
#[must_use]
pub fn key(seed: u64, number: u8) -> SecretKey {
    let mut bytes = [0; 32];
    Rng::with_seed(seed ^ (u64::from(number) << 56) ^ 0x0005_7a9d_1ce5).fill(&mut bytes);
    SecretKey::from_random(&bytes)
}

fn author(seed: u64, number: u8, name: &str, role: Role) -> Author {
    Author::new(key(seed, number).public(), name, role)
}

/// Unsettled games count as scored, so that the demo's finals can be played
/// whatever was left open in its pools.
fn edition() -> Edition {
    let plain = Edition::federation();
    plain
        .clone()
        .with("unsettled-games", "as-scored")
        .unwrap_or(plain)
}

fn teams(rng: &mut Rng) -> Vec<Team> {
    let team = |(at, name): (usize, &&str)| {
        let first = u8::try_from(at).unwrap_or(0) * 10 + 1;
        let mut roster: Vec<Player> = Vec::new();
        for shirt in (first..first + 8).filter_map(Shirt::new) {
            let name = names::player(rng, &roster);
            roster.push(Player::new(shirt, name));
        }
        Team {
            name: (*name).to_owned(),
            roster,
        }
    };
    let mut team = team;
    names::TEAMS.iter().enumerate().map(&mut team).collect()
}

/// Where it is played.
const COURTS: [&str; 2] = ["Fish market", "Slipway"];

/// The charter of the demo event, not signed yet.
#[must_use]
pub fn charter(seed: u64) -> Charter {
    let mut rng = Rng::with_seed(seed);
    let plain = Charter {
        place: "The old fish market".to_owned(),
        editions: vec![(&edition()).into()],
        teams: teams(&mut rng),
        officials: vec![
            author(seed, 1, "Umpire, fish market", Role::Umpire),
            author(seed, 2, "Scorer, fish market", Role::Scorer),
            author(seed, 3, "Umpire, slipway", Role::Umpire),
            author(seed, 4, "Scorer, slipway", Role::Scorer),
        ],
        privacy: Privacy::Names,
        open: true,
        arranged: Some(Arrangement {
            format: Format::PoolsThenFinals {
                pools: PoolDraw::Snake(2),
                through: 2,
                third_place: true,
            },
            courts: COURTS.map(str::to_owned).into(),
            windows: vec![Window {
                opens: Clock(9 * 60),
                closes: Clock(19 * 60),
            }],
            game: 30,
            turnaround: 5,
            rest: 20,
            ahead: 120,
        }),
        ..Charter::new(
            "Harbour Day",
            "2026-06-13",
            author(seed, 9, "Harbour master", Role::Organiser),
        )
    };
    let kept = plain.clone();
    plain.with_fixtures().unwrap_or(kept)
}

/// Why a demo day could not be played: a fault of the engine or of this
/// generator, never of the number.
pub type Fault = Box<dyn std::error::Error + Send + Sync>;

fn fault(what: impl std::fmt::Display) -> Fault {
    what.to_string().into()
}

/// Plays the whole day.
///
/// # Errors
/// When the engine refuses what it must take.
pub fn play_day(seed: u64) -> Result<DemoDay, Fault> {
    let organiser = key(seed, 9);
    let unsigned = charter(seed).draft().map_err(|wrong| {
        fault(
            wrong
                .iter()
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .join(" "),
        )
    })?;
    let charter = unsigned.sign(&organiser).map_err(fault)?;
    let pen = |n: u8| key(seed, n);
    let games = at_once(play(&charter, seed, pen, u64::MAX))?;
    let tampered_fixture = 4;
    let tampered = tampered(&games, tampered_fixture);
    Ok(DemoDay {
        charter,
        organiser,
        games,
        tampered,
        tampered_fixture,
    })
}

/// Plays the games of a charter made by [`charter`] that have begun at a time
/// (ms since 1970), those then under way as far as they have come. Signed with
/// what `pen` gives for each official, by number in the charter's list from 1.
///
/// # Errors
/// When the engine refuses what it must take, or nothing is signed.
pub async fn play<P: Pen>(
    charter: &SignedCharter<Verified>,
    seed: u64,
    pen: impl Fn(u8) -> P,
    until: u64,
) -> Result<Vec<DemoGame>, Fault> {
    let listed = charter.charter();
    let mut officials = Vec::new();
    for (n, author) in (1..).zip(&listed.officials) {
        let author = author.clone();
        officials.push(Official {
            author,
            pen: pen(n),
        });
    }
    let mut games: Vec<DemoGame> = Vec::new();
    let mut reports: Vec<GameReport> = Vec::new();
    let mut rng = Rng::with_seed(seed.wrapping_add(1));
    for fixture in listed.fixtures.iter().filter(|f| f.starts < until) {
        let Ok(teams) = sides(charter, &reports, fixture.number) else {
            // Its teams follow from games that go on.
            continue;
        };
        let cards = BySide {
            guest: card(listed, &teams.guest)?,
            home: card(listed, &teams.home)?,
        };
        let mark = GameMark::scheduled(&charter.hash(), fixture.number, 1);
        let setup = Setup {
            charter: Some(charter.hash()),
            fixture_number: Some(fixture.number),
            title: Some(fixture.title.clone()),
            court: Some(fixture.court.clone()),
            starts: Some(fixture.starts),
            demo: listed.practice,
            ..Setup::new(mark, cards, &edition())
        };
        let pair = match officials.as_slice() {
            [a, b, _, _] if fixture.court == COURTS[0] => [a, b],
            [_, _, c, d] => [c, d],
            _ => return Err(fault("the charter lists four officials")),
        };
        let game = play::game(&mut rng, &setup, pair, fixture.number, until).await?;
        reports.extend(report(&game, listed));
        games.push(game);
    }
    Ok(games)
}

/// The result of what waits for nobody, as signing with a key in memory does.
///
/// # Panics
/// When it waits.
#[allow(clippy::panic)]
pub fn at_once<T>(work: impl Future<Output = T>) -> T {
    let mut context = std::task::Context::from_waker(std::task::Waker::noop());
    match std::pin::pin!(work).poll(&mut context) {
        std::task::Poll::Ready(done) => done,
        std::task::Poll::Pending => panic!("it waits"),
    }
}

/// A log file in which a play's byte was changed.
fn tampered(games: &[DemoGame], fixture: u32) -> Vec<u8> {
    let records = games
        .iter()
        .find(|g| g.fixture == fixture)
        .map(|g| g.records.as_slice());
    let first = records.and_then(<[_]>::first).map(GameRecord::chain);
    let mut file = LogFile::write(first);
    // The last byte of what the middle entry says, before its signature: two bytes of head and 64 of it.
    let ends: Vec<usize> = split(&file)
        .scan(0, |end: &mut usize, entry| {
            *end += entry.map_or(0, <[u8]>::len);
            Some(*end)
        })
        .collect();
    let place = ends.get(ends.len() / 2).and_then(|end| end.checked_sub(67));
    if let Some(byte) = place.and_then(|place| file.get_mut(place)) {
        *byte ^= 1;
    }
    file
}

/// How a demo game stands under a charter.
#[must_use]
pub fn report(game: &DemoGame, charter: &Charter) -> Option<GameReport> {
    let kept: Vec<KeptRecord<'_>> = game
        .records
        .iter()
        .map(|record| KeptRecord {
            record,
            forked: game
                .second_line
                .as_ref()
                .is_some_and(|l| l.chain().author() == record.chain().author()),
        })
        .collect();
    GameReport::of(&kept, Authority::Charter(charter))
}

/// Who meets in a fixture, from the games before it.
fn sides(
    charter: &SignedCharter<Verified>,
    reports: &[GameReport],
    number: u32,
) -> Result<BySide<String>, Fault> {
    let reports: Vec<&GameReport> = reports.iter().collect();
    let event = EventReport::of(charter.charter(), &reports);
    let (Some(schedule), Some(results)) = (event.schedule(), event.results()) else {
        return Err(fault(event.problems().join(" ")));
    };
    let game = schedule.game(number);
    let game = game.ok_or_else(|| fault("no such fixture"))?;
    let team = |side| {
        let team = results.progress().team(side);
        let named = team.map(|t| schedule.entrants().name(t).to_owned());
        named.ok_or_else(|| {
            fault(format!(
                "game {number} waits: {}",
                event.problems().join(" ")
            ))
        })
    };
    Ok(BySide {
        guest: team(game.guest)?,
        home: team(game.home)?,
    })
}

fn card(charter: &Charter, team: &str) -> Result<Card, Fault> {
    let listed = charter
        .team(team)
        .ok_or_else(|| fault("a team of the charter"))?;
    let (hitters, reserves) = listed.roster.split_at(listed.roster.len().min(5));
    Ok(Card::new(team, hitters.iter().cloned())
        .with_positions(Position::ALL)
        .with_reserves(reserves.iter().cloned()))
}

/// Both officials sign off, and each signs the other's statement.
async fn sign_off<P: Pen>(
    records: &mut [GameRecord],
    officials: &[&Official<P>],
    at: &mut u64,
) -> Result<(), Fault> {
    let mut statements = BTreeMap::new();
    for (n, (record, official)) in records.iter_mut().zip(officials).enumerate() {
        let statement = record.statement();
        let entry = official.write(record, statement, at).await?;
        statements.insert(n, entry);
    }
    for (n, (record, official)) in records.iter_mut().zip(officials).enumerate() {
        for (_, statement) in statements.iter().filter(|(other, _)| **other != n) {
            let sign = CoSign {
                statement: *statement,
                captain: None,
            };
            official.write(record, Body::CoSign(sign), at).await?;
        }
    }
    Ok(())
}
