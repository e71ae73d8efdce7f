//! An official's phone is lost: an empty one goes on with another key, from the other official's record.

use anyhow::Result;
use browser::{is, starts};

use crate::official::{hand_over, joined};
use crate::{HOME, OUT};

#[tokio::test(flavor = "multi_thread")]
async fn an_empty_phone_goes_on_from_the_others_record() -> Result<()> {
    let (_site, mut a, mut b) = joined("lost", None).await?;
    for call in [&HOME, &OUT, &HOME] {
        b.call(call).await?;
    }
    for official in [&a, &b] {
        official.second_phone().await?;
    }
    hand_over(&b.phone, "Show mine", &a.phone).await?;
    a.phone.read("In place of a lost phone?").await?;
    a.phone.picture("in-place").await?;
    a.phone.audit("in place of a lost phone").await?;
    a.phone
        .tap("button", &is("Go on from their record"))
        .await?;
    a.phone
        .gone("button", &is("Go on from their record"))
        .await?;
    a.phone.tap("link", &is("Back")).await?;
    a.phone
        .see_in(&is("Record"), "button", &starts("Record"))
        .await?;
    a.game = b.game.clone();
    a.phone.shows(&a.game).await?;
    // It goes on like any other record.
    a.call(&OUT).await?;
    a.phone.quiet().await
}
