//! Listening to a recording away from the page.
//!
//! *Invariant:* the recording stays on the device: it goes to the worker and no further, and only the chart comes back.

use super::backing_song::LONGEST;
use super::bench::{Bench, Progress, Refused};
use crate::listen::song::{HeardSong, Recording, hear};
use crate::sound::SampleRate;
use crate::theory::Seconds;
use serde::{Deserialize, Serialize};

/// A recording on its way to the worker: one channel, 16 bit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Recorded {
    rate: SampleRate,
    /// Little-endian. Bytes, because these cross to the worker in one piece; a list would cross sample by sample.
    #[serde(with = "serde_bytes")]
    samples: Vec<u8>,
}

impl Recorded {
    /// An empty recording of this rate, to be filled with [`Self::add`].
    #[must_use]
    pub fn at(rate: SampleRate) -> Self {
        Self {
            rate,
            samples: Vec::new(),
        }
    }

    /// Adds the mean of both channels of frames as a [`crate::sound::tape`] takes them: left and right by turns.
    pub fn add(&mut self, frames: &[i16]) {
        let (pairs, _) = frames.as_chunks::<2>();
        self.samples.extend(
            pairs
                .iter()
                .flat_map(|[left, right]| i16::midpoint(*left, *right).to_le_bytes()),
        );
    }

    /// Adds samples of one channel, each in -1..=1.
    pub fn add_mono(&mut self, samples: impl Iterator<Item = f32>) {
        #[allow(clippy::cast_possible_truncation, reason = "within 16 bits")]
        let packed = samples.map(|x| (x.clamp(-1.0, 1.0) * f32::from(i16::MAX)) as i16);
        self.samples.extend(packed.flat_map(i16::to_le_bytes));
    }

    /// An empty recording of this rate with room for `length` of it, so that it never has to move as it grows.
    #[must_use]
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "bounded by the longest song"
    )]
    pub fn with_room(rate: SampleRate, length: Seconds) -> Self {
        let samples = rate.samples(Seconds(length.0.clamp(0.0, LONGEST.0))) as usize + 1;
        Self {
            rate,
            samples: Vec::with_capacity(2 * samples),
        }
    }

    /// The form that is listened to.
    fn recording(&self) -> Recording {
        let (pairs, _) = self.samples.as_chunks::<2>();
        let full = f32::from(i16::MAX);
        Recording::of(
            pairs.iter().map(|pair| f32::from(i16::from_le_bytes(*pair)) / full),
            self.rate,
        )
    }
}

/// Makes a chart of a recording, telling how far it is.
///
/// # Errors
/// When it is too short, or no beat is in it.
pub(super) fn listen(recorded: &Recorded, bench: &mut dyn Bench) -> Result<HeardSong, Refused> {
    let going = |done| {
        bench.going(Progress::of(done, 1.0));
        true
    };
    hear(&recorded.recording(), going).map_err(|unheard| Refused(unheard.said()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::jobs::{Job, Product, work};

    #[derive(Default)]
    struct Told(Vec<Progress>);

    impl Bench for Told {
        fn going(&mut self, progress: Progress) {
            self.0.push(progress);
        }

        fn put(&mut self, _: usize, _: &[u8]) -> Result<(), Refused> {
            Ok(())
        }
    }

    /// Ten seconds of an A at 120 a minute: a tone that begins anew every half second.
    fn recorded() -> Recorded {
        let mut recorded = Recorded::at(SampleRate(22_050.0));
        for n in 0..220_500_u32 {
            let time = f64::from(n) / 22_050.0;
            let fading = (-8.0 * (time % 0.5)).exp();
            #[allow(clippy::cast_possible_truncation, reason = "within 16 bits")]
            let sample = (12_000.0 * fading * (std::f64::consts::TAU * 440.0 * time).sin()) as i16;
            recorded.add(&[sample, sample]);
        }
        recorded
    }

    #[test]
    fn a_recording_gives_a_chart_and_tells_how_far_it_is() {
        let mut told = Told::default();
        let done = work(&Job::Hear(Box::new(recorded())), &mut told).expect("it is heard");
        let Product::Heard(song) = done else {
            panic!("another product: {done:?}");
        };
        let times = song.tempo.0 / 60.0;
        assert!((times - times.round()).abs() < 0.02, "{}", song.tempo);
        assert!(told.0.len() > 10 && told.0.is_sorted(), "{:?}", told.0);
    }

    #[test]
    fn what_can_not_be_heard_is_refused_with_a_remedy() {
        let job = Job::Hear(Box::new(Recorded::at(SampleRate(48_000.0))));
        let refused = work(&job, &mut Told::default()).expect_err("nothing to hear");
        assert_eq!(
            refused.0,
            "the recording lasts 0.0 s; a chart needs at least 6 s of music"
        );
    }

    #[test]
    fn a_recording_crosses_to_the_worker_whole() {
        let mut recorded = Recorded::at(SampleRate(48_000.0));
        recorded.add(&[100, 300, -7, -9, i16::MAX, i16::MAX]);
        let text = serde_json::to_string(&recorded).expect("it is written");
        assert_eq!(serde_json::from_str::<Recorded>(&text).expect("it is read"), recorded);
        assert_eq!(recorded.samples, [200, 0, 248, 255, 255, 127]);
    }
}
