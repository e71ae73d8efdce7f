//! The score, the inning and the outs.

use engine::game::Game;
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

/// Guests left, home right, inning and outs between them.
#[component]
pub fn ScoreHead(
    /// The game now.
    #[prop(into)]
    game: Signal<Game>,
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
                })}</span>
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
