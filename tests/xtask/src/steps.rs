//! The steps of a stage: each said, timed, ended when it hangs; and what they share.

use std::ffi::OsString;
use std::fs;
use std::process::{Command, ExitCode};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, bail};
use xtask::{deadline, place, tools};

use crate::unsteady;

/// The longest that a step may take; compiling everything from nothing takes less on two cores.
const STEP: Duration = Duration::from_secs(30 * 60);
/// The longest that one program of tests may take.
const TESTS: Duration = Duration::from_secs(12 * 60);
/// Which tests the programs of tests are started for: a stage's name.
const WHICH: &str = "CHALKBOOK_TESTS";

/// What the stages have done so far.
#[derive(Default)]
pub struct Steps {
    /// How many have passed.
    pub passed: usize,
    /// Those that have not.
    pub failed: Vec<String>,
    /// Those that could not be taken here.
    pub skipped: Vec<String>,
    /// Tests that failed once and passed when they ran again, alone.
    pub unsteady: Vec<String>,
    /// Whether a later stage wants the app as phones get it.
    pub wants_app: bool,
    compiled: bool,
    app: Option<JoinHandle<Result<()>>>,
}

impl Steps {
    /// None taken yet.
    pub fn new(wants_app: bool) -> Self {
        Self {
            wants_app,
            ..Self::default()
        }
    }

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

    /// Runs the tests of a stage, each program of tests for so long at most.
    pub fn tests(&mut self, about: &str, stage: &str, words: &[&str]) {
        self.step(about, || {
            // By its place, not as the program that runs: compiling everything may have replaced that.
            let runner = format!(
                "target.'cfg(all())'.runner = [{:?}, \"test-program\"]",
                place::program("xtask").to_string_lossy()
            );
            let mut cargo = tools::command("cargo");
            cargo.args(["--config", &runner]).env(WHICH, stage);
            cargo.args(["test", "--locked", "--workspace", "--no-fail-fast"]);
            within(cargo.args(words))
        });
    }

    /// Begins to build the app as phones get it, while other steps run.
    pub fn app_meanwhile(&mut self) {
        self.compile();
        self.app = Some(std::thread::spawn(build_app));
    }

    /// Builds the app as phones get it, or waits for the build that was begun.
    pub fn app(&mut self) {
        self.compile();
        let meanwhile = self.app.take();
        self.step("the app's build", || match meanwhile {
            Some(build) => match build.join() {
                Ok(done) => done,
                Err(_) => bail!("it came to a stop"),
            },
            None => build_app(),
        });
    }
}

/// Runs a command for as long as a step may take.
///
/// # Errors
/// When it cannot be started, fails, or hangs.
pub fn within(command: &mut Command) -> Result<()> {
    tools::run_within(command, STEP)
}

/// Builds the app as phones get it, by the program that is compiled already.
fn build_app() -> Result<()> {
    let said = place::target().join("app-build.log");
    let log = fs::File::create(&said)?;
    let mut build = tools::command(&place::program("appbuild").to_string_lossy());
    build.arg("--release").stdout(log.try_clone()?).stderr(log);
    within(&mut build).with_context(|| fs::read_to_string(&said).unwrap_or_default())
}

/// Runs one program of tests, if it is of the stage at hand, for so long at most. What it is called with
/// stands in its name: cargo starts it in the folder of its package.
pub fn test_program(words: &[OsString]) -> ExitCode {
    let of_browser = std::env::current_dir().is_ok_and(|at| at.ends_with("tests/browser"));
    if std::env::var(WHICH).is_ok_and(|stage| (stage == "browser") != of_browser) {
        println!("(of another stage)\n");
        return ExitCode::SUCCESS;
    }
    let Some((program, words)) = words.split_first() else {
        return ExitCode::FAILURE;
    };
    let ran = match of_browser {
        true => unsteady::run(program, words, TESTS, &unsteady::list()),
        false => deadline::run(Command::new(program).args(words), TESTS),
    };
    match ran {
        Ok(Some(status)) => status
            .code()
            .and_then(|code| u8::try_from(code).ok())
            .map_or(ExitCode::FAILURE, ExitCode::from),
        Ok(None) => {
            println!(
                "{} hung and was ended after {} minutes; the tests under way are named above",
                program.display(),
                TESTS.as_secs() / 60
            );
            ExitCode::FAILURE
        }
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}
