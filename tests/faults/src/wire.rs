//! The least of HTTP/1.1 that is needed to make faults on purpose: one request a
//! connection, bytes in hand.

use std::time::Duration;

use anyhow::{Context as _, Result, bail};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;

/// Longest wait for an answer.
pub const PATIENCE: Duration = Duration::from_secs(20);

/// An answer.
#[derive(Clone, Debug)]
pub struct Answer {
    /// Its status.
    pub status: u16,
    /// Whole seconds of `Retry-After`.
    pub retry_after: Option<u64>,
    /// Its body.
    pub body: Vec<u8>,
}

/// The bytes of a request.
#[must_use]
pub fn request(method: &str, path: &str, kind: &str, body: &[u8]) -> Vec<u8> {
    let head = format!(
        "{method} {path} HTTP/1.1\r\nhost: 127.0.0.1\r\nconnection: close\r\ncontent-type: {kind}\r\ncontent-length: {}\r\n\r\n",
        body.len()
    );
    [head.as_bytes(), body].concat()
}

/// Sends bytes and reads everything that comes back.
///
/// # Errors
/// When there is no connection or no end.
pub async fn exchange(port: u16, bytes: &[u8]) -> Result<Vec<u8>> {
    let whole = async {
        let mut stream = TcpStream::connect(("127.0.0.1", port)).await?;
        stream.write_all(bytes).await?;
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).await?;
        anyhow::Ok(answer)
    };
    tokio::time::timeout(PATIENCE, whole).await?
}

/// Reads an answer; one that is shorter than it says is none.
///
/// # Errors
/// When it is no whole answer.
pub fn answer(bytes: &[u8]) -> Result<Answer> {
    let end = head_end(bytes).context("no end of the head")?;
    let head = std::str::from_utf8(&bytes[..end])?;
    let mut lines = head.split("\r\n");
    let status = lines
        .next()
        .and_then(|l| l.split(' ').nth(1))
        .context("no status")?
        .parse()?;
    let mut length = None;
    let mut retry_after = None;
    let mut chunked = false;
    for line in lines {
        let Some((name, value)) = line.split_once(':') else {
            continue;
        };
        match name.to_ascii_lowercase().as_str() {
            "content-length" => length = Some(value.trim().parse::<usize>()?),
            "retry-after" => retry_after = value.trim().parse().ok(),
            "transfer-encoding" => chunked = true,
            _ => {}
        }
    }
    let body = bytes[end..].to_vec();
    if chunked {
        bail!("a chunked answer");
    }
    if length.is_some_and(|l| body.len() < l) {
        bail!("cut short");
    }
    Ok(Answer {
        status,
        retry_after,
        body,
    })
}

/// Where the head of a message ends.
#[must_use]
pub fn head_end(bytes: &[u8]) -> Option<usize> {
    bytes
        .windows(4)
        .position(|w| w == b"\r\n\r\n")
        .map(|at| at + 4)
}

/// Asks for a path.
///
/// # Errors
/// When no whole answer comes.
pub async fn get(port: u16, path: &str) -> Result<Answer> {
    answer(&exchange(port, &request("GET", path, "text/plain", b"")).await?)
}
