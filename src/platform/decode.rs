//! Files of sound, decoded by the browser.

use crate::app::backing_song::{LARGEST, LONGEST};
use crate::app::listening::Recorded;
use crate::exchange::wave::{HEAD, Stored};
use crate::listen::song::Thinning;
use crate::sound::SampleRate;
use crate::sound::tape::{self, BLOCK};
use crate::theory::Seconds;
use crate::words::Said;
use js_sys::{ArrayBuffer, Int16Array, Promise, Uint8Array};
use std::rc::Rc;
use thiserror::Error;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;
use web_sys::{AudioBuffer, Blob, HtmlMediaElement, OfflineAudioContext, Url};

/// The rate every file that is played is brought to.
const RATE: f32 = 48_000.0;
/// The rate that is listened to: what lies higher says nothing of beats and chords, and would take twice the memory.
const LISTENING_RATE: f32 = 22_050.0;
/// Bytes of a file that are read at once: some milliseconds' work.
const PIECE: usize = 128 * 1024;
/// Blocks packed before the page gets its turn.
const BLOCKS_AT_A_TIME: usize = 4;

/// Why a file can't be played.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum DecodeError {
    /// Longer than a song.
    TooLong {
        /// Its length in whole minutes.
        minutes: u32,
        /// The most, in minutes.
        most: u32,
    },
    /// So large that opening it could bring the page down, and its length can't be told.
    TooLarge,
    /// Not a sound this browser knows, or damaged.
    Unreadable,
    /// There is nothing in it.
    Empty,
}

impl DecodeError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::TooLong { minutes, most } => said!(
                "This recording is {minutes} minutes long, and the page takes {most}: cut out the song and choose that.",
                minutes,
                most
            ),
            Self::TooLarge => {
                said!("This file is too large to open here: save the song as an MP3, FLAC or WAV file of its own.")
            }
            Self::Unreadable => said!("This file can't be read as sound: choose a WAV, MP3, FLAC, M4A or OGG file."),
            Self::Empty => said!("There is no sound in this file."),
        }
    }
}

/// A decoded recording: 16-bit stereo in blocks, as the player takes it.
#[derive(Debug, Clone)]
pub struct Recording {
    /// Its rate.
    pub rate: SampleRate,
    /// How long it is.
    pub length: Seconds,
    /// [`BLOCK`] frames each, left and right by turns; the last one is shorter.
    pub blocks: Rc<[Int16Array]>,
}

/// Decodes a file. Its length is asked for first, for decoding a file of hours would take all memory.
///
/// # Errors
/// When the file is too long or too large, or no sound the browser can read.
pub async fn decode(file: &Blob) -> Result<Recording, DecodeError> {
    let sound = opened(file, RATE).await?;
    let mut blocks = Vec::new();
    each_block(&sound, |block| blocks.push(Int16Array::from(block))).await?;
    Ok(Recording {
        rate: SampleRate(f64::from(sound.sample_rate())),
        length: Seconds(sound.duration()),
        blocks: blocks.into(),
    })
}

/// Decodes a file for the worker that makes a chart of it; answers also with its length.
///
/// # Errors
/// As [`decode`].
pub async fn decode_for_listening(file: &Blob) -> Result<(Recorded, Seconds), DecodeError> {
    if let Some(stored) = stored(file).await {
        return read_stored(file, &stored).await;
    }
    let sound = opened(file, LISTENING_RATE).await?;
    let (rate, length) = (SampleRate(f64::from(sound.sample_rate())), Seconds(sound.duration()));
    let mut recorded = Recorded::with_room(rate, length);
    each_block(&sound, |block| recorded.add(block)).await?;
    Ok((recorded, length))
}

/// How a file's samples lie in it, where they are not packed.
async fn stored(file: &Blob) -> Option<Stored> {
    #[allow(clippy::cast_precision_loss, reason = "some kilobytes")]
    let head = piece(file, 0.0, HEAD as f64).await.ok()?;
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a file's size")]
    Stored::of(&head, file.size() as u64)
}

/// Reads plain samples piece by piece: neither the file nor its sound is ever held as a whole, which takes a fifth of
/// the memory that the browser's decoder does.
#[allow(clippy::cast_precision_loss, reason = "places in a file")]
async fn read_stored(file: &Blob, stored: &Stored) -> Result<(Recorded, Seconds), DecodeError> {
    let length = stored.length();
    within(length)?;
    if stored.bytes.is_empty() {
        return Err(DecodeError::Empty);
    }
    let mut thinning = Thinning::from(SampleRate(f64::from(stored.rate)));
    let mut recorded = Recorded::with_room(thinning.rate(), length);
    let step = (PIECE / stored.frame()).max(1) as u64 * stored.frame() as u64;
    let mut from = stored.bytes.start;
    while from < stored.bytes.end {
        let to = (from + step).min(stored.bytes.end);
        let bytes = piece(file, from as f64, to as f64).await?;
        recorded.add_mono(stored.mono(&bytes).filter_map(|sample| thinning.take(sample)));
        from = to;
    }
    let tail = std::iter::repeat_n(0.0, thinning.tail());
    recorded.add_mono(tail.filter_map(|sample| thinning.take(sample)));
    Ok((recorded, length))
}

/// The bytes of a file between two places. Waiting for them gives the page its turn.
async fn piece(file: &Blob, from: f64, to: f64) -> Result<Vec<u8>, DecodeError> {
    let slice = file
        .slice_with_f64_and_f64(from, to)
        .map_err(|_| DecodeError::Unreadable)?;
    let buffer = JsFuture::from(slice.array_buffer())
        .await
        .map_err(|_| DecodeError::Unreadable)?;
    Ok(Uint8Array::new(&buffer).to_vec())
}

/// Says so when a recording is longer than a song.
fn within(length: Seconds) -> Result<(), DecodeError> {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "minutes of a file"
    )]
    let minutes = |time: Seconds| (time.0 / 60.0).round() as u32;
    if length > LONGEST {
        return Err(DecodeError::TooLong {
            minutes: minutes(length),
            most: minutes(LONGEST),
        });
    }
    Ok(())
}

/// The sound of a file at this rate, when it is not too long.
async fn opened(file: &Blob, rate: f32) -> Result<AudioBuffer, DecodeError> {
    match length_of(file).await {
        Some(length) => within(length)?,
        None if file.size() > LARGEST => return Err(DecodeError::TooLarge),
        None => {}
    }
    let bytes: ArrayBuffer = JsFuture::from(file.array_buffer())
        .await
        .map_err(|_| DecodeError::Unreadable)?
        .unchecked_into();
    // One that plays nothing: a real one may be suspended, or there may be no device.
    let decoder = OfflineAudioContext::new_with_number_of_channels_and_length_and_sample_rate(2, 1, rate)
        .map_err(|_| DecodeError::Unreadable)?;
    let decoded = decoder.decode_audio_data(&bytes).map_err(|_| DecodeError::Unreadable)?;
    let sound: AudioBuffer = JsFuture::from(decoded)
        .await
        .map_err(|_| DecodeError::Unreadable)?
        .unchecked_into();
    if sound.length() == 0 {
        return Err(DecodeError::Empty);
    }
    Ok(sound)
}

/// Takes the sound packed, block by block; the page gets its turn between.
async fn each_block(sound: &AudioBuffer, mut take: impl FnMut(&[i16])) -> Result<(), DecodeError> {
    let right_channel = i32::from(sound.number_of_channels() > 1);
    let (mut left, mut right) = (vec![0.0; BLOCK], vec![0.0; BLOCK]);
    let length = sound.length() as usize;
    for (n, start) in (0..length).step_by(BLOCK).enumerate() {
        let count = BLOCK.min(length - start);
        let from = u32::try_from(start).map_err(|_| DecodeError::TooLarge)?;
        for (channel, samples) in [(0, &mut left), (right_channel, &mut right)] {
            let samples = samples.get_mut(..count).unwrap_or_default();
            sound
                .copy_from_channel_with_start_in_channel(samples, channel, from)
                .map_err(|_| DecodeError::Unreadable)?;
        }
        let packed = tape::pack(
            left.get(..count).unwrap_or_default(),
            right.get(..count).unwrap_or_default(),
        );
        take(&packed);
        if n % BLOCKS_AT_A_TIME == BLOCKS_AT_A_TIME - 1 {
            super::frames::pause(0).await;
        }
    }
    Ok(())
}

/// How long a file plays, without decoding it; nothing where the browser can't tell.
async fn length_of(file: &Blob) -> Option<Seconds> {
    let address = Url::create_object_url_with_blob(file).ok()?;
    let player: HtmlMediaElement = web_sys::window()?
        .document()?
        .create_element("audio")
        .ok()?
        .unchecked_into();
    player.set_preload("metadata");
    let known = Promise::new(&mut |done, _| {
        // Nobody minds being told twice.
        player.set_onloadedmetadata(Some(&done));
        player.set_onerror(Some(&done));
        player.set_src(&address);
    });
    let _ = JsFuture::from(known).await;
    let length = player.duration();
    player.set_src("");
    // Only an address of another origin could be refused.
    let _ = Url::revoke_object_url(&address);
    (length.is_finite() && length > 0.0).then_some(Seconds(length))
}
