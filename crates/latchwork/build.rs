//! Gathers the starters: each is a document of the folder `starters`, and none is named in the code.
#![expect(clippy::disallowed_methods, reason = "a build script: it runs when the program is built, not in it")]

use std::fmt::Write;
use std::path::Path;
use std::{env, fs};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = Path::new(&env::var("CARGO_MANIFEST_DIR")?).join("starters");
    println!("cargo::rerun-if-changed={}", folder.display());
    let mut files: Vec<_> = fs::read_dir(&folder)?.map(|f| f.map(|f| f.path())).collect::<Result<_, _>>()?;
    files.sort();
    let mut all = String::from("&[\n");
    for file in files.iter().filter(|f| f.extension().is_some_and(|e| e == "kdl")) {
        let name = file.file_stem().and_then(|s| s.to_str()).unwrap_or_default();
        writeln!(all, "    Starter {{ name: {name:?}, text: include_str!({:?}) }},", file.display().to_string())?;
    }
    all.push(']');
    fs::write(Path::new(&env::var("OUT_DIR")?).join("starters.rs"), all)?;
    Ok(())
}
