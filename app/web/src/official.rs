//! Who keeps the logs of this phone: name and role, as they say.

use engine::log::Role;
use gloo_storage::{LocalStorage, Storage};
use serde::{Deserialize, Serialize};

const KEY: &str = "chalkbook-official";

/// An official's name and role.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Official {
    /// Name; may be empty.
    pub name: String,
    /// Role, in the word that the log uses; the umpire's when empty.
    pub role: String,
}

impl Official {
    /// The roles to choose from.
    pub const ROLES: [Role; 3] = [Role::Umpire, Role::Scorer, Role::Organiser];

    /// As kept; nobody yet when nothing is.
    pub fn load() -> Self {
        LocalStorage::get(KEY).unwrap_or_default()
    }

    /// Keeps it for the next game.
    pub fn save(&self) {
        let _ = LocalStorage::set(KEY, self);
    }

    /// The role.
    pub fn role(&self) -> Role {
        let named = |r: &Role| r.to_string() == self.role;
        Self::ROLES.into_iter().find(named).unwrap_or(Role::Umpire)
    }
}
