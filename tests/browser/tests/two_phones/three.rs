//! Three who keep one game: each other record is compared by itself.

use anyhow::{Result, ensure};
use browser::{Phone, TALL, fresh_game, is, starts, with};

use crate::official::{Official, hand_over, joined, lines, paste};
use crate::{FIRST, OUT, SECOND};

/// Three phones, no signal, and one game on all of them.
async fn three(name: &str) -> Result<[Official; 3]> {
    let (mut site, a, b) = joined(name, None).await?;
    site.start_again()?;
    let third = Phone::new(&format!("{name}-c"), TALL).await?;
    third.open(&site.url()).await?;
    third.offline_ready().await?;
    site.stop();
    third.reload().await?;
    a.second_phone().await?;
    let text = lines(&a.phone, "Show this game to a second phone").await?;
    a.phone.tap("link", &is("Back")).await?;
    third.tap("link", &is("Second phone")).await?;
    paste(&third, &text).await?;
    third.tap("button", &is("Keep my own record")).await?;
    let game = fresh_game(&browser::QUAY_STREET, &browser::TRAM_YARD)?;
    Ok([a, b, Official { phone: third, game }])
}

#[tokio::test(flavor = "multi_thread")]
async fn of_three_records_the_one_that_differs_comes_first() -> Result<()> {
    let [mut a, mut b, mut c] = three("three").await?;

    for (official, first) in [(&mut a, &FIRST), (&mut b, &FIRST), (&mut c, &SECOND)] {
        official.call(first).await?;
        for _ in 0..3 {
            official.call(&OUT).await?;
        }
    }
    for official in [&a, &b, &c] {
        official.phone.tap("button", &is("not the same")).await?;
        official.phone.see("heading", &is("Second phone")).await?;
    }
    hand_over(&b.phone, "Show mine", &a.phone).await?;
    a.phone.read("Both records tell the same game.").await?;
    hand_over(&c.phone, "Show mine", &a.phone).await?;
    a.phone.read("2 other records of this game").await?;
    a.phone.see("region", &is("Difference to settle")).await?;
    a.phone.picture("three").await?;
    a.phone.audit("three records").await?;
    a.phone.tap("button", &with("tells the same game")).await?;
    a.phone.read("Both records tell the same game.").await?;
    a.phone.tap("button", &with("differs")).await?;
    a.phone
        .tap("button", &starts("theirs 21 safe at 2nd"))
        .await?;
    // C was right and has nothing to record.
    a.phone.read("Both records tell the same game.").await?;
    // Now it is B's record that tells another game.
    let rows = a.phone.all("button", &with("differs")).await?;
    ensure!(rows.len() == 1, "{rows:?}");
    a.phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn of_three_records_each_that_is_signed_can_be_co_signed() -> Result<()> {
    let [mut a, mut b, mut c] = three("three-signed").await?;
    for official in [&mut a, &mut b, &mut c] {
        official.call(&FIRST).await?;
        official.second_phone().await?;
    }
    hand_over(&b.phone, "Show mine", &a.phone).await?;
    hand_over(&c.phone, "Show mine", &a.phone).await?;
    a.phone.read("2 other records of this game").await?;
    // First the one signs, then the other: either may be the first in the list.
    for official in [&c, &b] {
        official.phone.tap("link", &is("Back")).await?;
        official.phone.tap("button", &is("More")).await?;
        official.phone.tap("link", &is("Score sheet")).await?;
        let unfinished = with("The game cannot be finished");
        official
            .phone
            .tap("DisclosureTriangle", &unfinished)
            .await?;
        official
            .phone
            .tap("button", &is("Sign it off unfinished"))
            .await?;
        official.phone.read("Signed on this phone").await?;
        official.phone.tap("link", &is("Second phone")).await?;
        hand_over(&official.phone, "Show mine", &a.phone).await?;
        a.phone.read("Both records tell the same game.").await?;
        a.phone.tap("link", &is("Back")).await?;
        a.phone.tap("button", &is("More")).await?;
        a.phone.tap("link", &is("Score sheet")).await?;
        a.phone
            .tap("button", &starts("Co-sign the statement of"))
            .await?;
        a.phone.read("co-signed on this phone").await?;
        a.phone.tap("link", &is("Second phone")).await?;
    }
    a.phone.quiet().await
}
