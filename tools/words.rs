//! Writes the message files anew: `cargo run --example words`.
//!
//! `en.json` is what the sources hold. Every other file keeps its translations, under the file where their sentence
//! stands now; what is new is left empty, for a translator to fill, and what nobody says any more is dropped.

#[path = "../tests/words_support/mod.rs"]
mod sources;

use leadbar::words::Language;
use sources::{Messages, folder, messages};
use std::collections::BTreeMap;
use std::error::Error;
use std::fs;

fn main() -> Result<(), Box<dyn Error>> {
    let english = messages();
    fs::create_dir_all(folder())?;
    for language in Language::ALL {
        let path = folder().join(format!("{}.json", language.tag()));
        let (messages, empty) = match language {
            Language::English => (english.clone(), 0),
            _ => translated(&english, fs::read_to_string(&path).ok().as_deref())?,
        };
        fs::write(&path, serde_json::to_string_pretty(&messages)? + "\n")?;
        let all: usize = messages.values().map(BTreeMap::len).sum();
        println!("{}: {all} sentences, {empty} to translate", path.display());
    }
    Ok(())
}

/// The English sentences with what is already translated, and how many are not.
fn translated(english: &Messages, text: Option<&str>) -> Result<(Messages, usize), serde_json::Error> {
    let old: Messages = text.map_or(Ok(Messages::new()), serde_json::from_str)?;
    let old: BTreeMap<String, String> = old.into_values().flatten().collect();
    let mut new = english.clone();
    let mut empty = 0;
    for (key, words) in new.values_mut().flatten() {
        *words = old.get(key).cloned().unwrap_or_default();
        empty += usize::from(words.is_empty());
    }
    Ok((new, empty))
}
