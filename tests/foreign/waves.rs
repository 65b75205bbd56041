//! Sound files. The page reads none itself, the browser decodes them; so the law is of what is written.

use leadbar::exchange::moment::Moment;
use leadbar::exchange::wave::{Encoder, Format, Stamp, Width, foot, head};

/// A file of any samples is as long as it says, chunk by chunk, as RIFF has it (Microsoft and IBM, "Multimedia
/// Programming Interface and Data Specifications 1.0", 1991), and its data are all the samples.
pub(super) fn wave(bytes: &[u8]) {
    let Some(([how, rate, ..], rest)) = bytes.split_first_chunk::<4>() else {
        return;
    };
    let width = [Width::Pcm16, Width::Pcm24, Width::Float32][usize::from(how % 3)];
    let channels = 1 + u16::from(how / 3 % 2);
    let format = Format {
        rate: 8000 + 1000 * u32::from(*rate),
        channels,
        width,
    };
    let (samples, _) = rest.as_chunks::<4>();
    let samples: Vec<f32> = samples.iter().map(|s| f32::from_le_bytes(*s)).collect();
    let blocks = vec![samples.clone(); usize::from(channels)];
    let frames = samples.len() as u64;
    let stamp = Stamp {
        description: String::from_utf8_lossy(rest).into_owned(),
        reference: String::from_utf8_lossy(rest).into_owned(),
        written: Moment::EARLIEST,
        from: u64::from(*rate),
        loudness: None,
    };
    let mut file = head(format, frames, &stamp).expect("a short file");
    Encoder::new(format).encode(&blocks, &mut file);
    file.extend_from_slice(foot(format, frames));
    assert_eq!(file.len() as u64, format.size(frames));
    let data = chunk(&file, b"data");
    assert_eq!(data.len(), samples.len() * usize::from(channels * width.bits() / 8));
    if width == Width::Float32 {
        let sent: Vec<[u8; 4]> = samples
            .iter()
            .flat_map(|s| vec![s.to_le_bytes(); usize::from(channels)])
            .collect();
        assert_eq!(data.as_chunks::<4>().0, sent);
    }
}

/// What a chunk of a RIFF file holds.
fn chunk<'f>(file: &'f [u8], wanted: &[u8; 4]) -> &'f [u8] {
    let long = |at: usize| u32::from_le_bytes([file[at], file[at + 1], file[at + 2], file[at + 3]]) as usize;
    assert_eq!(
        (&file[..4], long(4), &file[8..12]),
        (&b"RIFF"[..], file.len() - 8, &b"WAVE"[..])
    );
    let (mut at, mut found) = (12, None);
    while at < file.len() {
        let (name, length) = (&file[at..at + 4], long(at + 4));
        let inside = &file[at + 8..at + 8 + length];
        if name == wanted {
            found = Some(inside);
        }
        at += 8 + length + length % 2;
    }
    assert_eq!(at, file.len(), "the chunks end where the file does");
    found.expect("the chunk")
}

/// Samples behind the bytes that choose the form.
pub(super) fn samples() -> Vec<Vec<u8>> {
    let some = [0.0_f32, 0.5, -1.0, 2.0, f32::NAN, 1e-9].map(f32::to_le_bytes).concat();
    (0..6).map(|how| [vec![how, 40, 0, 0], some.clone()].concat()).collect()
}
