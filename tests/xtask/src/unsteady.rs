//! Tests in a browser that fail once and pass when they run again, alone.
//!
//! A browser on a machine with other work sometimes answers later than any patience. One such moment shall not
//! hide what all the other tests say, and it shall not be hidden either: the test is named in the summary.

use std::ffi::{OsStr, OsString};
use std::fs;
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Command, ExitStatus};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use anyhow::Result;
use xtask::{deadline, place};

/// More that fail in one program are no moment's doing.
const FEW: usize = 2;

/// Runs a program of tests and, when few of them fail, those once more, one by one: their names go into the
/// list when they pass then. `None` when it was ended because the time was over.
///
/// # Errors
/// When it cannot be started, or the names cannot be kept.
pub fn run(
    program: &OsStr,
    words: &[OsString],
    limit: Duration,
    list: &Path,
) -> Result<Option<ExitStatus>> {
    let (from, to) = std::io::pipe()?;
    let mut first = Command::new(program);
    first.args(words).stdout(to);
    let failed = Arc::new(Mutex::new(Vec::new()));
    let hear = Arc::clone(&failed);
    let heard = thread::spawn(move || {
        for line in BufReader::new(from).lines().map_while(Result::ok) {
            println!("{line}");
            if let Some(name) = failed_test(&line) {
                let mut all = hear.lock().unwrap_or_else(PoisonError::into_inner);
                all.push(name.to_owned());
            }
        }
    });
    let ended = deadline::run(&mut first, limit)?;
    drop(first);
    // A browser that outlives its test holds the other end open.
    let since = Instant::now();
    while !heard.is_finished() && since.elapsed() < Duration::from_secs(2) {
        thread::sleep(Duration::from_millis(10));
    }
    let failed = failed.lock().unwrap_or_else(PoisonError::into_inner);
    let few = (1..=FEW).contains(&failed.len());
    if !few || ended.is_none_or(|status| status.success()) {
        return Ok(ended);
    }
    println!("\nonce more, alone: {}", failed.join(", "));
    let mut again = Command::new(program);
    again.args(&*failed).args(["--exact", "--test-threads=1"]);
    let ended = deadline::run(&mut again, limit)?;
    if ended.is_some_and(|status| status.success()) {
        let mut kept = fs::OpenOptions::new()
            .create(true)
            .append(true)
            .open(list)?;
        kept.write_all((failed.join("\n") + "\n").as_bytes())?;
    }
    Ok(ended)
}

/// The name in a line of the test runner that says that a test failed.
fn failed_test(line: &str) -> Option<&str> {
    line.strip_prefix("test ")?.strip_suffix(" ... FAILED")
}

/// Where the browser tests keep the list.
pub fn list() -> PathBuf {
    place::target().join("unsteady-tests")
}

/// The tests in a list, and an empty list for the next run.
pub fn take(list: &Path) -> Vec<String> {
    let kept = fs::read_to_string(list).unwrap_or_default();
    // What is not there is empty.
    let _ = fs::remove_file(list);
    kept.lines().map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    /// What looks like a program of tests: it fails until a file is there, which it makes.
    fn program(folder: &Path) -> PathBuf {
        let file = folder.join("program");
        let script = "#!/bin/sh\ncd \"$(dirname \"$0\")\"; echo \"$@\" >> called\n\
            [ -e there ] && exit 0\n[ -e never ] || touch there\n\
            [ $# -gt 1 ] && exit 101\n\
            echo 'test desk::one ... ok'; echo 'test desk::two ... FAILED'; exit 101\n";
        fs::write(&file, script).unwrap();
        let made = Command::new("chmod").arg("755").arg(&file).status();
        assert!(made.unwrap().success());
        file
    }

    #[test]
    fn a_test_that_fails_once_runs_again_and_one_that_fails_twice_fails() {
        let folder = std::env::temp_dir().join(format!("chalkbook-again-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        let program = program(&folder);
        let list = folder.join("list");
        let words = ["--test-threads=2".into()];
        let run = || run(program.as_os_str(), &words, Duration::from_secs(60), &list).unwrap();
        fs::write(folder.join("never"), "").unwrap();
        assert_eq!(run().unwrap().code(), Some(101));
        assert!(take(&list).is_empty());
        fs::remove_file(folder.join("never")).unwrap();
        assert!(run().unwrap().success());
        assert_eq!(take(&list), ["desk::two"]);
        let called = fs::read_to_string(folder.join("called")).unwrap();
        let once = "--test-threads=2\ndesk::two --exact --test-threads=1\n";
        assert_eq!(called, once.repeat(2));
        fs::remove_dir_all(folder).unwrap();
    }
}
