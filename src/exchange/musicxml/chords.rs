//! Chords as MusicXML has them.

use super::ChordNames;
use super::page::Page;
use crate::theory::{Chord, ChordSpan, Mode, NoteName, Quality};

/// Writes the chord of a span, `offset` divisions after the place on the page.
pub(super) fn write(span: &ChordSpan, names: ChordNames, offset: u32, page: &mut Page) {
    let Chord { root, quality, bass } = span.chord;
    page.within("harmony", &[("placement", "above")], |page| {
        match names {
            ChordNames::Letters => named("root", root, page),
            ChordNames::Numbers => number(span, page),
        }
        let (kind, degrees) = kind(quality);
        page.text_with("kind", &[("text", quality.suffix())], kind);
        if let Some(bass) = bass {
            named("bass", bass, page);
        }
        for (value, alter) in degrees {
            page.within("degree", &[("print-object", "no")], |page| {
                page.text("degree-value", value);
                page.text("degree-alter", alter);
                page.text("degree-type", "add");
            });
        }
        if offset > 0 {
            page.text("offset", offset);
        }
        page.text("staff", 1);
    });
}

/// A root or a bass.
fn named(what: &str, name: NoteName, page: &mut Page) {
    page.within(what, &[], |page| {
        page.text(&format!("{what}-step"), name.letter);
        if name.accidental.0 != 0 {
            page.text(&format!("{what}-alter"), name.accidental.0);
        }
    });
}

/// The chord's number, and the key that it counts from.
fn number(span: &ChordSpan, page: &mut Page) {
    let degree = span.numeral.degree;
    page.within("numeral", &[], |page| {
        page.text_with("numeral-root", &[("text", &degree.to_string())], degree.number());
        if degree.accidental.0 != 0 {
            page.text("numeral-alter", degree.accidental.0);
        }
        page.within("numeral-key", &[("print-object", "no")], |page| {
            page.text("numeral-fifths", span.key.signature().0);
            page.text(
                "numeral-mode",
                if span.key.mode == Mode::Minor {
                    "natural minor"
                } else {
                    "major"
                },
            );
        });
    });
}

/// The kind of a quality, and the degrees added to it: an added seventh is the small one.
pub(in crate::exchange) fn kind(quality: Quality) -> (&'static str, &'static [(u8, i8)]) {
    match quality {
        Quality::Major => ("major", &[]),
        Quality::Minor => ("minor", &[]),
        Quality::Diminished => ("diminished", &[]),
        Quality::Augmented => ("augmented", &[]),
        Quality::Power => ("power", &[]),
        Quality::Sus2 => ("suspended-second", &[]),
        Quality::Sus4 => ("suspended-fourth", &[]),
        Quality::Six => ("major-sixth", &[]),
        Quality::MinorSix => ("minor-sixth", &[]),
        Quality::Seven => ("dominant", &[]),
        Quality::MajorSeven => ("major-seventh", &[]),
        Quality::MinorSeven => ("minor-seventh", &[]),
        Quality::MinorMajorSeven => ("major-minor", &[]),
        Quality::DiminishedSeven => ("diminished-seventh", &[]),
        Quality::HalfDiminished => ("half-diminished", &[]),
        Quality::Nine => ("dominant-ninth", &[]),
        Quality::AddNine => ("major", &[(9, 0)]),
        Quality::MinorNine => ("minor-ninth", &[]),
        Quality::MajorNine => ("major-ninth", &[]),
        Quality::SevenSus4 => ("suspended-fourth", &[(7, 0)]),
        Quality::SevenSharpNine => ("dominant", &[(9, 1)]),
        Quality::SevenFlatNine => ("dominant", &[(9, -1)]),
        Quality::Thirteen => ("dominant-13th", &[]),
    }
}
