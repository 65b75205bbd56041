//! The sentences that stand in the sources, as the message files must hold them.

use leadbar::words::counted_key;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Sentences by the file they stand in, and there by their key. One that stands in several is kept under the first.
pub(crate) type Messages = BTreeMap<String, BTreeMap<String, String>>;

/// Where the message files lie.
pub(crate) fn folder() -> PathBuf {
    root().join("static/words")
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every sentence of the sources, each with its English.
pub(crate) fn messages() -> Messages {
    let mut known = BTreeMap::new();
    let mut found = Messages::new();
    for (file, text) in sources() {
        for (key, english) in marked(&text) {
            if known.insert(key.clone(), file.clone()).is_none() {
                found.entry(file.clone()).or_default().insert(key, english);
            }
        }
    }
    for name in ["static/boot.js", "static/trouble.js"] {
        let text = fs::read_to_string(root().join(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
        for sentence in spoken(&text) {
            if known.insert(sentence.clone(), name.to_owned()).is_none() {
                found
                    .entry(name.to_owned())
                    .or_default()
                    .insert(sentence.clone(), sentence);
            }
        }
    }
    for (file, text) in data() {
        let table = text.parse().unwrap_or_else(|e| panic!("{file}: {e}"));
        for name in named(&table, true) {
            if known.insert(name.clone(), file.clone()).is_none() {
                found.entry(file.clone()).or_default().insert(name.clone(), name);
            }
        }
    }
    found
}

/// The files of instruments and attitudes that come with the page, by their path below the crate.
fn data() -> Vec<(String, String)> {
    let mut all = Vec::new();
    for folder in ["static/feels", "static/instruments"] {
        for entry in fs::read_dir(root().join(folder)).into_iter().flatten().flatten() {
            let name = format!("{folder}/{}", entry.file_name().to_string_lossy());
            let text = fs::read_to_string(entry.path()).unwrap_or_else(|e| panic!("{name}: {e}"));
            all.push((name, text));
        }
    }
    all.sort();
    all
}

/// What such a file calls itself and says about itself, and its choices' labels. Strings, pedals and levers are called
/// the same everywhere.
fn named(table: &toml::Table, outermost: bool) -> Vec<String> {
    let mut found = Vec::new();
    for (key, value) in table {
        match value {
            toml::Value::String(text) if key == "about" || key == "label" || (key == "name" && outermost) => {
                found.push(text.clone());
            }
            toml::Value::Array(items) => {
                let tables = items.iter().filter_map(toml::Value::as_table);
                found.extend(tables.flat_map(|table| named(table, false)));
            }
            toml::Value::Table(inner) => found.extend(named(inner, false)),
            _ => {}
        }
    }
    found
}

/// The sources, by their path below the crate: all but the tests and the room that defines the marks.
pub(crate) fn sources() -> Vec<(String, String)> {
    let mut paths = Vec::new();
    collect(&root().join("src"), &mut paths);
    paths.sort();
    let read = |path: &PathBuf| {
        let name = path.strip_prefix(root()).unwrap_or(path);
        let name = name.to_string_lossy().replace('\\', "/");
        let text = fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
        (name, code.to_owned())
    };
    let ours = |(name, _): &(String, String)| {
        !name.starts_with("src/words/") && !name.ends_with("/tests.rs") && name != "src/ui/language.rs"
    };
    let mut all: Vec<_> = paths.iter().map(read).filter(ours).collect();
    // Its sentences, without the definition of the mark.
    let language = read(&root().join("src/ui/language.rs"));
    let after = language
        .1
        .split("/// The words of the page.")
        .nth(1)
        .unwrap_or_default();
    all.push((language.0, after.to_owned()));
    all
}

fn collect(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            collect(&path, found);
        } else if path.extension().is_some_and(|end| end == "rs") {
            found.push(path);
        }
    }
}

/// A piece of code that matters here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Token {
    /// A string, as it is written between its quotes.
    Text(String),
    /// A name.
    Name(String),
    /// Anything else.
    Sign(char),
}

/// The code without its comments.
pub(crate) fn tokens(code: &str) -> Vec<Token> {
    let mut out = Vec::new();
    let mut rest = code;
    while let Some(c) = rest.chars().next() {
        let taken = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if c == '"' {
            let end = end_of_text(&rest[1..]);
            out.push(Token::Text(rest[1..=end].to_owned()));
            end + 2
        } else if c == '\'' {
            end_of_quote(rest)
        } else if c.is_alphanumeric() || c == '_' {
            let end = rest
                .find(|c: char| !c.is_alphanumeric() && c != '_')
                .unwrap_or(rest.len());
            let raw = matches!(&rest[..end], "r" | "br") && rest[end..].starts_with(['"', '#']);
            if raw {
                end_of_raw(&rest[end..]).map_or(end, |length| end + length)
            } else {
                out.push(Token::Name(rest[..end].to_owned()));
                end
            }
        } else {
            if !c.is_whitespace() {
                out.push(Token::Sign(c));
            }
            c.len_utf8()
        };
        rest = &rest[taken..];
    }
    out
}

/// How many bytes of a text stand before its closing quote.
fn end_of_text(text: &str) -> usize {
    let mut escaped = false;
    for (at, c) in text.char_indices() {
        match c {
            '"' if !escaped => return at,
            '\\' => escaped = !escaped,
            _ => escaped = false,
        }
    }
    panic!("a string without an end: {}", text.chars().take(40).collect::<String>());
}

/// How many bytes a character takes that is quoted, or a lifetime's mark.
fn end_of_quote(text: &str) -> usize {
    let mut chars = text.char_indices().skip(1);
    match chars.next() {
        Some((_, '\\')) => text[2..].find('\'').map_or(1, |end| if end == 0 { 4 } else { end + 3 }),
        Some((at, c)) if text[at + c.len_utf8()..].starts_with('\'') => at + c.len_utf8() + 1,
        _ => 1,
    }
}

fn end_of_raw(text: &str) -> Option<usize> {
    let hashes = text.find('"').filter(|at| text[..*at].chars().all(|c| c == '#'))?;
    let end = format!("\"{}", "#".repeat(hashes));
    let body = hashes + 1;
    text[body..].find(&end).map(|at| body + at + end.len())
}

/// What a string stands for, once its escapes are read.
fn read(text: &str) -> String {
    let mut out = String::new();
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        if c != '\\' {
            out.push(c);
            continue;
        }
        match chars.next() {
            Some('n') => out.push('\n'),
            Some('t') => out.push('\t'),
            Some('u') => {
                let digits: String = chars.by_ref().skip(1).take_while(|c| *c != '}').collect();
                out.extend(u32::from_str_radix(&digits, 16).ok().and_then(char::from_u32));
            }
            Some('\n') => while chars.next_if(|c| c.is_whitespace()).is_some() {},
            Some(other) => out.push(other),
            None => {}
        }
    }
    out
}

/// The sentences of a file that are marked by `say!`, `said!` or `key!`, in their order: key and English.
pub(crate) fn marked(code: &str) -> Vec<(String, String)> {
    let tokens = tokens(code);
    let mut found = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        if !matches!(token, Token::Name(name) if matches!(name.as_str(), "say" | "said" | "key")) {
            continue;
        }
        match &tokens[at + 1..] {
            [Token::Sign('!'), Token::Sign('('), Token::Text(key), ..] => {
                let key = read(key);
                let english = key.split('¦').next().unwrap_or_default().to_owned();
                found.push((key, english));
            }
            [Token::Sign('!'), Token::Sign('('), inside @ ..] => found.extend(counted(inside).into_iter().flatten()),
            _ => {}
        }
    }
    found
}

/// The sentences of a script of the page: `say("…")`.
fn spoken(script: &str) -> Vec<String> {
    let tokens = tokens(script);
    let sentence = |three: &[Token]| match three {
        [Token::Name(say), Token::Sign('('), Token::Text(text)] if say == "say" => Some(read(text)),
        _ => None,
    };
    tokens.windows(3).filter_map(sentence).collect()
}

/// Both sentences of one that counts: `number => "one", "many"`.
fn counted(inside: &[Token]) -> Option<[(String, String); 2]> {
    let mut depth = 0_i32;
    for (at, token) in inside.iter().enumerate() {
        match token {
            Token::Sign('(' | '[' | '{') => depth += 1,
            Token::Sign(')' | ']' | '}') => depth -= 1,
            Token::Sign('=') if depth == 0 && inside.get(at + 1) == Some(&Token::Sign('>')) => {
                let [Token::Text(one), Token::Sign(','), Token::Text(many), ..] = &inside[at + 2..] else {
                    return None;
                };
                let (one, many) = (read(one), read(many));
                let english = many.split('¦').next().unwrap_or_default().to_owned();
                return Some([(many.clone(), english), (counted_key(&many, "one"), one)]);
            }
            _ => {}
        }
        if depth < 0 {
            return None;
        }
    }
    None
}
