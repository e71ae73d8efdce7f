//! The worked example of `engine/LOG_FORMAT.md`.

use std::fmt::Write as _;

use engine::crosscheck;
use engine::log::{RecordError, Unsigned};

use crate::sample;

/// The example as the page has it: a name and hexadecimal digits a line, the
/// words and the code as people read them.
///
/// # Errors
/// When the engine refuses the sample.
pub fn example() -> Result<String, RecordError> {
    let key = sample::key(1);
    let log = sample::whole(3, 1)?;
    let opening = &log.chain().entries()[0];
    let draft = Unsigned::new(opening.payload().clone(), key.public())?;
    let history = log.record.history();
    let codes = crosscheck::codes(history, &log.chain().game().0);
    let code = codes.first().map(|(_, code)| code.to_string());
    let hex = |bytes: &[u8]| {
        let mut out = String::new();
        for byte in bytes {
            // Writing to memory cannot fail.
            let _ = write!(out, "{byte:02x}");
        }
        out
    };
    let lines = [
        ("secret key", hex(&[1; 32])),
        ("public key", hex(key.public().as_bytes())),
        ("fingerprint", key.public().fingerprint().to_string()),
        ("six words", key.public().phrase().to_string()),
        ("game id", log.chain().game().to_string()),
        ("to be signed", hex(&draft.to_be_signed())),
        ("entry", hex(opening.bytes())),
        ("hash", opening.hash().to_string()),
        ("code after the first half-inning", code.unwrap_or_default()),
    ];
    let mut out = String::new();
    for (name, value) in lines {
        let _ = writeln!(out, "{name}: {value}");
    }
    Ok(out)
}
