//! What is offered beside a card: the last one of the team, the charter's roster, and who sits out.

use engine::team::{Player, Side};
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::card::CardForm;
use crate::draft::Line;
use crate::screens::new_fixture::charter_of;
use crate::state::app_state;

/// Who sits this game out, as far as the games on this phone say.
pub(super) fn suspended(form: CardForm) -> Memo<Option<String>> {
    let app = app_state();
    let draft = form.draft;
    if draft.with_untracked(|d| d.event.is_some()) {
        spawn_local(async move {
            // Unread, the desk knows less, and the organiser's list is another.
            let _ = app.open_desk().await;
        });
    }
    Memo::new(move |_| {
        let (event, fixture) = draft.with(|d| Some((d.event.clone()?, d.fixture?)))?;
        let name = form.name();
        let view = app.desk_view(&event)?;
        let held = view.report()?.suspensions().iter();
        let held = held.filter(|s| s.team == name && s.holds_in(fixture));
        let said = held.map(|s| s.to_string()).collect::<Vec<_>>().join(" ");
        (!said.is_empty()).then_some(said)
    })
}

/// The card that the team had last on this phone, while this one is empty.
#[component]
pub(super) fn LastCard(form: CardForm) -> impl IntoView {
    let app = app_state();
    let earlier = Memo::new(move |_| {
        let name = form.name();
        app.games.with(|games| {
            let books = games.iter().filter_map(|g| g.book.as_ref().ok());
            let cards = books.filter(|b| !b.setup().demo).flat_map(|b| {
                let begun = b.listed.begun;
                let cards = &b.setup().cards;
                Side::BOTH.map(|side| (begun, cards[side].clone()))
            });
            let of_team = cards.filter(|(_, card)| card.team == name);
            let (_, card) = of_team.max_by_key(|(begun, _)| *begun)?;
            Some(card)
        })
    });
    let is_empty = move || form.lines().iter().all(|l| l.number.trim().is_empty());
    move || {
        let card = earlier.get().filter(|_| is_empty())?;
        let numbers = card.hitters.iter().map(|h| h.player.shirt.to_string());
        let numbers = numbers.collect::<Vec<_>>().join(", ");
        let fill = move |_| {
            form.draft.update(|d| {
                if let Some(team) = d.teams.get_mut(form.team) {
                    team.fill(&card);
                    team.lines.resize(form.count, Line::default());
                }
            });
        };
        Some(view! {
            <button type="button" class="btn wide start" on:click=fill>
                <span class="words">"The last card again"<span class="under">{numbers}", and its reserves"</span></span>
            </button>
        })
    }
}

/// The players of the charter's roster. Whoever is on the card keeps their place
/// here, so that no other comes under the thumb.
#[component]
pub(super) fn Roster(form: CardForm) -> impl IntoView {
    let app = app_state();
    let roster = Memo::new(move |_| {
        let signed = form.draft.with(|d| charter_of(app, d))?;
        Some(signed.charter().team(&form.name())?.roster.clone())
    });
    let players = move || roster.get().unwrap_or_default();
    let one = move |player: Player| {
        let (shirt, name) = (player.shirt.to_string(), player.name.clone());
        let number = shirt.clone();
        let is_on_card = move || form.lines().iter().any(|l| l.number == number);
        view! {
            <button type="button" class="btn" disabled=is_on_card on:click=move |_| form.take(&player)>
                <b>{shirt}</b>" "<span>{name}</span>
            </button>
        }
    };
    view! {
        <Show when=move || !players().is_empty()>
            <section class="stack-tight" aria-label="Roster">
                <h2>"Roster: tap in batting order"</h2>
                <div class="roster">{move || players().into_iter().map(one).collect_view()}</div>
            </section>
        </Show>
    }
}
