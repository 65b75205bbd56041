//! A solo on paper: the chart, the tab with its count, and where the hands are, as pictures that are printed and saved.
//!
//! *Invariant:* a picture stands by itself: it holds its own colours and lines, asks for nothing from elsewhere, and
//! whatever was written by a user is text in it and never markup.
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
use crate::exchange::tab::{Characters, Explained, Signs, Tab};
use crate::solo::Performance;
use crate::steel::Instrument;
use crate::theory::Timeline;
use crate::words::Said;

/// The room of a system: what stands readable beside its margins on A4 and on Letter.
const SYSTEM: Characters = Characters(76);

/// Everything of a printed sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// The song's name.
    pub title: String,
    /// Key, tempo and instrument.
    pub facts: Vec<Said>,
    /// The chart.
    pub bars: Vec<BarCard>,
    /// The tab, a picture a system.
    pub systems: Vec<Picture>,
    /// What the tab's signs mean.
    pub legend: Vec<Explained>,
    /// Where the hands are.
    pub necks: Vec<Held>,
}

impl Sheet {
    /// The sheet of a solo.
    #[must_use]
    pub fn of(title: Option<&str>, song: &Timeline, instrument: &Instrument, performance: &Performance) -> Self {
        let tab = Tab::of(performance, instrument, song, Signs::Letters);
        Self {
            title: title.unwrap_or("Untitled song").to_owned(),
            facts: vec![
                said!("Key {key}", key = Said::notes(song.key)),
                said!("{tempo} beats a minute", tempo = format!("{:.0}", song.tempo.0)),
                Said::known(&instrument.name),
            ],
            bars: cards(song),
            systems: tab.systems(SYSTEM).iter().map(|s| tab::system(&tab, s)).collect(),
            legend: tab.legend,
            necks: necks::held(performance, instrument, song),
        }
    }
}

/// The whole tab as one picture.
#[must_use]
pub fn tab_picture(song: &Timeline, instrument: &Instrument, performance: &Performance) -> Picture {
    let tab = Tab::of(performance, instrument, song, Signs::Letters);
    let systems: Vec<Picture> = tab.systems(SYSTEM).iter().map(|s| tab::system(&tab, s)).collect();
    drawing::stacked(&systems, 1)
}

/// Every place of the solo on the neck as one picture.
#[must_use]
pub fn neck_picture(song: &Timeline, instrument: &Instrument, performance: &Performance) -> Picture {
    let necks: Vec<Picture> = necks::held(performance, instrument, song)
        .into_iter()
        .map(|held| held.picture)
        .collect();
    drawing::stacked(&necks, necks::ABREAST)
}

#[cfg(test)]
mod tests;
