//! The neck ready to draw: where frets and strings lie, and what every place is to the chord.
//!
//! *Invariant:* what a place is called is computed from the sounding pitch, never from a table.

#[cfg(test)]
mod tests;

use super::appearance::Called;
use super::lanes_view::Role;
use crate::solo::{Meaning, Performance};
use crate::steel::geometry::from_nut;
use crate::steel::{ChangeId, Fret, Instrument, Lie, Millimetres, Place, StringNumber, StringSet, Travel};
use crate::theory::{Beats, ChordSpan, Height, Hit, Key, NoteNumber, Numeral, Semitones, Timeline};
use crate::words::Said;

/// A pitch further than this from a note has no name on the neck: a string on its way.
const NAMED_WITHIN: f64 = 30.0;
/// The bar is drawn this far behind the nut when the strings are open, in parts of the first space.
const ASIDE: f64 = 0.3;

/// Where the bar is and how far everything is pressed.
#[derive(Debug, Clone, PartialEq)]
pub struct Hold {
    /// The bar on string 1; 0 is no bar.
    pub bar: Fret,
    /// The bar on the last string: the same, unless it is slanted.
    pub near: Fret,
    /// Travel of each change, by [`ChangeId`].
    pub travels: Vec<Travel>,
}

impl Hold {
    /// The bar at `bar`, nothing pressed.
    #[must_use]
    pub fn at(bar: Fret, instrument: &Instrument) -> Self {
        Self {
            bar,
            near: bar,
            travels: vec![Travel::UP; instrument.changes.len()],
        }
    }

    /// The bar and the stance of a place.
    #[must_use]
    pub fn holding(place: Place, instrument: &Instrument) -> Self {
        Self {
            bar: place.lie(instrument).far,
            near: place.lie(instrument).near,
            travels: instrument
                .change_ids()
                .map(|id| instrument.travel(place.stance, id))
                .collect(),
        }
    }

    /// What a performance holds at a moment.
    #[must_use]
    pub fn of(performance: &Performance, at: Beats) -> Self {
        Self {
            bar: performance.lie_at(at).far,
            near: performance.lie_at(at).near,
            travels: performance.travels.iter().map(|c| Travel(c.value(at))).collect(),
        }
    }

    /// Where the bar lies.
    #[must_use]
    pub fn lie(&self) -> Lie {
        Lie {
            far: self.bar,
            near: self.near,
        }
    }

    /// This hold with the bar straight across at a fret.
    #[must_use]
    pub fn straight(self, bar: Fret) -> Self {
        Self { bar, near: bar, ..self }
    }

    /// How far a change is pressed.
    #[must_use]
    pub fn travel(&self, change: ChangeId) -> Travel {
        self.travels.get(change.index()).copied().unwrap_or(Travel::UP)
    }

    /// The fret the bar is nearest to; nothing while the strings are open or the bar is slanted.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn nearest_fret(&self) -> Option<u8> {
        (self.bar.0 >= 0.5 && self.lie().is_straight()).then(|| self.bar.0.round().min(255.0) as u8)
    }

    /// This hold with a change pressed so far.
    #[must_use]
    pub fn with(mut self, change: ChangeId, travel: Travel) -> Self {
        if let Some(found) = self.travels.get_mut(change.index()) {
            *found = Travel(travel.0.clamp(0.0, 1.0));
        }
        self
    }

    /// What is pressed, in words: "A B", "A½", or "no pedals"; nothing where there is nothing to press.
    #[must_use]
    pub fn stance_name(&self, instrument: &Instrument) -> Said {
        let pressed: Vec<String> = instrument
            .change_ids()
            .zip(&instrument.changes)
            .filter_map(|(id, change)| match self.travel(id).0 {
                t if t >= 0.75 => Some(change.name.clone()),
                t if t >= 0.25 => Some(format!("{}½", change.name)),
                _ => None,
            })
            .collect();
        if instrument.changes.is_empty() {
            Said::default()
        } else if pressed.is_empty() {
            said!("no pedals")
        } else {
            pressed.join(" ").into()
        }
    }

    /// The hold with every travel at rest, half or down, for what only changes by those.
    #[must_use]
    pub fn settled(&self) -> Vec<Travel> {
        self.travels.iter().map(|t| Travel((t.0 * 2.0).round() / 2.0)).collect()
    }
}

/// A painted mark of the neck.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Inlay {
    /// One leaf.
    One,
    /// Two leaves: an octave.
    Two,
}

/// A fret line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FretLine {
    /// Its number; 0 is the nut.
    pub number: u8,
    /// Where it lies: 0 at the nut, 1 at the last fret.
    pub along: f64,
    /// The mark in the space before it.
    pub inlay: Option<Inlay>,
}

/// A string of the neck.
#[derive(Debug, Clone, PartialEq)]
pub struct NeckString {
    /// Its number.
    pub string: StringNumber,
    /// Its open note.
    pub name: String,
    /// Its diameter in parts of the neck's length from nut to last fret.
    pub thickness: f64,
    /// Whether it is wound.
    pub wound: bool,
}

/// The neck as it is built, without anything played.
#[derive(Debug, Clone, PartialEq)]
pub struct NeckFrame {
    /// The fret lines from the nut.
    pub frets: Vec<FretLine>,
    /// The strings from 1 (far).
    pub strings: Vec<NeckString>,
}

impl NeckFrame {
    /// The neck of an instrument.
    #[must_use]
    pub fn of(instrument: &Instrument) -> Self {
        let inlay = |number: u8| match number {
            12 | 24 => Some(Inlay::Two),
            3 | 5 | 7 | 9 | 15 | 17 | 19 | 21 => Some(Inlay::One),
            _ => None,
        };
        let last = instrument.frets.max(1);
        Self {
            frets: (0..=last)
                .map(|number| FretLine {
                    number,
                    along: along(Fret(f64::from(number)), last),
                    inlay: inlay(number),
                })
                .collect(),
            strings: instrument
                .string_numbers()
                .zip(&instrument.strings)
                .map(|(string, spec)| NeckString {
                    string,
                    name: spec.pitch.name.to_string(),
                    thickness: spec.gauge.millimetres().0 / from_nut(instrument.scale_length, Fret(f64::from(last))).0,
                    wound: spec.wound,
                })
                .collect(),
        }
    }

    fn last(&self) -> u8 {
        self.frets.last().map_or(1, |f| f.number)
    }

    /// Where a bar position lies: 0 at the nut, 1 at the last fret. An open position lies behind the nut.
    #[must_use]
    pub fn along(&self, bar: Fret) -> f64 {
        let first = along(Fret(1.0), self.last());
        if bar.0 < 1.0 {
            first * (bar.0 - ASIDE * (1.0 - bar.0))
        } else {
            along(bar, self.last())
        }
    }

    /// The bar position at a place along the neck, kept on it.
    #[must_use]
    pub fn fret_at(&self, along: f64) -> Fret {
        let last = Fret(f64::from(self.last()));
        let part = (along * from_nut(WHOLE, last).0).clamp(0.0, from_nut(WHOLE, last).0);
        let fret = -12.0 * (1.0 - part).log2();
        // A bar let go near a fret means the fret.
        let nearest = fret.round();
        Fret(if (fret - nearest).abs() < 0.2 { nearest } else { fret })
    }

    /// The stretch of the neck that belongs to a fret: half way to its neighbours.
    #[must_use]
    pub fn cell(&self, fret: u8) -> (f64, f64) {
        let at = |n: u8| along(Fret(f64::from(n)), self.last());
        let half = |a: u8, b: u8| f64::midpoint(at(a), at(b));
        let before = if fret == 0 { -at(1) / 2.0 } else { half(fret - 1, fret) };
        let after = if fret >= self.last() {
            2.0 * at(fret) - half(fret.saturating_sub(1), fret)
        } else {
            half(fret, fret + 1)
        };
        (before, after)
    }
}

/// The speaking length as a whole, where only parts of it matter.
const WHOLE: Millimetres = Millimetres(1.0);

fn along(fret: Fret, last: u8) -> f64 {
    from_nut(WHOLE, fret).0 / from_nut(WHOLE, Fret(f64::from(last))).0
}

/// The song's chords, each once, in the order they come.
#[must_use]
pub fn different_chords(timeline: &Timeline) -> Vec<ChordSpan> {
    let mut found: Vec<ChordSpan> = Vec::new();
    for span in timeline.spans.iter().filter(|s| s.hit != Hit::Rest) {
        if found.iter().all(|f| f.numeral != span.numeral || f.key != span.key) {
            found.push(*span);
        }
    }
    found
}

/// A chord of its own in a key, apart from any song.
#[must_use]
pub fn lone_chord(numeral: Numeral, key: Key) -> ChordSpan {
    ChordSpan {
        start: Beats::ZERO,
        length: Beats::ZERO,
        bar: 0,
        key,
        numeral,
        chord: numeral.chord(key),
        hit: Hit::Played,
        pushed: false,
    }
}

/// What a place is to the chord.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Degree {
    /// Its name: 1, b3, 5 ..., and its letter.
    pub called: Called,
    /// What it is to the chord.
    pub role: Role,
}

/// One place of the neck: a string at a fret.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cell {
    /// The string.
    pub string: StringNumber,
    /// The fret; 0 is open.
    pub fret: u8,
    /// Its degree, unless its pitch lies between two notes or there is no chord.
    pub degree: Option<Degree>,
    /// Its name for the ear: "String 5, fret 3, E, 3, third of the 4".
    pub spoken: Said,
}

/// Every place of the neck with these travels, a row for each string from 1.
#[must_use]
pub fn cells(instrument: &Instrument, travels: &[Travel], span: Option<&ChordSpan>) -> Vec<Vec<Cell>> {
    let travel = |c: ChangeId| travels.get(c.index()).copied().unwrap_or(Travel::UP);
    instrument
        .string_numbers()
        .map(|string| {
            (0..=instrument.frets)
                .map(|fret| {
                    let height = instrument.height(string, Fret(f64::from(fret)), travel);
                    cell(string, fret, height.and_then(|h| untuned(instrument, string, h)), span)
                })
                .collect()
        })
        .collect()
}

/// What each string is under the bar, wherever it is; nothing while a string is between two notes.
#[must_use]
pub fn under_bar(instrument: &Instrument, hold: &Hold, span: Option<&ChordSpan>) -> Vec<Option<Degree>> {
    instrument
        .string_numbers()
        .map(|string| {
            let height = instrument.height(string, hold.lie().on(instrument, string), |c| hold.travel(c))?;
            named(untuned(instrument, string, height)?, span).map(|(_, degree)| degree)
        })
        .collect()
}

/// The note of a string under the bar; nothing while it lies between two, or where there is no such string.
#[must_use]
pub fn note_under_bar(instrument: &Instrument, hold: &Hold, string: StringNumber) -> Option<NoteNumber> {
    let height = instrument.height(string, hold.bar, |c| hold.travel(c))?;
    let height = untuned(instrument, string, height)?;
    let note = height.nearest();
    let off = height.above(Height(f64::from(note.0)));
    (off.0.abs() <= NAMED_WITHIN).then_some(note)
}

/// The height as if the string were tuned to equal temperament: a player's offset does not change its name.
fn untuned(instrument: &Instrument, string: StringNumber, height: Height) -> Option<Height> {
    instrument
        .strings
        .get(string.index())
        .map(|s| height.shifted(-s.offset))
}

fn named(height: Height, span: Option<&ChordSpan>) -> Option<(Meaning, Degree)> {
    let meaning = Meaning::of(height, span?);
    let called = Called {
        number: meaning.degree(),
        letter: meaning.pitch.name.to_string(),
    };
    (meaning.off.0.abs() <= NAMED_WITHIN).then(|| {
        let role = Role::of(&meaning);
        (meaning, Degree { called, role })
    })
}

fn cell(string: StringNumber, fret: u8, height: Option<Height>, span: Option<&ChordSpan>) -> Cell {
    let place = if fret == 0 {
        said!("String {string}, open, fret 0", string)
    } else {
        said!("String {string}, fret {fret}", string, fret)
    };
    let found = height.and_then(|h| named(h, span));
    let spoken = match (&found, span) {
        (Some((meaning, degree)), Some(span)) => said!(
            "{place}, {note}, {figure}, {degree} of the {number}",
            place,
            note = Said::notes(meaning.pitch.name),
            figure = &degree.called.number,
            degree = degree_words(meaning.above_root.size(), &degree.called.number),
            number = span.numeral
        ),
        _ => place,
    };
    Cell {
        string,
        fret,
        degree: found.map(|(_, d)| d),
        spoken,
    }
}

/// A degree in words: "flat third", "root".
fn degree_words(size: Semitones, figure: &str) -> Said {
    const WORDS: [&str; 13] = [
        key!("root"),
        key!("second"),
        key!("third"),
        key!("fourth"),
        key!("fifth"),
        key!("sixth"),
        key!("seventh"),
        key!("octave"),
        key!("ninth"),
        key!("tenth"),
        key!("eleventh"),
        key!("twelfth"),
        key!("thirteenth"),
    ];
    if size.0 == 0 {
        return Said::of(WORDS[0]);
    }
    let number = figure.trim_start_matches(['b', '#']);
    let place = number.parse::<usize>().ok().map(|n| n.saturating_sub(1));
    let word = place.and_then(|place| WORDS.get(place));
    let degree = word.map_or_else(|| Said::from(number), |word| Said::of(word));
    let signs = &figure[..figure.len() - number.len()];
    signs.chars().rev().fold(degree, |degree, sign| match sign {
        'b' => said!("flat {degree}", degree),
        _ => said!("sharp {degree}", degree),
    })
}

/// The strings to pluck for a place: its string, and the nearest that sound other tones of the chord, three in
/// all. A string foreign to the chord is heard alone.
#[must_use]
pub fn grip(instrument: &Instrument, hold: &Hold, span: Option<&ChordSpan>, string: StringNumber) -> StringSet {
    let degrees = under_bar(instrument, hold, span);
    let belongs = |s: &StringNumber| {
        let degree = degrees.get(s.index()).and_then(Option::as_ref);
        degree.is_some_and(|d| d.role != Role::Tension)
    };
    let alone = StringSet::EMPTY.with(string);
    if !belongs(&string) {
        return alone;
    }
    let mut near: Vec<StringNumber> = instrument
        .string_numbers()
        .filter(|s| *s != string && belongs(s))
        .collect();
    near.sort_by_key(|s| s.index().abs_diff(string.index()));
    near.into_iter().take(2).fold(alone, StringSet::with)
}
