//! The built app, given out from its folder or from inside this program: types,
//! compression, caching and the app's own content security policy.

use std::path::PathBuf;

use anyhow::{Context as _, Result, bail};
use axum::Router;
use axum::extract::Request;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, Uri, header};
use axum::middleware::{Next, from_fn, from_fn_with_state};
use axum::response::{IntoResponse as _, Redirect, Response};
use rust_embed::EmbeddedFile;
use tower_http::services::ServeDir;

use crate::etag;

/// The app that this program was built with: `CHALKBOOK_APP` named its folder
/// then. Empty in a program built without.
#[derive(rust_embed::Embed)]
#[folder = "$CHALKBOOK_APP"]
#[allow_missing = true]
struct Inside;

/// Finds a file of the app in this program by its path.
type Lookup = fn(&str) -> Option<EmbeddedFile>;

/// Where the app is given out from.
#[derive(Clone, Debug)]
pub enum Source {
    /// A folder.
    Folder(PathBuf),
    /// This program.
    Inside(Lookup),
}

impl Source {
    /// The folder given, or else what this program has inside; `None` where it
    /// has nothing.
    #[must_use]
    pub fn of(folder: Option<PathBuf>) -> Option<Self> {
        let inside = || Inside::get(PAGE).map(|_| Self::Inside(Inside::get));
        folder.map(Self::Folder).or_else(inside)
    }

    async fn page(&self) -> Option<Vec<u8>> {
        match self {
            Self::Folder(folder) => tokio::fs::read(folder.join(PAGE)).await.ok(),
            Self::Inside(find) => find(PAGE).map(|file| file.data.into_owned()),
        }
    }
}

const PAGE: &str = "index.html";

/// The app's own policy, read from its page so that there is one copy, and what only a header can say.
fn policy(page: &str) -> Result<String> {
    let content = page
        .split("http-equiv=\"Content-Security-Policy\"")
        .nth(1)
        .and_then(|rest| rest.split("content=\"").nth(1))
        .and_then(|rest| rest.split('"').next());
    match content {
        Some(policy) => Ok(format!("{policy}; frame-ancestors 'none'")),
        None => bail!("The app's {PAGE} names no content security policy."),
    }
}

/// The routes: the files, and the page for every address without a file name's ending.
///
/// # Errors
/// When no built app is there.
pub fn router(source: &Source) -> Result<Router> {
    let (page, files) = match source {
        Source::Folder(folder) => {
            let page = std::fs::read_to_string(folder.join(PAGE))
                .with_context(|| format!("{}: the app is not built", folder.display()))?;
            let files = ServeDir::new(folder)
                .precompressed_br()
                .append_index_html_on_directories(true);
            let files = Router::new()
                .fallback_service(files)
                .layer(from_fn_with_state(folder.clone(), only_ours));
            (page, files)
        }
        &Source::Inside(find) => {
            let page = find(PAGE).context("This program was built without the app.")?;
            let give = move |uri: Uri, asked: HeaderMap| async move { inside(find, &uri, &asked) };
            let files = Router::new()
                .fallback(axum::routing::get(give))
                .layer(from_fn(etag::by_content));
            (String::from_utf8(page.data.into_owned())?, files)
        }
    };
    let policy = HeaderValue::from_str(&policy(&page)?)?;
    Ok(files
        .layer(from_fn_with_state(source.clone(), page_for_screens))
        .layer(from_fn_with_state(policy, headers)))
}

/// A file of the app inside, compressed where the reader takes that.
fn inside(find: Lookup, uri: &Uri, asked: &HeaderMap) -> Response {
    let path = match uri.path().trim_start_matches('/') {
        "" => PAGE,
        path => path,
    };
    let Some(file) = find(path) else {
        return StatusCode::NOT_FOUND.into_response();
    };
    let kind = file.metadata.mimetype().to_owned();
    let takes = asked.get(header::ACCEPT_ENCODING);
    let takes = takes.and_then(|t| t.to_str().ok()).unwrap_or_default();
    let takes = takes.split(',').any(|t| t.trim() == "br");
    let small = find(&format!("{path}.br")).filter(|_| takes);
    let encoding = small
        .is_some()
        .then_some([(header::CONTENT_ENCODING, "br")]);
    let body = small.unwrap_or(file).data;
    let described = [
        (header::CONTENT_TYPE, kind.as_str()),
        (header::VARY, "accept-encoding"),
    ];
    (described, encoding, body).into_response()
}

/// Nothing hidden, nothing that a link leads to, and no name that the build
/// would not give: such a path names nothing here.
async fn only_ours(
    axum::extract::State(folder): axum::extract::State<PathBuf>,
    request: Request,
    next: Next,
) -> Response {
    const LONGEST: usize = 200;
    let path = request.uri().path();
    let parts = path.split('/').filter(|p| !p.is_empty());
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.' | '~');
    let ours = |p: &str| p.len() <= LONGEST && !p.starts_with('.') && p.chars().all(plain);
    let mut file = folder;
    for part in parts {
        file.push(part);
        let is_link = async {
            let found = tokio::fs::symlink_metadata(&file).await;
            found.is_ok_and(|m| m.is_symlink())
        };
        if !ours(part) || is_link.await {
            return StatusCode::NOT_FOUND.into_response();
        }
    }
    next.run(request).await
}

/// Marks the page given for a screen: it is of this build, whatever its address.
#[derive(Clone, Copy)]
struct OfScreen;

/// A screen's own address answers with the page, so that a link to it works on the first visit too.
/// The page finds its files in its own folder: addresses further down are of no screen, and lead to it.
async fn page_for_screens(
    axum::extract::State(source): axum::extract::State<Source>,
    request: Request,
    next: Next,
) -> Response {
    let path = request.uri().path().trim_start_matches('/');
    let (above, name) = path.rsplit_once('/').unwrap_or(("", path));
    let screen = request.method() == Method::GET && !name.contains('.');
    let up = match above {
        "" => 0,
        above => above.split('/').count(),
    };
    let answer = next.run(request).await;
    if !screen || answer.status() != StatusCode::NOT_FOUND {
        return answer;
    }
    if up > 0 {
        // Relative, because a proxy may serve all of it below a path.
        return Redirect::temporary(&"../".repeat(up)).into_response();
    }
    match source.page().await {
        Some(text) => {
            let kind = [(header::CONTENT_TYPE, "text/html; charset=utf-8")];
            (kind, axum::Extension(OfScreen), text).into_response()
        }
        None => answer,
    }
}

async fn headers(
    axum::extract::State(policy): axum::extract::State<HeaderValue>,
    request: Request,
    next: Next,
) -> Response {
    let lasting = is_hashed(request.uri().path());
    let mut answer = next.run(request).await;
    let found = answer.status().is_success() || answer.status() == StatusCode::NOT_MODIFIED;
    let good = found && answer.extensions().get::<OfScreen>().is_none();
    let headers = answer.headers_mut();
    let cache = if lasting && good {
        "public, max-age=31536000, immutable"
    } else {
        "no-cache"
    };
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static(cache));
    headers.insert(header::CONTENT_SECURITY_POLICY, policy);
    isolate(headers);
    answer
}

/// What every answer of the service says, pages of the app or not.
pub(crate) fn isolate(headers: &mut HeaderMap) {
    let said = [
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("permissions-policy"),
            "camera=(self), screen-wake-lock=(self), geolocation=(), microphone=()",
        ),
    ];
    for (name, value) in said {
        headers.insert(name, HeaderValue::from_static(value));
    }
}

/// Whether a file's name carries the digest of its content, as `chalkbook-0123456789abcdef_bg.wasm`.
fn is_hashed(path: &str) -> bool {
    let name = path.rsplit('/').next().unwrap_or_default();
    name.split(['-', '.', '_'])
        .any(|part| part.len() >= 15 && part.bytes().all(|b| b.is_ascii_hexdigit()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use axum::body::Body;
    use tower::ServiceExt as _;

    #[cfg(unix)]
    #[tokio::test]
    async fn what_is_hidden_or_linked_is_not_given_out() {
        let app = tempfile::tempdir().unwrap();
        let secret = tempfile::tempdir().unwrap();
        let policy = "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'self'\">";
        std::fs::write(app.path().join("index.html"), policy).unwrap();
        std::fs::write(app.path().join("app.js"), "1").unwrap();
        std::fs::write(app.path().join(".key"), "secret").unwrap();
        std::fs::write(secret.path().join("key.txt"), "secret").unwrap();
        let link = |to: PathBuf, name| std::os::unix::fs::symlink(to, app.path().join(name));
        link(secret.path().join("key.txt"), "linked.txt").unwrap();
        link(secret.path().to_path_buf(), "linked").unwrap();
        let router = router(&Source::Folder(app.path().into())).unwrap();
        let long = format!("/{}.js", "a".repeat(256));
        for (path, status) in [
            ("/app.js", 200),
            ("/.key", 404),
            // No file's name: a screen's address, which the page answers.
            ("/%2ekey", 200),
            ("/linked.txt", 404),
            ("/linked/key.txt", 404),
            ("/%00", 200),
            (&long, 404),
            ("/a%2f..%2f.key", 404),
        ] {
            let request = Request::get(path).body(Body::empty()).unwrap();
            let answer = router.clone().oneshot(request).await.unwrap();
            assert_eq!(answer.status().as_u16(), status, "{path}");
            let body = axum::body::to_bytes(answer.into_body(), 1 << 16).await;
            let body = String::from_utf8(body.unwrap().to_vec()).unwrap();
            assert!(!body.contains("secret"), "{path}");
        }
    }

    #[derive(rust_embed::Embed)]
    #[folder = "../../public"]
    struct Pages;

    #[tokio::test]
    async fn an_app_inside_the_program_is_given_out_like_one_in_a_folder() {
        let inside = router(&Source::Inside(Pages::get)).unwrap();
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../public");
        let folder = router(&Source::Folder(folder.into())).unwrap();
        let got = async |from: &Router, path: &str, known: Option<HeaderValue>| {
            let mut request = Request::get(path).body(Body::empty()).unwrap();
            if let Some(known) = known {
                request.headers_mut().insert(header::IF_NONE_MATCH, known);
            }
            from.clone().oneshot(request).await.unwrap()
        };
        for path in [
            "/",
            "/sw.js",
            "/icons/court.svg",
            "/games",
            "/a/b",
            "/no.js",
            "/%00",
            "/a%2f..%2fsw.js",
        ] {
            let both = [
                got(&inside, path, None).await,
                got(&folder, path, None).await,
            ];
            assert_eq!(both[0].status(), both[1].status(), "{path}");
            for name in [
                header::CONTENT_TYPE,
                header::CACHE_CONTROL,
                header::CONTENT_SECURITY_POLICY,
            ] {
                let [a, b] = [0, 1].map(|at: usize| both[at].headers().get(&name));
                assert_eq!(a, b, "{path} {name}");
            }
            let read = |body| axum::body::to_bytes(body, 1 << 20);
            let [a, b] = both.map(|answer| read(answer.into_body()));
            assert_eq!(a.await.unwrap(), b.await.unwrap(), "{path}");
        }
        let tag = got(&inside, "/sw.js", None).await.headers()[header::ETAG].clone();
        let again = got(&inside, "/sw.js", Some(tag)).await;
        assert_eq!(again.status(), StatusCode::NOT_MODIFIED);
    }

    #[tokio::test]
    async fn only_files_named_after_their_content_are_kept_for_good() {
        let app = tempfile::tempdir().unwrap();
        let policy = "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'self'\">";
        std::fs::write(app.path().join("index.html"), policy).unwrap();
        std::fs::write(app.path().join("app-0123456789abcdef.js"), "1").unwrap();
        let router = router(&Source::Folder(app.path().into())).unwrap();
        for (path, lasting) in [
            ("/app-0123456789abcdef.js", true),
            ("/index.html", false),
            // A screen's own address, and no file.
            ("/games/0123456789abcdef0123", false),
            ("/0123456789abcdef", false),
            ("/app-0123456789abcdee.js", false),
        ] {
            let request = Request::get(path).body(Body::empty()).unwrap();
            let answer = router.clone().oneshot(request).await.unwrap();
            let cache = answer.headers()[header::CACHE_CONTROL].to_str().unwrap();
            assert_eq!(cache.contains("immutable"), lasting, "{path}");
        }
    }
}
