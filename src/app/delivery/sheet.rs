//! The text sheet of a delivery: what whoever opens it has to know, in the words of whoever ordered it.

use super::{Delivery, Order, SESSION_START, TakeLine, Written};
use crate::app::copedent::{Cell, Column, Copedent};
use crate::sound::loudness::Loudness;
use crate::sound::mix::{Decibels, Part};
use crate::sound::render::{Stem, TAIL};
use crate::steel::Instrument;
use crate::words::{Said, Words};

/// What a stem is, in the sheet and on the page.
#[must_use]
pub fn about(stem: Stem) -> &'static str {
    match stem {
        Stem::DirectClean => key!("the strings as the pickup hears them, after the volume pedal"),
        Stem::AmpClean => key!("the same, through the clean amplifier"),
        Stem::DirectDriven => key!("the strings after the drive pedal, no amplifier"),
        Stem::AmpDriven => key!("the same, through the driven amplifier"),
        Stem::Backing => key!("the band, as you have levelled it"),
        Stem::Mix => key!("steel and backing together, for reference"),
    }
}

/// Writes the sheet.
pub(super) fn sheet(order: &Order, delivery: &Delivery) -> String {
    let words = order.reader.words();
    let mut out = Lines {
        words: &words,
        text: String::new(),
    };
    head(order, &mut out);
    files(order, delivery, &mut out);
    places(order, &mut out);
    out.heading(&said!("Chart"));
    out.line(order.chart.trim());
    tuning(&order.brief.score.instrument, &mut out);
    take(&order.notes, &mut out);
    out.text
}

/// Lines of text in a reader's words.
struct Lines<'a> {
    words: &'a Words,
    text: String,
}

impl Lines<'_> {
    fn line(&mut self, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
    }

    fn say(&mut self, said: &Said) {
        let line = self.words.tell(said);
        self.line(&line);
    }

    /// What is said of the file named above.
    fn indented(&mut self, said: &Said) {
        let line = format!("    {}", self.words.tell(said));
        self.line(&line);
    }

    fn heading(&mut self, said: &Said) {
        let words = self.words.tell(said);
        self.line("");
        self.line(&words);
        self.line(&"-".repeat(words.chars().count()));
    }

    /// Lines that say what they are, the values below one another.
    fn table(&mut self, rows: &[(Said, Said)]) {
        let told = |said: &Said| self.words.tell(said);
        let rows: Vec<(String, String)> = rows.iter().map(|(name, value)| (told(name), told(value))).collect();
        let widest = rows.iter().map(|(name, _)| name.chars().count()).max().unwrap_or(0);
        for (name, value) in rows {
            self.line(&format!("{name:<widest$}  {value}"));
        }
    }
}

/// With one place behind the point.
fn tenths(value: f64) -> Said {
    Said::number(format_args!("{value:.1}"))
}

/// In thousandths of a second.
fn seconds(value: f64) -> Said {
    Said::number(format_args!("{value:.3}"))
}

fn head(order: &Order, out: &mut Lines<'_>) {
    let song = &order.brief.score.timeline;
    let title = order.title.as_ref();
    out.say(&title.map_or_else(|| said!("Untitled song"), Said::from));
    let mut rows = vec![
        (said!("Key"), Said::notes(song.key)),
        (
            said!("Tempo"),
            said!("{tempo} beats a minute", tempo = Said::number(song.tempo.0)),
        ),
        (said!("Bars"), Said::from(song.bars.len())),
    ];
    rows.extend(song.style.as_ref().map(|style| (said!("Style"), Said::known(style))));
    let when = order.written;
    rows.push((said!("Take"), order.take_words.clone()));
    rows.push((
        said!("Written¦of a sheet: when"),
        said!("{date} {time}, by Leadbar", date = when.date(), time = when.time()),
    ));
    out.table(&rows);
}

fn files(order: &Order, delivery: &Delivery, out: &mut Lines<'_>) {
    out.heading(&said!("Files"));
    for written in &delivery.files {
        out.line(&written.name);
        out.indented(&Said::of(about(written.stem)));
        out.indented(&levelled(written));
    }
    for file in &order.played {
        out.line(&file.name);
        out.indented(&file.about);
        out.indented(&said!(
            "mono, 24 bits, peak {peak} dBFS, as it was played",
            peak = tenths(file.peak.0)
        ));
    }
    let (rate, bits) = (order.wishes.rate.hertz(), order.wishes.width.bits());
    out.say(&if order.played.is_empty() {
        said!("{rate} Hz, {bits} bits each.", rate, bits)
    } else {
        said!("{rate} Hz, {bits} bits each stem.", rate, bits)
    });
    if let Some(mix) = delivery.loudness {
        levels(order, mix, out);
    }
}

/// A stem's channels, its highest sample, and by how much it was moved to that.
fn levelled(written: &Written) -> Said {
    let Written { stem, peak, raised, .. } = written;
    let channels = match stem.channels() {
        1 => said!("mono"),
        _ => said!("stereo"),
    };
    let (peak, by) = (tenths(peak.0), tenths(raised.0.abs()));
    if *raised < Decibels(0.0) {
        said!("{channels}, peak {peak} dBFS, lowered by {by} dB", channels, peak, by)
    } else {
        said!("{channels}, peak {peak} dBFS, raised by {by} dB", channels, peak, by)
    }
}

/// How the mix was made.
fn levels(order: &Order, mix: Loudness, out: &mut Lines<'_>) {
    if let Some(integrated) = mix.integrated {
        out.say(&said!(
            "The mix: {loud} LUFS, true peak {peak} dBTP (ITU-R BS.1770-4).",
            loud = tenths(integrated.0),
            peak = tenths(mix.true_peak.0)
        ));
    }
    let level = |part: Part| {
        let fader = order.brief.mix.fader(part);
        let name = Said::of(part.name());
        if fader.gain() > 0.0 {
            let level = Said::number(format_args!("{:+.1}", fader.level.0));
            said!("{name} {level} dB", name, level)
        } else {
            said!("{name} off", name)
        }
    };
    let levels = Said::joined(Part::ALL.into_iter().map(level), "; ");
    out.say(&if order.brief.mix_driven {
        said!("In it, the driven steel; against balance: {levels}.", levels)
    } else {
        said!("In it, the clean steel; against balance: {levels}.", levels)
    });
}

#[allow(clippy::cast_precision_loss)]
fn places(order: &Order, out: &mut Lines<'_>) {
    let length = order.brief.length();
    let rate = order.brief.rate.0;
    out.heading(&said!("Where they go"));
    out.say(&said!(
        "All files begin at the same moment and are {samples} samples long ({seconds} s).",
        samples = length.frames,
        seconds = seconds(length.frames as f64 / rate)
    ));
    out.say(&match order.brief.count_in {
        0 => said!("Bar 1 begins with the first sample."),
        bars => said!(
            bars => "{n} bar is counted in: bar 1 begins on sample {sample} ({seconds} s).",
            "{n} bars are counted in: bar 1 begins on sample {sample} ({seconds} s).",
            sample = length.bar_one,
            seconds = seconds(length.bar_one as f64 / rate)
        ),
    });
    out.say(&said!(
        "By the time stamp in the files bar 1 lies at {clock} of the session's clock.",
        clock = format!("{:02}:00:00", (SESSION_START.0 / 3600.0).round())
    ));
    out.say(&said!(
        "After the last bar everything rings on for {seconds} s.",
        seconds = Said::number(TAIL.0)
    ));
}

fn tuning(instrument: &Instrument, out: &mut Lines<'_>) {
    out.heading(&said!("Tuning"));
    out.say(&Said::known(&instrument.name));
    let table = Copedent::of(instrument);
    for row in &table.rows {
        let moved = row.cells.iter().zip(&table.columns);
        let moved = moved.filter(|(cell, _)| !cell.by.is_empty());
        let changes: String = moved.map(|(cell, column)| change(cell, column, out.words)).collect();
        let note = out.words.notes(&row.note);
        out.line(&format!("{:>2}  {note:<3}{changes}", row.string.number()));
    }
}

/// What a change does to a string.
fn change(cell: &Cell, column: &Column, words: &Words) -> String {
    format!("  {} {} ({})", column.name, words.notes(&cell.note), cell.by)
}

fn take(notes: &[TakeLine], out: &mut Lines<'_>) {
    out.heading(&said!("Take"));
    if notes.is_empty() {
        out.say(&said!("The steel is silent."));
    }
    for TakeLine { bar, words } in notes {
        let bar = said!("Bar {bar}", bar = format!("{bar:>3}"));
        out.say(&Said::joined([bar, words.clone()], "  "));
    }
}
