//! Signing and verifying a log of 100 entries in the browser, against bare `ed25519-dalek` in the same
//! run, in a module built as the app is.

use anyhow::{Context as _, Result, ensure};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use browser::{Phone, SMALL};
use xtask::{place, tools};

use crate::figures::row;

/// The least share of the bare rate that verifying may reach.
const BUDGET: f64 = 0.70;

/// Runs each kind of work in turn, so that a slow moment hits all of them alike; seconds an entry.
const RUN: &str = "(async () => { \
    const bytes = Uint8Array.from(atob('MODULE'), c => c.charCodeAt(0)); \
    const { instance: { exports: it } } = await WebAssembly.instantiate(bytes, {}); \
    const entries = it.entries(); \
    const kinds = ['verify_bare', 'verify_log', 'sign_bare', 'sign_log']; \
    const took = Object.fromEntries(kinds.map(k => [k, []])); \
    for (let round = 0; round < ROUNDS; round++) for (const kind of kinds) { \
        const from = performance.now(); const done = it[kind](); \
        took[kind].push((performance.now() - from) / 1000 / entries); \
        if (done !== entries) throw new Error(kind + ' got through ' + done + ' of ' + entries); } \
    return { entries, ...took }; })()";

/// Builds the module as the app is built.
fn module() -> Result<Vec<u8>> {
    tools::target(tools::WASM)?;
    tools::run(tools::command("cargo").args([
        "build",
        "--quiet",
        "--locked",
        "--profile",
        "phone",
        "--target",
        tools::WASM,
        "-p",
        "rates-in-page",
    ]))?;
    let file = place::target()
        .join(tools::WASM)
        .join("phone")
        .join("rates_in_page.wasm");
    std::fs::read(&file).with_context(|| file.display().to_string())
}

/// Measures and prints the rows.
pub fn measure(rounds: usize) -> Result<()> {
    let module = BASE64_STANDARD.encode(module()?);
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()?;
    let took = runtime.block_on(async {
        let phone = Phone::new("bench-signing", SMALL).await?;
        phone.open("about:blank").await?;
        let run = RUN
            .replace("MODULE", &module)
            .replace("ROUNDS", &rounds.to_string());
        phone.evaluate(&run).await
    })?;
    let times = |kind: &str| -> Result<Vec<f64>> {
        let all = took[kind].as_array().context("no times came")?;
        let times: Vec<f64> = all.iter().filter_map(serde_json::Value::as_f64).collect();
        ensure!(times.len() == rounds, "{kind}: {took}");
        Ok(times)
    };
    let median = |mut times: Vec<f64>| {
        times.sort_by(f64::total_cmp);
        times[times.len() / 2]
    };
    let share =
        |of: &str, bare: &str| -> Result<f64> { Ok(median(times(bare)?) / median(times(of)?)) };
    let (verified, signed) = (
        share("verify_log", "verify_bare")?,
        share("sign_log", "sign_bare")?,
    );
    row(
        "in the browser: verify a signature, bare",
        &mut times("verify_bare")?,
        "",
    );
    row(
        &format!(
            "in the browser: read and verify an entry, {:.0} % of the bare rate",
            verified * 100.0
        ),
        &mut times("verify_log")?,
        &format!(">= {:.0} %", BUDGET * 100.0),
    );
    row("in the browser: sign, bare", &mut times("sign_bare")?, "");
    row(
        &format!(
            "in the browser: sign an entry and check it, {:.0} % of the bare signing rate",
            signed * 100.0
        ),
        &mut times("sign_log")?,
        "",
    );
    Ok(())
}
