//! What whoever runs the service ordered: hidden, erased, blocked, paused.
//!
//! An order is a signed object in the storage like any other
//! ([`engine::log::SignedOrder`]): every collector of the storage reads it at its
//! next refresh, and a copy of the storage keeps it.

mod command;

use std::collections::{BTreeMap, HashMap};

use anyhow::{Context as _, Result};
use engine::charter::{CharterHistory, SignedCharter};
use engine::log::{
    AuthorLog, ErasedLog, Fingerprint, GameId, Hash, LogName, Order, OrderAction, PublicKey,
    SecretKey, SignedOrder, StagedEntries, Subject, split,
};
use engine::sync::Refusal;

use crate::event::EventId;
use crate::store::{FetchedObject, SegmentName, Store};

pub use command::{Command, obey};

/// The orders that hold.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Orders {
    holds: BTreeMap<OrderAction, Vec<SignedOrder>>,
    /// Logs and charters that were erased, by what ordered it.
    logs: HashMap<LogName, OrderAction>,
    charters: HashMap<Hash, OrderAction>,
}

impl Orders {
    /// Those that hold of all that were ever given.
    #[must_use]
    pub fn new(all: impl IntoIterator<Item = SignedOrder>) -> Self {
        let holds = SignedOrder::in_force(all);
        let (mut logs, mut charters) = (HashMap::new(), HashMap::new());
        for (measure, orders) in &holds {
            if !matches!(measure, OrderAction::Erase(_)) {
                continue;
            }
            for order in orders.iter().map(SignedOrder::content) {
                let named = order.logs.iter().map(|l| LogName {
                    game: l.game,
                    author: l.author,
                });
                logs.extend(named.map(|name| (name, *measure)));
                charters.extend(order.charters.iter().map(|hash| (*hash, *measure)));
            }
            if let OrderAction::Erase(Subject::Event(first)) = measure {
                charters.insert(*first, *measure);
            }
        }
        Self {
            holds,
            logs,
            charters,
        }
    }

    /// The orders, those issued first before others about the same.
    pub fn all(&self) -> impl Iterator<Item = &SignedOrder> {
        self.holds.values().flatten()
    }

    fn given(&self, measure: OrderAction) -> Option<&SignedOrder> {
        self.holds.get(&measure)?.first()
    }

    /// Whether any of them erases something.
    #[must_use]
    pub fn erase_any(&self) -> bool {
        self.holds
            .keys()
            .any(|m| matches!(m, OrderAction::Erase(_)))
    }

    /// The order by which a log is not kept, if there is one.
    #[must_use]
    pub fn erases(&self, event: Option<EventId>, log: LogName) -> Option<&SignedOrder> {
        let of_event = event.and_then(|event| match event {
            EventId::Charter(hash) | EventId::Awaiting(hash) => self.erases_charter(hash),
            EventId::Open => None,
        });
        of_event
            .or_else(|| self.given(OrderAction::Erase(Subject::Game(log.game))))
            .or_else(|| self.given(OrderAction::Erase(Subject::Key(log.author))))
            .or_else(|| self.given(*self.logs.get(&log)?))
    }

    /// The order by which a game is not kept, if there is one.
    #[must_use]
    pub fn erases_game(&self, game: GameId) -> Option<&SignedOrder> {
        let by_name = || self.logs.iter().find(|(name, _)| name.game == game);
        let whole = self.given(OrderAction::Erase(Subject::Game(game)));
        whole.or_else(|| self.given(*by_name()?.1))
    }

    /// The order by which a charter is not kept, if there is one.
    #[must_use]
    pub fn erases_charter(&self, hash: Hash) -> Option<&SignedOrder> {
        self.given(*self.charters.get(&hash)?)
    }

    /// Whether nobody is shown an event.
    #[must_use]
    pub fn hides_event(&self, event: EventId) -> bool {
        match event {
            EventId::Charter(hash) => self
                .given(OrderAction::Hide(Subject::Event(hash)))
                .is_some(),
            EventId::Open | EventId::Awaiting(_) => false,
        }
    }

    /// Whether nobody is shown a log.
    #[must_use]
    pub fn hides(&self, event: EventId, log: LogName) -> bool {
        let of = |subject| self.given(OrderAction::Hide(subject)).is_some();
        of(Subject::Game(log.game)) || of(Subject::Key(log.author)) || self.hides_event(event)
    }

    /// The order by which nothing more of a key is taken, if there is one.
    #[must_use]
    pub fn blocks(&self, key: Fingerprint) -> Option<&SignedOrder> {
        let erased = || self.given(OrderAction::Erase(Subject::Key(key)));
        self.given(OrderAction::Block(key)).or_else(erased)
    }

    /// The order by which nothing is taken just now, if there is one.
    #[must_use]
    pub fn pauses(&self) -> Option<&SignedOrder> {
        self.given(OrderAction::Pause)
    }
}

/// What is said of what an order erases.
pub const ERASED: &str =
    "Whoever runs this collector has taken this out of it: nothing of it is kept here any more.";

/// What is said to whoever delivers what an order is against.
#[must_use]
pub fn refusal(order: &SignedOrder) -> Refusal {
    let (name, sentence) = match order.content().measure {
        OrderAction::Erase(_) => (Refusal::ERASED, ERASED),
        OrderAction::Pause => (
            Refusal::PAUSED,
            "Whoever runs this collector has paused it: nothing is taken just now. Records stay on the phone and go out by themselves later.",
        ),
        OrderAction::Block(_) | OrderAction::Hide(_) => (
            "blocked-key",
            "Whoever runs this collector takes nothing signed with this key.",
        ),
    };
    let reason = order.content().reason.as_str();
    let sentence = match reason {
        "" => sentence.to_owned(),
        reason => format!("{sentence} The reason given: {reason}"),
    };
    Refusal {
        at: 0,
        name: name.to_owned(),
        sentence,
    }
}

/// Gives an order: it is kept, and what it erases is erased. Collectors at work
/// follow it at their next refresh.
///
/// # Errors
/// When the storage does not take it, or no such thing is kept there.
pub async fn issue(
    store: &Store,
    signer: &SecretKey,
    measure: OrderAction,
    holds: bool,
    reason: &str,
) -> Result<Vec<SignedOrder>> {
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    let now = now.map_or(0, |d| u64::try_from(d.as_millis()).unwrap_or(u64::MAX));
    // After whatever was said of the same before, whatever the clock says.
    let earlier = store.orders(&signer.public()).await?;
    let of_same = earlier.iter().map(SignedOrder::content);
    let of_same = of_same.filter(|o| o.measure == measure);
    let last = of_same.map(|o| o.issued_ms).max();
    let mut order = Order {
        measure,
        holds,
        issued_ms: last.map_or(now, |last| now.max(last + 1)),
        reason: reason.to_owned(),
        logs: Vec::new(),
        charters: Vec::new(),
        collector: signer.public(),
    };
    let mut doomed = Vec::new();
    if let (true, OrderAction::Erase(subject)) = (holds, measure) {
        (order.charters, doomed) = meant(store, subject, &signer.public()).await?;
    }
    let logs = ends(store, &doomed).await?;
    let mut given = Vec::new();
    // At least one, where nothing is kept yet too: what comes later is refused.
    let parts = logs.chunks(Order::LOGS_LIMIT).map(<[_]>::to_vec);
    let parts: Vec<_> = match logs.is_empty() {
        true => vec![Vec::new()],
        false => parts.collect(),
    };
    for logs in parts {
        let signed = Order {
            logs,
            ..order.clone()
        }
        .sign(signer)?;
        let put = store.put_order(&signed).await;
        put.context("The storage does not take the order")?;
        given.push(signed);
    }
    let erased = store.erase(doomed.iter(), order.charters.iter().copied());
    erased
        .await
        .context("The order is kept, but not everything could be erased: give it again")?;
    Ok(given)
}

/// What a subject means of what is kept: versions of a charter, also those that
/// were erased before, and objects with entries.
async fn meant(
    store: &Store,
    subject: Subject,
    key: &PublicKey,
) -> Result<(Vec<Hash>, Vec<SegmentName>)> {
    let mut charters = Vec::new();
    if let Subject::Event(first) = subject {
        let earlier = Orders::new(store.orders(key).await?);
        charters.push(first);
        charters.extend(earlier.charters.into_iter().filter_map(|(hash, by)| {
            (by == OrderAction::Erase(subject) && hash != first).then_some(hash)
        }));
        let kept = store.charters(|_| true).await?;
        let good = kept.good.iter().filter_map(|bytes| {
            let parsed = SignedCharter::parse(bytes).ok()?;
            parsed.verify().ok()
        });
        let histories = CharterHistory::gather(good);
        let of = histories.iter().find(|h| h.first().hash() == first);
        let of = of.into_iter().flat_map(CharterHistory::all);
        let more: Vec<_> = of
            .map(SignedCharter::hash)
            .filter(|h| !charters.contains(h))
            .collect();
        charters.extend(more);
    }
    let mut all = store.runs().await?.names;
    all.retain(|run| match subject {
        Subject::Game(game) => run.log.game == game,
        Subject::Key(key) => run.log.author == key,
        Subject::Event(_) => match run.event {
            EventId::Charter(hash) | EventId::Awaiting(hash) => charters.contains(&hash),
            EventId::Open => false,
        },
    });
    all.sort();
    Ok((charters, all))
}

/// How far each of the logs had come that objects are of.
async fn ends(store: &Store, segments: &[SegmentName]) -> Result<Vec<ErasedLog>> {
    let mut logs: BTreeMap<LogName, AuthorLog> = BTreeMap::new();
    for run in segments {
        let FetchedObject::Good(content) = store.get_run(run).await? else {
            continue;
        };
        let log = logs
            .entry(run.log)
            .or_insert_with(|| AuthorLog::new(run.log));
        let mut staged = StagedEntries::default();
        // As far as it is good: the rest is erased all the same.
        let _ = split(&content).try_for_each(|item| {
            let staged = log.stage(&mut staged, item?);
            staged.map(drop)
        });
        log.add(staged);
    }
    Ok(logs.values().filter_map(ErasedLog::of).collect())
}
