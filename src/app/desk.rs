//! How the user has set up the page: the view, the light, the levels. Not part of the work, so not undone.

use super::appearance::{NamedBy, Side};
use super::compare::Compared;
use super::delivery::Wishes;
use super::levels::Levels;
use super::looped::LoopBars;
use super::midi_map::Mapping;
use super::passes::Chosen;
use super::rehearsal::Rehearsal;
use crate::theory::Seconds;
use serde::{Deserialize, Serialize};

/// A place in the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum View {
    /// The song in numbers.
    Chart,
    /// Where everything is.
    Neck,
    /// Passes over the chart.
    #[default]
    Solo,
    /// The course.
    Learn,
    /// Work that is set, answered and marked.
    Class,
    /// The instrument and its changes.
    Rig,
    /// A take as files.
    Deliver,
    /// The next bars in large type, for playing along.
    Stand,
    /// The instrument against its targets, by microphone.
    Tuner,
}

impl View {
    /// Every place.
    pub const ALL: [Self; 9] = [
        Self::Chart,
        Self::Neck,
        Self::Solo,
        Self::Learn,
        Self::Class,
        Self::Rig,
        Self::Deliver,
        Self::Stand,
        Self::Tuner,
    ];

    /// The places of the navigation bar, in order; the rig and the tuner open from the song's
    /// head, the stand from the solo, the class from the course.
    pub const BAR: [Self; 4] = [Self::Chart, Self::Neck, Self::Solo, Self::Learn];

    /// Its name on the page.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Chart => key!("Chart"),
            Self::Neck => key!("Neck"),
            Self::Solo => key!("Solo"),
            Self::Learn => key!("Learn"),
            Self::Class => key!("Class"),
            Self::Rig => key!("Rig"),
            Self::Deliver => key!("Deliver"),
            Self::Stand => key!("Stand"),
            Self::Tuner => key!("Tuner"),
        }
    }
}

/// Day or night.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Theme {
    /// As the device is set.
    #[default]
    System,
    /// Paper and ink.
    Day,
    /// Stage dark.
    Night,
}

/// The slowest and the fastest practice speed, in hundredths of the chart's tempo.
pub const SPEEDS: std::ops::RangeInclusive<u16> = 30..=150;

/// The page as the user has it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Desk {
    /// What is shown.
    pub view: View,
    /// Day or night.
    pub theme: Theme,
    /// From where the neck is seen.
    pub side: Side,
    /// What notes and chords are called.
    pub naming: NamedBy,
    /// How loud.
    pub levels: Levels,
    /// What a MIDI controller moves.
    pub midi: Mapping,
    /// Playing speed in hundredths of the chart's tempo, within [`SPEEDS`].
    pub speed: u16,
    /// Whether a bar is counted before playing.
    pub count_in: bool,
    /// What is looped, if anything.
    pub looped: Option<LoopBars>,
    /// How the pass is rehearsed.
    pub rehearsal: Rehearsal,
    /// Which pass is looked at and heard.
    pub chosen: Chosen,
    /// The lesson that is open, by its id; nothing while the whole course is looked at.
    pub lesson: Option<String>,
    /// Which pass it is compared with.
    #[serde(skip)]
    pub compared: Compared,
    /// Whether the text of the chart is open beside its bars.
    pub writing: bool,
    /// What is wanted of a delivery.
    pub delivery: Wishes,
    /// How late this device hears itself, once that was measured.
    pub delay: Option<Seconds>,
}

impl Default for Desk {
    fn default() -> Self {
        Self {
            view: View::default(),
            theme: Theme::default(),
            side: Side::default(),
            naming: NamedBy::default(),
            levels: Levels::default(),
            midi: Mapping::default(),
            speed: 100,
            count_in: true,
            looped: None,
            rehearsal: Rehearsal::default(),
            chosen: Chosen::default(),
            lesson: None,
            compared: Compared::default(),
            writing: false,
            delivery: Wishes::default(),
            delay: None,
        }
    }
}
