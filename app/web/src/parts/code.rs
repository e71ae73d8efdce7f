//! Six characters to be read aloud.

use engine::crosscheck::CheckCode;
use leptos::prelude::*;

/// A code in two groups of three.
#[component]
pub fn Code(
    /// The code.
    code: CheckCode,
    /// What it is, for those who hear it.
    label: &'static str,
    /// Smaller, where it is not the thing to look at.
    #[prop(default = false)]
    small: bool,
) -> impl IntoView {
    let said = code.to_string();
    let letters: Vec<String> = said
        .chars()
        .filter(|c| *c != ' ')
        .map(String::from)
        .collect();
    let groups = said
        .split(' ')
        .map(|group| view! { <span>{group.to_string()}</span> })
        .collect_view();
    view! {
        <p class="code" class:small-code=small role="img" aria-label=format!("{label} {}", letters.join(" "))>{groups}</p>
    }
}
