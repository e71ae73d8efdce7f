//! How many touches a play takes: every call recorded in the demo day is called again on the screen,
//! and the touches are counted. The scorer's extras and the change of sides are not.

use anyhow::{Context as _, Result, ensure};
use browser::{CardInHand, Phone, QUAY_STREET, SMALL, TRAM_YARD, fresh_game, is};
use engine::game::{Game, Notice};
use engine::log::{GameRecord, LogFile, Role};
use engine::play::{
    Advance, Base, BatterFate, BeforeFirst, Call, Continuation, FurtherBase, Goal, PutOut, Reach,
    RunnerFate, TrailingOut,
};
use engine::team::Side;

/// The mean and a hard play may take so many (the project's own budgets).
const MEAN: f64 = 2.2;
const HARD: usize = 4;
fn numbers(record: &GameRecord, side: Side) -> Result<([u8; 5], [u8; 3])> {
    let card = record.history().game().fixture().lineups()[side].card();
    let hitters: Vec<u8> = card
        .hitters
        .iter()
        .map(|hitter| hitter.player.shirt.get())
        .collect();
    let reserves: Vec<u8> = card
        .reserves
        .iter()
        .map(|player| player.shirt.get())
        .collect();
    let five = hitters.try_into().ok().context("five hitters")?;
    Ok((five, reserves.try_into().ok().context("three reserves")?))
}

/// The plays of a recorded game that can be called again without what happened between them: what hangs on
/// a substitution, which is not made here, and what comes after it is left out.
fn calls_again(record: &GameRecord, mut game: Game) -> Vec<Call> {
    let mut calls = Vec::new();
    for play in record.history().plays() {
        let call = Call {
            scoring: None,
            note: None,
            hitter: None,
            ..play.call.clone()
        };
        let Ok(played) = game.apply(&call) else { break };
        game = played.game;
        calls.push(call);
        if let (true, Some(&by)) = (
            game.needs_courtesy_runner(),
            game.courtesy_runners().first(),
        ) {
            match game.note(&Notice::CourtesyRunner { by }) {
                Ok(with) => game = with,
                Err(_) => break,
            }
        }
    }
    calls
}

/// Every game kept on the phone, read from its storage as signed entries, game by game in order.
async fn recorded(phone: &Phone) -> Result<Vec<GameRecord>> {
    let bytes: Vec<u8> = phone.records().await?.into_values().flatten().collect();
    let file = LogFile::read(&bytes);
    ensure!(
        file.damage.is_none(),
        "the kept entries are damaged: {:?}",
        file.damage
    );
    let games = file.chains.into_iter().map(GameRecord::replay);
    games
        .map(|game| game.map_err(|why| anyhow::anyhow!("{why:?}")))
        .collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn plays_of_the_demo_day_take_few_touches() -> Result<()> {
    let (mut site, phone) = Phone::on_site("taps", SMALL).await?;
    phone.offline_ready().await?;
    site.stop();
    phone.see("heading", &is("Chalkbook")).await?;
    phone.demo_day().await?;
    let mut day = recorded(&phone).await?;
    // Two officials tell one game alike.
    day.retain(|record| record.opening().author.role == Role::Umpire);
    let mut games = Vec::new();
    for record in &day {
        let fixture = record.history().game().fixture();
        let hand = |side: Side| -> Result<CardInHand<'_>> {
            let (hitters, reserves) = numbers(record, side)?;
            Ok(CardInHand {
                team: fixture.lineups()[side].team(),
                hitters,
                reserves,
            })
        };
        let hands = [hand(Side::Guest)?, hand(Side::Home)?];
        let calls = calls_again(record, fresh_game(&hands[0], &hands[1])?);
        let left_out = record.history().plays().count() - calls.len();
        games.push((left_out, hands, calls));
    }
    games.sort_by_key(|(left_out, ..)| *left_out);
    games.truncate(6);
    ensure!(games.len() >= 4, "a demo day has several games");
    let left_out: usize = games.iter().map(|(left_out, ..)| left_out).sum();
    let mut counted = Vec::new();
    for (_, [guest, home], calls) in games {
        phone.open(&site.url()).await?;
        phone.new_game(&guest, &home).await?;
        let mut game = fresh_game(&guest, &home)?;
        for call in calls {
            let taps;
            (game, taps) = phone.call(game, &call).await?;
            counted.push((taps, call));
        }
    }
    ensure!(
        counted.len() >= left_out * 9,
        "{} plays were called again, {left_out} were not",
        counted.len()
    );
    let mean = counted.iter().map(|(taps, _)| *taps as f64).sum::<f64>() / counted.len() as f64;
    let (most, worst) = counted
        .iter()
        .max_by_key(|(taps, _)| *taps)
        .context("no plays")?;
    println!(
        "touches a play: mean {mean:.2} over {} plays; most {most}: {worst:?}",
        counted.len()
    );
    for touches in 1..=*most {
        let of = counted.iter().filter(|(taps, _)| *taps == touches).count();
        println!("  {touches}: {of} plays");
    }
    ensure!(mean <= MEAN, "mean {mean:.2}, budget {MEAN}");
    ensure!(*most <= HARD, "{most} touches for {worst:?}");
    phone.quiet().await
}

/// The rarer calls in one game, each with the most touches it may take.
fn rare_calls() -> Vec<(Call, usize)> {
    let safe = |on, then| {
        let at = Goal::First;
        Call::new(BatterFate::Safe { at, on, then })
    };
    let further = |to| {
        let on = Advance::Error;
        Some(Continuation::Base(FurtherBase { to, on }))
    };
    let tagged = |at| {
        let how = PutOut::Tagged;
        Some(Continuation::Out(TrailingOut { at, how }))
    };
    let out = |at, how| RunnerFate::Out { at, how };
    let to = |goal, then| {
        let on = Advance::Hit;
        RunnerFate::To { goal, on, then }
    };
    let before_first = |how| Call::new(BatterFate::OutBeforeFirst(how));
    vec![
        // A single, and a base on the error: one touch more than the single.
        (safe(Reach::Hit, further(Goal::Second)), 2),
        (safe(Reach::Award, None), 3),
        // The umpire stopped play: a runner was off the base.
        (
            Call::new(BatterFate::NoHit).with_runner(Base::First, out(None, PutOut::LeftEarly)),
            HARD,
        ),
        (before_first(BeforeFirst::Tagged), HARD),
        // Left the safe area: the hit stands, and it is the third out.
        (safe(Reach::Hit, tagged(Goal::First)), 3),
        (safe(Reach::Hit, None), 1),
        // Slid past the base that he was forced to.
        (
            safe(Reach::Hit, None).with_runner(Base::First, to(Goal::Second, tagged(Goal::Second))),
            3,
        ),
        (
            Call::new(BatterFate::safe(Goal::Second))
                .with_runner(Base::First, to(Goal::Third, further(Goal::Home))),
            HARD,
        ),
        (
            safe(Reach::Hit, None)
                .with_runner(Base::Second, out(Some(Goal::Third), PutOut::Missed)),
            HARD,
        ),
        (before_first(BeforeFirst::Interference), HARD),
    ]
}

#[tokio::test(flavor = "multi_thread")]
async fn the_rarer_calls_of_a_real_day_take_four_touches_at_most() -> Result<()> {
    let (_site, phone) = Phone::on_site("taps-rare", SMALL).await?;
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    let mut game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    for (call, most) in rare_calls() {
        let taps;
        (game, taps) = phone.call(game, &call).await?;
        println!("{taps} touches for {call:?}");
        ensure!(taps <= most, "{taps} touches for {call:?}, not {most}");
    }
    // Another one hits than the one who is due, and nobody objects.
    let hitter = game.on_deck(1);
    let call = Call {
        hitter: Some(hitter),
        ..Call::new(BatterFate::safe(Goal::First))
    };
    let (_, taps) = phone.call(game, &call).await?;
    ensure!(taps <= HARD, "{taps} touches for a hit out of turn");
    phone.quiet().await
}
