//! Records that are well signed and absurd, in three time zones at the ends of the world: names of the most
//! bytes in every direction of writing, clocks at the limits of the format, the most entries, hundreds of
//! runs. Every screen says something, rolls nowhere, and works on.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result, anyhow, ensure};
use browser::{Phone, Site, is, starts};
use engine::charter::{Charter, Privacy, Scheduled, Team};
use engine::game::Notice;
use engine::link::{Kind, Sender, SymbolSize, text};
use engine::log::{
    Author, Body, Care, Chain, Close, Crew, Decision, Disposition, Event, GameMark, GameRecord,
    Incident, LogFile, Opening, OutOfTime, ReceiptClaim, Role, SecretKey, Setup,
};
use engine::play::{BatterFate, Call, Goal};
use engine::rules::Edition;
use engine::team::{BySide, Card, Player, Position, Shirt, Side};
use serde_json::json;

use crate::hands::{choose, choose_new};

/// As far as clocks on walls are from one another, and one half an hour off.
const ZONES: [&str; 3] = [
    "Pacific/Kiritimati",
    "America/St_Johns",
    "Pacific/Pago_Pago",
];
/// The first and the last moment that a log may name.
const TIMES: [u64; 2] = [*OutOfTime::ALLOWED_MS.start(), *OutOfTime::ALLOWED_MS.end()];

/// A text of at most so many bytes: no spaces, right to left, marks upon marks, joined pictures, both
/// directions at once, and letters that are wide.
fn odd(n: usize, most: usize) -> String {
    let piece = [
        "W",
        "السلامعليكم ",
        "e\u{301}\u{323}\u{36b}\u{36b}\u{36b}",
        "👩‍🚒👨‍👩‍👧‍👦",
        "אב12-34 ",
        "﷽",
        "a",
        "می‌خواهم ",
    ][n % 8];
    let mut text = String::new();
    while text.len() + piece.len() <= most - 3 {
        text.push_str(piece);
    }
    // No two are the same.
    text + &n.to_string()
}

/// A card with the most players that a log keeps.
fn card(side: usize, shirts: u8) -> Card {
    let shirts = (shirts..shirts + 8).filter_map(Shirt::new);
    let mut players = shirts.map(|shirt| {
        let name = odd(usize::from(shirt.get()), Setup::NAME_LIMIT);
        Player::new(shirt, name)
    });
    Card::new(odd(side, Setup::NAME_LIMIT), players.by_ref().take(5))
        .with_positions(Position::ALL)
        .with_reserves(players)
}

fn author(key: &SecretKey, n: usize, role: Role) -> Author {
    Author::new(key.public(), odd(n, Setup::NAME_LIMIT), role)
}

fn key(n: u8) -> SecretKey {
    SecretKey::from_random(&[n; 32])
}

/// An edition in which nothing ends a game but its innings.
fn endless() -> Result<Edition> {
    let edition = Edition::federation();
    edition
        .with_all([("run-ahead", "none")])
        .map_err(|why| anyhow!("{why}"))
}

fn setup(mark: u8, charter: &Charter, starts: u64) -> Result<Setup> {
    let cards = BySide {
        guest: card(0, 10),
        home: card(1, 50),
    };
    Ok(Setup {
        title: Some(odd(2, Setup::TITLE_LIMIT)),
        court: Some(odd(3, Setup::TITLE_LIMIT)),
        starts: Some(starts),
        ..Setup::new(GameMark([mark; 16]), cards, &charter.editions[0].edition()?)
    })
}

/// A record whose clock jumps between the limits of the format.
struct Absurd {
    record: GameRecord,
    key: SecretKey,
}

impl Absurd {
    fn open(setup: Setup, key: SecretKey, role: Role) -> Result<Self> {
        let opening = Opening::new(setup, author(&key, 4, role));
        let entry = GameRecord::draft_opening(opening, TIMES[1])?.sign(&key)?;
        Ok(Self {
            record: GameRecord::open(entry)?,
            key,
        })
    }

    fn add(&mut self, body: Body) -> Result<()> {
        let at = self.record.next_seq() % 2;
        let draft = self.record.draft(body, TIMES[usize::from(at == 0)])?;
        self.record.push(draft.sign(&self.key)?)?;
        Ok(())
    }

    /// Batters who all come home, with words of the most bytes between them.
    fn play(&mut self, entries: u64) -> Result<()> {
        let home = Call::new(BatterFate::safe(Goal::Home));
        while self.record.next_seq() < entries {
            let n = usize::try_from(self.record.next_seq())?;
            if n % 40 == 0 {
                let text = odd(n / 40, Notice::TEXT_LIMIT);
                self.add(Body::Event(Event::Notice(Notice::Remark { text })))?;
            }
            let event = self.record.history().next_play(home.clone());
            self.add(Body::Event(event))?;
        }
        Ok(())
    }
}

/// The event: eight teams, games at the first and last moment, an organiser, two officials and a collector.
fn charter(organiser: &SecretKey) -> Result<Charter> {
    let teams = (0..8).map(|n| {
        let card = card(n, 10);
        Team {
            roster: card.players().cloned().collect(),
            name: card.team,
        }
    });
    let teams: Vec<Team> = teams.collect();
    let fixtures = (0..60).map(|n: u32| {
        let at = usize::try_from(n)?;
        Ok(Scheduled {
            number: u32::MAX - n,
            title: odd(at, Setup::TITLE_LIMIT),
            guest: Some(teams[at % 8].name.clone()),
            home: Some(teams[(at + 1) % 8].name.clone()),
            court: odd(at % 3, Setup::TITLE_LIMIT),
            starts: TIMES[at % 2],
            edition: 0,
        })
    });
    Ok(Charter {
        place: odd(6, Setup::TITLE_LIMIT),
        editions: vec![(&endless()?).into()],
        fixtures: fixtures.collect::<Result<_>>()?,
        teams,
        officials: vec![
            author(&key(1), 5, Role::Umpire),
            author(&key(2), 7, Role::Scorer),
        ],
        privacy: Privacy::Names,
        collectors: vec![author(&key(8), 1, Role::Other)],
        ..Charter::new(
            &odd(1, Setup::NAME_LIMIT),
            "2099-12-31",
            author(organiser, 3, Role::Organiser),
        )
    })
}

/// Everything in files, as it is chosen at the desk; the setup of the last game; the second official's record of it.
struct Files {
    all: Vec<PathBuf>,
    fixture: PathBuf,
    theirs: PathBuf,
    games: Vec<String>,
    event: String,
}

fn files(folder: &Path) -> Result<Files> {
    let put = |name: &str, bytes: &[u8]| -> Result<PathBuf> {
        let path = folder.join(name);
        fs::write(&path, bytes)?;
        Ok(path)
    };
    let organiser = key(9);
    let charter = charter(&organiser)?;
    let draft = charter
        .clone()
        .draft()
        .map_err(|wrong| anyhow!("{wrong:?}"))?;
    let signed = draft.sign(&organiser)?;
    let of_event = |mark: u8, fixture: u32| -> Result<Setup> {
        let mut setup = setup(mark, &charter, TIMES[usize::from(mark % 2)])?;
        setup.charter = Some(signed.hash());
        setup.fixture_number = Some(u32::MAX - fixture);
        Ok(setup)
    };
    let mut all = vec![put("absurd.charter", signed.bytes())?];
    let (mut records, mut games) = (Vec::new(), Vec::new());
    // The most entries; two that differ; one by the organiser alone.
    let longest = u64::try_from(Chain::ENTRIES_LIMIT)? - 2;
    for (mark, by, entries) in [(1, 1, longest), (2, 1, 30), (2, 2, 60), (3, 1, 3)] {
        let role = if by == 1 { Role::Umpire } else { Role::Scorer };
        let mut one = Absurd::open(of_event(mark, u32::from(mark))?, key(by), role)?;
        one.add(Body::Crew(Crew {
            home: Some(odd(1, 120)),
            first: Some(odd(3, 120)),
            ..Crew::default()
        }))?;
        one.add(Body::Care(Care {
            item: odd(1, 500),
            who: odd(4, 120),
            in_order: false,
        }))?;
        one.play(entries)?;
        if mark == 2 {
            one.add(Body::Incident(Incident {
                half: None,
                player: None,
                other: odd(1, 120),
                what: odd(3, 500),
                witness: odd(4, 120),
                first_aid: odd(0, 500),
                stopped_min: u16::MAX,
            }))?;
            let text = odd(0, Notice::TEXT_LIMIT);
            one.add(Body::Event(Event::Notice(Notice::Protest {
                side: Side::Home,
                text,
            })))?;
        }
        if mark == 1 {
            let reason = odd(5, Notice::TEXT_LIMIT);
            one.add(Body::Event(Event::Notice(Notice::Forfeit {
                side: Side::Home,
                text: reason,
            })))?;
            one.add(one.record.statement())?;
        }
        games.push(one.record.chain().game().to_string());
        records.push(one.record);
    }
    let mut office = Absurd::open(of_event(3, 3)?, organiser, Role::Organiser)?;
    office.add(Body::Decision(Decision {
        considered: Vec::new(),
        decided: Disposition::Score {
            runs: BySide {
                guest: u16::MAX,
                home: u16::MAX - 1,
            },
            close: Close::Extra,
        },
        reason: odd(1, Notice::TEXT_LIMIT),
    }))?;
    records.push(office.record);
    for (n, record) in records.iter().enumerate() {
        all.push(put(
            &format!("{n}.playlog"),
            &LogFile::write([record.chain()]),
        )?);
    }
    let last = Absurd::open(of_event(4, 4)?, key(2), Role::Scorer)?;
    let mut theirs = last;
    theirs.play(300)?;
    let setup = &theirs.record.chain().opening().setup;
    let sender = Sender::new(Kind::Fixture, &setup.to_bytes(), SymbolSize::MAX)?;
    let chain = theirs.record.chain();
    games.push(chain.game().to_string());
    let claim = ReceiptClaim {
        log: chain.name(),
        entries: chain.next_seq(),
        head: chain.head(),
        received_ms: TIMES[0],
        collector: key(8).public(),
    };
    let receipt = claim.sign(&key(8)).context("a receipt")?.bytes().to_vec();
    Ok(Files {
        all,
        fixture: put("fixture.txt", text::lines(&sender, 0).as_bytes())?,
        theirs: put(
            "theirs.playlog",
            &[LogFile::write([chain]), receipt].concat(),
        )?,
        games,
        event: signed.hash().to_string(),
    })
}

/// One screen as it stands: alive, quiet, no wider than the phone.
async fn look(phone: &Phone, screen: &str, wrong: &mut Vec<String>) -> Result<()> {
    phone.settled().await?;
    phone.picture(screen).await?;
    if let Err(why) = phone.quiet().await {
        wrong.push(format!("{screen}: {why:#}"));
    }
    if let Some(why) = phone.too_small().await? {
        wrong.push(format!("{screen}: {why}"));
    }
    let head = "document.querySelector('.page > .head')?.getBoundingClientRect().height ?? 0";
    let head = phone.evaluate(head).await?.as_f64().unwrap_or(f64::MAX);
    if head > 140.0 {
        wrong.push(format!("{screen}: its title takes {head} of 568 pixels"));
    }
    Ok(())
}

/// Goes to a screen as a link does, without loading the app anew, and waits until it has its heading and
/// all of it is read.
async fn go(phone: &Phone, to: &str) -> Result<()> {
    let turn = format!(
        "(() => {{ const a = document.createElement('a'); a.href = '/{to}'; document.body.append(a); a.click(); \
         a.remove(); return true }})()"
    );
    phone.until(&turn).await?;
    phone
        .until(&format!(
            "location.pathname + location.search === '/{to}' && document.querySelector('h1') !== null && \
             document.body.innerText.trim().length > 20 && !document.querySelector('progress') && \
             !/(Opening the game|Reading)/.test(document.body.innerText)"
        ))
        .await
        .with_context(|| to.to_owned())
}

#[tokio::test(flavor = "multi_thread")]
async fn signed_and_absurd_records_break_no_screen_in_any_time_zone() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let files = files(folder.path())?;
    let site = Site::start()?;
    let phone = Phone::new("absurd", (320, 568)).await?;
    let zone = async |id: &str| {
        let params = json!({ "timezoneId": id });
        phone
            .protocol("Emulation.setTimezoneOverride", params)
            .await
    };
    let mut wrong = Vec::new();
    zone(ZONES[0]).await?;
    phone.open(&format!("{}desk?part=in", site.url())).await?;
    choose_new(&phone, &files.all).await?;
    phone
        .read(&format!("{} files are kept.", files.all.len()))
        .await?;
    look(&phone, "taken-in", &mut wrong).await?;
    // One's own record of an absurd game, gone on with from another's.
    go(&phone, "take").await?;
    phone.tap("button", &is("File")).await?;
    choose(&phone, "The file from the other phone", &[files.fixture]).await?;
    phone.see("button", &is("Keep my own record")).await?;
    look(&phone, "join", &mut wrong).await?;
    phone.tap("button", &is("Keep my own record")).await?;
    phone.see("button", &is("Play all the same")).await?;
    look(&phone, "not-as-the-charter", &mut wrong).await?;
    phone.tap("button", &is("Play all the same")).await?;
    phone
        .see_in(&is("Record"), "button", &starts("Record"))
        .await?;
    let own = &files.games[4];
    go(&phone, &format!("take?game={own}")).await?;
    phone.tap("button", &is("File")).await?;
    choose(&phone, "The file from the other phone", &[files.theirs]).await?;
    phone.tap("button", &is("Go on from their record")).await?;
    phone.gone("button", &is("Go on from their record")).await?;

    let event = &files.event;
    let mut screens = vec![
        ("home", String::new()),
        ("settings", "settings".into()),
        ("events", "events".into()),
        ("event", format!("event?event={event}")),
        ("new-version", format!("charter?event={event}")),
        ("delivery", "delivery".into()),
        ("desk", "desk".into()),
        ("desk-event", format!("desk?event={event}")),
        ("desk-tables", format!("desk?event={event}&part=tables")),
        ("desk-in", format!("desk?event={event}&part=in")),
        ("desk-out", format!("desk?event={event}&part=out")),
        (
            "desk-none",
            format!("desk?event={event}&fixture={}", u32::MAX),
        ),
        ("new", format!("new?event={event}&fixture={}", u32::MAX)),
    ];
    for (n, game) in files.games[..4].iter().enumerate() {
        let names = [
            "desk-longest",
            "desk-differs",
            "desk-differs-again",
            "desk-decided",
        ];
        screens.push((names[n], format!("desk?event={event}&game={game}")));
    }
    for (name, way) in [
        ("call", "call?"),
        ("story", "story?"),
        ("statement", "statement?"),
        ("cross", "cross?"),
        ("umpires", "officials?show=umpires&"),
        ("incident", "officials?show=incident&"),
        ("protest", "officials?show=protest&"),
        ("checks", "care?show=checks&"),
        ("thunder", "care?show=thunder&"),
    ] {
        screens.push((name, format!("{way}game={own}")));
    }
    for id in ZONES {
        zone(id).await?;
        phone.open(&site.url()).await?;
        let here = "Intl.DateTimeFormat().resolvedOptions().timeZone";
        phone.until(&format!("{here} === '{id}'")).await?;
        phone.see("heading", &is("Chalkbook")).await?;
        let city = id.rsplit('/').next().unwrap_or(id);
        for (name, to) in &screens {
            go(&phone, to).await?;
            look(&phone, &format!("{city}-{name}"), &mut wrong).await?;
        }
        // The longest record, judged.
        go(&phone, "check").await?;
        choose(&phone, "Files to check", &files.all).await?;
        phone.read("every signature good").await?;
        look(&phone, &format!("{city}-check"), &mut wrong).await?;
    }
    // It works on: another play is recorded.
    go(&phone, &format!("call?game={own}")).await?;
    phone
        .tap_in(&is("Record"), "button", &starts("Record"))
        .await?;
    ensure!(wrong.is_empty(), "{}", wrong.join("\n\n"));
    Ok(())
}
