//! The check code of the turn at bat that is over, and the one tap that says
//! how it compares with the other scorer's.

use engine::crosscheck::CheckCode;
use engine::log::{Body, CodeAnswer, CodeCheck, HalfInning};
use leptos::prelude::*;
use leptos_router::NavigateOptions;
use leptos_router::hooks::use_navigate;

use super::Recording;
use crate::book::Book;
use crate::parts::Code;
use crate::state::ShownGame;

/// What is shown of the code.
#[derive(Clone, Debug, PartialEq)]
pub struct CodeState {
    half: HalfInning,
    code: CheckCode,
    /// What was answered after this play.
    pub answer: Option<CodeAnswer>,
    /// What was answered the time before: the likeliest answer now.
    before: Option<CodeAnswer>,
    game: String,
    /// The other officials' logs as this phone holds them.
    logs: Vec<engine::log::HeldLog>,
}

fn state(book: &Book) -> Option<CodeState> {
    let (half, code) = book.check_code()?;
    Some(CodeState {
        half,
        code,
        answer: book.checked(half).map(|c| c.answer),
        before: book.record.code_checks().next_back().map(|(_, c)| c.answer),
        game: book.listed.game.clone(),
        logs: book.others_seen(),
    })
}

/// The code now, if a turn at bat has just ended.
pub fn code_now(book: RwSignal<Option<ShownGame>>) -> Memo<Option<CodeState>> {
    Memo::new(move |_| {
        book.with(|b| match b {
            Some(ShownGame { book: Ok(book), .. }) => state(book),
            _ => None,
        })
    })
}

/// The code, and what to do with it or what was answered.
#[component]
pub fn CodeNow(now: Memo<Option<CodeState>>) -> impl IntoView {
    let said = |answer| match answer {
        None => "Read it out. The same code on both phones means the same record.",
        Some(CodeAnswer::Same) => "The codes were the same on both phones.",
        Some(CodeAnswer::Differs) => "The codes were not the same.",
        Some(CodeAnswer::Alone) => "No second scorer was here to compare codes.",
    };
    move || {
        now.get().map(|now| {
            view! {
                <Code code=now.code label="Check code"/>
                <p role="status">{said(now.answer)}</p>
            }
        })
    }
}

/// The three answers; each is recorded and goes on to the screen where the
/// next step is.
#[derive(Clone, Copy)]
pub struct Answers {
    now: Memo<Option<CodeState>>,
    say: Callback<CodeAnswer>,
}

impl Answers {
    /// For the code that is shown; `then` is the screen that the answer leads
    /// to, if it is another one.
    pub fn new(now: Memo<Option<CodeState>>, recording: Recording, then: Option<String>) -> Self {
        let navigate = use_navigate();
        let say = move |answer: CodeAnswer| {
            let Some(now) = now.get_untracked() else {
                return;
            };
            let body = Body::CodeCheck(CodeCheck {
                half: now.half,
                code: now.code.to_string().replace(' ', ""),
                answer,
                other: None,
                seen: now.logs,
            });
            let to = match answer {
                CodeAnswer::Differs => Some(format!("/cross?game={}", now.game)),
                _ => then.clone(),
            };
            let navigate = navigate.clone();
            recording.record_body(body, move || {
                if let Some(to) = to {
                    navigate(&to, NavigateOptions::default());
                }
            });
        };
        Self {
            now,
            say: Callback::new(say),
        }
    }

    fn button(self, answer: CodeAnswer, words: &'static str) -> impl IntoView {
        let lit = move || {
            self.now
                .with(|n| n.as_ref().is_some_and(|n| n.before == Some(answer)))
        };
        view! {
            <button type="button" class="btn big" class:lit=lit on:click=move |_| self.say.run(answer)>{words}</button>
        }
    }

    /// Where Record stood: the answer of two who agree.
    pub fn same(self) -> impl IntoView {
        self.button(CodeAnswer::Same, "Same on both")
    }

    /// The same answer once the records were compared and settled.
    pub fn same_after_all(self, lit: bool) -> impl IntoView {
        view! {
            <button type="button" class="btn big wide" class:lit=lit
                on:click=move |_| self.say.run(CodeAnswer::Same)>"Same on both"</button>
        }
    }

    /// The row above it.
    pub fn others(self) -> impl IntoView {
        view! {
            <div class="pair">
                {self.button(CodeAnswer::Alone, "second scorer not here")}
                {self.button(CodeAnswer::Differs, "not the same")}
            </div>
        }
    }
}
