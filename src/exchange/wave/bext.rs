//! The broadcast extension: who made a file, when, and at what moment of the session it begins.
//!
//! Layout: EBU Tech 3285, version 2. A loudness that is not known is written as 0x7FFF, as it asks for.

use super::{Format, Width};
use crate::exchange::moment::Moment;
use crate::sound::loudness::Loudness;

/// Bytes of the coding history, filled up with spaces, so that every file has the same head.
pub const HISTORY: usize = 46;

/// Bytes of the chunk's body.
pub(super) const SIZE: u64 = 602 + HISTORY as u64;

/// Not known.
const UNKNOWN: i16 = 0x7FFF;

/// What the extension says.
#[derive(Debug, Clone, PartialEq)]
pub struct Stamp {
    /// What it is, at most 256 plain characters.
    pub description: String,
    /// Something that tells it from other files, at most 32 plain characters.
    pub reference: String,
    /// When it was written, by the writer's own clock.
    pub written: Moment,
    /// How many samples after midnight of the session's clock it begins.
    pub from: u64,
    /// How loud it is, where that was measured.
    pub loudness: Option<Loudness>,
}

pub(super) fn write(stamp: &Stamp, format: Format, out: &mut Vec<u8>) {
    #[allow(clippy::cast_possible_truncation)]
    let size = SIZE as u32;
    out.extend_from_slice(b"bext");
    out.extend_from_slice(&size.to_le_bytes());
    text(&stamp.description, 256, 0, out);
    text("Leadbar", 32, 0, out);
    text(&stamp.reference, 32, 0, out);
    text(&stamp.written.date(), 10, 0, out);
    text(&stamp.written.time(), 8, 0, out);
    out.extend_from_slice(&stamp.from.to_le_bytes());
    out.extend_from_slice(&2_u16.to_le_bytes());
    // No unique material identifier.
    out.extend_from_slice(&[0; 64]);
    for value in loudness(stamp.loudness) {
        out.extend_from_slice(&value.to_le_bytes());
    }
    out.extend_from_slice(&[0; 180]);
    text(&history(format), HISTORY - 2, b' ', out);
    out.extend_from_slice(b"\r\n");
}

/// Loudness, its range, true peak, momentary and short-term loudness, each in hundredths.
#[allow(clippy::cast_possible_truncation)] // a loudness is far within 16 bits
fn loudness(measured: Option<Loudness>) -> [i16; 5] {
    let hundredths = |value: f64| (value * 100.0).round().clamp(-9_999.0, 9_999.0) as i16;
    let Some(measured) = measured else {
        return [UNKNOWN; 5];
    };
    let lufs = |value: Option<crate::sound::Lufs>| value.map_or(UNKNOWN, |lufs| hundredths(lufs.0));
    [
        lufs(measured.integrated),
        UNKNOWN,
        hundredths(measured.true_peak.0),
        lufs(measured.momentary),
        lufs(measured.short_term),
    ]
}

/// How the samples were made, in the words of EBU R 98.
fn history(format: Format) -> String {
    let code = match format.width {
        Width::Pcm16 | Width::Pcm24 => "PCM",
        Width::Float32 => "FLOAT",
    };
    let mode = if format.channels == 1 { "mono" } else { "stereo" };
    format!(
        "A={code},F={},W={},M={mode},T=Leadbar",
        format.rate,
        format.width.bits()
    )
}

/// A text of exactly `size` bytes: cut or filled up, anything but plain characters written as `?`.
fn text(words: &str, size: usize, fill: u8, out: &mut Vec<u8>) {
    let is_plain = |c: &char| c.is_ascii_graphic() || *c == ' ';
    let plain = words.chars().map(|c| {
        Some(c)
            .filter(is_plain)
            .and_then(|c| u8::try_from(c).ok())
            .unwrap_or(b'?')
    });
    out.extend(plain.chain(std::iter::repeat(fill)).take(size));
}
