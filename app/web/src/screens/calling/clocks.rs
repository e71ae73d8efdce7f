//! The competition's clocks, as far as it has any: shown, felt and said, never
//! more. They are read from the log anew each time, so that a restart changes
//! nothing.

use std::time::Duration;

use engine::log::{ClockReading, ClockState, GameClocks};
use leptos::prelude::*;

use crate::parts::ClockShown;
use crate::state::{ShownGame, app_state};
use crate::{clock, device};

/// The game clock, and the one of what is waited for.
pub type Clocks = Signal<[Option<ClockShown>; 2]>;

fn shown(reading: ClockReading) -> ClockShown {
    ClockShown {
        word: reading.clock.word(),
        figures: reading.figures(),
        state: reading.state,
        stands: reading.stands,
        sentence: reading.sentence(),
    }
}

/// The clocks of the open game now.
pub fn clocks_now(book: RwSignal<Option<ShownGame>>) -> Clocks {
    let app = app_state();
    let clocks = Memo::new(move |_| {
        book.with(|b| match b {
            Some(ShownGame { book: Ok(book), .. }) => GameClocks::of(&book.record),
            _ => None,
        })
    });
    let read = move || {
        clocks
            .get_untracked()
            .map(|c| c.at(clock::now()).map(|r| r.map(shown)))
    };
    let now = RwSignal::new(read().unwrap_or_default());
    let again = move || {
        let next = read().unwrap_or_default();
        let before = now.get_untracked();
        if next == before {
            return;
        }
        for (next, before) in next.iter().zip(&before) {
            // What was so when the screen came up is no news.
            let (Some(next), Some(before)) = (next, before) else {
                continue;
            };
            if next.word != before.word || next.state == before.state {
                continue;
            }
            let ticks = app.settings.with_untracked(|s| s.tick);
            match next.state {
                ClockState::Due if ticks => device::tick(),
                ClockState::Up if ticks => device::long_tick(),
                _ => {}
            }
            if let Some(sentence) = &next.sentence {
                app.say(sentence.clone());
            }
        }
        now.set(next);
    };
    Effect::new(move |_| {
        clocks.track();
        again();
    });
    if clocks.with_untracked(Option::is_some)
        && let Ok(ticks) = set_interval_with_handle(again, Duration::from_millis(250))
    {
        on_cleanup(move || ticks.clear());
    }
    now.into()
}

/// What a clock that is up says.
#[component]
pub fn TimeUp(clocks: Clocks) -> impl IntoView {
    let said = Memo::new(move |_| {
        clocks.with(|c| {
            let said = c.iter().flatten().filter_map(|c| c.sentence.clone());
            said.collect::<Vec<_>>()
        })
    });
    move || {
        let said = said.get().into_iter();
        said.map(|s| view! { <p class="strong">{s}</p> })
            .collect_view()
    }
}
