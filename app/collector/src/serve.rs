//! Runs the service: routes, what holds for every request, and its end.

use std::future::Future;
use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result};
use axum::Router;
use axum::extract::{ConnectInfo, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, header};
use axum::middleware::{Next, from_fn, from_fn_with_state};
use axum::response::{IntoResponse as _, Response};
use axum_server::Handle;
use axum_server::accept::DefaultAcceptor;
use engine::charter::SignedCharter;
use engine::log::Verified;

use tower_http::CompressionLevel;
use tower_http::compression::CompressionLayer;
use tower_http::cors::{AllowOrigin, CorsLayer};

use crate::api::{RequestError, Sender};
use crate::collector::Collector;
use crate::connections::ConnectionLimit;
use crate::files::Source;
use crate::settings::{LogFormat, Settings};
use crate::share::Bound;
use crate::store::Store;
use crate::tls::Certificate;
use crate::{api, etag, files, pages};

/// What holds for every request.
#[derive(Clone, Debug)]
pub struct Gate {
    collector: Arc<Collector>,
    origins: Arc<[HeaderValue]>,
    behind_proxy: bool,
}

impl Gate {
    /// A gate that lets pages of these addresses in besides its own.
    ///
    /// # Errors
    /// When one is no origin.
    pub fn new(collector: Arc<Collector>, origins: &[String], behind_proxy: bool) -> Result<Self> {
        let origin = |text: &String| {
            let parsed = url::Url::parse(text).with_context(|| format!("`{text}` is no origin"))?;
            let plain = parsed.origin().ascii_serialization();
            anyhow::ensure!(
                plain == text.trim_end_matches('/') && plain != "null",
                "`{text}` is no origin: write it as https://app.example"
            );
            Ok(HeaderValue::from_str(&plain)?)
        };
        Ok(Self {
            collector,
            origins: origins.iter().map(origin).collect::<Result<_>>()?,
            behind_proxy,
        })
    }
}

/// All routes, the app's too where it is to be given out.
///
/// # Errors
/// When no built app is there.
pub fn router(gate: Gate, app: Option<&Source>) -> Result<Router> {
    let others = CorsLayer::new()
        .allow_origin(AllowOrigin::list(gate.origins.iter().cloned()))
        .allow_methods([Method::GET, Method::PUT])
        .allow_headers([header::CONTENT_TYPE, header::AUTHORIZATION])
        .expose_headers([
            HeaderName::from_static("chalkbook-next"),
            header::RETRY_AFTER,
        ])
        .max_age(Duration::from_secs(600))
        .vary([header::ORIGIN]);
    let own: Router = api::router()
        .merge(pages::router())
        .with_state(gate.collector.clone())
        .layer(from_fn(etag::by_content))
        // Not streams and not what is small already (its own predicate).
        .layer(CompressionLayer::new().quality(CompressionLevel::Fastest))
        .layer(from_fn_with_state(gate.clone(), admit))
        .layer(others);
    let all = match app {
        Some(source) => own.merge(files::router(source)?),
        None => own.fallback(pages::start),
    };
    Ok(all.layer(from_fn_with_state(gate, account)))
}

/// Bounds and headers of all that is not the app itself.
async fn admit(State(gate): State<Gate>, mut request: Request, next: Next) -> Response {
    let origin = request.headers().get(header::ORIGIN);
    let allowed = origin.is_some_and(|o| gate.origins.contains(o));
    let foreign = origin.is_some_and(|o| !is_own(o, request.headers())) && !allowed;
    let mut answer =
        if foreign && request.method() != Method::GET && request.method() != Method::HEAD {
            RequestError::ForeignPage.into_response()
        } else {
            let sender = sender(&gate, &request);
            request.extensions_mut().insert(Sender(sender));
            match sender.map(|ip| gate.collector.rates.count(ip, Instant::now())) {
                Some(Err(seconds)) => RequestError::TooMany(seconds).into_response(),
                _ => next.run(request).await,
            }
        };
    let headers = answer.headers_mut();
    files::isolate(headers);
    headers
        .entry(header::CONTENT_SECURITY_POLICY)
        .or_insert(HeaderValue::from_static(
            "default-src 'none'; frame-ancestors 'none'",
        ));
    headers
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-cache"));
    if allowed {
        headers.insert(
            HeaderName::from_static("cross-origin-resource-policy"),
            HeaderValue::from_static("cross-origin"),
        );
    }
    answer
}

/// Whether a page was served from the same host and port.
fn is_own(origin: &HeaderValue, headers: &HeaderMap) -> bool {
    let host = headers.get(header::HOST).and_then(|h| h.to_str().ok());
    let origin = origin.to_str().ok().and_then(|o| o.split_once("://"));
    matches!((origin, host), (Some((_, of_page)), Some(host)) if of_page == host)
}

fn sender(gate: &Gate, request: &Request) -> Option<IpAddr> {
    if gate.behind_proxy
        && let Some(named) = forwarded_for(request.headers())
    {
        return Some(named);
    }
    // A proxy that names nobody counts as one sender.
    let ConnectInfo(address) = request.extensions().get::<ConnectInfo<SocketAddr>>()?;
    Some(address.ip())
}

/// The last of whom a proxy says that it asks for, with or without a port.
fn forwarded_for(headers: &HeaderMap) -> Option<IpAddr> {
    let all = headers.get_all("x-forwarded-for").iter().next_back()?;
    let last = all.to_str().ok()?.rsplit(',').next()?.trim();
    let bare = last.trim_start_matches('[').trim_end_matches(']');
    let with_port = || last.parse::<SocketAddr>().ok().map(|a| a.ip());
    bare.parse().ok().or_else(with_port)
}

/// Counts and logs each answer: what kind of address, never which one or whose.
async fn account(State(gate): State<Gate>, request: Request, next: Next) -> Response {
    let begun = Instant::now();
    // One of a stranger's own making may be long.
    let method = match *request.method() {
        Method::GET => "GET",
        Method::HEAD => "HEAD",
        Method::PUT => "PUT",
        Method::OPTIONS => "OPTIONS",
        _ => "other",
    };
    let path = request.uri().path();
    let mut parts = path.split('/').skip(1);
    let kind = match (parts.next(), parts.next()) {
        (Some("api"), Some("health" | "ready" | "metrics" | "charters" | "events")) => "public",
        (Some("api"), Some("games" | "logs")) => "logs",
        (Some("api"), _) => "api",
        (Some("results"), _) => "results",
        _ => "app",
    };
    let answer = next.run(request).await;
    let status = answer.status().as_u16();
    if let Some(counter) = gate
        .collector
        .metrics
        .answers
        .get(usize::from(status / 100).wrapping_sub(1))
    {
        counter.add(1);
    }
    let ms = u64::try_from(begun.elapsed().as_millis()).unwrap_or(u64::MAX);
    tracing::info!(method, kind, status, ms, "answered");
    answer
}

/// Serves on a listener until `end` comes, then lets requests in hand finish.
///
/// # Errors
/// When the listener fails.
pub async fn serve(
    listener: std::net::TcpListener,
    tls: Option<Certificate>,
    router: Router,
    collector: Arc<Collector>,
    behind_proxy: bool,
    end: impl Future<Output = ()> + Send + 'static,
) -> Result<()> {
    const GRACE: Duration = Duration::from_secs(10);
    listener.set_nonblocking(true)?;
    let limits = collector.limits;
    let room = Bound::new(connections(limits.connections), limits.connections_each);
    let handle: Handle<SocketAddr> = Handle::new();
    let ending = handle.clone();
    tokio::spawn(async move {
        end.await;
        collector.stop();
        ending.graceful_shutdown(Some(GRACE));
    });
    let service = router.into_make_service_with_connect_info::<SocketAddr>();
    match tls {
        Some(tls) => {
            let mut server = axum_server::from_tcp(listener)?
                .acceptor(ConnectionLimit::new(tls.door(), room, behind_proxy, false))
                // Else nothing ends a connection while it is not known which
                // version of HTTP its first bytes are going to be.
                .http1_only()
                .handle(handle);
            http1(&mut server);
            let renewed = tokio::spawn(tls.keep_fresh());
            server.serve(service).await?;
            renewed.abort();
        }
        None => {
            let mut server = axum_server::from_tcp(listener)?
                .acceptor(ConnectionLimit::new(
                    DefaultAcceptor::new(),
                    room,
                    behind_proxy,
                    true,
                ))
                .http1_only()
                .handle(handle);
            http1(&mut server);
            server.serve(service).await?;
        }
    }
    Ok(())
}

/// Bounds of one connection: heads come in time, and of what is sent ahead
/// little is held.
fn http1<A>(server: &mut axum_server::Server<SocketAddr, A>) {
    const HEADERS: Duration = Duration::from_secs(15);
    const AHEAD: usize = 64 * 1024;
    let mut builder = server.http_builder().http1();
    builder.header_read_timeout(HEADERS).max_buf_size(AHEAD);
}

/// Connections that there can be: files must remain for the storage.
fn connections(wanted: usize) -> usize {
    const FOR_STORAGE: usize = 200;
    #[cfg(target_os = "linux")]
    {
        use rustix::process::{Resource, Rlimit, getrlimit, setrlimit};
        // Everything that the system allows, instead of what it begins with.
        let mut files = getrlimit(Resource::Nofile);
        let all = Rlimit {
            current: files.maximum,
            ..files
        };
        if setrlimit(Resource::Nofile, all).is_ok() {
            files = all;
        }
        if let Some(files) = files.current.and_then(|n| usize::try_from(n).ok()) {
            return wanted.min(files.saturating_sub(FOR_STORAGE).max(1));
        }
    }
    wanted
}

/// Every charter in a file, in any form that the app saves.
fn charters_in(path: &std::path::Path) -> Result<Vec<SignedCharter<Verified>>> {
    let file = path.display();
    let bytes = std::fs::read(path)
        .map_err(|why| anyhow::anyhow!("The charter {file} cannot be read: {}.", why.kind()))?;
    SignedCharter::read_all(&bytes).map_err(|why| {
        anyhow::anyhow!(
            "The file {file} gives no charter. {why} Save it from the app: the event, \"Show to another phone\", \"File\"."
        )
    })
}

/// What is kept is for this service's own user: names of players stand in it in
/// full.
fn keep_to_ourselves() {
    #[cfg(target_os = "linux")]
    {
        use rustix::fs::Mode;
        let _ = rustix::process::umask(Mode::RWXG | Mode::RWXO);
    }
}

/// Runs the service as the settings say, until it is told to end.
///
/// # Errors
/// When something it needs is missing.
pub async fn run(settings: Settings) -> Result<()> {
    note_what_happens(settings.log_format);
    keep_to_ourselves();
    // The same cryptography for serving and for talking to clouds.
    let _ = rustls::crypto::ring::default_provider().install_default();
    let store = Store::open(&settings.storage)?;
    if let Some(command) = &settings.command {
        println!("{}", crate::orders::obey(&store, command).await?);
        return Ok(());
    }
    if let Some(file) = &settings.receipt_key {
        let named = || format!("The key {} cannot be used", file.display());
        let text = std::fs::read_to_string(file).with_context(named)?;
        let given = crate::hex(text.trim()).context("it is not 64 hexadecimal digits");
        let given = given.with_context(named)?;
        let kept = store.receipt_key(given).await?;
        anyhow::ensure!(
            kept == given,
            "The storage keeps another receipt key than --receipt-key."
        );
    }
    let mut charters = Vec::new();
    for path in &settings.charters {
        charters.extend(charters_in(path)?);
    }
    let collector = Collector::open(store, &charters, settings.open_event, settings.limits).await?;
    if collector.events().ids().next().is_none() {
        tracing::warn!("no event is served: give --charter, or --open-event");
    }
    let events = collector.events();
    for charter in events.waiting() {
        let charter = charter.charter();
        tracing::warn!(
            event = charter.event,
            version = charter.version,
            "this version of a charter waits for one before it: give that with --charter, or any phone that has it brings it"
        );
    }
    let short = |id| events.privacy(id) != engine::charter::Privacy::Names;
    if settings.own_addresses.is_empty()
        && (settings.behind_proxy || !settings.address.ip().is_loopback())
        && events.ids().any(short)
    {
        tracing::warn!(
            "officials cannot read names that are kept short before --own-address says at which address this collector is reached"
        );
    }
    if let Some(key) = collector.receipt_key() {
        let words = key.phrase();
        let key = engine::log::Hash(*key.as_bytes());
        tracing::info!(%key, %words, "receipts are signed; a charter may name this key");
    }
    let gate = Gate::new(collector.clone(), &settings.origins, settings.behind_proxy)?;
    let router = router(gate, Source::of(settings.app.clone()).as_ref())?;
    let tls = match (&settings.tls_cert, &settings.tls_key) {
        (Some(cert), Some(key)) => Some(Certificate::open(cert, key).await?),
        _ => None,
    };
    if tls.is_none() && !settings.address.ip().is_loopback() && !settings.behind_proxy {
        tracing::warn!(
            "phones keep the app only from an https address: give --tls-cert and --tls-key, or a proxy and --behind-proxy"
        );
    }
    let listener = std::net::TcpListener::bind(settings.address)
        .with_context(|| format!("{} is taken: give another --address", settings.address))?;
    let own = match settings.own_addresses.as_slice() {
        [] if settings.behind_proxy => Vec::new(),
        [] => local_addresses(listener.local_addr()?, tls.is_some()),
        given => given.to_vec(),
    };
    let _ = collector.called.set(own);
    tracing::info!(address = %listener.local_addr()?, tls = tls.is_some(), "at work");
    let fresh = tokio::spawn(
        collector
            .clone()
            .keep_fresh(Duration::from_secs(settings.refresh)),
    );
    let behind_proxy = settings.behind_proxy;
    serve(
        listener,
        tls,
        router,
        collector,
        behind_proxy,
        told_to_end(),
    )
    .await?;
    fresh.abort();
    tracing::info!("ended");
    Ok(())
}

/// What this machine calls a listener that nobody else reaches; nothing for any
/// other.
#[must_use]
pub fn local_addresses(listener: SocketAddr, tls: bool) -> Vec<String> {
    if !listener.ip().is_loopback() {
        return Vec::new();
    }
    let scheme = if tls { "https" } else { "http" };
    let named = ["localhost", "127.0.0.1", "[::1]"];
    let address = |host| format!("{scheme}://{host}:{}", listener.port());
    named.map(address).into()
}

async fn told_to_end() {
    let interrupt = async {
        // Where it cannot be listened for, the other signal remains.
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        match signal(SignalKind::terminate()) {
            Ok(mut terminate) => tokio::select! {
                () = interrupt => {}
                _ = terminate.recv() => {}
            },
            Err(_) => interrupt.await,
        }
    }
    #[cfg(not(unix))]
    interrupt.await;
}

fn note_what_happens(format: LogFormat) {
    let plain = tracing_subscriber::fmt()
        .with_max_level(tracing::Level::INFO)
        .with_writer(std::io::stderr);
    // A second call, as in tests, changes nothing.
    let _ = match format {
        LogFormat::Text => plain.try_init(),
        LogFormat::Json => plain.json().try_init(),
    };
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn only_where_nobody_else_reaches_it_a_collector_knows_its_address_itself() {
        let own = |text: &str| local_addresses(text.parse().unwrap(), false);
        assert!(own("127.0.0.1:8505").contains(&"http://localhost:8505".to_owned()));
        assert!(own("192.0.2.7:8505").is_empty() && own("0.0.0.0:8505").is_empty());
    }

    #[test]
    fn a_sender_is_named_with_or_without_a_port() {
        for (given, expected) in [
            ("192.0.2.7", Some("192.0.2.7")),
            ("203.0.113.9, 192.0.2.7:5123", Some("192.0.2.7")),
            ("2001:db8::7", Some("2001:db8::7")),
            ("[2001:db8::7]", Some("2001:db8::7")),
            ("[2001:db8::7]:443", Some("2001:db8::7")),
            ("unknown", None),
            ("", None),
        ] {
            let mut headers = HeaderMap::new();
            headers.insert("x-forwarded-for", HeaderValue::from_static(given));
            let expected = expected.map(|e| e.parse().unwrap());
            assert_eq!(forwarded_for(&headers), expected, "{given}");
        }
        assert_eq!(forwarded_for(&HeaderMap::new()), None);
    }
}
