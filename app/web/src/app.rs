//! The frame of the app: theme, storage, update notice, and the way to each
//! screen.

use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::components::{Route, Router, Routes};
use leptos_router::{Lazy, path};

use crate::delivery::{Collectors, Delivery};
use crate::dropped::DropZone;
use crate::js;
use crate::parts::{Message, Page, Tone, TroubleMessage};
use crate::pieces::{
    self, Calling, Cards, Care, Check, ComponentSheet, Court, Cross, Deliveries, Desk, Events,
    MakeCharter, NewFixture, Officials, OneEvent, Preferences, ShowToOther, Statement, Story, Take,
};
use crate::screens::{GameLists, Home};
use crate::state::{AppState, Reach};

/// Everything on the page: theme, storage, update notice, and the way to each
/// screen. Delivery goes to work when the first screen stands.
#[component]
pub fn App() -> impl IntoView {
    let app = AppState::new();
    provide_context(app);
    let collectors = Collectors::new();
    provide_context(collectors);
    let delivery = Delivery::new(collectors);
    provide_context(delivery);
    Effect::new(move |_| app.settings.with(|s| s.show()));
    if let Some(dark) =
        js::window().and_then(|w| w.match_media("(prefers-color-scheme: dark)").ok().flatten())
    {
        let again = wasm_bindgen::prelude::Closure::<dyn FnMut()>::new(move || {
            app.settings.with_untracked(|s| s.show());
        });
        dark.set_onchange(Some(wasm_bindgen::JsCast::unchecked_ref(again.as_ref())));
        // The page lives as long as this listener.
        again.forget();
    }
    let lists = RwSignal::new(None::<GameLists>);
    provide_context(lists);
    spawn_local(pieces::start(app, lists, delivery));

    let waits = move || {
        js::root()
            .and_then(|r| r.get_attribute("data-update"))
            .is_some()
    };
    app.update_waits.set(waits());
    let heard = window_event_listener(
        leptos::ev::Custom::<web_sys::Event>::new("chalkbook:update"),
        move |_| app.update_waits.set(true),
    );
    on_cleanup(move || heard.remove());

    view! {
        <div class="unseen" role="status" aria-live="polite">{move || app.aloud.get()}</div>
        <Router base=js::folder()>
            <StorageState/>
            <DropZone/>
            <Routes fallback=NotFound>
                <Route path=path!("/") view=Home/>
                <Route path=path!("/index.html") view=Home/>
                <Route path=path!("/call") view={Lazy::<Calling>::new()}/>
                <Route path=path!("/story") view={Lazy::<Story>::new()}/>
                <Route path=path!("/new") view={Lazy::<NewFixture>::new()}/>
                <Route path=path!("/cards") view={Lazy::<Cards>::new()}/>
                <Route path=path!("/officials") view={Lazy::<Officials>::new()}/>
                <Route path=path!("/statement") view={Lazy::<Statement>::new()}/>
                <Route path=path!("/cross") view={Lazy::<Cross>::new()}/>
                <Route path=path!("/events") view={Lazy::<Events>::new()}/>
                <Route path=path!("/event") view={Lazy::<OneEvent>::new()}/>
                <Route path=path!("/charter") view={Lazy::<MakeCharter>::new()}/>
                <Route path=path!("/show") view={Lazy::<ShowToOther>::new()}/>
                <Route path=path!("/take") view={Lazy::<Take>::new()}/>
                <Route path=path!("/desk") view={Lazy::<Desk>::new()}/>
                <Route path=path!("/settings") view={Lazy::<Preferences>::new()}/>
                <Route path=path!("/delivery") view={Lazy::<Deliveries>::new()}/>
                <Route path=path!("/care") view={Lazy::<Care>::new()}/>
                <Route path=path!("/court") view={Lazy::<Court>::new()}/>
                <Route path=path!("/check") view={Lazy::<Check>::new()}/>
                <Route path=path!("/sheet") view={Lazy::<ComponentSheet>::new()}/>
            </Routes>
        </Router>
    }
}

/// What is wrong with the storage, above every screen.
#[component]
fn StorageState() -> impl IntoView {
    let app = crate::state::app_state();
    let failed = Signal::derive(move || match app.reach.get() {
        Reach::Failed(trouble) => Some(trouble),
        Reach::Opening | Reach::Ready => None,
    });
    view! {
        <TroubleMessage trouble=failed/>
        <Show when=move || app.blocked.get()>
            <TroubleMessage trouble=Signal::derive(|| Some(crate::store::Trouble::Blocked))/>
        </Show>
    }
}

#[component]
fn NotFound() -> impl IntoView {
    view! {
        <Page title="No such screen" back="/">
            <Message
                tone=Tone::Plain
                what="There is no screen at this address."
                next="Go back to the games of this phone."
            />
        </Page>
    }
}
