//! Chords of a Standard MIDI File, named by markers, lyrics or texts.

use super::{Begun, LeadBar, LeadError, Song};
use crate::theory::chart::MOST_BARS;
use crate::theory::{Chord, Key, Metre, Mode, Signature, Tempo};
use crate::words::Said;
use midly::{MetaMessage, Smf, Timing, TrackEventKind};

/// The longest text that can be a chord or a section, in bytes.
const MOST_WORDS: usize = 100;

/// A word at a moment.
struct Word {
    tick: u64,
    text: String,
    marker: bool,
}

fn in_frames() -> LeadError {
    LeadError::Damaged(said!("its time is counted in film frames, not in beats"))
}

pub(super) fn read(bytes: &[u8]) -> Result<Song, LeadError> {
    // Looked at here, for the reader of the rest overflows where this byte is 0x80: MThd, the header's length (4), its
    // form and its tracks (2 each) stand before it.
    match bytes.get(12) {
        Some(division) if bytes.starts_with(b"MThd") && division & 0x80 == 0 => {}
        Some(_) if bytes.starts_with(b"MThd") => return Err(in_frames()),
        _ => return Err(LeadError::Damaged(said!("it does not begin as a MIDI file does"))),
    }
    let smf = Smf::parse(bytes).map_err(|error| LeadError::Damaged(Said::from(error)))?;
    let Timing::Metrical(per_beat) = smf.header.timing else {
        return Err(in_frames());
    };
    let per_beat = u64::from(per_beat.as_int().max(1));
    let mut song = Song::default();
    let mut words = Vec::new();
    let mut metres: Vec<(u64, Metre)> = Vec::new();
    for (number, track) in smf.tracks.iter().enumerate() {
        let mut tick = 0_u64;
        for event in track {
            tick += u64::from(event.delta.as_int());
            let TrackEventKind::Meta(meta) = event.kind else {
                continue;
            };
            match meta {
                MetaMessage::TrackName(name) if number == 0 && song.title.is_none() => song.title = Some(text(name)),
                MetaMessage::Tempo(micros) if song.tempo.is_none() => song.tempo = tempo(micros.as_int()),
                MetaMessage::KeySignature(sharps, minor) if song.key.is_none() => {
                    let mode = if minor { Mode::Minor } else { Mode::Major };
                    song.key = Some(Key::from_signature(Signature(sharps.clamp(-7, 7)), mode));
                }
                MetaMessage::TimeSignature(count, power, ..) => {
                    if let Some(metre) = metre(count, power) {
                        metres.push((tick, metre));
                    }
                }
                MetaMessage::Marker(bytes) => words.push(Word {
                    tick,
                    text: text(bytes),
                    marker: true,
                }),
                MetaMessage::Lyric(bytes) | MetaMessage::Text(bytes) | MetaMessage::CuePoint(bytes) => {
                    words.push(Word {
                        tick,
                        text: text(bytes),
                        marker: false,
                    });
                }
                _ => {}
            }
        }
    }
    metres.sort_by_key(|(tick, _)| *tick);
    words.sort_by_key(|word| word.tick);
    fill(&mut song, &words, &metres, per_beat);
    Ok(song)
}

/// Makes bars up to the last chord, and puts each word into its own.
fn fill(song: &mut Song, words: &[Word], metres: &[(u64, Metre)], per_beat: u64) {
    // Lyrics are words of the song as well: they are chords only where no marker is one.
    let named_by_markers = words.iter().any(|w| w.marker && chord(&w.text).is_some());
    let mut rest = words;
    let (mut start, mut at) = (0_u64, 0);
    while !rest.is_empty() && song.bars.0.len() <= MOST_BARS {
        at += metres
            .get(at..)
            .unwrap_or_default()
            .partition_point(|(tick, _)| *tick <= start);
        let metre = at
            .checked_sub(1)
            .and_then(|i| metres.get(i))
            .map_or(Metre::COMMON, |(_, m)| *m);
        let length = (u64::from(metre.count) * 4 * per_beat / u64::from(metre.unit)).max(1);
        let own = rest.partition_point(|w| w.tick < start + length);
        let mut bar = LeadBar {
            metre,
            section: None,
            chords: Vec::new(),
        };
        for word in rest.get(..own).unwrap_or_default() {
            #[allow(clippy::cast_precision_loss)] // ticks of one bar
            let part = (word.tick - start) as f64 / length as f64;
            match chord(&word.text) {
                Some(chord) if word.marker || !named_by_markers => bar.chords.push(Begun { part, chord }),
                None if word.marker => bar.section = Some(word.text.clone()),
                _ => {}
            }
        }
        rest = rest.get(own..).unwrap_or_default();
        start += length;
        song.bars.0.push(bar);
    }
    let spoken = song
        .bars
        .0
        .iter()
        .rposition(|b| !b.chords.is_empty())
        .map_or(0, |i| i + 1);
    song.bars.0.truncate(spoken);
}

fn chord(text: &str) -> Option<Chord> {
    text.trim().parse().ok()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes.get(..MOST_WORDS).unwrap_or(bytes))
        .trim()
        .to_owned()
}

fn tempo(micros: u32) -> Option<Tempo> {
    let per_minute = (60_000_000.0 / f64::from(micros.max(1))).round();
    (20.0..=400.0).contains(&per_minute).then_some(Tempo(per_minute))
}

fn metre(count: u8, power: u8) -> Option<Metre> {
    let fits = (1..=16).contains(&count) && (1..=4).contains(&power);
    fits.then(|| Metre {
        count,
        unit: 1 << power,
    })
}
