//! The app's build: [`app`] makes the whole folder, [`program`] compiles, splits and binds the
//! programs in it, [`seal`] names it and lists its files for the service worker, [`pack`] compresses
//! them. [`bundle`] is what is handed out.

#[cfg(feature = "build")]
pub mod app;
#[cfg(feature = "build")]
pub mod bundle;
#[cfg(feature = "build")]
mod licences;
#[cfg(feature = "build")]
mod pack;
#[cfg(feature = "build")]
mod program;
pub mod seal;
