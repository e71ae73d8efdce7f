//! The catalogue, read for what is expanded.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};

use fluent_syntax::ast::{Entry, Pattern};
use fluent_syntax::parser;
use syn::Result;

use crate::wrong;

/// One message: its text, and the texts of its attributes.
pub struct Message {
    pub value: Option<Pattern<String>>,
    pub attributes: BTreeMap<String, Pattern<String>>,
}

type Entries = Arc<Vec<Entry<String>>>;

/// The catalogue, parsed again only when it changed: a server of macros lives
/// longer than the file stays as it is.
fn read() -> Result<Entries> {
    static LAST: Mutex<Option<(String, Entries)>> = Mutex::new(None);
    let folder = std::env::var_os("CARGO_MANIFEST_DIR")
        .ok_or_else(|| wrong("CARGO_MANIFEST_DIR is not set".into()))?;
    let path = PathBuf::from(folder).join("locales/en.ftl");
    let text =
        fs::read_to_string(&path).map_err(|error| wrong(format!("{}: {error}", path.display())))?;
    let mut last = LAST.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some((of, entries)) = &*last
        && *of == text
    {
        return Ok(entries.clone());
    }
    let resource = parser::parse(text.clone())
        .map_err(|(_, errors)| wrong(format!("{}: {errors:?}", path.display())))?;
    let entries = Arc::new(resource.body);
    *last = Some((text, entries.clone()));
    Ok(entries)
}

/// One text by its key.
pub fn text(key: &str) -> Result<Option<Pattern<String>>> {
    let found = read()?.iter().find_map(|entry| match entry {
        Entry::Message(message) if message.id.name == key => message.value.clone(),
        _ => None,
    });
    Ok(found)
}

/// The messages of one type by key, from the group that has the type's name.
pub fn group(name: &str) -> Result<BTreeMap<String, Message>> {
    let mut found = BTreeMap::new();
    let mut within = false;
    for entry in read()?.iter() {
        match entry {
            Entry::GroupComment(comment) => {
                within = comment.content.first().is_some_and(|line| line == name);
            }
            Entry::Message(message) if within => {
                let attributes = message.attributes.iter().cloned();
                let message_read = Message {
                    value: message.value.clone(),
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
