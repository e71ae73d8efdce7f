//! The organiser's decision about one game: what stands and why, signed.

use engine::message::isolated;
use std::sync::Arc;

use engine::log::{Body, Close, Decision, Disposition};
use engine::team::{BySide, Side};
use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::parts::{Message, Section, Tone};
use crate::screens::preferences::Choice;
use crate::state::{DeskGame, app_state};
use crate::words::capital;

/// What the form asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum SettleChoice {
    Ready(Disposition),
    Score,
}

/// The section: what may be chosen, the reason, and the signature.
#[component]
pub fn Settle(
    game: Arc<DeskGame>,
    /// Whether a decision of this phone counts.
    may: bool,
    /// Whether the event has a charter.
    chartered: bool,
) -> impl IntoView {
    if !may {
        return view! {
            <Section title="Settle it">
                <Message what="Only the organiser decides: this phone's key is not the organiser's in the charter."
                    next="Hand the records to the organiser, or have this key listed as organiser in the next version of the charter.".to_string()/>
            </Section>
        }
        .into_any();
    }
    let scope = if chartered {
        "Signed with this phone's key and kept beside the records: nobody's record changes. \
         Everyone can read the reason, so name no players."
    } else {
        "Without a charter nobody else knows that you are the organiser: \
         the decision counts on this phone only."
    };
    let options = options(&game);
    let id = game.report.game;
    let teams = game.report.teams.clone();
    let needs_reason = "Give the reason in a sentence.";
    let chosen = RwSignal::new(None::<SettleChoice>);
    let reason = RwSignal::new(String::new());
    let runs = [RwSignal::new(String::new()), RwSignal::new(String::new())];
    let close = RwSignal::new(Close::Regulation);
    let said = RwSignal::new(None::<(Tone, String, String)>);
    let app = app_state();
    let decided = move || match chosen.get_untracked() {
        None => Err("Choose first what stands.".to_string()),
        Some(SettleChoice::Ready(decided)) => Ok(decided),
        Some(SettleChoice::Score) => {
            let [guest, home] = runs.map(|r| r.get_untracked().trim().parse::<u16>());
            match (guest, home) {
                (Ok(guest), Ok(home)) if guest == home => {
                    Err("Equal runs settle nothing: a game has a winner.".into())
                }
                (Ok(guest), Ok(home)) => Ok(Disposition::Score {
                    runs: BySide { guest, home },
                    close: close.get_untracked(),
                }),
                _ => Err("Give the runs of both teams as whole numbers.".into()),
            }
        }
    };
    let sign = move |_| {
        let why = reason.get_untracked().trim().to_string();
        let decided = match decided() {
            Err(what) => return said.set(Some((Tone::Bad, what, String::new()))),
            Ok(_) if why.is_empty() => {
                return said.set(Some((Tone::Bad, needs_reason.into(), String::new())));
            }
            Ok(decided) => decided,
        };
        spawn_local(async move {
            let decision = Decision {
                considered: app.desk_considered(id),
                decided,
                reason: why,
            };
            match app.desk_sign(id, Body::Decision(decision)).await {
                Ok(()) => {
                    super::done(app, "The decision is signed and kept.");
                }
                Err(why) => {
                    let (what, next) = why.says();
                    said.set(Some((Tone::Bad, what, next)));
                }
            }
        });
    };
    let choices: Vec<_> = options
        .into_iter()
        .map(|(what, words)| {
            view! {
                <Choice group="decision" label=words chosen=move || chosen.get() == Some(what)
                    choose=move || chosen.set(Some(what))/>
            }
        })
        .collect();
    let scores = move || {
        let teams = teams.clone();
        (chosen.get() == Some(SettleChoice::Score)).then(move || {
            let fields = Side::BOTH.into_iter().zip(runs).map(|(side, run)| {
                view! {
                    <label class="field">
                        <span class="label">{format!("Runs of {}", isolated(&teams[side]))}</span>
                        <input class="input" inputmode="numeric" autocomplete="off" prop:value=move || run.get()
                            on:input:target=move |ev| run.set(ev.target().value())/>
                    </label>
                }
            });
            let ends = Close::ALL.map(|c| {
                view! {
                    <Choice group="close" label=c.to_string() chosen=move || close.get() == c
                        choose=move || close.set(c)/>
                }
            });
            view! {
                <div class="pair">{fields.collect::<Vec<_>>()}</div>
                <fieldset class="choices"><legend>"How it ended"</legend>{ends.collect_view()}</fieldset>
            }
        })
    };
    view! {
        <section class="section" id="settle" aria-label="Settle it">
            <h2>"Settle it"</h2>
            <p>{scope}</p>
            <fieldset class="choices"><legend>"What stands"</legend>{choices}</fieldset>
            {scores}
            <label class="field">
                <span class="label">"Why"</span>
                <textarea class="input" rows="3" maxlength="400" prop:value=move || reason.get()
                    on:input:target=move |ev| reason.set(ev.target().value())></textarea>
            </label>
            {move || said.get().map(|(tone, what, next)| view! { <Message tone=tone what=what next=next/> })}
            <button type="button" class="btn lit big wide" on:click=sign>"Sign the decision"</button>
        </section>
    }
    .into_any()
}

/// Everything that may be decided of this game.
fn options(game: &DeskGame) -> Vec<(SettleChoice, String)> {
    let teams = &game.report.teams;
    let mut options = Vec::new();
    for log in game.logs.iter().filter(|l| !l.record.is_of_desk()) {
        let score = log.record.history().game().score();
        let author = &log.record.opening().author;
        let words = format!(
            "{}'s record stands: {} {}, {} {} ({})",
            capital(&author.role.to_string()),
            teams.guest,
            score.guest,
            teams.home,
            score.home,
            author.name
        );
        let author = log.name.author;
        options.push((SettleChoice::Ready(Disposition::Stands { author }), words));
    }
    for by in Side::BOTH {
        let words = format!("{} forfeited", isolated(&teams[by]));
        options.push((SettleChoice::Ready(Disposition::Forfeit { by }), words));
    }
    options.push((SettleChoice::Score, "Another score".into()));
    options.push((
        SettleChoice::Ready(Disposition::NotCounted),
        "It does not count, and may be played again".into(),
    ));
    options.push((
        SettleChoice::Ready(Disposition::NotPlayed),
        "It does not count and will not be played: the schedule goes on without it".into(),
    ));
    if game.report.ruled.is_some() {
        options.push((
            SettleChoice::Ready(Disposition::Withdrawn),
            "No decision any more: what the records say counts".into(),
        ));
    }
    options
}
