//! The score, the inning and the outs.

use engine::game::Game;
use engine::log::ClockState;
use engine::play::{count_outs, ordinal};
use engine::team::Side;
use leptos::prelude::*;

use crate::words;

/// The three out marks: squares, hatched when made, with the number in words.
#[component]
pub fn Outs(
    /// How many are made, 0 to 3.
    #[prop(into)]
    outs: Signal<u8>,
) -> impl IntoView {
    view! {
        <div class="outs" aria-hidden="true">
            {(0..3u8).map(|n| view! { <span class:on={move || n < outs.get()}></span> }).collect_view()}
        </div>
    }
}

/// One of the competition's clocks as it is shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClockShown {
    /// Its name in a word.
    pub word: &'static str,
    /// Minutes and seconds left.
    pub figures: String,
    /// How far it is.
    pub state: ClockState,
    /// Whether it stands.
    pub stands: bool,
    /// What it says once it is up.
    pub sentence: Option<String>,
}

/// A clock in the line of what it belongs to.
#[component]
pub fn ClockFigures(
    /// Which one.
    shown: ClockShown,
    /// Whether its word is seen too.
    #[prop(default = false)]
    worded: bool,
) -> impl IntoView {
    let stands = if shown.stands { ", stands" } else { "" };
    let label = format!("{} clock {}{stands}", shown.word, shown.figures);
    let word = worded.then(|| format!("{} ", shown.word));
    view! {
        <span class="clock-figures" role="timer" aria-label=label
            class:due-now=shown.state == ClockState::Due class:up=shown.state == ClockState::Up>
            {word}{shown.figures}
        </span>
    }
}

/// Guests left, home right, inning and outs between them.
#[component]
pub fn ScoreHead(
    /// The game now.
    #[prop(into)]
    game: Signal<Game>,
    /// What the game clock says, where there is one.
    #[prop(into, optional)]
    clock: Signal<Option<ClockShown>>,
) -> impl IntoView {
    let side = move |side: Side| {
        let bats = move || game.with(|g| g.ending().is_none() && g.at_bat() == side);
        let class = if side == Side::Guest {
            "side guest"
        } else {
            "side hosts"
        };
        let word = move || bats().then(|| view! { <span class="bats-word">"at bat"</span> });
        view! {
            <div class=class class:bats=bats class:many=move || game.with(|g| g.score()[side] > 9)>
                <span class="team">{move || game.with(|g| words::team(g, side))}</span>
                <div class="tally">
                    <span class="runs">{move || game.with(|g| g.score()[side])}</span>
                    {word}
                </div>
            </div>
        }
    };
    view! {
        <header class="score"><div class="score-in">
            {side(Side::Guest)}
            <div class="middle">
                <span>{move || game.with(inning_words)}</span>
                <Outs outs=Signal::derive(move || game.with(|g| g.outs()))/>
                <span class="note">{move || game.with(|g| match g.ending() {
                    Some(_) => format!("in the {}", ordinal(g.inning())),
                    None => count_outs(g.outs()),
                })}{move || clock.get().map(|shown| view! { " · "<ClockFigures shown=shown/> })}</span>
            </div>
            {side(Side::Home)}
        </div></header>
    }
}

/// "Top of 3rd", or that it is over.
pub fn inning_words(game: &Game) -> String {
    match game.ending() {
        Some(_) => "Over".into(),
        None => game.inning_words(),
    }
}
