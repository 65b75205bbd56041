//! What can be wrong with an instrument file, in words: where, what, and what to write instead.

use crate::theory::pitch::PitchError;
use crate::words::Said;
use thiserror::Error;

/// Everything that is wrong with an instrument file; never empty.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{}", self.said().english())]
pub struct InstrumentError {
    faults: Vec<Fault>,
}

impl InstrumentError {
    pub(super) fn new(mut faults: Vec<Fault>) -> Self {
        faults.sort_by_key(|f| (f.line, f.column));
        Self { faults }
    }

    /// The faults in order of their place in the text.
    #[must_use]
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }

    /// The faults, each in a line.
    #[must_use]
    pub fn said(&self) -> Said {
        Said::joined(self.faults.iter().map(Fault::said), "\n")
    }
}

/// One thing that is wrong, and where.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{}", self.said().english())]
pub struct Fault {
    /// Line, counted from 1.
    pub line: usize,
    /// Column in characters, counted from 1.
    pub column: usize,
    /// What is wrong.
    pub kind: FaultKind,
}

impl Fault {
    /// Where it is, what is wrong, and what to write.
    #[must_use]
    pub fn said(&self) -> Said {
        said!(
            "line {line}, column {column}: {fault}",
            line = self.line,
            column = self.column,
            fault = self.kind.said()
        )
    }
}

/// What is wrong with an instrument file.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{}", self.said().english())]
pub enum FaultKind {
    /// The text is not TOML.
    Syntax(String),
    /// Something that must be there is not.
    Missing {
        /// The key.
        key: &'static str,
        /// A line that would do.
        example: &'static str,
    },
    /// A key nobody reads.
    Unknown {
        /// The key found.
        key: String,
        /// Those that mean something.
        known: Vec<&'static str>,
    },
    /// A value of another kind than wanted.
    Kind {
        /// What was wanted.
        wanted: &'static str,
        /// What was found.
        found: &'static str,
    },
    /// A number that cannot be.
    Range {
        /// What the number is for.
        what: &'static str,
        /// What was found.
        found: f64,
        /// The least that can be.
        low: f64,
        /// The most that can be.
        high: f64,
        /// The unit.
        unit: &'static str,
    },
    /// No pitch.
    Pitch(#[from] PitchError),
    /// A pitch no string sounds.
    PitchReach(String),
    /// No control.
    Control(String),
    /// A string the instrument has not.
    NoSuchString {
        /// What was written.
        found: String,
        /// How many it has.
        strings: usize,
    },
    /// A change the instrument has not.
    NoSuchChange(String),
    /// A name given twice.
    Repeated(String),
    /// Two changes on one control.
    TwoOnOneControl {
        /// The control.
        control: String,
        /// The first change on it.
        first: String,
        /// The other.
        second: String,
    },
    /// Too many of something.
    TooMany {
        /// Of what.
        what: &'static str,
        /// How many there are.
        found: usize,
        /// How many there may be.
        most: usize,
    },
    /// A change that moves nothing.
    MovesNothing,
    /// A movement that ends before it starts.
    TravelOrder,
    /// A text that is longer than a name.
    TooLong(usize),
    /// A file of a form that is newer than its reader.
    Newer,
    /// Two halves of a change.
    TwoHalves,
}

impl FaultKind {
    /// What is wrong, and what to write.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Syntax(what) => said!("this is not TOML ({what}); write lines such as name = \"value\"", what),
            Self::Missing { key, example } => said!("`{key}` is missing; write for example {example}", key, example),
            Self::Unknown { key, known } => {
                said!(
                    "`{key}` means nothing here; known are {known}",
                    key,
                    known = known.join(", ")
                )
            }
            Self::Kind { wanted, found } => said!(
                "{wanted} is wanted here, not {found}",
                wanted = Said::of(wanted),
                found = Said::of(found)
            ),
            Self::Range {
                what,
                found,
                low,
                high,
                unit,
            } => said!(
                "{found} cannot be right for {what}; write a number from {low} to {high} ({unit})",
                found,
                what = Said::of(what),
                low,
                high,
                unit = Said::of(unit)
            ),
            Self::Pitch(error) => error.said(),
            Self::PitchReach(pitch) => said!("no string sounds {pitch}; write a pitch from C0 to C7", pitch),
            Self::Control(word) => said!(
                "\"{word}\" is no pedal or lever; write P1 to P12 for a pedal, LKL, LKR or LKV for the left knee, RKL, RKR or RKV for the right",
                word
            ),
            Self::NoSuchString { found, strings } => {
                said!(
                    "there is no string {found}; the instrument has {strings}",
                    found,
                    strings
                )
            }
            Self::NoSuchChange(name) => said!(
                "there is no change called \"{name}\"; name one of the [[changes]]",
                name
            ),
            Self::Repeated(name) => said!("\"{name}\" is already taken; give each its own name", name),
            Self::TwoOnOneControl { control, first, second } => said!(
                "{control} works \"{first}\" and \"{second}\"; give each its own pedal or lever",
                control,
                first,
                second
            ),
            Self::TooMany { what, found, most } => said!(
                "that makes {found} {what}; at most {most} are possible",
                found,
                what = Said::of(what),
                most
            ),
            Self::MovesNothing => said!(
                "this moves nothing; write for example {example}",
                example = "moves = { 5 = 2, 10 = 2 }"
            ),
            Self::TravelOrder => {
                said!("`from` must be less than `to`; both are travels from 0 (released) to 1 (at the stop)")
            }
            Self::TooLong(most) => said!("this is too long for a name; write at most {most} characters", most),
            Self::Newer => said!("this file was made by a newer version: load the page again, then open it again"),
            Self::TwoHalves => said!("`half-stop` and `half-by-ear` exclude each other; keep the one the player has"),
        }
    }
}
