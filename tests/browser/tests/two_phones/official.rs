//! Officials with a phone each, and what passes between the phones.

use std::path::Path;

use anyhow::{Context as _, Result, ensure};
use browser::{Phone, QUAY_STREET, SMALL, Site, TALL, TRAM_YARD, fresh_game, is, starts, with};
use engine::game::{Change, Game};
use engine::play::Call;

/// An official with a phone, and the game as the official sees it.
pub struct Official {
    pub phone: Phone,
    pub game: Game,
}

impl Official {
    pub async fn call(&mut self, call: &Call) -> Result<Change> {
        self.phone.enter(&self.game, call).await?;
        self.phone.record_call(call).await?;
        let played = match self.game.clone().apply(call) {
            Ok(played) => played,
            Err(refused) => anyhow::bail!("the test's own call is refused: {}", refused.objection),
        };
        self.phone.shows(&played.game).await?;
        self.game = played.game;
        Ok(played.outcome.change)
    }

    /// The code on the screen, letter by letter.
    pub async fn code(&self, which: &str) -> Result<String> {
        Ok(self.phone.see("image", &starts(which)).await?.name)
    }

    /// Opens the screen of the second phone from the calling screen.
    pub async fn second_phone(&self) -> Result<()> {
        self.phone.tap("button", &is("More")).await?;
        self.phone.tap("link", &is("Second phone")).await?;
        self.phone.see("heading", &is("Second phone")).await?;
        Ok(())
    }
}

/// The lines on one phone's screen, pasted into the other: `link` opens what is shown.
pub async fn hand_over(from: &Phone, link: &str, to: &Phone) -> Result<()> {
    let text = lines(from, link).await?;
    to.tap("link", &with("Take theirs")).await?;
    paste(to, &text).await
}

pub async fn lines(from: &Phone, link: &str) -> Result<String> {
    from.tap("link", &with(link)).await?;
    from.tap("button", &is("Text")).await?;
    from.see("textbox", &is("Lines to send")).await?;
    let text = from
        .evaluate("document.querySelector('textarea').value")
        .await?;
    from.tap("link", &is("Done")).await?;
    from.gone("heading", &starts("Show ")).await?;
    Ok(text.as_str().context("no text")?.to_owned())
}

pub async fn paste(to: &Phone, text: &str) -> Result<()> {
    to.see("heading", &is("Take from another phone")).await?;
    to.tap("button", &is("Text")).await?;
    to.fill("textbox", &starts("Paste the lines"), text).await?;
    to.tap("button", &is("Read the lines")).await
}

/// Both phones loaded, no signal from then on, and one game on both.
pub async fn joined(name: &str, film: Option<&Path>) -> Result<(Site, Official, Official)> {
    let mut site = Site::start()?;
    let a = Phone::new(&format!("{name}-a"), SMALL).await?;
    let b = Phone::with_camera(&format!("{name}-b"), TALL, film).await?;
    b.prefer(true).await?;
    for phone in [&a, &b] {
        phone.open(&site.url()).await?;
        phone.offline_ready().await?;
    }
    site.stop();
    let (a, b) = join(a, b).await?;
    Ok((site, a, b))
}

/// One game on two phones that have the app and no signal.
pub async fn join(a: Phone, b: Phone) -> Result<(Official, Official)> {
    for phone in [&a, &b] {
        phone.reload().await?;
        phone.see("heading", &is("Chalkbook")).await?;
    }
    a.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    let game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    let a = Official {
        phone: a,
        game: game.clone(),
    };
    let b = Official { phone: b, game };

    a.second_phone().await?;
    a.phone.picture("alone").await?;
    a.phone.audit("second phone, alone").await?;
    let words = a.code("Words of the game").await?;
    let text = lines(&a.phone, "Show this game to a second phone").await?;
    b.phone.tap("link", &is("Second phone")).await?;
    paste(&b.phone, &text).await?;
    b.phone.see("button", &is("Keep my own record")).await?;
    b.phone.picture("join").await?;
    b.phone.audit("join").await?;
    ensure!(
        b.code("Words of the game").await? == words,
        "other words for one game"
    );
    b.phone.tap("button", &is("Keep my own record")).await?;
    a.phone.tap("link", &is("Back")).await?;
    for official in [&a, &b] {
        official
            .phone
            .see_in(&is("Record"), "button", &starts("Record"))
            .await?;
        official.phone.shows(&official.game).await?;
    }
    Ok((a, b))
}
