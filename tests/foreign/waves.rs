//! Sound files, those that are read piece by piece and those that are written.

use leadbar::exchange::moment::Moment;
use leadbar::exchange::wave::{Encoder, Format, Stamp, Stored, Width, foot, head};

/// Of any file only what lies in it is read, and every sample is a number. Its bytes are samples to write too.
pub(super) fn wave(bytes: &[u8]) {
    if let Some(stored) = Stored::of(bytes, bytes.len() as u64) {
        let place = |at: u64| usize::try_from(at).expect("it is in memory");
        let samples = bytes.get(place(stored.bytes.start)..place(stored.bytes.end));
        let samples = samples.expect("samples lie in the file");
        assert_eq!(samples.len() % stored.frame(), 0);
        assert!(stored.mono(samples).all(f32::is_finite));
        assert_eq!(stored.mono(samples).count(), samples.len() / stored.frame());
    }
    written(bytes);
}

/// A file of any samples is as long as it says, chunk by chunk, as RIFF has it (Microsoft and IBM, "Multimedia
/// Programming Interface and Data Specifications 1.0", 1991), and its data are all the samples.
fn written(bytes: &[u8]) {
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
    let stored = Stored::of(&file, file.len() as u64).expect("our own file");
    assert_eq!(
        (stored.rate, stored.bytes.end - stored.bytes.start),
        (format.rate, data.len() as u64)
    );
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

/// Samples behind the bytes that choose the form, and a file.
pub(super) fn samples() -> Vec<Vec<u8>> {
    let some = [0.0_f32, 0.5, -1.0, 2.0, f32::NAN, 1e-9].map(f32::to_le_bytes).concat();
    let forms = (0..6).map(|how| [vec![how, 40, 0, 0], some.clone()].concat());
    let format = Format {
        rate: 48_000,
        channels: 2,
        width: Width::Pcm24,
    };
    let stamp = Stamp {
        description: "Solo".to_owned(),
        reference: "take 1".to_owned(),
        written: Moment::EARLIEST,
        from: 0,
        loudness: None,
    };
    let mut file = head(format, 3, &stamp).expect("a short file");
    Encoder::new(format).encode(&[vec![0.5, -0.5, 0.0], vec![1.0, 0.0, 0.25]], &mut file);
    file.extend_from_slice(foot(format, 3));
    forms.chain([file]).collect()
}
