//! The one question a call can leave open, with its answers.

use engine::game::{Draft, Game};
use leptos::prelude::*;

/// Who was home before the third out?
#[component]
pub fn HomeFirst(
    /// The game before the play.
    #[prop(into)]
    game: Signal<Game>,
    /// The call being made.
    draft: RwSignal<Draft>,
    /// What is done with an answer at once: it is the last thing to be said of a play.
    #[prop(optional)]
    answered: Option<Callback<()>>,
) -> impl IntoView {
    let question = Memo::new(move |_| game.with(|g| draft.with(|d| d.question(g))));
    move || {
        let question = question.get()?;
        let names: Vec<String> = question.who.iter().map(ToString::to_string).collect();
        let out = question.out;
        let asks = match names.as_slice() {
            [one] => format!("{out} makes the third out. Was {one} home first?"),
            _ => format!("{out} makes the third out. How many were home first?"),
        };
        let question = StoredValue::new(question);
        let answer = move |n: usize, words: String, class: &'static str| {
            let n = u8::try_from(n).unwrap_or(u8::MAX);
            let lit = move || {
                let given = question.with_value(|q| draft.with(|d| d.given(Some(q))));
                (given == Some(n)).to_string()
            };
            view! {
                <button type="button" class=class aria-pressed=lit
                    on:click=move |_| {
                        draft.update(|d| d.answer(question.get_value(), n));
                        if let Some(answered) = answered {
                            answered.run(());
                        }
                    }>{words}</button>
            }
        };
        let none = if names.len() == 1 {
            "out first: no run"
        } else {
            "none: no run"
        };
        let some = (1..=names.len()).map(|n| {
            let words = match (names.len(), n) {
                (1, _) => "home first: run counts".to_string(),
                (_, 1) => format!("{}: 1 run", names[0]),
                _ => format!("{}: {n} runs", names[..n].join(", ")),
            };
            answer(n, words, "btn safe")
        });
        Some(view! {
            <div class="question" role="group" aria-label="Third out">
                <p>{asks}</p>
                <div class="row">{some.collect_view()}{answer(0, none.into(), "btn out")}</div>
            </div>
        })
    }
}
