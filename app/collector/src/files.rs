//! The built app, given out from its folder: types, compression, caching and
//! the app's own content security policy.

use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result, bail};
use axum::Router;
use axum::extract::Request;
use axum::http::{HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse as _, Redirect, Response};
use tower_http::services::ServeDir;

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
        .layer(from_fn_with_state(folder.to_path_buf(), only_ours))
        .layer(from_fn_with_state(page, page_for_screens))
        .layer(from_fn_with_state(policy, headers)))
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
    axum::extract::State(page): axum::extract::State<PathBuf>,
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
    match tokio::fs::read(page).await {
        Ok(text) => {
            let kind = [(header::CONTENT_TYPE, "text/html; charset=utf-8")];
            (kind, axum::Extension(OfScreen), text).into_response()
        }
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
pub(crate) fn isolate(headers: &mut axum::http::HeaderMap) {
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
        let router = router(app.path()).unwrap();
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

    #[tokio::test]
    async fn only_files_named_after_their_content_are_kept_for_good() {
        let app = tempfile::tempdir().unwrap();
        let policy = "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'self'\">";
        std::fs::write(app.path().join("index.html"), policy).unwrap();
        std::fs::write(app.path().join("app-0123456789abcdef.js"), "1").unwrap();
        let router = router(app.path()).unwrap();
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
