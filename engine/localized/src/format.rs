//! A pattern of the catalogue as arguments of `format!`.

use std::collections::BTreeMap;

use fluent_syntax::ast::{Expression, InlineExpression, Pattern, PatternElement, VariantKey};
use proc_macro2::TokenStream;
use quote::quote;
use syn::{Error, Result};

use crate::wrong;

/// What an argument of a message is in the code.
pub type Arguments = BTreeMap<String, TokenStream>;

/// A format string and what it is filled with.
#[derive(Default)]
pub struct Formatted {
    pub text: String,
    pub with: Vec<TokenStream>,
    /// The arguments that occur, in the order in which they do.
    pub used: Vec<String>,
}

impl Formatted {
    /// The text when nothing has to be filled in.
    pub fn plain(&self) -> Option<String> {
        let plain = self.with.is_empty();
        plain.then(|| self.text.replace("{{", "{").replace("}}", "}"))
    }

    fn push(&mut self, text: &str) {
        self.text
            .push_str(&text.replace('{', "{{").replace('}', "}}"));
    }

    fn fill(&mut self, with: TokenStream) {
        self.text.push_str("{}");
        self.with.push(with);
    }

    fn variable(&mut self, key: &str, name: &str, given: &Arguments) -> Result<TokenStream> {
        let code = given.get(name).ok_or_else(|| {
            unfit(
                key,
                &format!("${name} is neither a field nor given by #[message({name} = ...)]"),
            )
        })?;
        if !self.used.iter().any(|used| used == name) {
            self.used.push(name.to_owned());
        }
        Ok(code.clone())
    }
}

fn unfit(key: &str, what: &str) -> Error {
    wrong(format!("{key} in the catalogue: {what}"))
}

/// The pattern as a format string.
pub fn format(key: &str, pattern: &Pattern<String>, given: &Arguments) -> Result<Formatted> {
    let mut all = Formatted::default();
    for element in &pattern.elements {
        match element {
            PatternElement::TextElement { value } => all.push(value),
            PatternElement::Placeable { expression } => match expression {
                Expression::Inline(InlineExpression::StringLiteral { value }) => all.push(value),
                Expression::Inline(InlineExpression::VariableReference { id }) => {
                    let code = all.variable(key, &id.name, given)?;
                    all.fill(code);
                }
                Expression::Select {
                    selector: InlineExpression::VariableReference { id },
                    variants,
                } => {
                    let on = all.variable(key, &id.name, given)?;
                    let mut choices = Vec::new();
                    let mut default = None;
                    for variant in variants {
                        let name = match &variant.key {
                            VariantKey::Identifier { name } => name,
                            VariantKey::NumberLiteral { value } => value,
                        };
                        let inner = format(key, &variant.value, given)?;
                        for used in inner.used {
                            all.variable(key, &used, given)?;
                        }
                        let (text, with) = (inner.text, inner.with);
                        let text = quote!(::alloc::format!(#text #(, #with)*));
                        if variant.default {
                            default = Some(text);
                        } else {
                            choices.push(quote!((#name, #text)));
                        }
                    }
                    let default = default.ok_or_else(|| unfit(key, "a choice has no default"))?;
                    all.fill(quote!(crate::message::choose(
                        &crate::message::argument!(#on), [#(#choices),*], #default
                    )));
                }
                _ => {
                    return Err(unfit(
                        key,
                        "only variables, literals and choices are used here",
                    ));
                }
            },
        }
    }
    Ok(all)
}
