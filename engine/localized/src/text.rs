//! One text of the catalogue where it is said.

use proc_macro2::TokenStream;
use quote::quote;
use syn::parse::{Parse, ParseStream};
use syn::{Error, Expr, Ident, LitStr, Result, Token};

use crate::catalogue;
use crate::format::{Arguments, Formatted, format};

/// The key, and what it is filled with.
pub struct Text {
    key: LitStr,
    arguments: Vec<(Ident, Expr)>,
}

impl Parse for Text {
    fn parse(input: ParseStream<'_>) -> Result<Self> {
        let key = input.parse()?;
        let mut arguments = Vec::new();
        while input.parse::<Option<Token![,]>>()?.is_some() && !input.is_empty() {
            let name: Ident = input.parse()?;
            let given = input.parse::<Option<Token![=]>>()?;
            let value = match given {
                Some(_) => input.parse()?,
                None => syn::parse_quote!(#name),
            };
            arguments.push((name, value));
        }
        Ok(Self { key, arguments })
    }
}

/// The text in English, or the message, whichever is asked for.
pub fn expand(Text { key, arguments }: Text) -> Result<TokenStream> {
    let wrong = |what: String| Error::new(key.span(), what);
    let name = key.value();
    let value = catalogue::text(&name)?;
    let value = value.ok_or_else(|| wrong(format!("the catalogue has no text {name}")))?;
    let given: Arguments = arguments
        .iter()
        .map(|(name, _)| (name.to_string(), quote!(#name)))
        .collect();
    let Formatted { text, with, used } = format(&name, &value, &given)?;
    if let Some((unused, _)) = arguments
        .iter()
        .find(|(n, _)| !used.contains(&n.to_string()))
    {
        return Err(Error::new(unused.span(), format!("{name} does not say it")));
    }
    let (names, values): (Vec<_>, Vec<_>) = arguments.into_iter().unzip();
    let texts = names.iter().map(Ident::to_string);
    Ok(quote! {
        match (#(&(#values),)*) {
            (#(#names,)*) => crate::message::Speech::of(
                || ::alloc::format!(#text #(, #with)*),
                || crate::message::Message::new(
                    #key, ::alloc::vec![#((#texts, crate::message::argument!(#names))),*]
                ),
            )
        }
    })
}
