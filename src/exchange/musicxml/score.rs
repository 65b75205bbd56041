//! The score: head, bars, and in each bar the two staves.

use super::ChordNames;
use super::chords;
use super::events::{Written, events};
use super::grid::{DIVISIONS, Frame, Value, count_end, frames, pieces, snapped, value};
use super::page::Page;
use crate::exchange::pressed::pressings;
use crate::solo::{Meaning, Performance};
use crate::steel::Instrument;
use crate::theory::{Beats, Hit, Key, Metre, Mode, Timeline};

/// The two staves, each a voice of its own.
const STAVES: [(&str, &str); 2] = [("1", "1"), ("2", "5")];
/// The most slides that can be told apart at one moment.
const MOST_SLIDES: usize = 6;

pub(super) fn text(
    performance: &Performance,
    instrument: &Instrument,
    song: &Timeline,
    title: Option<&str>,
    names: ChordNames,
) -> String {
    let frames = frames(song);
    let chords = chords_of(events(performance, instrument, song.tempo), &frames);
    let words = snapped_words(pressings(performance, instrument), &frames);
    let score = Score {
        instrument,
        song,
        names,
        frames,
        chords,
        words,
    };
    let mut page = Page::score();
    page.within("score-partwise", &[("version", "4.0")], |page| {
        page.within("work", &[], |page| {
            page.text("work-title", title.unwrap_or("Untitled song"))
        });
        page.within("identification", &[], |page| {
            page.within("encoding", &[], |page| page.text("software", "Leadbar"));
        });
        page.within("part-list", &[], |page| {
            page.within("score-part", &[("id", "P1")], |page| {
                page.text("part-name", &instrument.name)
            });
        });
        page.within("part", &[("id", "P1")], |page| {
            for index in 0..score.frames.len() {
                score.bar(index, page);
            }
        });
    });
    page.finish()
}

/// Notes that begin together, in divisions.
struct Chord {
    start: u32,
    /// When it is written to end: at the next chord, or with the count in which its last note dies.
    end: u32,
    /// Notes that slide into it too fast to have a length of their own.
    graces: Vec<Written>,
    notes: Vec<Written>,
}

fn chords_of(events: Vec<Written>, frames: &[Frame]) -> Vec<Chord> {
    let song_end = frames.last().map_or(0, Frame::end);
    let moments: Vec<Beats> = events.iter().map(|e| e.at).collect();
    let mut found: Vec<Chord> = Vec::new();
    for (event, start) in events.into_iter().zip(snapped(&moments, frames)) {
        if start >= song_end {
            break;
        }
        let end = count_end(event.end, frames);
        match found.last_mut().filter(|last| last.start == start) {
            Some(last) => {
                // A string that is there already was only passing through.
                if let Some(passing) = last.notes.iter().position(|n| n.string == event.string) {
                    let passed = last.notes.remove(passing);
                    last.graces.push(passed);
                }
                last.notes.push(event);
                last.end = last.end.max(end);
            }
            None => found.push(Chord {
                start,
                end,
                graces: Vec::new(),
                notes: vec![event],
            }),
        }
    }
    let starts: Vec<u32> = found.iter().skip(1).map(|c| c.start).chain([song_end]).collect();
    for (chord, next) in found.iter_mut().zip(starts) {
        chord.end = chord.end.min(next).max(chord.start);
    }
    found
}

fn snapped_words(words: Vec<(Beats, String)>, frames: &[Frame]) -> Vec<(u32, String)> {
    let moments: Vec<Beats> = words.iter().map(|(at, _)| *at).collect();
    snapped(&moments, frames)
        .into_iter()
        .zip(words)
        .map(|(at, (_, words))| (at, words))
        .collect()
}

struct Score<'a> {
    instrument: &'a Instrument,
    song: &'a Timeline,
    names: ChordNames,
    frames: Vec<Frame>,
    chords: Vec<Chord>,
    /// What is pressed, and from when.
    words: Vec<(u32, String)>,
}

/// A note or a rest of one bar and one staff.
struct Slot<'a> {
    chord: Option<&'a Chord>,
    length: u32,
    /// Whether its chord began before it, and goes on after it.
    tied: (bool, bool),
}

impl Score<'_> {
    fn bar(&self, index: usize, page: &mut Page) {
        let Some(frame) = self.frames.get(index) else { return };
        page.within("measure", &[("number", &(index + 1).to_string())], |page| {
            self.attributes(index, page);
            self.directions(index, frame, page);
            let slots = self.slots(frame);
            for (which, (staff, voice)) in STAVES.into_iter().enumerate() {
                if which > 0 {
                    page.within("backup", &[], |page| page.text("duration", frame.length));
                }
                for slot in &slots {
                    self.slot(slot, (staff, voice), page);
                }
            }
        });
    }

    /// The notes and rests that fill a bar.
    fn slots(&self, frame: &Frame) -> Vec<Slot<'_>> {
        let mut found = Vec::new();
        let mut at = frame.start;
        let rest = |from: u32, to: u32, found: &mut Vec<Slot<'_>>| {
            found.extend(pieces(from, to, frame).into_iter().map(|length| Slot {
                chord: None,
                length,
                tied: (false, false),
            }));
        };
        for chord in self
            .chords
            .iter()
            .filter(|c| c.end > frame.start && c.start < frame.end())
        {
            let (from, to) = (chord.start.max(frame.start), chord.end.min(frame.end()));
            rest(at, from, &mut found);
            let mut now = from;
            for length in pieces(from, to, frame) {
                let tied = (now > chord.start, now + length < chord.end);
                found.push(Slot {
                    chord: Some(chord),
                    length,
                    tied,
                });
                now += length;
            }
            at = to;
        }
        rest(at, frame.end(), &mut found);
        found
    }

    fn attributes(&self, index: usize, page: &mut Page) {
        let metre = |i: usize| self.song.bars.get(i).map(|b| b.metre);
        let key = |i: usize| self.song.spans.iter().find(|s| s.bar == i).map(|s| s.key);
        let before = index.checked_sub(1);
        let new_metre = metre(index).filter(|m| before.and_then(metre) != Some(*m));
        let new_key = match before {
            None => Some(key(index).unwrap_or(self.song.key)),
            Some(before) => key(index).filter(|k| key(before).is_some_and(|b| b != *k)),
        };
        if index > 0 && new_metre.is_none() && new_key.is_none() {
            return;
        }
        page.within("attributes", &[], |page| {
            if index == 0 {
                page.text("divisions", DIVISIONS);
            }
            if let Some(Key { mode, .. }) = new_key {
                page.within("key", &[], |page| {
                    page.text("fifths", new_key.map_or(0, |k| k.signature().0));
                    page.text("mode", if mode == Mode::Minor { "minor" } else { "major" });
                });
            }
            if let Some(Metre { count, unit }) = new_metre {
                page.within("time", &[], |page| {
                    page.text("beats", count);
                    page.text("beat-type", unit);
                });
            }
            if index == 0 {
                self.staves(page);
            }
        });
    }

    /// The clefs, and the tab staff's strings.
    fn staves(&self, page: &mut Page) {
        page.text("staves", 2);
        page.within("clef", &[("number", "1")], |page| {
            page.text("sign", "G");
            page.text("line", 2);
        });
        page.within("clef", &[("number", "2")], |page| {
            page.text("sign", "TAB");
            page.text("line", 5);
        });
        let lines = self.instrument.strings.len();
        page.within("staff-details", &[("number", "2")], |page| {
            page.text("staff-type", "alternate");
            page.text("staff-lines", lines);
            for (line, spec) in self.instrument.strings.iter().rev().enumerate() {
                page.within("staff-tuning", &[("line", &(line + 1).to_string())], |page| {
                    page.text("tuning-step", spec.pitch.name.letter);
                    if spec.pitch.name.accidental.0 != 0 {
                        page.text("tuning-alter", spec.pitch.name.accidental.0);
                    }
                    page.text("tuning-octave", spec.pitch.octave);
                });
            }
        });
    }

    /// Tempo, section, chords with their numbers, and what is pressed, each at its place in the bar.
    fn directions(&self, index: usize, frame: &Frame, page: &mut Page) {
        if index == 0 {
            let tempo = self.song.tempo.to_string();
            direction(page, "1", 0, Some(&tempo), |page| {
                page.within("metronome", &[], |page| {
                    page.text("beat-unit", "quarter");
                    page.text("per-minute", &tempo);
                });
            });
        }
        if let Some(section) = self.song.bars.get(index).and_then(|b| b.section.as_ref()) {
            direction(page, "1", 0, None, |page| page.text("rehearsal", section));
        }
        let spans: Vec<_> = self.song.spans.iter().filter(|s| s.hit != Hit::Rest).collect();
        let moments: Vec<Beats> = spans.iter().map(|s| s.start).collect();
        let own = |at: u32| (frame.start..frame.end()).contains(&at).then(|| at - frame.start);
        for (span, at) in spans.iter().zip(snapped(&moments, &self.frames)) {
            let Some(offset) = own(at) else { continue };
            chords::write(span, self.names, offset, page);
            if self.names == ChordNames::Letters {
                direction(page, "1", offset, None, |page| page.text("words", span.numeral));
            }
        }
        for (at, words) in &self.words {
            if let Some(offset) = own(*at) {
                direction(page, "2", offset, None, |page| page.text("words", words));
            }
        }
    }

    fn slot(&self, slot: &Slot<'_>, staff: (&str, &str), page: &mut Page) {
        let Some(chord) = slot.chord else {
            page.within("note", &[], |page| {
                page.empty("rest", &[]);
                page.text("duration", slot.length);
                page.text("voice", staff.1);
                time_value(value(slot.length), page);
                page.text("staff", staff.0);
            });
            return;
        };
        if !slot.tied.0 {
            for (index, grace) in chord.graces.iter().enumerate() {
                self.note(grace, None, index, staff, page);
            }
        }
        for (index, note) in chord.notes.iter().enumerate() {
            self.note(note, Some(slot), index, staff, page);
        }
    }

    /// One note of a chord; a grace note where it has no slot.
    fn note(&self, note: &Written, slot: Option<&Slot<'_>>, index: usize, staff: (&str, &str), page: &mut Page) {
        page.within("note", &[], |page| {
            if slot.is_none() {
                page.empty("grace", &[]);
            }
            if index > 0 {
                page.empty("chord", &[]);
            }
            self.pitch(note, page);
            let tied = slot.map_or((false, false), |s| s.tied);
            if let Some(slot) = slot {
                page.text("duration", slot.length);
                tie("tie", tied, page);
            }
            page.text("voice", staff.1);
            time_value(slot.map_or(Some(GRACE), |s| value(s.length)), page);
            page.text("staff", staff.0);
            page.within("notations", &[], |page| {
                tie("tied", tied, page);
                slides(note, tied, index, page);
                page.within("technical", &[], |page| technical(note, tied.0, page));
            });
        });
    }

    /// The pitch, spelled for the chord it sounds over; a quarter-tone off where it lies nearer to that.
    fn pitch(&self, note: &Written, page: &mut Page) {
        let Some(span) = self.song.span_at(note.at) else { return };
        let meaning = Meaning::of(note.height, span);
        let quarter = (meaning.off.0 / 50.0).round() * 0.5;
        let alter = f64::from(meaning.pitch.name.accidental.0) + quarter;
        page.within("pitch", &[], |page| {
            page.text("step", meaning.pitch.name.letter);
            if alter != 0.0 {
                page.text("alter", alter);
            }
            page.text("octave", meaning.pitch.octave);
        });
    }
}

/// How a grace note is drawn.
const GRACE: Value = Value {
    kind: "16th",
    dotted: false,
    triplet: false,
};

/// A direction above a staff, `offset` divisions into the bar.
fn direction(page: &mut Page, staff: &str, offset: u32, tempo: Option<&str>, inside: impl FnOnce(&mut Page)) {
    page.within("direction", &[("placement", "above")], |page| {
        page.within("direction-type", &[], inside);
        if offset > 0 {
            page.text("offset", offset);
        }
        page.text("staff", staff);
        if let Some(tempo) = tempo {
            page.empty("sound", &[("tempo", tempo)]);
        }
    });
}

fn time_value(value: Option<Value>, page: &mut Page) {
    let Some(Value { kind, dotted, triplet }) = value else {
        return;
    };
    page.text("type", kind);
    if dotted {
        page.empty("dot", &[]);
    }
    if triplet {
        page.within("time-modification", &[], |page| {
            page.text("actual-notes", 3);
            page.text("normal-notes", 2);
        });
    }
}

fn tie(element: &str, (from, on): (bool, bool), page: &mut Page) {
    for (there, kind) in [(from, "stop"), (on, "start")] {
        if there {
            page.empty(element, &[("type", kind)]);
        }
    }
}

/// A slide ends on a note's first piece and sets off on its last.
fn slides(note: &Written, (from, on): (bool, bool), index: usize, page: &mut Page) {
    let number = (index % MOST_SLIDES + 1).to_string();
    for (there, kind) in [(note.slid_to && !from, "stop"), (note.slides_on && !on, "start")] {
        if there {
            page.empty("slide", &[("type", kind), ("number", &number), ("line-type", "solid")]);
        }
    }
}

/// String and fret; on a note's first piece also what is pressed, its bends and its harmonic.
fn technical(note: &Written, later: bool, page: &mut Page) {
    if note.harmonic && !later {
        page.within("harmonic", &[], |page| {
            page.empty("natural", &[]);
            page.empty("sounding-pitch", &[]);
        });
    }
    page.text("string", note.string);
    page.text("fret", format!("{:.0}", note.fret.0.max(0.0)));
    if later {
        return;
    }
    for by in &note.bends {
        page.within("bend", &[], |page| {
            page.text("bend-alter", by);
            if *by < 0.0 {
                page.empty("release", &[]);
            }
        });
    }
    if note.pressed != "open" {
        page.text("other-technical", &note.pressed);
    }
}
