//! The message files say all that the program says, and nothing else.

#[path = "words_support/mod.rs"]
mod sources;

use leadbar::words::Language;
use sources::{Messages, Token, folder, marked, messages, sources, tokens};
use std::collections::BTreeMap;
use std::fs;

fn file(language: Language) -> Messages {
    let path = folder().join(format!("{}.json", language.tag()));
    let text = fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

#[test]
fn the_english_file_holds_what_the_sources_say() {
    assert!(
        file(Language::English) == messages(),
        "write it anew: cargo run --example words"
    );
}

/// The files whose sentences are told in two halves: what is so, a colon, what to do.
const HALVES: [&str; 2] = ["src/solo/playable.rs", "src/steel/body.rs"];

#[test]
fn every_language_says_every_sentence_with_the_same_names_in_it() {
    let english = messages();
    let mut faults = Vec::new();
    let mut read = 0;
    for language in Language::ALL.into_iter().filter(|l| *l != Language::English) {
        let own = file(language);
        let keys = |messages: &Messages| -> Vec<(String, String)> {
            let in_file = |(file, said): (&String, &BTreeMap<String, String>)| {
                said.keys().map(|key| (file.clone(), key.clone())).collect::<Vec<_>>()
            };
            messages.iter().flat_map(in_file).collect()
        };
        assert_eq!(keys(&own), keys(&english), "write it anew: cargo run --example words");
        let parted = |file: &String| HALVES.contains(&file.as_str());
        for (key, said) in own.iter().filter(|(file, _)| parted(file)).flat_map(|(_, all)| all) {
            if key.contains(": ") != said.contains(": ") {
                faults.push(format!("{}: {key:?}: what to do stands behind a colon", language.tag()));
            }
        }
        for (key, said) in own.values().flatten() {
            read += 1;
            faults.extend(fault(key, said).map(|what| format!("{}: {key:?}: {what}", language.tag())));
        }
    }
    assert!(read > 500, "only {read} sentences were read");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// What is wrong with a translation, if anything.
fn fault(key: &str, said: &str) -> Option<String> {
    let (sentence, aside) = key.split_once('¦').unwrap_or((key, ""));
    if said.trim().is_empty() {
        return Some("not translated".to_owned());
    }
    let ends = |text: &str| (text.starts_with(' '), text.ends_with(' '));
    if ends(sentence) != ends(said) {
        return Some("a space at its beginning or end is missing or too many".to_owned());
    }
    // The form for one may leave out the number.
    let counts = |name: &String| !(key.ends_with("¦one") && name == "n");
    let kept = |text: &str| -> Vec<String> { names(text).into_iter().filter(counts).collect() };
    (kept(sentence) != kept(said))
        .then(|| format!("its names are {:?} and not those of {sentence:?} {aside}", names(said)))
}

/// The names in braces of a sentence.
fn names(sentence: &str) -> Vec<String> {
    let mut names: Vec<String> = sentence
        .split('{')
        .skip(1)
        .filter_map(|part| part.split_once('}'))
        .map(|(name, _)| name.to_owned())
        .collect();
    names.sort();
    names.dedup();
    names
}

#[test]
fn a_sentence_is_found_however_it_is_written() {
    let code = r#"
        // say!("in a comment")
        let c = '"'; let s: &'static str = say!("One \"quoted\" \
            line");
        said!(self.n(|x| x > 1) => "{n} bar", "{n} bars", of = say!("inside"));
        key!("Bar¦the steel"); essay!("no"); format!("{}", say!("{a} \u{b2}", a))
    "#;
    let found = marked(code);
    let found: Vec<(&str, &str)> = found
        .iter()
        .map(|(key, english)| (key.as_str(), english.as_str()))
        .collect();
    assert_eq!(
        found,
        [
            ("One \"quoted\" line", "One \"quoted\" line"),
            ("{n} bars", "{n} bars"),
            ("{n} bars¦one", "{n} bar"),
            ("inside", "inside"),
            ("Bar¦the steel", "Bar"),
            ("{a} ²", "{a} ²"),
        ]
    );
}

/// Attributes that are read out or shown.
const SPOKEN: [&str; 5] = ["label", "placeholder", "title", "hint", "name"];

#[test]
fn no_view_shows_or_names_anything_that_cannot_be_translated() {
    let mut faults = Vec::new();
    for (file, code) in sources().into_iter().filter(|(file, _)| file.starts_with("src/ui/")) {
        let tokens = tokens(&code);
        for at in 2..tokens.len() {
            let Token::Text(text) = &tokens[at] else { continue };
            let words = text
                .split(|c: char| !c.is_alphabetic())
                .any(|word| word.chars().count() > 1);
            let capital = text.trim_start().starts_with(char::is_uppercase) || text.contains(' ');
            // `>"…"` after a tag, not after `=>` or `->`; `"…"<` before one; `aria-label="…"`.
            let after_tag = tokens[at - 1] == Token::Sign('>') && !matches!(tokens[at - 2], Token::Sign('=' | '-'));
            let before_tag = tokens.get(at + 1) == Some(&Token::Sign('<'));
            let attribute = tokens[at - 1] == Token::Sign('=')
                && capital
                && matches!(&tokens[at - 2], Token::Name(name) if SPOKEN.contains(&name.as_str()));
            if words && text != "Leadbar" && (after_tag || before_tag || attribute) {
                faults.push(format!("{file}: {text:?}"));
            }
        }
    }
    assert!(faults.is_empty(), "wrap these in say!:\n{}", faults.join("\n"));
}
