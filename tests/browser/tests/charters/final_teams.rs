//! A final whose teams the umpire's phone learns from the desk by code, with no network anywhere: they are
//! chosen on the form and never typed.

use anyhow::{Context as _, Result, ensure};
use browser::{Phone, QUAY_STREET, SMALL, Site, TALL, TRAM_YARD, is, starts, with};
use engine::charter::{Arrangement, Charter, Pairings};
use engine::competition::schedule::{Clock, Format, PoolDraw, Window};
use engine::link::Kind;
use engine::log::Author;
use serde_json::json;

use super::day::MILL_LANE;
use super::look;
use super::midday::card_text;
use super::paper::{charter, paste, received, shown_text, sign, take_charter, team};

/// Everyone once, then a final between the first two.
fn event(officials: &[Author]) -> Result<Charter> {
    let plain = Charter {
        teams: [QUAY_STREET, TRAM_YARD, MILL_LANE]
            .iter()
            .map(team)
            .collect(),
        fixtures: Vec::new(),
        arranged: Some(Arrangement {
            format: Format::PoolsThenFinals {
                pools: PoolDraw::Snake(1),
                through: 2,
                third_place: false,
            },
            courts: vec!["Court 1".into()],
            windows: vec![Window {
                opens: Clock(9 * 60),
                closes: Clock(18 * 60),
            }],
            game: 40,
            turnaround: 5,
            rest: 0,
            ahead: 0,
        }),
        ..charter(5, officials)
    };
    plain
        .with_fixtures()
        .map_err(|why| anyhow::anyhow!("{why:?}"))
}

async fn without_signal(name: &str, size: browser::Size, site: &Site) -> Result<Phone> {
    let phone = Phone::new(name, size).await?;
    phone.open(&site.url()).await?;
    phone.offline_ready().await?;
    phone.see("heading", &is("Chalkbook")).await?;
    Ok(phone)
}

/// The teams that the form of a game has chosen.
async fn chosen(phone: &Phone) -> Result<Vec<String>> {
    let mut teams = Vec::new();
    for label in ["One team", "The other team"] {
        let list = phone.see("combobox", &is(label)).await?;
        let chosen = "function() { return this.value; }";
        let team = phone.on_node(&list, chosen, json!([])).await?;
        teams.push(team.as_str().unwrap_or_default().to_owned());
    }
    Ok(teams)
}

#[tokio::test(flavor = "multi_thread")]
async fn the_teams_of_a_final_come_by_code() -> Result<()> {
    let mut site = Site::start()?;
    let desk = without_signal("final-desk", TALL, &site).await?;
    let umpire = without_signal("final-umpire", SMALL, &site).await?;
    site.stop();

    let mut officials = Vec::new();
    for (phone, name, part) in [
        (&desk, "Maren Holt", "Organiser"),
        (&umpire, "Jonas Reed", "Umpire"),
    ] {
        let (_, card) = received(&card_text(phone, &site.url(), name, part).await?)?;
        officials.push(Author::from_bytes(&card)?);
    }
    let charter = event(&officials)?;
    let signed = sign(5, charter.clone())?;
    for phone in [&desk, &umpire] {
        phone.open(&site.url()).await?;
        take_charter(phone, signed.bytes()).await?;
        phone.see("heading", &is("Harbour Cup")).await?;
    }
    let last = charter.fixtures.last().context("a final")?;
    let last = starts(format!("Game {},", last.number));

    // Before it is known who plays, the umpire's phone offers no team as the right one.
    umpire.tap("link", &last).await?;
    umpire
        .read("The organiser's desk shows who plays, as a code.")
        .await?;
    ensure!(chosen(&umpire).await? == ["", ""], "nobody knows yet");
    look(&umpire, "open").await?;

    // At the desk the three games before it are decided: the team earlier in the list wins.
    desk.open(&format!("{}desk?event={}", site.url(), signed.hash()))
        .await?;
    ensure!(!desk.sees("link", &starts("Show who plays")).await?);
    let names: Vec<&str> = charter.teams.iter().map(|t| t.name.as_str()).collect();
    for fixture in charter.fixtures.iter().filter(|f| f.guest.is_some()) {
        let sides = [&fixture.guest, &fixture.home].map(|s| s.clone().unwrap_or_default());
        let rank = |team: &String| names.iter().position(|n| n == team);
        let loser = sides.iter().max_by_key(|team| rank(team)).context("two")?;
        desk.tap("link", &with(format!("game {},", fixture.number)))
            .await?;
        let choice = is(format!("{loser} forfeited"));
        desk.tap("radio", &choice).await?;
        desk.fill("textbox", &is("Why"), "They did not come.")
            .await?;
        desk.tap("button", &is("Sign the decision")).await?;
        desk.read("This game is decided.").await?;
        desk.tap("link", &is("Back")).await?;
    }
    desk.tap("link", &starts("Show who plays to an umpire's phone"))
        .await?;
    desk.see_in(&is("Who plays"), "listitem", &starts(""))
        .await?;
    look(&desk, "who-plays").await?;
    let lines = shown_text(&desk).await?;
    let (kind, shown) = received(&lines)?;
    ensure!(kind == Kind::Pairings, "{kind:?}");
    let pairings = Pairings::from_bytes(&shown)?;
    ensure!(pairings.games.len() == 1, "{pairings:?}");

    umpire.tap("link", &is("Take it from the desk")).await?;
    paste(&umpire, &lines).await?;
    umpire
        .read("Who plays in the games that were open is on this phone.")
        .await?;
    look(&umpire, "taken").await?;
    umpire.tap("link", &last).await?;
    let teams = chosen(&umpire).await?;
    let game = &pairings.games[0];
    ensure!(
        teams == [game.guest.clone(), game.home.clone()],
        "{teams:?}"
    );
    ensure!(
        !teams.iter().any(|team| team == MILL_LANE.team),
        "{teams:?}"
    );
    look(&umpire, "chosen").await?;

    // On to the first pitch, with players tapped from the rosters.
    umpire.tap("button", &is("Line-up cards")).await?;
    for (team, on) in teams.iter().zip(["Next card", "Toss for home"]) {
        let card = [QUAY_STREET, TRAM_YARD]
            .into_iter()
            .find(|c| c.team == team);
        for number in card.context("one of the two")?.hitters {
            umpire
                .tap_in(&is("Roster"), "button", &starts(number.to_string()))
                .await?;
        }
        umpire.tap("button", &is(on)).await?;
    }
    let home = is(format!("{} home", teams[1]));
    umpire.tap("button", &home).await?;
    umpire.tap("button", &is("Play ball")).await?;
    umpire
        .see_in(&is("Record"), "button", &starts("Record"))
        .await?;
    umpire.picture("begun").await?;
    for phone in [&desk, &umpire] {
        phone.quiet().await?;
    }
    Ok(())
}
