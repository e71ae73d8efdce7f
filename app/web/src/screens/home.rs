//! Today's games on this phone.

use crate::parts::A;
use engine::team::Side;
use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::against::{Stands, heard};
use crate::book::Book;
use crate::chalk::{Reach, Shown, chalk};
use crate::clock;
use crate::parts::{Message, Page, Tone};
use crate::screens::{DeliveryLink, DeliveryWord};

/// The first screen: the games, a new one, and what is around them.
#[component]
pub fn Home() -> impl IntoView {
    let chalk = chalk();
    chalk.leave();
    let trouble = RwSignal::new(None::<(String, String)>);
    let busy = RwSignal::new(false);
    let own_day = move || {
        let now = clock::now();
        chalk.games.with(|games| {
            games
                .iter()
                .filter(|g| clock::same_day(g.listed.begun, now))
                .cloned()
                .collect::<Vec<_>>()
        })
    };
    let earlier = move || {
        let now = clock::now();
        chalk.games.with(|games| {
            games
                .iter()
                .filter(|g| !clock::same_day(g.listed.begun, now))
                .cloned()
                .collect::<Vec<_>>()
        })
    };
    let has_demo = move || {
        chalk
            .games
            .with(|games| games.iter().any(|g| g.listed.demo))
    };
    let empty = move || chalk.reach.get() == Reach::Ready && chalk.games.with(Vec::is_empty);
    let add_demo = move |_| {
        if busy.get_untracked() {
            return;
        }
        busy.set(true);
        spawn_local(async move {
            let done = chalk.add_demo().await;
            trouble.set(done.err().map(|e| e.says()));
            busy.set(false);
        });
    };
    let remove_demo = move |_| {
        spawn_local(async move {
            let done = chalk.remove_demo().await;
            trouble.set(done.err().map(|t| (t.what(), t.next().into())));
        });
    };
    let foot = move || view! { <A href="/new" attr:class="btn lit big wide">"New game"</A> };
    view! {
        <Page title="Games on this phone" has_foot=true foot=foot
            aside=|| view! { <A href="/settings" attr:class="btn">"settings"</A> }>
            <UpdateOffer/>
            {move || trouble.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            // As high as what may follow it, so that nothing moves under the thumb.
            <Show when=move || chalk.reach.get() == Reach::Opening>
                <Message
                    what="Opening the games of this phone."
                    next="They are read from the phone itself, with or without a signal. It takes a moment."
                />
            </Show>
            <Show when=empty>
                <Message
                    what="No game is kept on this phone yet."
                    next="Begin one with New game, or look around with a made-up day of games."
                />
            </Show>
            <GameList title="Today" games=Signal::derive(own_day)/>
            <GameList title="Earlier" games=Signal::derive(earlier)/>
            <section class="section" aria-label="Around the games">
                <A href="/events" attr:class="btn wide start">
                    <span class="words">
                        "Events"
                        <span class="under">"Charters: teams, officials and schedule, signed by the organiser."</span>
                    </span>
                </A>
                <A href="/take" attr:class="btn wide start">
                    <span class="words">
                        "Take from another phone"
                        <span class="under">"A game to keep as its second scorer, the other's record of one, an event's charter."</span>
                    </span>
                </A>
                <DeliveryLink/>
                <Show
                    when=has_demo
                    fallback=move || view! {
                        <button type="button" class="btn wide start" on:click=add_demo
                            aria-disabled=move || busy.get().to_string()>
                            <span class="words">
                                "Show a demo day"
                                <span class="under">"Made-up teams of a harbour town: finished and half-played games."</span>
                            </span>
                        </button>
                    }
                >
                    <button type="button" class="btn wide start" on:click=remove_demo>
                        <span class="words">
                            "Remove the demo day"
                            <span class="under">"Only the games marked demo; your own stay."</span>
                        </span>
                    </button>
                </Show>
                <A href="/desk" attr:class="btn wide start">
                    <span class="words">
                        "Organiser's desk"
                        <span class="under">"All records of a day: what is missing, what stands, the tables."</span>
                    </span>
                </A>
                <A href="/court" attr:class="btn wide start">
                    <span class="words">
                        "Set out a court"
                        <span class="under">"What fits into the ground at hand, and how to chalk it with a tape."</span>
                    </span>
                </A>
                <A href="/care" attr:class="btn wide start">
                    <span class="words">
                        "Before you play: care"
                        <span class="under">"The checklist, the thunder clock, heat. And about this app."</span>
                    </span>
                </A>
            </section>
        </Page>
    }
}

/// A new version is offered here, where no game is open, and nowhere else.
#[component]
fn UpdateOffer() -> impl IntoView {
    let chalk = chalk();
    let take = move |_| {
        let event = web_sys::Event::new("chalkbook:take-update");
        if let (Some(window), Ok(event)) = (crate::js::window(), event) {
            let _ = window.dispatch_event(&event);
        }
    };
    let held = RwSignal::new(false);
    let heard = window_event_listener(
        leptos::ev::Custom::<web_sys::Event>::new("chalkbook:update-held"),
        move |_| held.set(true),
    );
    on_cleanup(move || heard.remove());
    view! {
        <Show when=move || chalk.update_waits.get()>
            <div class="message" role="status">
                <p class="what">"A new version of Chalkbook is on this phone."</p>
                <p>{move || if held.get() {
                    "Not changed: a game is open in another tab or window. Leave it there, or close it, then change."
                } else {
                    "Change to it now, between games. Recorded games stay as they are."
                }}</p>
                <div class="acts">
                    <button type="button" class="btn" on:click=take>"change to it now"</button>
                </div>
            </div>
        </Show>
    }
}

#[component]
fn GameList(title: &'static str, #[prop(into)] games: Signal<Vec<Shown>>) -> impl IntoView {
    view! {
        <Show when=move || !games.with(Vec::is_empty)>
            <section class="section" aria-label=title>
                <h2>{title}</h2>
                <ul class="games">
                    {move || games.get().into_iter().map(|g| view! { <li><Row opened=g/></li> }).collect_view()}
                </ul>
            </section>
        </Show>
    }
}

/// One game: teams, score, and where it stands.
#[component]
fn Row(opened: Shown) -> impl IntoView {
    let id = opened.listed.game.clone();
    let demo = opened.listed.demo;
    let when = if clock::same_day(opened.listed.begun, clock::now()) {
        clock::time_of_day(opened.listed.begun)
    } else {
        clock::day(opened.listed.begun)
    };
    match &opened.book {
        Ok(book) => row_of(&opened, book, &id, &when, demo).into_any(),
        Err(why) => damaged_row(&why.why, &id, &when).into_any(),
    }
}

fn row_of(shown: &Shown, book: &Book, id: &str, when: &str, demo: bool) -> impl IntoView + use<> {
    let word = crate::delivery::held(shown);
    let game = book.game();
    let over = game.ending().is_some();
    let score = game.score();
    let sides = Side::BOTH.map(|side| {
        view! {
            <span class="side">
                <span>{book.team(side).to_string()}</span>
                <span class="runs">{score[side]}</span>
            </span>
        }
    });
    let state = if over {
        format!("Over. Begun {when}.")
    } else if book.history().events().is_empty() {
        format!("Not begun. {when}.")
    } else {
        format!(
            "{}, {}. Begun {when}.",
            crate::parts::inning_words(game),
            engine::play::count_outs(game.outs())
        )
    };
    let state = if over {
        format!("{state} {}", stands(book))
    } else {
        state
    };
    let charter = match book.setup().charter {
        Some(_) => Signal::derive({
            let id = id.to_string();
            move || match heard().of(&id).map(|judged| judged.stands) {
                Some(Stands::NotHere) => "Its charter is not on this phone. ",
                Some(Stands::Differs) => "Not as the charter says. ",
                Some(Stands::Agrees) | None => "",
            }
        }),
        None if demo => Signal::stored(""),
        None => Signal::stored("Without a charter. "),
    };
    let damaged = (!book.is_whole()).then(|| view! { <span class="tag">"part damaged"</span> });
    let to = if over {
        format!("/statement?game={id}")
    } else {
        format!("/call?game={id}")
    };
    let class = if over { "game-row" } else { "game-row live" };
    view! {
        <A href=to attr:class=class>
            <span class="sides">{sides.collect_view()}</span>
            <span class="state">
                {demo.then(|| view! { <span class="tag">"demo"</span>" " })}
                {damaged}
                {state}" "{charter}
                <DeliveryWord records=word/>
            </span>
        </A>
    }
}

/// Where a finished game stands, as "Agreed and co-signed." or "Not signed yet."
fn stands(book: &Book) -> String {
    crate::words::capital(&format!("{}.", book.status()))
}

fn damaged_row(why: &str, id: &str, when: &str) -> impl IntoView + use<> {
    let state = format!("{why} Begun {when}. Kept as found.");
    view! {
        <A href=format!("/story?game={id}") attr:class="game-row">
            <span class="sides">"A game that cannot be read"</span>
            <span class="state">{state}</span>
        </A>
    }
}
