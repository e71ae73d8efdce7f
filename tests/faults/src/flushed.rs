//! Whether an acknowledgement comes after the flush, seen from outside: the
//! system calls of a collector, as `strace` writes them down.

use std::collections::HashMap;
use std::path::Path;
use std::process::Stdio;
use std::time::Duration;

use anyhow::{Context as _, Result, ensure};
use tokio::process::Command;

use crate::service::free_port;
use crate::wire;

/// What a collector did, in the order in which it was done.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Done {
    /// A file or a folder was flushed.
    Flushed(String),
    /// A folder was made.
    Made(String),
    /// A file got its name.
    Named(String),
    /// An answer of 200 was sent.
    Answered,
}

/// Sends a log in batches, and gives how many were answered.
///
/// # Errors
/// When an answer came before what it says was flushed.
pub async fn flushed(program: &str) -> Result<usize> {
    let place = tempfile::tempdir()?;
    let day = demoday::play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
    let [charter, kept, calls] = ["charter", "kept", "calls"].map(|n| place.path().join(n));
    std::fs::write(&charter, day.charter.bytes())?;
    let port = free_port().await?;
    let mut traced = Command::new("strace")
        .args(["-f", "-y", "-s", "16", "-o"])
        .arg(&calls)
        .arg("--trace=fsync,fdatasync,link,linkat,rename,mkdir,write,writev,sendto")
        .args([program, "collector", "--rate-limit", "0", "--address"])
        .arg(format!("127.0.0.1:{port}"))
        .arg("--storage")
        .arg(format!("file://{}", kept.display()))
        .arg("--charter")
        .arg(&charter)
        .stdin(Stdio::null())
        .stderr(Stdio::null())
        .kill_on_drop(true)
        .spawn()
        .context("strace is needed")?;
    let mut tries = 0;
    while wire::get(port, "/api/health").await.is_err() {
        tries += 1;
        ensure!(tries < 600, "the collector does not answer");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    let begun = std::fs::read_to_string(&calls)?.lines().count();
    let mut batches = 0;
    for record in day.games.iter().take(3).flat_map(|g| &g.records) {
        let name = record.chain().name();
        for part in record.chain().entries().chunks(30) {
            let body: Vec<u8> = part.iter().flat_map(|e| e.bytes()).copied().collect();
            let put = wire::request("PUT", &name.path(), "application/cbor-seq", &body);
            let answer = wire::answer(&wire::exchange(port, &put).await?)?;
            ensure!(answer.status == 200, "{}", answer.status);
            batches += 1;
        }
    }
    let text = std::fs::read_to_string(&calls)?;
    // Without who watches it the collector would live on: it ends first.
    let process = text.split_whitespace().next().context("no call")?;
    Command::new("kill").args(["-9", process]).status().await?;
    traced.wait().await?;
    let kept = kept.canonicalize()?;
    let answered = judge(&done(&text, begun), &kept)?;
    ensure!(
        answered == batches,
        "{batches} batches, {answered} answers seen"
    );
    Ok(batches)
}

/// What was done, from the lines after so many.
fn done(text: &str, after: usize) -> Vec<Done> {
    let mut waiting: HashMap<&str, String> = HashMap::new();
    let mut all = Vec::new();
    for line in text.lines().skip(after) {
        let Some((process, call)) = line.split_once(' ') else {
            continue;
        };
        let call = call.trim_start();
        let whole = if let Some(begun) = call.strip_suffix("<unfinished ...>") {
            // An answer may be with the phone before the call returns.
            match call.contains("\"HTTP/1.1 200 ") {
                true => begun.to_owned() + ") = 1",
                false => {
                    waiting.insert(process, begun.to_owned());
                    continue;
                }
            }
        } else if call.starts_with("<...") {
            let end = call.split_once("resumed>").map_or("", |(_, end)| end);
            waiting.remove(process).unwrap_or_default() + end
        } else {
            call.to_owned()
        };
        let named = |at: usize| whole.split('"').nth(at).unwrap_or_default().to_owned();
        let worked = whole.rsplit("= ").next().is_some_and(|r| r.trim() == "0");
        if whole.contains("\"HTTP/1.1 200 ") {
            all.push(Done::Answered);
        } else if !worked {
        } else if whole.starts_with("fsync") || whole.starts_with("fdatasync") {
            let path = whole.split(['<', '>']).nth(1).unwrap_or_default();
            all.push(Done::Flushed(path.to_owned()));
        } else if whole.starts_with("mkdir") {
            all.push(Done::Made(named(1)));
        } else if whole.starts_with("link") || whole.starts_with("rename") {
            all.push(Done::Named(named(3)));
        }
    }
    all
}

/// At each answer everything named since the last one must be flushed: the file
/// before it got its name, and each folder that got a name in it, afterwards.
fn judge(all: &[Done], kept: &Path) -> Result<usize> {
    let mut answered = 0;
    let mut open: Vec<String> = Vec::new();
    let mut flushed: Vec<&str> = Vec::new();
    let mut names = 0;
    let above = |path: &str| {
        path.rsplit_once('/')
            .map_or("", |(above, _)| above)
            .to_owned()
    };
    for one in all {
        match one {
            Done::Flushed(path) => {
                open.retain(|folder| folder != path);
                flushed.push(path);
            }
            Done::Made(path) => open.push(above(path)),
            Done::Named(path) => {
                ensure!(path.starts_with(&*kept.to_string_lossy()), "{path}");
                let staged = format!("{path}#");
                let before = flushed.iter().any(|f| f.starts_with(&staged));
                ensure!(before, "{path} got its name before it was flushed");
                open.push(above(path));
                names += 1;
            }
            Done::Answered => {
                ensure!(names > 0, "an answer without a file");
                ensure!(open.is_empty(), "answered before a flush of {open:?}");
                answered += 1;
                names = 0;
            }
        }
    }
    Ok(answered)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const GOOD: &str = "\
1 mkdir(\"/kept/a\", 0777) = 0
1 fsync(3</kept>) = 0
2 fsync(4</kept/a/x#1> <unfinished ...>
1 write(2</log>, \"INFO\", 4) = 4
2 <... fsync resumed>) = 0
2 linkat(AT_FDCWD, \"/kept/a/x#1\", AT_FDCWD, \"/kept/a/x\", 0) = 0
2 fsync(5</kept/a>) = 0
1 writev(9<socket:[1]>, [{iov_base=\"HTTP/1.1 200 OK\"..., iov_len=1}], 1) = 1
";

    #[test]
    fn an_answer_before_a_flush_is_seen() {
        let seen = |text: &str| judge(&done(text, 0), Path::new("/kept"));
        assert_eq!(seen(GOOD).unwrap(), 1);
        let lines: Vec<&str> = GOOD.lines().collect();
        let without = |left: &[usize]| {
            let some = lines.iter().enumerate().filter(|(n, _)| !left.contains(n));
            some.map(|(_, l)| format!("{l}\n")).collect::<String>()
        };
        for left in [&[1][..], &[2, 4], &[6], &[5, 6]] {
            assert!(seen(&without(left)).is_err(), "without {left:?}");
        }
        // The answer on its way while the folder is still being flushed.
        let early = GOOD.replace("fsync(5</kept/a>) = 0", "fsync(5</kept/a> <unfinished ...>");
        assert!(seen(&early).is_err());
    }
}
