//! Links to the app's own screens.

use leptos::prelude::*;
use leptos_router::components::ToHref;

use crate::js;

/// A link to a screen, as `/call?game=…`. The router's own one takes what
/// begins with a slash for an address of the whole host; the app may be served
/// below a path of it.
#[component]
pub fn A<H>(
    /// The screen, from the folder of the app on.
    href: H,
    /// What it says.
    children: Children,
) -> impl IntoView
where
    H: ToHref + Send + Sync + 'static,
{
    let folder = js::folder();
    let href = move || format!("{folder}{}", href.to_href()());
    view! { <leptos_router::components::A href=href>{children()}</leptos_router::components::A> }
}
