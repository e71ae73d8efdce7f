//! The weather hold, and its link to the game that is open.

use engine::game::{Hold, Notice, Stage};
use engine::log::{Event, Step};
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::Looking;
use crate::book::Book;
use crate::chalk::{Chalk, NotRecorded, Shown, chalk};
use crate::clock;
use crate::parts::ThunderClock;

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
    let open = chalk().open;
    Signal::derive(move || {
        open.with(|o| match o {
            Some(Shown { book: Ok(book), .. }) => stopped_for_thunder(book),
            _ => None,
        })
    })
}

/// Tells the log of the open game: it stops, or the 30 minutes begin again.
///
/// # Errors
/// When it cannot be recorded; the clock runs all the same.
pub async fn tell_log(chalk: Chalk) -> Result<(), NotRecorded> {
    let stage = chalk.open.with_untracked(|o| match o {
        Some(Shown { book: Ok(book), .. }) => Some(book.game().stage()),
        _ => None,
    });
    let notice = match stage {
        None | Some(Stage::Over(_)) => return Ok(()),
        Some(Stage::Held(_)) => Notice::Remark {
            text: format!(
                "Thunder at {}: the 30 minutes begin again.",
                clock::time_of_day(clock::now())
            ),
        },
        Some(_) => Notice::Hold(Hold::Lightning),
    };
    chalk.record(Event::Notice(notice)).await
}

/// The clock, and what to do.
#[component]
pub fn Thunder(looking: Looking) -> impl IntoView {
    let heard = Callback::new(move |()| {
        if looking.game.get_untracked().is_none() {
            return;
        }
        spawn_local(async move {
            looking
                .failed
                .set(tell_log(looking.chalk).await.err().map(|e| e.says()));
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
        <section class="section" aria-label="At the first thunder">
            <h2>"At the first thunder"</h2>
            <ul class="stack-tight">
                <li>"Stop at once, wherever the play stands."</li>
                <li>"Everyone goes into a large building or a car with a metal roof: not under trees, a tent or a stand."</li>
                <li>"Not before 30 minutes after the last thunder, and each new one starts them again."</li>
                <li>"Someone struck: call the emergency number, begin first aid. Touching them is safe."</li>
            </ul>
        </section>
    }
}
