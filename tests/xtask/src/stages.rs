//! The whole proof, in order: each stage under a heading, with its time.

use std::fs;
use std::process::{Command, ExitCode};
use std::time::Instant;

use anyhow::{Context as _, Result};

use crate::steps::{Steps, within};
use xtask::{place, tools};

struct Stage {
    name: &'static str,
    about: &'static str,
    steps: fn(&mut Steps) -> Result<()>,
}

const STAGES: &[Stage] = &[
    Stage {
        name: "lint",
        about: "formatting and lints, natively and for the phone",
        steps: lint,
    },
    Stage {
        name: "engine",
        about: "the engine with no operating system under it",
        steps: engine,
    },
    Stage {
        name: "native",
        about: "tests of every crate that needs no browser",
        steps: native,
    },
    Stage {
        name: "python",
        about: "checks written apart from the engine, in Python",
        steps: python,
    },
    Stage {
        name: "fuzz",
        about: "each law of the log against a fuzzer, for a short while",
        steps: fuzz,
    },
    Stage {
        name: "web",
        about: "the app as phones get it",
        steps: web,
    },
    Stage {
        name: "browser",
        about: "the app in a real browser",
        steps: browser,
    },
    Stage {
        name: "app-logs",
        about: "logs that the app made in the browser, by the verifier in Python",
        steps: app_logs,
    },
    Stage {
        name: "bench-smoke",
        about: "the benchmarks run",
        steps: bench_smoke,
    },
];

/// The stages' names, in order.
pub const NAMES: [&str; STAGES.len()] = {
    let mut names = [""; STAGES.len()];
    let mut at = 0;
    while at < STAGES.len() {
        names[at] = STAGES[at].name;
        at += 1;
    }
    names
};

/// Runs the stages named, or all.
pub fn run(wanted: &[String]) -> ExitCode {
    let from = Instant::now();
    let stages: Vec<&Stage> = STAGES
        .iter()
        .filter(|stage| wanted.is_empty() || wanted.iter().any(|name| name == stage.name))
        .collect();
    let mut steps = Steps::default();
    steps.stages = stages.iter().map(|stage| stage.name).collect();
    let mut times = Vec::new();
    for (at, stage) in (1..).zip(&stages) {
        println!(
            "\n=== stage {at} of {}, {}: {} ({:.0} s so far)",
            stages.len(),
            stage.name,
            stage.about,
            from.elapsed().as_secs_f64()
        );
        let begun = Instant::now();
        if let Err(error) = (stage.steps)(&mut steps) {
            println!("--- {}: FAILED: {error:#}", stage.name);
            steps.failed.push(stage.name.to_owned());
        }
        times.push((stage.name, begun.elapsed().as_secs_f64()));
    }

    println!("\n=== summary");
    for (name, seconds) in &times {
        println!("{name:>8} {seconds:8.1} s");
    }
    println!("{:>8} {:8.1} s", "all", from.elapsed().as_secs_f64());
    for name in &steps.unsteady {
        println!("unsteady, failed once and passed when it ran again: {name}");
    }
    for name in &steps.skipped {
        println!("skipped: {name}");
    }
    for name in &steps.failed {
        println!("failed: {name}");
    }
    println!(
        "steps: {} passed, {} failed, {} skipped",
        steps.passed,
        steps.failed.len(),
        steps.skipped.len()
    );
    if steps.failed.is_empty() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

fn lint(steps: &mut Steps) -> Result<()> {
    tools::linters()?;
    steps.cargo("formatting", &["fmt", "--all", "--check"]);
    let strict = ["--", "-D", "warnings"];
    let native = [
        &[
            "clippy",
            "--quiet",
            "--locked",
            "--workspace",
            "--all-targets",
        ],
        &strict[..],
    ]
    .concat();
    steps.cargo("lints, native", &native);
    tools::target(tools::WASM)?;
    let phone = [
        &[
            "clippy",
            "--quiet",
            "--locked",
            "-p",
            "chalkbook",
            "-p",
            "reader",
            "-p",
            "engine",
            "--target",
            tools::WASM,
        ],
        &strict[..],
    ]
    .concat();
    steps.cargo("lints, phone", &phone);
    tools::deny()?;
    let deny = ["deny", "--config", ".cargo/deny.toml", "check"];
    let what = ["--hide-inclusion-graph", "bans", "licenses", "sources"];
    let others = "terms, sources and versions of others' crates";
    steps.cargo(others, &[&deny[..], &what].concat());
    Ok(())
}

/// Every set of the engine's features that differs; the rules alone are the first.
const FEATURES: [&str; 8] = [
    "",
    "court",
    "log",
    "competition",
    "link",
    "link,court",
    "link,log",
    "link,competition",
];

fn engine(steps: &mut Steps) -> Result<()> {
    let check = ["clippy", "--quiet", "--locked", "-p", "engine"];
    let strict = ["--", "-D", "warnings"];
    steps.cargo(
        "documentation of the engine",
        &[
            "rustdoc", "--quiet", "--locked", "-p", "engine", "--", "-D", "warnings",
        ],
    );
    // No line of the engine depends on the target: what compiles with no operating system compiles here.
    let bare = tools::target(tools::BARE);
    if let Err(why) = &bare {
        steps.skip("engine with no operating system", &format!("{why:#}"));
    }
    for features in FEATURES {
        let name = if features.is_empty() {
            "rules alone"
        } else {
            features
        };
        let only = ["--no-default-features", "--features", features];
        let target = match &bare {
            Ok(()) => &["--target", tools::BARE][..],
            Err(_) => &[],
        };
        steps.cargo(
            &format!("engine: {name}"),
            &[&check[..], &only, target, &strict].concat(),
        );
    }
    Ok(())
}

fn native(steps: &mut Steps) -> Result<()> {
    steps.compile();
    if steps.stages.contains(&"web") {
        steps.begin(APP, build_app());
    }
    steps.step("games as text", || {
        let mut files: Vec<String> = Vec::new();
        for entry in std::fs::read_dir(place::top().join("tests").join("scenarios"))? {
            let path = entry?.path();
            if path.extension().is_some_and(|ext| ext == "scn") {
                files.push(path.to_string_lossy().into_owned());
            }
        }
        files.sort();
        let mut play = tools::command(&place::program("scenario").to_string_lossy());
        within(play.args(&files)).context("a game as text failed")
    });
    let examples = ["test", "--locked", "--workspace", "--doc"];
    steps.cargo("examples in the documentation", &examples);
    steps.tests("native", &[])
}

fn python(steps: &mut Steps) -> Result<()> {
    let python = tools::python()?;
    let python = || tools::command(&python.to_string_lossy());
    if steps.stages.contains(&"fuzz") && tools::fuzzer().is_ok() {
        steps.begin(FUZZ, laws());
    }
    let checks = ["-m", "pytest", "-q", "tests/python"];
    steps.run("Python checks", python().args(checks));
    let about = "the optical link against other programs";
    match tools::link() {
        Ok(()) => {
            tools::node()?;
            steps.run(about, python().args(["tests/link/check.py", "--dev"]));
        }
        Err(why) => steps.skip(about, &format!("{why:#}")),
    }
    Ok(())
}

/// Seconds for each law: enough to go over everything kept and some way beyond.
/// `tests/fuzz/run` takes longer ones.
const FUZZ_SECONDS: &str = "20";

const FUZZ: &str = "laws of the log, fuzzed";

fn laws() -> Command {
    let run = place::top().join("tests").join("fuzz").join("run");
    let mut run = tools::command(&run.to_string_lossy());
    run.arg(FUZZ_SECONDS);
    run
}

fn fuzz(steps: &mut Steps) -> Result<()> {
    match tools::fuzzer() {
        Ok(()) => steps.end(FUZZ, laws()),
        Err(why) => steps.skip(FUZZ, &format!("{why:#}")),
    }
    Ok(())
}

const APP: &str = "the app's build";

/// The app as phones get it, by the program that is compiled already.
fn build_app() -> Command {
    let mut build = tools::command(&place::program("appbuild").to_string_lossy());
    build.arg("--release");
    build
}

fn web(steps: &mut Steps) -> Result<()> {
    steps.compile();
    steps.end(APP, build_app());
    Ok(())
}

fn browser(steps: &mut Steps) -> Result<()> {
    tools::browser()?;
    tools::node()?;
    if !place::dist().join("index.html").exists() {
        web(steps)?;
    }
    // What an earlier run left proves nothing of this one.
    let logs = place::artefacts().join("logs");
    if logs.exists() {
        fs::remove_dir_all(logs)?;
    }
    let mut words = vec!["--"];
    let others = [
        ("in_firefox", tools::firefox()),
        ("in_webkit", tools::webkit()),
    ];
    for (tests, there) in others {
        if let Err(why) = there {
            steps.skip(&format!("browser tests {tests}"), &format!("{why:#}"));
            words.extend(["--skip", tests]);
        }
    }
    steps.tests("browser", &words)?;
    println!("pictures: {}", place::artefacts().display());
    Ok(())
}

/// The browser stage left the logs; without them this fails.
fn app_logs(steps: &mut Steps) -> Result<()> {
    let python = tools::python()?;
    let mut python = tools::command(&python.to_string_lossy());
    python.args(["-m", "pytest", "-q", "tests/python/test_logformat.py"]);
    python.args(["-k", "app_log"]);
    python.env("CHALKBOOK_APP_LOGS", "wanted");
    steps.run("the app's logs, judged apart from the engine", &mut python);
    Ok(())
}

fn bench_smoke(steps: &mut Steps) -> Result<()> {
    steps.compile();
    let mut bench = tools::command(&place::program("bench").to_string_lossy());
    steps.run("benchmarks, in brief", bench.arg("--brief"));
    Ok(())
}

/// Measures and prints the figures, all or those named.
///
/// # Errors
/// When something is missing or over a fixed budget.
pub fn bench(wanted: &[String]) -> Result<()> {
    // Those who wait for a build bring it with them.
    let builds = |name: &String| ["engine", "build", "first"].contains(&name.as_str());
    if wanted.is_empty() || !wanted.iter().all(builds) {
        tools::browser()?;
        app(true)?;
    }
    let bench = ["run", "--quiet", "--release", "-p", "bench", "--"];
    tools::run(tools::command("cargo").args(bench).args(wanted))
}

/// Builds the app, quickly or as phones get it.
///
/// # Errors
/// When it does not build.
pub fn app(release: bool) -> Result<()> {
    let mut build = tools::command("cargo");
    build.args(["run", "--quiet", "--locked", "-p", "appbuild", "--"]);
    if release {
        build.arg("--release");
    }
    tools::run(&mut build)
}

/// Takes the pictures of the README again, by the test that walks through every screen.
///
/// # Errors
/// When the walk fails or a picture is missing.
pub fn screens() -> Result<()> {
    tools::browser()?;
    tools::node()?;
    app(true)?;
    tools::run(tools::command("cargo").args(["test", "-p", "browser", "--test", "screens"]))?;
    let kept = place::top().join("tests").join("screens");
    std::fs::create_dir_all(&kept)?;
    for name in PICTURES {
        let taken = place::artefacts().join("readme").join(name);
        std::fs::copy(&taken, kept.join(name)).with_context(|| format!("{}", taken.display()))?;
    }
    Ok(())
}

/// The pictures shown in the README.
const PICTURES: [&str; 4] = [
    "calling-noon.png",
    "calling-night.png",
    "games.png",
    "statement.png",
];
