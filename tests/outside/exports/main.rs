//! Writes every kind of file that leaves the page into a folder, for readers outside the crate to open.
//!
//! `cargo run --example exports -- FOLDER`. Beside each file lies what it must be found to hold.

use leadbar::app::reading::Reading;
use leadbar::app::{DEMO_SONGS, feels};
use leadbar::exchange::midi::{self, Layout};
use leadbar::exchange::musicxml::{self, ChordNames};
use leadbar::solo::{
    Block, BlockKind, Brief, Curve, Finger, Performance, Pluck, Request, Shape, Touch, Turn, Vibrato, draft, notes,
};
use leadbar::steel::{Instrument, StringNumber, StringSet};
use leadbar::theory::{Beats, Cents, Height, Hertz, Timeline};
use std::error::Error;
use std::fmt::Write as _;
use std::path::Path;
use std::{env, fs};

/// A song, and something played over it.
struct Piece {
    name: String,
    title: String,
    song: Timeline,
    instrument: Instrument,
    performance: Performance,
}

fn main() -> Result<(), Box<dyn Error>> {
    let folder = env::args().nth(1).ok_or("usage: exports FOLDER")?;
    let folder = Path::new(&folder);
    fs::create_dir_all(folder)?;
    for piece in pieces()? {
        for layout in Layout::ALL {
            let Piece {
                name,
                title,
                song,
                instrument,
                performance,
            } = &piece;
            let bytes = midi::write(performance, instrument, song, Some(title), layout);
            fs::write(folder.join(format!("{name}-{}.mid", layout.word())), bytes)?;
        }
        for (word, names) in [("letters", ChordNames::Letters), ("numbers", ChordNames::Numbers)] {
            let Piece {
                name,
                title,
                song,
                instrument,
                performance,
            } = &piece;
            let text = musicxml::write(performance, instrument, song, Some(title), names);
            fs::write(folder.join(format!("{name}-{word}.musicxml")), text)?;
        }
        fs::write(folder.join(format!("{}.notes.tsv", piece.name)), piece.notes())?;
        fs::write(folder.join(format!("{}.pitches.tsv", piece.name)), piece.pitches())?;
    }
    Ok(())
}

/// A drafted pass over each of some demo songs, and a hand-made one with every sign there is.
fn pieces() -> Result<Vec<Piece>, Box<dyn Error>> {
    let mut found = vec![showcase()?];
    for demo in DEMO_SONGS
        .iter()
        .filter(|d| ["tin-roof-monday", "millpond-three"].contains(&d.id))
    {
        let reading = Reading::of(demo.chart);
        let song = reading.song.ok_or("no song")?;
        let instrument = Instrument::shipped("e9").ok_or("no instrument")?;
        let request = Request {
            feel: demo.feel.to_owned(),
            ..Request::default()
        };
        let limits = feels::limits(leadbar::solo::Level::default()).ok_or("no limits")?;
        let brief = Brief {
            timeline: &song,
            instrument: &instrument,
            feel: feels::by_id(&request.feel).ok_or("no such feel")?,
            limits,
            request: &request,
        };
        let draft = draft(&brief)?;
        let pass = draft.passes.first().ok_or("no pass")?;
        found.push(Piece {
            name: demo.id.to_owned(),
            title: demo.name.to_owned(),
            performance: pass.performance(&instrument, limits, song.tempo),
            song: (*song).clone(),
            instrument,
        });
    }
    Ok(found)
}

/// Slides by whole and part frets, a half pedal, a lever, a harmonic, vibrato and a swell, in A flat.
fn showcase() -> Result<Piece, Box<dyn Error>> {
    let song = Reading::of("Every Sign & \"More\", key Ab, 84, 6/8; Verse: 1 4- <5 1")
        .song
        .ok_or("no song")?;
    let instrument = Instrument::shipped("e9").ok_or("no instrument")?;
    let mut p = Performance::silent(song.length(), instrument.changes.len());
    p.bar = Curve::holding(4.0);
    p.bar.turns = vec![turn(2.0, 0.5, 6.5), turn(2.75, 0.2, 11.0), turn(8.0, 1.0, 4.0)];
    let change = |name: &str| instrument.change_named(name).ok_or("no such change");
    for (name, turns) in [
        (
            "A",
            vec![
                turn(0.5, 0.25, 1.0),
                turn(1.25, 0.25, 0.0),
                turn(4.5, 0.25, 0.5),
                turn(5.5, 0.25, 0.0),
            ],
        ),
        ("F", vec![turn(6.25, 0.25, 1.0), turn(7.25, 0.5, 0.0)]),
    ] {
        p.travels.get_mut(change(name)?.index()).ok_or("no lane")?.turns = turns;
    }
    for (at, string, touch) in [
        (0.0, 5, Touch::Plain),
        (0.0, 4, Touch::Plain),
        (1.0, 10, Touch::Plain),
        (1.75, 6, Touch::Plain),
        (3.0, 3, Touch::Harmonic(12)),
        (4.0, 5, Touch::Plain),
        (6.0, 4, Touch::Plain),
        (6.0, 8, Touch::Plain),
        (9.5, 4, Touch::Harmonic(7)),
        (10.5, 1, Touch::Plain),
    ] {
        let string = StringNumber::new(string).ok_or("no such string")?;
        p.plucks.push(Pluck {
            at: Beats(at),
            string,
            finger: Finger::Thumb,
            strength: 0.8,
            touch,
        });
    }
    let all: StringSet = instrument.string_numbers().collect();
    p.blocks = [2.9, 5.9, 9.25]
        .map(|at| Block {
            at: Beats(at),
            strings: all,
            kind: BlockKind::Palm,
        })
        .to_vec();
    p.vibrato = vec![Vibrato {
        at: Beats(10.75),
        length: Beats(1.0),
        rate: Hertz(5.5),
        depth: Cents(20.0),
        onset: Beats(0.25),
    }];
    p.volume.turns = vec![turn(6.5, 1.0, 0.95)];
    let title = "Every Sign & \"More\"".to_owned();
    Ok(Piece {
        name: "showcase".to_owned(),
        title,
        song: (*song).clone(),
        instrument,
        performance: p,
    })
}

fn turn(at: f64, length: f64, to: f64) -> Turn {
    Turn {
        at: Beats(at),
        length: Beats(length),
        to,
        shape: Shape::Eased,
    }
}

/// A pitch counts as still while it stays within this.
const STILL: Cents = Cents(0.5);
/// The shortest still stretch that is worth measuring, in seconds.
const LONG_ENOUGH: f64 = 0.3;

impl Piece {
    fn height(&self, string: StringNumber, at: Beats, touch: Touch) -> Option<Height> {
        let height = self.performance.height(&self.instrument, string, at, self.song.tempo)?;
        Some(height.shifted(touch.raise()))
    }

    /// One line a note: string, beats of its pluck and end, height as it is plucked.
    fn notes(&self) -> String {
        let mut text = String::from("string\tstart\tend\theight\tfret\n");
        for note in notes(&self.performance, &self.instrument, self.song.tempo) {
            let height = self
                .height(note.string(), note.start(), note.pluck.touch)
                .map_or(0.0, |h| h.0);
            // Writing into a String cannot fail.
            let fret = self.performance.fret_on(&self.instrument, note.string(), note.start());
            let _ = writeln!(
                text,
                "{}\t{}\t{}\t{height:.4}\t{fret}",
                note.string(),
                note.start(),
                note.end
            );
        }
        text
    }

    /// One line for each stretch in which a string stands still: string, seconds from and to, hertz.
    fn pitches(&self) -> String {
        let mut text = String::from("string\tfrom\tto\thertz\n");
        for note in notes(&self.performance, &self.instrument, self.song.tempo) {
            let step = Beats(1.0 / 64.0);
            let mut from = note.start();
            let mut at = from;
            while at < note.end {
                let next = (at + step).min(note.end);
                let touch = note.pluck.touch;
                let (Some(first), Some(now)) = (
                    self.height(note.string(), from, touch),
                    self.height(note.string(), next, touch),
                ) else {
                    break;
                };
                let moved = now.above(first).0.abs() > STILL.0;
                if moved || next >= note.end {
                    let (start, stop) = (from.at(self.song.tempo).0, at.at(self.song.tempo).0);
                    if stop - start >= LONG_ENOUGH {
                        let _ = writeln!(text, "{}\t{start:.4}\t{stop:.4}\t{:.5}", note.string(), first.hertz().0);
                    }
                    from = next;
                }
                at = next;
            }
        }
        text
    }
}
