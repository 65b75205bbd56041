//! An invented instrument, song and performance for the tests of what is derived from them.

use crate::solo::{Block, BlockKind, Curve, Finger, Performance, Pluck, Shape, Touch, Turn, Vibrato};
use crate::steel::{ChangeId, Instrument, StringNumber, StringSet};
use crate::theory::{Accidental, NoteName, ScaleDegree, Timeline, TimelineBar};
use crate::theory::{
    Beats, Cents, Chord, ChordSpan, Hertz, Hit, Key, Metre, Mode, Naming, Numeral, Quality, Swing, Tempo,
};
use crate::words::{Language, Words};

pub(crate) const A: ChangeId = ChangeId(0);
pub(crate) const B: ChangeId = ChangeId(1);
pub(crate) const C: ChangeId = ChangeId(2);
pub(crate) const F: ChangeId = ChangeId(3);
pub(crate) const TEMPO: Tempo = Tempo(120.0);

pub(crate) fn string(number: u8) -> StringNumber {
    StringNumber::new(number).expect("a string of the sample")
}

/// The page's words in German, for a reader who calls notes as in German.
pub(crate) fn german() -> Words {
    Words::read(Language::German, include_str!("../static/words/de.json"))
        .expect("the message file")
        .spelling(Naming::German.spelling())
}

/// The shipped ten-string E9.
pub(crate) fn e9() -> Instrument {
    Instrument::shipped("e9").expect("the shipped E9")
}

/// Four bars in G: 1 4 5 1.
pub(crate) fn song() -> Timeline {
    let g: NoteName = "G".parse().expect("a note");
    let key = Key {
        tonic: g,
        mode: Mode::Major,
    };
    let bar = Metre::COMMON.bar();
    let span = |index: usize, number: u8, root: &str| ChordSpan {
        start: bar.scaled(index as f64),
        length: bar,
        bar: index,
        key,
        numeral: Numeral {
            degree: ScaleDegree::new(number, Accidental::NATURAL).expect("a degree"),
            quality: Quality::Major,
            bass: None,
        },
        chord: Chord {
            root: root.parse().expect("a note"),
            quality: Quality::Major,
            bass: None,
        },
        hit: Hit::Played,
        pushed: false,
    };
    Timeline {
        key,
        tempo: TEMPO,
        swing: Swing::Straight,
        style: None,
        bars: (0..4_u32)
            .map(|i| TimelineBar {
                start: bar.scaled(f64::from(i)),
                metre: Metre::COMMON,
                section: None,
                written: i as usize,
            })
            .collect(),
        spans: vec![span(0, 1, "G"), span(1, 4, "C"), span(2, 5, "D"), span(3, 1, "G")],
    }
}

/// A turn of a lane.
pub(crate) fn turn(at: f64, length: f64, to: f64) -> Turn {
    Turn {
        at: Beats(at),
        length: Beats(length),
        to,
        shape: Shape::Eased,
    }
}

/// A plain pluck.
pub(crate) fn pluck(at: f64, number: u8) -> Pluck {
    Pluck {
        at: Beats(at),
        string: string(number),
        finger: Finger::Thumb,
        strength: 0.7,
        touch: Touch::Plain,
    }
}

/// A block of some strings by the palm.
pub(crate) fn block(at: f64, numbers: &[u8]) -> Block {
    Block {
        at: Beats(at),
        strings: numbers.iter().map(|n| string(*n)).collect::<StringSet>(),
        kind: BlockKind::Palm,
    }
}

/// Nothing played over the sample song, the bar at `fret`.
pub(crate) fn still(fret: f64) -> Performance {
    let mut performance = Performance::silent(Beats(16.0), e9().changes.len());
    performance.bar = Curve::holding(fret);
    performance
}

/// Four bars with a slide, a squeeze, a half pedal, a walk up the neck, a harmonic, vibrato and stops.
pub(crate) fn solo() -> Performance {
    let mut p = still(1.0);
    p.bar.turns = vec![
        turn(0.0, 0.25, 3.0),
        turn(6.0, 0.5, 6.0),
        turn(7.5, 0.5, 10.0),
        turn(12.0, 1.0, 15.0),
    ];
    p.travels[A.index()].turns = vec![
        turn(2.0, 0.5, 1.0),
        turn(3.5, 0.25, 0.0),
        turn(4.0, 0.25, 1.0),
        turn(5.5, 0.25, 0.0),
        turn(6.5, 0.25, 1.0),
        turn(7.5, 0.25, 0.0),
        turn(9.0, 0.5, 0.5),
        turn(10.0, 0.5, 0.0),
    ];
    p.travels[B.index()].turns = vec![turn(4.0, 0.25, 1.0), turn(5.5, 0.25, 0.0)];
    p.travels[F.index()].turns = vec![turn(6.5, 0.25, 1.0), turn(7.5, 0.25, 0.0)];
    p.plucks = vec![
        pluck(0.0, 5),
        pluck(0.0, 6),
        pluck(1.0, 4),
        pluck(2.0, 5),
        pluck(3.0, 6),
        pluck(4.25, 6),
        pluck(4.25, 5),
        pluck(4.25, 4),
        pluck(5.0, 3),
        pluck(6.0, 8),
        pluck(6.0, 6),
        pluck(7.0, 5),
        pluck(8.0, 5),
        pluck(8.5, 6),
        pluck(9.0, 5),
        pluck(10.5, 4),
        pluck(11.0, 3),
        pluck(12.0, 5),
        pluck(12.0, 4),
        pluck(12.0, 3),
    ];
    p.plucks[14].touch = Touch::Harmonic(12);
    p.vibrato = vec![Vibrato {
        at: Beats(13.25),
        length: Beats(1.75),
        rate: Hertz(5.5),
        depth: Cents(25.0),
        onset: Beats(0.5),
    }];
    p.blocks = vec![
        block(3.5, &[4, 5, 6]),
        block(5.5, &[3, 4, 5, 6]),
        block(7.5, &[5, 6, 8]),
        block(15.0, &[3, 4, 5, 6]),
    ];
    p
}
