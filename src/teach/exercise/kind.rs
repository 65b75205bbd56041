//! The kinds of exercise.

use serde::{Deserialize, Serialize};
use std::fmt;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// A number in a key: which chord is it?
    NameChord,
    /// A chord in a key: which number is it?
    NameNumber,
    /// A chart and what somebody wrote out of it: which bar is wrong?
    SpotWrong,
    /// A chord: hold it on the neck.
    FindChord,
    /// A chord: hold three inversions of it, each higher.
    Inversions,
    /// A string before and after: which pedal or lever moved it?
    HearChange,
    /// A key, then a chord: which number was heard?
    HearNumber,
    /// A chord: which of its notes lies lowest?
    HearInversion,
    /// A few bars: write their numbers.
    FollowByEar,
    /// A held chord: take the next one with the smallest steps.
    VoiceLead,
    /// A bar nobody can play: make it playable.
    FixBar,
    /// A melody on still strings: which pedals make it?
    PutPedals,
    /// The first bars: come in.
    Entrance,
    /// A place, a higher place, some bars: climb.
    Climb,
    /// A question of two bars: answer it.
    Answer,
    /// A phrase: change one thing.
    Variation,
    /// The last bars: end it.
    Ending,
    /// Two strings that beat: tune them.
    TuneBeats,
}

impl Kind {
    /// Every kind, in the order a course meets them.
    pub const ALL: [Self; 18] = [
        Self::NameChord,
        Self::NameNumber,
        Self::SpotWrong,
        Self::FindChord,
        Self::Inversions,
        Self::HearChange,
        Self::HearNumber,
        Self::HearInversion,
        Self::FollowByEar,
        Self::VoiceLead,
        Self::FixBar,
        Self::PutPedals,
        Self::Entrance,
        Self::Climb,
        Self::Answer,
        Self::Variation,
        Self::Ending,
        Self::TuneBeats,
    ];

    /// The word it has in lesson files.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::NameChord => "name-chord",
            Self::NameNumber => "name-number",
            Self::SpotWrong => "spot-wrong",
            Self::FindChord => "find-chord",
            Self::Inversions => "inversions",
            Self::HearChange => "hear-change",
            Self::HearNumber => "hear-number",
            Self::HearInversion => "hear-inversion",
            Self::FollowByEar => "follow-by-ear",
            Self::VoiceLead => "voice-lead",
            Self::FixBar => "fix-bar",
            Self::PutPedals => "put-pedals",
            Self::Entrance => "entrance",
            Self::Climb => "climb",
            Self::Answer => "answer",
            Self::Variation => "variation",
            Self::Ending => "ending",
            Self::TuneBeats => "tune-beats",
        }
    }

    /// What a player calls it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::NameChord => key!("Name the chord of a number"),
            Self::NameNumber => key!("Name the number of a chord"),
            Self::SpotWrong => key!("Spot the wrong chord"),
            Self::FindChord => key!("Find a chord on the neck"),
            Self::Inversions => key!("Three inversions going up"),
            Self::HearChange => key!("Hear which pedal moved"),
            Self::HearNumber => key!("Hear which number it is"),
            Self::HearInversion => key!("Hear which note is lowest"),
            Self::FollowByEar => key!("Write down what you hear"),
            Self::VoiceLead => key!("Take the next chord by small steps"),
            Self::FixBar => key!("Mend a bar nobody can play"),
            Self::PutPedals => key!("Put the pedals to a melody"),
            Self::Entrance => key!("Come in"),
            Self::Climb => key!("Climb from here to there"),
            Self::Answer => key!("Answer a phrase"),
            Self::Variation => key!("Change one thing"),
            Self::Ending => key!("End it"),
            Self::TuneBeats => key!("Tune a string by its beats"),
        }
    }

    /// The parameters it takes in lesson files, beside `kind`, `seed`, `skill` and `caption`.
    #[must_use]
    pub fn parameters(self) -> &'static [&'static str] {
        match self {
            Self::NameChord | Self::NameNumber | Self::HearNumber => &["key", "chords"],
            Self::SpotWrong => &["key", "chart"],
            Self::FindChord => &["key", "chords", "instrument", "places"],
            Self::Inversions | Self::VoiceLead | Self::HearInversion => &["key", "chords", "instrument"],
            Self::HearChange => &["key", "instrument", "changes"],
            Self::FollowByEar => &["key", "chords", "bars"],
            Self::PutPedals => &["key", "instrument"],
            Self::FixBar | Self::Entrance | Self::Answer | Self::Variation | Self::Ending => {
                &["key", "chart", "instrument", "tempo"]
            }
            Self::Climb => &["key", "chart", "instrument", "tempo", "bars"],
            Self::TuneBeats => &["instrument"],
        }
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.id())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_word_in_lesson_files_is_the_one_in_links() {
        for kind in Kind::ALL {
            assert_eq!(serde_json::to_string(&kind).unwrap(), format!("\"{kind}\""));
        }
    }
}
