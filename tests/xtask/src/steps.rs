//! The steps of a stage: each said, timed, ended when it hangs; and what they share.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;
use std::process::Command;
use std::sync::{Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use anyhow::{Result, bail};
use xtask::{place, tools};

/// The longest that a step may take; compiling everything from nothing takes less on two cores.
const STEP: Duration = Duration::from_secs(30 * 60);

/// What the stages have done so far.
#[derive(Default)]
pub struct Steps {
    /// How many have passed.
    pub passed: usize,
    /// Those that have not.
    pub failed: Vec<String>,
    /// Those that could not be taken here.
    pub skipped: Vec<String>,
    /// Tests that failed once and passed when they ran again.
    pub unsteady: Vec<String>,
    /// The stages that are run, by name.
    pub stages: Vec<&'static str>,
    compiled: bool,
    begun: BTreeMap<&'static str, JoinHandle<Result<()>>>,
}

impl Steps {
    /// Takes a step.
    pub fn step(&mut self, about: &str, work: impl FnOnce() -> Result<()>) {
        println!("\n--- {about}");
        let from = Instant::now();
        match work() {
            Ok(()) => {
                println!("--- {about}: passed, {:.1} s", from.elapsed().as_secs_f64());
                self.passed += 1;
            }
            Err(error) => {
                println!(
                    "--- {about}: FAILED, {:.1} s: {error:#}",
                    from.elapsed().as_secs_f64()
                );
                self.failed.push(about.to_owned());
            }
        }
    }

    /// Leaves a step out, and says why.
    pub fn skip(&mut self, about: &str, why: &str) {
        println!("\n--- {about}: SKIPPED: {why}");
        self.skipped.push(about.to_owned());
    }

    /// Takes a step that is one command.
    pub fn run(&mut self, about: &str, command: &mut Command) {
        self.step(about, || within(command));
    }

    /// Takes a step that is one command of cargo.
    pub fn cargo(&mut self, about: &str, words: &[&str]) {
        self.run(about, tools::command("cargo").args(words));
    }

    /// Compiles every program and every test, once for all stages: packages compiled one by one have
    /// other features, and what they share would be compiled again for each. The macro by itself would have
    /// another profile than the macro that the engine uses, and so would all that is built on the engine.
    pub fn compile(&mut self) {
        if !self.compiled {
            let all = [
                "build",
                "--locked",
                "--workspace",
                "--exclude",
                "localized",
                "--all-targets",
            ];
            self.cargo("everything compiled", &all);
            self.compiled = true;
        }
    }

    /// Runs the tests of a stage: its profile in `.config/nextest.toml` says which, how many at once, and for
    /// how long at most. Those that failed once and passed when they ran again are kept by name.
    pub fn tests(&mut self, profile: &str, words: &[&str]) -> Result<()> {
        tools::nextest()?;
        let report = place::target().join("nextest").join(profile);
        let report = report.join("tests.xml");
        // What an earlier run left proves nothing of this one.
        let _ = fs::remove_file(&report);
        let run = ["nextest", "run", "--locked", "--workspace", "--profile"];
        let about = format!("{profile} tests");
        self.cargo(&about, &[&run[..], &[profile], words].concat());
        let report = fs::read_to_string(report).unwrap_or_default();
        self.unsteady.extend(flaky(&report));
        Ok(())
    }

    /// Begins a step while others are taken that leave a core to spare. Of several begun so, each waits for
    /// the one before.
    pub fn begin(&mut self, about: &'static str, mut command: Command) {
        static AT_WORK: Mutex<()> = Mutex::new(());
        let work = move || {
            let _alone = AT_WORK.lock().unwrap_or_else(PoisonError::into_inner);
            let said = said(about);
            let log = fs::File::create(&said)?;
            command.stdout(log.try_clone()?).stderr(log);
            within(&mut command)
        };
        self.begun.insert(about, std::thread::spawn(work));
    }

    /// Waits for a step that was begun and shows what it printed, or takes it now.
    pub fn end(&mut self, about: &'static str, mut command: Command) {
        let begun = self.begun.remove(about);
        self.step(about, || {
            let Some(begun) = begun else {
                return within(&mut command);
            };
            let done = begun.join();
            print!("{}", fs::read_to_string(said(about)).unwrap_or_default());
            match done {
                Ok(done) => done,
                Err(_) => bail!("it came to a stop"),
            }
        });
    }
}

/// What a step that was begun prints.
fn said(about: &str) -> PathBuf {
    let name = about.replace(|c: char| !c.is_alphanumeric(), "-");
    place::target().join(name + ".log")
}

/// Runs a command for as long as a step may take.
///
/// # Errors
/// When it cannot be started, fails, or hangs.
pub fn within(command: &mut Command) -> Result<()> {
    tools::run_within(command, STEP)
}

/// The tests of a report in JUnit's form that failed and passed when they ran again.
fn flaky(report: &str) -> Vec<String> {
    let cases = report.split("<testcase ").skip(1);
    let cases = cases.filter(|case| case.contains("<flakyFailure "));
    let name = |case: &str| Some(case.split("name=\"").nth(1)?.split('"').next()?.to_owned());
    cases.filter_map(name).collect()
}

#[cfg(test)]
mod tests {
    use super::flaky;

    #[test]
    fn a_test_that_passed_at_the_second_run_is_named() {
        let report = r#"<testsuite name="browser::game"><testcase name="one" classname="a" time="1"></testcase>
            <testcase name="two" classname="a"><flakyFailure message="m"></flakyFailure></testcase>
            <testcase name="three" classname="a"><failure message="m"><rerunFailure message="m"/></failure></testcase>"#;
        assert_eq!(flaky(report), ["two"]);
    }
}
