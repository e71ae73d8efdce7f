//! QR codes (ISO/IEC 18004): a line drawn as modules, and a camera's frame
//! read. Behind the features `qr-write` and `qr-read`, since the libraries need
//! the standard library; the rest of the engine does not.

#[cfg(feature = "qr-write")]
mod draw;
#[cfg(feature = "qr-read")]
mod scan;
#[cfg(all(test, feature = "qr-read", feature = "qr-write"))]
mod tests;

#[cfg(feature = "qr-write")]
pub use draw::{Code, TooLong, draw};
#[cfg(feature = "qr-read")]
pub use scan::{Scanner, luma, scan};
