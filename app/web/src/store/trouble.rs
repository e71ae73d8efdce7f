//! What can go wrong with keeping games on the phone, as typed errors, and
//! what to tell the umpire: who or what, what happened, what to do next.

use wasm_bindgen::JsValue;

use crate::js;

/// Why something could not be kept or read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// The phone has no room left for this page.
    Full,
    /// The browser offers no lasting storage here, as in some private windows.
    NoStorage,
    /// Another tab holds an older version of the storage open.
    Blocked,
    /// Storage was made by a later version of the app.
    Newer,
    /// Another tab changed or closed the storage under this one.
    Closed,
    /// Another tab writes this game.
    SecondTab,
    /// An entry with this number is already kept: another tab wrote first.
    Taken,
    /// There is no such game on this phone.
    NoSuchGame,
    /// Entries of this game are damaged; nothing is written after them.
    Damaged,
    /// The key of this phone is kept but cannot be read.
    KeyUnreadable,
    /// The browser makes no random numbers here.
    NoRandom,
    /// The part of the app that reads it is neither on the phone nor to be had.
    NoProgram,
    /// The browser gave another reason.
    Browser(String),
}

impl Trouble {
    /// Reads the browser's own error.
    pub fn from_js(error: &JsValue) -> Self {
        let name = js::text(error, "name").unwrap_or_default();
        match name.as_str() {
            "QuotaExceededError" => Self::Full,
            "ConstraintError" => Self::Taken,
            "SecurityError" | "NotAllowedError" | "InvalidAccessError" => Self::NoStorage,
            "VersionError" => Self::Newer,
            "InvalidStateError" => Self::Closed,
            _ => {
                let message = js::text(error, "message").unwrap_or_default();
                Self::Browser(format!("{name} {message}").trim().to_string())
            }
        }
    }

    /// What happened.
    pub fn what(&self) -> String {
        match self {
            Self::Full => "This phone has no room left: the call was not recorded.".into(),
            Self::NoStorage => "This browser keeps nothing for this page.".into(),
            Self::Blocked => "Another tab of Chalkbook is still open with an older version.".into(),
            Self::Newer => "The games here were kept by a later version of Chalkbook.".into(),
            Self::Closed => "Another tab or the browser closed the storage.".into(),
            Self::SecondTab => "This game is open for writing in another tab.".into(),
            Self::Taken => "Another tab recorded something first: this is not recorded.".into(),
            Self::NoSuchGame => "This game is not on this phone.".into(),
            Self::Damaged => "Some entries of this game are damaged.".into(),
            Self::KeyUnreadable => "The signing key of this phone is damaged.".into(),
            Self::NoRandom => "This browser makes no random numbers for a signing key.".into(),
            Self::NoProgram => "A part of Chalkbook is not on this phone yet.".into(),
            Self::Browser(said) => format!("The browser could not keep it: {said}."),
        }
    }

    /// What to do next.
    pub fn next(&self) -> &'static str {
        match self {
            Self::Full => {
                "Everything recorded so far is safe. Free some space on the phone, \
                 then tap Record again; the call is still on the screen."
            }
            Self::NoStorage => {
                "Leave the private window, or allow this site to keep data, and open it again. \
                 No game can be called until then, so that none is lost."
            }
            Self::Blocked => "Close the other tabs of Chalkbook; this one goes on by itself.",
            Self::Newer => {
                "Open the page once with a network to get that version. Nothing is lost."
            }
            Self::Closed => "Open this page again. Everything recorded is safe.",
            Self::SecondTab => "Go on there, or take over here.",
            Self::Taken => {
                "The game is shown as it stands now. What is still missing, record again."
            }
            Self::NoSuchGame => "Go back to the games of this phone.",
            Self::Damaged => {
                "The good ones are shown, the damaged ones are kept as found. \
                 Go on with a new game from here, or on the other scorer's phone."
            }
            Self::KeyUnreadable => {
                "Nothing recorded is lost, and nothing new can be signed here. \
                 Call the game on another phone, or in another browser of this one."
            }
            Self::NoRandom => "Open Chalkbook in another browser, by https.",
            Self::NoProgram => {
                "Every game recorded is still here. The part comes by itself as soon as there is a signal."
            }
            Self::Browser(_) => {
                "Everything recorded so far is safe. Try again; if it stays, open the page again."
            }
        }
    }
}

impl From<idb::Error> for Trouble {
    fn from(error: idb::Error) -> Self {
        use idb::Error::*;
        match error {
            IndexedDbNotFound(_) => Self::NoStorage,
            DomException(e) => Self::from_js(&e.into()),
            AddFailed(v)
            | GetFailed(v)
            | GetAllFailed(v)
            | DeleteFailed(v)
            | TransactionOpenFailed(v)
            | TransactionCommitError(v)
            | IndexedDbOpenFailed(v)
            | ObjectStoreNotFound(v)
            | ObjectStoreCreateFailed(v) => Self::from_js(&v),
            other => Self::Browser(other.to_string()),
        }
    }
}
