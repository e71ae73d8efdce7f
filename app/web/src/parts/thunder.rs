//! The thunder clock, and the sentence that goes with every caution.

use std::time::Duration;

use engine::court::care::{DEFER, HoldState, WeatherHold};
use leptos::prelude::*;

use super::{Message, Tone};
use crate::{clock, precautions};

/// Who decides: not this app.
#[component]
pub fn Defer(
    /// In other words than those of the list and the clock.
    #[prop(default = DEFER)]
    words: &'static str,
) -> impl IntoView {
    view! { <p class="small strong defer">{words}</p> }
}

/// Where the hold stands now, read anew every second from what is kept, so
/// that a restart or a second tab changes nothing.
pub fn hold_now(since: Signal<Option<u64>>) -> Signal<HoldState> {
    let read = move || {
        let heard = precautions::thunders()
            .into_iter()
            .chain(since.get_untracked());
        WeatherHold::of(heard).at(clock::now())
    };
    let now = RwSignal::new(read());
    let again = move || now.set(read());
    Effect::new(move |_| {
        since.track();
        again();
    });
    if let Ok(ticks) = set_interval_with_handle(again, Duration::from_millis(500)) {
        on_cleanup(move || ticks.clear());
    }
    now.into()
}

/// The clock in large figures, with its two buttons.
#[component]
pub fn ThunderClock(
    /// Thunder that the log of a game knows of, ms since 1970.
    #[prop(into, optional)]
    since: Signal<Option<u64>>,
    /// Runs when thunder was heard, after the clock has begun.
    #[prop(into, optional)]
    heard: Option<Callback<()>>,
    /// Leaves the words out where the screen has them already.
    #[prop(default = false)]
    short: bool,
) -> impl IntoView {
    let state = hold_now(since);
    let figures = move || match state.get() {
        HoldState::Clear => None,
        HoldState::Holding { left_ms } => {
            let s = left_ms.div_ceil(1000);
            Some(format!("{}:{:02}", s / 60, s % 60))
        }
        HoldState::Over { .. } => Some("0:00".into()),
    };
    let holding = Memo::new(move |_| matches!(state.get(), HoldState::Holding { .. }));
    // Read out when it changes, not every second.
    let said = Memo::new(move |_| {
        match state.get() {
        HoldState::Holding { .. } => {
            "Play is stopped. Everyone stays in a solid building or a hard-topped vehicle; new thunder starts the 30 minutes again."
                .to_string()
        }
        other => other.to_string(),
    }
    });
    let when = move || {
        state.track();
        let mut heard = precautions::thunders();
        heard.extend(since.get_untracked());
        let hold = WeatherHold::of(heard.iter().copied());
        let (first, end) = (hold.stopped_at()?, hold.ends_at()?);
        Some(format!(
            "First thunder {}, last {}. Not before {}.",
            clock::time_of_day(first),
            clock::time_of_day(end.saturating_sub(engine::court::care::HOLD_MS)),
            clock::time_of_day(end)
        ))
    };
    let tap = move |_| {
        precautions::thunder(clock::now());
        crate::device::tick();
        if let Some(heard) = heard {
            heard.run(());
        }
    };
    let slip = move || holding.get() && !precautions::thunders().is_empty();
    view! {
        <div class="thunder" class:holding=move || holding.get()>
            {move || figures().map(|f| view! { <p class="clock" role="timer" aria-label="Time to wait">{f}</p> })}
            {(!short).then(|| view! {
                {move || {
                    let tone = if holding.get() { Tone::Bad } else { Tone::Plain };
                    view! { <Message tone=tone what=said.get()/> }
                }}
            })}
            <p class="small">{when}</p>
            <button type="button" class="btn bad big wide" on:click=tap>
                {move || if holding.get() { "thunder again: start the 30 minutes anew" } else { "thunder or lightning now" }}
            </button>
            <Show when=slip>
                <button type="button" class="btn quiet wide" on:click=move |_| precautions::no_thunder()>
                    "That last one was no thunder"
                </button>
            </Show>
        </div>
    }
}
