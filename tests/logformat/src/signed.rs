//! What is signed beside logs: a charter and a collector's order.

use engine::charter::{Arrangement, Charter, EndedKey, GoodPart, Privacy, Scheduled, Team};
use engine::competition::schedule::{Clock, Format, PoolDraw, Window};
use engine::log::{
    Author, ChainError, EditionText, ErasedLog, Hash, Order, OrderAction, RecordError, Role,
    Subject, Unsigned,
};
use engine::rules::Edition;

use crate::sample::{self, key};

/// An order to erase that names a log and a charter.
///
/// # Errors
/// When the engine refuses the sample.
pub fn order() -> Result<Vec<u8>, RecordError> {
    let log = sample::short(1, 1)?;
    let chain = log.chain();
    let order = Order {
        measure: OrderAction::Erase(Subject::Event(Hash([7; 32]))),
        holds: true,
        issued_ms: 1_781_344_800_000,
        reason: "A parent asked.".to_owned(),
        logs: vec![ErasedLog {
            game: chain.game(),
            author: chain.author().fingerprint(),
            entries: chain.next_seq(),
            head: chain.head(),
        }],
        charters: vec![Hash([7; 32]), Hash([8; 32])],
        collector: key(8).public(),
    };
    let signed = Unsigned::new(order, key(8).public())?
        .sign(&key(8))
        .map_err(ChainError::from)?;
    Ok(signed.bytes().to_vec())
}

/// A charter that says everything there is to say, and makes no sense.
///
/// # Errors
/// When the engine refuses the sample.
pub fn charter() -> Result<Vec<u8>, RecordError> {
    let setup = sample::setup(1);
    let team = |card: &engine::team::Card| Team {
        name: card.team.clone(),
        roster: card.players().cloned().collect(),
    };
    let teams: Vec<Team> = [&setup.cards.guest, &setup.cards.home].map(team).into();
    let official = |n: u8, role| Author::new(key(n).public(), format!("Official {n}"), role);
    let fixture = Scheduled {
        number: 1,
        title: "Final".to_owned(),
        guest: Some(setup.cards.guest.team.clone()),
        home: None,
        court: "Fish market".to_owned(),
        starts: 1_781_344_800_000,
        edition: 0,
    };
    let arranged = Arrangement {
        format: Format::PoolsThenFinals {
            pools: PoolDraw::Listed(vec![4, 3]),
            through: 2,
            third_place: false,
        },
        courts: vec!["Fish market".to_owned()],
        windows: vec![Window {
            opens: Clock(540),
            closes: Clock(1080),
        }],
        game: 40,
        turnaround: 10,
        rest: 30,
        ahead: -120,
    };
    let ended = EndedKey {
        author: official(3, Role::Umpire),
        good: vec![GoodPart {
            game: setup.game_id(),
            entries: 4,
            head: Hash([8; 32]),
        }],
    };
    let charter = Charter {
        place: "The old fish market".to_owned(),
        editions: vec![EditionText::from(&Edition::federation())],
        teams,
        officials: vec![official(1, Role::Umpire), official(2, Role::Scorer)],
        fixtures: vec![fixture],
        privacy: Privacy::Initials,
        supersedes: Some(Hash([7; 32])),
        arranged: Some(arranged),
        practice: true,
        collectors: vec![official(8, Role::Other)],
        ended: vec![ended],
        ..Charter::new("Harbour Cup", "2026-06-13", official(9, Role::Organiser))
    };
    let signed = Unsigned::new(charter, key(9).public())?
        .sign(&key(9))
        .map_err(ChainError::from)?;
    Ok(signed.bytes().to_vec())
}
