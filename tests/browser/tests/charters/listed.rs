//! A record by a key that the charter does not list is refused with the reason, and taken as soon as the
//! organiser has listed it.

use anyhow::{Context as _, Result, ensure};
use browser::{Coast, Phone, QUAY_STREET, SMALL, TRAM_YARD, is, starts};
use engine::log::{Author, Entry, Role, split};

use super::paper::{charter, sign, take_charter};

const PROGRAM: &str = env!("CARGO_BIN_EXE_collector_in_test");

#[tokio::test(flavor = "multi_thread")]
async fn an_unlisted_key_is_refused_until_the_organiser_lists_it() -> Result<()> {
    let first = sign(9, charter(9, &[]))?;
    let coast = Coast::of(PROGRAM, first.bytes(), &[]).await?;
    let phone = Phone::new("charter-unlisted", SMALL).await?;
    phone.open(&coast.url()).await?;
    take_charter(&phone, first.bytes()).await?;
    phone.read("This phone's key is not listed.").await?;
    phone.tap("link", &starts("Game 1,")).await?;
    phone.tap("button", &is("Line-up cards")).await?;
    for (card, on) in [(&QUAY_STREET, "Next card"), (&TRAM_YARD, "Toss for home")] {
        phone.card(card).await?;
        phone.tap("button", &is(on)).await?;
    }
    phone.tap("button", &is("Play ball")).await?;
    phone.tap("button", &is("Play all the same")).await?;
    phone
        .see_in(&is("Record"), "button", &starts("Record"))
        .await?;

    phone.open(&format!("{}delivery", coast.url())).await?;
    phone
        .read("The charter of Harbour Cup does not list the key of this log")
        .await?;
    phone
        .read("Read the organiser the six words of your key")
        .await?;
    phone.picture("refused").await?;

    let records = phone.records().await?;
    let (_, record) = records.first_key_value().context("a record")?;
    let opening = split(record).next().context("an opening")??;
    let opening = Entry::parse(opening).map_err(|why| anyhow::anyhow!("{why}"))?;
    let official = Author::new(
        *opening.opening_key().context("a key")?,
        "Jonas Reed",
        Role::Umpire,
    );
    let mut second = charter(9, &[official]);
    second.version = 2;
    second.supersedes = Some(first.hash());
    let second = sign(9, second)?;
    let taken = coast.put_charter(second.bytes()).await?;
    ensure!(taken.status == 200, "{taken:?}");
    phone.tap("button", &is("Send now")).await?;
    phone
        .read("All delivered: 1 record and 1 charter on this phone.")
        .await?;
    phone.picture("delivered").await?;

    // Whoever is not listed gets no record where names are kept short, and hears that it is there.
    let other = Phone::new("charter-onlooker", SMALL).await?;
    other.open(&coast.url()).await?;
    take_charter(&other, first.bytes()).await?;
    other.see("link", &starts("Game 1,")).await?;
    other
        .open(&format!("{}desk?event={}", coast.url(), first.hash()))
        .await?;
    other
        .read("0 of 1 scheduled games are in, 1 not here.")
        .await?;
    other
        .read("The collector gives these records to the event's officials only")
        .await?;
    other.picture("not-here").await?;
    Ok(())
}
