//! What can be wrong with a lesson, in words: which file, which line, and what to write instead.

use crate::steel::Instrument;
use thiserror::Error;

/// One thing that is wrong, and where.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{file}, line {line}: {kind}")]
pub struct Fault {
    /// The file as it is named in the tree.
    pub file: String,
    /// Line, counted from 1.
    pub line: usize,
    /// What is wrong.
    pub kind: FaultKind,
}

/// What is wrong with a lesson.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum FaultKind {
    /// There is no head.
    #[error("a lesson begins with its head: a line +++, lines such as title = \"The number 1\", and a line +++ again")]
    NoHead,
    /// The head is not closed.
    #[error("the head is never closed: write a line +++ after its last line")]
    OpenHead,
    /// The text is not TOML.
    #[error("this is not TOML ({0}): write lines such as name = \"value\"")]
    Syntax(String),
    /// Something that must be there is not.
    #[error("`{key}` is missing: write for example {example}")]
    Missing {
        /// The key.
        key: &'static str,
        /// A line that would do.
        example: &'static str,
    },
    /// A key nobody reads.
    #[error("`{key}` means nothing here{}; known are {}", meant(.near), .known.join(", "))]
    Unknown {
        /// The key found.
        key: String,
        /// The known one most like it.
        near: Option<&'static str>,
        /// Those that mean something.
        known: Vec<&'static str>,
    },
    /// A word out of a list that is not in it.
    #[error("\"{word}\" is no {what}{}; write one of {}", meant(.near), .known.join(", "))]
    NoSuch {
        /// What the list is of.
        what: &'static str,
        /// The word found.
        word: String,
        /// The known one most like it.
        near: Option<String>,
        /// The list.
        known: Vec<String>,
    },
    /// A value of another kind than wanted.
    #[error("`{key}` takes {wanted}")]
    Kind {
        /// The key.
        key: &'static str,
        /// What was wanted, with an example.
        wanted: &'static str,
    },
    /// A number that cannot be.
    #[error("{found} is out of reach for `{key}`: write a number from {low} to {high}")]
    Range {
        /// The key.
        key: &'static str,
        /// What was found.
        found: f64,
        /// The least that can be.
        low: f64,
        /// The most that can be.
        high: f64,
    },
    /// Something another layer says, which brings its own remedy.
    #[error("{0}")]
    Told(String),
    /// Two keys that exclude each other, or a need of one for another.
    #[error("{0}")]
    Together(&'static str),
    /// Markup that lessons do not have.
    #[error("{0} is not shown in lessons: use headings, paragraphs, lists, tables, *emphasis*, **strong** and `code`")]
    Markup(&'static str),
    /// A link that leads out of the course.
    #[error("\"{0}\" is no lesson: link to the file of another one, as in [grips](../02-neck/03-grips.md)")]
    Link(String),
    /// A file name that is no lesson's.
    #[error("a lesson's file is called <two digits>-<part>/<two digits>-<id>.md, as in 02-neck/03-grips.md")]
    FileName,
    /// The head's id is not the file's.
    #[error("the id \"{0}\" is not the file's: write id = \"{1}\", or rename the file")]
    IdOfFile(String, String),
    /// A lesson that is named but not there.
    #[error("there is no lesson \"{0}\": write the id of one in the course")]
    NoLesson(String),
    /// A lesson that comes only later.
    #[error("\"{0}\" comes later in the course: a lesson can only need those before it")]
    Later(String),
    /// An id that is taken.
    #[error("the id \"{0}\" is taken by {1}: give each lesson its own")]
    Taken(String, String),
    /// A skill the lesson does not name.
    #[error("the skill \"{0}\" is not among the lesson's: add it to `skills` in the head, or write one of those")]
    Skill(String),
    /// A note that is not in the chord it is shown for.
    #[error(
        "string {string} sounds {note} here, which is not in {chord}: leave it out, or write trap = true if that is \
         the point"
    )]
    Foreign {
        /// The string.
        string: u8,
        /// What it sounds.
        note: String,
        /// The chord.
        chord: String,
    },
    /// A trap that is none.
    #[error("every string here belongs to the chord, so this is no trap: take `trap` away")]
    NoTrap,
}

impl FaultKind {
    /// `word` is no pedal or lever of the instrument.
    pub(super) fn no_such_change(instrument: &Instrument, word: &str) -> Self {
        Self::NoSuch {
            what: "pedal or lever of this instrument",
            word: word.to_owned(),
            near: None,
            known: instrument.changes.iter().map(|c| c.name.clone()).collect(),
        }
    }
}

fn meant(near: &Option<impl AsRef<str>>) -> String {
    near.as_ref()
        .map_or_else(String::new, |near| format!(" (\"{}\" is near)", near.as_ref()))
}

/// The word of a list most like `word`, if one is like it at all.
pub(super) fn nearest<'a, T: AsRef<str>>(word: &str, known: &'a [T]) -> Option<&'a T> {
    let word = word.to_lowercase();
    let like = |k: &T| strsim::jaro_winkler(&word, &k.as_ref().to_lowercase());
    let best = known.iter().max_by(|a, b| like(a).total_cmp(&like(b)))?;
    (like(best) > 0.75).then_some(best)
}
