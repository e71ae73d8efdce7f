#![allow(clippy::unwrap_used)]

use std::fs;
use std::io::{Read as _, Write as _};
use std::net::TcpStream;

use super::Server;

const PAGE: &str =
    "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'\">page";

fn app() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let app = folder.path().join("app");
    fs::create_dir(&app).unwrap();
    fs::write(folder.path().join("secret.txt"), "secret").unwrap();
    fs::write(app.join("index.html"), PAGE).unwrap();
    fs::write(app.join("sw.js"), "//").unwrap();
    fs::write(
        app.join("chalkbook-0123456789abcdef_bg.wasm"),
        [0, 0x61, 0x73, 0x6d],
    )
    .unwrap();
    fs::write(app.join("manifest.webmanifest"), "{}").unwrap();
    fs::write(app.join("style.css"), "plain").unwrap();
    fs::write(app.join("style.css.br"), "packed").unwrap();
    folder
}

fn ask(server: &Server, path: &str, extra: &str) -> String {
    let mut stream = TcpStream::connect(("127.0.0.1", server.port())).unwrap();
    write!(
        stream,
        "GET {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n{extra}\r\n"
    )
    .unwrap();
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).unwrap();
    String::from_utf8_lossy(&answer).to_lowercase()
}

#[test]
fn files_come_with_their_type_and_their_time() {
    let folder = app();
    let server = Server::start(&folder.path().join("app"), 0).unwrap();
    let wasm = ask(&server, "/chalkbook-0123456789abcdef_bg.wasm", "");
    assert!(wasm.contains("content-type: application/wasm"), "{wasm}");
    assert!(wasm.contains("immutable"), "{wasm}");
    let manifest = ask(&server, "/manifest.webmanifest", "");
    assert!(
        manifest.contains("content-type: application/manifest+json"),
        "{manifest}"
    );
    for path in [
        "/",
        "/index.html",
        "/sw.js",
        "/no/such/screen",
        "/missing-0123456789abcdef.js",
    ] {
        let answer = ask(&server, path, "");
        assert!(
            answer.contains("cache-control: no-cache"),
            "{path}: {answer}"
        );
        assert!(
            answer.contains("content-security-policy: default-src 'none'; frame-ancestors 'none'")
        );
        assert!(answer.contains("x-content-type-options: nosniff"));
    }
}

#[test]
fn a_screens_address_gives_the_page_and_a_missing_file_does_not() {
    let folder = app();
    let server = Server::start(&folder.path().join("app"), 0).unwrap();
    assert!(ask(&server, "/call?game=3", "").starts_with("http/1.1 200"));
    assert!(ask(&server, "/call?game=3", "").ends_with("page"));
    // Of no screen: the page would not find its files there.
    let deeper = ask(&server, "/any/screen/of/it", "");
    assert!(deeper.starts_with("http/1.1 307"), "{deeper}");
    assert!(deeper.contains("location: ../../../\r\n"), "{deeper}");
    assert!(ask(&server, "/missing.js", "").starts_with("http/1.1 404"));
}

#[test]
fn a_browser_that_takes_brotli_gets_it() {
    let folder = app();
    let server = Server::start(&folder.path().join("app"), 0).unwrap();
    let packed = ask(&server, "/style.css", "Accept-Encoding: br\r\n");
    assert!(
        packed.contains("content-encoding: br") && packed.ends_with("packed"),
        "{packed}"
    );
    assert!(packed.contains("content-type: text/css"));
    assert!(ask(&server, "/style.css", "").ends_with("plain"));
}

#[test]
fn nothing_outside_the_folder_is_given_out() {
    let folder = app();
    let server = Server::start(&folder.path().join("app"), 0).unwrap();
    for path in [
        "/../secret.txt",
        "/%2e%2e/secret.txt",
        "/..%2fsecret.txt",
        "//../secret.txt",
        "/..%5csecret.txt",
    ] {
        assert!(!ask(&server, path, "").ends_with("secret"), "{path}");
    }
}

#[test]
fn a_stopped_server_answers_nobody() {
    let folder = app();
    let server = Server::start(&folder.path().join("app"), 0).unwrap();
    let port = server.port();
    let mut kept_alive = TcpStream::connect(("127.0.0.1", port)).unwrap();
    write!(kept_alive, "GET / HTTP/1.1\r\nHost: localhost\r\n\r\n").unwrap();
    kept_alive.read_exact(&mut [0; 8]).unwrap();
    drop(server);
    let mut rest = Vec::new();
    let _ = kept_alive.read_to_end(&mut rest);
    assert!(TcpStream::connect(("127.0.0.1", port)).is_err());
}

#[test]
fn an_unbuilt_app_is_not_served() {
    let folder = tempfile::tempdir().unwrap();
    assert!(
        Server::start(folder.path(), 0)
            .unwrap_err()
            .to_string()
            .contains("not built")
    );
}
