//! Checks files without taking them in: what they are, who signed what, what
//! is missing, and what none of it proves.

use engine::evidence::{Evidence, FileContent, FileVerdict, LogVerdict};
use engine::log::{Fork, entry_number};
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::desk::list as sentences;
use crate::parts::{Message, Page, Tone};
use crate::sharing;
use crate::state::app_state;
use crate::words::capital;

/// The screen.
#[component]
pub fn Check() -> impl IntoView {
    let app = app_state();
    let field = NodeRef::<leptos::html::Input>::new();
    let found = RwSignal::new_local(None::<Evidence>);
    let chosen = move |_| {
        let Some(input) = field.get_untracked() else {
            return;
        };
        spawn_local(async move {
            let files = sharing::all_chosen(&input.into()).await;
            let given = files
                .iter()
                .map(|(name, bytes)| (name.as_str(), bytes.as_slice()));
            // What this phone knows of events says whom they list.
            let charters = app.charters.with_untracked(|all| {
                let all = all.iter().flat_map(|kept| kept.all());
                all.cloned().collect()
            });
            found.set(Some(Evidence::under(charters, given)));
        });
    };
    let verdict = move || {
        found.with(|found| {
            let found = found.as_ref()?;
            let files = found.files.iter().enumerate();
            Some(files.map(|(at, file)| one(found, at, file)).collect_view())
        })
    };
    view! {
        <Page title="Check a file" back="/">
            <p>"Records and charters that somebody gave you: several at once say more, each about the others. \
                Nothing is taken in and nothing leaves this phone."</p>
            <label class="field">
                <span class="label">"Files to check"</span>
                <input class="input" type="file" multiple node_ref=field on:change=chosen/>
            </label>
            <div role="status" class="stack">{verdict}</div>
        </Page>
    }
}

/// What good means, and what it does not.
const GOOD: &str = "Each entry is signed with its author's key and follows from the one before: nobody without \
    the key added, changed or took out anything before the last. It does not say that what was recorded happened.";

fn one(all: &Evidence, at: usize, file: &FileVerdict) -> impl IntoView + use<> {
    let (tone, what, next) = match &file.content {
        FileContent::Unknown(_) => (
            Tone::Bad,
            "This is no play log, no charter and no order: a file of another kind.".to_string(),
            "Ask for the file that the app saves.".to_string(),
        ),
        FileContent::Order(order) => {
            let mut said = order.says();
            let what = said.remove(0);
            (Tone::Plain, format!("An order by whoever runs a collector. {what}"), said.join(" "))
        }
        FileContent::BadOrder(why) => (
            Tone::Bad,
            "An order by whoever runs a collector, and it is not good.".to_string(),
            why.to_string(),
        ),
        FileContent::BadCharter(why) => (
            Tone::Bad,
            "A charter, and it is not good.".to_string(),
            why.to_string(),
        ),
        FileContent::Charter(versions) => (
            Tone::Good,
            versions.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "),
            "Its signature is good. Whether the key is the organiser's, the six words say: compare them."
                .to_string(),
        ),
        FileContent::Log { entries, damage: Some(damage), .. } => (
            Tone::Bad,
            format!("A play log that is not good from entry {} on.", damage.entry),
            format!("{} Before it {entries} entries are good.", damage.error),
        ),
        FileContent::Log { .. } if all.logs.iter().any(|l| l.file == at && !l.is_sound()) => (
            Tone::Bad,
            "A play log: every signature is good, and what is signed contradicts itself.".to_string(),
            "See below what and where.".to_string(),
        ),
        FileContent::Log { entries, .. } => (
            Tone::Good,
            format!("A play log of {entries} entries, every signature good."),
            GOOD.to_string(),
        ),
    };
    let logs = all.logs.iter().filter(|l| l.file == at);
    let logs = logs.map(|l| log(all, l)).collect_view();
    view! {
        <section class="section" aria-label=file.name.clone()>
            <h2>{file.name.clone()}</h2>
            <Message tone=tone what=what next=next/>
            {logs}
        </section>
    }
}

fn log(all: &Evidence, log: &LogVerdict) -> impl IntoView + use<> {
    let author = &log.chain.opening().author;
    let who = match author.name.is_empty() {
        true => format!("The {}, without a name", author.role),
        false => format!("{}, {}", author.name, author.role),
    };
    let signed_off = log.record.as_ref().is_ok_and(|r| r.signed_off().is_some());
    let mut lines = vec![
        format!(
            "Key {}, words: {}.",
            author.key.fingerprint(),
            author.key.phrase()
        ),
        capital(&format!("{}.", log.listed())),
        match signed_off {
            true => "The author signed the final statement, and nothing that counts follows it."
                .to_string(),
            false => "The author has not signed it off.".to_string(),
        },
    ];
    lines.extend(log.co_signers().iter().map(|l| format!("Co-signed: {l}.")));
    lines.extend(log.dated(all).iter().map(|l| capital(&format!("{l}."))));
    lines.extend(log.witnesses().iter().map(|l| format!("Witnessed: {l}.")));
    let wrong = log.misstatements();
    let forks = log.forks.iter().map(fork).collect_view();
    view! {
        <h3>{who}</h3>
        <p>{capital(&format!("{}.", log.game()))}</p>
        {sentences(&lines)}
        {(!wrong.is_empty()).then(|| sentences(&wrong))}
        {forks}
    }
}

/// Both entries of one number.
fn fork(fork: &Fork) -> impl IntoView + use<> {
    let side = |entry: &engine::log::Entry<engine::log::Verified>| {
        format!(
            "{}, claimed at {}, hash {}",
            capital(entry.body().kind()),
            engine::evidence::utc(entry.payload().claimed_ms),
            entry.hash()
        )
    };
    let what = format!(
        "Entry {} was signed twice with different words: this is proof against its author.",
        entry_number(fork.kept.payload().seq)
    );
    view! {
        <Message tone=Tone::Bad what=what/>
        {sentences(&[side(&fork.kept), side(&fork.other)])}
    }
}
