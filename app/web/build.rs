//! Asks the linker to leave in the program what splitting it into pieces needs.

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    if std::env::var("CARGO_CFG_TARGET_FAMILY").is_ok_and(|family| family == "wasm") {
        println!("cargo::rustc-link-arg-bins=--emit-relocs");
        // Splitting would have to move it, and a browser shows the names of functions without it.
        println!("cargo::rustc-link-arg-bins=--strip-debug");
    }
}
