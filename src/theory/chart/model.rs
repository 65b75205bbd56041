//! A chart as it is written: heading, bars, sections, repeats, line breaks.
//!
//! *Invariant:* the model holds what the page shows, not what is played: repeats are signs here, and only
//! [`Chart::timeline`](super::Chart::timeline) plays them out.

use crate::theory::chart::timeline::Hit;
use crate::theory::key::Key;
use crate::theory::numeral::Numeral;
use crate::theory::pitch::Semitones;
use crate::theory::time::{Metre, Swing, Tempo};

/// A chart.
///
/// Names (title, style, sections) hold no line break and no double quote (printing replaces them) and no blank
/// at either end; a section's name is at most 100 characters.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// The song's name.
    pub title: Option<String>,
    /// What the numbers count from; C where the heading is silent.
    pub key: Key,
    /// The tempo, where the heading gives one.
    pub tempo: Option<Tempo>,
    /// The metre at the beginning; 4/4 where the heading is silent.
    pub metre: Metre,
    /// The style word.
    pub style: Option<String>,
    /// How the eighths fall.
    pub swing: Swing,
    /// Everything after the heading, in reading order.
    pub items: Vec<Item>,
}

/// One sign of the chart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Item {
    /// A section begins.
    Section(String),
    /// A line ends.
    Break(Break),
    /// A bar.
    Bar(Bar),
    /// A repeated part begins.
    RepeatFrom,
    /// A repeated part ends.
    RepeatTo(Times),
    /// An ending begins, for the passes named.
    Ending(Endings),
    /// Another metre from here.
    Metre(Metre),
    /// Another key from here.
    Key(KeyChange),
}

/// How a line was ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Break {
    /// By `/`.
    Slash,
    /// By a new line.
    Line,
}

/// A bar as written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Bar {
    /// Chords in order, at least one.
    Chords(Vec<Slot>),
    /// The bar before once more (`%`).
    Same,
}

/// A chord's place in a bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Slot {
    /// The chord; nothing in a rest.
    pub numeral: Option<Numeral>,
    /// How it is played; [`Hit::Rest`] exactly when there is no chord.
    pub hit: Hit,
    /// Whether it comes an eighth early.
    pub pushed: bool,
    /// Its beats, where written; else it shares evenly what the others leave.
    pub ticks: Option<Ticks>,
}

impl Slot {
    /// A silence.
    pub const REST: Self = Self {
        numeral: None,
        hit: Hit::Rest,
        pushed: false,
        ticks: None,
    };

    /// A chord in the groove.
    ///
    /// ```
    /// use leadbar::theory::{Numeral, chart::Slot};
    /// assert!(!Slot::of(Numeral::ONE).pushed);
    /// ```
    #[must_use]
    pub const fn of(numeral: Numeral) -> Self {
        Self {
            numeral: Some(numeral),
            hit: Hit::Played,
            pushed: false,
            ticks: None,
        }
    }
}

/// A number of beats of the metre's lower figure, 1..=16.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Ticks(pub(super) u8);

impl Ticks {
    /// The longest.
    pub const MOST: u8 = 16;

    /// This many beats, 1..=16.
    ///
    /// ```
    /// use leadbar::theory::chart::Ticks;
    /// assert!(Ticks::new(3).is_some() && Ticks::new(0).is_none());
    /// ```
    #[must_use]
    pub fn new(count: u8) -> Option<Self> {
        (1..=Self::MOST).contains(&count).then_some(Self(count))
    }
}

/// How often a repeated part is played, 2..=16.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Times(pub(super) u8);

impl Times {
    /// Once more: what a plain repeat sign means.
    pub const TWICE: Self = Self(2);
    /// The most.
    pub const MOST: u8 = 16;

    /// This often, 2..=16.
    ///
    /// ```
    /// use leadbar::theory::chart::Times;
    /// assert!(Times::new(3).is_some() && Times::new(1).is_none());
    /// ```
    #[must_use]
    pub fn new(count: u8) -> Option<Self> {
        (2..=Self::MOST).contains(&count).then_some(Self(count))
    }
}

/// The passes an ending belongs to, each 1..=16; never empty.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Endings(u32);

impl Endings {
    /// An ending for these passes; nothing when one is not 1..=16 or there is none.
    ///
    /// ```
    /// use leadbar::theory::chart::Endings;
    /// assert!(Endings::new([1, 2]).is_some_and(|e| e.holds(2) && !e.holds(3)));
    /// assert!(Endings::new([0]).is_none());
    /// ```
    #[must_use]
    pub fn new(passes: impl IntoIterator<Item = u8>) -> Option<Self> {
        let mut bits = 0;
        for pass in passes {
            if !(1..=Times::MOST).contains(&pass) {
                return None;
            }
            bits |= 1 << pass;
        }
        (bits != 0).then_some(Self(bits))
    }

    /// Whether it is played in this pass.
    #[must_use]
    pub fn holds(self, pass: u8) -> bool {
        pass <= Times::MOST && self.0 & (1 << pass) != 0
    }

    /// Its passes, rising.
    pub fn passes(self) -> impl Iterator<Item = u8> {
        (1..=Times::MOST).filter(move |pass| self.holds(*pass))
    }

    /// Its last pass.
    pub(super) fn last(self) -> u8 {
        self.passes().last().unwrap_or(1)
    }
}

/// A change of key, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KeyChange {
    /// To a key by name.
    To(Key),
    /// Up (or down) from the key in force, at most eleven semitones.
    By(Semitones),
}

impl KeyChange {
    /// The key it leads to from `key`.
    ///
    /// ```
    /// use leadbar::theory::{Key, Semitones, chart::KeyChange};
    /// assert_eq!(KeyChange::By(Semitones(2)).from(Key::C).to_string(), "D");
    /// ```
    #[must_use]
    pub fn from(self, key: Key) -> Key {
        match self {
            Self::To(key) => key,
            Self::By(steps) => key.transposed(steps),
        }
    }
}

impl Chart {
    /// A chart without a bar: C, 4/4, straight.
    #[must_use]
    pub fn empty() -> Self {
        Self {
            title: None,
            key: Key::C,
            tempo: None,
            metre: Metre::COMMON,
            style: None,
            swing: Swing::Straight,
            items: Vec::new(),
        }
    }

    /// The same song counted from the relative key, in both directions: one that starts on 6- in G becomes one
    /// that starts on 1- in E minor, and back. Every chord sounds as before.
    ///
    /// ```
    /// use leadbar::theory::chart::parse;
    /// let chart = parse("key G; 6- 4 1 5").chart;
    /// assert_eq!(chart.counted_from_relative().to_string(), "key Em; 1- b6 b3 b7");
    /// assert_eq!(chart.counted_from_relative().counted_from_relative(), chart);
    /// ```
    #[must_use]
    pub fn counted_from_relative(&self) -> Self {
        let mut chart = self.clone();
        let mut from = self.key;
        chart.key = from.relative();
        let mut to = chart.key;
        for item in &mut chart.items {
            match item {
                Item::Key(change) => {
                    from = change.from(from);
                    if let KeyChange::To(key) = change {
                        *key = key.relative();
                    }
                    to = change.from(to);
                }
                Item::Bar(Bar::Chords(slots)) => {
                    for slot in slots {
                        slot.numeral = slot.numeral.map(|n| n.recounted(from, to));
                    }
                }
                _ => {}
            }
        }
        chart
    }
}
