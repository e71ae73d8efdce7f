//! A whole day of four people with a phone each, a collector and the public page: the charter changes
//! twice in mid-event and one official misses a version, the network is cut and comes back, a slip is
//! settled, a second scorer sets up a game that the umpire keeps already. At the end all tell one table.

use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, ensure};
use browser::{
    CardInHand, Coast, Phone, QUAY_STREET, SMALL, TALL, TRAM_YARD, WIDE, game_by, is, starts, with,
};
use engine::game::Game;
use engine::log::{Author, Hash, Role};
use engine::play::{BatterFate, Call, Goal};
use engine::rules::Edition;
use engine::team::Side;
use faults::proxy::Weather;
use serde_json::{Value, json};

use super::midday::{card_text, games, versions};
use super::paper::{paste, received, shown_text};

const PROGRAM: &str = env!("CARGO_BIN_EXE_collector_in_test");
const OUT: Call = Call::new(BatterFate::OUT);
const CAUGHT: Call = Call::new(BatterFate::Caught);
const HOME: Call = Call::new(BatterFate::safe(Goal::Home));

pub const MILL_LANE: CardInHand<'static> = CardInHand {
    team: "Mill Lane",
    hitters: [31, 32, 33, 34, 35],
    reserves: [36, 37, 38],
};

/// Best first: whoever stands before the other wins by one run.
const TEAMS: [CardInHand<'static>; 3] = [QUAY_STREET, TRAM_YARD, MILL_LANE];

fn place(team: &str) -> Result<usize> {
    let found = TEAMS.iter().position(|t| t.team == team);
    found.with_context(|| format!("no team {team:?}"))
}

/// Everyone once and then a final, one inning a game, so that the day has an evening.
fn edition() -> Result<Edition> {
    let short = Edition::federation().with_all([("innings", "1")]);
    short.map_err(|why| anyhow::anyhow!("{why:?}"))
}

struct Person {
    phone: Phone,
    game: Game,
}

impl Person {
    async fn at(coast: &Coast, name: &str, size: browser::Size) -> Result<Self> {
        let phone = Phone::new(name, size).await?;
        phone.open(&coast.url()).await?;
        phone.offline_ready().await?;
        phone.reload().await?;
        phone.see("heading", &is("Chalkbook")).await?;
        let game = game_by(edition()?, &QUAY_STREET, &TRAM_YARD)?;
        Ok(Self { phone, game })
    }

    /// Takes a charter from the lines that another phone shows.
    async fn takes(&self, coast: &Coast, lines: &str, then: &str) -> Result<()> {
        self.phone.open(&format!("{}take", coast.url())).await?;
        paste(&self.phone, lines).await?;
        let same = starts("The words are the same");
        if then.is_empty() {
            return self.phone.tap("button", &same).await;
        }
        self.phone.read(then).await
    }

    /// From the event to the first pitch; the teams are there, nobody types them.
    async fn sets_up(&mut self) -> Result<()> {
        let mut sides = Vec::new();
        for label in ["One team", "The other team"] {
            let list = self.phone.see("combobox", &is(label)).await?;
            let value = "function() { return this.value; }";
            let from = Instant::now();
            // Those of the final come from the collector.
            let team = loop {
                let team = self.phone.on_node(&list, value, json!([])).await?;
                let team = team.as_str().unwrap_or_default().to_owned();
                if !team.is_empty() || from.elapsed() > Duration::from_secs(10) {
                    break team;
                }
                tokio::time::sleep(Duration::from_millis(50)).await;
            };
            sides.push(TEAMS[place(&team)?]);
        }
        self.phone.picture("new-game").await?;
        self.phone.tap("button", &is("Line-up cards")).await?;
        for (card, on) in sides.iter().zip(["Next card", "Toss for home"]) {
            self.phone.card(card).await?;
            self.phone.tap("button", &is(on)).await?;
        }
        let home = is(format!("{} home", sides[1].team));
        self.phone.tap("button", &home).await?;
        self.phone.tap("button", &is("Play ball")).await?;
        self.begins().await?;
        self.game = game_by(edition()?, &sides[0], &sides[1])?;
        Ok(())
    }

    /// Waits for the calling screen; what the charter says against the game does not stop it.
    async fn begins(&self) -> Result<()> {
        let from = Instant::now();
        loop {
            if self.phone.sees("button", &starts("Record")).await? {
                return Ok(());
            }
            if self.phone.sees("button", &is("Play all the same")).await? {
                self.phone.tap("button", &is("Play all the same")).await?;
            }
            ensure!(
                from.elapsed() < Duration::from_secs(10),
                "{}",
                self.phone.text().await?
            );
        }
    }

    async fn call(&mut self, call: &Call) -> Result<()> {
        self.phone.enter(&self.game, call).await?;
        self.phone.record_call(call).await?;
        self.game = match self.game.clone().apply(call) {
            Ok(played) => played.game,
            Err(refused) => anyhow::bail!("{}", refused.objection),
        };
        self.phone.shows(&self.game).await
    }

    /// The calls of one side's turn: a run if it is to win, then three outs, unless that ends the game.
    async fn turn(&mut self, wins: Side) -> Result<()> {
        let side = self.game.at_bat();
        if side == wins {
            self.call(&HOME).await?;
        }
        while self.game.ending().is_none() && self.game.at_bat() == side {
            self.call(&OUT).await?;
        }
        Ok(())
    }

    fn better(&self) -> Result<Side> {
        let of = |side: Side| place(self.game.fixture().lineups()[side].team());
        Ok(if of(Side::Guest)? < of(Side::Home)? {
            Side::Guest
        } else {
            Side::Home
        })
    }

    /// A whole game called alone, signed at its end.
    async fn plays_alone(&mut self, wins: Side) -> Result<()> {
        while self.game.ending().is_none() {
            self.turn(wins).await?;
            if self.game.ending().is_none() {
                self.game = self.phone.ready(self.game.clone()).await?;
            }
        }
        self.phone
            .tap("button", &is("second scorer not here"))
            .await?;
        self.phone.read("No second scorer was here").await?;
        self.phone.tap("link", &is("Final statement")).await?;
        self.phone
            .tap("button", &is("Sign the final statement"))
            .await?;
        self.phone.read("You have signed.").await
    }

    /// What is shown on the screen that a link leads to, as lines.
    async fn lines(&self, link: &str) -> Result<String> {
        self.phone.tap("link", &with(link)).await?;
        let lines = shown_text(&self.phone).await?;
        self.phone.tap("link", &is("Done")).await?;
        self.phone.gone("heading", &starts("Show ")).await?;
        Ok(lines)
    }

    /// Takes the other official's record where the screen offers it.
    async fn takes_record(&self, lines: &str) -> Result<()> {
        self.phone.tap("link", &with("Take theirs")).await?;
        paste(&self.phone, lines).await
    }

    async fn hears_signal(&self) -> Result<()> {
        let back = "dispatchEvent(new Event('online')), true";
        self.phone.evaluate(back).await?;
        Ok(())
    }
}

/// The form of the charter as typed before: the typing itself is counted elsewhere.
async fn typed(phone: &Phone, officials: &[(&Author, &str)]) -> Result<()> {
    let team = |t: &CardInHand<'_>| {
        let numbers = t.hitters.iter().chain(&t.reserves);
        let lines: Vec<String> = numbers.map(ToString::to_string).collect();
        json!({ "name": t.team, "roster": lines.join("\n") })
    };
    let official = |(o, role): &(&Author, &str)| {
        let key = Hash(*o.key.as_bytes()).to_string();
        json!({ "key": key, "name": o.name, "role": role })
    };
    let draft = json!({
        "name": "Harbour Cup", "date": "2026-06-13", "place": "The tram depot",
        "changes": [["innings", "1"]],
        "teams": TEAMS.iter().map(team).collect::<Vec<_>>(),
        "officials": officials.iter().map(official).collect::<Vec<_>>(),
        "plan": { "format": "final" },
    });
    let keep = format!(
        "localStorage.setItem('chalkbook-charter', {}), true",
        Value::String(draft.to_string())
    );
    phone.evaluate(&keep).await?;
    Ok(())
}

/// Waits until something holds at the collector.
async fn until(what: &str, mut holds: impl AsyncFnMut() -> Result<bool>) -> Result<()> {
    let from = Instant::now();
    while !holds().await? {
        ensure!(from.elapsed() < Duration::from_secs(30), "{what}");
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    Ok(())
}

/// The table on a screen: of each row team, won, lost, runs, allowed.
async fn table(phone: &Phone) -> Result<Vec<Vec<String>>> {
    let rows = "[...(document.querySelector('main table')?.tBodies[0]?.rows ?? [])].map(row => \
        [...row.cells].map(cell => cell.innerText.trim()))";
    let from = Instant::now();
    loop {
        let rows = phone.evaluate(rows).await?;
        let rows: Vec<Vec<String>> = serde_json::from_value(rows).unwrap_or_default();
        let games = |row: &Vec<String>| -> u32 {
            let numbers = row.iter().rev().skip(2).take(2);
            numbers.filter_map(|n| n.parse::<u32>().ok()).sum()
        };
        if rows.len() == TEAMS.len() && rows.iter().all(|row| games(row) == 2) {
            return Ok(rows);
        }
        ensure!(
            from.elapsed() < Duration::from_secs(20),
            "no whole table: {rows:?} of\n{}",
            phone.text().await?
        );
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
}

/// The same rows, the place before or beside the team left out.
fn plain(rows: &[Vec<String>]) -> Vec<String> {
    let one = |row: &Vec<String>| {
        let numbers = row[row.len() - 4..].join(" ");
        let team = &row[row.len() - 5];
        let team = team.trim_start_matches(|c: char| c.is_ascii_digit() || c == '=' || c == ' ');
        format!("{team} {numbers}")
    };
    rows.iter().map(one).collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_day_of_four_people_ends_in_one_table() -> Result<()> {
    let began = Instant::now();
    let mut coast = Coast::start(PROGRAM).await?;
    let organiser = Person::at(&coast, "day-organiser", WIDE).await?;
    let mut umpire = Person::at(&coast, "day-umpire", SMALL).await?;
    let mut scorer = Person::at(&coast, "day-scorer", TALL).await?;
    let mut late = Person::at(&coast, "day-late", SMALL).await?;

    // The organiser lists two officials and signs.
    let cards = [
        card_text(&umpire.phone, &coast.url(), "Jonas Reed", "Umpire").await?,
        card_text(&scorer.phone, &coast.url(), "Signe Vale", "Second scorer").await?,
    ];
    let read = |lines: &String| Author::from_bytes(&received(lines)?.1).map_err(anyhow::Error::msg);
    let (first, second) = (read(&cards[0])?, read(&cards[1])?);
    ensure!(second.role == Role::Scorer, "{:?}", second.role);
    typed(&organiser.phone, &[(&first, "umpire"), (&second, "scorer")]).await?;
    let form = format!("{}charter", coast.url());
    organiser.phone.open(&form).await?;
    organiser
        .phone
        .fill("textbox", &starts("Your name"), "Maren Holt")
        .await?;
    organiser.phone.press("Tab").await?;
    organiser.phone.read("4 games in the schedule.").await?;
    organiser
        .phone
        .tap("button", &is("Sign the charter"))
        .await?;
    organiser.phone.read("Signed and kept: version 1.").await?;
    let lines = organiser.lines("Show to another phone").await?;
    let chain = received(&lines)?.1;
    let event = engine::charter::SignedCharter::parse(&chain)?.hash();
    for person in [&umpire, &scorer, &late] {
        person.takes(&coast, &lines, "").await?;
    }
    umpire.phone.read("listed: Jonas Reed, umpire").await?;
    late.phone.read("This phone's key is not listed.").await?;
    coast.serve_event(&chain).await?;

    // Twice it changes: the late official is listed, then the place. The umpire misses the first change,
    // the second scorer both; the collector hears of each by itself.
    let card = card_text(&late.phone, &coast.url(), "Lena Vik", "Umpire").await?;
    let renew = format!("{form}?event={event}");
    organiser.phone.open(&renew).await?;
    organiser
        .phone
        .tap("link", &is("Take an official's card"))
        .await?;
    paste(&organiser.phone, &card).await?;
    organiser
        .phone
        .tap("button", &is("The words are the same: list them"))
        .await?;
    organiser.phone.read("Lena Vik is listed.").await?;
    organiser.phone.picture("listed").await?;
    organiser
        .phone
        .tap("button", &is("Sign the charter"))
        .await?;
    organiser.phone.read("Signed and kept: version 2.").await?;
    let lines = organiser.lines("Show to another phone").await?;
    late.takes(&coast, &lines, "Newer version taken: version 2.")
        .await?;
    organiser.phone.open(&renew).await?;
    organiser
        .phone
        .fill("textbox", &is("Where"), "The tram depot, hall 2")
        .await?;
    organiser
        .phone
        .tap("button", &is("Sign the charter"))
        .await?;
    organiser.phone.read("Signed and kept: version 3.").await?;
    let lines = organiser.lines("Show to another phone").await?;
    umpire
        .takes(&coast, &lines, "Newer version taken: version 3.")
        .await?;
    until("three versions at the collector", async || {
        Ok(versions(&coast, event).await? == 3)
    })
    .await?;
    println!("set up after {:.0} s", began.elapsed().as_secs_f64());

    // The network is gone. Game 1 on two phones, with a slip: out, or caught?
    coast.proxy.turn(Weather::Gone);
    let at_event = format!("{}event?event={event}", coast.url());
    umpire.phone.tap("link", &starts("Game 1,")).await?;
    umpire.sets_up().await?;
    umpire.phone.tap("button", &is("More")).await?;
    umpire.phone.tap("link", &is("Second phone")).await?;
    let lines = umpire.lines("Show this game to a second phone").await?;
    umpire.phone.tap("link", &is("Back")).await?;
    scorer.phone.open(&format!("{}take", coast.url())).await?;
    paste(&scorer.phone, &lines).await?;
    scorer
        .phone
        .tap("button", &is("Keep my own record"))
        .await?;
    scorer.begins().await?;
    scorer.game = umpire.game.clone();
    let wins = umpire.better()?;
    umpire.call(&OUT).await?;
    scorer.call(&CAUGHT).await?;
    for person in [&mut umpire, &mut scorer] {
        person.turn(wins).await?;
        person.phone.tap("button", &is("not the same")).await?;
    }
    let lines = scorer.lines("Show mine").await?;
    // Shown, it is the other of the two steps that is offered.
    let next = "document.querySelector('.pair .lit')?.innerText === '2 Take theirs'";
    scorer.phone.until(next).await?;
    umpire.takes_record(&lines).await?;
    umpire
        .phone
        .see("region", &is("Difference to settle"))
        .await?;
    umpire.phone.tap("button", &starts("yours")).await?;
    umpire.phone.read("Everything is settled here").await?;
    let lines = umpire.lines("Show mine").await?;
    scorer.takes_record(&lines).await?;
    scorer.phone.tap("button", &is("Agree and record")).await?;
    scorer
        .phone
        .read("Both records tell the same game.")
        .await?;
    for person in [&mut umpire, &mut scorer] {
        person.phone.tap("button", &is("Same on both")).await?;
        person.begins().await?;
        person.turn(wins).await?;
        person.phone.tap("button", &is("Same on both")).await?;
        person.phone.read("The codes were the same").await?;
        person.phone.tap("link", &is("Final statement")).await?;
        person
            .phone
            .tap("button", &is("Sign the final statement"))
            .await?;
    }
    for (from, to, role) in [(&umpire, &scorer, "umpire"), (&scorer, &umpire, "scorer")] {
        let lines = from.lines("Show mine").await?;
        to.takes_record(&lines).await?;
        // Led to the one place that says what is left.
        to.phone.see("list", &is("Signatures")).await?;
        let co_sign = is(format!("Co-sign the statement of the {role}"));
        to.phone.tap("button", &co_sign).await?;
    }
    umpire.phone.read("Nothing is left to sign.").await?;
    umpire.phone.picture("signed").await?;

    // Game 2 by the late official, under the version that the others skipped.
    late.phone.tap("link", &starts("Game 2,")).await?;
    late.sets_up().await?;
    let wins = late.better()?;
    late.plays_alone(wins).await?;
    println!("two games after {:.0} s", began.elapsed().as_secs_f64());

    // The signal is back: both games are with the public.
    coast.proxy.turn(Weather::Fair);
    for person in [&umpire, &scorer, &late] {
        person.hears_signal().await?;
    }
    until("both games at the collector", async || {
        let all = games(&coast, event).await?;
        let states: Vec<_> = all.iter().filter_map(|g| g["state"].as_str()).collect();
        Ok(states.contains(&"agreed and co-signed") && states.contains(&"single record"))
    })
    .await?;

    // Game 3: the umpire keeps it, and so does the second scorer, as another game that ends otherwise.
    umpire.phone.open(&at_event).await?;
    umpire.phone.tap("link", &starts("Game 3,")).await?;
    umpire.sets_up().await?;
    let wins = umpire.better()?;
    umpire.plays_alone(wins).await?;
    scorer.phone.open(&at_event).await?;
    scorer.phone.tap("link", &starts("Game 3,")).await?;
    scorer
        .phone
        .see("heading", &is("Does the umpire keep it already?"))
        .await?;
    scorer
        .phone
        .tap("button", &starts("no umpire keeps it"))
        .await?;
    scorer.sets_up().await?;
    scorer.plays_alone(wins.other()).await?;
    until("the rival at the collector", async || {
        let all = games(&coast, event).await?;
        Ok(all.iter().filter(|g| g["state"] == "disputed").count() == 2)
    })
    .await?;
    let page = coast.get(&format!("/results/{event}")).await?;
    let page = String::from_utf8_lossy(&page.body).into_owned();
    let fair = "Kept twice with different results; the organiser decides";
    ensure!(page.contains(fair), "{page}");

    // The organiser's desk asks the collector by itself, and the umpire's game is proposed.
    organiser
        .phone
        .open(&format!("{}desk?event={event}", coast.url()))
        .await?;
    organiser
        .phone
        .read("3 of 4 scheduled games are in")
        .await?;
    organiser
        .phone
        .tap("link", &with("Kept as 2 games"))
        .await?;
    let stands = starts("Umpire's record stands");
    let choice = organiser.phone.see("radio", &stands).await?;
    organiser.phone.touch(&choice).await?;
    let why = "The second scorer took it for another game.";
    organiser.phone.fill("textbox", &is("Why"), why).await?;
    organiser
        .phone
        .tap("button", &is("Sign the decision"))
        .await?;
    organiser.phone.read("Decided by the organiser").await?;
    organiser.phone.picture("decided").await?;
    until("the decision at the collector", async || {
        let all = games(&coast, event).await?;
        Ok(all.iter().any(|g| g["decided"].is_string()))
    })
    .await?;
    println!("decided after {:.0} s", began.elapsed().as_secs_f64());

    // The final: its teams come from the collector.
    umpire.phone.open(&at_event).await?;
    umpire.phone.tap("link", &starts("Game 4,")).await?;
    umpire
        .phone
        .read("Who plays follows from the results")
        .await?;
    umpire.sets_up().await?;
    let sides = Side::BOTH.map(|s| umpire.game.fixture().lineups()[s].team().to_owned());
    ensure!(
        sides.iter().all(|team| team != MILL_LANE.team),
        "the final is between {sides:?}"
    );
    let wins = umpire.better()?;
    umpire.plays_alone(wins).await?;
    until("the final at the collector", async || {
        Ok(games(&coast, event)
            .await?
            .iter()
            .filter(|g| g["over"] == true)
            .count()
            == 5)
    })
    .await?;

    // One table, wherever one looks.
    let public = Phone::new("day-public", WIDE).await?;
    public
        .open(&format!("{}results/{event}", coast.direct()))
        .await?;
    let wanted = plain(&table(&public).await?);
    let expected = [
        "Quay Street 2 0 2 0",
        "Tram Yard 1 1 1 1",
        "Mill Lane 0 2 0 2",
    ];
    ensure!(wanted == expected, "{wanted:?}");
    public.read("Quay Street").await?;
    public.picture("public").await?;
    let csv = coast
        .get(&format!("/api/events/{event}/standings-1.csv"))
        .await?;
    let csv = String::from_utf8_lossy(&csv.body).into_owned();
    for line in expected {
        let (team, numbers) = line.split_at(line.find(char::is_numeric).context("numbers")?);
        let row = csv.lines().find(|l| l.contains(team.trim()));
        let cells: Vec<&str> = row.with_context(|| csv.clone())?.split(',').collect();
        for number in numbers.split(' ') {
            ensure!(cells.contains(&number), "{line} is not in {csv}");
        }
    }
    for (who, person) in [
        ("organiser", &organiser),
        ("umpire", &umpire),
        ("scorer", &scorer),
        ("late", &late),
    ] {
        person
            .phone
            .open(&format!("{}desk?event={event}&part=tables", coast.url()))
            .await?;
        let shown = plain(&table(&person.phone).await.with_context(|| who)?);
        ensure!(shown == wanted, "{who}: {shown:?}");
        person.phone.picture("tables").await?;
        person.phone.quiet().await?;
    }
    println!("the day took {:.0} s", began.elapsed().as_secs_f64());
    Ok(())
}
