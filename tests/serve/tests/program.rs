//! The program behind `cargo xtask serve`: one address for the app, the collector and the demo event.

#![allow(clippy::unwrap_used)]

use std::fs;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};

struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

fn ask(address: &str, path: &str) -> String {
    let mut stream = TcpStream::connect(address).unwrap();
    write!(
        stream,
        "GET {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n"
    )
    .unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer
}

#[test]
fn it_serves_the_app_and_a_collector_with_the_demo_event() {
    let folder = tempfile::tempdir().unwrap();
    let app = folder.path().join("app");
    fs::create_dir(&app).unwrap();
    let page = "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'\">\
        <title>the page</title>";
    fs::write(app.join("index.html"), page).unwrap();
    let mut serve = Command::new(env!("CARGO_BIN_EXE_serve"));
    serve.arg(&app).arg(folder.path().join("kept")).arg("0");
    let mut running = Running(serve.stdout(Stdio::piped()).spawn().unwrap());
    let mut said = BufReader::new(running.0.stdout.take().unwrap()).lines();
    let first = said.next().unwrap().unwrap();
    let address = first.split_once("http://").unwrap().1;
    let address = address.split_once('/').unwrap().0;
    assert!(ask(address, "/").contains("<title>the page</title>"));
    assert!(ask(address, "/api/health").starts_with("HTTP/1.1 200"));
    let results = ask(address, "/results");
    assert!(results.starts_with("HTTP/1.1 200"), "{results}");
    let event = demoday::play_day(serve::DEMO).unwrap().charter;
    assert!(results.contains(&event.charter().event), "{results}");
}
