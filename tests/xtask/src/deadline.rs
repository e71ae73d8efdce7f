//! An end for what hangs: it is named, and everything that it started goes with it.

use std::collections::BTreeSet;
use std::fs;
use std::process::{Child, Command, ExitStatus};
use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result};

/// Between two looks whether a program has ended.
const LOOK: Duration = Duration::from_millis(25);

/// Runs a program to its end; `None` when it was ended because the time was over.
///
/// # Errors
/// When it cannot be started.
pub fn run(command: &mut Command, limit: Duration) -> Result<Option<ExitStatus>> {
    let name = command.get_program().to_string_lossy().into_owned();
    let mut child = command
        .spawn()
        .with_context(|| format!("could not start {name}"))?;
    // A limit beyond all times is none.
    let end = Instant::now().checked_add(limit);
    loop {
        if let Some(status) = child.try_wait()? {
            return Ok(Some(status));
        }
        if end.is_some_and(|end| Instant::now() >= end) {
            end_with_all(&mut child)?;
            return Ok(None);
        }
        thread::sleep(LOOK);
    }
}

/// Ends a program and all that it started. They are no process group of their own, because Ctrl-C
/// would pass by one.
///
/// # Errors
/// When the system refuses.
pub fn end_with_all(child: &mut Child) -> Result<()> {
    let parents = parents();
    let mut all = BTreeSet::from([child.id()]);
    // Whoever was started later may have the smaller number.
    while let Some((id, _)) = parents
        .iter()
        .find(|(id, parent)| all.contains(parent) && !all.contains(id))
    {
        all.insert(*id);
    }
    child.kill()?;
    all.remove(&child.id());
    if !all.is_empty() {
        let all: Vec<String> = all.iter().map(u32::to_string).collect();
        // One that has ended by itself meanwhile is no failure.
        let _ = Command::new("sh")
            .arg("-c")
            .arg(format!("kill -9 {} 2>/dev/null", all.join(" ")))
            .status();
    }
    child.wait()?;
    Ok(())
}

/// Every process with the one that started it, where the system tells (Linux: proc_pid_stat(5)).
fn parents() -> Vec<(u32, u32)> {
    let of = |entry: fs::DirEntry| {
        let id = entry.file_name().to_str()?.parse().ok()?;
        let stat = fs::read_to_string(entry.path().join("stat")).ok()?;
        // The name stands in brackets and may hold any character.
        let parent = stat.rsplit_once(") ")?.1.split(' ').nth(1)?.parse().ok()?;
        Some((id, parent))
    };
    let all = fs::read_dir("/proc").into_iter().flatten().flatten();
    all.filter_map(of).collect()
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    fn shell(script: &str) -> Command {
        let mut command = Command::new("sh");
        command.arg("-c").arg(script);
        command
    }

    #[test]
    fn what_ends_by_itself_is_left_to_it() {
        let status = run(&mut shell("exit 3"), Duration::from_secs(60)).unwrap();
        assert_eq!(status.unwrap().code(), Some(3));
    }

    #[test]
    fn what_hangs_is_ended_with_what_it_started() {
        let folder = std::env::temp_dir().join(format!("chalkbook-hangs-{}", std::process::id()));
        let script = format!("sleep 600 & echo $! > '{}'; wait", folder.display());
        let from = Instant::now();
        assert_eq!(
            run(&mut shell(&script), Duration::from_secs(1)).unwrap(),
            None
        );
        assert!(from.elapsed() < Duration::from_secs(60));
        let started = fs::read_to_string(&folder).unwrap();
        fs::remove_file(&folder).unwrap();
        // Ended, it is gone or waits to be forgotten by whoever took it over: soon, not at once.
        let ended = || {
            let stat = fs::read_to_string(format!("/proc/{}/stat", started.trim()));
            stat.map_or(true, |stat| stat.contains(") Z "))
        };
        let from = Instant::now();
        while !ended() {
            assert!(from.elapsed() < Duration::from_secs(20), "it goes on");
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}
