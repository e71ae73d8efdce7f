//! The licences of everything by others that is handed out: each crate with its terms, and every text of
//! a licence that lies beside its source, once.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use anyhow::{Context as _, Result, bail};
use serde_json::Value;
use xtask::tools;

/// Where they stand, in the app and beside it.
pub const FILE: &str = "third-party.txt";

/// A crate by others.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Foreign {
    name: String,
    version: String,
    terms: String,
    source: String,
    manifest: String,
}

/// The text that goes with a program: the crates that it is made of for a target.
///
/// # Errors
/// When Cargo does not say, or a crate names no licence.
pub fn of(package: &str, target: &str) -> Result<String> {
    let mut cargo = tools::command("cargo");
    cargo.args([
        "metadata",
        "--format-version",
        "1",
        "--locked",
        "--filter-platform",
        target,
    ]);
    let said = cargo.output().context("could not start cargo")?;
    let metadata = serde_json::from_slice(&said.stdout).context("cargo metadata")?;
    written(package, &foreign(&metadata, package)?)
}

/// The crates by others that a package of this workspace is made of, its tests and build aside.
fn foreign(metadata: &Value, package: &str) -> Result<BTreeSet<Foreign>> {
    let list = |value: &Value| value.as_array().cloned().unwrap_or_default();
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let packages: BTreeMap<String, Value> = list(&metadata["packages"])
        .into_iter()
        .map(|p| (text(&p["id"]), p))
        .collect();
    let nodes: BTreeMap<String, Value> = list(&metadata["resolve"]["nodes"])
        .into_iter()
        .map(|n| (text(&n["id"]), n))
        .collect();
    let first = packages
        .iter()
        .find(|(_, p)| p["name"] == package && p["source"].is_null());
    let Some((first, _)) = first else {
        bail!("there is no package {package} in the workspace");
    };
    let (mut waiting, mut seen) = (vec![first.clone()], BTreeSet::new());
    let mut found = BTreeSet::new();
    while let Some(id) = waiting.pop() {
        if !seen.insert(id.clone()) {
            continue;
        }
        for needed in list(&nodes[&id]["deps"]) {
            // Without a kind it is in the program; with one it is of the tests or the build.
            if list(&needed["dep_kinds"])
                .iter()
                .any(|kind| kind["kind"].is_null())
            {
                waiting.push(text(&needed["pkg"]));
            }
        }
        let package = &packages[&id];
        if package["source"].is_null() {
            continue;
        }
        let terms = match (&package["license"], &package["license_file"]) {
            (Value::String(terms), _) => terms.clone(),
            (_, Value::String(file)) => format!("see {file}"),
            _ => bail!("{} names no licence", package["name"]),
        };
        found.insert(Foreign {
            name: text(&package["name"]),
            version: text(&package["version"]),
            terms,
            source: text(&package["repository"]),
            manifest: text(&package["manifest_path"]),
        });
    }
    Ok(found)
}

fn written(package: &str, all: &BTreeSet<Foreign>) -> Result<String> {
    let mut out = format!("Made by others, in {package}: {} crates\n\n", all.len());
    let mut texts: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for one in all {
        writeln!(
            out,
            "{} {}: {}. {}",
            one.name, one.version, one.terms, one.source
        )?;
        for text in beside(Path::new(&one.manifest))? {
            let named = format!("{} {}", one.name, one.version);
            texts.entry(text).or_default().push(named);
        }
    }
    for (text, of) in texts {
        write!(
            out,
            "\n{}\nFor {}:\n\n{}\n",
            "-".repeat(78),
            of.join(", "),
            text.trim_end()
        )?;
    }
    Ok(out)
}

/// The texts of licences and notices beside a manifest.
fn beside(manifest: &Path) -> Result<Vec<String>> {
    let Some(folder) = manifest.parent() else {
        return Ok(Vec::new());
    };
    let mut texts = Vec::new();
    for entry in fs::read_dir(folder).with_context(|| folder.display().to_string())? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().to_uppercase();
        let legal = ["LICEN", "COPYING", "NOTICE", "UNLICENSE"]
            .iter()
            .any(|is| name.starts_with(is));
        if legal && entry.file_type()?.is_file() {
            texts.extend(fs::read_to_string(entry.path()).ok());
        }
    }
    texts.sort();
    Ok(texts)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use serde_json::json;

    use super::*;

    fn metadata(terms: Value) -> Value {
        json!({
            "packages": [
                { "id": "app", "name": "app", "source": null },
                { "id": "own", "name": "own", "source": null },
                { "id": "lib", "name": "lib", "version": "1.2.0", "source": "registry", "license": terms,
                  "license_file": null, "repository": "https://lib.example", "manifest_path": "/none/Cargo.toml" },
                { "id": "tester", "name": "tester", "source": "registry", "license": "MIT" },
            ],
            "resolve": { "nodes": [
                { "id": "app", "deps": [
                    { "pkg": "own", "dep_kinds": [{ "kind": null }] },
                    { "pkg": "tester", "dep_kinds": [{ "kind": "dev" }] } ] },
                { "id": "own", "deps": [{ "pkg": "lib", "dep_kinds": [{ "kind": null }, { "kind": "build" }] }] },
                { "id": "lib", "deps": [] },
                { "id": "tester", "deps": [] },
            ] }
        })
    }

    #[test]
    fn what_is_in_the_program_is_named_and_its_tests_are_not() {
        let found = foreign(&metadata(json!("MIT OR Apache-2.0")), "app").unwrap();
        let names: Vec<_> = found
            .iter()
            .map(|one| (one.name.as_str(), one.terms.as_str()))
            .collect();
        assert_eq!(names, [("lib", "MIT OR Apache-2.0")]);
    }

    #[test]
    fn a_crate_without_terms_is_not_handed_out() {
        let said = foreign(&metadata(Value::Null), "app")
            .unwrap_err()
            .to_string();
        assert!(
            said.contains("lib") && said.contains("no licence"),
            "{said}"
        );
        assert!(foreign(&metadata(json!("MIT")), "other").is_err());
    }
}
