//! The weather hold, and its link to the game that is open.

use engine::game::{Hold, Notice, Stage};
use engine::log::{Event, Step};
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::Looking;
use crate::book::Book;
use crate::parts::{Section, ThunderClock};
use crate::state::{AppState, NotRecorded, ShownGame, app_state};
use crate::{clock, precautions};

/// When the game that is open was stopped for thunder, if it still is.
pub fn stopped_for_thunder(book: &Book) -> Option<u64> {
    if book.game().stage() != Stage::Held(Hold::Lightning) {
        return None;
    }
    let seq = book.history().steps().iter().rev().find_map(|s| match s {
        Step::Notice(n) if n.notice == Notice::Hold(Hold::Lightning) => Some(n.seq),
        _ => None,
    })?;
    book.claimed(seq)
}

/// The same of the shared open game.
pub fn open_stop() -> Signal<Option<u64>> {
    let open = app_state().open;
    Signal::derive(move || {
        open.with(|o| match o {
            Some(ShownGame { book: Ok(book), .. }) => stopped_for_thunder(book),
            _ => None,
        })
    })
}

/// What the log says of thunder heard now, the clock having begun: the game stops, or where it is
/// stopped already, the 30 minutes begin, or begin again. Nothing is said of a game that is over.
pub fn notice(stage: Stage) -> Option<Notice> {
    let again = match stage {
        Stage::Over(_) => return None,
        Stage::Held(Hold::Lightning) => " again",
        // Stopped for something else, as rain: this may be the first thunder.
        Stage::Held(_) if precautions::thunders().len() > 1 => " again",
        Stage::Held(_) => "",
        _ => return Some(Notice::Hold(Hold::Lightning)),
    };
    let at = clock::time_of_day(clock::now());
    Some(Notice::Remark {
        text: format!("{HEARD_AT}{at}: the 30 minutes begin{again}."),
    })
}

const HEARD_AT: &str = "Thunder at ";

/// Whether a notice says that thunder was heard: taken back, its clock goes with it.
pub fn is_thunder(notice: &Notice) -> bool {
    match notice {
        Notice::Hold(Hold::Lightning) => true,
        Notice::Remark { text } => text.starts_with(HEARD_AT),
        _ => false,
    }
}

/// Tells the log of the game that is open.
///
/// # Errors
/// When none is open or it cannot be recorded; the clock runs all the same.
pub async fn tell_log(app: AppState) -> Result<(), NotRecorded> {
    let stage = app.open.with_untracked(|o| match o {
        Some(ShownGame { book: Ok(book), .. }) => Some(book.game().stage()),
        _ => None,
    });
    match notice(stage.ok_or(NotRecorded::NothingOpen)?) {
        Some(notice) => app.record(Event::Notice(notice)).await,
        None => Ok(()),
    }
}

/// As [`tell_log`], of a game that may not be open yet: thunder does not wait for the storage.
async fn tell_log_of(app: AppState, game: String) -> Result<(), NotRecorded> {
    if !app.is_open(&game) {
        app.open(game, false).await?;
    }
    tell_log(app).await
}

/// The clock, and what to do.
#[component]
pub fn Thunder(looking: Looking) -> impl IntoView {
    let heard = Callback::new(move |()| {
        let Some(game) = looking.game.get_untracked() else {
            return;
        };
        spawn_local(async move {
            let told = tell_log_of(looking.app, game).await;
            looking.failed.set(told.err().map(|e| e.says()));
        });
    });
    let linked = move || {
        if looking.game.get().is_some() {
            "The first thunder stops the game that is open and goes into its log."
        } else {
            "The clock runs on when the phone sleeps or starts again."
        }
    };
    view! {
        <section class="section" aria-label="Thunder clock">
            <ThunderClock since=open_stop() heard=heard/>
            <p class="small soft">{linked}</p>
        </section>
        <Section title="At the first thunder">
            <ul class="stack-tight">
                <li>"Stop at once, wherever the play stands."</li>
                <li>"Everyone goes into a large building or a car with a metal roof: not under trees, a tent or a stand."</li>
                <li>"Not before 30 minutes after the last thunder, and each new one starts them again."</li>
                <li>"Someone struck: call the emergency number, begin first aid. Touching them is safe."</li>
            </ul>
        </Section>
    }
}
