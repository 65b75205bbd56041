//! What can be wrong with an instrument file, in words: where, what, and what to write instead.

use crate::theory::pitch::PitchError;
use std::fmt;
use thiserror::Error;

/// Everything that is wrong with an instrument file; never empty.
#[derive(Debug, Clone, PartialEq, Error)]
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
}

impl fmt::Display for InstrumentError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, fault) in self.faults.iter().enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{fault}")?;
        }
        Ok(())
    }
}

/// One thing that is wrong, and where.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("line {line}, column {column}: {kind}")]
pub struct Fault {
    /// Line, counted from 1.
    pub line: usize,
    /// Column in characters, counted from 1.
    pub column: usize,
    /// What is wrong.
    pub kind: FaultKind,
}

/// What is wrong with an instrument file.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum FaultKind {
    /// The text is not TOML.
    #[error("this is not TOML ({0}); write lines such as name = \"value\"")]
    Syntax(String),
    /// Something that must be there is not.
    #[error("`{key}` is missing; write for example {example}")]
    Missing {
        /// The key.
        key: &'static str,
        /// A line that would do.
        example: &'static str,
    },
    /// A key nobody reads.
    #[error("`{key}` means nothing here; known are {}", .known.join(", "))]
    Unknown {
        /// The key found.
        key: String,
        /// Those that mean something.
        known: Vec<&'static str>,
    },
    /// A value of another kind than wanted.
    #[error("{wanted} is wanted here, not {found}")]
    Kind {
        /// What was wanted.
        wanted: &'static str,
        /// What was found.
        found: &'static str,
    },
    /// A number that cannot be.
    #[error("{found} cannot be right for {what}; write a number from {low} to {high} ({unit})")]
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
    #[error(transparent)]
    Pitch(#[from] PitchError),
    /// A pitch no string sounds.
    #[error("no string sounds {0}; write a pitch from C0 to C7")]
    PitchReach(String),
    /// No control.
    #[error(
        "\"{0}\" is no pedal or lever; write P1 to P12 for a pedal, LKL, LKR or LKV for the left knee, \
         RKL, RKR or RKV for the right"
    )]
    Control(String),
    /// A string the instrument has not.
    #[error("there is no string {found}; the instrument has {strings}")]
    NoSuchString {
        /// What was written.
        found: String,
        /// How many it has.
        strings: usize,
    },
    /// A change the instrument has not.
    #[error("there is no change called \"{0}\"; name one of the [[changes]]")]
    NoSuchChange(String),
    /// A name given twice.
    #[error("\"{0}\" is already taken; give each its own name")]
    Repeated(String),
    /// Two changes on one control.
    #[error("{control} works \"{first}\" and \"{second}\"; give each its own pedal or lever")]
    TwoOnOneControl {
        /// The control.
        control: String,
        /// The first change on it.
        first: String,
        /// The other.
        second: String,
    },
    /// Too many of something.
    #[error("that makes {found} {what}; at most {most} are possible")]
    TooMany {
        /// Of what.
        what: &'static str,
        /// How many there are.
        found: usize,
        /// How many there may be.
        most: usize,
    },
    /// A change that moves nothing.
    #[error("this moves nothing; write for example moves = {{ 5 = 2, 10 = 2 }}")]
    MovesNothing,
    /// A movement that ends before it starts.
    #[error("`from` must be less than `to`; both are travels from 0 (released) to 1 (at the stop)")]
    TravelOrder,
    /// A text that is longer than a name.
    #[error("this is too long for a name; write at most {0} characters")]
    TooLong(usize),
    /// A file of a form that is newer than its reader.
    #[error("this file was made by a newer version: load the page again, then open it again")]
    Newer,
    /// Two halves of a change.
    #[error("`half-stop` and `half-by-ear` exclude each other; keep the one the player has")]
    TwoHalves,
}
