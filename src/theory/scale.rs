//! Scales: a root and the notes above it within an octave.
//!
//! *Invariant:* the intervals rise from the unison and stay below the octave.

use super::chart::timeline::ChordSpan;
use super::chord::Chord;
use super::interval::Interval;
use super::key::{Key, Mode};
use super::pitch::{NoteName, PitchClass, Semitones};
use serde::{Deserialize, Serialize};
use smallvec::SmallVec;
use std::fmt;

/// The scales with a common name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum ScaleKind {
    Major,
    Dorian,
    Phrygian,
    Lydian,
    Mixolydian,
    Minor,
    Locrian,
    HarmonicMinor,
    MelodicMinor,
    LydianDominant,
    PhrygianDominant,
    MajorPentatonic,
    MinorPentatonic,
    Blues,
}

impl ScaleKind {
    /// Every named scale.
    pub const ALL: [Self; 14] = [
        Self::Major,
        Self::Dorian,
        Self::Phrygian,
        Self::Lydian,
        Self::Mixolydian,
        Self::Minor,
        Self::Locrian,
        Self::HarmonicMinor,
        Self::MelodicMinor,
        Self::LydianDominant,
        Self::PhrygianDominant,
        Self::MajorPentatonic,
        Self::MinorPentatonic,
        Self::Blues,
    ];

    /// Its degrees against the major scale, as letters away and semitones.
    fn shape(self) -> &'static [(i16, i16)] {
        match self {
            Self::Major => &[(0, 0), (1, 2), (2, 4), (3, 5), (4, 7), (5, 9), (6, 11)],
            Self::Dorian => &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 7), (5, 9), (6, 10)],
            Self::Phrygian => &[(0, 0), (1, 1), (2, 3), (3, 5), (4, 7), (5, 8), (6, 10)],
            Self::Lydian => &[(0, 0), (1, 2), (2, 4), (3, 6), (4, 7), (5, 9), (6, 11)],
            Self::Mixolydian => &[(0, 0), (1, 2), (2, 4), (3, 5), (4, 7), (5, 9), (6, 10)],
            Self::Minor => &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 7), (5, 8), (6, 10)],
            Self::Locrian => &[(0, 0), (1, 1), (2, 3), (3, 5), (4, 6), (5, 8), (6, 10)],
            Self::HarmonicMinor => &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 7), (5, 8), (6, 11)],
            Self::MelodicMinor => &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 7), (5, 9), (6, 11)],
            Self::LydianDominant => &[(0, 0), (1, 2), (2, 4), (3, 6), (4, 7), (5, 9), (6, 10)],
            Self::PhrygianDominant => &[(0, 0), (1, 1), (2, 4), (3, 5), (4, 7), (5, 8), (6, 10)],
            Self::MajorPentatonic => &[(0, 0), (1, 2), (2, 4), (4, 7), (5, 9)],
            Self::MinorPentatonic => &[(0, 0), (2, 3), (3, 5), (4, 7), (6, 10)],
            Self::Blues => &[(0, 0), (2, 3), (3, 5), (4, 6), (4, 7), (6, 10)],
        }
    }

    /// What a player calls it.
    ///
    /// ```
    /// use leadbar::theory::scale::ScaleKind;
    /// assert_eq!(ScaleKind::LydianDominant.name(), "lydian dominant");
    /// ```
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Major => "major",
            Self::Dorian => "dorian",
            Self::Phrygian => "phrygian",
            Self::Lydian => "lydian",
            Self::Mixolydian => "mixolydian",
            Self::Minor => "minor",
            Self::Locrian => "locrian",
            Self::HarmonicMinor => "harmonic minor",
            Self::MelodicMinor => "melodic minor",
            Self::LydianDominant => "lydian dominant",
            Self::PhrygianDominant => "phrygian dominant",
            Self::MajorPentatonic => "major pentatonic",
            Self::MinorPentatonic => "minor pentatonic",
            Self::Blues => "blues",
        }
    }
}

/// A scale from a root.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Scale {
    root: NoteName,
    intervals: SmallVec<[Interval; 8]>,
}

impl Scale {
    /// A named scale.
    ///
    /// ```
    /// use leadbar::theory::scale::{Scale, ScaleKind};
    /// assert_eq!(Scale::named("E".parse()?, ScaleKind::Blues).to_string(), "E G A Bb B D");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn named(root: NoteName, kind: ScaleKind) -> Self {
        let intervals = kind
            .shape()
            .iter()
            .map(|(steps, size)| Interval::new(*steps, Semitones(*size)))
            .collect();
        Self { root, intervals }
    }

    /// The seven notes to lead a line through `chord` with in `key`: the key's own, bent where the chord has another
    /// note on the same letter, counted from the chord's root.
    ///
    /// Where a tone lowered so leaves a gap of three semitones above it, the next note gives way too, so that b6 in
    /// A runs F G A, not F G#. Choice of the program, common practice, no source.
    ///
    /// ```
    /// use leadbar::theory::scale::{Scale, ScaleKind};
    /// let over_b7 = Scale::for_chord("A".parse()?, &"G".parse()?);
    /// assert_eq!(over_b7.to_string(), "G A B C# D E F#");
    /// assert_eq!(over_b7.kind(), Some(ScaleKind::Lydian));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn for_chord(key: Key, chord: &Chord) -> Self {
        let mut notes: SmallVec<[NoteName; 8]> = key.scale().notes().collect();
        let tones: SmallVec<[NoteName; 8]> = chord.tones().map(|(_, name)| name).collect();
        let own = |note: &NoteName| tones.iter().find(|t| t.letter == note.letter).copied();
        let mut lowered: SmallVec<[usize; 8]> = SmallVec::new();
        for (i, note) in notes.iter_mut().enumerate() {
            if let Some(tone) = own(note) {
                if tone.accidental < note.accidental {
                    lowered.push(i);
                }
                *note = tone;
            }
        }
        for i in lowered {
            let next = (i + 1) % notes.len();
            let gap = notes[next].class().above(notes[i].class());
            if gap == Semitones(3) && own(&notes[next]).is_none() {
                notes[next].accidental.0 -= 1;
            }
        }
        Self::from_notes(chord.root, &notes)
    }

    /// The scale of `notes` counted from `root`, rising.
    fn from_notes(root: NoteName, notes: &[NoteName]) -> Self {
        let mut intervals: SmallVec<[Interval; 8]> = notes.iter().map(|n| Interval::between(root, *n)).collect();
        intervals.sort_unstable_by_key(|i| (i.steps(), i.size()));
        Self { root, intervals }
    }

    /// The note it counts from.
    ///
    /// ```
    /// use leadbar::theory::scale::{Scale, ScaleKind};
    /// assert_eq!(Scale::named("Bb".parse()?, ScaleKind::Dorian).root().to_string(), "Bb");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn root(&self) -> NoteName {
        self.root
    }

    /// Its intervals above the root, rising.
    ///
    /// ```
    /// use leadbar::theory::scale::{Scale, ScaleKind};
    /// assert_eq!(Scale::named("C".parse()?, ScaleKind::MajorPentatonic).intervals().len(), 5);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn intervals(&self) -> &[Interval] {
        &self.intervals
    }

    /// Its notes, spelled, rising from the root.
    ///
    /// ```
    /// use leadbar::theory::scale::{Scale, ScaleKind};
    /// let notes: Vec<String> = Scale::named("F#".parse()?, ScaleKind::Minor).notes().map(|n| n.to_string()).collect();
    /// assert_eq!(notes, ["F#", "G#", "A", "B", "C#", "D", "E"]);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn notes(&self) -> impl Iterator<Item = NoteName> + '_ {
        self.intervals.iter().map(|i| i.above(self.root))
    }

    /// Whether a pitch class belongs to it.
    ///
    /// ```
    /// use leadbar::theory::NoteName;
    /// use leadbar::theory::scale::{Scale, ScaleKind};
    /// let scale = Scale::named("G".parse()?, ScaleKind::Major);
    /// assert!(scale.contains("Gb".parse::<NoteName>()?.class()));
    /// assert!(!scale.contains("F".parse::<NoteName>()?.class()));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn contains(&self, class: PitchClass) -> bool {
        self.notes().any(|n| n.class() == class)
    }

    /// How far it is from `class` up to the next note of the scale above it.
    ///
    /// ```
    /// use leadbar::theory::{NoteName, Semitones};
    /// use leadbar::theory::scale::{Scale, ScaleKind};
    /// let scale = Scale::named("C".parse()?, ScaleKind::Major);
    /// assert_eq!(scale.step_up("E".parse::<NoteName>()?.class()), Semitones(1));
    /// assert_eq!(scale.step_down("E".parse::<NoteName>()?.class()), Semitones(-2));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn step_up(&self, class: PitchClass) -> Semitones {
        self.nearest_step(class, 1)
    }

    /// How far it is from `class` down to the next note of the scale below it (negative); see [`Self::step_up`].
    #[must_use]
    pub fn step_down(&self, class: PitchClass) -> Semitones {
        self.nearest_step(class, -1)
    }

    fn nearest_step(&self, class: PitchClass, direction: i16) -> Semitones {
        (1..=12)
            .map(|n| Semitones(n * direction))
            .find(|by| self.contains(class.plus(*by)))
            .unwrap_or(Semitones(12 * direction))
    }

    /// Which named scale it is, if any.
    ///
    /// ```
    /// use leadbar::theory::scale::{Scale, ScaleKind};
    /// assert_eq!(Scale::for_chord("Am".parse()?, &"E7".parse()?).kind(), Some(ScaleKind::PhrygianDominant));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn kind(&self) -> Option<ScaleKind> {
        ScaleKind::ALL.into_iter().find(|kind| {
            let own = self.intervals.iter().map(|i| (i.steps(), i.size().0));
            own.eq(kind.shape().iter().copied())
        })
    }
}

impl fmt::Display for Scale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, note) in self.notes().enumerate() {
            let gap = if i == 0 { "" } else { " " };
            write!(f, "{gap}{note}")?;
        }
        Ok(())
    }
}

impl Key {
    /// Its own scale: the tonic's major scale, or its natural minor scale.
    ///
    /// ```
    /// use leadbar::theory::Key;
    /// assert_eq!("F".parse::<Key>()?.scale().to_string(), "F G A Bb C D E");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn scale(self) -> Scale {
        let kind = match self.mode {
            Mode::Major => ScaleKind::Major,
            Mode::Minor => ScaleKind::Minor,
        };
        Scale::named(self.tonic, kind)
    }
}

/// The scale to lead a line with through one chord of a chart; see [`Scale::for_chord`].
#[must_use]
pub fn for_span(span: &ChordSpan) -> Scale {
    Scale::for_chord(span.key, &span.chord)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scale_of_a_chord_holds_every_tone_of_the_chord_and_seven_letters() {
        use crate::theory::{Mode, Quality};
        for key in Key::all(Mode::Major).chain(Key::all(Mode::Minor)) {
            for class in PitchClass::all() {
                for quality in Quality::ALL {
                    let chord = Chord::new(key.spell(class), quality);
                    let scale = Scale::for_chord(key, &chord);
                    assert!(chord.tones().all(|(_, n)| scale.contains(n.class())), "{key} {chord}");
                    assert_eq!(scale.intervals().len(), 7);
                    assert!(
                        scale
                            .intervals()
                            .iter()
                            .enumerate()
                            .all(|(i, v)| usize::try_from(v.steps()) == Ok(i))
                    );
                }
            }
        }
    }

    #[test]
    fn diatonic_chords_keep_the_notes_of_the_key() {
        for (chord, kind) in [
            ("C", ScaleKind::Major),
            ("Dm", ScaleKind::Dorian),
            ("Em7", ScaleKind::Phrygian),
            ("Fmaj7", ScaleKind::Lydian),
            ("G7", ScaleKind::Mixolydian),
            ("Am", ScaleKind::Minor),
            ("Bm7b5", ScaleKind::Locrian),
        ] {
            let scale = Scale::for_chord(Key::C, &chord.parse().unwrap());
            assert_eq!(scale.kind(), Some(kind), "{chord}");
        }
    }

    #[test]
    fn borrowed_chords_bend_the_key() {
        for (chord, notes) in [
            ("Bb", "Bb C D E F G A"),
            ("Ab", "Ab Bb C D Eb F G"),
            ("Eb", "Eb F G A Bb C D"),
            ("Fm", "F G Ab Bb C D E"),
            ("D", "D E F# G A B C"),
            ("E7", "E F G# A B C D"),
            ("C7", "C D E F G A Bb"),
        ] {
            assert_eq!(
                Scale::for_chord(Key::C, &chord.parse().unwrap()).to_string(),
                notes,
                "{chord}"
            );
        }
    }
}
