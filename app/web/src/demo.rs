//! A made-up day of games in a harbour town, so that a newcomer sees a full
//! app at once. Teams and players are invented; every play is a legal call
//! chosen by a small generator from a fixed start, so the day is always the
//! same, and every entry is signed like any other.

use crate::keys::OfficialKey;
use crate::ledger::Signer as _;
use crate::state::NotRecorded;
use engine::game::Notice;
use engine::log::{Author, Body, Event, GameMark, GameRecord, HomeBy, Opening, Role, Setup};
use engine::play::{Advance, Base, BatterFate, Call, Goal, IllegalAct, Reach, RunnerFate, Scoring};
use engine::rules::Edition;
use engine::team::{BySide, Card, Hitter, Player, Position, Shirt, Side};

/// One made-up team: name, first number, players by name.
struct Team {
    name: &'static str,
    from: u8,
    players: [&'static str; 8],
}

const TEAMS: [Team; 6] = [
    Team {
        name: "Quay Street",
        from: 21,
        players: ["Ines", "Odd", "Pau", "Rike", "Tove", "Sami", "Lio", "Mara"],
    },
    Team {
        name: "Tram Yard",
        from: 11,
        players: ["Juno", "Bas", "Ewa", "Nils", "Ada", "Kim", "Oto", "Vera"],
    },
    Team {
        name: "Rope Walk",
        from: 31,
        players: ["Dov", "Lena", "Yara", "Tom", "Sif", "Gil", "Anke", "Per"],
    },
    Team {
        name: "Net Loft",
        from: 41,
        players: ["Ravi", "Elin", "Max", "Noor", "Ole", "Pia", "Jan", "Cleo"],
    },
    Team {
        name: "Ferry Steps",
        from: 51,
        players: ["Asa", "Rune", "Mina", "Koji", "Bea", "Emil", "Tara", "Finn"],
    },
    Team {
        name: "Salt Store",
        from: 61,
        players: ["Hugo", "Lara", "Ivo", "Siri", "Zoe", "Ben", "Una", "Leif"],
    },
];

/// The day: guests, home, minutes before now, and how many plays are called.
const DAY: [(usize, usize, u64, usize); 8] = [
    (0, 1, 340, usize::MAX),
    (2, 3, 300, usize::MAX),
    (4, 5, 260, usize::MAX),
    (1, 2, 210, usize::MAX),
    (3, 4, 160, usize::MAX),
    (5, 0, 110, usize::MAX),
    (4, 0, 28, 27),
    (1, 3, 12, 11),
];

/// A small generator of its own: the day must be the same on every phone.
struct Chance(u32);

impl Chance {
    /// A number below `n`.
    fn below(&mut self, n: u32) -> u32 {
        // xorshift with 13, 17, 5 (Marsaglia, Journal of Statistical Software 8(14), 2003).
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 17;
        self.0 ^= self.0 << 5;
        self.0 % n.max(1)
    }

    fn of(&mut self, hundred: u32) -> bool {
        self.below(100) < hundred
    }
}

fn card(team: &Team) -> Card {
    let player = |at: usize| {
        let number = team.from.saturating_add(u8::try_from(at).unwrap_or(0));
        Some(Player {
            name: team.players.get(at)?.to_string(),
            ..Player::numbered(Shirt::new(number)?)
        })
    };
    let hitter = |(at, position): (usize, Position)| {
        let position = Some(position);
        player(at).map(|player| Hitter { player, position })
    };
    Card {
        team: team.name.to_string(),
        hitters: Position::ALL
            .into_iter()
            .enumerate()
            .filter_map(hitter)
            .collect(),
        reserves: (Position::ALL.len()..team.players.len())
            .filter_map(player)
            .collect(),
    }
}

/// The records of the day, signed with this phone's key, the earliest first.
///
/// # Errors
/// When the browser does not sign.
pub async fn records(key: &OfficialKey, now: u64) -> Result<Vec<GameRecord>, NotRecorded> {
    let mut records = Vec::new();
    for (n, (guest, home, ago, plays)) in DAY.iter().enumerate() {
        let begun = now.saturating_sub(ago * 60_000);
        if let (Some(guest), Some(home)) = (TEAMS.get(*guest), TEAMS.get(*home)) {
            records.push(play_out(key, n, BySide { guest, home }, begun, *plays).await?);
        }
    }
    Ok(records)
}

async fn play_out(
    key: &OfficialKey,
    n: usize,
    teams: BySide<&Team>,
    begun: u64,
    plays: usize,
) -> Result<GameRecord, NotRecorded> {
    let seed = u32::try_from(n).unwrap_or(0).wrapping_mul(2_654_435_761) ^ 0x5EA_51DE;
    let mut chance = Chance(seed | 1);
    let mut mark = [0; 16];
    for byte in &mut mark {
        *byte = u8::try_from(chance.below(256)).unwrap_or(0);
    }
    let setup = Setup {
        demo: true,
        title: Some("Harbour day (made up)".into()),
        starts: Some(begun),
        home_by: Some(HomeBy::Toss { won_by: Side::Home }),
        ..Setup::new(GameMark(mark), teams.map(card), &Edition::federation())
    };
    let author = Author {
        key: *key.public(),
        name: String::new(),
        role: Role::Umpire,
    };
    let draft = GameRecord::draft_opening(
        Opening {
            setup,
            author,
            made: None,
        },
        begun,
    )?;
    let mut record = GameRecord::open(key.sign(draft).await?)?;
    let mut time = begun + 120_000;
    for n in 0..plays.min(150) {
        if record.history().game().ending().is_some() {
            break;
        }
        time += 20_000 + u64::from(chance.below(45_000));
        let event = next(&record, &mut chance, n);
        let draft = record.draft(Body::Event(event), time)?;
        record.push(key.sign(draft).await?)?;
    }
    Ok(record)
}

/// The next event: what must be said first, now and then a notice, else a play.
fn next(record: &GameRecord, chance: &mut Chance, n: usize) -> Event {
    let history = record.history();
    let game = history.game();
    if let Some(by) = game.courtesy_runners().first() {
        return Event::Notice(Notice::CourtesyRunner { by: *by });
    }
    let notice = match n {
        13 => Some(Notice::TimeOut {
            side: game.at_bat(),
        }),
        24 => {
            let side = game.at_bat().other();
            let out = game.squads()[side].at(engine::team::Place::Fourth);
            let bench =
                game.squads()[side].eligible(engine::team::Place::Fourth, false, game.edition());
            let by = bench.into_iter().next();
            by.map(|by| Notice::Substitution { side, out, by })
        }
        _ => None,
    };
    if let Some(event) = notice
        .map(Event::Notice)
        .filter(|e| history.check(e).is_ok())
    {
        return event;
    }
    for _ in 0..40 {
        let event = history.next_play(call(record, chance));
        if history.check(&event).is_ok() {
            return event;
        }
    }
    history.next_play(Call::new(BatterFate::Caught))
}

/// A call as they come on a summer afternoon.
fn call(record: &GameRecord, chance: &mut Chance) -> Call {
    let game = record.history().game();
    let at = match chance.below(100) {
        0..=77 => Goal::First,
        78..=92 => Goal::Second,
        93..=97 => Goal::Third,
        _ => Goal::Home,
    };
    let batter = match chance.below(100) {
        0..=43 => BatterFate::safe(at),
        44..=49 => BatterFate::Safe {
            at: Goal::First,
            on: Reach::Error,
            then: None,
        },
        50..=54 if game.on_base() > 0 => BatterFate::safe(Goal::First),
        50..=74 => BatterFate::OUT,
        75..=90 => BatterFate::Caught,
        91..=94 => BatterFate::Illegal(IllegalAct::NoHitZone),
        95..=97 => BatterFate::Illegal(IllegalAct::Foul),
        98 => BatterFate::Illegal(IllegalAct::Fence),
        _ => BatterFate::Illegal(IllegalAct::Box),
    };
    let mut call = Call::new(batter);
    let running = matches!(batter, BatterFate::Safe { .. } | BatterFate::OUT);
    for base in Base::LEAD_FIRST
        .into_iter()
        .filter(|b| game.bases()[*b].is_some())
    {
        let far = match base {
            Base::First => chance.of(12).then_some(Goal::Third),
            Base::Second => chance.of(45).then_some(Goal::Home),
            Base::Third => chance.of(65).then_some(Goal::Home),
        };
        if running && let Some(goal) = far {
            let fate = RunnerFate::To {
                goal,
                on: Advance::Hit,
                then: None,
            };
            let further = call.clone().with_runner(base, fate);
            if game.fits(&further) {
                call = further;
            }
        }
        if running
            && chance.of(9)
            && let Some(out) = game.ways_out(&call, base).first()
        {
            call = call.clone().with_runner(base, *out);
        }
    }
    if let Some(question) = game.question(&call) {
        let most = u32::try_from(question.who.len()).unwrap_or(0);
        call.home_first = u8::try_from(chance.below(most + 1)).ok();
    }
    let fielder = |chance: &mut Chance| {
        let at = usize::try_from(chance.below(5)).unwrap_or(0);
        Position::ALL
            .get(at)
            .copied()
            .unwrap_or(Position::Midfielder)
    };
    let by = match batter {
        BatterFate::OUT => vec![fielder(chance), Position::FirstBase],
        BatterFate::Caught => vec![fielder(chance)],
        _ => Vec::new(),
    };
    let errors = match batter {
        BatterFate::Safe {
            on: Reach::Error, ..
        } => vec![fielder(chance)],
        _ => Vec::new(),
    };
    if !by.is_empty() || !errors.is_empty() {
        call.scoring = Some(Scoring {
            by,
            errors,
            ..Scoring::default()
        });
    }
    call
}

/// The cards of the first two teams.
#[cfg(test)]
pub(crate) fn two_cards() -> BySide<Card> {
    BySide {
        guest: card(&TEAMS[0]),
        home: card(&TEAMS[1]),
    }
}

/// The result of a future that waits for nobody, as signing by the page does.
#[cfg(test)]
#[allow(clippy::panic)]
pub(crate) fn at_once<T>(work: impl Future<Output = T>) -> T {
    let mut context = std::task::Context::from_waker(std::task::Waker::noop());
    match std::pin::pin!(work).poll(&mut context) {
        std::task::Poll::Ready(done) => done,
        std::task::Poll::Pending => panic!("it waits for the browser"),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn day() -> Vec<GameRecord> {
        let key = OfficialKey::from_seed(&[5; 32]);
        at_once(records(&key, 1_780_000_000_000)).unwrap()
    }

    #[test]
    fn the_day_is_full_and_the_same_every_time() {
        let (one, again) = (day(), day());
        assert_eq!(one.len(), DAY.len());
        for (a, b) in one.iter().zip(&again) {
            assert_eq!(a.chain().to_bytes(), b.chain().to_bytes());
        }
    }

    #[test]
    fn six_games_are_over_two_are_not_and_every_sheet_proves() {
        let day = day();
        let over = |r: &&GameRecord| r.history().game().ending().is_some();
        assert_eq!(day.iter().filter(over).count(), 6);
        for record in &day {
            let history = record.history();
            assert_eq!(history.conflicts().count(), 0);
            for side in Side::BOTH {
                assert_eq!(history.game().balance(side), 0);
            }
        }
    }

    #[test]
    fn scores_are_those_of_a_friendly_afternoon() {
        for record in day() {
            let score = record.history().game().score();
            let sum = score.guest + score.home;
            println!(
                "{} to {} in {} entries",
                score.guest,
                score.home,
                record.next_seq()
            );
            assert!(sum < 40, "{sum}");
        }
    }
}
