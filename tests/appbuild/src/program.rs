//! One WebAssembly program as the compiler left it, made into what a browser loads: split where the
//! source says so, bound to JavaScript, and optimised piece by piece.
//!
//! The split comes before the binding, because it needs the compiler's relocations (`app/web/build.rs`
//! asks the linker for them), and the binding before the optimiser, because it needs the compiler's names.

use std::fs;
use std::path::Path;

use anyhow::{Context as _, Result, anyhow};
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};
use wasm_bindgen_cli_support::Bindgen;
use wasm_split_cli_support::Options;
use xtask::tools;

use crate::all_at_once;

/// A compiled program, and what is made of it.
#[derive(Clone, Copy, Debug)]
pub struct Program<'a> {
    /// The compiler's output.
    pub wasm: &'a Path,
    /// Where the files go.
    pub into: &'a Path,
    /// Whether it is made as small as can be.
    pub small: bool,
}

/// What the compiler may use, and every browser that the app supports has.
const FEATURES: [&str; 6] = [
    "--enable-bulk-memory",
    "--enable-nontrapping-float-to-int",
    "--enable-sign-ext",
    "--enable-mutable-globals",
    "--enable-multivalue",
    "--enable-reference-types",
];

impl Program<'_> {
    fn read(&self) -> Result<Vec<u8>> {
        fs::read(self.wasm).with_context(|| self.wasm.display().to_string())
    }

    /// Makes a finished piece smaller, in its place.
    fn optimise(&self, piece: &Path) -> Result<()> {
        if !self.small {
            return Ok(());
        }
        let mut command = tools::command(tools::OPTIMISER);
        tools::run(
            command
                .arg("-Oz")
                .args(FEATURES)
                .arg(piece)
                .arg("-o")
                .arg(piece),
        )
    }
}

/// Splits the app and binds its first piece. Every file is named after the program's content, so that
/// pieces of two builds are never mixed. Gives what `boot.js` has to load.
///
/// # Errors
/// When the program cannot be read, split, bound or optimised.
pub fn split_and_bind(program: &Program<'_>, name: &str) -> Result<Value> {
    let input = program.read()?;
    let digest = Sha256::digest(&input);
    let hash: String = digest
        .iter()
        .take(8)
        .map(|byte| format!("{byte:02x}"))
        .collect();
    let name = format!("{name}-{hash}");
    let link = format!("pieces-{hash}.js");
    let work = program.wasm.with_extension("split");
    let _ = fs::remove_dir_all(&work);
    fs::create_dir_all(&work)?;

    let main = work.join("main.wasm");
    let (link_path, main_module) = (format!("./{link}"), format!("./{name}.js"));
    let mut options = Options::new(&input);
    options.output_dir = &work;
    options.main_out_path = &main;
    options.link_name = &link_path;
    options.main_module = &main_module;
    let split = wasm_split_cli_support::transform(options)
        .map_err(|why| anyhow!("the app cannot be split: {why:?}"))?;

    // The loader names each piece; each gets the build's name too.
    let mut loader = fs::read_to_string(work.join(&link))?;
    let mut pieces = Vec::new();
    for piece in &split.split_modules {
        let stem = piece.file_stem().unwrap_or_default().to_string_lossy();
        let named = format!("{stem}-{hash}.wasm");
        loader = loader.replace(&format!("/{stem}.wasm"), &format!("/{named}"));
        let to = program.into.join(&named);
        fs::copy(piece, &to)?;
        pieces.push(to);
    }
    fs::write(program.into.join(&link), loader)?;

    bind(&main, program.into, &name, |bindgen| {
        // The pieces are linked to its table of functions.
        bindgen.keep_lld_exports(true).web(true)
    })?;
    let first = program.into.join(format!("{name}_bg.wasm"));
    pieces.push(first);
    all_at_once(&pieces, |piece| program.optimise(piece))?;
    Ok(json!({ "js": format!("{name}.js"), "wasm": format!("{name}_bg.wasm") }))
}

/// Binds a program that runs as a classic worker.
///
/// # Errors
/// When the program cannot be read, bound or optimised.
pub fn bind_worker(program: &Program<'_>, name: &str) -> Result<()> {
    bind(program.wasm, program.into, name, |bindgen| {
        bindgen.no_modules(true)
    })?;
    program.optimise(&program.into.join(format!("{name}_bg.wasm")))
}

fn bind(
    wasm: &Path,
    into: &Path,
    name: &str,
    target: impl FnOnce(&mut Bindgen) -> Result<&mut Bindgen>,
) -> Result<()> {
    let mut bindgen = Bindgen::new();
    bindgen.input_path(wasm).out_name(name).typescript(false);
    target(&mut bindgen)?.generate(into)
}
