//! What it takes to set up an event of eight teams of eight with four officials: touches and typed
//! characters, counted, and the time that they stand for.

use anyhow::{Result, ensure};
use browser::{Named, Phone, SMALL, is, starts};
use engine::link::Kind;
use engine::log::{Author, Role, SecretKey};
use serde_json::json;

use super::paper::{paste, text_of};
use super::set;

/// Typed characters in a second on a phone: 36.2 words a minute of five characters (K. Palin and
/// others, "How do people type on mobile devices?", MobileHCI 2019; from memory).
const TYPED: f64 = 36.2 * 5.0 / 60.0;
/// Seconds for finding and touching something (common practice, no source).
const TOUCH: f64 = 1.5;
/// Seconds for holding the camera before a card, and for hearing six words (common practice, no
/// source).
const CARD: f64 = 15.0;
/// What the whole of it may take (s).
const LIMIT: f64 = 8.0 * 60.0;

const NAMES: [&str; 8] = [
    "Quay Street",
    "Tram Yard",
    "Mill Lane",
    "Old Dock",
    "Brick Row",
    "North Gate",
    "Fish Hall",
    "Rope Walk",
];
const PLAYERS: [&str; 8] = [
    "Wren", "Ines", "Lund", "Aker", "Vale", "Reed", "Holt", "Quint",
];

/// One who types and touches, and is counted.
struct Typist {
    phone: Phone,
    typed: usize,
}

impl Typist {
    async fn types(&mut self, role: &str, name: &Named, text: &str) -> Result<()> {
        self.typed += text.chars().count();
        self.phone.fill(role, name, text).await
    }

    fn seconds(&self, cards: usize) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a few thousand at most")]
        let [typed, touches, cards] = [self.typed, self.phone.taps(), cards].map(|n| n as f64);
        typed / TYPED + touches * TOUCH + cards * CARD
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn an_event_of_eight_teams_is_set_up_in_less_than_eight_minutes() -> Result<()> {
    let (_site, phone) = Phone::on_site("effort", SMALL).await?;
    phone.see("heading", &is("Chalkbook")).await?;
    let mut organiser = Typist { phone, typed: 0 };
    organiser.phone.tap("link", &starts("Events")).await?;
    organiser
        .phone
        .tap("link", &starts("Make a charter"))
        .await?;
    let field = "textbox";
    organiser
        .types(field, &is("Name of the event"), "Harbour Cup")
        .await?;
    organiser
        .types(field, &is("Where"), "The tram depot")
        .await?;
    // The day is picked in the phone's own calendar: three touches.
    set(&organiser.phone, "event-date", "2026-06-13").await?;
    let picked = 3;

    for (at, name) in NAMES.iter().enumerate() {
        if at >= 2 {
            organiser.phone.tap("button", &is("Add a team")).await?;
        }
        let label = is(format!("Name of team {}", at + 1));
        organiser.types(field, &label, name).await?;
        // Nobody has a list to paste: every roster is typed, numbers first.
        let lines = PLAYERS.iter().enumerate();
        let lines = lines.map(|(n, player)| format!("{} {player}", 10 + n));
        let roster = lines.collect::<Vec<_>>().join("\n");
        let rosters = organiser.phone.all(field, &starts("Roster")).await?;
        ensure!(rosters.len() == (at + 1).max(2), "a roster for each team");
        organiser.phone.touch(&rosters[at]).await?;
        organiser.typed += roster.chars().count();
        let text = json!({ "text": roster });
        organiser.phone.protocol("Input.insertText", text).await?;
    }

    // The cards of four officials, one after the other before the camera.
    let officials = ["Jonas Reed", "Signe Vale", "Lena Vik", "Nils Aker"];
    organiser
        .phone
        .tap("link", &is("Take an official's card"))
        .await?;
    let mut by_text = 0;
    for (n, name) in (1..).zip(officials) {
        let card = Author::new(
            SecretKey::from_random(&[n; 32]).public(),
            name,
            Role::Umpire,
        );
        // Without a camera here it comes as text: three touches that nobody makes who has one.
        let before = organiser.phone.taps();
        paste(
            &organiser.phone,
            &text_of(Kind::Official, &card.to_bytes())?,
        )
        .await?;
        by_text += organiser.phone.taps() - before;
        let last = usize::from(n) == officials.len();
        let on = match last {
            true => "The words are the same: list them",
            false => "The same: list them, and take the next card",
        };
        organiser.phone.tap("button", &is(on)).await?;
        organiser.phone.read(&format!("{name} is listed.")).await?;
    }

    // Everyone once and then a final does not fit one court and one day: said beside the hours.
    organiser
        .phone
        .choose(
            &is("Form of the competition"),
            "Everyone meets everyone once, then a final",
        )
        .await?;
    organiser.phone.read("only").await?;
    organiser.phone.read("courts have room").await?;
    organiser.phone.picture("does-not-fit").await?;
    organiser
        .phone
        .choose(&is("Form of the competition"), "Pools, then a knock-out")
        .await?;
    organiser
        .types(field, &is("Courts, one a line"), "Court 1\nCourt 2")
        .await?;
    organiser
        .phone
        .gone("paragraph", &starts("29 games"))
        .await?;
    organiser
        .types(field, &starts("Your name"), "Maren Holt")
        .await?;
    organiser.phone.press("Tab").await?;
    organiser
        .phone
        .tap("button", &is("Sign the charter"))
        .await?;
    organiser.phone.read("Signed and kept: version 1.").await?;

    // Two lists were opened and chosen from.
    let more = (picked + 2 * 2) as f64 * TOUCH - by_text as f64 * TOUCH;
    let seconds = organiser.seconds(officials.len()) + more;
    println!(
        "eight teams of eight, four officials: {} characters typed, {} touches, {:.1} min at {:.0} characters a minute",
        organiser.typed,
        organiser.phone.taps() + picked + 4 - by_text,
        seconds / 60.0,
        TYPED * 60.0,
    );
    ensure!(seconds < LIMIT, "{seconds:.0} s");
    organiser.phone.quiet().await
}
