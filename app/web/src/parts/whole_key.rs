//! A key's whole fingerprint, for those whom six words are not enough.

use engine::log::Fingerprint;
use leptos::prelude::*;

/// Opens on demand: eight groups of four digits, to be read aloud or held
/// side by side. Stands below everything that is pressed, so that nothing
/// moves when it opens.
#[component]
pub fn WholeKey(of: Fingerprint) -> impl IntoView {
    let digits = of.to_string();
    let groups: Vec<&str> = (0..digits.len())
        .step_by(4)
        .filter_map(|at| digits.get(at..at + 4))
        .collect();
    view! {
        <details class="no-print">
            <summary class="btn wide">"The whole fingerprint of the key"</summary>
            <p>"Six words tell every honest mix-up. Someone with much computing power could make a key with the same \
                words; this they cannot. Compare all eight groups."</p>
            <p class="lines">{groups.join(" ")}</p>
        </details>
    }
}
