//! The code of one type.

use std::collections::{BTreeMap, BTreeSet};

use proc_macro2::TokenStream;
use quote::{format_ident, quote};
use syn::parse::{Parse, ParseStream};
use syn::punctuated::Punctuated;
use syn::{Attribute, Error, Expr, Fields, Ident, Item, LitStr, Path, Result, Token, parse_quote};

use crate::catalogue::{self, Message};
use crate::format::{Arguments, Formatted, format};
use crate::wrong;

/// What is asked of the macro.
pub struct Options {
    /// A method `name` with the documented name of each variant.
    named: bool,
    /// The attributes that are given as methods, instead of a `Display`.
    forms: Vec<Ident>,
}

impl Parse for Options {
    fn parse(input: ParseStream<'_>) -> Result<Self> {
        let words = Punctuated::<Ident, Token![,]>::parse_terminated(input)?;
        let (named, forms): (Vec<_>, Vec<_>) = words.into_iter().partition(|word| word == "named");
        Ok(Self {
            named: !named.is_empty(),
            forms,
        })
    }
}

/// What `#[message(...)]` says of a variant.
#[derive(Default)]
struct Said {
    /// Nothing of its own to say: the field that says it, if there are several.
    transparent: Option<Option<Expr>>,
    name: Option<String>,
    arguments: Arguments,
}

struct Word {
    name: Ident,
    value: Option<Expr>,
}

impl Parse for Word {
    fn parse(input: ParseStream<'_>) -> Result<Self> {
        let name = input.parse()?;
        let given = input.peek(Token![=]);
        let value = given.then(|| {
            input.parse::<Token![=]>()?;
            input.parse()
        });
        Ok(Self {
            name,
            value: value.transpose()?,
        })
    }
}

impl Said {
    /// Takes the `#[message(...)]` away from the others.
    fn take(attributes: &mut Vec<Attribute>, fields: &Fields) -> Result<Self> {
        let mut said = Self::default();
        for field in fields {
            if let Some(name) = &field.ident {
                said.arguments.insert(name.to_string(), quote!(#name));
            }
        }
        let mut others = Vec::new();
        for attribute in attributes.drain(..) {
            if !attribute.path().is_ident("message") {
                others.push(attribute);
                continue;
            }
            let words = Punctuated::<Word, Token![,]>::parse_terminated;
            for Word { name, value } in attribute.parse_args_with(words)? {
                match value {
                    value if name == "transparent" => said.transparent = Some(value),
                    None => return Err(Error::new(name.span(), "expected transparent or a value")),
                    Some(Expr::Lit(literal)) if name == "name" => {
                        let text: LitStr = parse_quote!(#literal);
                        said.name = Some(text.value());
                    }
                    Some(value) => {
                        said.arguments.insert(name.to_string(), quote!((#value)));
                    }
                }
            }
        }
        *attributes = others;
        Ok(said)
    }
}

/// `WrongGame` as `wrong-game`.
fn kebab(name: &Ident) -> String {
    let mut text = String::new();
    for letter in name.to_string().chars() {
        if letter.is_uppercase() && !text.is_empty() {
            text.push('-');
        }
        text.extend(letter.to_lowercase());
    }
    text
}

/// The fields bound to names: `{ a, b }`, `(_0, _1)` or nothing.
fn bound(fields: &Fields) -> TokenStream {
    match fields {
        Fields::Unit => quote!(),
        Fields::Named(named) => {
            let names = named.named.iter().filter_map(|field| field.ident.as_ref());
            quote!({ #(#names),* })
        }
        Fields::Unnamed(unnamed) => {
            let names = (0..unnamed.unnamed.len()).map(|n| format_ident!("_{n}"));
            quote!((#(#names),*))
        }
    }
}

/// The arms of the matches, one for each variant.
#[derive(Default)]
struct Arms {
    display: Vec<TokenStream>,
    message: Vec<TokenStream>,
    name: Vec<TokenStream>,
    forms: Vec<Vec<TokenStream>>,
}

struct Expansion<'a> {
    options: &'a Options,
    is_error: bool,
    messages: BTreeMap<String, Message>,
    used: BTreeSet<String>,
    arms: Arms,
}

impl Expansion<'_> {
    fn message(&self, key: &str) -> Result<&Message> {
        self.messages
            .get(key)
            .ok_or_else(|| wrong(format!("the catalogue has no {key} in this type's group")))
    }

    /// The texts of one variant, or of a struct.
    fn add(
        &mut self,
        path: TokenStream,
        key: String,
        name: String,
        attributes: &mut Vec<Attribute>,
        fields: &Fields,
    ) -> Result<()> {
        let said = Said::take(attributes, fields)?;
        let pattern = bound(fields);
        let name = said.name.unwrap_or(name);
        if let Some(field) = said.transparent {
            let inner = field.map_or_else(|| quote!(_0), |field| quote!(#field));
            if self.is_error {
                attributes.push(if fields.len() == 1 {
                    parse_quote!(#[error(transparent)])
                } else {
                    parse_quote!(#[error("{}", #inner)])
                });
            }
            self.arms
                .display
                .push(quote!(#path #pattern => ::core::fmt::Display::fmt(#inner, f)));
            self.arms
                .message
                .push(quote!(#path #pattern => crate::message::Localized::message(#inner)));
            self.arms.name.push(quote!(#path #pattern => #inner.name()));
            return Ok(());
        }
        self.used.insert(key.clone());
        self.arms.name.push(quote!(#path { .. } => #name));
        let documented = attributes
            .iter()
            .any(|attribute| attribute.path().is_ident("doc"));
        let message = self.message(&key)?;
        let (mut forms, mut texts) = (Vec::new(), Vec::new());
        for form in &self.options.forms {
            let text = message.attributes.get(&form.to_string()).ok_or_else(|| {
                Error::new(form.span(), format!("the catalogue has no {key}.{form}"))
            })?;
            let text = format(&key, text, &said.arguments)?
                .plain()
                .ok_or_else(|| {
                    Error::new(form.span(), format!("{key}.{form} takes no arguments"))
                })?;
            forms.push(quote!(#path => #text));
            texts.push(text);
        }
        if !self.options.forms.is_empty() {
            let empty = message.value.is_none() && message.attributes.len() == forms.len();
            if !empty {
                return Err(wrong(format!("{key} has texts that nothing asks for")));
            }
            if !documented {
                let text = texts.first();
                attributes.push(parse_quote!(#[doc = #text]));
            }
            self.arms.forms.push(forms);
            self.arms
                .message
                .push(quote!(#path => crate::message::Message::new(#key, ::alloc::vec![])));
            return Ok(());
        }
        let value = message
            .value
            .as_ref()
            .filter(|_| message.attributes.is_empty());
        let value = value.ok_or_else(|| wrong(format!("{key} needs a text, and no attributes")))?;
        let Formatted { text, with, used } = format(&key, value, &said.arguments)?;
        if self.is_error {
            attributes.push(parse_quote!(#[error(#text #(, #with)*)]));
        }
        let given = used.iter().map(|name| {
            let code = &said.arguments[name];
            quote!((#name, crate::message::argument!(#code)))
        });
        self.arms.message.push(quote!(
            #path #pattern => crate::message::Message::new(#key, ::alloc::vec![#(#given),*])
        ));
        self.arms
            .display
            .push(quote!(#path #pattern => ::core::write!(f, #text #(, #with)*)));
        Ok(())
    }

    /// The implementations beside the type.
    fn finish(self, ident: &Ident) -> Result<TokenStream> {
        if let Some(key) = self.messages.keys().find(|key| !self.used.contains(*key)) {
            return Err(Error::new(
                ident.span(),
                format!("nothing says {key} of the catalogue"),
            ));
        }
        let Arms {
            display,
            message,
            name,
            forms,
        } = self.arms;
        let mut all = quote! {
            #[allow(unused_variables)]
            impl crate::message::Localized for #ident {
                fn message(&self) -> crate::message::Message {
                    match self { #(#message),* }
                }
            }
            const _: &str = ::core::include_str!(
                ::core::concat!(::core::env!("CARGO_MANIFEST_DIR"), "/locales/en.ftl")
            );
        };
        for (at, form) in self.options.forms.iter().enumerate() {
            let arms = forms.iter().map(|variant| &variant[at]);
            let doc = format!("The {form} of the message in English.");
            all.extend(quote! {
                impl #ident {
                    #[doc = #doc]
                    #[must_use]
                    pub const fn #form(self) -> &'static str {
                        match self { #(#arms),* }
                    }
                }
            });
        }
        if self.options.named {
            all.extend(quote! {
                #[allow(unused_variables)]
                impl #ident {
                    /// The documented name, as scenario files and verifiers use it.
                    #[must_use]
                    pub const fn name(&self) -> &'static str {
                        match self { #(#name),* }
                    }
                }
            });
        }
        if !self.is_error && self.options.forms.is_empty() {
            all.extend(quote! {
                #[allow(unused_variables)]
                impl ::core::fmt::Display for #ident {
                    fn fmt(&self, f: &mut ::core::fmt::Formatter<'_>) -> ::core::fmt::Result {
                        match self { #(#display),* }
                    }
                }
            });
        }
        Ok(all)
    }
}

/// Whether the attributes derive an error.
fn derives_error(attributes: &[Attribute]) -> Result<bool> {
    for attribute in attributes {
        if attribute.path().is_ident("derive") {
            let derived =
                attribute.parse_args_with(Punctuated::<Path, Token![,]>::parse_terminated)?;
            let last = |path: &Path| path.segments.last().is_some_and(|s| s.ident == "Error");
            if derived.iter().any(last) {
                return Ok(true);
            }
        }
    }
    Ok(false)
}

/// The type with its texts.
pub fn expand(options: Options, mut item: Item) -> Result<TokenStream> {
    let (ident, attributes) = match &item {
        Item::Enum(item) => (item.ident.clone(), &item.attrs),
        Item::Struct(item) => (item.ident.clone(), &item.attrs),
        other => {
            return Err(Error::new_spanned(
                other,
                "only an enum or a struct says something",
            ));
        }
    };
    let mut expansion = Expansion {
        options: &options,
        is_error: derives_error(attributes)?,
        messages: catalogue::group(&ident.to_string())?,
        used: BTreeSet::new(),
        arms: Arms::default(),
    };
    let prefix = kebab(&ident);
    match &mut item {
        Item::Enum(item) => {
            for variant in &mut item.variants {
                let (ident, fields) = (&variant.ident, &variant.fields);
                let name = kebab(ident);
                let key = format!("{prefix}-{name}");
                expansion.add(quote!(Self::#ident), key, name, &mut variant.attrs, fields)?;
            }
        }
        Item::Struct(item) => {
            let fields = item.fields.clone();
            expansion.add(
                quote!(Self),
                prefix.clone(),
                prefix,
                &mut item.attrs,
                &fields,
            )?;
        }
        _ => {}
    }
    let beside = expansion.finish(&ident)?;
    Ok(quote!(#item #beside))
}
