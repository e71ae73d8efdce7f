//! What is above the lanes: who bats, and the free space, where everything is
//! said. It gives way to nothing and pushes nothing: a refusal, the question of
//! the third out and the last play take turns in it.

use engine::game::{Draft, Game, Notice, Outcome, Unready};
use engine::log::Step;
use leptos::prelude::*;

use super::clocks::{Clocks, TimeUp};
use super::more::{TouchedLine, chain_words};
use crate::book::Book;
use crate::parts::{ClockFigures, ClockShown, Court, HomeFirst};
use crate::state::app_state;
use crate::words;

/// What the last thing in force says, and whether the sides changed with it.
pub fn last_words(book: &Book) -> Option<(String, Vec<String>)> {
    match book.history().steps().last()? {
        Step::Play(play) => match &play.result {
            Ok(outcome) => Some(("Last play".into(), outcome.sentences())),
            Err(why) => Some(("Last play no longer fits".into(), vec![why.to_string()])),
        },
        Step::Notice(n) => {
            let proposed = match &n.notice {
                Notice::Warning { side, .. } => words::proposal(book.game(), *side),
                _ => None,
            };
            let said = core::iter::once(n.notice.sentence(&book.names()));
            Some(("Last notice".into(), said.chain(proposed).collect()))
        }
    }
}

/// What is read out after a play.
pub fn spoken(book: &Book) -> String {
    let mut said = match last_words(book) {
        Some((_, sentences)) => sentences.join(" "),
        None => String::new(),
    };
    said.push(' ');
    said.push_str(&words::score(book.game()));
    said
}

/// Who bats, and the two after.
#[component]
pub fn Due(
    game: Signal<Game>,
    /// The clock of what is waited for.
    clock: Signal<Option<ClockShown>>,
) -> impl IntoView {
    let now = move || game.with(|g| words::player(g, g.at_bat(), g.due()));
    let then = move || game.with(|g| format!("then {}, {}", g.on_deck(1), g.on_deck(2)));
    let over = move || game.with(|g| g.ending().is_some());
    view! {
        <div class="due"><div class="due-in">
            <Show when=move || !over() fallback=|| view! { <span>"The game is over."</span> }>
                <span>"At bat " <span class="now">{now}</span></span>
                {move || clock.get().map(|shown| view! { <ClockFigures shown=shown worded=true/> })}
                <span class="soft">{then}</span>
            </Show>
        </div></div>
    }
}

/// The free space between the score and the lanes.
#[component]
pub fn FieldView(
    last: Memo<Option<(String, Vec<String>)>>,
    game: Signal<Game>,
    draft: RwSignal<Draft>,
    check: Memo<Result<Outcome, Unready>>,
    failed: RwSignal<Option<(String, String)>>,
    /// Whether a call is being made.
    called: Memo<bool>,
    clocks: Clocks,
    ask_touched: Callback<()>,
    record: Callback<()>,
) -> impl IntoView {
    let refused = Memo::new(move |_| match check.get() {
        Err(Unready::Refused(objection)) if called.get() => Some(objection.to_string()),
        _ => None,
    });
    let asks = Memo::new(move |_| {
        called.get()
            && refused.with(Option::is_none)
            && game.with(|g| draft.with(|d| d.question(g).is_some()))
    });
    let failed = move || failed.get().filter(|_| called.get());
    let alone = move || failed().is_none() && refused.with(Option::is_none) && !asks.get();
    let settings = app_state().settings;
    view! {
        <div class="field-view" tabindex="0">
            <div class="field-in">
                <div class="alerts" role="alert">
                    {move || failed().map(|(what, next)| view! {
                        <div class="message bad"><p class="what">{what}</p><p>{next}</p></div>
                    })}
                    {move || refused.get().map(|w| view! { <p class="refusal">{w}</p> })}
                </div>
                <Show when=alone>
                    <div class="last"><TimeUp clocks=clocks/></div>
                    <LastPlay last=last draft=draft/>
                    <Court game=game/>
                </Show>
                <Show when=move || asks.get()>
                    <HomeFirst game=game draft=draft answered=record/>
                </Show>
                <Show when=move || called.get() && settings.with(|s| s.fielding)>
                    <TouchedLine draft=draft check=check tap=ask_touched/>
                </Show>
            </div>
        </div>
    }
}

/// The last play in words, or what was already said of the one being called.
#[component]
fn LastPlay(last: Memo<Option<(String, Vec<String>)>>, draft: RwSignal<Draft>) -> impl IntoView {
    let extras = move || {
        draft.with(|d| {
            let by = chain_words(&d.scoring);
            let touched = (!by.is_empty()).then(|| format!("Touched by {by}."));
            let note = d.note.as_ref().map(|n| format!("Note: {n}"));
            let said: Vec<String> = touched.into_iter().chain(note).collect();
            (!said.is_empty()).then(|| said.join(" "))
        })
    };
    let words = move || match (extras(), last.get()) {
        (Some(extras), _) => ("This play: ".to_string(), extras),
        (None, Some((title, sentences))) => (format!("{title}: "), sentences.join(" ")),
        (None, None) => (
            String::new(),
            "Nothing called yet. Tap what happened, then Record.".into(),
        ),
    };
    view! {
        <div class="last">
            <p>{move || {
                let (title, words) = words();
                view! { <span class="strong">{title}</span>{words} }
            }}</p>
        </div>
    }
}
