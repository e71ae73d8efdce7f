//! Three who keep one game: each other record is compared by itself.

use anyhow::{Result, ensure};
use browser::{Phone, TALL, fresh_game, is, starts, with};

use crate::official::{Official, hand_over, joined, lines, paste};
use crate::{FIRST, OUT, SECOND};

#[tokio::test(flavor = "multi_thread")]
async fn of_three_records_the_one_that_differs_comes_first() -> Result<()> {
    let (mut site, mut a, mut b) = joined("three", None).await?;
    site.start_again()?;
    let third = Phone::new("three-c", TALL).await?;
    third.open(&site.url()).await?;
    third.offline_ready().await?;
    site.stop();
    third.reload().await?;
    a.second_phone().await?;
    let text = lines(&a.phone, "Show this game to a second phone").await?;
    a.phone.tap("link", &is("back")).await?;
    third
        .tap("link", &starts("Take from another phone"))
        .await?;
    paste(&third, &text).await?;
    third.tap("button", &is("Keep my own record")).await?;
    let mut c = Official {
        phone: third,
        game: fresh_game(&browser::QUAY_STREET, &browser::TRAM_YARD)?,
    };

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
    hand_over(&b.phone, "show mine", &a.phone).await?;
    a.phone.read("Both records tell the same game.").await?;
    hand_over(&c.phone, "show mine", &a.phone).await?;
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
    a.phone.read("Everything is settled here").await?;
    hand_over(&a.phone, "Show the rulings", &c.phone).await?;
    c.phone.tap("button", &is("Agree and record")).await?;
    c.phone.read("in this record already").await?;
    // Now it is B's record that tells another game.
    let rows = a.phone.all("button", &with("differs")).await?;
    ensure!(rows.len() == 1, "{rows:?}");
    a.phone.quiet().await
}
