//! The commands of whoever runs the service.

use std::collections::BTreeSet;

use anyhow::{Result, anyhow};
use clap::{Args, Subcommand, ValueEnum};
use engine::log::{Fingerprint, OrderAction, PublicKey, SecretKey, SignedOrder, Subject, Visible};

use super::{Orders, issue, meant};
use crate::collector::random;
use crate::hex;
use crate::store::Store;

/// What to do instead of serving. Each works on the storage alone; collectors at
/// work on it follow within --refresh seconds.
#[derive(Clone, Debug, Subcommand)]
pub enum Command {
    /// Shows nobody a game, a key's records or an event; they are kept and taken
    /// all the same.
    Hide(About),
    /// Removes a game, a key's records or an event from the storage, and refuses
    /// it from now on. Its hashes stay, signed, in its place.
    Erase {
        /// What it is about.
        #[command(flatten)]
        about: About,
        /// Do it. Without this it is only said what would be erased.
        #[arg(long)]
        yes: bool,
    },
    /// Takes nothing more that is signed with a key.
    Block {
        /// The key's fingerprint or the key itself, in hexadecimal.
        key: String,
        /// How it is given.
        #[command(flatten)]
        how: How,
    },
    /// Takes nothing at all until it is lifted; what is kept is served.
    Pause(How),
    /// Lists the orders that hold.
    Orders,
}

/// What an order is about.
#[derive(Clone, Debug, Args)]
pub struct About {
    /// What it is.
    #[arg(value_enum)]
    kind: Kind,
    /// A game's id, as its page's address has it; a key or its fingerprint; the
    /// hash of an event's first charter, as its page's address has it.
    id: String,
    #[command(flatten)]
    how: How,
}

/// How an order is given.
#[derive(Clone, Debug, Args)]
pub struct How {
    /// Why, in a sentence that everyone may read.
    #[arg(long, default_value = "")]
    reason: String,
    /// Take the order back. What was erased comes back only when a phone
    /// delivers it again.
    #[arg(long)]
    lift: bool,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Kind {
    Game,
    Key,
    Event,
}

fn fingerprint(text: &str) -> Result<Fingerprint> {
    let key = || {
        PublicKey::from_bytes(&hex::<32>(text)?)
            .ok()
            .map(|k| k.fingerprint())
    };
    let found = hex(text).map(Fingerprint).or_else(key);
    found.ok_or_else(|| {
        anyhow!("`{text}` is no key: give its 64 hexadecimal digits, or the 32 of its fingerprint.")
    })
}

impl About {
    fn subject(&self) -> Result<Subject> {
        let id = self.id.trim();
        let wrong =
            |_| anyhow!("`{id}` is no id of a game or event: it has 64 hexadecimal digits.");
        Ok(match self.kind {
            Kind::Game => Subject::Game(id.parse().map_err(wrong)?),
            Kind::Event => Subject::Event(id.parse().map_err(wrong)?),
            Kind::Key => Subject::Key(fingerprint(id)?),
        })
    }
}

/// Does what a command says on a storage, and returns what is to be printed.
///
/// # Errors
/// When what it names is none, or the storage does not do it.
pub async fn obey(store: &Store, command: &Command) -> Result<String> {
    let secret = store.receipt_key(random()?).await?;
    let signer = SecretKey::from_random(&secret);
    let (measure, how) = match command {
        Command::Hide(about) => (OrderAction::Hide(about.subject()?), &about.how),
        Command::Erase { about, yes } => {
            let measure = OrderAction::Erase(about.subject()?);
            if !yes && !about.how.lift {
                let (charters, runs) = meant(store, about.subject()?, &signer.public()).await?;
                let logs: BTreeSet<_> = runs.iter().map(|run| run.log).collect();
                return Ok(format!(
                    "Nothing is erased yet. Of this {} records and {} versions of a charter are named or kept here. Give --yes to erase them for good: only phones that still hold them have them then, and copies of the storage made earlier.",
                    logs.len(),
                    charters.len()
                ));
            }
            (measure, &about.how)
        }
        Command::Block { key, how } => (OrderAction::Block(fingerprint(key)?), how),
        Command::Pause(how) => (OrderAction::Pause, how),
        Command::Orders => {
            let orders = Orders::new(store.orders(&signer.public()).await?);
            let lines: Vec<String> = orders.all().map(line).collect();
            return Ok(match lines.is_empty() {
                true => "No order holds.".into(),
                false => lines.join("\n"),
            });
        }
    };
    let given = issue(store, &signer, measure, !how.lift, &how.reason).await?;
    Ok(given.iter().map(line).collect::<Vec<_>>().join("\n"))
}

/// An order in a line.
fn line(order: &SignedOrder) -> String {
    let subject = |subject: &Subject| match subject {
        Subject::Game(id) => format!("game {id}"),
        Subject::Key(id) => format!("key {id}"),
        Subject::Event(id) => format!("event {id}"),
    };
    let content = order.content();
    let what = match &content.measure {
        OrderAction::Hide(of) => format!("hidden: {}", subject(of)),
        OrderAction::Erase(of) => format!("erased: {}", subject(of)),
        OrderAction::Block(key) => format!("blocked: key {key}"),
        OrderAction::Pause => "paused".into(),
    };
    let mut line = format!("{} {what}", engine::evidence::utc(content.issued_ms));
    if !content.holds {
        line += ", no longer";
    }
    if !content.logs.is_empty() {
        line += &format!(" ({} records)", content.logs.len());
    }
    if !content.reason.is_empty() {
        line += &format!(": {}", Visible(&content.reason));
    }
    line
}
