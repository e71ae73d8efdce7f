//! Says where the app is that goes into the program: `CHALKBOOK_APP`, or
//! nowhere.

use std::path::PathBuf;

fn main() {
    println!("cargo::rerun-if-env-changed=CHALKBOOK_APP");
    if let Some(app) = std::env::var_os("CHALKBOOK_APP") {
        println!("cargo::rerun-if-changed={}", PathBuf::from(app).display());
    } else {
        let out = std::env::var("OUT_DIR").unwrap_or_default();
        println!("cargo::rustc-env=CHALKBOOK_APP={out}/no-app");
    }
}
