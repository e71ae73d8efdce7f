//! Neither record is right: a third version of two plays in another order, and of a change of
//! players that each wrote down otherwise. And the record of another event, which is said to be one.

use anyhow::Result;
use browser::{Phone, QUAY_STREET, SMALL, Site, TRAM_YARD, is, starts, with};
use engine::crosscheck::Exchange;
use engine::link::{Kind, Sender, SymbolSize, text};

use crate::official::{hand_over, joined, paste};
use crate::{HOME, OUT, both, carry_back, compare, half};

/// The home side's 11 leaves for `by`.
async fn substitution(phone: &Phone, by: &str) -> Result<()> {
    phone.tap("button", &is("More")).await?;
    phone.tap("button", &is("Substitution")).await?;
    change(phone, by).await?;
    phone.tap("button", &is("Record")).await
}

async fn change(phone: &Phone, by: &str) -> Result<()> {
    phone.tap("button", &is("Tram Yard")).await?;
    phone.tap("button", &starts("11")).await?;
    phone.tap("button", &starts(by)).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_third_version_of_swapped_plays_and_of_a_notice_reaches_both() -> Result<()> {
    let (_site, mut a, mut b) = joined("third", None).await?;

    // The two disagree on the order; it was an illegal hit, and then the run.
    let plays = [
        (Some(OUT), Some(HOME)),
        (Some(HOME), Some(OUT)),
        both(OUT),
        both(OUT),
    ];
    half(&mut a, &mut b, &plays).await?;
    compare(&a, &b).await?;
    a.phone.read("these two plays the other way round").await?;
    a.phone
        .tap("button", &is("neither: call the first anew"))
        .await?;
    a.phone.see("button", &is("Agreed: this")).await?;
    a.phone.tap("button", &starts("illegal hit")).await?;
    a.phone.picture("third-of-two").await?;
    a.phone.audit("third version of two plays").await?;
    a.phone.tap("button", &is("Agreed: this")).await?;
    // B has one out too many until the second is settled as well: its last play does not fit.
    a.phone
        .read("2 differences. Settle them from the first on")
        .await?;
    a.phone.tap("button", &starts("yours")).await?;
    carry_back(&a, &mut b).await?;

    // One has 16 for 11, the other 17 for 11; it was 18.
    substitution(&a.phone, "16").await?;
    substitution(&b.phone, "17").await?;
    for official in [&a, &b] {
        official.second_phone().await?;
    }
    hand_over(&b.phone, "Show mine", &a.phone).await?;
    a.phone.see("region", &is("Difference to settle")).await?;
    a.phone.picture("two-notices").await?;
    a.phone
        .tap("button", &is("neither: it was another"))
        .await?;
    change(&a.phone, "18").await?;
    a.phone.picture("third-notice").await?;
    a.phone.audit("third version of a notice").await?;
    a.phone.tap("button", &is("Agreed: this")).await?;
    carry_back(&a, &mut b).await?;
    for official in [&a, &b] {
        official.phone.read("18").await?;
        official.phone.quiet().await?;
    }
    Ok(())
}

/// A payload as the lines of a text.
fn shown(kind: Kind, payload: &[u8]) -> Result<String> {
    Ok(text::lines(
        &Sender::new(kind, payload, SymbolSize::MAX)?,
        0,
    ))
}

#[tokio::test(flavor = "multi_thread")]
async fn a_record_of_another_event_is_said_to_be_one() -> Result<()> {
    let day = demoday::play_day(1).map_err(|why| anyhow::anyhow!("{why:?}"))?;
    let record = &day.games[0].records[0];
    let sent = Exchange::new(record, [], None).to_bytes();

    let site = Site::start()?;
    let phone = Phone::new("other-event", SMALL).await?;
    phone.open(&format!("{}take", site.url())).await?;
    paste(&phone, &shown(Kind::Charter, day.charter.bytes())?).await?;
    phone
        .tap("button", &is("The words are the same: keep it"))
        .await?;
    let event = &day.charter.charter().event;
    phone.see("heading", &is(event.as_str())).await?;

    phone.open(&site.url()).await?;
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Second phone")).await?;
    phone.tap("link", &with("Take theirs")).await?;
    paste(&phone, &shown(Kind::Entries, &sent)?).await?;
    let cards = &record.opening().setup.cards;
    phone
        .read(&format!(
            "This is a game of another event, {event}: {} at {}.",
            cards.guest.team, cards.home.team
        ))
        .await?;
    phone.picture("refused").await?;
    phone.audit("another event's record").await
}
