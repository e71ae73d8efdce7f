//! `#[localized]` gives an enum or a struct the texts of the engine's Fluent
//! catalogue, `locales/en.ftl`, when it is compiled: a key that the catalogue
//! lacks, or a text there that no variant uses, is a compile error.

mod catalogue;
mod expand;
mod format;
mod text;

use proc_macro::TokenStream;
use proc_macro2::Span;
use syn::{Item, parse_macro_input};

/// What is wrong, said where the attribute stands.
fn wrong(what: String) -> syn::Error {
    syn::Error::new(Span::call_site(), what)
}

/// Writes `Display`, `name()` and the `Localized` implementation of an enum or
/// a struct from the catalogue's messages of that type.
///
/// The message of `ChainError::WrongGame` has the key `chain-error-wrong-game`,
/// in the group `## ChainError`; that of a struct has the struct's name alone.
/// `$number` in the text is the field `number`. `#[message(number = .0)]` on a
/// variant gives an argument by another expression, in which `.field` stands
/// for a reference to the field. `#[message(transparent)]` passes on what the
/// only field says. `#[message(name = "...")]` gives another documented name.
///
/// `#[localized(sentence, word)]` gives a fieldless enum the methods
/// `sentence` and `word` instead, from the attributes `.sentence` and `.word`
/// of its messages.
#[proc_macro_attribute]
pub fn localized(options: TokenStream, item: TokenStream) -> TokenStream {
    let item = parse_macro_input!(item as Item);
    let options = parse_macro_input!(options as expand::Options);
    expand::expand(options, item)
        .unwrap_or_else(|error| error.into_compile_error())
        .into()
}

/// Says one text of the catalogue: `text!("movement-stays", who = self.who, base)`
/// is a `String` in English, or the `Message` with its arguments, whichever is
/// asked for (`crate::message::Speech`).
#[proc_macro]
pub fn text(input: TokenStream) -> TokenStream {
    let input = parse_macro_input!(input as text::Text);
    text::expand(input)
        .unwrap_or_else(|error| error.into_compile_error())
        .into()
}
