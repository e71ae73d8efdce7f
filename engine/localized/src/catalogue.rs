//! The catalogue, read once for each type that is expanded.

use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

use fluent_syntax::ast::{Entry, Message, Pattern};
use fluent_syntax::parser;
use syn::Result;

use crate::wrong;

/// One message: its text, and the texts of its attributes.
pub struct Texts {
    pub value: Option<Pattern<String>>,
    pub attributes: BTreeMap<String, Pattern<String>>,
}

fn read() -> Result<Vec<Entry<String>>> {
    let folder = std::env::var_os("CARGO_MANIFEST_DIR")
        .ok_or_else(|| wrong("CARGO_MANIFEST_DIR is not set".into()))?;
    let path = PathBuf::from(folder).join("locales/en.ftl");
    let text =
        fs::read_to_string(&path).map_err(|error| wrong(format!("{}: {error}", path.display())))?;
    let resource = parser::parse(text)
        .map_err(|(_, errors)| wrong(format!("{}: {errors:?}", path.display())))?;
    Ok(resource.body)
}

/// One text by its key.
pub fn text(key: &str) -> Result<Option<Pattern<String>>> {
    thread_local! {
        static TEXTS: OnceCell<BTreeMap<String, Pattern<String>>> = const { OnceCell::new() };
    }
    TEXTS.with(|texts| {
        if texts.get().is_none() {
            let named = read()?.into_iter().filter_map(|entry| match entry {
                Entry::Message(Message { id, value, .. }) => Some((id.name, value?)),
                _ => None,
            });
            let _ = texts.set(named.collect());
        }
        Ok(texts.get().and_then(|texts| texts.get(key).cloned()))
    })
}

/// The messages of one type by key, from the group that has the type's name.
pub fn group(name: &str) -> Result<BTreeMap<String, Texts>> {
    let mut found = BTreeMap::new();
    let mut within = false;
    for entry in read()? {
        match entry {
            Entry::GroupComment(comment) => {
                within = comment.content.first().is_some_and(|line| line == name);
            }
            Entry::Message(message) if within => {
                let attributes = message.attributes.into_iter();
                let message_read = Texts {
                    value: message.value,
                    attributes: attributes.map(|a| (a.id.name, a.value)).collect(),
                };
                if found
                    .insert(message.id.name.clone(), message_read)
                    .is_some()
                {
                    return Err(wrong(format!(
                        "{} stands twice in the catalogue",
                        message.id.name
                    )));
                }
            }
            _ => {}
        }
    }
    Ok(found)
}
