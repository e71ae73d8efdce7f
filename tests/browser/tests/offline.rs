//! The shell: it starts without a network, keeps to its policy, and changes version only when told.

#![allow(clippy::unwrap_used)]

use std::fs;

use anyhow::Result;
use browser::{Phone, SMALL, Site, is, starts, with};

const MARK: &str = "document.querySelector('meta[name=mark]')?.content ?? ''";

async fn mark(phone: &Phone) -> Result<String> {
    Ok(phone
        .evaluate(MARK)
        .await?
        .as_str()
        .unwrap_or_default()
        .to_owned())
}

/// Looks for a new version and waits until the phone has taken or refused it.
const UNTIL_JUDGED: &str = "navigator.serviceWorker.ready.then(r => r.update()).then(r => new Promise(done => { \
    const w = r.installing; if (!w) return done('none'); \
    w.addEventListener('statechange', () => done(w.state)); }))";

async fn the_version_at_work_starts_without_a_network(
    site: &mut Site,
    phone: &Phone,
) -> Result<()> {
    site.stop();
    phone.reload().await?;
    phone.until("document.querySelector('h1') !== null").await?;
    assert_eq!(mark(phone).await?, "");
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn after_one_visit_it_starts_without_a_network() -> Result<()> {
    let (mut site, mut phone) = Phone::on_site("offline", SMALL).await?;
    phone.offline_ready().await?;
    phone.quiet().await?;
    site.stop();

    phone.reload().await?;
    phone.until("document.querySelector('h1') !== null").await?;
    phone.picture("reloaded").await?;
    phone
        .open(&format!("{}any/screen/of/it", site.url()))
        .await?;
    phone.until("document.querySelector('h1') !== null").await?;
    phone.die_and_start_again().await?;
    phone.open(&site.url()).await?;
    phone.until("document.querySelector('h1') !== null").await?;
    phone.picture("restarted").await?;
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn the_policy_holds_and_nothing_breaks_it() -> Result<()> {
    let (_site, phone) = Phone::on_site("policy", SMALL).await?;
    phone.offline_ready().await?;
    phone.until("document.querySelector('h1') !== null").await?;
    phone.quiet().await?;

    // The policy is at work: an inline script, an inline style and an evaluated text are refused.
    let refused = "new Promise(done => { const seen = new Set(); \
        document.addEventListener('securitypolicyviolation', e => { seen.add(e.effectiveDirective); \
        if (seen.size === 3) done(true); }); setTimeout(() => done([...seen].join()), 3000); \
        const s = document.createElement('script'); s.textContent = 'window.broken = 1'; document.head.append(s); \
        const t = document.createElement('div'); t.setAttribute('style', 'color:red'); document.body.append(t); \
        fetch('http://192.0.2.1/').catch(() => {}); })";
    assert_eq!(phone.evaluate(refused).await?, true);
    assert_eq!(phone.evaluate("window.broken === undefined").await?, true);
    assert!(
        !phone.complaints().await?.is_empty(),
        "a violation is heard"
    );
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_new_version_waits_for_the_game_to_end() -> Result<()> {
    let (site, phone) = Phone::on_site("update", SMALL).await?;
    phone.offline_ready().await?;
    // A page with a game open holds a lock of this name.
    phone
        .evaluate("navigator.locks.request('chalkbook-game test', () => new Promise(end => { window.endGame = end })), true")
        .await?;

    site.renew("second")?;
    phone.new_version_waits().await?;
    phone
        .evaluate("dispatchEvent(new Event('chalkbook:take-update')), true")
        .await?;
    tokio::time::sleep(std::time::Duration::from_millis(500)).await;
    assert_eq!(
        phone
            .evaluate("navigator.serviceWorker.ready.then(r => r.waiting !== null)")
            .await?,
        true
    );
    assert_eq!(mark(&phone).await?, "");

    // Even loading the page again keeps the version at work, whole.
    phone.reload().await?;
    phone
        .until("document.documentElement.dataset.update === 'waiting'")
        .await?;
    assert_eq!(mark(&phone).await?, "");
    // The page that held the lock is gone, which the browser may notice a moment later.
    phone
        .until("navigator.locks.query().then(all => !all.held.some(lock => lock.name.includes('game test')))")
        .await?;

    phone
        .evaluate("dispatchEvent(new Event('chalkbook:take-update')), true")
        .await?;
    phone
        .until("document.querySelector('meta[name=mark]')?.content === 'second'")
        .await?;
    let builds = phone
        .evaluate("caches.keys().then(names => names.length)")
        .await?;
    assert_eq!(builds, 1, "the old build is dropped");
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn the_home_screen_is_offered_or_explained() -> Result<()> {
    let (_site, phone) = Phone::on_site("install", SMALL).await?;
    phone.see("heading", &is("Chalkbook")).await?;
    // As a browser that can install the app offers it, here before any visit made it willing to.
    let offer = "(() => { const e = new Event('beforeinstallprompt'); \
        e.prompt = () => { window.prompted = true; return Promise.resolve() }; dispatchEvent(e) })()";
    phone.evaluate(offer).await?;
    phone
        .tap("button", &starts("Install on this phone"))
        .await?;
    phone.until("window.prompted === true").await?;

    let iphone = "Object.defineProperty(Navigator.prototype, 'standalone', { get: () => false }); \
        addEventListener('beforeinstallprompt', e => e.stopImmediatePropagation())";
    phone.before_each_page(iphone).await?;
    phone.reload().await?;
    phone.read("then Add to Home Screen").await?;
    phone.picture("by-hand").await?;
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_new_version_fetches_only_what_changed() -> Result<()> {
    let (mut site, phone) = Phone::on_site("update-small", SMALL).await?;
    phone.offline_ready().await?;

    // The page alone changes, and nothing else is there to be fetched any more.
    site.renew("second")?;
    for entry in fs::read_dir(site.folder())? {
        let path = entry?.path();
        if path
            .extension()
            .is_some_and(|ext| ext == "wasm" || ext == "css")
        {
            fs::remove_file(path)?;
        }
    }
    phone.new_version_waits().await?;
    phone
        .evaluate("dispatchEvent(new Event('chalkbook:take-update')), true")
        .await?;
    phone
        .until("document.querySelector('meta[name=mark]')?.content === 'second'")
        .await?;
    site.stop();
    phone.reload().await?;
    phone.see("heading", &is("Chalkbook")).await?;
    phone.open(&format!("{}court", site.url())).await?;
    phone.until("document.querySelector('h1') !== null").await?;
    assert_eq!(mark(&phone).await?, "second");
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_build_that_arrives_broken_is_not_taken() -> Result<()> {
    let (mut site, phone) = Phone::on_site("broken-build", SMALL).await?;
    phone.offline_ready().await?;
    let before = phone
        .evaluate("caches.keys().then(names => names.join())")
        .await?;

    // The file that is new differs from what the new build's list says, as after a torn upload.
    site.renew("torn")?;
    fs::write(site.folder().join("index.html"), "half a fi")?;
    assert_eq!(phone.evaluate(UNTIL_JUDGED).await?, "redundant");
    assert_eq!(
        phone
            .evaluate("caches.keys().then(names => names.join())")
            .await?,
        before
    );

    the_version_at_work_starts_without_a_network(&mut site, &phone).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_full_phone_keeps_the_version_it_has() -> Result<()> {
    let (mut site, phone) = Phone::on_site("full-update", SMALL).await?;
    phone.offline_ready().await?;
    let before = phone
        .evaluate("caches.keys().then(names => names.join())")
        .await?;

    phone.limit_storage(&site.url(), Some(1)).await?;
    site.renew("too-big")?;
    let update = "navigator.serviceWorker.ready.then(r => r.update()).then(r => new Promise(done => { \
        const w = r.installing; if (!w) return done('none'); \
        w.addEventListener('statechange', () => done(w.state)); }), e => String(e.name))";
    let outcome = phone.evaluate(update).await?;
    assert!(
        outcome == "redundant" || outcome == "QuotaExceededError" || outcome == "AbortError",
        "{outcome}"
    );
    assert_eq!(
        phone
            .evaluate("caches.keys().then(names => names.join())")
            .await?,
        before
    );

    the_version_at_work_starts_without_a_network(&mut site, &phone).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_server_that_goes_back_to_the_build_at_work_takes_nothing_from_the_phone() -> Result<()> {
    let (mut site, phone) = Phone::on_site("rollback", SMALL).await?;
    phone.offline_ready().await?;
    let at_work = ["sw.js", "index.html"].map(|name| site.folder().join(name));
    let before = at_work.each_ref().map(|file| fs::read(file).unwrap());

    site.renew("second")?;
    phone.new_version_waits().await?;
    for (file, bytes) in at_work.iter().zip(before) {
        fs::write(file, bytes)?;
    }
    // Nothing of it has to be fetched: the phone has all of it.
    fs::write(site.folder().join("boot.js"), "half a fi")?;
    assert_ne!(phone.evaluate(UNTIL_JUDGED).await?, "redundant");

    the_version_at_work_starts_without_a_network(&mut site, &phone).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_change_of_version_that_cannot_be_is_said_and_one_made_elsewhere_is_followed()
-> Result<()> {
    let (site, phone) = Phone::on_site("update-held", SMALL).await?;
    phone.offline_ready().await?;
    let first = phone.second_tab().await?;
    let second = phone.tab().await?;
    phone.open(&site.url()).await?;
    phone
        .evaluate("navigator.locks.request('chalkbook-game test', () => new Promise(end => { window.endGame = end })), true")
        .await?;
    phone.turn_to(first.clone()).await?;
    site.renew("second")?;
    phone.new_version_waits().await?;
    phone.tap("button", &is("Change to it now")).await?;
    phone
        .read("Not changed: a game is open in another tab")
        .await?;
    phone.picture("held").await?;

    // The other tab leaves the game and changes; this one still has the offer, and follows.
    phone.turn_to(second).await?;
    phone.evaluate("window.endGame(), true").await?;
    phone
        .until("document.documentElement.dataset.update === 'waiting'")
        .await?;
    phone.tap("button", &is("Change to it now")).await?;
    phone
        .until("document.querySelector('meta[name=mark]')?.content === 'second'")
        .await?;
    phone.turn_to(first).await?;
    phone
        .until("document.documentElement.dataset.update === 'waiting'")
        .await?;
    phone.tap("button", &is("Change to it now")).await?;
    phone
        .until("document.querySelector('meta[name=mark]')?.content === 'second'")
        .await?;
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_module_that_stops_says_so() -> Result<()> {
    let (_site, phone) = Phone::on_site("stopped", SMALL).await?;
    phone.see("heading", &is("Chalkbook")).await?;
    // An ordinary fault of a promise is none.
    phone
        .evaluate("Promise.reject(new Error('ordinary')), true")
        .await?;
    assert!(!phone.sees("alert", &with("has stopped")).await?);
    phone
        .evaluate("Promise.reject(new WebAssembly.RuntimeError('unreachable')), true")
        .await?;
    phone
        .read("Every call shown as recorded is kept on this phone.")
        .await?;
    phone.picture("stopped").await?;
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_browser_that_cannot_store_its_own_key_gets_one_of_the_page() -> Result<()> {
    let site = Site::start()?;
    let phone = Phone::new("no-stored-key", SMALL).await?;
    let refuse = "const add = IDBObjectStore.prototype.add; \
        IDBObjectStore.prototype.add = function (row, ...rest) { \
        if (row.secret instanceof CryptoKey) throw new DOMException('not cloned', 'DataCloneError'); \
        return add.call(this, row, ...rest); }";
    phone.before_each_page(refuse).await?;
    phone.open(&format!("{}settings", site.url())).await?;
    phone
        .read("the secret part lies in this page's storage")
        .await?;
    let words = "document.querySelector('.phrase').textContent";
    let first = phone.evaluate(words).await?;
    phone.reload().await?;
    phone
        .read("the secret part lies in this page's storage")
        .await?;
    assert_eq!(phone.evaluate(words).await?, first, "the same key again");
    // What the browser keeps for good is said as it stands, without having asked.
    phone
        .read("Each call is confirmed only when it is on the disk")
        .await?;
    phone
        .see("button", &is("Ask the browser to keep them for good"))
        .await?;
    Ok(())
}
