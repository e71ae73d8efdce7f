//! Who is home.

use leptos::prelude::*;

use crate::device;
use crate::draft::Draft;

/// Who is home: a coin on this phone, or as agreed.
#[component]
pub(super) fn Toss(draft: RwSignal<Draft>) -> impl IntoView {
    let toss = move |_| {
        let Ok([byte]) = device::random_bytes::<1>() else {
            return;
        };
        draft.update(|d| {
            d.home = Some(usize::from(byte & 1));
            (d.coin, d.by_schedule) = (true, false);
        });
    };
    let name = move |at: usize| {
        draft.with(|d| d.teams.get(at).map(|t| t.name.clone()).unwrap_or_default())
    };
    let said = move || {
        let home = draft.with(|d| d.home)?;
        let how = match draft.with(|d| (d.coin, d.by_schedule)) {
            (true, _) => "The coin says: ",
            (_, true) => "The schedule says: ",
            _ => "",
        };
        Some(format!(
            "{how}{} are home and field first; {} bat first.",
            name(home),
            name(1 - home.min(1))
        ))
    };
    view! {
        <section class="section" aria-label="Who is home">
            <h2>"Who is home?"</h2>
            <p>"The home side fields first."</p>
            <button type="button" class="btn big wide" on:click=toss>"Toss a coin here"</button>
            <p class="soft">"Or, as agreed:"</p>
            <div class="ways two">
                {[0, 1].map(|at| view! {
                    <button type="button" class="btn" aria-pressed=move || draft.with(|d| d.home == Some(at)).to_string()
                        on:click=move |_| draft.update(|d| {
                            // The schedule's word stays while it is the same.
                            d.by_schedule &= d.home == Some(at);
                            (d.home, d.coin) = (Some(at), false);
                        })>
                        {move || format!("{} home", name(at))}
                    </button>
                }).collect_view()}
            </div>
            <p class="strong" role="status">{said}</p>
        </section>
    }
}
