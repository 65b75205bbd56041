//! Writes what a teacher carries away into a folder, for readers outside the crate to open: manifests of packages and
//! the table of a class.
//!
//! `cargo run --example teaching -- FOLDER`. Beside each file lies what it must be found to hold.

use leadbar::exchange::link;
use leadbar::teach::exercise::{Exercise, Kind};
use leadbar::teach::scorm::{Content, ENTRY, Manifest};
use leadbar::teach::{Assignment, Class, Given, Handed, Item};
use std::error::Error;
use std::path::Path;
use std::{env, fs};

/// Names that a spreadsheet would compute with, or that a table could stumble over.
const NAMES: [&str; 9] = [
    "=cmd|' /C calc'!A0",
    "+1",
    "-1",
    "@x",
    "\t=1",
    "Wren, \"the small\"",
    "Two\nlines",
    "Öl & Salz; 3",
    "'quoted'",
];

fn main() -> Result<(), Box<dyn Error>> {
    let folder = env::args().nth(1).ok_or("usage: teaching FOLDER")?;
    let folder = Path::new(&folder);
    fs::create_dir_all(folder)?;
    let work = work();
    for (name, content) in [
        ("work", Content::Work(Box::new(work.clone()))),
        ("course", Content::Course),
    ] {
        let files = [ENTRY, "leadbar.js", "leadbar_bg.wasm", "css/base.css"].map(str::to_owned);
        let manifest = Manifest {
            id: &content.id(),
            title: &content.title(),
            files: &files,
        };
        fs::write(folder.join(format!("{name}.xml")), manifest.text())?;
        let held = serde_json::json!({ "title": content.title(), "files": files });
        fs::write(folder.join(format!("{name}.json")), held.to_string())?;
    }
    let mut class = Class::default();
    let mut held = Vec::new();
    for name in NAMES {
        let handed = Handed::new(work.clone(), name, answers(&work)?);
        class.take("-answers.txt", link::write(&handed)?.as_bytes());
        held.push(serde_json::json!({ "name": handed.name, "score": handed.score().0 }));
    }
    fs::write(folder.join("class.csv"), class.csv())?;
    fs::write(folder.join("class.json"), serde_json::to_string(&held)?)?;
    Ok(())
}

/// Work with a title that markup and formulas could take amiss.
fn work() -> Assignment {
    let item = |(seed, kind)| Item {
        exercise: Exercise::of(kind),
        seed,
        weight: 1,
    };
    Assignment {
        title: "=1+1 \"Week\" <three> & \u{1}four".to_owned(),
        items: (1..)
            .zip([Kind::NameChord, Kind::FindChord, Kind::Ending])
            .map(item)
            .collect(),
        ..Assignment::default()
    }
}

/// The first exercise right, the second wrong, the last left out.
fn answers(work: &Assignment) -> Result<Vec<Given>, Box<dyn Error>> {
    let [first, second, ..] = work.items.as_slice() else {
        return Err("too few exercises".into());
    };
    let given = |answer| Given {
        answer: Some(answer),
        ..Given::default()
    };
    let wrong = work.task(second)?.typical_wrong().swap_remove(0);
    Ok(vec![given(work.task(first)?.model_answer()), given(wrong)])
}
