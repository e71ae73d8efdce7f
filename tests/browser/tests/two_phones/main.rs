//! Two phones, no network: one game kept twice, compared at each change of sides, every difference
//! settled on the court, and both records signed.

mod camera;
mod lost;
mod official;
mod third;
mod three;
mod trouble;
mod whole_day;

use std::time::Instant;

use anyhow::{Context as _, Result, ensure};
use browser::{is, starts, with};
use engine::play::{BatterFate, Call, Goal};
use official::{Official, hand_over, joined, lines, paste};

const OUT: Call = Call::new(BatterFate::OUT);
const CAUGHT: Call = Call::new(BatterFate::Caught);
const FIRST: Call = Call::new(BatterFate::safe(Goal::First));
const SECOND: Call = Call::new(BatterFate::safe(Goal::Second));
const HOME: Call = Call::new(BatterFate::safe(Goal::Home));

async fn half(
    a: &mut Official,
    b: &mut Official,
    plays: &[(Option<Call>, Option<Call>)],
) -> Result<()> {
    for (n, (told_a, told_b)) in plays.iter().enumerate() {
        for (official, told) in [(&mut *a, told_a), (&mut *b, told_b)] {
            if let Some(call) = told {
                official
                    .call(call)
                    .await
                    .with_context(|| format!("play {}", n + 1))?;
            }
        }
    }
    Ok(())
}

fn both(call: Call) -> (Option<Call>, Option<Call>) {
    (Some(call.clone()), Some(call))
}

/// Both say that the codes differ, and A takes B's record.
async fn compare(a: &Official, b: &Official) -> Result<()> {
    let (mine, theirs) = (a.code("Check code").await?, b.code("Check code").await?);
    ensure!(mine != theirs, "different records show {mine}");
    for (official, code, way) in [
        (a, &mine, ["1 Take theirs", "2 Show mine"]),
        (b, &theirs, ["1 Show mine", "2 Take theirs"]),
    ] {
        official.phone.tap("button", &is("not the same")).await?;
        official.phone.see("heading", &is("Second phone")).await?;
        // What was read aloud stays, and nothing else on the screen has its form.
        let codes = official.phone.all("image", &starts("")).await?;
        ensure!(
            codes.iter().any(|c| c.name == *code),
            "{code} has left the screen: {codes:?}"
        );
        for step in way {
            official.phone.see("link", &is(step)).await?;
        }
    }
    hand_over(&b.phone, "Show mine", &a.phone).await?;
    a.phone.see("region", &is("Difference to settle")).await?;
    let codes = codes(a).await?;
    ensure!(codes == [mine, theirs], "{codes:?}");
    Ok(())
}

/// The check codes on the screen of the second phone.
async fn codes(official: &Official) -> Result<Vec<String>> {
    let codes = official.phone.all("image", &starts("Check code")).await?;
    Ok(codes.into_iter().map(|code| code.name).collect())
}

/// The second and last transfer: what A settled goes to B, who records the same. Then both see
/// one code and say so.
async fn carry_back(a: &Official, b: &mut Official) -> Result<()> {
    a.phone.read("Everything is settled here").await?;
    hand_over(&a.phone, "Show mine", &b.phone).await?;
    b.phone.see("button", &is("Agree and record")).await?;
    b.phone.picture("offered").await?;
    b.phone.audit("rulings offered").await?;
    b.phone.tap("button", &is("Agree and record")).await?;
    b.phone.read("Both records tell the same game.").await?;
    b.phone.picture("recorded").await?;
    // From here on both see the same game.
    b.game = a.game.clone();
    let all = [codes(a).await?, codes(b).await?].concat();
    ensure!(
        all.len() == 4 && all.iter().all(|c| *c == all[0]),
        "{all:?}"
    );
    say_same(a, b).await
}

/// Both say on the screen of the second phone that the codes are the same now.
async fn say_same(a: &Official, b: &Official) -> Result<()> {
    for official in [a, b] {
        official.phone.tap("button", &is("Same on both")).await?;
        official
            .phone
            .see_in(&is("Record"), "button", &starts("Record"))
            .await?;
    }
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_game_kept_twice_is_compared_settled_and_co_signed() -> Result<()> {
    let (_site, mut a, mut b) = joined("two", None).await?;

    // Top of 1: the first batter stood on first for A, on second for B.
    let plays = [(Some(FIRST), Some(SECOND)), both(OUT), both(OUT), both(OUT)];
    half(&mut a, &mut b, &plays).await?;
    a.phone.picture("change-of-sides").await?;
    a.phone.audit("change of sides").await?;
    b.phone.picture("change-of-sides").await?;
    compare(&a, &b).await?;
    a.phone
        .read("you have 21 safe at 1st; they have 21 safe at 2nd")
        .await?;
    a.phone.picture("one-difference").await?;
    a.phone.audit("one difference").await?;
    a.phone
        .tap("button", &starts("theirs 21 safe at 2nd"))
        .await?;
    // B was right and has nothing to record: the one transfer was enough.
    a.phone.read("Both records tell the same game.").await?;
    a.phone.picture("one-transfer").await?;
    let (mine, theirs) = (codes(&a).await?, codes(&b).await?);
    ensure!(mine == [&*theirs[0], &*theirs[0]], "{mine:?} {theirs:?}");
    say_same(&a, &b).await?;

    // Bottom of 1: B wrote the first hit twice, and had the second out as no catch.
    let plays = [
        both(FIRST),
        (None, Some(FIRST)),
        both(OUT),
        (Some(CAUGHT), Some(OUT)),
        both(OUT),
    ];
    half(&mut a, &mut b, &plays).await?;
    compare(&a, &b).await?;
    a.phone.read("2 differences").await?;
    a.phone.picture("two-differences").await?;
    a.phone.tap("button", &starts("yours")).await?;
    a.phone.read("One difference.").await?;
    // Neither is right: he was out at the no-hit line.
    a.phone.tap("button", &is("neither: call it anew")).await?;
    a.phone.see("button", &is("Agreed: this")).await?;
    a.phone.picture("third-version").await?;
    a.phone.tap("button", &starts("illegal hit")).await?;
    a.phone.tap("button", &is("Agreed: this")).await?;
    carry_back(&a, &mut b).await?;

    // From now on both see the same: the codes are equal, and one touch each goes on.
    let mut taps = Vec::new();
    let mut seconds: f64 = 0.0;
    while a.game.ending().is_none() {
        let mut calls = vec![OUT, OUT, OUT];
        if a.game.at_bat() == engine::team::Side::Home {
            calls.insert(0, HOME);
        }
        for call in calls {
            for official in [&mut a, &mut b] {
                official.call(&call).await?;
            }
        }
        let code = a.code("Check code").await?;
        ensure!(
            b.code("Check code").await? == code,
            "equal records, different codes"
        );
        if a.game.ending().is_some() {
            break;
        }
        for official in [&a, &b] {
            let (before, from) = (official.phone.taps(), Instant::now());
            official.phone.tap("button", &is("Same on both")).await?;
            official
                .phone
                .see_in(&is("Record"), "button", &starts("Record"))
                .await?;
            taps.push(official.phone.taps() - before);
            seconds = seconds.max(from.elapsed().as_secs_f64());
        }
    }
    ensure!(taps.iter().all(|t| *t == 1), "one touch each: {taps:?}");
    println!(
        "{} changes of sides with equal codes, one touch each, {seconds:.1} s at most",
        taps.len()
    );
    a.phone.picture("over").await?;

    sign(&a, &b).await?;
    for official in [&a, &b] {
        official.phone.quiet().await?;
    }
    Ok(())
}

/// Both sign, each co-signs the other's statement, and both phones know it.
async fn sign(a: &Official, b: &Official) -> Result<()> {
    for official in [a, b] {
        official.phone.tap("button", &is("Same on both")).await?;
        official.phone.read("The codes were the same").await?;
        official.phone.tap("link", &is("Final statement")).await?;
        official
            .phone
            .see("heading", &is("Final statement"))
            .await?;
    }
    a.phone.picture("to-sign").await?;
    a.phone
        .tap("button", &is("Sign the final statement"))
        .await?;
    a.phone.read("Signed on this phone by its umpire").await?;
    a.phone
        .fill("textbox", &starts("Captain, Quay Street"), "Ines")
        .await?;
    a.phone.tap("button", &is("Agrees")).await?;
    a.phone.read("Captain, Quay Street: Ines").await?;
    cross_to(a, b).await?;
    b.phone
        .tap("button", &is("Sign the final statement"))
        .await?;
    b.phone.read("Signed on this phone by its scorer").await?;
    b.phone
        .tap("button", &is("Co-sign the statement of the umpire"))
        .await?;
    b.phone.read("Statement of the umpire co-signed").await?;
    b.phone.picture("left-to-sign").await?;
    // B has A's signature under A's own statement, and waits for the one under B's.
    let left = b.phone.text().await?;
    ensure!(
        left.contains("to do The umpire co-signs yours")
            && left.contains("done You sign your statement."),
        "{left}"
    );
    cross_to(b, a).await?;
    a.phone
        .tap("button", &is("Co-sign the statement of the scorer"))
        .await?;
    a.phone.read("agreed and co-signed").await?;
    a.phone.read("Nothing is left to sign.").await?;
    a.phone.picture("co-signed").await?;
    a.phone.audit("co-signed statement").await?;
    cross_to(a, b).await?;
    b.phone.read("agreed and co-signed").await?;
    b.phone.picture("co-signed").await?;
    a.phone.tap("link", &is("Back")).await?;
    let row = a.phone.see("link", &with("Over")).await?;
    ensure!(row.name.contains("Agreed and co-signed"), "{}", row.name);
    Ok(())
}

/// From the statement of one phone to that of the other, and back to both.
async fn cross_to(from: &Official, to: &Official) -> Result<()> {
    if !from.phone.sees("link", &is("Show mine")).await? {
        from.phone.tap("link", &is("Second phone")).await?;
    }
    let text = lines(&from.phone, "Show mine").await?;
    to.phone.tap("link", &is("Take theirs")).await?;
    paste(&to.phone, &text).await?;
    to.phone.see("heading", &is("Final statement")).await?;
    if !from.phone.sees("heading", &is("Final statement")).await? {
        from.phone.tap("link", &is("Back")).await?;
    }
    from.phone.see("heading", &is("Final statement")).await?;
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_difference_left_standing_and_wrong_texts_are_said_plainly() -> Result<()> {
    let (_site, mut a, mut b) = joined("left", None).await?;
    let plays = [(Some(CAUGHT), Some(OUT)), both(OUT), both(OUT)];
    half(&mut a, &mut b, &plays).await?;
    compare(&a, &b).await?;
    a.phone.tap("button", &is("Leave it standing")).await?;
    a.phone
        .fill(
            "textbox",
            &starts("Note for whoever"),
            "Each saw it otherwise; ask the captains.",
        )
        .await?;
    a.phone.picture("leaving").await?;
    a.phone.tap("button", &is("Leave it standing")).await?;
    a.phone.read("This game: disputed").await?;
    a.phone.read("left standing").await?;
    a.phone.picture("left-standing").await?;
    a.phone.audit("left standing").await?;
    hand_over(&a.phone, "Show mine", &b.phone).await?;
    b.phone.read("Each saw it otherwise").await?;
    b.phone.tap("button", &is("Agree and record")).await?;
    b.phone.read("This game: disputed").await?;
    // It outlives the page.
    b.phone.reload().await?;
    b.phone.read("This game: disputed").await?;

    // One's own record, another text, half of a text.
    let own = lines(&b.phone, "Show mine").await?;
    b.phone.tap("link", &with("Take theirs")).await?;
    paste(&b.phone, "Are you coming to the harbour tonight?").await?;
    b.phone.read("There is no line from another phone").await?;
    paste(&b.phone, &own[..own.len() / 2]).await?;
    b.phone.read("cut short or altered").await?;
    b.phone.picture("cut-short").await?;
    b.phone.audit("take, refused").await?;
    paste(&b.phone, &own).await?;
    b.phone
        .read("This is the record of this very phone.")
        .await?;
    b.phone.quiet().await
}
