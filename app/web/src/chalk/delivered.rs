//! What collectors acknowledged, through the one storage of the app.

use super::Chalk;
use crate::delivery::Named;
use crate::store::{Acknowledged, Trouble};

impl Chalk {
    /// What all collectors acknowledged.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub async fn acknowledged(self) -> Result<Vec<Acknowledged>, Trouble> {
        self.store()?.acknowledged().await
    }

    /// The collectors that are named.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub async fn collectors(self) -> Result<Named, Trouble> {
        self.store()?.collectors().await
    }

    /// Keeps which collectors are named.
    ///
    /// # Errors
    /// When the browser cannot write.
    pub async fn keep_collectors(self, named: &Named) -> Result<(), Trouble> {
        self.store()?.keep_collectors(named).await
    }

    /// Keeps what a collector acknowledged.
    ///
    /// # Errors
    /// When the browser cannot write.
    pub async fn keep_acknowledged(self, row: &Acknowledged) -> Result<(), Trouble> {
        self.store()?.keep_acknowledged(row).await
    }
}
