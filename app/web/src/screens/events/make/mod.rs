//! Making a charter: what the organiser fixes, and the signature under it.

mod collectors;
mod end_key;
mod fields;
mod officials;
mod plan;
mod teams;

use engine::charter::{Charter, SignedCharter};
use engine::log::{Author, Role, Verified};
use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::NavigateOptions;
use leptos_router::hooks::{use_navigate, use_query_map};

use self::fields::{Field, Slips};
use super::own_card;
use crate::charter_draft::{CharterDraft, Place, Wrong, privacy_word};
use crate::draft::Draft;
use crate::official::Official;
use crate::parts::{Message, Page, Tone};
use crate::screens::new_fixture::Rules;
use crate::screens::preferences::{Choice, Tick};
use crate::state::{AppState, Reach, app_state};
use crate::store::KeptCharter;

/// What the parts of the form share.
#[derive(Clone, Copy)]
pub struct Making {
    /// What is typed.
    pub draft: RwSignal<CharterDraft>,
    /// The charter that it makes, or what is wrong.
    pub judged: Memo<Result<Charter, Vec<Wrong>>>,
    /// Whether it was to be signed already: from then on slips are shown.
    tried: RwSignal<bool>,
}

impl Making {
    /// What is wrong at a place, once that is to be shown.
    pub fn wrong(self, place: Place) -> Vec<String> {
        if !self.tried.get() {
            return Vec::new();
        }
        self.judged.with(|judged| {
            let all = judged.as_ref().err().into_iter().flatten();
            let here = all.filter(|w| w.place == place);
            here.map(|w| w.what.clone()).collect()
        })
    }
}

/// The organiser, as the charter names them.
fn organiser(app: AppState) -> Option<Author> {
    own_card(app).map(|own| Author {
        role: Role::Organiser,
        name: own.name.trim().into(),
        ..own
    })
}

/// The screen; `event` in the address makes the next version of that one.
#[component]
pub fn MakeCharter() -> impl IntoView {
    let app = app_state();
    let query = use_query_map();
    let event = Memo::new(move |_| query.with(|q| q.get("event")));
    move || {
        // What is kept on the phone is needed before the form can be filled.
        if app.reach.get() != Reach::Ready || app.key_shown.with(Option::is_none) {
            return view! { <Page title="Make a charter" back="/events">"Opening…"</Page> }
                .into_any();
        }
        let event = event.get();
        let older = event.as_deref().and_then(|e| {
            let kept = app.event(e)?;
            kept.in_force().cloned()
        });
        view! { <Form event=event older=older/> }.into_any()
    }
}

#[component]
fn Form(event: Option<String>, older: Option<SignedCharter<Verified>>) -> impl IntoView {
    let app = app_state();
    let fresh = match (&event, &older) {
        (Some(event), Some(older)) => CharterDraft::of(event, older),
        _ => CharterDraft::default(),
    };
    let kept = CharterDraft::load(event.as_deref().filter(|_| older.is_some()));
    let draft = RwSignal::new(kept.unwrap_or(fresh));
    Effect::new(move |before: Option<()>| {
        // Kept from the first change on: a look at the form is no charter begun.
        draft.with(|d| before.is_some().then(|| d.save()));
    });
    let back = event
        .as_ref()
        .map_or_else(|| "/events".to_string(), |e| format!("/event?event={e}"));
    let named = event.clone();
    let in_force = move || {
        let kept = named.as_deref().and_then(|e| app.event(e));
        kept.as_ref().and_then(KeptCharter::in_force).cloned()
    };
    let tried = RwSignal::new(false);
    let newest = in_force.clone();
    let judged = Memo::new(move |_| {
        let Some(organiser) = organiser(app) else {
            return Err(Vec::new());
        };
        let older = newest();
        draft.with(|d| {
            let unsigned = d.charter(organiser, older.as_ref());
            unsigned.map(|u| u.content().clone())
        })
    });
    let making = Making {
        draft,
        judged,
        tried,
    };
    // What the charter in force calls whoever signs here, where that is another name.
    let before = in_force.clone();
    let other_name = Memo::new(move |_| {
        let own = own_card(app)?;
        let signed = before()?;
        let listed = signed.charter().endorsement(&own.key)?;
        (listed.name != own.name.trim()).then(|| listed.name.clone())
    });
    let other_name = move || other_name.get();
    let failed = RwSignal::new(None::<(String, String)>);
    let busy = RwSignal::new(false);
    let navigate = use_navigate();
    let sign = move |_| {
        tried.set(true);
        failed.set(None);
        let Some(organiser) = organiser(app) else {
            return;
        };
        let older = in_force();
        let unsigned = draft.with_untracked(|d| d.charter(organiser, older.as_ref()));
        let unsigned = match unsigned {
            Ok(unsigned) => unsigned,
            Err(wrong) => return show_first(&wrong),
        };
        if busy.get_untracked() {
            return;
        }
        busy.set(true);
        let part = match draft.with_untracked(|d| d.umpires_too) {
            true => Role::Umpire,
            false => Role::Organiser,
        };
        let navigate = navigate.clone();
        spawn_local(async move {
            match app.sign_charter(unsigned).await {
                Ok(event) => {
                    draft.try_with_untracked(CharterDraft::forget);
                    // Whoever never said what their part is signs as they list themselves.
                    if app.official.with_untracked(|o| o.role.is_empty()) {
                        app.official.update(|o| o.role = part.to_string());
                        app.official.with_untracked(Official::save);
                    }
                    let replace = NavigateOptions {
                        replace: true,
                        ..Default::default()
                    };
                    navigate(&format!("/event?event={event}&taken=signed"), replace);
                }
                Err(why) => failed.set(Some(why.says())),
            }
            busy.set(false);
        });
    };
    let count = move || {
        let wrong = judged.with(|j| j.as_ref().err().map_or(0, Vec::len));
        let shown = tried.get() && wrong > 0;
        shown.then(|| match wrong {
            1 => "One thing is to be put right first.".to_string(),
            n => format!("{n} things are to be put right first."),
        })
    };
    let count = Memo::new(move |_| count());
    let foot = move || {
        view! {
            {move || count.get().map(|what| view! { <Message tone=Tone::Bad what=what/> })}
            {move || failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            <button type="button" class="btn lit big wide" on:click=sign
                aria-disabled=move || busy.get().to_string()>"Sign the charter"</button>
        }
    };
    let title = match &older {
        Some(older) => format!("Version {}", older.charter().version.saturating_add(1)),
        None => "Make a charter".into(),
    };
    view! {
        <Page title=title back=back has_foot=true foot=foot>
            <section class="section" id=anchor(Place::Event) aria-label="The event">
                <h2>"The event"</h2>
                <Field making=making id="event-name" label="Name of the event"
                    get=|d| &d.name set=|d, t| d.name = t/>
                <Slips making=making place=Place::Event/>
                <div id=anchor(Place::Date) class="stack-tight">
                    <Field making=making id="event-date" label="First day" kind="date"
                        get=|d| &d.date set=|d, t| d.date = t/>
                    <Slips making=making place=Place::Date/>
                </div>
                <Field making=making id="event-place" label="Where"
                    get=|d| &d.place set=|d, t| d.place = t/>
            </section>
            <div id=anchor(Place::Rules) class="stack">
                <EventRules draft=draft/>
                <Slips making=making place=Place::Rules/>
            </div>
            <teams::Teams making=making/>
            <officials::Officials making=making/>
            <plan::Schedule making=making/>
            <Names draft=draft/>
            <collectors::Collectors making=making/>
            <section class="section" id=anchor(Place::Organiser) aria-label="Who signs">
                <h2>"Who signs?"</h2>
                <div class="field">
                    <label for="organiser-name">"Your name, as officials know you"</label>
                    <input id="organiser-name" class="input" autocomplete="off" maxlength="60"
                        prop:value=move || app.official.with(|o| o.name.clone())
                        on:change:target=move |ev| {
                            let name = ev.target().value().trim().to_string();
                            app.official.update(|o| o.name = name);
                            app.official.with_untracked(Official::save);
                        }/>
                </div>
                <Slips making=making place=Place::Organiser/>
                {move || other_name().map(|name| {
                    let sign_as = name.clone();
                    let take = move |_| {
                        let name = sign_as.clone();
                        app.official.update(|o| o.name = name);
                        app.official.with_untracked(Official::save);
                    };
                    view! {
                        <p class="objection" role="status">
                            {format!("The charter in force names you {name}; this version would be signed with another name.")}
                        </p>
                        <button type="button" class="btn wide" on:click=take>{format!("sign as {name}")}</button>
                    }
                })}
                <p>"It is signed with this phone's key. Read its six words to every official who takes the charter:"</p>
                <p class="phrase">{move || app.key_shown.get().map(|k| k.phrase)}</p>
            </section>
        </Page>
    }
}

/// Where on the page a place is.
fn anchor(place: Place) -> String {
    match place {
        Place::Event => "part-event".into(),
        Place::Date => "part-date".into(),
        Place::Rules => "part-rules".into(),
        Place::Team(at) => format!("part-team-{at}"),
        Place::Officials => "part-officials".into(),
        Place::Collectors => "part-collectors".into(),
        Place::Schedule => "part-schedule".into(),
        Place::Organiser => "part-organiser".into(),
    }
}

/// Brings the first thing that is wrong into view.
fn show_first(wrong: &[Wrong]) {
    let document = crate::js::window().and_then(|w| w.document());
    let first = wrong.first().map(|w| anchor(w.place));
    if let (Some(document), Some(first)) = (document, first)
        && let Some(part) = document.get_element_by_id(&first)
    {
        part.scroll_into_view();
    }
}

/// The rules of the event, by the parts that a new game has them from.
#[component]
fn EventRules(draft: RwSignal<CharterDraft>) -> impl IntoView {
    let rules = RwSignal::new(draft.with_untracked(|d| Draft {
        edition: d.edition.clone(),
        changes: d.changes.clone(),
        ..Draft::default()
    }));
    Effect::new(move |_| {
        let (edition, changes) = rules.with(|r| (r.edition.clone(), r.changes.clone()));
        let same = draft.with_untracked(|d| d.edition == edition && d.changes == changes);
        if !same {
            draft.update(|d| (d.edition, d.changes) = (edition, changes));
        }
    });
    view! { <Rules draft=rules/> }
}

/// How names may be shown, and who may keep logs.
#[component]
fn Names(draft: RwSignal<CharterDraft>) -> impl IntoView {
    use engine::charter::Privacy;
    let all = [
        (
            Privacy::Numbers,
            "Numbers only: the safe choice where minors play",
        ),
        (Privacy::Initials, "Initials and numbers"),
        (Privacy::Names, "Names in full"),
    ];
    let choices = all.map(|(privacy, label)| {
        view! {
            <Choice group="privacy" label=label
                chosen=move || draft.with(|d| d.privacy() == privacy)
                choose=move || draft.update(|d| d.privacy = privacy_word(privacy).into())/>
        }
    });
    view! {
        <fieldset class="section">
            <legend>"Players' names in published results"</legend>
            <p>"Where minors play, the law of the place and your federation's rules decide what may be published, \
                often only with the parents' consent. The officials' phones see the rosters in full."</p>
            <div class="choices">{choices.collect_view()}</div>
        </fieldset>
        <fieldset class="section">
            <legend>"Who may keep logs"</legend>
            <div class="choices">
                <Choice group="open" label="Only the officials listed"
                    chosen=move || draft.with(|d| !d.open) choose=move || draft.update(|d| d.open = false)/>
                <Choice group="open" label="Anyone: an open event"
                    chosen=move || draft.with(|d| d.open) choose=move || draft.update(|d| d.open = true)/>
            </div>
            <Tick label="I call games too, as umpire" on=move || draft.with(|d| d.umpires_too)
                flip=move || draft.update(|d| d.umpires_too = !d.umpires_too)/>
        </fieldset>
    }
}
