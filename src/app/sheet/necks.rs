//! Where the bar is and what is pressed, chord by chord: a small picture for each place the solo plays from.

use super::Drawn;
use super::drawing::{Drawing, Picture, Weight, Words as From};
use crate::app::neck_view::{Hold, under_bar};
use crate::exchange::tab::fret_text;
use crate::steel::{Fret, Instrument, StringNumber, StringSet};
use crate::theory::ChordSpan;
use crate::words::{Said, Words};

/// What a string is called that no bar stops.
const OPEN: &str = key!("open");

/// How many pictures stand beside one another.
pub(super) const ABREAST: usize = 4;

/// The space between strings and between frets, and the margins, in pixels.
const STRING: f64 = 14.0;
const FRET: f64 = 34.0;
const LEFT: f64 = 30.0;
const TOP: f64 = 40.0;
const FOOT: f64 = 22.0;
/// How many frets are drawn to each side of the bar.
const AROUND: u8 = 2;
/// The same beyond the strings that a slanted bar stops.
const SLANTED_AROUND: u8 = 1;

/// A place that the solo plays from.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// In words: "4: fret 3, A B, strings 3 5 6".
    pub words: Said,
    /// The picture.
    pub picture: Picture,
}

/// A place before it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Stop {
    span: ChordSpan,
    hold: Hold,
    strings: StringSet,
}

/// Every place the solo plays from, each once a chord, in the order they come.
pub(super) fn stops(drawn: Drawn<'_>) -> Vec<Stop> {
    let Drawn { song, performance, .. } = drawn;
    let mut stops: Vec<Stop> = Vec::new();
    for pluck in &performance.plucks {
        let Some(span) = song.span_at(pluck.at) else { continue };
        let hold = Hold::of(performance, pluck.at);
        let same = |stop: &&mut Stop| {
            stop.span.numeral == span.numeral
                && stop.span.key == span.key
                && lies(&stop.hold) == lies(&hold)
                && stop.hold.settled() == hold.settled()
        };
        match stops.iter_mut().find(same) {
            Some(stop) => stop.strings = stop.strings.with(pluck.string),
            None => stops.push(Stop {
                span: *span,
                hold,
                strings: StringSet::EMPTY.with(pluck.string),
            }),
        }
    }
    stops
}

/// Where the bar lies, to the nearest fret where it is straight: places that differ by less are one place.
fn lies(hold: &Hold) -> (i32, i32) {
    let grain = if hold.lie().is_straight() { 1.0 } else { 10.0 };
    #[allow(clippy::cast_possible_truncation)] // a neck has some tens of frets
    let rounded = |fret: Fret| (fret.0 * grain).round() as i32;
    (rounded(hold.bar), rounded(hold.near))
}

/// Whether no bar lies on the strings.
fn is_open(hold: &Hold) -> bool {
    hold.lie().is_straight() && hold.nearest_fret().is_none()
}

/// Where the bar stops a string.
fn fret_on(stop: &Stop, instrument: &Instrument, string: StringNumber) -> Fret {
    match stop.hold.nearest_fret() {
        Some(fret) => Fret(f64::from(fret)),
        None if is_open(&stop.hold) => Fret(0.0),
        None => stop.hold.lie().on(instrument, string),
    }
}

/// The place in words: a slanted bar by the fret of each string that is plucked.
fn place(stop: &Stop, instrument: &Instrument) -> Said {
    match stop.hold.nearest_fret() {
        Some(fret) => said!("fret {fret}", fret),
        None if is_open(&stop.hold) => Said::of(OPEN),
        None => {
            let each = |s: StringNumber| Said::number(fret_text(fret_on(stop, instrument, s)));
            let frets = Said::joined(stop.strings.iter().map(each), " ");
            said!("slanted, frets {frets}", frets)
        }
    }
}

/// A place drawn.
pub(super) fn shown(stop: &Stop, instrument: &Instrument, words: &Words) -> Held {
    let stance = stop.hold.stance_name(instrument);
    let mut parts = vec![place(stop, instrument)];
    parts.extend((!stance.is_empty()).then(|| stance.clone()));
    parts.push(said!("strings {numbers}", numbers = numbers(stop.strings, instrument)));
    let chord = stop.span.numeral.to_string();
    let picture = picture(stop, instrument, words, (&chord, &words.tell(&stance)));
    Held {
        words: said!("{chord}: {held}", chord, held = Said::joined(parts, ", ")),
        picture,
    }
}

fn numbers(strings: StringSet, instrument: &Instrument) -> String {
    let numbers = instrument.string_numbers().filter(|s| strings.contains(*s));
    numbers.map(|s| s.number().to_string()).collect::<Vec<_>>().join(" ")
}

/// The lowest and the highest fret that a plucked string is stopped at, as whole ones.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // held within the neck
fn ends(stop: &Stop, instrument: &Instrument) -> (u8, u8) {
    let frets = stop
        .strings
        .iter()
        .map(|s| fret_on(stop, instrument, s).0.clamp(0.0, 99.0));
    let (low, high) = frets.fold((99.0_f64, 0.0_f64), |(low, high), fret| (low.min(fret), high.max(fret)));
    (low.min(high).round() as u8, high.round() as u8)
}

/// The strings and a few frets around the bar, with what each plucked string is to the chord.
fn picture(stop: &Stop, instrument: &Instrument, words: &Words, (chord, stance): (&str, &str)) -> Picture {
    let mut drawing = Drawing::default();
    let under: Vec<Fret> = instrument
        .string_numbers()
        .map(|s| fret_on(stop, instrument, s))
        .collect();
    let slanted = !stop.hold.lie().is_straight();
    let (lowest, highest) = ends(stop, instrument);
    let around = if slanted { SLANTED_AROUND } else { AROUND };
    let (first, last) = (lowest.saturating_sub(around), highest.saturating_add(around));
    let x_on = |fret: Fret| {
        // The bar of a steep slant goes on past what is drawn.
        let along = (fret.0 - f64::from(first)).clamp(-0.5, f64::from(last - first) + 0.5);
        LEFT + along * FRET + FRET / 2.0
    };
    let x_of = |fret: u8| x_on(Fret(f64::from(fret)));
    let (left, right) = (LEFT, x_of(last) + FRET / 2.0);
    let y_of = |index: u8| TOP + f64::from(index) * STRING;
    let count = u8::try_from(instrument.strings.len()).unwrap_or(u8::MAX);
    let (top, foot) = (y_of(0), y_of(count.saturating_sub(1)));
    drawing.words((0.0, 14.0), chord, From::Begin, Weight::Bold, 16.0);
    drawing.words((right, 14.0), stance, From::End, Weight::Plain, 12.0);
    for number in first..=last {
        let thick = if number == 0 { 2.5 } else { 0.6 };
        drawing.line((x_of(number), top - 4.0), (x_of(number), foot + 4.0), thick);
        let (called, weight) = match ((lowest..=highest).contains(&number), number) {
            (true, 0) => (words.find(OPEN).to_owned(), Weight::Bold),
            (here, number) => (number.to_string(), if here { Weight::Bold } else { Weight::Soft }),
        };
        drawing.words((x_of(number), foot + 18.0), &called, From::Middle, weight, 11.0);
    }
    if !is_open(&stop.hold)
        && let (Some(far), Some(near)) = (under.first(), under.last())
    {
        drawing.bar((x_on(*far), top - 4.0), (x_on(*near), foot + 4.0));
    }
    let degrees = under_bar(instrument, &stop.hold, Some(&stop.span));
    for ((index, string), fret) in (0..count).zip(instrument.string_numbers()).zip(&under) {
        let (x, y) = (x_on(*fret), y_of(index));
        drawing.line((left, y), (right, y), 0.6);
        let number = string.number().to_string();
        drawing.words((LEFT - 8.0, y + 4.0), &number, From::End, Weight::Soft, 10.0);
        if stop.strings.contains(string) {
            drawing.dot((x, y), 6.5);
            let degree = degrees.get(usize::from(index)).and_then(Option::as_ref);
            let figure = degree.map_or("", |d| d.called.number.as_str());
            drawing.words((x, y + 3.5), figure, From::Middle, Weight::Plain, 10.0);
        }
    }
    drawing.picture(right + 6.0, foot + FOOT)
}
