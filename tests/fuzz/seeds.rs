//! Writes the files that the fuzzers begin with: `seeds FOLDER` makes a folder of each reader in it.

#[path = "../foreign/mod.rs"]
mod foreign;

use foreign::{READERS, Reader};
use std::{env, fs, io, path::PathBuf};

fn main() -> io::Result<()> {
    let folder = env::args().nth(1).map(PathBuf::from);
    let folder = folder.ok_or_else(|| io::Error::other("say where the files are to go: seeds FOLDER"))?;
    for Reader { name, law, seeds } in READERS {
        let home = folder.join(name);
        fs::create_dir_all(&home)?;
        for (index, bytes) in seeds().iter().enumerate() {
            law(bytes);
            fs::write(home.join(format!("seed-{index}")), bytes)?;
        }
    }
    Ok(())
}
