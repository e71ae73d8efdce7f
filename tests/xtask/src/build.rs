//! The app's build by Trunk.

use anyhow::{Context as _, Result};

use crate::{place, tools};

/// How the app is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Quick to compile, large, slow.
    Quick,
    /// As phones get it: small, optimised, compressed.
    Phone,
}

/// Builds the app into [`place::dist`], installing what is missing first.
///
/// # Errors
/// When a tool cannot be installed or the build fails.
pub fn app(kind: Kind) -> Result<()> {
    let optimiser = tools::for_build()?;
    // Trunk is told to stay off the network so that it downloads no tools of its own.
    tools::run(tools::command("cargo").args([
        "fetch",
        "--quiet",
        "--locked",
        "--target",
        tools::WASM,
    ]))
    .context("could not fetch the app's dependencies")?;
    let mut trunk = tools::command("trunk");
    trunk.args(["--log=warn", "build", "--offline=true"]);
    match (kind, optimiser) {
        (Kind::Quick, _) => {}
        (Kind::Phone, true) => {
            trunk.arg("--release=true");
        }
        (Kind::Phone, false) => {
            eprintln!(
                "warning: no npm and no wasm-opt here, so the app is about a fifth larger than it should be"
            );
            trunk.args(["--cargo-profile", "phone"]);
        }
    }
    if kind == Kind::Phone {
        // Views of one type instead of one type each: a fifth off the download.
        trunk.env("RUSTFLAGS", "--cfg erase_components");
    }
    trunk.env(
        crate::seal::COMPRESS,
        if kind == Kind::Phone { "yes" } else { "no" },
    );
    println!(
        "Building the app into {}",
        place::dist()
            .strip_prefix(place::top())
            .unwrap_or(&place::dist())
            .display()
    );
    tools::run(&mut trunk)
}
