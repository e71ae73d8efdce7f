//! The same build below a path of a host: installed, delivered, offline, and its public pages.

#![allow(clippy::unwrap_used)]

use anyhow::{Result, ensure};
use browser::{Phone, QUAY_STREET, Rng, SMALL, TRAM_YARD, fresh_game, is, likely_call, starts};
use serve::Server;
use xtask::place;

const FOLDER: &str = "/club/games";

#[tokio::test(flavor = "multi_thread")]
async fn the_app_and_its_collector_work_below_a_path() -> Result<()> {
    let kept = tempfile::tempdir()?;
    let server = {
        let kept = kept.path().to_owned();
        let start = move || Server::below(FOLDER, &place::dist(), &kept, 0);
        tokio::task::spawn_blocking(start).await??
    };
    let port = server.port();
    let top = format!("http://localhost:{port}{FOLDER}/");
    let mut phone = Phone::new("below-a-path", SMALL).await?;
    phone.open(&top).await?;
    phone.offline_ready().await?;
    phone.see("heading", &is("Chalkbook")).await?;
    // Not one request went above the folder, and the installed app begins in it.
    let above = format!(
        "performance.getEntriesByType('resource').map(e => e.name).filter(n => !n.startsWith('{top}')).join()"
    );
    ensure!(
        phone.evaluate(&above).await? == "",
        "{:?}",
        phone.evaluate(&above).await?
    );
    let manifest = "fetch(document.querySelector('link[rel=manifest]').href).then(r => r.json()).then(m => \
        [m.start_url, m.scope, ...m.icons.map(i => i.src)].map(u => \
        new URL(u, document.querySelector('link[rel=manifest]').href).href).join(' '))";
    let named = phone.evaluate(manifest).await?;
    for address in named.as_str().unwrap_or_default().split(' ') {
        ensure!(address.starts_with(&top), "{address}");
    }

    // A game is delivered to the collector below the same path.
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    let (mut game, mut rng) = (fresh_game(&QUAY_STREET, &TRAM_YARD)?, Rng::with_seed(4));
    for _ in 0..2 {
        let call = likely_call(&game, &mut rng);
        (game, _) = phone.call(game, &call).await?;
    }
    let at = phone.address().await?;
    ensure!(at.starts_with(&format!("{top}call?game=")), "{at}");
    phone.open(&format!("{top}delivery")).await?;
    phone.read("The record on this phone is delivered.").await?;

    // The public pages lead to one another and to their files.
    phone.open(&format!("{top}results")).await?;
    for _ in 0..2 {
        let links = "Promise.all([...document.querySelectorAll('a, link, script')].map(a => a.href || a.src) \
            .map(u => fetch(u).then(r => r.status + ' ' + u))).then(all => all.filter(u => !u.startsWith('200')).join())";
        ensure!(
            phone.evaluate(links).await? == "",
            "{}",
            phone.evaluate(links).await?
        );
        let on = phone
            .evaluate("document.querySelector('main li a, main td a, main a[href*=games]').href")
            .await?;
        phone.open(on.as_str().unwrap_or_default()).await?;
    }

    // No network: a deep link, a call, and an address of no screen.
    tokio::task::spawn_blocking(move || drop(server)).await?;
    phone.die_and_start_again().await?;
    phone.open(&at).await?;
    phone.shows(&game).await?;
    let call = likely_call(&game, &mut rng);
    (game, _) = phone.call(game, &call).await?;
    phone.reload().await?;
    phone.shows(&game).await?;
    phone.picture("offline").await?;
    phone.open(&format!("{top}any/screen/of/it")).await?;
    phone.see("heading", &is("Chalkbook")).await?;
    phone.see("link", &starts("Quay Street")).await?;
    Ok(())
}
