//! What to read once: cautions in plain words, and what this app is.

use leptos::prelude::*;

/// Cautions in plain words. Local rules and licensed people decide.
#[component]
pub fn Reading() -> impl IntoView {
    view! {
            <p class="strong">
                "Chalkbook keeps the record. It does not decide whether it is safe to play: the people on the spot, \
                 local rules and licensed people do."
            </p>
            <Part title="Street and ground" points=&[
                "A street or square needs the permission of the local authority, and closure to traffic. Never play on a road that is open.",
                "Walk the ground first: glass, holes, kerbs, posts, wet paint, drain covers. Leave clear run-off all round the court.",
                "Keep spectators, dogs and bicycles outside the fence line.",
            ]/>
            <Part title="Heat" points=&[
                "Water and shade within reach, breaks by the clock. In great heat shorten, move or cancel the games.",
                "A thermometer is not enough: humidity, sun and dark asphalt count. Follow the guidance of your medical people.",
                "Confusion, vomiting, hot skin: cool at once and call the emergency number.",
            ]/>
            <Part title="Bodies" points=&[
                "First aid at the court, someone who can use it, and the emergency number known.",
                "After a blow to the head the player does not go on that day and sees a doctor.",
                "Bleeding: the player leaves until it has stopped and is covered.",
                "An avoidable collision is an out. Say so before the game.",
            ]/>
            <Part title="Minors" points=&[
                "Consent of parents for playing, and for any name, picture or result that is shown.",
                "On a card a number is enough: leave names out, or use initials.",
                "Two adults at every game, neither alone with a child.",
            ]/>
            <section class="section" aria-label="About">
                <h2>"About this app"</h2>
                <p>"Chalkbook calls and keeps games of five-a-side street baseball. It works with no signal; the games stay on this phone until you hand them on."</p>
                <p>"The league's rules go before anything written here."</p>
                <p class="small">{concat!("Chalkbook ", env!("CARGO_PKG_VERSION"))}</p>
            </section>
    }
}

#[component]
fn Part(title: &'static str, points: &'static [&'static str]) -> impl IntoView {
    view! {
        <section class="section" aria-label=title>
            <h2>{title}</h2>
            <ul class="stack-tight">
                {points.iter().map(|p| view! { <li>{*p}</li> }).collect_view()}
            </ul>
        </section>
    }
}
