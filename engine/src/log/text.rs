//! Characters that a text of the log may not hold: those that are not seen and
//! change how others are shown or printed.
//!
//! An escape sequence writes over what a terminal shows; a bidirectional
//! control shows a name in another order than it was signed in. Neither is part
//! of anyone's name.

use alloc::string::String;
use alloc::vec::Vec;
use core::fmt;

use minicbor::data::Type;
use minicbor::{Decoder, Encoder};

use crate::message::localized;

/// A character that no text of a log may hold.
#[localized(named)]
#[message(code = alloc::format!("{:04X}", u32::from(*_0)))]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub struct ControlCharacter(pub char);

/// Whether a character is one of these: controls (Unicode, general category
/// Cc), bidirectional controls (UAX 9, 2), line and paragraph separators, and
/// other format characters that nothing written needs.
///
/// The two joiners, U+200C and U+200D, are no such: Persian and Indic spelling
/// needs them.
#[must_use]
pub fn is_control(c: char) -> bool {
    c.is_control()
        || matches!(
            c,
            '\u{61c}'
                | '\u{180e}'
                | '\u{200b}'
                | '\u{200e}'..='\u{200f}'
                | '\u{2028}'..='\u{202e}'
                | '\u{2060}'..='\u{206f}'
                | '\u{feff}'
                | '\u{fff9}'..='\u{fffb}'
                | '\u{e0000}'..='\u{e007f}'
        )
}

/// A text as it can safely be printed: each control character by its number.
///
/// ```
/// # use engine::log::Visible;
/// assert_eq!(Visible("Ada\u{1b}[2J").to_string(), "Ada\\u{1b}[2J");
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Visible<'a>(pub &'a str);

impl fmt::Display for Visible<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        use fmt::Write as _;
        self.0.chars().try_for_each(|c| match is_control(c) {
            true => write!(f, "{}", c.escape_unicode()),
            false => f.write_char(c),
        })
    }
}

/// Goes through the items of well-formed CBOR of known lengths: each text to
/// `text`, everything else as its bytes to `other`.
fn walk<'b>(
    bytes: &'b [u8],
    mut text: impl FnMut(&'b str),
    mut other: impl FnMut(&'b [u8]),
) -> Result<(), minicbor::decode::Error> {
    let mut d = Decoder::new(bytes);
    while d.position() < bytes.len() {
        let start = d.position();
        match d.datatype()? {
            Type::Array => d.array().map(drop)?,
            Type::Map => d.map().map(drop)?,
            Type::Tag => d.tag().map(drop)?,
            Type::String => {
                text(d.str()?);
                continue;
            }
            _ => d.skip()?,
        }
        other(bytes.get(start..d.position()).unwrap_or_default());
    }
    Ok(())
}

/// The first control character in any text of deterministic CBOR.
pub(crate) fn control_in(bytes: &[u8]) -> Result<(), ControlCharacter> {
    let mut found = None;
    let see = |text: &str| found = found.or_else(|| text.chars().find(|c| is_control(*c)));
    // What is no CBOR is refused as such.
    let _ = walk(bytes, see, |_| {});
    found.map_or(Ok(()), |c| Err(ControlCharacter(c)))
}

/// The same value without control characters: what separates lines or words
/// becomes a space, everything else goes. For what a person typed or pasted.
pub(crate) fn cleaned<T>(value: T) -> T
where
    T: minicbor::Encode<()> + for<'b> minicbor::Decode<'b, ()>,
{
    let bytes = minicbor::to_vec(&value).unwrap_or_default();
    if control_in(&bytes).is_ok() {
        return value;
    }
    let out = core::cell::RefCell::new(Encoder::new(Vec::new()));
    let text = |text: &str| {
        // Writing to memory cannot fail.
        let _ = out.borrow_mut().str(&clean(text));
    };
    let other = |raw: &[u8]| out.borrow_mut().writer_mut().extend_from_slice(raw);
    let walked = walk(&bytes, text, other);
    let clean = out.into_inner().into_writer();
    match walked.and_then(|()| minicbor::decode(&clean)) {
        Ok(clean) => clean,
        Err(_) => value,
    }
}

fn clean(text: &str) -> String {
    let spaced = |c: char| match c {
        '\t' | '\n' | '\r' | '\u{85}' | '\u{2028}' | '\u{2029}' => Some(' '),
        c if is_control(c) => None,
        c => Some(c),
    };
    text.chars().filter_map(spaced).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, missing_docs)]
    use alloc::string::ToString;

    use super::super::{sample, *};
    use super::*;
    use crate::game::Notice;

    #[test]
    fn no_text_of_a_log_holds_what_cannot_be_seen() {
        let key = sample::secret(1);
        for (typed, kept, found) in [
            ("GOOD\u{1b}[2K", "GOOD[2K", '\u{1b}'),
            ("one\ntwo\tthree", "one two three", '\n'),
            ("\u{202e}DOOG", "DOOG", '\u{202e}'),
            ("a\u{2066}b\u{feff}c\u{e0041}", "abc", '\u{2066}'),
        ] {
            // Whoever signs it by other means is refused.
            let mut r = sample::record(1, &key);
            let text = typed.to_string();
            let remark = Body::Event(Event::Notice(Notice::Remark { text }));
            let draft = r.draft(remark.clone(), 1).unwrap();
            let mut payload = draft.content().clone();
            payload.body = remark;
            let forged = Unsigned::new(payload, key.public()).unwrap();
            let forged = forged.sign(&key).unwrap();
            let error = Entry::parse(forged.bytes()).unwrap_err();
            assert_eq!(error, EntryError::ControlCharacter(ControlCharacter(found)));
            // What a person typed is recorded without it.
            let entry = draft.sign(&key).unwrap();
            assert!(Entry::parse(entry.bytes()).is_ok());
            r.push(entry.clone()).unwrap();
            let Body::Event(Event::Notice(notice)) = entry.body() else {
                unreachable!("a remark was recorded");
            };
            assert_eq!(notice.text(), Some(kept));
        }
    }

    #[test]
    fn names_as_people_write_them_stay() {
        for name in ["Zoë O’Neil", "می‌خواهم", "李小龍", "👩‍🚒", "İpek"] {
            assert_eq!(clean(name), name);
        }
    }

    #[test]
    fn a_setup_with_a_control_character_opens_a_game_without_it() {
        let key = sample::secret(1);
        let mut opening = sample::opening(1, &key);
        let clean = opening.clone();
        opening.setup.cards.guest.team.push('\u{200f}');
        opening.author.name.push('\u{7}');
        assert!(Setup::from_bytes(&opening.setup.to_bytes()).is_err());
        assert!(Author::from_bytes(&opening.author.to_bytes()).is_err());
        let entry = GameRecord::draft_opening(opening, 1).unwrap();
        let entry = entry.sign(&key).unwrap();
        assert_eq!(entry.payload().game, clean.setup.game_id());
        let Body::Opening(opened) = entry.body() else {
            unreachable!("an opening was drafted");
        };
        assert_eq!(
            (&opened.setup, &opened.author),
            (&clean.setup, &clean.author)
        );
    }
}
