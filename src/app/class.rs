//! A teacher's desk: the work being set, how it is sent, and what came back, in the words and figures of a page.
//!
//! *Invariant:* nothing is sent from here; what is shared is a text that the teacher carries where it is wanted.

use crate::exchange::link::{Content, LONG_CHARACTERS, Linked};
use crate::steel::instrument::{self, shipped};
use crate::teach::assignment::{MOST_ITEMS, MOST_WEIGHT};
use crate::teach::class::{Remark, Sheet};
use crate::teach::exercise::{Exercise, Kind, Mark};
use crate::teach::qr::{Code, EASY};
use crate::teach::{Assignment, Class, Item, Score};
use crate::theory::Key;
use crate::words::Said;

/// What a teacher does to the work being set.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// Calls it so.
    Title(String),
    /// Says this about it.
    Words(String),
    /// Wants it then.
    Due(String),
    /// Offers hints, or not.
    Hints(bool),
    /// Adds an exercise, drawn by a seed.
    Add(Kind, u64),
    /// Takes an exercise out, counted from 0.
    Remove(usize),
    /// Moves an exercise up by one.
    Up(usize),
    /// Draws another task of the same exercise.
    Draw(usize, u64),
    /// Lets an exercise count so much.
    Weigh(usize, u8),
    /// Asks an exercise in this key, or in any.
    InKey(usize, Option<Key>),
    /// Asks an exercise over these bars, or over any.
    Over(usize, String),
    /// Asks everything that has an instrument on this one.
    On(String),
    /// Asks everything on the instrument of this file, or no longer.
    Bring(Option<String>),
    /// Lets a criterion count so much, by its English name.
    Count(String, u8),
}

/// The work after an edit. An edit that names an exercise that is not there changes nothing.
pub fn edit(work: &mut Assignment, edit: Edit) {
    match edit {
        Edit::Title(text) => work.title = text,
        Edit::Words(text) => work.words = text,
        Edit::Due(text) => work.due = text,
        Edit::Hints(on) => work.hints = on,
        Edit::Add(kind, seed) if work.items.len() < MOST_ITEMS => {
            let mut exercise = Exercise::of(kind);
            if kind.parameters().contains(&"instrument") {
                exercise.instrument = instrument_of(work);
            }
            let weight = 1;
            work.items.push(Item { exercise, seed, weight });
        }
        Edit::Remove(index) if index < work.items.len() => drop(work.items.remove(index)),
        Edit::Up(index) if index > 0 && index < work.items.len() => work.items.swap(index - 1, index),
        Edit::Draw(index, seed) => change(work, index, |item| item.seed = seed),
        Edit::Weigh(index, weight) => change(work, index, |item| item.weight = weight.clamp(1, MOST_WEIGHT)),
        Edit::InKey(index, key) => change(work, index, |item| item.exercise.keys = key.into_iter().collect()),
        Edit::Over(index, bars) => change(work, index, |item| {
            let bars = bars.trim();
            item.exercise.chart = (!bars.is_empty()).then(|| bars.to_owned());
        }),
        Edit::On(id) => {
            let default = shipped::ids().next();
            let named = Some(id).filter(|id| Some(id.as_str()) != default);
            let on_one = work
                .items
                .iter_mut()
                .filter(|i| i.exercise.kind.parameters().contains(&"instrument"));
            on_one.for_each(|item| item.exercise.instrument.clone_from(&named));
        }
        Edit::Bring(file) => work.instrument = file,
        // What counts as everything else does need not be said.
        Edit::Count(name, weight) => work.weigh(name, weight),
        Edit::Add(..) | Edit::Remove(_) | Edit::Up(_) => {}
    }
}

fn change(work: &mut Assignment, index: usize, how: impl FnOnce(&mut Item)) {
    if let Some(item) = work.items.get_mut(index) {
        how(item);
    }
}

/// The instrument that the work's exercises are asked on, where they name one.
#[must_use]
pub fn instrument_of(work: &Assignment) -> Option<String> {
    work.items.iter().find_map(|item| item.exercise.instrument.clone())
}

/// What the work's exercises are marked by, in the order they come, and how much each criterion counts.
#[must_use]
pub fn criteria(work: &Assignment) -> Vec<(Said, u8)> {
    let mut names: Vec<Said> = Vec::new();
    for task in work.items.iter().filter_map(|item| work.task(item).ok()) {
        for criterion in task.mark(&task.model_answer()).criteria {
            if !names.contains(&criterion.name) {
                names.push(criterion.name);
            }
        }
    }
    let counts = |name: Said| {
        let weight = work.weight(&name.english());
        (name, weight)
    };
    names.into_iter().map(counts).collect()
}

/// An instrument of the teacher's own, from the bytes of its file: the text to send along, and what it is called.
///
/// # Errors
/// When it can't be sent along, with what is wrong.
pub fn own_instrument(bytes: &[u8]) -> Result<(String, String), Said> {
    let text = std::str::from_utf8(bytes).map_err(|_| said!("it is no text"))?;
    let instrument = instrument::parse(text).map_err(|e| e.said())?;
    let own = Assignment {
        instrument: Some(text.to_owned()),
        ..Assignment::default()
    };
    if own.instrument_fits() {
        Ok((text.to_owned(), instrument.name))
    } else {
        Err(said!("it is longer than work can carry"))
    }
}

/// Something that can be carried away: a link, a picture of it, a file.
#[derive(Debug, Clone, PartialEq)]
pub struct Share {
    /// The whole address.
    pub link: String,
    /// The code, where it fits one.
    pub code: Option<Code>,
    /// How long it is, and what that means, in a sentence.
    pub words: Said,
}

/// What of `value` goes into what is carried away.
///
/// # Errors
/// When it cannot be shared: in words.
pub fn content<T: Linked>(value: &T) -> Result<Content, Said> {
    value
        .check()
        .map_err(|why| said!("This can't be sent yet: {why}.", why))?;
    Content::of(value).map_err(|e| e.said())
}

/// What to carry away, behind the address of this page: the content, and what it is when it is deflated.
///
/// # Errors
/// When it cannot be shared: in words.
pub fn share(content: &Content, deflated: &[u8], page: &str) -> Result<Share, Said> {
    let link = content.link(deflated).map_err(|e| e.said())?;
    let link = format!("{}#{link}", page.split('#').next().unwrap_or(page));
    let length = link.len();
    let code = Code::of(&link).ok();
    let words = match (&code, length) {
        (Some(_), 0..=EASY) => said!("{length} characters: the code is easy to scan, from paper too.", length),
        (Some(_), 0..=LONG_CHARACTERS) => said!(
            "{length} characters: scan the code from a screen, not from paper.",
            length
        ),
        (Some(_), _) => said!(
            "{length} characters: some mail cuts links that long. Send the file.",
            length
        ),
        (None, _) => said!("{length} characters: too long for a code. Send the file.", length),
    };
    Ok(Share { link, code, words })
}

/// One line of the class table.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Which sheet of the class it is, counted from 0.
    pub index: usize,
    /// The student, by the name that was typed.
    pub name: Said,
    /// The score, computed here.
    pub score: Score,
    /// Each exercise: its score, or nothing where it has no answer.
    pub cells: Vec<Option<Score>>,
    /// What the teacher should know, sentence by sentence.
    pub remarks: Vec<Said>,
}

/// The class as a table.
#[must_use]
pub fn rows(class: &Class) -> Vec<Row> {
    class.sheets.iter().enumerate().map(row).collect()
}

fn row((index, sheet): (usize, &Sheet)) -> Row {
    let work = &sheet.handed.work;
    let score = |mark: &Option<Mark>| mark.as_ref().map(|m| Score::of_part(work.weighed(m)));
    let name = sheet.handed.name.clone();
    Row {
        index,
        name: if name.is_empty() {
            said!("No name")
        } else {
            Said::from(name)
        },
        score: sheet.score,
        cells: sheet.marks.iter().map(score).collect(),
        remarks: sheet.remarks.iter().map(Remark::said).chain(sheet.heard()).collect(),
    }
}

/// A name for a file, from what a person typed: letters, digits and dashes.
#[must_use]
pub fn file_name(what: &str, typed: &str, ending: &str) -> String {
    let safe: String = typed
        .chars()
        .map(|c| if c.is_alphanumeric() { c } else { '-' })
        .take(40)
        .collect();
    let safe = safe.trim_matches('-');
    if safe.is_empty() {
        format!("{what}.{ending}")
    } else {
        format!("{what}-{safe}.{ending}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shared<T: Linked>(value: &T, page: &str) -> Result<Share, Said> {
        let content = content(value)?;
        share(&content, &content.deflated(), page)
    }

    fn work() -> Assignment {
        let mut work = Assignment {
            hints: true,
            ..Assignment::default()
        };
        for (seed, kind) in [(1, Kind::NameChord), (2, Kind::FindChord), (3, Kind::Ending)] {
            edit(&mut work, Edit::Add(kind, seed));
        }
        work
    }

    fn kinds(work: &Assignment) -> Vec<Kind> {
        work.items.iter().map(|i| i.exercise.kind).collect()
    }

    #[test]
    fn exercises_are_added_moved_and_taken_out_and_nothing_else_happens() {
        let mut work = work();
        edit(&mut work, Edit::Up(2));
        edit(&mut work, Edit::Up(0));
        edit(&mut work, Edit::Remove(0));
        edit(&mut work, Edit::Remove(9));
        assert_eq!(kinds(&work), [Kind::Ending, Kind::FindChord]);
        edit(&mut work, Edit::Draw(1, 77));
        edit(&mut work, Edit::Weigh(1, 200));
        assert_eq!((work.items[1].seed, work.items[1].weight), (77, MOST_WEIGHT));
    }

    #[test]
    fn an_instrument_is_asked_for_once_and_only_where_there_is_one() {
        let mut work = work();
        edit(&mut work, Edit::On("c6".to_owned()));
        edit(&mut work, Edit::Add(Kind::Inversions, 4));
        let on: Vec<_> = work.items.iter().map(|i| i.exercise.instrument.as_deref()).collect();
        assert_eq!(on, [None, Some("c6"), Some("c6"), Some("c6")]);
        edit(&mut work, Edit::On("e9".to_owned()));
        assert_eq!(instrument_of(&work), None);
    }

    #[test]
    fn every_criterion_can_be_weighed_and_counting_once_is_not_said() {
        let mut work = work();
        let all = criteria(&work);
        assert!(all.len() > 3 && all.iter().all(|(_, weight)| *weight == 1), "{all:?}");
        let (name, _) = all[0].clone();
        edit(&mut work, Edit::Count(name.english(), 200));
        assert_eq!(criteria(&work)[0], (name.clone(), MOST_WEIGHT));
        edit(&mut work, Edit::Count(name.english(), 1));
        assert!(work.weights.is_empty());
    }

    #[test]
    fn an_instrument_of_ones_own_goes_along_and_what_is_none_is_told() {
        let file = include_str!("../../static/instruments/c6.toml");
        let (text, name) = own_instrument(file.as_bytes()).unwrap();
        let mut work = work();
        edit(&mut work, Edit::Bring(Some(text)));
        assert_eq!(work.own_instrument().unwrap().map(|i| i.name), Some(name));
        assert!(shared(&work, "https://school.example/").is_ok());
        assert!(own_instrument(b"id = 3").is_err() && own_instrument(&[0xff]).is_err());
        let padded = format!("{file}\n#{}", "x".repeat(20_000));
        assert_eq!(
            own_instrument(padded.as_bytes()),
            Err(said!("it is longer than work can carry"))
        );
        edit(&mut work, Edit::Bring(None));
        assert_eq!(work.own_instrument(), Ok(None));
    }

    #[test]
    fn what_is_shared_is_an_address_of_this_page_and_says_how_long_it_is() {
        let share = shared(&work(), "https://school.example/steel/#/learn").unwrap();
        assert!(share.link.starts_with("https://school.example/steel/#open="));
        assert!(share.code.is_some());
        assert!(share.words.english().starts_with(&share.link.len().to_string()));
        let fault = shared(&Assignment::default(), "x").unwrap_err();
        assert!(
            fault
                .english()
                .starts_with("This can't be sent yet: it has 0 exercises"),
            "{fault:?}"
        );
        let mut odd = work();
        edit(&mut odd, Edit::Over(2, "1 x7q".to_owned()));
        assert!(shared(&odd, "x").is_err());
    }

    #[test]
    fn file_names_hold_nothing_that_a_disk_could_take_amiss() {
        assert_eq!(file_name("answer", "Wren: ../x", "txt"), "answer-Wren-----x.txt");
        assert_eq!(file_name("work", "  ", "zip"), "work.zip");
    }
}
