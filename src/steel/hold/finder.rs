//! The search: what every stance makes of the strings is reckoned once, then each chord is looked up in it.
//!
//! *Invariant:* a fret and the fret an octave above it give the same grips, so only twelve are searched.

use super::effort::{self, Effort};
use super::grip::{self, Bounds, ByTone};
use super::query::{HoldQuery, Tones, essential};
use super::{Hold, Inversion, Voice};
use crate::steel::body;
use crate::steel::instrument::Stance;
use crate::steel::instrument::{ChangeId, Instrument, StringNumber, StringSet};
use crate::steel::neck::Place;
use crate::theory::{Chord, ChordTone, NoteNumber, PitchClass, Semitones};
use smallvec::SmallVec;

/// A stance and what it makes of the open strings.
#[derive(Debug, Clone)]
struct Row {
    stance: Stance,
    effort: Effort,
    /// The note of each string; nothing where a change leaves it between two notes.
    open: [Option<NoteNumber>; StringNumber::MOST],
    /// For each pitch class, from C, the strings that sound it.
    by_class: [StringSet; 12],
    /// For each change pressed, the strings it moves.
    moved: SmallVec<[StringSet; 4]>,
}

impl Row {
    fn of(instrument: &Instrument, stance: Stance) -> Self {
        let open = std::array::from_fn(|index| {
            let place = Place::straight(0, stance);
            instrument.note(StringNumber::from_index(index)?, place)
        });
        let mut by_class = [StringSet::EMPTY; 12];
        for (index, note) in open.iter().enumerate() {
            if let (Some(string), Some(note)) = (StringNumber::from_index(index), note) {
                let strings = &mut by_class[usize::from(note.class().number())];
                *strings = strings.with(string);
            }
        }
        let moved = stance.pressed().map(|id| moved(instrument, stance, id)).collect();
        Self {
            stance,
            effort: effort::of_stance(instrument, stance),
            open,
            by_class,
            moved,
        }
    }

    /// Whether every change pressed moves one of `strings`.
    fn is_needed(&self, strings: StringSet) -> bool {
        self.moved.iter().all(|moved| !moved.and(strings).is_empty())
    }
}

/// The strings a change moves, as far as the stance presses it.
fn moved(instrument: &Instrument, stance: Stance, id: ChangeId) -> StringSet {
    let travel = instrument.travel(stance, id);
    let pulls = instrument.change(id).into_iter().flat_map(|c| &c.pulls);
    pulls.filter(|p| p.at(travel).0 != 0.0).map(|p| p.string).collect()
}

/// A hold within the first octave of frets; further up the same with each note an octave higher.
type Grips = Vec<Hold>;

/// Finds holds on one instrument for one query, any number of chords.
#[derive(Debug, Clone)]
pub struct Finder<'a> {
    instrument: &'a Instrument,
    query: &'a HoldQuery,
    rows: Vec<Row>,
}

impl<'a> Finder<'a> {
    /// Reckons what every stance makes of the strings.
    #[must_use]
    pub fn new(instrument: &'a Instrument, query: &'a HoldQuery) -> Self {
        let rows = match &query.stances {
            Some(stances) => stances.iter().map(|s| Row::of(instrument, *s)).collect(),
            None => body::stances(instrument)
                .into_iter()
                .map(|s| Row::of(instrument, s))
                .collect(),
        };
        Self {
            instrument,
            query,
            rows,
        }
    }

    /// Every hold of `chord`, by fret from the nut, then by stance in the query's order, then by strings.
    #[must_use]
    pub fn holds(&self, chord: &Chord) -> Vec<Hold> {
        let octave: [Grips; 12] = std::array::from_fn(|fret| self.at_fret(chord, fret));
        let last = *self.query.frets.end().min(&self.instrument.frets);
        let frets = *self.query.frets.start()..=last;
        let grips = |fret: u8| octave.get(usize::from(fret) % 12).into_iter().flatten();
        let mut found = Vec::with_capacity(frets.clone().map(|fret| grips(fret).count()).sum());
        for fret in frets {
            found.extend(grips(fret).filter_map(|hold| raised(hold, fret)));
        }
        found
    }

    /// The holds at one fret of the first octave.
    #[allow(clippy::cast_possible_truncation)] // 0..=11
    fn at_fret(&self, chord: &Chord, fret: usize) -> Grips {
        let tones: SmallVec<[ChordTone; 6]> = chord.tones().map(|(tone, _)| tone).collect();
        // The pitch class an open string must have to sound each tone at this fret.
        let class = |tone: &ChordTone| {
            let above = chord.root.class().above(PitchClass::new(fret as i16)) + tone.0.size();
            usize::from(PitchClass::new(above.0).number())
        };
        let classes: SmallVec<[usize; 6]> = tones.iter().map(class).collect();
        let required: SmallVec<[usize; 6]> = self.required(chord).iter().map(class).collect();
        let bounds = Bounds {
            size: self.query.strings.clone(),
            reach: self.query.reach,
        };
        let mut found = Grips::new();
        for row in &self.rows {
            let sets = |classes: &[usize]| -> ByTone { classes.iter().map(|c| row.by_class[*c]).collect() };
            let by_tone = sets(&classes);
            grip::each(&by_tone, &sets(&required), &bounds, &mut |strings| {
                if !self.query.needed || row.is_needed(strings) {
                    found.push(self.hold(row, fret as u8, strings, &tones, &by_tone));
                }
            });
        }
        found
    }

    fn required(&self, chord: &Chord) -> SmallVec<[ChordTone; 6]> {
        match self.query.tones {
            Tones::All => chord.tones().map(|(tone, _)| tone).collect(),
            Tones::Essential => essential(chord).into_iter().collect(),
            Tones::Any => SmallVec::new(),
        }
    }

    fn hold(&self, row: &Row, fret: u8, strings: StringSet, tones: &[ChordTone], by_tone: &ByTone) -> Hold {
        let voice = |string: StringNumber| {
            let note = row.open.get(string.index()).copied().flatten()?;
            let tone = tones.iter().zip(by_tone).find(|(_, at)| at.contains(string))?;
            Some(Voice {
                string,
                note: note.checked_add(Semitones(i16::from(fret)))?,
                tone: *tone.0,
            })
        };
        let mut voices: SmallVec<[Voice; 4]> = strings.iter().filter_map(voice).collect();
        voices.sort_by_key(|v| v.note);
        let lowest = voices.first().map_or(ChordTone::ROOT, |v| v.tone);
        Hold {
            place: Place::straight(fret, row.stance),
            strings,
            inversion: Inversion::of(lowest),
            effort: row.effort + effort::of_strings(self.instrument, strings),
            voices,
        }
    }
}

/// A hold of the first octave at a fret some octaves above; nothing where a note would leave the scale of notes.
fn raised(hold: &Hold, fret: u8) -> Option<Hold> {
    let by = Semitones(i16::from(fret) - i16::from(hold.place.fret));
    let mut raised = hold.clone();
    for voice in &mut raised.voices {
        voice.note = voice.note.checked_add(by)?;
    }
    raised.place.fret = fret;
    raised.effort = hold.effort + effort::of_fret(fret);
    Some(raised)
}
