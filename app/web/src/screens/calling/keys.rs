//! Calling by keyboard.

use engine::game::{BatterChoice, Draft};
use engine::play::Goal;
use leptos::ev::KeyboardEvent;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use web_sys::HtmlElement;

use crate::js;

/// What keys can do.
#[derive(Clone, Copy)]
pub struct Actions {
    /// The call being made.
    pub draft: RwSignal<Draft>,
    /// Records it.
    pub record: Callback<()>,
    /// Takes the last thing back.
    pub undo: Callback<()>,
    /// The sheet with everything else.
    pub more: RwSignal<bool>,
}

/// Each key with what it does, as shown in the sheet.
pub const KEYS: [(&str, &str); 8] = [
    ("1 2 3 4", "batter safe at 1st, 2nd, 3rd, home"),
    ("o", "batter out before 1st"),
    ("c", "caught"),
    ("x", "illegal hit"),
    ("r", "record"),
    ("u", "undo the last"),
    ("m", "more"),
    ("arrows", "from button to button; Enter taps"),
];

/// Listens while the screen is up.
pub fn listen(actions: Actions) {
    let heard = window_event_listener(leptos::ev::keydown, move |event| {
        if event.ctrl_key() || event.meta_key() || event.alt_key() || event.repeat() || busy(&event)
        {
            return;
        }
        let batter = |choice: BatterChoice| actions.draft.update(|d| d.choose_batter(choice));
        let lanes = query(".lanes").is_some();
        match event.key().as_str() {
            n @ ("1" | "2" | "3" | "4") if lanes => {
                if let Some(goal) = n.parse().ok().and_then(Goal::from_number) {
                    batter(BatterChoice::Safe(goal));
                }
            }
            "o" if lanes => batter(BatterChoice::Out),
            "c" if lanes => batter(BatterChoice::Caught),
            "x" if lanes => batter(BatterChoice::Illegal),
            "r" if lanes => actions.record.run(()),
            "u" => actions.undo.run(()),
            "m" => actions.more.set(true),
            "ArrowRight" => step(1),
            "ArrowLeft" => step(-1),
            "ArrowDown" => row(1),
            "ArrowUp" => row(-1),
            _ => return,
        }
        event.prevent_default();
    });
    on_cleanup(move || heard.remove());
}

/// Whether the key belongs to a field or to a sheet that is up.
fn busy(event: &KeyboardEvent) -> bool {
    let in_field = event
        .target()
        .and_then(|t| t.dyn_into::<HtmlElement>().ok())
        .is_some_and(|e| matches!(e.tag_name().as_str(), "INPUT" | "TEXTAREA" | "SELECT"));
    in_field || query("dialog[open]").is_some()
}

fn query(selector: &str) -> Option<web_sys::Element> {
    js::window()?
        .document()?
        .query_selector(selector)
        .ok()
        .flatten()
}

fn buttons() -> Vec<HtmlElement> {
    let Some(document) = js::window().and_then(|w| w.document()) else {
        return Vec::new();
    };
    let Ok(list) = document.query_selector_all(".calling button:not([disabled])") else {
        return Vec::new();
    };
    (0..list.length())
        .filter_map(|i| list.get(i)?.dyn_into().ok())
        .collect()
}

fn focused(all: &[HtmlElement]) -> Option<usize> {
    let active = js::window()?.document()?.active_element()?;
    all.iter().position(|b| {
        let b: &web_sys::Element = b;
        *b == active
    })
}

/// To the next or previous button.
fn step(by: isize) {
    let all = buttons();
    let last = all.len().saturating_sub(1);
    let to = match focused(&all) {
        Some(at) => at.saturating_add_signed(by).min(last),
        None => last.saturating_sub(1),
    };
    if let Some(button) = all.get(to) {
        let _ = button.focus();
    }
}

/// To the nearest button in the next or previous row.
fn row(by: isize) {
    let all = buttons();
    let Some(at) = focused(&all) else {
        return step(1);
    };
    let Some(from) = all.get(at).map(|b| b.get_bounding_client_rect()) else {
        return;
    };
    let middle = |r: &web_sys::DomRect| r.left() + r.width() / 2.0;
    let beyond = all.iter().filter_map(|b| {
        let rect = b.get_bounding_client_rect();
        let down = (rect.top() - from.top()) * by as f64;
        (down > from.height() / 2.0)
            .then(|| (down * 4.0 + (middle(&rect) - middle(&from)).abs(), b))
    });
    if let Some((_, button)) = beyond.min_by(|a, b| a.0.total_cmp(&b.0)) {
        let _ = button.focus();
    }
}
