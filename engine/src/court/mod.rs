//! Set-out geometry of the court.
