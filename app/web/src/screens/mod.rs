//! The screens, one file each.

mod calling;
mod cards;
mod care;
mod component_sheet;
mod court;
mod home;
mod new_fixture;
mod preferences;
mod statement;
mod story;

pub use calling::Calling;
pub use cards::Cards;
pub use care::Care;
pub use component_sheet::ComponentSheet;
pub use court::Court;
pub use home::Home;
pub use new_fixture::NewFixture;
pub use preferences::Preferences;
pub use statement::Statement;
pub use story::Story;
