//! One WebAssembly program as the compiler left it, made into what a browser loads: split where the
//! source says so, bound to JavaScript, and freed of what only debuggers read.
//!
//! The split comes before the binding, because it needs the compiler's relocations (`app/web/build.rs`
//! asks the linker for them). No optimiser comes after: measured on this program, Binaryen's `-Oz` took
//! a twentieth off the pieces and nothing off what is sent of them.

use std::fs;
use std::path::Path;

use anyhow::{Context as _, Result, anyhow};
use data_encoding::HEXLOWER;
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};
use wasm_bindgen_cli_support::Bindgen;
use wasm_split_cli_support::Options;

/// A compiled program, and what is made of it.
#[derive(Clone, Copy, Debug)]
pub struct Program<'a> {
    /// The compiler's output.
    pub wasm: &'a Path,
    /// Where the files go.
    pub into: &'a Path,
    /// Whether the names that debuggers read are left out.
    pub small: bool,
}

impl Program<'_> {
    fn read(&self) -> Result<Vec<u8>> {
        fs::read(self.wasm).with_context(|| self.wasm.display().to_string())
    }

    /// Frees a finished piece of what only debuggers read, in its place.
    fn strip(&self, piece: &Path) -> Result<()> {
        if self.small {
            let whole = fs::read(piece)?;
            let bare = without_custom(&whole).with_context(|| piece.display().to_string())?;
            fs::write(piece, bare)?;
        }
        Ok(())
    }
}

/// A finished module without its custom sections (WebAssembly core specification 2.0, 5.5.2 and 5.5.3);
/// `None` when it is none.
fn without_custom(wasm: &[u8]) -> Option<Vec<u8>> {
    let (header, mut rest) = wasm.split_at_checked(8)?;
    let mut bare = header.to_vec();
    while let Some((&id, after)) = rest.split_first() {
        // The length: seven bits a byte, the lowest first, the highest bit set on all but the last.
        let bytes = after.iter().position(|byte| byte & 0x80 == 0)? + 1;
        let length = after.get(..bytes)?.iter().rev();
        let length = length.fold(0, |sum, byte| sum << 7 | usize::from(byte & 0x7f));
        let (section, next) = rest.split_at_checked(1 + bytes + length)?;
        if id != 0 {
            bare.extend_from_slice(section);
        }
        rest = next;
    }
    Some(bare)
}

/// Splits the app and binds its first piece. Every file is named after the program's content, so that
/// pieces of two builds are never mixed. Gives what `boot.js` has to load.
///
/// # Errors
/// When the program cannot be read, split or bound.
pub fn split_and_bind(program: &Program<'_>, name: &str) -> Result<Value> {
    let input = program.read()?;
    let hash = HEXLOWER.encode(&Sha256::digest(&input)[..8]);
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
    pieces.push(program.into.join(format!("{name}_bg.wasm")));
    pieces.iter().try_for_each(|piece| program.strip(piece))?;
    Ok(json!({ "js": format!("{name}.js"), "wasm": format!("{name}_bg.wasm") }))
}

/// Binds a program that runs as a classic worker.
///
/// # Errors
/// When the program cannot be read or bound.
pub fn bind_worker(program: &Program<'_>, name: &str) -> Result<()> {
    bind(program.wasm, program.into, name, |bindgen| {
        bindgen.no_modules(true)
    })?;
    program.strip(&program.into.join(format!("{name}_bg.wasm")))
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

#[cfg(test)]
mod tests {
    use super::without_custom;

    #[test]
    fn only_custom_sections_go() {
        let header = *b"\0asm\x01\0\0\0";
        let types = [1, 4, 1, 0x60, 0, 0];
        // A name of one letter and 200 bytes: the length takes two.
        let custom = [&[0, 0xca, 0x01, 1, b'n'][..], &[7; 200]].concat();
        let whole = [&header[..], &custom, &types, &custom].concat();
        assert_eq!(without_custom(&whole), Some([&header[..], &types].concat()));
        assert_eq!(without_custom(&whole[..whole.len() - 1]), None);
        assert_eq!(without_custom(b"\0asm"), None);
    }
}
