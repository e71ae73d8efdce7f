//! QR codes on the screen: black on white in both themes, with the quiet zone
//! that readers need.

use core::fmt::Write as _;

use engine::link::qr::{Code, draw};
use engine::link::{Sender, text};
use leptos::prelude::*;

use crate::device;

/// Codes a second: measured best for cameras of 15 to 30 frames a second.
const A_SECOND: u64 = 10;

/// A code as one path of horizontal runs.
fn path(code: &Code) -> String {
    let mut d = String::new();
    for y in 0..code.side() {
        let mut x = 0;
        while x < code.side() {
            let run = (x..code.side()).take_while(|x| code.dark(*x, y)).count();
            if run > 0 {
                let (left, top) = (x + Code::QUIET, y + Code::QUIET);
                // Writing to memory cannot fail.
                let _ = write!(d, "M{left} {top}h{run}v1h-{run}z");
            }
            x += run.max(1);
        }
    }
    d
}

/// A payload as a loop of codes, each a new piece, so that any of them help.
#[component]
pub fn CodeLoop(
    /// What is sent.
    sender: StoredValue<Sender>,
) -> impl IntoView {
    let piece = RwSignal::new(0u32);
    let paused = RwSignal::new(false);
    let needed = sender.with_value(Sender::symbols);
    let code = Memo::new(move |_| {
        let line = sender.with_value(|s| text::line(&s.packet(piece.get())));
        draw(&line).ok()
    });
    let every = std::time::Duration::from_millis(1000 / A_SECOND);
    let ticking = set_interval_with_handle(
        move || {
            if !paused.get_untracked() {
                piece.update(|n| *n = n.wrapping_add(1));
            }
        },
        every,
    );
    on_cleanup(move || {
        if let Ok(ticking) = ticking {
            ticking.clear();
        }
    });
    device::awake_while_mounted(true);
    let side = move || code.with(|c| c.as_ref().map_or(0, |c| c.side() + 2 * Code::QUIET));
    let said = move || {
        let shown = piece.get() + 1;
        match needed {
            1 => "This one code is enough.".to_string(),
            n if shown < n => {
                format!("{shown} of {n} codes shown; any {n} that are read are enough.")
            }
            n => {
                format!("{shown} codes shown, more than the {n} needed: missed ones are made good.")
            }
        }
    };
    view! {
        <figure class="qr">
            <svg viewBox=move || format!("0 0 {0} {0}", side()) shape-rendering="crispEdges" role="img"
                aria-label="Code for the other phone's camera">
                <rect width="100%" height="100%" fill="#ffffff"/>
                <path fill="#000000" d=move || code.with(|c| c.as_ref().map(path).unwrap_or_default())/>
            </svg>
        </figure>
        <p class="soft">{said}</p>
        <Show when=move || { needed > 1 }>
            <button type="button" class="btn wide" aria-pressed=move || paused.get().to_string()
                on:click=move |_| paused.update(|p| *p = !*p)>"Hold this code still"</button>
        </Show>
    }
}
