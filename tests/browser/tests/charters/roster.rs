//! A card filled from the charter's roster to its last line, and the pad after that.

use anyhow::{Result, ensure};
use browser::{Phone, QUAY_STREET, SMALL, is, starts};
use engine::link::Kind;

use super::paper::{charter, paste, sign, text_of};

#[tokio::test(flavor = "multi_thread")]
async fn the_pad_works_on_after_the_last_of_the_roster() -> Result<()> {
    let (_site, phone) = Phone::on_site("charter-roster", SMALL).await?;
    let signed = sign(7, charter(7, &[]))?;
    phone.tap("link", &is("Second phone")).await?;
    paste(&phone, &text_of(Kind::Charter, signed.bytes())?).await?;
    phone
        .tap("button", &starts("The words are the same"))
        .await?;
    phone.tap("link", &starts("Game 1,")).await?;
    phone.tap("button", &is("Line-up cards")).await?;
    for number in QUAY_STREET.hitters.iter().chain(&QUAY_STREET.reserves) {
        phone
            .tap_in(&is("Roster"), "button", &starts(number.to_string()))
            .await?;
    }
    let last = "[...document.querySelectorAll('.tile input')].pop().value";
    ensure!(
        phone.evaluate(last).await? == "28",
        "the roster is on the card"
    );
    // They keep their places, so that nobody else came under the thumb.
    let taken = "[...document.querySelectorAll('.roster button')].map(b => b.disabled).join()";
    let all_taken = ["true"; 8].join(",");
    ensure!(
        phone.evaluate(taken).await? == all_taken,
        "eight tiles stay"
    );
    // Full already: a digit more changes nothing. Taking back works on the last line.
    phone.tap_in(&is("Number pad"), "button", &is("5")).await?;
    ensure!(phone.evaluate(last).await? == "28", "two digits at most");
    phone
        .tap_in(&is("Number pad"), "button", &starts("Take back"))
        .await?;
    ensure!(phone.evaluate(last).await? == "2", "the last digit is gone");
    phone.tap_in(&is("Number pad"), "button", &is("9")).await?;
    ensure!(
        phone.evaluate(last).await? == "29",
        "another number is typed"
    );
    phone.quiet().await
}
