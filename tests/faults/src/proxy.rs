//! Between phones and collectors: loses, cuts, doubles, delays, reorders, and
//! pretends to be a captive portal.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use anyhow::Result;
use fastrand::Rng;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream};

use crate::wire;

/// Something that goes wrong with a request.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fault {
    /// Lost on the way there.
    LostThere,
    /// A part of it arrives, then nothing: so many thousandths of it.
    PartThere(usize),
    /// A network that wants its own page opened first answers with that page.
    Portal,
    /// The same, by sending the phone there.
    PortalElsewhere,
    /// It arrives so much later, after what the phone sends next.
    Late(Duration),
    /// It arrives twice, at the same time.
    Twice,
    /// It takes so long.
    Slow(Duration),
    /// The answer is lost on the way back.
    LostBack,
    /// So many thousandths of the answer arrive.
    PartBack(usize),
    /// Answered with a status, and how long to wait, as a collector says it.
    Status(u16, Option<u64>),
    /// What is longer than so many bytes is answered with 413.
    TooLarge(usize),
    /// The whole answer, byte for byte.
    Answer(Vec<u8>),
}

impl Fault {
    /// Half of the draws give one.
    fn drawn(draw: u64) -> Option<Self> {
        let part = usize::try_from((draw >> 8) % 1000).unwrap_or(0);
        let pause = Duration::from_millis(draw >> 20 & 31);
        Some(match draw % 16 {
            0 => Self::LostThere,
            1 => Self::PartThere(part),
            2 => Self::Portal,
            3 => Self::Late(pause * 4),
            4 => Self::Twice,
            5 => Self::Slow(pause),
            6 => Self::LostBack,
            7 => Self::PartBack(part),
            _ => return None,
        })
    }
}

/// What the network is like just now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Weather {
    /// Every second request meets a fault drawn at random.
    Stormy,
    /// Everything goes through.
    Fair,
    /// Every request to the collector's interface meets this fault.
    Always(Fault),
    /// Nothing goes through, whatever is asked for.
    Gone,
}

/// What the proxy did.
#[derive(Debug, Default)]
pub struct Done {
    /// Requests handed on.
    pub passed: AtomicU64,
    /// Faults made, of all kinds.
    pub faults: AtomicU64,
    /// First line of each request for a log, and the bytes of its body.
    pub asked: Mutex<Vec<(String, usize)>>,
}

/// A proxy in front of one collector.
#[derive(Clone, Debug)]
pub struct Proxy {
    /// Where phones connect.
    pub port: u16,
    weather: Arc<Mutex<Weather>>,
    /// What it did.
    pub done: Arc<Done>,
}

impl Proxy {
    /// Stands before the collector at `to`, in stormy weather.
    ///
    /// # Errors
    /// When there is no free port.
    pub async fn before(to: u16, seed: u64) -> Result<Self> {
        let listener = TcpListener::bind(("127.0.0.1", 0)).await?;
        let proxy = Self {
            port: listener.local_addr()?.port(),
            weather: Arc::new(Mutex::new(Weather::Stormy)),
            done: Arc::default(),
        };
        let own = proxy.clone();
        tokio::spawn(async move {
            let mut rng = Rng::with_seed(seed);
            while let Ok((stream, _)) = listener.accept().await {
                let draw = rng.u64(..);
                let own = own.clone();
                // What goes wrong in here is what is wanted.
                tokio::spawn(async move { own.handle(stream, to, draw).await });
            }
        });
        Ok(proxy)
    }

    /// Changes the weather from the next request on.
    pub fn turn(&self, weather: Weather) {
        *self.weather.lock().unwrap_or_else(PoisonError::into_inner) = weather;
    }

    /// The fault that a request meets.
    fn fault(&self, request: &[u8], draw: u64) -> Option<Fault> {
        let weather = self.weather.lock().unwrap_or_else(PoisonError::into_inner);
        let first = request.split(|b| *b == b'\r').next().unwrap_or_default();
        let first = String::from_utf8_lossy(first);
        match &*weather {
            Weather::Stormy => Fault::drawn(draw),
            Weather::Fair => None,
            Weather::Always(fault) => first.contains(" /api/").then(|| fault.clone()),
            Weather::Gone => Some(Fault::LostThere),
        }
    }

    fn note(&self, request: &[u8]) {
        let first = request.split(|b| *b == b'\r').next().unwrap_or_default();
        let first = String::from_utf8_lossy(first).into_owned();
        let body = request.len() - wire::head_end(request).unwrap_or(request.len());
        if first.contains(" /api/logs/") {
            let asked = self.done.asked.lock();
            asked
                .unwrap_or_else(PoisonError::into_inner)
                .push((first, body));
        }
    }

    async fn handle(&self, mut stream: TcpStream, to: u16, draw: u64) -> Result<()> {
        let request = read_request(&mut stream).await?;
        self.note(&request);
        let fault = self.fault(&request, draw);
        self.done
            .faults
            .fetch_add(u64::from(fault.is_some()), Ordering::Relaxed);
        self.done.passed.fetch_add(1, Ordering::Relaxed);
        let part = |bytes: &[u8], thousandths| bytes[..bytes.len() * thousandths / 1000].to_vec();
        match &fault {
            Some(Fault::LostThere) => return Ok(()),
            Some(Fault::PartThere(thousandths)) => {
                let mut backend = TcpStream::connect(("127.0.0.1", to)).await?;
                return Ok(backend.write_all(&part(&request, *thousandths)).await?);
            }
            Some(Fault::Portal) => {
                let page = "<!doctype html><title>Sign in</title>";
                let kind = "content-type: text/html\r\n";
                return Ok(stream.write_all(&answer("200 OK", kind, page)).await?);
            }
            Some(Fault::PortalElsewhere) => {
                let to = "location: http://portal.example/\r\n";
                return Ok(stream.write_all(&answer("302 Found", to, "")).await?);
            }
            Some(Fault::Status(status, wait)) => {
                let wait = wait.map_or(String::new(), |s| format!("retry-after: {s}\r\n"));
                let status = format!("{status} So");
                let said = format!("{}Later.", engine::sync::SAYS);
                return Ok(stream.write_all(&answer(&status, &wait, &said)).await?);
            }
            Some(Fault::TooLarge(limit)) => {
                let body = request.len() - wire::head_end(&request).unwrap_or(request.len());
                if body > *limit {
                    let status = "413 Content Too Large";
                    return Ok(stream.write_all(&answer(status, "", "Too much.")).await?);
                }
            }
            Some(Fault::Answer(answer)) => return Ok(stream.write_all(answer).await?),
            Some(Fault::Late(pause)) => {
                let pause = *pause;
                tokio::spawn(async move {
                    tokio::time::sleep(pause).await;
                    wire::exchange(to, &request).await
                });
                return Ok(());
            }
            Some(Fault::Twice) => {
                let again = request.clone();
                tokio::spawn(async move { wire::exchange(to, &again).await });
            }
            Some(Fault::Slow(pause)) => tokio::time::sleep(*pause).await,
            Some(Fault::LostBack | Fault::PartBack(_)) | None => {}
        }
        let answer = wire::exchange(to, &request).await?;
        match fault {
            Some(Fault::LostBack) => {}
            Some(Fault::PartBack(thousandths)) => {
                stream.write_all(&part(&answer, thousandths)).await?;
            }
            _ => stream.write_all(&answer).await?,
        }
        Ok(())
    }
}

fn answer(status: &str, headers: &str, body: &str) -> Vec<u8> {
    let length = body.len();
    format!(
        "HTTP/1.1 {status}\r\nconnection: close\r\n{headers}content-length: {length}\r\n\r\n{body}"
    )
    .into_bytes()
}

async fn read_request(stream: &mut TcpStream) -> Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let mut wanted = None;
    while wanted.is_none_or(|w| bytes.len() < w) {
        let mut part = [0; 8192];
        let n = stream.read(&mut part).await?;
        anyhow::ensure!(n > 0, "the phone went away");
        bytes.extend_from_slice(&part[..n]);
        if let (None, Some(end)) = (wanted, wire::head_end(&bytes)) {
            let head = String::from_utf8_lossy(&bytes[..end]).to_ascii_lowercase();
            let length = head.split("content-length: ").nth(1);
            let length = length.and_then(|l| l.split("\r\n").next()?.parse::<usize>().ok());
            wanted = Some(end + length.unwrap_or(0));
        }
    }
    Ok(one_to_a_connection(bytes))
}

/// A browser asks to keep the connection; here each has one request.
fn one_to_a_connection(mut bytes: Vec<u8>) -> Vec<u8> {
    const KEEP: &[u8] = b"keep-alive\r\n";
    let end = wire::head_end(&bytes).unwrap_or(0);
    let at = bytes[..end]
        .windows(KEEP.len())
        .position(|w| w.eq_ignore_ascii_case(KEEP));
    if let Some(at) = at {
        bytes.splice(at..at + KEEP.len(), *b"close\r\n");
    }
    bytes
}
