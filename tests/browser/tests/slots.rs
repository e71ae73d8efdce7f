//! Nothing on the calling screen moves under the thumb, is cut, spills, overlaps or is too small: every
//! state, at the sizes of phones upright and on their side, a tablet and a laptop, with larger text.

use std::collections::BTreeMap;

use anyhow::{Result, bail, ensure};
use browser::{Phone, SMALL, Site, Size, TRAM_YARD, fresh_game, is, starts, with};
use engine::play::{Base, BatterFate, Call, Goal, RunnerFate};

const SIZES: [Size; 6] = [
    (320, 568),
    (360, 740),
    (390, 844),
    (740, 360),
    (768, 1024),
    (1280, 800),
];
/// Of the usual size of text, in percent.
const TEXTS: [u32; 3] = [100, 130, 200];

const TEAM: browser::CardInHand<'static> = browser::CardInHand {
    team: "Quay Street",
    hitters: [21, 22, 23, 24, 25],
    reserves: [26, 27, 28],
};

/// One screen in one state at one size; collects what is wrong.
#[derive(Default)]
struct Findings {
    bad: Vec<String>,
    places: BTreeMap<(Size, u32), BTreeMap<String, String>>,
    taps: u64,
    said: u64,
}

impl Findings {
    fn add(&mut self, state: &str, size: Size, text: u32, bad: Vec<String>) {
        let place = format!("{state}, {} by {}, text {text} %", size.0, size.1);
        self.bad
            .extend(bad.into_iter().map(|what| format!("{place}: {what}")));
    }

    /// What stands where it stood in every state before: all lanes, and the bottom row.
    fn hold(&mut self, state: &str, size: Size, text: u32, now: BTreeMap<String, String>) {
        let before = self.places.entry((size, text)).or_default();
        let mut moved = Vec::new();
        for (what, place) in now {
            match before.get(&what) {
                Some(was) if *was != place => {
                    moved.push(format!(
                        "{what} was at {was} in another state, is at {place}"
                    ));
                }
                Some(_) => {}
                None => {
                    before.insert(what, place);
                }
            }
        }
        self.add(state, size, text, moved);
    }
}

/// Looks at one state at every size; walks over the lanes where they are shown.
async fn look(phone: &Phone, found: &mut Findings, state: &str, walk: bool) -> Result<()> {
    for size in SIZES {
        for text in TEXTS {
            phone.fit(size, text).await?;
            let bad = phone.misfits().await?;
            found.add(state, size, text, bad);
            let places = phone.places().await?;
            found.hold(state, size, text, places);
            if text == 100 || size == (360, 740) {
                phone
                    .picture(&format!("{state}-{}x{}-{text}", size.0, size.1))
                    .await?;
            }
            if walk {
                let walked = phone.walk_lanes().await?;
                found.add(state, size, text, walked.bad);
                found.taps += walked.taps;
                found.said += walked.said;
            }
        }
    }
    phone.fit(SMALL, 100).await
}

#[tokio::test(flavor = "multi_thread")]
async fn nothing_moves_under_the_thumb() -> Result<()> {
    let site = Site::start()?;
    let phone = Phone::new("slots", SMALL).await?;
    // With every clock that a competition may have: none takes anything from the lanes.
    let clocks = [
        ("game-clock", "75 no-new-inning"),
        ("half-inning-clock", "90"),
        ("hit-clock", "20"),
        ("time-out-clock", "60"),
    ];
    phone.begin(&site, [&TEAM, &TRAM_YARD], &clocks).await?;
    let first = fresh_game(&TEAM, &TRAM_YARD)?;
    let mut found = Findings::default();
    let found_in = &mut found;
    look(&phone, found_in, "first-batter", true).await?;

    phone.reload().await?;
    let single = Call::new(BatterFate::safe(Goal::First));
    let (one, _) = phone.call(first, &single).await?;
    let (two, _) = phone
        .call(one, &Call::new(BatterFate::safe(Goal::Second)))
        .await?;
    look(&phone, found_in, "second-and-third", true).await?;
    phone.reload().await?;
    let stay = single
        .clone()
        .with_runner(Base::Third, RunnerFate::Holds)
        .with_runner(Base::Second, RunnerFate::Holds);
    let (loaded, _) = phone.call(two, &stay).await?;
    look(&phone, found_in, "loaded", true).await?;

    // The question of the third out: one caught, one home after it and one put out.
    phone.reload().await?;
    let caught = Call::new(BatterFate::Caught);
    let (loaded, _) = phone.call(loaded, &caught).await?;
    let asked = loaded.due();
    let home_after = caught
        .clone()
        .with_runner(Base::Third, RunnerFate::to(Goal::Home));
    phone.enter(&loaded, &home_after).await?;
    phone.tap_in(&with("on 2nd"), "button", &is("out")).await?;
    phone
        .see_in(&is("Third out"), "button", &starts("home first"))
        .await?;
    look(&phone, found_in, "question", true).await?;
    phone.reload().await?;

    for sheet in [
        asked.to_string(),
        loaded.bases()[Base::First]
            .map(|r| r.shirt.to_string())
            .unwrap_or_default(),
    ] {
        phone
            .tap("button", &with(format!(", how? {sheet}")))
            .await?;
        phone.see("button", &is("Back to the play")).await?;
        look(&phone, found_in, &format!("sheet-{sheet}"), false).await?;
        phone.tap("button", &is("Back to the play")).await?;
    }
    phone.tap("button", &is("More")).await?;
    look(&phone, found_in, "more", false).await?;
    phone.tap("button", &is("Who touched it")).await?;
    look(&phone, found_in, "touched", false).await?;
    phone.tap("button", &is("Back to the game")).await?;
    phone.tap("button", &is("More")).await?;
    phone.tap("button", &is("Stop the game")).await?;
    phone.tap("button", &is("thunder or lightning")).await?;
    phone.see("heading", &starts("Stopped")).await?;
    look(&phone, found_in, "stopped", false).await?;
    phone.tap("button", &is("Undo last")).await?;
    phone.shows(&loaded).await?;
    // A thunder stop that is taken back takes its clock with it, a moment after it is kept.
    phone
        .until("JSON.parse(localStorage.getItem('chalkbook-thunder') || '[]').length === 0")
        .await?;

    let mut game = loaded;
    while game.outs() > 0 {
        phone.enter(&game, &caught).await?;
        phone.record().await?;
        game = match game.apply(&caught) {
            Ok(played) => played.game,
            Err(refused) => bail!("{}", refused.objection),
        };
        phone.shows(&game).await?;
        // The batter due stands on third: who runs?
        if game.needs_courtesy_runner() {
            phone.see("heading", &with("is due and on")).await?;
            look(&phone, found_in, "runner-for-the-batter", false).await?;
            game = phone.ready(game).await?;
        }
    }
    phone.see("heading", &is("Change sides")).await?;
    look(&phone, found_in, "change-of-sides", false).await?;
    phone.tap("button", &is("More")).await?;
    phone.tap("button", &is("Forfeit")).await?;
    phone.tap("button", &is(TEAM.team)).await?;
    look(&phone, found_in, "forfeit", false).await?;
    phone.tap("button", &is("Record")).await?;
    phone.see("link", &is("Final statement")).await?;
    look(&phone, found_in, "over", false).await?;

    phone.quiet().await?;
    println!(
        "{} touches, {} of them met by a refusal or a question",
        found.taps, found.said
    );
    ensure!(found.taps > 500, "every button was to be touched");
    ensure!(found.said > 20, "refusals and the question were to be seen");
    ensure!(
        found.bad.is_empty(),
        "{} faults:\n{}",
        found.bad.len(),
        found.bad.join("\n")
    );
    Ok(())
}
