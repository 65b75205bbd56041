//! Lists the lessons: every `lessons/<part>/<lesson>.md` becomes part of the program, so that adding one needs no Rust.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let root = PathBuf::from(env::var_os("CARGO_MANIFEST_DIR").unwrap_or_default());
    println!("cargo:rerun-if-changed=tools/lessons.rs");
    println!("cargo:rerun-if-changed=lessons");
    let mut list = String::from("[\n");
    for part in entries(&root.join("lessons"))? {
        for lesson in entries(&part)? {
            if lesson.extension().is_some_and(|e| e == "md") {
                let name = lesson.strip_prefix(&root).unwrap_or(&lesson).display().to_string();
                let _ = writeln!(list, "    ({:?}, include_str!({lesson:?})),", name.replace('\\', "/"));
            }
        }
    }
    list.push_str("]\n");
    let out = PathBuf::from(env::var_os("OUT_DIR").unwrap_or_default());
    fs::write(out.join("lessons.rs"), list)
}

/// What lies in a folder, by name; nothing where there is no such folder.
fn entries(folder: &Path) -> io::Result<Vec<PathBuf>> {
    if !folder.is_dir() {
        return Ok(Vec::new());
    }
    let mut found: Vec<PathBuf> = fs::read_dir(folder)?
        .map(|e| e.map(|e| e.path()))
        .collect::<Result<_, _>>()?;
    found.sort();
    Ok(found)
}
