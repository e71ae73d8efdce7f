//! Heat: only from a WBGT meter's reading.

use engine::court::care::{Band, Wbgt};
use leptos::prelude::*;

use super::{Looking, Who};
use crate::clock;
use crate::parts::{Message, Section, Tone};
use crate::precautions::Look;

/// How the log words a reading.
const ITEM: &str = "Heat: WBGT ";

/// One reading, its band, and those kept.
#[component]
pub fn Heat(looking: Looking) -> impl IntoView {
    let text = RwSignal::new(String::new());
    let celsius = RwSignal::new(true);
    let unit = move || if celsius.get() { "C" } else { "F" };
    let read = move || {
        let number = text.get();
        (!number.trim().is_empty()).then(|| format!("{} {}", number.trim(), unit()).parse::<Wbgt>())
    };
    let wrong = move || match read() {
        Some(Err(why)) => Some(why.to_string()),
        _ => None,
    };
    let band = Memo::new(move |_| read().and_then(Result::ok).map(Wbgt::band));
    let keep = move |_| {
        let (Some(band), Some(who)) = (band.get_untracked(), looking.name()) else {
            return;
        };
        let number = text.get_untracked().trim().replace(',', ".");
        let look = Look {
            item: format!("{ITEM}{number} °{}, {}", unit(), band.word()),
            who,
            in_order: band <= Band::Care,
            at: clock::now(),
        };
        looking.keep(look, move || text.set(String::new()));
    };
    let kept = move || {
        looking.looks.with(|l| {
            l.iter()
                .rev()
                .filter(|l| l.item.starts_with(ITEM))
                .map(|l| {
                    let reading = l.item.strip_prefix("Heat: ").unwrap_or(&l.item).to_string();
                    view! { <li>{format!("{}: {reading} ({}).", clock::time_of_day(l.at), l.who)}</li> }
                })
                .collect_view()
        })
    };
    view! {
        <section class="section" aria-label="Heat">
            <p>"Read a WBGT meter on the court, in the sun. WBGT is not the air temperature and cannot be worked out from it here: humidity, sun and dark asphalt count."</p>
            <div class="field">
                <label for="wbgt">"WBGT reading"</label>
                <div class="figures units">
                    <input id="wbgt" class="input" inputmode="decimal" autocomplete="off" maxlength="6"
                        aria-invalid=move || wrong().is_some().to_string() aria-describedby="wbgt-why"
                        prop:value=move || text.get() on:input:target=move |ev| text.set(ev.target().value())/>
                    <button type="button" class="btn" aria-pressed=move || celsius.get().to_string()
                        on:click=move |_| celsius.set(true)>"°C"</button>
                    <button type="button" class="btn" aria-pressed=move || (!celsius.get()).to_string()
                        on:click=move |_| celsius.set(false)>"°F"</button>
                </div>
                <div id="wbgt-why" role="alert">
                    {move || wrong().map(|w| view! { <p class="objection">{w}</p> })}
                </div>
            </div>
            {move || band.get().map(|b| view! { <Message tone=tone(b) what=b.text().to_string()/> })}
            <Who looking=looking/>
            <button type="button" class="btn wide" disabled=move || band.get().is_none() on:click=keep>"Keep this reading"</button>
            <ul class="stack-tight" aria-label="Readings kept">{kept}</ul>
        </section>
        <Section title="Signs of heat illness">
            <p>"Confusion, stumbling, vomiting, hot skin: stop, cool at once with water and ice, and call the emergency number."</p>
        </Section>
    }
}

const fn tone(band: Band) -> Tone {
    match band {
        Band::Normal => Tone::Good,
        Band::Care => Tone::Plain,
        Band::Limit | Band::Cancel => Tone::Bad,
    }
}
