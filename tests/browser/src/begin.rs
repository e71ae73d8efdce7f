//! A game begun from a fixture that was typed before.

use anyhow::Result;
use serde_json::json;

use crate::{CardInHand, Phone, Site, Size, is, starts};

/// The players of both sides by their places on the cards.
pub const NAMES: [&str; 8] = [
    "Ada",
    "Bo",
    "Clementine",
    "Dov",
    "Esperanza",
    "Finn",
    "Gro",
    "Hal",
];

impl Phone {
    /// A phone that has opened the app, on a site of its own.
    ///
    /// # Errors
    /// When the app is not built or the browser does not start.
    pub async fn on_site(name: &str, size: Size) -> Result<(Site, Self)> {
        let site = Site::start()?;
        let phone = Self::new(name, size).await?;
        phone.open(&site.url()).await?;
        Ok((site, phone))
    }

    /// Begins a game between named players, under the federation's edition with these changes, up to
    /// the first batter.
    ///
    /// # Errors
    /// When the app does not lead there.
    pub async fn begin(
        &self,
        site: &Site,
        [guest, home]: [&CardInHand<'_>; 2],
        changes: &[(&str, &str)],
    ) -> Result<()> {
        self.open(&site.url()).await?;
        self.see("heading", &is("Chalkbook")).await?;
        let lines = |card: &CardInHand<'_>| {
            let numbers = card.hitters.iter().chain(&card.reserves).zip(NAMES);
            numbers
                .map(|(number, name)| json!({ "number": number.to_string(), "name": name }))
                .collect::<Vec<_>>()
        };
        let team = |card: &CardInHand<'_>| json!({ "name": card.team, "lines": lines(card) });
        let draft = json!({ "teams": [team(guest), team(home)], "home": 1, "changes": changes });
        self.evaluate(&format!(
            "localStorage.setItem('chalkbook-draft', JSON.stringify({draft})), true"
        ))
        .await?;
        self.open(&format!("{}cards", site.url())).await?;
        self.tap("button", &is("Next card")).await?;
        self.tap("button", &is("Toss for home")).await?;
        self.tap("button", &is("Play ball")).await?;
        self.see_in(&is("Record"), "button", &starts("Record"))
            .await?;
        Ok(())
    }
}
