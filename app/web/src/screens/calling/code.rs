//! The check code of the turn at bat that is over, and the one tap that says
//! how it compares with the other scorer's.

use engine::crosscheck::CheckCode;
use engine::log::{Body, CodeAnswer, CodeCheck, HalfInning};
use leptos::prelude::*;
use leptos_router::NavigateOptions;
use leptos_router::hooks::use_navigate;

use super::Recording;
use crate::book::Book;
use crate::chalk::Shown;
use crate::parts::Code;

/// What is shown of the code.
#[derive(Clone, Debug, PartialEq)]
struct Seen {
    half: HalfInning,
    code: CheckCode,
    /// What was answered after this play.
    answer: Option<CodeAnswer>,
    /// What was answered the time before: the likeliest answer now.
    before: Option<CodeAnswer>,
    game: String,
}

fn seen(book: &Book) -> Option<Seen> {
    let (half, code) = book.check_code()?;
    Some(Seen {
        half,
        code,
        answer: book.checked(half).map(|c| c.answer),
        before: book.record.code_checks().next_back().map(|(_, c)| c.answer),
        game: book.listed.game.clone(),
    })
}

/// The code and three answers; each is recorded and goes on. What is put
/// inside stands between the code and the answers, away from the thumb.
#[component]
pub fn CheckCodes(
    book: RwSignal<Option<Shown>>,
    recording: Recording,
    children: ChildrenFn,
) -> impl IntoView {
    let now = Memo::new(move |_| {
        book.with(|b| match b {
            Some(Shown { book: Ok(book), .. }) => seen(book),
            _ => None,
        })
    });
    let navigate = use_navigate();
    let children = StoredValue::new(children);
    move || {
        let Some(now) = now.get() else {
            return children.read_value()().into_any();
        };
        let say = {
            let now = now.clone();
            let navigate = navigate.clone();
            move |answer: CodeAnswer| {
                let code = now.code.to_string().replace(' ', "");
                let body = Body::CodeCheck(CodeCheck {
                    half: now.half,
                    code,
                    answer,
                    other: None,
                });
                let to = format!("/cross?game={}", now.game);
                let navigate = navigate.clone();
                recording.record_body(body, move || {
                    if answer == CodeAnswer::Differs {
                        navigate(&to, NavigateOptions::default());
                    }
                });
            }
        };
        let answer = |answer: CodeAnswer, words: &'static str, wide: bool| {
            let say = say.clone();
            let lit = now.before == Some(answer);
            view! {
                <button type="button" class="btn big" class:wide=wide class:lit=lit
                    on:click=move |_| say(answer)>{words}</button>
            }
        };
        let asked = match now.answer {
            None => view! {
                <p>"Equal codes on both phones mean equal records. Read yours out, then say:"</p>
                {children.read_value()()}
                <div class="pair">
                    {answer(CodeAnswer::Alone, "second scorer not here", false)}
                    {answer(CodeAnswer::Differs, "not the same", false)}
                </div>
                {answer(CodeAnswer::Same, "Same on both", true)}
            }
            .into_any(),
            Some(was) => view! {
                <p role="status">{match was {
                    CodeAnswer::Same => "The codes were the same on both phones.",
                    CodeAnswer::Differs => "The codes were not the same.",
                    CodeAnswer::Alone => "No second scorer was here to compare codes.",
                }}</p>
                {children.read_value()()}
            }
            .into_any(),
        };
        view! {
            <Code code=now.code label="Check code"/>
            {asked}
        }
        .into_any()
    }
}
