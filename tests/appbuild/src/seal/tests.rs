#![allow(clippy::unwrap_used)]

use std::fs;

use super::seal;

fn build(worker: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("index.html"), "abc").unwrap();
    fs::write(folder.path().join("sw.js"), worker).unwrap();
    fs::create_dir(folder.path().join("icons")).unwrap();
    fs::write(folder.path().join("icons/court.svg"), "<svg/>").unwrap();
    folder
}

const WORKER: &str = "const BUILD = \"\";\nconst FILES = {};\nrest();\n";

#[test]
fn every_file_is_listed_with_its_digest() {
    let folder = build(WORKER);
    let name = seal(folder.path()).unwrap();
    let worker = fs::read_to_string(folder.path().join("sw.js")).unwrap();
    assert!(worker.contains(&format!("const BUILD = \"{name}\";\n")));
    // SHA-256 of "abc": FIPS 180-2, appendix B.1.
    assert!(
        worker.contains("\"index.html\":\"sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=\"")
    );
    assert!(worker.contains("\"icons/court.svg\""));
    assert!(!worker.contains("sw.js"), "the worker does not list itself");
    assert!(worker.ends_with("rest();\n"));
}

#[test]
fn the_name_follows_the_content_and_nothing_else() {
    let folder = build(WORKER);
    let first = seal(folder.path()).unwrap();
    fs::write(folder.path().join("index.html.br"), "old").unwrap();
    assert_eq!(first, seal(folder.path()).unwrap());
    assert!(
        !folder.path().join("index.html.br").exists(),
        "no stale copy is left"
    );
    fs::write(folder.path().join("index.html"), "abd").unwrap();
    assert_ne!(first, seal(folder.path()).unwrap());
}

#[test]
fn a_build_that_cannot_be_sealed_says_why() {
    let folder = build("nothing to fill in\n");
    let said = seal(folder.path()).unwrap_err().to_string();
    assert!(said.contains("const BUILD"), "{said}");
    fs::remove_file(folder.path().join("index.html")).unwrap();
    let said = seal(folder.path()).unwrap_err().to_string();
    assert!(said.contains("not built"), "{said}");
}
