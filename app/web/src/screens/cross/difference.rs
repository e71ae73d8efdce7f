//! One difference: both versions side by side, and what is agreed about it.

use engine::crosscheck::{Choice, ChoiceObjection, Counterpart, Difference, Kind, SettlingEntries};
use engine::game::{Draft, Game, Notice, Unready};
use engine::play::Call;
use engine::team::BySide;
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::settle;
use crate::book::Book;
use crate::parts::{HomeFirst, Lanes, Message, Tone};
use crate::screens::calling::{Form, NoticeForm};
use crate::state::{ShownGame, app_state};

/// A difference that is only listed; `is_left` if both officials left it standing.
pub fn listed(difference: &Difference, book: &Book, is_left: bool) -> impl IntoView + use<> {
    let sentence = difference.sentence(&book.names());
    view! {
        <p>
            {is_left.then(|| view! { <span class="tag">"left standing"</span>" " })}
            {sentence}
        </p>
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Doing {
    Choosing,
    Anew,
    Leaving,
}

/// The game before the play in question, where it can be called anew.
fn before(difference: &Difference, book: &Book) -> Option<Game> {
    match &difference.kind {
        Kind::Fates { mine, .. } | Kind::OnlyMine { mine, .. } => book.history().before(mine.seq),
        Kind::OnlyTheirs {
            before: Some(seq), ..
        } => book.history().before(*seq),
        // The first of the two; the second is then asked about by itself.
        Kind::Swapped { mine, .. } => book.history().before(mine[0].seq),
        Kind::Notices { mine, .. } | Kind::NoticeOnlyMine { mine, .. } => {
            book.history().before(mine.seq)
        }
        Kind::NoticeOnlyTheirs {
            before: Some(seq), ..
        } => book.history().before(*seq),
        Kind::OnlyTheirs { before: None, .. } | Kind::NoticeOnlyTheirs { before: None, .. } => {
            Some(book.game().clone())
        }
        Kind::Moved { .. } => None,
    }
}

/// What the lanes begin with.
fn first_draft(difference: &Difference, game: Option<&Game>) -> Draft {
    let call = match &difference.kind {
        Kind::Fates { mine, .. } | Kind::OnlyMine { mine, .. } => Some(&mine.call),
        Kind::OnlyTheirs { theirs, .. } => Some(&theirs.call),
        Kind::Swapped { mine, .. } => Some(&mine[0].call),
        _ => None,
    };
    let both = game.zip(call);
    both.map_or_else(Draft::default, |(game, call)| Draft::of_call(game, call))
}

/// The form of the notice that the records tell differently, where a third
/// version of it can be said.
fn form(difference: &Difference) -> Option<Form> {
    let told = match &difference.kind {
        Kind::Notices { mine: told, .. }
        | Kind::NoticeOnlyMine { mine: told, .. }
        | Kind::NoticeOnlyTheirs { theirs: told, .. } => told,
        _ => return None,
    };
    match &told.notice {
        Notice::Substitution { .. } => Some(Form::Substitution),
        Notice::Ejection { .. } => Some(Form::Ejection),
        Notice::Injury { .. } => Some(Form::Injury),
        Notice::Forfeit { .. } => Some(Form::Forfeit),
        _ => None,
    }
}

/// What is said of a third version on the button.
const fn neither(difference: &Difference) -> &'static str {
    match &difference.kind {
        Kind::Notices { .. } | Kind::NoticeOnlyMine { .. } | Kind::NoticeOnlyTheirs { .. } => {
            "neither: it was another"
        }
        Kind::Swapped { .. } => "neither: call the first anew",
        _ => "neither: call it anew",
    }
}

/// The difference to be settled now.
pub fn to_settle(
    difference: Difference,
    book: &Book,
    theirs: &Counterpart,
    writable: bool,
) -> impl IntoView + use<> {
    let app = app_state();
    let sentence = difference.sentence(&book.names());
    let place = difference.place();
    let (mine, other) = difference.versions(&book.names());
    let doing = RwSignal::new(Doing::Choosing);
    let failed = RwSignal::new(None::<(String, String)>);
    let game = before(&difference, book);
    let form = form(&difference);
    let is_play = matches!(
        difference.kind,
        Kind::Fates { .. } | Kind::Swapped { .. } | Kind::OnlyMine { .. } | Kind::OnlyTheirs { .. }
    );
    let can_call = game.is_some() && (is_play || form.is_some());
    let neither = neither(&difference);
    let team_names = book.names().map(ToString::to_string);
    let first = first_draft(&difference, game.as_ref());
    let held = StoredValue::new_local((difference, theirs.clone()));
    // Both halves are made from what is open now, so that nothing old is signed.
    let agree =
        move |make: &dyn Fn(
            &Difference,
            &Book,
            &Counterpart,
        ) -> Result<SettlingEntries, ChoiceObjection>| {
            let made =
                app.open.with_untracked(|open| {
                    match open {
            Some(ShownGame { book: Ok(book), .. }) => held.with_value(|(difference, theirs)| {
                let settled = make(difference, book, theirs)
                    .map_err(|why| (why.to_string(), String::new()))?;
                let mut theirs = theirs.clone();
                theirs.agree(settled.theirs).map(|()| (settled.mine, theirs)).map_err(|why| {
                    let next = "Settle it the other way, or leave it standing with a note.";
                    (format!("Their record cannot take this. {why}"), next.to_string())
                })
            }),
            _ => Err((String::new(), String::new())),
        }
                });
            match made {
                Ok((mine, theirs)) => spawn_local(async move {
                    if let Err(why) = settle(app, mine, theirs).await {
                        failed.try_set(Some(why));
                    }
                }),
                Err(why) => failed.set(Some(why)),
            }
        };
    let choose = move |choice: Choice, words: String| {
        let said = format!("{}: {words}.", place_of(held));
        agree(&move |d, book, theirs| d.rule(&choice, &book.record, theirs, &said));
    };
    let note = RwSignal::new(format!(
        "{place}: one record has {mine}; the other has {other}."
    ));
    let leave = move |_| {
        let note = note.get_untracked();
        agree(&move |d, book, theirs| Ok(d.leave_open(&book.record, theirs.record(), &note)));
    };
    let version = move |whose: &'static str, words: String, choice: Choice| {
        let said = words.clone();
        view! {
            <button type="button" class="btn big version" disabled=!writable
                on:click=move |_| choose(choice.clone(), said.clone())>
                <span class="words"><span class="under">{whose}</span>{words}</span>
            </button>
        }
    };
    let (mine, other) = (StoredValue::new(mine), StoredValue::new(other));
    let draft = RwSignal::new(first);
    view! {
        <section class="difference" aria-label="Difference to settle">
            <p class="strong">{sentence}</p>
            {move || failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            {move || match doing.get() {
                Doing::Choosing => view! {
                    <p>"What do you both agree on?"</p>
                    <div class="pair">
                        {version("yours", mine.get_value(), Choice::Mine)}
                        {version("theirs", other.get_value(), Choice::Theirs)}
                    </div>
                    <div class="pair">
                        <button type="button" class="btn" disabled=!writable || !can_call
                            on:click=move |_| doing.set(Doing::Anew)>{neither}</button>
                        <button type="button" class="btn" disabled=!writable
                            on:click=move |_| doing.set(Doing::Leaving)>"Leave it standing"</button>
                    </div>
                }.into_any(),
                Doing::Anew if form.is_some() => view! {
                    <NoticeAnew game=game.clone() form=form back=doing
                        agreed=Callback::new({
                            let names = team_names.clone();
                            move |notice: Notice| {
                                let names = BySide::from_fn(|side| names[side].as_str());
                                let said = notice.sentence(&names);
                                choose(Choice::ThirdNotice(notice), said.trim_end_matches('.').to_string());
                            }
                        })/>
                }.into_any(),
                Doing::Anew => view! {
                    <CallAnew game=game.clone() draft=draft back=doing
                        agreed=Callback::new(move |(call, words)| choose(Choice::Third(call), words))/>
                }.into_any(),
                Doing::Leaving => view! {
                    <label class="field">
                        <span class="label">"Note for whoever decides it"</span>
                        <textarea class="input" rows="4" maxlength="400" prop:value=move || note.get()
                            on:input:target=move |ev| note.set(ev.target().value())></textarea>
                    </label>
                    <p class="soft small">"The game then stands as disputed, with both versions, until someone decides it."</p>
                    <div class="pair">
                        <button type="button" class="btn" on:click=move |_| doing.set(Doing::Choosing)>"Back"</button>
                        <button type="button" class="btn lit" on:click=leave>"Leave it standing"</button>
                    </div>
                }.into_any(),
            }}
        </section>
    }
}

fn place_of(held: StoredValue<(Difference, Counterpart), LocalStorage>) -> String {
    held.with_value(|(difference, _)| difference.place())
}

/// A third version of a notice, in the form that it is recorded with.
#[component]
fn NoticeAnew(
    game: Option<Game>,
    form: Option<Form>,
    back: RwSignal<Doing>,
    agreed: Callback<Notice>,
) -> impl IntoView {
    game.zip(form).map(|(game, form)| {
        let game = RwSignal::new(game);
        view! {
            <h2>{form.title()}</h2>
            <NoticeForm form=form game=game.into() act="Agreed: this" send=agreed/>
            <button type="button" class="btn" on:click=move |_| back.set(Doing::Choosing)>"Back"</button>
        }
    })
}

/// A third version, on the same lanes as any call.
#[component]
fn CallAnew(
    game: Option<Game>,
    draft: RwSignal<Draft>,
    back: RwSignal<Doing>,
    agreed: Callback<(Call, String)>,
) -> impl IntoView {
    let game = game.map(|game| {
        let game = RwSignal::new(game);
        let game: Signal<Game> = game.into();
        let check = Memo::new(move |_| game.with(|g| draft.with(|d| d.check(g))));
        let told = move || {
            let said = check.with(|c| c.as_ref().ok().map(|o| o.sentences().join(" ")));
            said.unwrap_or_default().trim_end_matches('.').to_string()
        };
        let done = move |_| {
            if check.with_untracked(Result::is_ok) {
                let made = game.with_untracked(|g| draft.with_untracked(|d| d.call(g)));
                agreed.run((made, told()));
            }
        };
        view! {
            <div class="lanes"><div class="lanes-in">
                <Lanes game=game draft=draft/>
                <HomeFirst game=game draft=draft/>
            </div></div>
            {move || match check.get() {
                Ok(_) => view! { <p>{told()}"."</p> }.into_any(),
                Err(Unready::Asks(_)) => view! { <p>"Answer the question first."</p> }.into_any(),
                Err(Unready::Refused(why)) => view! { <p class="refusal" role="alert">{why.to_string()}</p> }.into_any(),
            }}
            <div class="pair">
                <button type="button" class="btn" on:click=move |_| back.set(Doing::Choosing)>"Back"</button>
                <button type="button" class="btn lit big" on:click=done
                    disabled=move || check.with(Result::is_err)>"Agreed: this"</button>
            </div>
        }
    });
    view! { {game} }
}
