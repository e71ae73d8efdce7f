//! The app on the home screen: offered where the browser can put it there,
//! explained where only a person can.

use leptos::prelude::*;

use crate::js;

/// How the app gets onto the home screen of this phone, as `boot.js` found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Install {
    /// It is there, or nothing is known of a way.
    Done,
    /// The browser asks when it is told to.
    Offered,
    /// By the share menu of an iPhone or iPad.
    ByHand,
}

fn now() -> Install {
    let said = js::root().and_then(|root| root.get_attribute("data-install"));
    match said.as_deref() {
        Some("offered") => Install::Offered,
        Some("by-hand") => Install::ByHand,
        _ => Install::Done,
    }
}

/// The offer, or what to do. It comes last on its screen, so that nothing
/// moves when the browser makes up its mind.
#[component]
pub fn InstallOffer() -> impl IntoView {
    let install = RwSignal::new(now());
    let heard = window_event_listener(
        leptos::ev::Custom::<web_sys::Event>::new("chalkbook:install"),
        move |_| install.set(now()),
    );
    on_cleanup(move || heard.remove());
    let ask = move |_| {
        let event = web_sys::Event::new("chalkbook:install-now");
        if let (Some(window), Ok(event)) = (js::window(), event) {
            // The browser answers with `chalkbook:install`.
            let _ = window.dispatch_event(&event);
        }
    };
    move || {
        match install.get() {
        Install::Done => ().into_any(),
        Install::Offered => view! {
            <button type="button" class="btn wide start" on:click=ask>
                <span class="words">
                    "Install on this phone"
                    <span class="under">"On the home screen, full screen, with or without a signal."</span>
                </span>
            </button>
        }
        .into_any(),
        Install::ByHand => view! {
            <div class="message">
                <p class="what">"Put Chalkbook on the home screen."</p>
                <p>
                    "Tap Share in the browser's bar, then Add to Home Screen, and open it there from now on: \
                     an iPhone may clear a page that is not there after some weeks unused, its games with it."
                </p>
            </div>
        }
        .into_any(),
    }
    }
}
