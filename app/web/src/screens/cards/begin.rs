//! From the draft to the game: its setup, and what was looked at before it.

use engine::charter::SignedCharter;
use engine::log::{Body, GameMark, HomeBy, Setup, Verified};
use engine::team::Side;
use leptos::prelude::*;

use crate::draft::{Draft, by_side};
use crate::screens::new_fixture::charter_of;
use crate::state::AppState;
use crate::{device, precautions};

/// What was looked at today before any game goes into the log of the one that
/// begins; what could not be written stays for the care screen.
pub async fn take_looks(app: AppState, game: String) {
    let mut looks = precautions::looks();
    if looks.is_empty() || app.open(game, false).await.is_err() {
        return;
    }
    while let Some(look) = looks.first() {
        if app.record_body(Body::Care(look.care())).await.is_err() {
            break;
        }
        looks.remove(0);
    }
    precautions::keep_looks(&looks);
}

/// The setup of a draft, once it is decided who is home and both cards are good.
pub fn setup(app: AppState, draft: &Draft) -> Option<Setup> {
    let edition = draft.edition().ok()?;
    let mut setup = Setup::new(
        GameMark(device::random_bytes().ok()?),
        by_side(draft)?,
        &edition,
    );
    // The coin says who is home: that side won the toss.
    let by = match (draft.coin, draft.by_schedule) {
        (true, _) => HomeBy::Toss { won_by: Side::Home },
        (false, true) => HomeBy::Schedule,
        (false, false) => HomeBy::Agreement,
    };
    setup.home_by = Some(by);
    let name = draft.court_name.trim();
    setup.court = (!name.is_empty()).then(|| name.to_string());
    setup.court_used.clone_from(&draft.court_used);
    if let Some(signed) = charter_of(app, draft) {
        under_charter(app, &mut setup, &signed, draft.fixture);
    }
    Some(setup)
}

/// Marks a setup with its charter and fixture, so that every phone that holds
/// the charter names the game alike.
fn under_charter(
    app: AppState,
    setup: &mut Setup,
    signed: &SignedCharter<Verified>,
    number: Option<u32>,
) {
    let charter = signed.charter();
    setup.charter = Some(signed.hash());
    setup.demo = charter.practice;
    setup.title = Some(charter.event.clone());
    let Some(game) = number.and_then(|n| charter.fixture(n)) else {
        return;
    };
    setup.fixture_number = number;
    let title = format!("{}, {}", charter.event, game.title);
    if !game.title.is_empty() && title.len() <= Setup::TITLE_LIMIT {
        setup.title = Some(title);
    }
    setup.starts = Some(game.starts);
    // A fixture begun again, as after rain, is another game of it.
    let before = app.games.with(|games| {
        let books = games.iter().filter_map(|g| g.book.as_ref().ok());
        let same = |s: &Setup| s.charter == setup.charter && s.fixture_number == number;
        books.filter(|b| same(b.setup())).count()
    });
    let of_fixture = u8::try_from(before + 1).unwrap_or(u8::MAX);
    setup.mark = GameMark::scheduled(&signed.hash(), game.number, of_fixture);
}
