//! The collectors whose receipts count.

use engine::log::{Author, PublicKey, Role};
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::fields::Slips;
use super::{Making, anchor};
use crate::charter_draft::{Place, read_key};
use crate::delivery::{self, host};
use crate::http::{Reply, Request, Stop, exchange};

/// A collector that told its key, to be compared before it is listed.
#[derive(Clone, PartialEq)]
struct AnsweredCollector {
    address: String,
    key: PublicKey,
}

/// Those listed, and what asks one for its key.
#[component]
pub fn Collectors(making: Making) -> impl IntoView {
    let draft = making.draft;
    let answered = RwSignal::new(None::<AnsweredCollector>);
    let failed = RwSignal::new(None::<String>);
    let named = delivery::collectors().named;
    let addresses = move || named.with(|n| n.to_ask(&delivery::own()));
    let ask = move |address: String| {
        spawn_local(async move {
            let got = key_of(&address).await;
            let _ = failed.try_set(got.as_ref().err().cloned());
            let _ = answered.try_set(got.ok());
        });
    };
    let list = move |_| {
        if let Some(AnsweredCollector { address, key }) = answered.get_untracked() {
            let collector = Author::new(key, host(&address), Role::Other);
            draft.update(|d| d.add_collector(&collector));
            answered.set(None);
        }
    };
    let listed = move || draft.with(|d| d.collectors.clone());
    view! {
        <section class="section" aria-label="Collectors" id=anchor(Place::Collectors)>
            <h2>"Collectors"</h2>
            <p>"A collector signs and dates what it takes in. With its key in the charter everyone can tell its word \
                from a stranger's, and a lost key can be ended from a moment on."</p>
            {move || listed().into_iter().enumerate().map(|(at, collector)| {
                let words = read_key(&collector.key).map_or_else(|why| why, |key| key.phrase().to_string());
                let remove = move |_| draft.update(|d| if at < d.collectors.len() { d.collectors.remove(at); });
                view! {
                    <div class="stack-tight boxed" role="group" aria-label=collector.name.clone()>
                        <p><b>{collector.name.clone()}</b></p>
                        <div class="split">
                            <p class="soft">{words}</p>
                            <button type="button" class="btn" on:click=remove
                                aria-label=format!("take out {}", collector.name)>"Take out"</button>
                        </div>
                    </div>
                }
            }).collect_view()}
            {move || addresses().into_iter().map(|address| {
                let words = format!("Ask {} for its key", host(&address));
                view! {
                    <button type="button" class="btn wide" on:click=move |_| ask(address.clone())>{words}</button>
                }
            }).collect_view()}
            <div role="status" class="stack-tight">
                {move || failed.get().map(|why| view! { <p class="objection">{why}</p> })}
                {move || answered.get().map(|a| view! {
                    <p>{format!("{} says that these six words are its key's. Compare them with whoever runs it:", host(&a.address))}</p>
                    <p class="phrase">{a.key.phrase().to_string()}</p>
                    <button type="button" class="btn wide" on:click=list>"They are the same: list this key"</button>
                })}
            </div>
            <Slips making=making place=Place::Collectors/>
        </section>
    }
}

/// Asks a collector for its key.
async fn key_of(address: &str) -> Result<AnsweredCollector, String> {
    let url = format!("{address}/api/key");
    let reply = exchange(Request::new(&url), &Stop::new()).await;
    let host = host(address);
    let Reply::Came { status, body, .. } = reply else {
        return Err(format!("{host} does not answer: no signal, or it is off."));
    };
    let text = String::from_utf8(body).unwrap_or_default();
    match (status, read_key(text.trim())) {
        (200, Ok(key)) => Ok(AnsweredCollector {
            address: address.into(),
            key,
        }),
        _ => Err(format!(
            "{host} gives no key: it signs no receipts, or it is no collector."
        )),
    }
}
