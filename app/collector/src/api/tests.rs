#![allow(clippy::unwrap_used, clippy::panic)]
//! Every endpoint through the router, against a store in memory.

mod admission;
mod charters;
mod damage;
#[cfg(target_os = "linux")]
mod disk;
mod growth;
mod keeping;
mod logs;
mod merging;
mod orders;
mod place;
mod results;
mod together;

use std::sync::{Arc, OnceLock};

use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode};
use bytes::Bytes;
use demoday::{DemoDay, play_day};
use engine::charter::{Charter, Privacy, SignedCharter};
use engine::log::{
    Author, AuthorLog, Body as Says, ConsideredLog, Decision, Disposition, GameRecord, Hash,
    LogName, Opening, Role, SecretKey, StagedEntries, Verified, split,
};
use engine::sync::{Heads, ReadPass, Receipt};
use http_body_util::BodyExt as _;
use object_store::memory::InMemory;
use tower::ServiceExt as _;

use crate::collector::Collector;
use crate::event::EventId;
use crate::serve::{Gate, router};
use crate::settings::Limits;
use crate::store::Store;

fn day() -> &'static DemoDay {
    static DAY: OnceLock<DemoDay> = OnceLock::new();
    DAY.get_or_init(|| play_day(1).unwrap())
}

struct Service {
    place: Arc<InMemory>,
    collector: Arc<Collector>,
    router: Router,
}

fn limits() -> Limits {
    Limits {
        requests_per_minute: 0,
        ..Limits::default()
    }
}

async fn service_with(place: Arc<InMemory>, charters: &[Bytes], limits: Limits) -> Service {
    let store = Store::of(place.clone());
    let charters: Vec<_> = charters
        .iter()
        .flat_map(|c| SignedCharter::read_all(c).unwrap())
        .collect();
    let collector = Collector::open(store, &charters, false, limits)
        .await
        .unwrap();
    let gate = Gate::new(collector.clone(), &["https://app.example".into()], false).unwrap();
    Service {
        place,
        router: router(gate, None).unwrap(),
        collector,
    }
}

async fn service() -> Service {
    let charter = Bytes::copy_from_slice(day().charter.bytes());
    service_with(Arc::default(), &[charter], limits()).await
}

struct Got {
    status: StatusCode,
    headers: axum::http::HeaderMap,
    body: Bytes,
}

impl Got {
    fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
    fn receipt(&self) -> Receipt {
        Receipt::read(&self.body)
            .unwrap_or_else(|| panic!("no receipt: {} {}", self.status, self.text()))
    }
    fn refusal(&self) -> String {
        self.receipt().refusal.map(|r| r.name).unwrap_or_default()
    }
}

impl Service {
    async fn ask(&self, request: Request<Body>) -> Got {
        let answer = self.router.clone().oneshot(request).await.unwrap();
        let (parts, body) = answer.into_parts();
        Got {
            status: parts.status,
            headers: parts.headers,
            body: body.collect().await.unwrap().to_bytes(),
        }
    }
    async fn get(&self, path: &str) -> Got {
        self.ask(Request::get(path).body(Body::empty()).unwrap())
            .await
    }
    async fn put(&self, name: LogName, body: Vec<u8>) -> Got {
        let request = Request::put(name.path()).header("content-type", "application/cbor-seq");
        self.ask(request.body(body.into()).unwrap()).await
    }
    async fn put_record(&self, record: &GameRecord) {
        let got = self.put(name(record), record.chain().to_bytes()).await;
        assert_eq!(got.status, StatusCode::OK, "{:?}", got.receipt());
    }
    /// Everything the officials recorded.
    async fn fill(&self) {
        for game in &day().games {
            for record in game.records.iter().chain(&game.second_line) {
                self.put_record(record).await;
            }
        }
    }
}

fn name(record: &GameRecord) -> LogName {
    record.chain().name()
}

/// How far a log has come, where something of it is kept.
async fn next_seq(collector: &Collector, record: &GameRecord) -> Option<u64> {
    let found = collector.find(name(record)).await.unwrap();
    found.map(|(_, log)| log.branches().next_seq())
}

fn record(game: usize) -> &'static GameRecord {
    &day().games[game].records[0]
}

fn part(record: &GameRecord, range: std::ops::Range<usize>) -> Vec<u8> {
    let entries = &record.chain().entries()[range];
    entries.iter().flat_map(|e| e.bytes()).copied().collect()
}
