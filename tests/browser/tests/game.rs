//! A whole game on a phone with no signal, and everything that may happen to the phone meanwhile.

use std::sync::Arc;

use anyhow::{Context as _, Result, ensure};
use browser::{
    Phone, QUAY_STREET, Rng, SMALL, Site, TALL, TRAM_YARD, fresh_game, is, likely_call, starts,
    with,
};
use engine::game::{Game, Notice};
use engine::log::{Amendment, Correction, Event, History};
use engine::play::{Base, BatterFate, Call, Goal, RunnerFate};
use engine::team::{BySide, Shirt, Side};

/// A phone on which the app is kept, and then no signal: the server is gone.
async fn phone_without_signal(name: &str) -> Result<(Site, Phone)> {
    let (mut site, phone) = Phone::on_site(name, SMALL).await?;
    phone.offline_ready().await?;
    site.stop();
    phone.reload().await?;
    Ok((site, phone))
}

#[tokio::test(flavor = "multi_thread")]
async fn a_whole_game_without_a_signal() -> Result<()> {
    let (_site, phone) = phone_without_signal("whole-game").await?;
    phone.see("heading", &is("Chalkbook")).await?;
    phone.picture("games-empty").await?;
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    phone.picture("first-batter").await?;

    let mut game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    phone.shows(&game).await?;
    let mut rng = Rng::with_seed(7);
    let mut plays = 0;
    while game.ending().is_none() {
        let call = likely_call(&game, &mut rng);
        (game, _) = phone
            .call(game, &call)
            .await
            .with_context(|| format!("play {}", plays + 1))?;
        plays += 1;
        if plays % 12 == 0 {
            phone.picture(&format!("after-{plays}-plays")).await?;
        }
    }
    phone.picture("over").await?;
    let winner = game
        .winner()
        .map(|side| game.fixture().lineups()[side].team().to_owned());
    phone
        .read(&format!("{} win", winner.context("a game has a winner")?))
        .await?;

    phone.tap("link", &is("Final statement")).await?;
    for side in Side::BOTH {
        phone.read(game.fixture().lineups()[side].team()).await?;
    }
    phone.picture("statement").await?;

    // It is all there again after the page is loaded anew, from the list too.
    phone.reload().await?;
    phone.read(&game.score()[Side::Home].to_string()).await?;
    phone.quiet().await?;
    println!("a whole game: {plays} plays, {} touches", phone.taps());
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn ten_deaths_lose_no_confirmed_call() -> Result<()> {
    let (site, mut phone) = phone_without_signal("ten-deaths").await?;
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    let address = phone.address().await?;
    let mut game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    let mut rng = Rng::with_seed(11);
    let mut kept = 0;
    for death in 1..=10 {
        for _ in 0..rng.u8(..4) {
            let call = likely_call(&game, &mut rng);
            (game, _) = phone.call(game, &call).await?;
        }
        // Somewhere between the touch on the button and well after it.
        let call = likely_call(&game, &mut rng);
        phone.enter(&game, &call).await?;
        let after = game
            .clone()
            .apply(&call)
            .map_err(|refused| anyhow::anyhow!("{}", refused.objection))?
            .game;
        phone.record_call(&call).await?;
        tokio::time::sleep(std::time::Duration::from_millis(rng.u64(..25))).await;
        // One quick look, so that the death comes right after it.
        let shown = phone.text().await?;
        let confirmed = shown.contains(&format!("At bat {}", after.due()));
        phone.die_and_start_again().await?;
        phone.open(&address).await?;
        phone.see("button", &starts("")).await?;
        // What was confirmed is there; the last touch may or may not have been in time.
        let from = std::time::Instant::now();
        let now = loop {
            if phone.differs_from(&after).await?.is_none() {
                break Some(after.clone());
            }
            if !confirmed && phone.differs_from(&game).await?.is_none() {
                break Some(game.clone());
            }
            if from.elapsed().as_secs() > 10 {
                break None;
            }
        };
        let now = now.with_context(|| {
            format!("death {death}: a call is lost (confirmed: {confirmed}, play {call:?})")
        })?;
        kept += usize::from(confirmed);
        game = phone.ready(now).await?;
        ensure!(
            game.ending().is_none(),
            "choose a seed whose game outlives ten deaths"
        );
    }
    phone.picture("after-ten-deaths").await?;
    phone.quiet().await?;
    drop(site);
    println!(
        "ten deaths: {kept} right after a confirmed call, {} before it was confirmed",
        10 - kept
    );
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn undo_takes_back_and_an_amendment_names_what_no_longer_fits() -> Result<()> {
    let (_site, phone) = phone_without_signal("undo-amend").await?;
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    let first = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    let (one, _) = phone
        .call(first.clone(), &Call::new(BatterFate::safe(Goal::First)))
        .await?;
    let (two, _) = phone
        .call(one.clone(), &Call::new(BatterFate::safe(Goal::Second)))
        .await?;

    // Two lanes now: 21 on third, 22 on second. The next hit brings both home.
    let both_home = Call::new(BatterFate::safe(Goal::First))
        .with_runner(Base::Third, RunnerFate::to(Goal::Home))
        .with_runner(Base::Second, RunnerFate::to(Goal::Home));
    phone.enter(&two, &both_home).await?;
    phone.record().await?;
    let three = apply(&two, &both_home)?;
    phone.shows(&three).await?;
    phone.picture("both-home").await?;

    phone.tap("button", &is("Undo last")).await?;
    phone.shows(&two).await?;
    phone.tap("button", &is("Undo last")).await?;
    phone.shows(&one).await?;
    phone.picture("taken-back").await?;
    // Taking back is an entry of its own: it outlives the page.
    phone.reload().await?;
    phone.shows(&one).await?;

    // 22 goes to second, 21 is on third and then scores. Was 21 not caught in the first place?
    let (two, _) = phone
        .call(one, &Call::new(BatterFate::safe(Goal::Second)))
        .await?;
    let scores = Call::new(BatterFate::Caught).with_runner(Base::Third, RunnerFate::to(Goal::Home));
    let (three, _) = phone.call(two, &scores).await?;
    ensure!(three.score()[Side::Guest] == 1, "21 has scored");
    let recorded = [
        Call::new(BatterFate::safe(Goal::First)),
        Call::new(BatterFate::safe(Goal::Second)),
        scores,
    ];
    let amended = amended(&recorded, Call::new(BatterFate::Caught))?;
    let objection = amended
        .conflicts()
        .next()
        .and_then(|play| play.result.as_ref().err());
    let objection = objection
        .context("the last play should not fit any more")?
        .to_string();
    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Play by play")).await?;
    phone.tap("button", &is("correct play 1")).await?;
    phone.tap("button", &is("caught")).await?;
    phone.read("One later play would no longer fit").await?;
    phone.read(&objection).await?;
    phone.picture("amendment-considered").await?;
    phone.tap("button", &is("Save correction")).await?;
    phone.read("One play no longer fits").await?;
    phone.read("no longer fits").await?;
    phone.picture("amended").await?;
    phone.tap("link", &is("Back")).await?;
    phone.shows(amended.game()).await?;
    phone.reload().await?;
    phone.shows(amended.game()).await?;
    phone.quiet().await
}

/// What the engine makes of plays of which the first is amended afterwards.
fn amended(calls: &[Call], first: Call) -> Result<History> {
    let fixture = fresh_game(&QUAY_STREET, &TRAM_YARD)?.fixture().clone();
    let mut history = History::new(Arc::new(fixture));
    for (seq, call) in (1..).zip(calls) {
        let play = history.next_play(call.clone());
        history.push(seq, play);
    }
    let change = Correction::Replace(first);
    history.push(
        calls.len() as u64 + 1,
        Event::Amend(Amendment { target: 1, change }),
    );
    Ok(history)
}

#[tokio::test(flavor = "multi_thread")]
async fn a_substitution_that_was_missed_is_put_in_where_it_belonged() -> Result<()> {
    let (_site, phone) = phone_without_signal("missed-notice").await?;
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    let first = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    let on_first = Call::new(BatterFate::safe(Goal::First));
    let (one, _) = phone.call(first, &on_first).await?;
    let second = one.due();
    phone.call(one, &on_first).await?;

    let reserve = Shirt::new(QUAY_STREET.reserves[0]).context("a reserve")?;
    let notice = Notice::Substitution {
        side: Side::Guest,
        out: second,
        by: reserve,
    };
    let fixture = fresh_game(&QUAY_STREET, &TRAM_YARD)?.fixture().clone();
    let mut history = History::new(Arc::new(fixture));
    for seq in 1..=2 {
        let play = history.next_play(on_first.clone());
        history.push(seq, play);
    }
    let change = Correction::NoticeBefore(notice.clone());
    history.push(3, Event::Amend(Amendment { target: 2, change }));

    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Play by play")).await?;
    phone.tap("button", &is("correct play 2")).await?;
    phone.tap("button", &starts("A notice was missed")).await?;
    phone.picture("what-was-missed").await?;
    phone.tap("button", &is("Substitution")).await?;
    phone.tap("button", &is(QUAY_STREET.team)).await?;
    phone.tap("button", &with(second.to_string())).await?;
    phone.tap("button", &with(reserve.to_string())).await?;
    phone.picture("missed-substitution").await?;
    phone.tap("button", &is("See what follows")).await?;
    let names = BySide {
        guest: QUAY_STREET.team,
        home: TRAM_YARD.team,
    };
    phone.read(&notice.sentence(&names)).await?;
    phone.read("Every later play still fits.").await?;
    phone.picture("missed-notice-considered").await?;
    phone.tap("button", &is("Save correction")).await?;
    phone.read(&notice.sentence(&names)).await?;
    phone.tap("link", &is("Back")).await?;
    phone.shows(history.game()).await?;
    phone.reload().await?;
    phone.shows(history.game()).await?;
    phone.quiet().await
}

fn apply(game: &Game, call: &Call) -> Result<Game> {
    match game.clone().apply(call) {
        Ok(played) => Ok(played.game),
        Err(refused) => anyhow::bail!("{}", refused.objection),
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn an_impossible_call_is_refused_with_the_reason() -> Result<()> {
    let (_site, phone) = phone_without_signal("refused").await?;
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    let first = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    let (one, _) = phone
        .call(first, &Call::new(BatterFate::safe(Goal::First)))
        .await?;

    // The batter to second past a runner who stays on first.
    let past =
        Call::new(BatterFate::safe(Goal::Second)).with_runner(Base::First, RunnerFate::Holds);
    let why = match one.clone().apply(&past) {
        Ok(_) => anyhow::bail!("the engine allows a runner to be passed"),
        Err(refused) => refused.objection.to_string(),
    };
    phone.enter(&one, &past).await?;
    phone.read(&why).await?;
    phone.picture("refused").await?;
    let button = phone.see_in(&is("Record"), "button", &with("fit")).await?;
    phone.touch_anyway(&button).await?;
    tokio::time::sleep(std::time::Duration::from_millis(300)).await;
    phone.reload().await?;
    phone.shows(&one).await?;
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_second_tab_reads_and_does_not_write() -> Result<()> {
    let (_site, phone) = phone_without_signal("second-tab").await?;
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    let game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    let (one, _) = phone
        .call(game, &Call::new(BatterFate::safe(Goal::First)))
        .await?;
    let address = phone.address().await?;

    let first = phone.second_tab().await?;
    phone.open(&address).await?;
    phone.read("another tab").await?;
    phone.picture("second-tab-reads").await?;
    ensure!(
        !phone.sees("button", &starts("Record")).await?,
        "the second tab must not record"
    );
    phone.tap("button", &is("Take over here")).await?;
    let (two, _) = phone.call(one, &Call::new(BatterFate::Caught)).await?;
    let second = phone.tab().await?;

    phone.turn_to(first.clone()).await?;
    phone.read("Another tab took this game over").await?;
    phone.picture("first-tab-lost").await?;
    ensure!(
        !phone.sees("button", &starts("Record")).await?,
        "the first tab must not record now"
    );
    phone.tap("button", &is("Take it back")).await?;
    phone.shows(&two).await?;
    phone.turn_to(second).await?;
    phone.read("Another tab took this game over").await?;
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_full_phone_says_so_and_loses_nothing() -> Result<()> {
    let (site, phone) = phone_without_signal("storage-full").await?;
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    let game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    let (one, _) = phone
        .call(game, &Call::new(BatterFate::safe(Goal::First)))
        .await?;

    phone.limit_storage(&site.url(), Some(1)).await?;
    // The browser remembers for half a minute how much room there was.
    tokio::time::sleep(std::time::Duration::from_secs(31)).await;
    let next = Call::new(BatterFate::Caught);
    phone.enter(&one, &next).await?;
    phone.record().await?;
    phone.see("alert", &starts("")).await?;
    phone.read("no room left").await?;
    phone.picture("full").await?;
    // Nothing is shown as recorded that is not.
    ensure!(
        phone.differs_from(&one).await?.is_none(),
        "the refused entry must change nothing"
    );

    phone.limit_storage(&site.url(), None).await?;
    phone.record().await?;
    let two = apply(&one, &next)?;
    phone.shows(&two).await?;
    phone.reload().await?;
    phone.shows(&two).await?;
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_new_version_waits_for_the_end_of_the_game_and_keeps_it() -> Result<()> {
    let (mut site, phone) = phone_without_signal("update-mid-game").await?;
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    let game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    let (one, _) = phone
        .call(game, &Call::new(BatterFate::safe(Goal::First)))
        .await?;

    site.start_again()?;
    site.renew("second")?;
    phone.new_version_waits().await?;
    // Even asked, it does not come while a game is open.
    phone
        .evaluate("dispatchEvent(new Event('chalkbook:take-update')), true")
        .await?;
    let (two, _) = phone
        .call(one, &Call::new(BatterFate::safe(Goal::First)))
        .await?;
    phone
        .until("document.querySelector('meta[name=mark]') === null")
        .await?;
    phone.reload().await?;
    phone.shows(&two).await?;
    let address = phone.address().await?;

    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Leave the game")).await?;
    phone.see("button", &is("Change to it now")).await?;
    phone.picture("update-offered").await?;
    phone.tap("button", &is("Change to it now")).await?;
    phone
        .until("document.querySelector('meta[name=mark]')?.content === 'second'")
        .await?;
    site.stop();
    phone.open(&address).await?;
    phone.shows(&two).await?;
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_play_by_keyboard_alone() -> Result<()> {
    let (mut site, phone) = Phone::on_site("keyboard", TALL).await?;
    phone.offline_ready().await?;
    site.stop();
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    let game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    let touches = phone.taps();
    phone.press("2").await?;
    phone.press("r").await?;
    let one = apply(&game, &Call::new(BatterFate::safe(Goal::Second)))?;
    phone.shows(&one).await?;
    // A key that comes while "Kept" is said is a slip, like a second touch.
    phone
        .see_in(&is("Record"), "button", &starts("Record"))
        .await?;
    phone.press("c").await?;
    phone.press("r").await?;
    phone
        .shows(&apply(&one, &Call::new(BatterFate::Caught))?)
        .await?;
    // What changed is said to those who do not see it.
    phone.see("status", &starts("")).await?;
    phone.read("caught").await?;
    phone
        .see_in(&is("Record"), "button", &starts("Record"))
        .await?;
    phone.press("u").await?;
    phone.shows(&one).await?;
    ensure!(phone.taps() == touches, "no touch was needed");
    phone.quiet().await
}
