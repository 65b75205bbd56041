//! The text sheet of a delivery: what whoever opens it has to know.

use super::{Delivery, Order, SESSION_START, TakeLine, Written};
use crate::app::copedent::Copedent;
use crate::sound::loudness::Loudness;
use crate::sound::mix::{Decibels, Part};
use crate::sound::render::{Stem, TAIL};
use crate::steel::Instrument;
use std::fmt::Write;

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
    let mut out = String::new();
    // Writing to a text never fails.
    write_all(order, delivery, &mut out).unwrap_or_default();
    out
}

fn write_all(order: &Order, delivery: &Delivery, out: &mut String) -> std::fmt::Result {
    head(order, out)?;
    files(order, delivery, out)?;
    places(order, out)?;
    heading("Chart", out);
    writeln!(out, "{}", order.chart.trim())?;
    tuning(&order.brief.score.instrument, out)?;
    take(&order.notes, out)
}

fn heading(words: &str, out: &mut String) {
    out.push('\n');
    out.push_str(words);
    out.push('\n');
    out.push_str(&"-".repeat(words.len()));
    out.push('\n');
}

fn head(order: &Order, out: &mut String) -> std::fmt::Result {
    let song = &order.brief.score.timeline;
    writeln!(out, "{}", order.title.as_deref().unwrap_or("Untitled song"))?;
    writeln!(out, "Key      {}", song.key)?;
    writeln!(out, "Tempo    {} beats a minute", song.tempo.0)?;
    writeln!(out, "Bars     {}", song.bars.len())?;
    if let Some(style) = &song.style {
        writeln!(out, "Style    {style}")?;
    }
    writeln!(out, "Take     {}", order.take_words)?;
    let when = order.written;
    writeln!(out, "Written  {} {}, by Leadbar", when.date(), when.time())
}

fn files(order: &Order, delivery: &Delivery, out: &mut String) -> std::fmt::Result {
    heading("Files", out);
    for Written {
        stem,
        name,
        peak,
        raised,
    } in &delivery.files
    {
        let channels = if stem.channels() == 1 { "mono" } else { "stereo" };
        writeln!(out, "{name}")?;
        writeln!(out, "    {}", about(*stem))?;
        writeln!(out, "    {channels}, peak {:.1} dBFS, {}", peak.0, moved(*raised))?;
    }
    for file in &order.played {
        writeln!(out, "{}", file.name)?;
        writeln!(out, "    {}", file.about)?;
        writeln!(out, "    mono, 24 bits, peak {:.1} dBFS, as it was played", file.peak.0)?;
    }
    let width = order.wishes.width;
    let each = if order.played.is_empty() { "each" } else { "each stem" };
    writeln!(out, "{} Hz, {} bits {each}.", order.wishes.rate.hertz(), width.bits())?;
    if let Some(mix) = delivery.loudness {
        levels(order, mix, out)?;
    }
    Ok(())
}

/// By how much a level was moved, in words.
fn moved(by: Decibels) -> String {
    let way = if by.0 < 0.0 { "lowered" } else { "raised" };
    format!("{way} by {:.1} dB", by.0.abs())
}

/// How the mix was made.
fn levels(order: &Order, mix: Loudness, out: &mut String) -> std::fmt::Result {
    if let Some(integrated) = mix.integrated {
        let peak = mix.true_peak.0;
        writeln!(
            out,
            "The mix: {:.1} LUFS, true peak {peak:.1} dBTP (ITU-R BS.1770-4).",
            integrated.0
        )?;
    }
    let sound = if order.brief.mix_driven { "driven" } else { "clean" };
    write!(out, "In it, the {sound} steel; against balance:")?;
    for part in Part::ALL {
        let fader = order.brief.mix.fader(part);
        match fader.gain() > 0.0 {
            true => write!(out, " {} {:+.1} dB;", part.name(), fader.level.0)?,
            false => write!(out, " {} off;", part.name())?,
        }
    }
    out.pop();
    writeln!(out, ".")
}

#[allow(clippy::cast_precision_loss)]
fn places(order: &Order, out: &mut String) -> std::fmt::Result {
    let length = order.brief.length();
    let rate = order.brief.rate.0;
    heading("Where they go", out);
    writeln!(
        out,
        "All files begin at the same moment and are {} samples long ({:.3} s).",
        length.frames,
        length.frames as f64 / rate
    )?;
    match order.brief.count_in {
        0 => writeln!(out, "Bar 1 begins with the first sample.")?,
        bars => writeln!(
            out,
            "{bars} bar is counted in: bar 1 begins on sample {} ({:.3} s).",
            length.bar_one,
            length.bar_one as f64 / rate
        )?,
    }
    writeln!(
        out,
        "By the time stamp in the files bar 1 lies at {:02}:00:00 of the session's clock.",
        (SESSION_START.0 / 3600.0).round()
    )?;
    writeln!(out, "After the last bar everything rings on for {} s.", TAIL.0)
}

fn tuning(instrument: &Instrument, out: &mut String) -> std::fmt::Result {
    heading("Tuning", out);
    writeln!(out, "{}", instrument.name)?;
    let table = Copedent::of(instrument);
    for row in &table.rows {
        write!(out, "{:>2}  {:<3}", row.string.number(), row.note)?;
        for (cell, column) in row.cells.iter().zip(&table.columns) {
            if !cell.by.is_empty() {
                write!(out, "  {} {} ({})", column.name, cell.note, cell.by)?;
            }
        }
        out.push('\n');
    }
    Ok(())
}

fn take(notes: &[TakeLine], out: &mut String) -> std::fmt::Result {
    heading("Take", out);
    if notes.is_empty() {
        writeln!(out, "The steel is silent.")?;
    }
    for TakeLine { bar, words } in notes {
        writeln!(out, "Bar {bar:>3}  {words}")?;
    }
    Ok(())
}
