//! Charters made by the test itself, and what passes between phones as text.

use anyhow::{Context as _, Result, bail};
use browser::{CardInHand, Phone, QUAY_STREET, TRAM_YARD, is, starts};
use engine::charter::{Charter, Scheduled, SignedCharter, Team};
use engine::link::{Inbox, Kind, Sender, SymbolSize, text};
use engine::log::{Author, Role, SecretKey, Verified};
use engine::rules::Edition;

/// A team with everyone on its card as its roster.
pub fn team(hand: &CardInHand<'_>) -> Team {
    Team {
        name: hand.team.into(),
        roster: hand.card().players().cloned().collect(),
    }
}

/// The charter of an event of two teams and one game, to be signed by organiser `n`.
pub fn charter(n: u8, officials: &[Author]) -> Charter {
    Charter {
        place: "The tram depot".into(),
        editions: vec![(&Edition::federation()).into()],
        teams: vec![team(&QUAY_STREET), team(&TRAM_YARD)],
        officials: officials.to_vec(),
        fixtures: vec![Scheduled {
            number: 1,
            title: "Final".into(),
            guest: Some(QUAY_STREET.team.into()),
            home: Some(TRAM_YARD.team.into()),
            court: "Court 1".into(),
            starts: 1_781_344_800_000,
            edition: 0,
        }],
        ..Charter::new(
            "Harbour Cup",
            "2026-06-13",
            Author::new(
                SecretKey::from_random(&[n; 32]).public(),
                "Maren Holt",
                Role::Organiser,
            ),
        )
    }
}

/// The version after one, to be signed by organiser `n`.
pub fn next(of: &SignedCharter<Verified>, n: u8) -> Charter {
    Charter {
        version: of.charter().version + 1,
        supersedes: Some(of.hash()),
        place: format!("moved {}", of.charter().version),
        ..charter(n, &[])
    }
}

pub fn sign(n: u8, charter: Charter) -> Result<SignedCharter<Verified>> {
    let key = SecretKey::from_random(&[n; 32]);
    match charter.draft() {
        Ok(unsigned) => unsigned.sign(&key).map_err(|why| anyhow::anyhow!("{why}")),
        Err(faults) => bail!("{faults:?}"),
    }
}

/// As another phone would send it.
pub fn text_of(kind: Kind, payload: &[u8]) -> Result<String> {
    let sender = Sender::new(kind, payload, SymbolSize::MAX);
    let sender = sender.map_err(|why| anyhow::anyhow!("{why}"))?;
    Ok(text::lines(&sender, 0))
}

/// What lines that a phone shows hold.
pub fn received(lines: &str) -> Result<(Kind, Vec<u8>)> {
    let mut inbox = Inbox::new();
    for packet in text::read(lines).packets {
        let _ = inbox.accept(&packet);
    }
    let whole = inbox.take().pop().context("something whole")?;
    Ok((whole.kind, whole.payload))
}

/// What a phone shows, as text.
pub async fn shown_text(phone: &Phone) -> Result<String> {
    phone.tap("button", &is("Text")).await?;
    phone.see("textbox", &is("Lines to send")).await?;
    let text = phone
        .evaluate("document.querySelector('textarea').value")
        .await?;
    Ok(text.as_str().context("no text")?.to_owned())
}

pub async fn paste(to: &Phone, text: &str) -> Result<()> {
    to.see("heading", &is("Take from another phone")).await?;
    to.tap("button", &is("Text")).await?;
    to.fill("textbox", &starts("Paste the lines"), text).await?;
    to.tap("button", &is("Read the lines")).await
}

/// Takes a charter that is new on the phone from its lines, as its holder does who has heard the words
/// of the organiser's key.
pub async fn take_charter(phone: &Phone, charter: &[u8]) -> Result<()> {
    phone.tap("link", &is("Second phone")).await?;
    paste(phone, &text_of(Kind::Charter, charter)?).await?;
    phone.tap("button", &starts("The words are the same")).await
}
