//! Settings of this phone.

use crate::parts::{A, Section};
use engine::log::Role;
use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::hooks::use_query_map;

use crate::http::{self, Reply, Request, Stop};
use crate::official::Official;
use crate::parts::Page;
use crate::settings::{Hand, Settings, Theme};
use crate::state::{Reach, app_state};
use crate::store::{Lasting, Room, ask_to_last, lasting, room};

/// Theme, hand, tick, quick outs, a screen that stays awake; what the browser keeps.
#[component]
pub fn Preferences() -> impl IntoView {
    let app = app_state();
    let change = move |f: fn(&mut Settings)| {
        app.settings.update(f);
        app.settings.with_untracked(Settings::save);
    };
    let space = RwSignal::new(None::<Room>);
    spawn_local(async move { space.set(room().await) });
    let lasts = RwSignal::new(None::<Lasting>);
    spawn_local(async move { lasts.set(Some(lasting().await)) });
    let ask = move |_| spawn_local(async move { lasts.set(Some(ask_to_last().await)) });
    let waits = move || {
        let ready = app.reach.get() == Reach::Ready;
        ready.then(|| app.store().and_then(|s| s.waits_for_disk()))
    };
    let theme = Signal::derive(move || app.settings.with(|s| s.theme));
    let hand = Signal::derive(move || app.settings.with(|s| s.hand));
    let query = use_query_map();
    let for_card = query.with_untracked(|q| q.get("for").is_some_and(|f| f == "card"));
    let back = if for_card { "/show?what=card" } else { "/" };
    view! {
        <Page title="Settings" back=back>
            <Whose/>
            <fieldset class="section">
                <legend>"Theme"</legend>
                <div class="choices">
                    <Choice group="theme" label="As the phone is set" chosen=move || theme.get() == Theme::Phone
                        choose=move || change(|s| s.theme = Theme::Phone)/>
                    <Choice group="theme" label="Noon: paper and ink, for sunlight" chosen=move || theme.get() == Theme::Noon
                        choose=move || change(|s| s.theme = Theme::Noon)/>
                    <Choice group="theme" label="Night: chalk on asphalt" chosen=move || theme.get() == Theme::Night
                        choose=move || change(|s| s.theme = Theme::Night)/>
                </div>
            </fieldset>
            <fieldset class="section">
                <legend>"The hand that holds the phone"</legend>
                <div class="choices">
                    <Choice group="hand" label="Right" chosen=move || hand.get() == Hand::Right
                        choose=move || change(|s| s.hand = Hand::Right)/>
                    <Choice group="hand" label="Left" chosen=move || hand.get() == Hand::Left
                        choose=move || change(|s| s.hand = Hand::Left)/>
                </div>
            </fieldset>
            <fieldset class="section">
                <legend>"While calling"</legend>
                <div class="choices">
                    <Tick label="A tick in the hand when a call is recorded"
                        on=move || app.settings.with(|s| s.tick)
                        flip=move || change(|s| s.tick = !s.tick)/>
                    <Tick label="The screen stays awake"
                        on=move || app.settings.with(|s| s.awake)
                        flip=move || change(|s| s.awake = !s.awake)/>
                    <Tick label="With the bases empty, an out records in one tap"
                        on=move || app.settings.with(|s| s.quick_outs)
                        flip=move || change(|s| s.quick_outs = !s.quick_outs)/>
                    <Tick label="Ask who touched the ball (for the score sheet)"
                        on=move || app.settings.with(|s| s.fielding)
                        flip=move || change(|s| s.fielding = !s.fielding)/>
                </div>
            </fieldset>
            <Section title="Keeping the games">
                <p>{move || lasts.get().map(Lasting::what)}</p>
                <p>{move || match waits()? {
                    Ok(true) => Some("Each call is confirmed only when it is on the disk of the phone."),
                    Ok(false) => Some("This browser confirms a call when it has handed it to the phone; a dead battery in that second could lose it."),
                    Err(_) => None,
                }}</p>
                <p>{move || space.get().map(|r| format!(
                    "Used by this page: {} of {} allowed.", megabytes(r.used), megabytes(r.quota)
                ))}</p>
                <Show when=move || lasts.get() == Some(Lasting::NotPromised)>
                    <button type="button" class="btn wide" on:click=ask>"Ask the browser to keep them for good"</button>
                </Show>
            </Section>
            <Licences/>
        </Page>
    }
}

/// Who keeps the logs of this phone, and with which key.
#[component]
fn Whose() -> impl IntoView {
    let app = app_state();
    let keep = move |f: &dyn Fn(&mut Official)| {
        app.official.update(|o| f(o));
        app.official.with_untracked(Official::save);
    };
    let named = move |event| {
        let name = event_target_value(&event);
        keep(&|o| o.name = name.trim().to_string());
    };
    view! {
        <fieldset class="section">
            <legend>"Who records on this phone"</legend>
            <div class="field">
                <label for="official-name">"Your name, as it may stand under a game"</label>
                <input id="official-name" class="input" autocomplete="off" maxlength="60"
                    prop:value=move || app.official.with(|o| o.name.clone()) on:change=named/>
            </div>
            <Roles chosen=Signal::derive(move || app.official.with(Official::role))
                choose=Callback::new(move |role: Role| keep(&|o| o.role = role.to_string()))/>
            {move || app.key_shown.get().map(|key| view! {
                <p>"Everything recorded here is signed. The six words of your key, to read to the other official:"</p>
                <p class="phrase">{key.phrase}</p>
                <p>{key.kind.what()}</p>
                <p class="soft">"Fingerprint: "{key.fingerprint}</p>
                <A href="/show?what=card" attr:class="btn wide">"Show my card to an organiser"</A>
            })}
        </fieldset>
    }
}

/// The choice of an official's role.
#[component]
pub(super) fn Roles(#[prop(into)] chosen: Signal<Role>, choose: Callback<Role>) -> impl IntoView {
    let roles = Official::ROLES.map(|role| {
        let label = match role {
            Role::Scorer => "Second scorer",
            Role::Organiser => "Organiser",
            Role::Umpire | Role::Other => "Umpire",
        };
        view! {
            <Choice group="role" label=label
                chosen=move || chosen.get() == role choose=move || choose.run(role)/>
        }
    });
    view! { <div class="choices">{roles.collect_view()}</div> }
}

/// The terms of the libraries in the app, as its build put them beside it.
#[component]
fn Licences() -> impl IntoView {
    const FILE: &str = "third-party.txt";
    const LONGEST: usize = 4_000_000;
    let text = RwSignal::new(String::new());
    let is_read = StoredValue::new(false);
    let read = move |_| {
        // Closing is a toggle too.
        if is_read.get_value() {
            return;
        }
        spawn_local(async move {
            let mut request = Request::new(FILE);
            request.limit = LONGEST;
            let came = match http::exchange(request, &Stop::new()).await {
                Reply::Came {
                    status: 200, body, ..
                } => String::from_utf8(body).ok(),
                _ => None,
            };
            is_read.set_value(came.is_some());
            let missing = || "They cannot be read just now. Open this again with a signal.".into();
            text.set(came.unwrap_or_else(missing));
        });
    };
    view! {
        <details class="section" on:toggle=read>
            <summary class="btn wide">"Libraries by others, and their licences"</summary>
            <pre class="licences">{text}</pre>
        </details>
    }
}

fn megabytes(bytes: f64) -> String {
    let mb = bytes / 1_000_000.0;
    if mb < 10.0 {
        format!("{mb:.1} MB")
    } else {
        format!("{mb:.0} MB")
    }
}

/// One of several.
#[component]
pub fn Choice(
    /// Those that exclude each other.
    #[prop(into)]
    group: String,
    /// Its words.
    #[prop(into)]
    label: String,
    /// Whether it is chosen.
    chosen: impl Fn() -> bool + Send + Sync + 'static,
    /// Chooses it.
    choose: impl Fn() + 'static,
) -> impl IntoView {
    view! {
        <label class="choice">
            <input type="radio" name=group prop:checked=chosen on:change=move |_| choose()/>
            <span>{label}</span>
        </label>
    }
}

/// On or off.
#[component]
pub fn Tick(
    /// Its words.
    #[prop(into)]
    label: String,
    /// Whether it is on.
    on: impl Fn() -> bool + Send + Sync + 'static,
    /// Turns it over.
    flip: impl Fn() + 'static,
) -> impl IntoView {
    view! {
        <label class="choice">
            <input type="checkbox" prop:checked=on on:change=move |_| flip()/>
            <span>{label}</span>
        </label>
    }
}
