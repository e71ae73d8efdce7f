//! What every test of the desk does: files handed over, screens judged, a charter that lists the phone.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::Result;
use browser::{Phone, is, starts};
use demoday::DemoDay;
use engine::charter::SignedCharter;
use engine::log::{Author, LogFile, PublicKey, Role, SecretKey, Verified};
use serde_json::json;

/// Files as officials hand them over: one a record, one with both lines of the log signed twice, one
/// damaged, and one of which the end came before the beginning.
pub fn files(
    day: &DemoDay,
    charter: &SignedCharter<Verified>,
    folder: &Path,
) -> Result<Vec<PathBuf>> {
    let mut all = Vec::new();
    let mut put = |name: String, bytes: &[u8]| -> Result<()> {
        let path = folder.join(name);
        fs::write(&path, bytes)?;
        all.push(path);
        Ok(())
    };
    put("harbour-day.charter".into(), charter.bytes())?;
    for game in &day.games {
        for (n, record) in game.records.iter().enumerate() {
            let bytes = LogFile::write([record.chain()]);
            let name = format!("game-{:02}-{}.log", game.fixture, n + 1);
            match (game.fixture, n) {
                // Its end first: it waits for its beginning.
                (12, 0) => {
                    let entries = record.chain().entries();
                    let half = entries.len() / 2;
                    let part = |part: &[engine::log::Entry<Verified>]| -> Vec<u8> {
                        part.iter().flat_map(|e| e.bytes()).copied().collect()
                    };
                    put("game-12-a-end.log".into(), &part(&entries[half..]))?;
                    put("game-12-b-beginning.log".into(), &part(&entries[..half]))?;
                }
                _ => put(name, &bytes)?,
            }
        }
        if let Some(line) = &game.second_line {
            let bytes = LogFile::write([line.chain()]);
            put(format!("game-{:02}-other-line.log", game.fixture), &bytes)?;
        }
    }
    put("damaged.log".into(), &day.tampered)?;
    Ok(all)
}

/// Puts files into a field as a person chooses them.
pub async fn choose(phone: &Phone, field: &str, files: &[PathBuf]) -> Result<()> {
    let found = phone.see("button", &starts(field)).await?;
    let files: Vec<String> = files.iter().map(|f| f.display().to_string()).collect();
    let params = json!({ "files": files, "backendNodeId": found.node });
    phone.protocol("DOM.setFileInputFiles", params).await?;
    Ok(())
}

/// The same with a charter of an event that is new here: its six words are
/// compared before it counts.
pub async fn choose_new(phone: &Phone, files: &[PathBuf]) -> Result<()> {
    choose(phone, "Records and charters", files).await?;
    let keep = is("The words are the same: keep it");
    phone.tap("button", &keep).await?;
    phone.gone("button", &keep).await
}

/// The screen as it is: a picture, and judged in both themes.
pub async fn look(phone: &Phone, screen: &str) -> Result<()> {
    for (dark, theme) in [(true, "night"), (false, "noon")] {
        phone.prefer(dark).await?;
        phone.settled().await?;
        phone.picture(&format!("{screen}-{theme}")).await?;
        phone.audit(&format!("{screen}, {theme}")).await?;
    }
    if let Some(why) = phone.too_small().await? {
        anyhow::bail!("{screen}: {why}");
    }
    Ok(())
}

/// The phone's key, as the charter must list it.
pub async fn key_of(phone: &Phone) -> Result<PublicKey> {
    // Opened before the app has made it, it would be another one.
    let read = "indexedDB.databases().then(all => all.some(one => one.name === 'chalkbook') && \
        new Promise(done => { const open = indexedDB.open('chalkbook'); \
        open.onsuccess = () => { const all = open.result.transaction('keys').objectStore('keys').getAll(); \
        all.onsuccess = () => { open.result.close(); \
        done(all.result.length > 0 && Array.from(all.result[0].public)); }; }; }))";
    phone
        .until(&format!("({read}).then(key => key !== false)"))
        .await?;
    let bytes: Vec<u8> = serde_json::from_value(phone.evaluate(read).await?)?;
    PublicKey::from_bytes(&bytes).map_err(|e| anyhow::anyhow!("{e}"))
}

/// The demo charter with this phone as an official organiser: the next version of it.
pub fn charter_for(day: &DemoDay, key: PublicKey) -> Result<SignedCharter<Verified>> {
    let mut charter = day.charter.charter().clone();
    charter
        .officials
        .push(Author::new(key, "Harbour office", Role::Organiser));
    charter.version += 1;
    charter.supersedes = Some(day.charter.hash());
    let secret: &SecretKey = &day.organiser;
    let unsigned = charter
        .draft()
        .map_err(|wrong| anyhow::anyhow!("{wrong:?}"))?;
    unsigned.sign(secret).map_err(|e| anyhow::anyhow!("{e}"))
}
