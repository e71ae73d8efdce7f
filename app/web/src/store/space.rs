//! Room on the phone, and the browser's word on whether it lasts.

use crate::js;

/// What the browser answered when asked to keep the games for good.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lasting {
    /// It keeps them until the user removes them.
    Promised,
    /// It may clear them when the phone runs short of room.
    NotPromised,
    /// It cannot be asked.
    Unknown,
}

impl Lasting {
    /// The answer in words, with what to do.
    pub const fn what(self) -> &'static str {
        match self {
            Self::Promised => "The browser promised to keep the games until you remove them.",
            Self::NotPromised => {
                "The browser did not promise to keep the games when the phone runs short of room. \
                 Put the app on the home screen, or keep space free."
            }
            Self::Unknown => {
                "This browser cannot be asked to keep the games for good. Keep space free on the phone."
            }
        }
    }
}

/// Room used and room allowed, in bytes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// Used by this page.
    pub used: f64,
    /// Allowed to this page.
    pub quota: f64,
}

/// Whether the browser keeps the games for good, as it stands.
pub async fn lasting() -> Lasting {
    storage_says("persisted").await
}

/// Asks the browser to keep the games for good, unless it does already. It may
/// ask the user in turn, so nothing may wait for the answer.
pub async fn ask_to_last() -> Lasting {
    match lasting().await {
        Lasting::NotPromised => storage_says("persist").await,
        known => known,
    }
}

async fn storage_says(method: &str) -> Lasting {
    let Some(storage) = js::navigator().and_then(|n| js::member(&n, "storage")) else {
        return Lasting::Unknown;
    };
    match js::call_wait(&storage, method, &[]).await {
        Some(Ok(answer)) if answer.is_truthy() => Lasting::Promised,
        Some(_) => Lasting::NotPromised,
        None => Lasting::Unknown,
    }
}

/// Room used and allowed, where the browser tells.
pub async fn room() -> Option<Room> {
    let storage = js::navigator().and_then(|n| js::member(&n, "storage"))?;
    let estimate = js::call_wait(&storage, "estimate", &[]).await?.ok()?;
    Some(Room {
        used: js::member(&estimate, "usage")?.as_f64()?,
        quota: js::member(&estimate, "quota")?.as_f64()?,
    })
}
