//! A small static server for the built app, on the loopback address or on all of them.

use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::time::Duration;

use anyhow::{Context as _, Result, bail};
use axum::Router;
use axum::extract::Request;
use axum::http::{HeaderValue, Method, StatusCode, header};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse as _, Response};
use tokio::runtime::Runtime;
use tower_http::services::ServeDir;

/// Where the app is served unless told otherwise.
pub const PORT: u16 = 8505;

/// A running server; it stops, and closes every connection, when dropped.
#[derive(Debug)]
pub struct Server {
    runtime: Option<Runtime>,
    address: SocketAddr,
}

impl Server {
    /// Serves `folder` on the loopback address; port 0 takes a free one.
    ///
    /// # Errors
    /// When the folder holds no built app or the port is taken.
    pub fn start(folder: &Path, port: u16) -> Result<Self> {
        Self::on(folder, SocketAddr::from((Ipv4Addr::LOCALHOST, port)))
    }

    /// Serves `folder` on the given address.
    ///
    /// # Errors
    /// When the folder holds no built app or the port is taken.
    pub fn on(folder: &Path, address: SocketAddr) -> Result<Self> {
        let app = router(folder)?;
        let listener = TcpListener::bind(address).with_context(|| {
            format!("port {} is taken: give another with --port", address.port())
        })?;
        listener.set_nonblocking(true)?;
        let address = listener.local_addr()?;
        let runtime = Runtime::new()?;
        let listener = {
            let _inside = runtime.enter();
            tokio::net::TcpListener::from_std(listener)?
        };
        runtime.spawn(async move { axum::serve(listener, app).await });
        Ok(Self {
            runtime: Some(runtime),
            address,
        })
    }

    /// The address of the first page.
    #[must_use]
    pub fn url(&self) -> String {
        match self.address.ip() {
            IpAddr::V4(ip) if ip.is_unspecified() => {
                format!("http://localhost:{}/", self.address.port())
            }
            _ => format!("http://{}/", self.address),
        }
    }

    /// The port it listens on.
    #[must_use]
    pub fn port(&self) -> u16 {
        self.address.port()
    }

    /// Waits until the person at the keyboard ends the command.
    ///
    /// # Errors
    /// When the signal cannot be listened for.
    pub fn until_interrupted(self) -> Result<()> {
        if let Some(runtime) = &self.runtime {
            runtime.block_on(tokio::signal::ctrl_c())?;
        }
        Ok(())
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        if let Some(runtime) = self.runtime.take() {
            // On a thread of its own, because the one at hand may be running another runtime's work.
            let ended =
                std::thread::spawn(move || runtime.shutdown_timeout(Duration::from_secs(1)));
            let _ = ended.join();
        }
    }
}

/// The app's own policy, read from its page so that there is one copy, and what only a header can say.
fn policy(folder: &Path) -> Result<String> {
    let page = folder.join("index.html");
    let text = std::fs::read_to_string(&page)
        .with_context(|| format!("{} is missing: the app is not built", page.display()))?;
    let content = text
        .split("http-equiv=\"Content-Security-Policy\"")
        .nth(1)
        .and_then(|rest| rest.split("content=\"").nth(1))
        .and_then(|rest| rest.split('"').next());
    match content {
        Some(policy) => Ok(format!("{policy}; frame-ancestors 'none'")),
        None => bail!("{} names no content security policy", page.display()),
    }
}

/// The routes: the files, and the page for every address without a file name's ending.
///
/// # Errors
/// When the folder holds no built app.
pub fn router(folder: &Path) -> Result<Router> {
    let policy = HeaderValue::from_str(&policy(folder)?)?;
    let page = folder.join("index.html");
    let files = ServeDir::new(folder)
        .precompressed_br()
        .append_index_html_on_directories(true);
    Ok(Router::new()
        .fallback_service(files)
        .layer(from_fn_with_state(page, page_for_screens))
        .layer(from_fn_with_state(policy, headers)))
}

/// A screen's own address answers with the page, so that a link to it works on the first visit too.
async fn page_for_screens(
    axum::extract::State(page): axum::extract::State<PathBuf>,
    request: Request,
    next: Next,
) -> Response {
    let screen = request.method() == Method::GET
        && !request
            .uri()
            .path()
            .rsplit('/')
            .next()
            .unwrap_or_default()
            .contains('.');
    let answer = next.run(request).await;
    if !screen || answer.status() != StatusCode::NOT_FOUND {
        return answer;
    }
    match tokio::fs::read(page).await {
        Ok(text) => ([(header::CONTENT_TYPE, "text/html; charset=utf-8")], text).into_response(),
        Err(_) => answer,
    }
}

async fn headers(
    axum::extract::State(policy): axum::extract::State<HeaderValue>,
    request: Request,
    next: Next,
) -> Response {
    let lasting = is_hashed(request.uri().path());
    let mut answer = next.run(request).await;
    let good = answer.status().is_success() || answer.status() == StatusCode::NOT_MODIFIED;
    let headers = answer.headers_mut();
    let cache = if lasting && good {
        "public, max-age=31536000, immutable"
    } else {
        "no-cache"
    };
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static(cache));
    headers.insert(header::CONTENT_SECURITY_POLICY, policy);
    headers.insert(
        header::X_CONTENT_TYPE_OPTIONS,
        HeaderValue::from_static("nosniff"),
    );
    headers.insert(
        header::REFERRER_POLICY,
        HeaderValue::from_static("no-referrer"),
    );
    headers.insert(
        "cross-origin-opener-policy",
        HeaderValue::from_static("same-origin"),
    );
    headers.insert(
        "cross-origin-resource-policy",
        HeaderValue::from_static("same-origin"),
    );
    headers.insert(
        "permissions-policy",
        HeaderValue::from_static(
            "camera=(self), screen-wake-lock=(self), geolocation=(), microphone=()",
        ),
    );
    answer
}

/// Whether a file's name carries the digest of its content, as `chalkbook-0123456789abcdef_bg.wasm`.
fn is_hashed(path: &str) -> bool {
    let name = path.rsplit('/').next().unwrap_or_default();
    name.split(['-', '.', '_'])
        .any(|part| part.len() >= 15 && part.bytes().all(|b| b.is_ascii_hexdigit()))
}

#[cfg(test)]
mod tests;
