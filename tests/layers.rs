//! The layers hold: a lower one never names a higher one, and only `platform` and `ui` know a browser.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The layers, lowest first. Each may name those before it, never those after it.
const LAYERS: [&str; 11] = [
    "words", "theory", "steel", "solo", "sound", "listen", "exchange", "teach", "app", "platform", "ui",
];

/// The layers that are made for a browser; all before them build and are tested natively.
const BROWSER_LAYERS: [&str; 2] = ["platform", "ui"];

/// Crates that only make sense in a browser; also as prefixes (`leptos_dom`, `gloo_timers`).
const WEB_CRATES: [&str; 6] = [
    "leptos",
    "web_sys",
    "js_sys",
    "wasm_bindgen",
    "serde_wasm_bindgen",
    "gloo",
];

/// A source file: its place in the tree and its code without comments.
struct Source {
    path: PathBuf,
    code: String,
}

fn sources_of(layer: &str) -> Vec<Source> {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    let single = src.join(layer).with_extension("rs");
    if single.is_file() {
        found.push(read(single));
    }
    collect(&src.join(layer), &mut found);
    found
}

fn collect(folder: &Path, found: &mut Vec<Source>) {
    let Ok(entries) = fs::read_dir(folder) else {
        return;
    };
    for entry in entries.flatten() {
        let path = entry.path();
        if path.is_dir() {
            collect(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(read(path));
        }
    }
}

fn read(path: PathBuf) -> Source {
    let text = fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let code = text
        .lines()
        .map(|line| line.split("//").next().unwrap_or(""))
        .collect::<Vec<_>>()
        .join("\n");
    Source { path, code }
}

/// The identifiers of a piece of code, each with what follows it.
fn identifiers(code: &str) -> impl Iterator<Item = (&str, &str)> {
    let is_part = |c: char| c.is_alphanumeric() || c == '_';
    let mut rest = code;
    std::iter::from_fn(move || {
        let start = rest.find(is_part)?;
        let tail = &rest[start..];
        let end = tail.find(|c| !is_part(c)).unwrap_or(tail.len());
        rest = &tail[end..];
        Some((&tail[..end], rest))
    })
}

/// The modules that code reaches from the crate's root: `solo` and `ui` in `crate::solo::x`,
/// `super::solo`, `crate::{theory::y, ui}`.
fn modules_named(code: &str) -> Vec<&str> {
    let mut named = Vec::new();
    for (word, after) in identifiers(code) {
        if !matches!(word, "crate" | "super" | "leadbar") {
            continue;
        }
        let Some(path) = after.trim_start().strip_prefix("::").map(str::trim_start) else {
            continue;
        };
        match path.strip_prefix('{') {
            Some(group) => named.extend(heads_of_group(group)),
            None => named.extend(identifiers(path).next().map(|(name, _)| name)),
        }
    }
    named
}

/// The first name of each member of a `{a::b, c::{d, e}}` whose opening brace is already read.
fn heads_of_group(group: &str) -> Vec<&str> {
    let mut heads = Vec::new();
    let (mut depth, mut begin) = (0usize, 0usize);
    for (at, c) in group.char_indices() {
        let ends_member = depth == 0 && matches!(c, ',' | '}');
        if ends_member {
            heads.extend(identifiers(&group[begin..at]).next().map(|(name, _)| name));
            begin = at + 1;
        }
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            _ => {}
        }
    }
    heads
}

fn is_web_crate(word: &str) -> bool {
    WEB_CRATES
        .iter()
        .any(|name| word == *name || word.strip_prefix(name).is_some_and(|tail| tail.starts_with('_')))
}

#[test]
fn the_reader_of_paths_sees_groups_and_plain_paths() {
    let code = "use crate::{theory::{a, b}, ui};\nuse super::solo::x;\nlet y = crate :: app::Z; pub(crate) fn f() {}";
    assert_eq!(modules_named(code), ["theory", "ui", "solo", "app"]);
    assert!(is_web_crate("leptos_dom") && is_web_crate("web_sys") && !is_web_crate("webbing"));
}

#[test]
fn a_lower_layer_never_names_a_higher_one() {
    let mut faults = Vec::new();
    for (rank, layer) in LAYERS.iter().enumerate() {
        for source in sources_of(layer) {
            for name in modules_named(&source.code) {
                if LAYERS[rank + 1..].contains(&name) {
                    faults.push(format!(
                        "{}: `{layer}` names the higher layer `{name}`",
                        source.path.display()
                    ));
                }
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn only_the_browser_layers_name_a_web_crate() {
    let mut read = 0;
    let mut faults = Vec::new();
    for layer in LAYERS.iter().filter(|layer| !BROWSER_LAYERS.contains(layer)) {
        for source in sources_of(layer) {
            read += 1;
            for (word, _) in identifiers(&source.code).filter(|(word, _)| is_web_crate(word)) {
                faults.push(format!(
                    "{}: `{layer}` names the web crate `{word}`",
                    source.path.display()
                ));
            }
        }
    }
    assert!(read > 0, "no source file was found");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn the_native_build_holds_no_web_crate() {
    let tree = Command::new(env!("CARGO"))
        .args(["tree", "--offline", "--edges", "normal", "--prefix", "none"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo runs");
    let names = String::from_utf8_lossy(&tree.stdout).into_owned();
    assert!(tree.status.success(), "{}", String::from_utf8_lossy(&tree.stderr));
    let web: Vec<_> = names
        .lines()
        .filter_map(|line| line.split(' ').next())
        .filter(|name| is_web_crate(&name.replace('-', "_")))
        .collect();
    assert!(names.contains("leadbar"), "cargo tree listed nothing");
    assert!(web.is_empty(), "the native build depends on {}", web.join(", "));
}
