//! Who stands where: bases with their runners, and the five on defence.

use engine::game::Game;
use engine::play::Base;
use engine::team::Position;
use leptos::prelude::*;

/// Where a position is drawn.
const fn spot(position: Position) -> (i32, i32) {
    match position {
        Position::FirstBase => (262, 84),
        Position::SecondBase => (212, 32),
        Position::ThirdBase => (38, 84),
        Position::Shortstop => (88, 32),
        Position::Midfielder => (150, 92),
    }
}

const fn bag(base: Base) -> (i32, i32) {
    match base {
        Base::First => (218, 102),
        Base::Second => (150, 36),
        Base::Third => (82, 102),
    }
}

/// A sketch in chalk lines: runners inside the bases, fielders' numbers around.
#[component]
pub fn Court(
    /// The game now.
    #[prop(into)]
    game: Signal<Game>,
) -> impl IntoView {
    let fielders = move || {
        game.with(|g| {
            let side = g.at_bat().other();
            Position::ALL
                .into_iter()
                .filter_map(|p| Some((p, g.fielder(side, p)?)))
                .map(|(p, shirt)| {
                    let (x, y) = spot(p);
                    view! { <text x=x y=y>{shirt.get()}</text> }
                })
                .collect_view()
        })
    };
    let bases = move || {
        game.with(|g| {
            Base::ALL
                .into_iter()
                .map(|b| {
                    let (x, y) = bag(b);
                    let runner = g.bases()[b];
                    view! {
                        <rect class="base" class:held=runner.is_some() x=x - 17 y=y - 14 width="34" height="28"/>
                        {runner.map(|r| view! { <text class="on-base" x=x y=y>{r.shirt.get()}</text> })}
                    }
                })
                .collect_view()
        })
    };
    view! {
        <svg class="court" viewBox="0 0 300 176" role="img" aria-label=move || game.with(court_words)>
            <path class="faint" d="M150 168 L276 46 M150 168 L24 46"/>
            <path d="M150 168 L218 102 L150 36 L82 102 Z"/>
            {bases}
            <path class="base" d="M140 158 h20 v8 l-10 9 l-10 -9 Z"/>
            {fielders}
        </svg>
    }
}

/// The sketch in words.
pub fn court_words(game: &Game) -> String {
    let side = game.at_bat().other();
    let mut said: Vec<String> = Base::ALL
        .into_iter()
        .filter_map(|b| Some(format!("{} on {b}", game.bases()[b]?.shirt)))
        .collect();
    if said.is_empty() {
        said.push("Bases empty".into());
    }
    said.extend(
        Position::ALL
            .into_iter()
            .filter_map(|p| Some(format!("{} at {p}", game.fielder(side, p)?))),
    );
    said.join(", ")
}
