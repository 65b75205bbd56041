//! A solo on paper: the chart, the tab with its count, and where the hands are, as pictures that are printed and saved.
//!
//! *Invariant:* a picture stands by itself: it holds its own colours and lines, asks for nothing from elsewhere, and
//! whatever was written by a user is text in it and never markup. It is for people: it says what it says in the words
//! it is given, and calls notes as they do.
//!
//! | file | what it is |
//! |---|---|
//! | `drawing` | lines and words as SVG |
//! | `tab` | systems of tablature |
//! | `necks` | where the bar is and what is pressed, chord by chord |

mod drawing;
mod necks;
mod tab;

pub use drawing::{Picture, Pixels};
pub use necks::Held;

use super::bars::{BarCard, cards};
use crate::exchange::tab::{Characters, Explained, Signs, System, Tab};
use crate::solo::Performance;
use crate::steel::Instrument;
use crate::theory::Timeline;
use crate::words::{Said, Words};
use necks::Stop;

/// The room of a system: what stands readable beside its margins on A4 and on Letter.
const SYSTEM: Characters = Characters(76);

/// What is drawn, and in whose words.
#[derive(Debug, Clone, Copy)]
pub struct Drawn<'a> {
    /// The song.
    pub song: &'a Timeline,
    /// The instrument.
    pub instrument: &'a Instrument,
    /// The solo.
    pub performance: &'a Performance,
    /// The reader's words.
    pub words: &'a Words,
}

impl Drawn<'_> {
    fn tab(&self) -> Tab {
        Tab::of(self.performance, self.instrument, self.song, Signs::Letters)
    }

    /// What the strings are called.
    fn names(&self, tab: &Tab) -> Vec<String> {
        tab.rows.iter().map(|row| self.words.notes(&row.name)).collect()
    }
}

/// Everything of a printed sheet. Its pictures are drawn one at a time, when they are asked for: together they are long.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// The song's name.
    pub title: String,
    /// Key, tempo and instrument.
    pub facts: Vec<Said>,
    /// The chart.
    pub bars: Vec<BarCard>,
    tab: Tab,
    names: Vec<String>,
    systems: Vec<System>,
    stops: Vec<Stop>,
}

impl Sheet {
    /// The sheet of a solo.
    #[must_use]
    pub fn of(title: Option<&str>, drawn: Drawn<'_>) -> Self {
        let Drawn { song, instrument, .. } = drawn;
        let tab = drawn.tab();
        Self {
            title: title.map_or_else(|| drawn.words.tell(&said!("Untitled song")), str::to_owned),
            facts: vec![
                said!("Key {key}", key = Said::notes(song.key)),
                said!("{tempo} beats a minute", tempo = format!("{:.0}", song.tempo.0)),
                Said::known(&instrument.name),
            ],
            bars: cards(song),
            names: drawn.names(&tab),
            systems: tab.systems(SYSTEM),
            stops: necks::stops(drawn),
            tab,
        }
    }

    /// What the tab's signs mean.
    #[must_use]
    pub fn legend(&self) -> &[Explained] {
        &self.tab.legend
    }

    /// How many systems the tab has.
    #[must_use]
    pub fn systems(&self) -> usize {
        self.systems.len()
    }

    /// A system of the tab, counted from 0.
    #[must_use]
    pub fn system(&self, index: usize) -> Option<Picture> {
        let system = self.systems.get(index)?;
        Some(tab::system(&self.tab, system, &self.names))
    }

    /// How many places the hands are at.
    #[must_use]
    pub fn necks(&self) -> usize {
        self.stops.len()
    }

    /// Where the hands are, counted from 0, in the words and on the instrument that the sheet was made with.
    #[must_use]
    pub fn neck(&self, index: usize, instrument: &Instrument, words: &Words) -> Option<Held> {
        Some(necks::shown(self.stops.get(index)?, instrument, words))
    }
}

/// The whole tab as one picture.
#[must_use]
pub fn tab_picture(drawn: Drawn<'_>) -> Picture {
    let tab = drawn.tab();
    let names = drawn.names(&tab);
    let systems: Vec<Picture> = tab
        .systems(SYSTEM)
        .iter()
        .map(|s| tab::system(&tab, s, &names))
        .collect();
    drawing::stacked(&systems, 1)
}

/// Every place of the solo on the neck as one picture.
#[must_use]
pub fn neck_picture(drawn: Drawn<'_>) -> Picture {
    let necks: Vec<Picture> = necks::stops(drawn)
        .iter()
        .map(|stop| necks::shown(stop, drawn.instrument, drawn.words).picture)
        .collect();
    drawing::stacked(&necks, necks::ABREAST)
}

#[cfg(test)]
mod tests;
