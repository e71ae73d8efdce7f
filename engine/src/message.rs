//! What the engine has to say, as a key with arguments.
//!
//! The texts stand in a [Fluent](https://projectfluent.org) catalogue,
//! `locales/en.ftl`, and nowhere else. `#[localized]` makes the English
//! `Display` of a type from it when the engine is compiled, so a program that
//! speaks English carries no catalogue and no interpreter. A program that
//! speaks another language puts a catalogue with the same keys beside it and
//! formats [`Localized::message`] with any implementation of Fluent.
//!
//! ```
//! use engine::message::{Argument, Localized};
//! use engine::team::{Shirt, SubObjection};
//!
//! let why = SubObjection::NotInPlay(Shirt::new(7).unwrap());
//! assert_eq!(why.to_string(), "Number 7 is not one of the five in play.");
//!
//! let message = why.message();
//! assert_eq!(message.key, "sub-objection-not-in-play");
//! assert_eq!(message.arguments, [("shirt", Argument::Text("7".into()))]);
//! ```

use alloc::borrow::Cow;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt::{self, Display};

pub(crate) use localized::{localized, text};

use crate::Problems;
use crate::team::{BySide, Side};

/// Something that has a message in the catalogue.
pub trait Localized {
    /// The message that says it.
    fn message(&self) -> Message;
}

impl<T: Localized + ?Sized> Localized for &T {
    fn message(&self) -> Message {
        (**self).message()
    }
}

/// The key of a message in the catalogue, with what it is filled with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Message {
    /// The key.
    pub key: &'static str,
    /// The attribute of the message that is meant, when it is not its value.
    pub attribute: Option<&'static str>,
    /// The arguments by their names in the catalogue.
    pub arguments: Vec<(&'static str, Argument)>,
}

impl Message {
    pub(crate) const fn new(key: &'static str, arguments: Vec<(&'static str, Argument)>) -> Self {
        Self {
            key,
            attribute: None,
            arguments,
        }
    }

    /// The same message's attribute, as `.word`.
    #[must_use]
    pub fn attribute(self, name: &'static str) -> Self {
        let attribute = Some(name);
        Self { attribute, ..self }
    }
}

/// What a message is filled with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Argument {
    /// A number: a language chooses the plural by it.
    Number(i64),
    /// A name, a code, a number with its unit: the same in every language.
    Text(String),
    /// Another message, to be said in the same language first.
    Message(Message),
    /// Several, one sentence after another.
    Messages(Vec<Message>),
}

/// What a text of the catalogue can be asked for as: a `String`, in English, or a
/// [`Message`], for a program to say in its own language.
pub(crate) trait Speech: Sized {
    fn of(english: impl FnOnce() -> String, message: impl FnOnce() -> Message) -> Self;

    /// What something else says.
    #[cfg_attr(
        not(feature = "log"),
        expect(dead_code, reason = "only of a log something says what another does")
    )]
    fn same(it: &(impl Display + Localized)) -> Self {
        Self::of(|| it.to_string(), || it.message())
    }
}

impl Speech for String {
    fn of(english: impl FnOnce() -> String, _: impl FnOnce() -> Message) -> Self {
        english()
    }
}

impl Speech for Message {
    fn of(_: impl FnOnce() -> String, message: impl FnOnce() -> Message) -> Self {
        message()
    }
}

/// Gives a type with a method `say` its text as an argument of others.
macro_rules! says {
    ($($type:ty),+) => { $(
        impl crate::message::Localized for $type {
            fn message(&self) -> crate::message::Message {
                self.say()
            }
        }
        impl core::fmt::Display for $type {
            fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
                f.write_str(&self.say::<alloc::string::String>())
            }
        }
    )+ };
}
pub(crate) use says;

/// An attribute of a message as an argument of another: the words in English,
/// and what they are of.
pub(crate) struct Attribute<'a, T>(pub &'a T, pub &'static str, pub &'static str);

impl<T> Display for Attribute<'_, T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.2)
    }
}

impl<T: Localized> Localized for Attribute<'_, T> {
    fn message(&self) -> Message {
        self.0.message().attribute(self.1)
    }
}

/// The text for an argument, as Fluent's choice gives it in English: a number by
/// itself or by its plural category (Unicode CLDR: `one` is 1, all else
/// `other`), a text by itself.
pub(crate) fn choose<const N: usize>(
    on: &Argument,
    choices: [(&str, String); N],
    default: String,
) -> String {
    let fits = |key: &str| match on {
        Argument::Number(1) => key == "one" || key == "1",
        Argument::Number(n) => key.parse() == Ok(*n),
        Argument::Text(text) => key == text,
        Argument::Message(_) | Argument::Messages(_) => false,
    };
    let found = choices.into_iter().find(|(key, _)| fits(key));
    found.map_or(default, |(_, text)| text)
}

/// A name as it stands in a text of another direction: one with letters that
/// are written from right to left stands between marks that keep what comes
/// before and after it in its place (Unicode UAX 9, 2.4: FSI and PDI).
///
/// ```
/// use engine::message::isolated;
///
/// assert_eq!(isolated("Quay Street"), "Quay Street");
/// assert_eq!(isolated("הנמל"), "\u{2068}הנמל\u{2069}");
/// ```
#[must_use]
pub fn isolated(name: &str) -> Cow<'_, str> {
    // The blocks whose characters are R or AL by default (UCD,
    // DerivedBidiClass.txt).
    let from_the_right = |c: char| {
        matches!(c, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefe}'
            | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
    };
    match name.chars().any(from_the_right) && !name.starts_with('\u{2068}') {
        true => Cow::Owned(alloc::format!("\u{2068}{name}\u{2069}")),
        false => Cow::Borrowed(name),
    }
}

/// Who plays: `Quay Street at Tram Yard`.
#[must_use]
pub fn pairing(teams: &BySide<impl AsRef<str>>) -> String {
    let [guest, home] = Side::BOTH.map(|side| isolated(teams[side].as_ref()));
    text!("pairing", guest, home)
}

/// How it stands: `Quay Street 4, Tram Yard 2`.
#[must_use]
pub fn score(teams: &BySide<impl AsRef<str>>, runs: &BySide<u16>) -> String {
    let side = |side| alloc::format!("{} {}", isolated(teams[side].as_ref()), runs[side]);
    Side::BOTH.map(side).join(", ")
}

/// A whole number.
pub(crate) trait Whole: Copy {
    fn whole(self) -> i64;
}

macro_rules! whole {
    ($($type:ty)+) => { $(impl Whole for $type {
        fn whole(self) -> i64 {
            i64::try_from(self).unwrap_or(i64::MAX)
        }
    })+ };
}

whole!(u8 u16 u32 u64 usize i16 i64);

impl<T: Whole> Whole for &T {
    fn whole(self) -> i64 {
        (*self).whole()
    }
}

/// Gives a value as an argument, by the most that is known of its type: the
/// method of the trait that takes the most references is found first.
pub(crate) struct Value<'a, T: ?Sized>(pub &'a T);

#[cfg_attr(
    not(feature = "log"),
    expect(dead_code, reason = "only a log has several at once")
)]
pub(crate) trait MessagesValue {
    fn argument(&self) -> Argument;
}

impl<T: Localized> MessagesValue for &&&Value<'_, &Problems<T>> {
    fn argument(&self) -> Argument {
        Argument::Messages(self.0.iter().map(Localized::message).collect())
    }
}

pub(crate) trait MessageValue {
    fn argument(&self) -> Argument;
}

impl<T: Localized + ?Sized> MessageValue for &&Value<'_, T> {
    fn argument(&self) -> Argument {
        Argument::Message(self.0.message())
    }
}

pub(crate) trait NumberValue {
    fn argument(&self) -> Argument;
}

impl<T: Whole> NumberValue for &Value<'_, T> {
    fn argument(&self) -> Argument {
        Argument::Number(self.0.whole())
    }
}

pub(crate) trait TextValue {
    fn argument(&self) -> Argument;
}

impl<T: Display + ?Sized> TextValue for Value<'_, T> {
    fn argument(&self) -> Argument {
        Argument::Text(self.0.to_string())
    }
}

macro_rules! argument {
    ($value:expr) => {{
        #[allow(unused_imports)]
        use crate::message::{
            MessageValue as _, MessagesValue as _, NumberValue as _, TextValue as _,
        };
        (&&&&crate::message::Value(&$value)).argument()
    }};
}
pub(crate) use argument;

#[cfg(all(test, feature = "competition"))]
pub(crate) mod tests;
