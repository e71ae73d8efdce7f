//! What is stored here, what waits, what is delivered, what is refused and why.

use engine::log::entry_number;
use engine::message::pairing;
use leptos::prelude::*;

use crate::clock;
use crate::delivery::{
    Collector, Delivery, FromDesk, Held, HeldCharter, RecordProgress, Standing, collectors,
    delivery, held, host,
};
use crate::parts::{CollectorAddress, Message, Page, Section, Tone};
use crate::state::{ShownGame, app_state};

/// A game with records that are to be delivered.
#[derive(Clone, PartialEq)]
struct Game {
    teams: String,
    records: Vec<Held>,
}

fn games(all: &[ShownGame], from_desk: &[FromDesk]) -> Vec<Game> {
    let game = |shown: &ShownGame| {
        let records = held(shown);
        let book = shown.book.as_ref().ok().filter(|_| !records.is_empty())?;
        Some(Game {
            teams: pairing(&book.names()),
            records,
        })
    };
    let mut games: Vec<Game> = all.iter().filter_map(game).collect();
    for from in from_desk {
        let of_game = |g: &&mut Game| g.records.iter().any(|r| r.key.0 == from.record.key.0);
        match games.iter_mut().find(of_game) {
            Some(game) => game.records.push(from.record.clone()),
            None => games.push(Game {
                teams: from.teams.clone(),
                records: vec![from.record.clone()],
            }),
        }
    }
    games
}

/// How the records of a game stand, as a small shape and a word.
#[component]
pub fn DeliveryWord(
    /// The records; nothing is said of none.
    records: Vec<Held>,
) -> impl IntoView {
    let collectors = collectors().at;
    (!records.is_empty()).then(|| {
        let standing = Memo::new(move |_| collectors.with(|p| Standing::all(&records, p)));
        view! {
            <span class="word" data-standing=move || class(standing.get())>
                <span aria-hidden="true">{move || standing.get().shape()}</span>
                " "{move || standing.get().words()}
            </span>
        }
    })
}

const fn class(standing: Standing) -> &'static str {
    match standing {
        Standing::Delivered => "delivered",
        Standing::Awaits => "awaits",
        Standing::Waiting(_) => "waiting",
        Standing::Refused => "refused",
        Standing::OnlyHere => "only-here",
    }
}

/// Where all of it stands, in a word or two.
#[component]
pub fn DeliveryState() -> impl IntoView {
    let (app, from_desk, collectors) = (app_state(), collectors().from_desk, collectors().at);
    let charters = crate::delivery::collectors().charters;
    move || {
        let all = app.games.with(|g| from_desk.with(|d| games(g, d)));
        collectors.with(
            |collectors| match charters.with(|c| sum(&all, c, collectors)) {
                Sum::Nothing => "",
                Sum::OnlyHere(_) => "only here",
                Sum::Done(_) => "all there",
                Sum::Part { refused: 1.., .. } => "refused",
                Sum::Part { .. } => "waits",
            },
        )
    }
}

/// Everything on the phone together.
enum Sum {
    Nothing,
    OnlyHere(OnPhone),
    Done(OnPhone),
    Part {
        all: OnPhone,
        delivered: usize,
        waiting: u64,
        refused: usize,
        unshown: usize,
    },
}

/// How many records and charters.
#[derive(Clone, Copy)]
struct OnPhone {
    records: usize,
    charters: usize,
}

impl OnPhone {
    const fn count(self) -> usize {
        self.records + self.charters
    }
}

impl core::fmt::Display for OnPhone {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let charters = match self.charters {
            1 => "1 charter".to_string(),
            n => format!("{n} charters"),
        };
        match (self.records, self.charters) {
            (records, 0) => f.write_str(&self::records(records)),
            (0, _) => f.write_str(&charters),
            (records, _) => write!(f, "{} and {charters}", self::records(records)),
        }
    }
}

fn sum(games: &[Game], charters: &[HeldCharter], collectors: &[Collector]) -> Sum {
    let records = games.iter().flat_map(|g| &g.records);
    let all = OnPhone {
        records: records.clone().count(),
        charters: charters.len(),
    };
    let everything = records.chain(charters.iter().map(|c| &c.versions));
    let each: Vec<_> = everything.map(|r| Standing::of(r, collectors)).collect();
    let count = |wanted: fn(&Standing) -> bool| each.iter().filter(|s| wanted(s)).count();
    let delivered = count(|s| *s == Standing::Delivered);
    match each.len() {
        0 => Sum::Nothing,
        _ if collectors.is_empty() => Sum::OnlyHere(all),
        n if n == delivered => Sum::Done(all),
        _ => Sum::Part {
            all,
            unshown: count(|s| *s == Standing::Awaits),
            delivered,
            waiting: each
                .iter()
                .map(|s| if let Standing::Waiting(n) = s { *n } else { 0 })
                .sum(),
            refused: count(|s| *s == Standing::Refused),
        },
    }
}

fn records(n: usize) -> String {
    match n {
        1 => "1 record".into(),
        n => format!("{n} records"),
    }
}

fn entries(n: u64) -> String {
    match n {
        1 => "1 entry".into(),
        n => format!("{n} entries"),
    }
}

impl core::fmt::Display for Sum {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Nothing => f.write_str("No record of your own is on this phone yet."),
            Self::OnlyHere(all) => {
                write!(f, "{all} only on this phone: no collector is named.")
            }
            Self::Done(all) if all.count() == 1 => {
                let what = if all.records == 1 {
                    "record"
                } else {
                    "charter"
                };
                write!(f, "The {what} on this phone is delivered.")
            }
            Self::Done(all) => write!(f, "All delivered: {all} on this phone."),
            Self::Part {
                all,
                delivered,
                waiting,
                refused,
                unshown,
            } => {
                let mut said = Vec::new();
                if all.count() > 1 {
                    said.push(format!("{delivered} of {all} delivered."));
                }
                if *waiting > 0 {
                    let verb = if *waiting == 1 { "waits" } else { "wait" };
                    said.push(format!("{} {verb}.", entries(*waiting)));
                }
                if *refused > 0 {
                    said.push(format!("{refused} refused."));
                }
                if *unshown > 0 {
                    said.push(format!("{unshown} there, not shown yet."));
                }
                f.write_str(&said.join(" "))
            }
        }
    }
}

/// The screen.
#[component]
pub fn Deliveries() -> impl IntoView {
    let (app, delivery) = (app_state(), delivery());
    app.leave();
    let from_desk = delivery.collectors.from_desk;
    let games = Memo::new(move |_| app.games.with(|g| from_desk.with(|d| games(g, d))));
    let collectors = delivery.collectors.at;
    let charters = delivery.collectors.charters;
    let sum = move |games: &[Game], collectors: &[Collector]| {
        charters.with(|c| sum(games, c, collectors))
    };
    let addresses = Memo::new(move |_| {
        collectors.with(|p| p.iter().map(|p| p.address.clone()).collect::<Vec<_>>())
    });
    let state = move || collectors.with(|p| games.with(|g| sum(g, p).to_string()));
    let next = move || {
        let refused = collectors
            .with(|p| games.with(|g| matches!(sum(g, p), Sum::Part { refused: 1.., .. })));
        let unshown = collectors
            .with(|p| games.with(|g| matches!(sum(g, p), Sum::Part { unshown: 1.., .. })));
        match collectors.with(Vec::is_empty) {
            true => {
                "Name the collector of your event below, or hand the games over by camera or file."
            }
            false if refused || unshown => "The reason stands below.",
            false => "It goes on by itself whenever this app is open and there is a signal.",
        }
    };
    let foot = move || {
        view! {
            <button type="button" class="btn lit big wide" on:click=move |_| delivery.by_hand()>"Send now"</button>
        }
    };
    view! {
        <Page title="Delivery" back="/" has_foot=true foot=foot>
            <Message
                what=Signal::derive(state)
                next=Signal::derive(move || next().to_string())
            />
            {move || addresses.get().into_iter().map(|a| view! { <Collector address=a games=games/> }).collect_view()}
            <Show when=move || charters.with(|c| !c.is_empty())>
                <Section title="Charters">
                    <ul class="games">
                        {move || charters.get().into_iter().map(|c| view! { <li><CharterState charter=c/></li> }).collect_view()}
                    </ul>
                </Section>
            </Show>
            <Show when=move || games.with(|g| !g.is_empty())>
                <Section title="Games">
                    <ul class="games">
                        {move || games.get().into_iter().map(|g| view! { <li><GameState game=g/></li> }).collect_view()}
                    </ul>
                </Section>
            </Show>
            <Another/>
            <p class="soft">"Made-up games of the demo day stay on the phone."</p>
        </Page>
    }
}

/// One collector: its address, how much it has, when it was heard, what is wrong.
#[component]
fn Collector(address: String, games: Memo<Vec<Game>>) -> impl IntoView {
    let (delivery, collectors) = (delivery(), collectors().at);
    let charters = delivery.collectors.charters;
    let name = address.clone();
    let collector = Memo::new(move |_| {
        collectors
            .with(|p| p.iter().find(|p| p.address == name).cloned())
            .unwrap_or_default()
    });
    let host = host(&address).to_string();
    let label = format!("Collector {host}");
    let counts = move || {
        let one = |p: &Collector| {
            let collector = core::slice::from_ref(p);
            games.with(|g| charters.with(|c| sum(g, c, collector).to_string()))
        };
        collector.with(one)
    };
    let heard = move || {
        collector.with(|p| match p.heard() {
            Some(at) => format!("Last answer: {}.", moment(at)),
            None => "It has not answered yet.".to_string(),
        })
    };
    let sending = move || collector.with(|p| p.sending);
    let trouble = move || collector.with(|p| Some((p.trouble?.to_string(), p.again)));
    let remove = move |_| delivery.remove(&address);
    view! {
        <section class="section" aria-label=label>
            <h2>{host}</h2>
            <Show when=move || collector.with(|p| p.own)>
                <p class="soft">"This app came from there."</p>
            </Show>
            <Show when=move || collectors.with(|p| p.len() > 1)><p>{counts}</p></Show>
            <p>{heard}{move || sending().then_some(" Sending.")}</p>
            {move || trouble().map(|(what, again)| {
                let next = again.map(|at| format!("Next try at {}.", clock::time_of_day(at)));
                view! { <Message tone=Tone::Bad what=what next=next.unwrap_or_default()/> }
            })}
            <button type="button" class="btn wide" on:click=remove>"Deliver here no longer"</button>
        </section>
    }
}

fn moment(at: u64) -> String {
    let time = clock::time_of_day(at);
    if clock::same_day(at, clock::now()) {
        time
    } else {
        format!("{}, {time}", clock::day(at))
    }
}

/// One game with its records.
#[component]
fn GameState(game: Game) -> impl IntoView {
    let lines = game
        .records
        .iter()
        .cloned()
        .map(|record| view! { <Record record=record/> });
    let lines = lines.collect_view();
    view! {
        <div class="delivered-game">
            <h3>{game.teams.clone()}</h3>
            {lines}
        </div>
    }
}

/// A charter: how far its versions have come.
#[component]
fn CharterState(charter: HeldCharter) -> impl IntoView {
    let versions = charter.versions;
    let stored = match versions.stored {
        1 => "Version 1".to_string(),
        n => format!("Versions 1 to {n}"),
    };
    let lines = lines(versions.clone());
    view! {
        <div class="delivered-game">
            <h3>{charter.event}</h3>
            <p>{stored}" stored here. "<DeliveryWord records=vec![versions]/></p>
            {lines}
        </div>
    }
}

/// One record: how far it has come, at each collector where several are named.
#[component]
fn Record(record: Held) -> impl IntoView {
    let whose = match (record.own, record.decides) {
        (true, _) => "Your record".to_string(),
        (_, true) => format!("Decisions of {}", record.by),
        _ => format!("Record of {}", record.by),
    };
    let beside = match record.beside {
        0 => String::new(),
        n => format!("{} beside it, signed with the same numbers. ", entries(n)),
    };
    let lines = lines(record.clone());
    view! {
        <p>
            <span class="strong">{whose}</span>
            {format!(": {} stored here. {beside}", entries(record.stored))}
            <DeliveryWord records=vec![record]/>
        </p>
        {lines}
    }
}

/// How far a record has come at each collector.
fn lines(record: Held) -> impl IntoView {
    let collectors = collectors().at;
    move || {
        collectors.with(|collectors| {
            let several = collectors.len() > 1;
            let line = |collector: &Collector| line(&record, collector, several);
            collectors.iter().map(line).collect_view()
        })
    }
}

fn line(record: &Held, collector: &Collector, several: bool) -> impl IntoView + use<> {
    let place = collector
        .places
        .get(&record.key)
        .cloned()
        .unwrap_or_default();
    let at = several.then(|| format!("{}: ", collector.address));
    let counts = match place.waiting(record) {
        0 => "all delivered.".to_string(),
        _ if place.refused.is_some() => format!("{} delivered.", place.delivered),
        waiting => format!("{} delivered, {waiting} waiting.", place.delivered),
    };
    view! {
        {several.then(|| view! { <p class="small">{at}{counts}</p> })}
        {troubles(&place, record).into_iter().map(|(what, next)| view! {
            <Message what=what next=next/>
        }).collect_view()}
    }
}

/// What is wrong with a record at a collector, and what to do.
pub fn troubles(place: &RecordProgress, record: &Held) -> Vec<(String, String)> {
    let mut all = Vec::new();
    if let Some((seq, refusal)) = place.refused.as_ref().filter(|_| place.waiting(record) > 0) {
        let charter = record.is_charter();
        let what = match charter {
            true => refusal.sentence.clone(),
            false => format!(
                "Refused from entry {} on: {}",
                entry_number(*seq),
                refusal.sentence
            ),
        };
        let next = match refusal.name.as_str() {
            _ if charter => "It is tried again by itself.",
            "unlisted-key" => {
                "Read the organiser the six words of your key, in the settings. It is tried again by itself."
            }
            "other-event" => {
                "Ask the organiser for the address of this event's collector, and name it below."
            }
            "no-charter" => "It stays on this phone.",
            "full" | "too-large" => "Tell the organiser. The record stays on this phone.",
            _ => "Keep this phone's record and show this to the organiser.",
        };
        all.push((what, next.to_string()));
    }
    if place.awaits && place.waiting(record) == 0 {
        all.push((
            "The collector keeps this record and does not show it yet: it lacks the version of the charter that the game was set up under.".into(),
            "Nothing is lost. A phone that has that version brings it by itself: take the charter here, or ask the organiser to open the app where there is a signal.".into(),
        ));
    }
    if record.is_charter() {
        if place.ahead {
            all.push((
                "The collector has a newer version of this charter.".into(),
                "Take it from the organiser or from any official who has it.".into(),
            ));
        }
        if place.forked {
            all.push((
                "Two different charters were signed with one version number.".into(),
                "Every phone and collector uses the same one of them. The organiser ends it with a new version.".into(),
            ));
        }
        return all;
    }
    if place.forked && record.own {
        all.push((
            "The collector holds a second line of this record: this phone was set back, or another phone writes with its key.".into(),
            "Both lines are kept there, and the game counts as tampered until the organiser has settled it.".into(),
        ));
    } else if place.forked {
        all.push((
            "Its author signed two different entries with one number: the collector holds both."
                .into(),
            "The game counts as tampered until the organiser has settled it.".into(),
        ));
    }
    if place.ahead {
        all.push((
            "The collector has more of this record than this phone.".into(),
            "Nothing is lost. Do not go on with this game here: ask the organiser.".into(),
        ));
    }
    all
}

/// Names one more collector, or the own one again.
#[component]
fn Another() -> impl IntoView {
    let delivery: Delivery = delivery();
    let text = RwSignal::new(String::new());
    let wrong = RwSignal::new(None::<String>);
    let add = move |_| {
        let added = text.with_untracked(|t| delivery.name(t));
        wrong.set(added.err().map(|w| w.to_string()));
        if added.is_ok() {
            text.set(String::new());
        }
    };
    view! {
        <Section title="Another collector">
            <CollectorAddress label="Its address, from the organiser" text=text wrong=wrong/>
            <button type="button" class="btn wide" on:click=add>"Deliver there too"</button>
        </Section>
    }
}
