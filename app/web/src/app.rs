//! The frame of the app: theme, storage, update notice, and the way to each
//! screen. The screens come in two modules, so that the first visit loads no
//! more than its first screen and calling need.

use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::components::{Route, Router, Routes};
use leptos_router::hooks::use_location;
use leptos_router::path;

use crate::against::Heard;
use crate::chalk::{Chalk, Reach, ReadBeside};
use crate::delivery::{Delivery, Posts};
use crate::dropped::DropZone;
use crate::js;
use crate::parts::{Message, Page, Tone, TroubleMessage};
use crate::screens::{
    Calling, Cards, Care, ComponentSheet, Court, Cross, Deliveries, Desk, Events, Home,
    MakeCharter, NewFixture, OneEvent, Preferences, ShowToOther, Statement, Story, Take,
};

/// The address of the page without its server.
fn address() -> String {
    let location = js::window().map(|w| w.location());
    let part = |part: Option<Result<String, _>>| part.and_then(Result::ok).unwrap_or_default();
    let path = part(location.as_ref().map(web_sys::Location::pathname));
    path + &part(location.as_ref().map(web_sys::Location::search))
}

/// The part of the app that is loaded first: the games of this phone, and
/// calling one. `public/boot.js` names its screens.
#[component]
pub fn Game() -> impl IntoView {
    view! {
        <Frame module=GAME>
            <Routes fallback=Elsewhere>
                <Route path=path!("/") view=Home/>
                <Route path=path!("/index.html") view=Home/>
                <Route path=path!("/call") view=Calling/>
                <Route path=path!("/story") view=Story/>
            </Routes>
        </Frame>
    }
}

/// The screens before, beside and after a game, in a module of their own.
#[component]
pub fn Around() -> impl IntoView {
    view! {
        <Frame module=AROUND>
            <Routes fallback=Elsewhere>
                <Route path=path!("/new") view=NewFixture/>
                <Route path=path!("/cards") view=Cards/>
                <Route path=path!("/statement") view=Statement/>
                <Route path=path!("/cross") view=Cross/>
                <Route path=path!("/events") view=Events/>
                <Route path=path!("/event") view=OneEvent/>
                <Route path=path!("/charter") view=MakeCharter/>
                <Route path=path!("/show") view=ShowToOther/>
                <Route path=path!("/take") view=Take/>
                <Route path=path!("/desk") view=Desk/>
                <Route path=path!("/settings") view=Preferences/>
                <Route path=path!("/delivery") view=Deliveries/>
                <Route path=path!("/care") view=Care/>
                <Route path=path!("/court") view=Court/>
                <Route path=path!("/sheet") view=ComponentSheet/>
            </Routes>
        </Frame>
    }
}

/// In what the modules differ beside their screens.
#[derive(Clone, Copy)]
struct Module {
    read: ReadBeside,
    begin: fn(Chalk, Posts),
}

/// The first visit does not wait for delivery and charters: they are in a
/// module of their own, which `public/boot.js` starts beside this one.
const GAME: Module = Module {
    read: |_| Box::pin(core::future::ready(Ok(()))),
    begin: |chalk, posts| {
        posts.follow(chalk);
        provide_context(Heard::listen());
    },
};

const AROUND: Module = Module {
    read: Chalk::read_charters,
    begin: deliver_here,
};

/// Delivery runs within this module.
fn deliver_here(chalk: Chalk, posts: Posts) {
    let delivery = Delivery::new(posts);
    provide_context(delivery);
    let ready = Memo::new(move |_| chalk.reach.get() == Reach::Ready);
    Effect::new(move |_| {
        if ready.get()
            && let Ok(store) = chalk.store()
        {
            spawn_local(delivery.start(store));
        }
    });
}

/// What every screen has: theme, storage, update notice, and the router.
#[component]
fn Frame(
    /// The module it is in.
    module: Module,
    children: TypedChildren<impl IntoView + 'static>,
) -> impl IntoView {
    let children = children.into_inner();
    let chalk = Chalk::new(module.read);
    provide_context(chalk);
    let posts = Posts::new();
    provide_context(posts);
    (module.begin)(chalk, posts);
    provide_context(Begun(address()));
    Effect::new(move |_| chalk.settings.with(|s| s.show()));
    if let Some(dark) =
        js::window().and_then(|w| w.match_media("(prefers-color-scheme: dark)").ok().flatten())
    {
        let again = wasm_bindgen::prelude::Closure::<dyn FnMut()>::new(move || {
            chalk.settings.with_untracked(|s| s.show());
        });
        dark.set_onchange(Some(wasm_bindgen::JsCast::unchecked_ref(again.as_ref())));
        // The page lives as long as this listener.
        again.forget();
    }
    spawn_local(chalk.start());

    let waits = move || {
        js::root()
            .and_then(|r| r.get_attribute("data-update"))
            .is_some()
    };
    chalk.update_waits.set(waits());
    let heard = window_event_listener(
        leptos::ev::Custom::<web_sys::Event>::new("chalkbook:update"),
        move |_| chalk.update_waits.set(true),
    );
    on_cleanup(move || heard.remove());

    view! {
        <div class="unseen" role="status" aria-live="polite">{move || chalk.aloud.get()}</div>
        <Router base=js::folder()>
            <StorageState/>
            <DropZone/>
            {children()}
        </Router>
    }
}

/// The address that this page began with.
#[derive(Clone)]
struct Begun(String);

/// A screen of the other module: the page is loaded again at its address, and
/// with it the module that has it. An address that the page began with is of
/// no screen at all.
#[component]
fn Elsewhere() -> impl IntoView {
    let to = use_location();
    let to = to.pathname.get_untracked() + &to.search.with_untracked(|s| query(s));
    if use_context::<Begun>().is_some_and(|begun| begun.0 == to) {
        return view! { <NotFound/> }.into_any();
    }
    load_at(to, 0);
    ().into_any()
}

fn query(search: &str) -> String {
    match search.trim_start_matches('?') {
        "" => String::new(),
        some => format!("?{some}"),
    }
}

/// Loads the page again once the router has written the address down, so that
/// the way back has one step, not two.
fn load_at(to: String, waited: u8) {
    const EVERY: core::time::Duration = core::time::Duration::from_millis(10);
    let Some(location) = js::window().map(|w| w.location()) else {
        return;
    };
    // Refused only where the page may not navigate at all.
    if address() == to {
        let _ = location.reload();
    } else if waited == 100 {
        let _ = location.set_href(&to);
    } else {
        set_timeout(move || load_at(to, waited + 1), EVERY);
    }
}

/// What is wrong with the storage, above every screen.
#[component]
fn StorageState() -> impl IntoView {
    let chalk = crate::chalk::chalk();
    let failed = Signal::derive(move || match chalk.reach.get() {
        Reach::Failed(trouble) => Some(trouble),
        Reach::Opening | Reach::Ready => None,
    });
    view! {
        <TroubleMessage trouble=failed/>
        <Show when=move || chalk.blocked.get()>
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
