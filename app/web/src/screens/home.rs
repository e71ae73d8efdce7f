//! The first screen: what goes on, what comes next, the tools, the games so far.

mod next;
mod rows;

use crate::parts::A;
use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::parts::{Icon, Message, Page, Sign, Tone};
use crate::pieces;
use crate::screens::{DeliveryState, InstallOffer};
use crate::state::{Reach, app_state};
use next::Today;
use rows::{Finished, GoingOn};

/// What the first screen shows of the games on the phone. It comes with the
/// piece that reads them: a phone without games does without.
#[derive(Clone, Copy)]
pub struct GameLists {
    going_on: fn() -> AnyView,
    finished: fn() -> AnyView,
    delivery: fn() -> AnyView,
}

/// The lists, for the piece that they are in.
pub const LISTS: GameLists = GameLists {
    going_on: || view! { <GoingOn/><Today/> }.into_any(),
    finished: || view! { <Finished/> }.into_any(),
    delivery: || view! { <DeliveryState/> }.into_any(),
};

/// One of the lists, once it is here.
fn list(which: fn(GameLists) -> fn() -> AnyView) -> impl IntoView {
    let lists = expect_context::<RwSignal<Option<GameLists>>>();
    move || lists.get().map(|lists| which(lists)())
}

/// The first screen.
#[component]
pub fn Home() -> impl IntoView {
    let app = app_state();
    app.leave();
    let trouble = RwSignal::new(None::<(String, String)>);
    let empty = move || app.listed.get() && app.games.with(Vec::is_empty);
    let opened = move || app.listed.get() || matches!(app.reach.get(), Reach::Failed(_));
    // All that stands above the offer to install.
    let lists = expect_context::<RwSignal<Option<GameLists>>>();
    let stands = move || opened() && (empty() || lists.with(Option::is_some));
    let foot = move || view! { <A href="/new" attr:class="btn lit big wide">"New game"</A> };
    view! {
        <Page title=crate::parts::NAME has_foot=true foot=foot
            aside=|| view! { <A href="/settings" attr:class="btn">"Settings"</A> }>
            <UpdateOffer/>
            {move || trouble.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            <div class="home">
                <div class="stack">
                    <p>"Umpire and score five-a-side street baseball: every call followed, signed and \
                        compared, with or without a signal."</p>
                    // How much there is above the tools is known when the storage has answered: they
                    // wait for it, so that nothing moves under the thumb.
                    <Show when=opened fallback=|| view! {
                        <Message
                            what="Opening the games of this phone."
                            next="They are read from the phone itself, with or without a signal. It takes a moment."
                        />
                    }>
                        <Show when=empty>
                            <DemoDay trouble=trouble/>
                        </Show>
                        {list(|lists| lists.going_on)}
                        <Tools/>
                    </Show>
                </div>
                <div class="stack">
                    {list(|lists| lists.finished)}
                    <Show when=move || !empty() && app.listed.get()>
                        <DemoDay trouble=trouble/>
                    </Show>
                    <Show when=stands>
                        <InstallOffer/>
                    </Show>
                </div>
            </div>
        </Page>
    }
}

/// What is around the games: a sign and a word or two each.
#[component]
fn Tools() -> impl IntoView {
    let tools = [
        ("/events", Sign::Event, "Events"),
        ("/take", Sign::Phones, "Second phone"),
        ("/court", Sign::Court, "Court plan"),
        ("/care", Sign::Care, "Care list"),
    ];
    let tool = |(to, sign, words): (&'static str, Sign, &'static str)| {
        view! { <A href=to attr:class="btn tool"><Icon sign=sign/>{words}</A> }
    };
    view! {
        <nav class="tools" aria-label="Tools">
            {tools.map(tool).collect_view()}
            <A href="/delivery" attr:class="btn tool">
                <Icon sign=Sign::Delivery/>
                <span>"Delivery"</span>
                <span class="under">{list(|lists| lists.delivery)}</span>
            </A>
            {tool(("/desk", Sign::Desk, "Organiser's desk"))}
            {tool(("/check", Sign::Check, "Check a file"))}
        </nav>
    }
}

/// A made-up day, to look around in or to be taken away again.
#[component]
fn DemoDay(trouble: RwSignal<Option<(String, String)>>) -> impl IntoView {
    let app = app_state();
    let busy = RwSignal::new(false);
    let there = move || app.games.with(|games| games.iter().any(|g| g.listed.demo));
    let add = move |_| {
        if busy.get_untracked() {
            return;
        }
        busy.set(true);
        spawn_local(async move {
            trouble.set(pieces::demo_day(app, true).await.err());
            busy.set(false);
        });
    };
    let remove = move |_| {
        spawn_local(async move {
            trouble.set(pieces::demo_day(app, false).await.err());
        });
    };
    let offer = move || {
        view! {
            <button type="button" class="btn big wide start" on:click=add
                aria-disabled=move || busy.get().to_string()>
                <span class="words">
                    {move || if busy.get() { "Making the demo day" } else { "Show a demo day" }}
                    <span class="under">"A made-up event of a harbour town, under way: tables, a game in dispute, games to call on with."</span>
                </span>
            </button>
        }
    };
    view! {
        <Show when=there fallback=offer>
            <button type="button" class="btn wide start" on:click=remove>
                <span class="words">
                    "Remove the demo day"
                    <span class="under">"The made-up event with its games; your own stay."</span>
                </span>
            </button>
        </Show>
    }
}

/// A new version is offered here, where no game is open, and nowhere else.
#[component]
fn UpdateOffer() -> impl IntoView {
    let app = app_state();
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
        <Show when=move || app.update_waits.get()>
            <div class="message" role="status">
                <p class="what">"A new version of Chalkbook is on this phone."</p>
                <p>{move || if held.get() {
                    "Not changed: a game is open in another tab or window. Leave it there, or close it, then change."
                } else {
                    "Change to it now, between games. Recorded games stay as they are."
                }}</p>
                <div class="acts">
                    <button type="button" class="btn" on:click=take>"Change to it now"</button>
                </div>
            </div>
        </Show>
    }
}
