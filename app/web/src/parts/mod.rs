//! Parts that several screens are made of.

mod bottom_sheet;
mod code;
mod court;
mod fate_sheet;
mod fields;
mod icon;
mod lanes;
mod length;
mod link;
mod message;
mod pad;
mod page;
mod qr;
mod question;
mod score;
mod steps;
mod thunder;
mod whole_key;

pub use bottom_sheet::BottomSheet;
pub use code::Code;
pub use court::Court;
pub use fate_sheet::batter_words;
pub use fields::{CollectorAddress, PastedLines};
pub use icon::{Icon, Sign};
pub use lanes::Lanes;
pub use length::LengthField;
pub use link::A;
pub use message::{Message, Tone, TroubleMessage};
pub use pad::{Key, NumberPad};
pub use page::{NAME, Page, begins_here};
pub use qr::CodeLoop;
pub use question::HomeFirst;
pub use score::{ClockFigures, ClockShown, Outs, ScoreHead, inning_words};
pub use steps::Steps;
pub use thunder::{Defer, ThunderClock, hold_now};
pub use whole_key::WholeKey;
