//! The screens, one file each.

mod calling;
mod cards;
mod care;
mod component_sheet;
mod court;
mod cross;
mod deliveries;
mod desk;
mod events;
mod home;
mod install;
mod new_fixture;
mod open_game;
mod preferences;
mod show;
mod signatures;
mod statement;
mod story;
mod take;

pub use calling::Calling;
pub use cards::Cards;
pub use care::Care;
pub use component_sheet::ComponentSheet;
pub use court::Court;
pub use cross::Cross;
pub use deliveries::{Deliveries, DeliveryLink, DeliveryWord};
pub use desk::Desk;
pub use events::{Events, MakeCharter, OneEvent};
pub use home::Home;
pub use install::InstallOffer;
pub use new_fixture::NewFixture;
pub use preferences::Preferences;
pub use show::ShowToOther;
pub use statement::Statement;
pub use story::Story;
pub use take::{Take, Taking};
