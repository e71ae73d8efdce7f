//! The collector over https, with certificates made here.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::net::Ipv4Addr;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;
use std::time::Duration;

use engine::sync::Receipt;
use faults::service::{Plan, free_port};
use faults::wire;
use rcgen::{CertificateParams, KeyPair};
use rustls::pki_types::ServerName;
use rustls::{ClientConfig, RootCertStore};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;
use tokio_rustls::TlsConnector;

/// A certificate for `localhost`, valid for these days from today.
fn certificate(folder: &Path, name: &str, days: [i64; 2]) -> (PathBuf, PathBuf, ClientConfig) {
    let key = KeyPair::generate().unwrap();
    let mut params = CertificateParams::new(vec!["localhost".to_owned()]).unwrap();
    let [from, to] = days.map(|d| time::OffsetDateTime::now_utc() + time::Duration::days(d));
    (params.not_before, params.not_after) = (from, to);
    let signed = params.self_signed(&key).unwrap();
    let (chain, secret) = (
        folder.join(format!("{name}.pem")),
        folder.join(format!("{name}.key")),
    );
    std::fs::write(&chain, signed.pem()).unwrap();
    std::fs::write(&secret, key.serialize_pem()).unwrap();
    let mut trusted = RootCertStore::empty();
    trusted.add(signed.der().clone()).unwrap();
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let mut client = ClientConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .unwrap()
        .with_root_certificates(trusted)
        .with_no_client_auth();
    // As browsers offer it: what the server takes of it is spoken.
    client.alpn_protocols = vec![b"h2".to_vec(), b"http/1.1".to_vec()];
    (chain, secret, client)
}

/// Sends over https; trusts only what the configuration names.
async fn exchange(port: u16, client: &ClientConfig, bytes: &[u8]) -> std::io::Result<Vec<u8>> {
    let stream = TcpStream::connect((Ipv4Addr::LOCALHOST, port)).await?;
    let name = ServerName::try_from("localhost").unwrap();
    let mut stream = TlsConnector::from(Arc::new(client.clone()))
        .connect(name, stream)
        .await?;
    assert_eq!(stream.get_ref().1.alpn_protocol(), Some(&b"http/1.1"[..]));
    stream.write_all(bytes).await?;
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).await?;
    Ok(answer)
}

fn plan(folder: &Path, charter: &[u8], port: u16) -> Plan {
    Plan::on_folder(env!("CARGO_BIN_EXE_faults"), folder, charter, port).unwrap()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_batch_arrives_over_https_for_who_trusts_the_certificate() {
    let place = tempfile::tempdir().unwrap();
    let day = demoday::play_day(1).unwrap();
    let record = &day.games[0].records[0];
    let (chain, key, client) = certificate(place.path(), "good", [-1, 30]);
    let (.., stranger) = certificate(place.path(), "other", [-1, 30]);
    let mut plan = plan(
        place.path(),
        day.charter.bytes(),
        free_port().await.unwrap(),
    );
    let words = [
        "--tls-cert",
        chain.to_str().unwrap(),
        "--tls-key",
        key.to_str().unwrap(),
    ];
    plan.more = words.map(str::to_owned).to_vec();
    let service = plan.spawn().unwrap();
    let ask = wire::request("GET", "/api/health", "text/plain", b"");
    let mut tries = 0;
    while exchange(plan.port, &client, &ask).await.is_err() {
        tries += 1;
        assert!(tries < 400, "it does not answer over https");
        tokio::time::sleep(Duration::from_millis(25)).await;
    }
    let name = record.chain().name();
    let put = wire::request(
        "PUT",
        &name.path(),
        "application/cbor-seq",
        &record.chain().to_bytes(),
    );
    // As a page sends it that was served from there: with its origin.
    let host = format!(
        "host: localhost:{0}\r\norigin: https://localhost:{0}\r\n",
        plan.port
    );
    let split = b"host: 127.0.0.1\r\n";
    let at = put.windows(split.len()).position(|w| w == split).unwrap();
    let page = [&put[..at], host.as_bytes(), &put[at + split.len()..]].concat();
    let answer = wire::answer(&exchange(plan.port, &client, &page).await.unwrap()).unwrap();
    assert_eq!(answer.status, 200);
    let receipt = Receipt::read(&answer.body).unwrap();
    assert_eq!(receipt.head, Some(record.head()));
    // Another certificate is not this one, and the client says so.
    let refused = exchange(plan.port, &stranger, &ask).await.unwrap_err();
    assert!(refused.to_string().contains("certificate"), "{refused}");
    // Plain HTTP is told what to do.
    let plain = wire::answer(&wire::exchange(plan.port, &put).await.unwrap()).unwrap();
    assert_eq!(plain.status, 400);
    assert_eq!(
        String::from_utf8(plain.body).unwrap(),
        "The collector says: This address speaks https, write https:// before it.\n"
    );
    // What is neither is not answered, and harms nobody.
    let junk = wire::exchange(plan.port, b"\x16\x03\x01\x00\x05hello").await;
    assert!(junk.is_ok_and(|answer| !answer.starts_with(b"HTTP")));
    let after = exchange(plan.port, &client, &ask).await.unwrap();
    assert!(after.starts_with(b"HTTP/1.1 200"));
    service.kill().await.unwrap();
}

/// Starts it with these two files and gives what it says as it ends.
fn refused(place: &Path, charter: &[u8], chain: &Path, key: &Path) -> String {
    let plan = plan(place, charter, 0);
    let ended = Command::new(&plan.program)
        .args(["collector", "--address", "127.0.0.1:0"])
        .args(["--storage", &plan.storage, "--charter", &plan.charter])
        .arg("--tls-cert")
        .arg(chain)
        .arg("--tls-key")
        .arg(key)
        .output()
        .unwrap();
    assert!(!ended.status.success());
    String::from_utf8(ended.stderr).unwrap()
}

#[test]
fn what_is_wrong_with_a_certificate_is_said_at_the_start() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path();
    let day = demoday::play_day(1).unwrap();
    let says = |chain: &Path, key: &Path, words: &[&str]| {
        let said = refused(folder, day.charter.bytes(), chain, key);
        for word in words {
            assert!(said.contains(word), "no `{word}` in: {said}");
        }
        assert!(!said.contains("panicked"), "{said}");
    };
    let (chain, key, _) = certificate(folder, "good", [-1, 30]);
    let (_, other, _) = certificate(folder, "other", [-1, 30]);
    says(
        &chain,
        &other,
        &["is not that of the certificate", "other.key", "good.pem"],
    );
    let nowhere = folder.join("nowhere.pem");
    says(
        &nowhere,
        &key,
        &["the certificate", "nowhere.pem", "cannot be read"],
    );
    says(
        &chain,
        &nowhere,
        &["the key", "nowhere.pem", "cannot be read"],
    );
    // A folder is a file that cannot be read, for whoever it is tried as.
    says(folder, &key, &["the certificate", "cannot be read"]);
    let (old, old_key, _) = certificate(folder, "old", [-90, -2]);
    says(&old, &old_key, &["old.pem", "ended on", "Renew it"]);
    let (early, early_key, _) = certificate(folder, "early", [2, 90]);
    says(&early, &early_key, &["begins only on", "clock"]);
    says(&key, &chain, &["good.key", "is not one"]);
    let text = folder.join("text.pem");
    std::fs::write(&text, "hello").unwrap();
    says(&text, &key, &["text.pem", "holds no certificate"]);
    says(&chain, &text, &["text.pem", "is of no use"]);
}
