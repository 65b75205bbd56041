//! A recording that sounds beside the solo.
//!
//! *Invariant:* it sounds at its own speed and pitch or not at all, and no jump in it is a click.
//!
//! It is held as 16-bit stereo in blocks, so that taking more of it never moves what is there, and costs the audio
//! thread no more than one block's worth at a time.

use super::mix::Ramp;
use super::rate::{STEP, SampleRate};
use crate::theory::Seconds;

/// Frames in each block but the last.
pub const BLOCK: usize = 1 << 15;

/// Two channels as a block of the tape: 16 bits, left and right by turns, what is too loud cut off.
#[must_use]
#[allow(clippy::cast_possible_truncation, reason = "what is too loud is cut off")]
pub fn pack(left: &[f32], right: &[f32]) -> Vec<i16> {
    let whole = |x: f32| (x * 32_767.0).round() as i16;
    left.iter()
        .zip(right)
        .flat_map(|(l, r)| [whole(*l), whole(*r)])
        .collect()
}

/// Fade at each start, stop and jump.
const FADE: Seconds = Seconds(0.006);
/// The head follows the song by jumping when it is further off than this, in frames: less is rounding.
const OFF: f64 = 2.0;

/// One step of both channels.
pub(super) type Sound = [[f32; STEP]; 2];

/// A place on the tape, coming up or going away.
#[derive(Debug, Clone, Copy)]
struct Head {
    /// The next frame; between two when the rates differ.
    at: f64,
    gain: Ramp,
}

/// The tape and the two heads on it: where it plays, and where it played before the last jump.
#[derive(Debug, Clone)]
pub(super) struct Tape {
    rate: SampleRate,
    /// Frames of the tape in one of the output.
    pace: f64,
    /// Left and right by turns.
    blocks: Vec<Vec<i16>>,
    now: Head,
    before: Head,
}

impl Tape {
    /// A tape recorded at `recorded`, still empty, for an output at `rate`.
    pub(super) fn new(rate: SampleRate, recorded: SampleRate) -> Self {
        let off = Head {
            at: 0.0,
            gain: Ramp::at(0.0),
        };
        Self {
            rate,
            pace: recorded.0 / rate.0,
            blocks: Vec::new(),
            now: off,
            before: off,
        }
    }

    /// Appends a block: [`BLOCK`] frames, left and right by turns; only the last one may be shorter.
    pub(super) fn feed(&mut self, block: Vec<i16>) {
        self.blocks.push(block);
    }

    /// Whether nothing is heard of it.
    pub(super) fn is_at_rest(&self) -> bool {
        self.now.gain.is_silent() && self.before.gain.is_silent()
    }

    /// Computes a step whose first sample is heard at `time` of the recording, or fades out.
    pub(super) fn run(&mut self, time: Option<Seconds>, out: &mut Sound) {
        *out = [[0.0; STEP]; 2];
        self.follow(time);
        if self.is_at_rest() {
            return;
        }
        let (mut now, mut before) = (self.now, self.before);
        let [left, right] = out;
        for (left, right) in left.iter_mut().zip(right) {
            for head in [&mut now, &mut before] {
                let gain = head.gain.next();
                if gain > 0.0 {
                    let [l, r] = self.read(head.at);
                    *left += gain * l;
                    *right += gain * r;
                }
                head.at += self.pace;
            }
        }
        (self.now, self.before) = (now, before);
    }

    /// Sends the heads to where they are wanted.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn follow(&mut self, time: Option<Seconds>) {
        let fade = self.rate.samples(FADE) as u32;
        let Some(time) = time else {
            self.now.gain.head_for(0.0, fade);
            return;
        };
        let wanted = time.0 * self.rate.0 * self.pace;
        if self.now.gain.is_silent() || (wanted - self.now.at).abs() > OFF {
            self.before = self.now;
            self.before.gain.head_for(0.0, fade);
            self.now = Head {
                at: wanted.round(),
                gain: Ramp::at(0.0),
            };
        }
        self.now.gain.head_for(1.0, fade);
    }

    /// The sound at a place between frames, by a cubic through the four around it; silence outside the tape.
    #[allow(clippy::cast_possible_truncation)]
    fn read(&self, at: f64) -> [f32; 2] {
        let whole = at.floor();
        let (frame, t) = (whole as i64, (at - whole) as f32);
        if t == 0.0 {
            return self.frame(frame);
        }
        let [a, b, c, d] = [-1, 0, 1, 2].map(|by| self.frame(frame + by));
        [0, 1].map(|side| {
            let (a, b, c, d) = (a[side], b[side], c[side], d[side]);
            let (slope, curve, bend) = (c - a, 2.0 * a - 5.0 * b + 4.0 * c - d, 3.0 * (b - c) + d - a);
            b + 0.5 * t * (slope + t * (curve + t * bend))
        })
    }

    fn frame(&self, frame: i64) -> [f32; 2] {
        const FULL: f32 = 1.0 / 32_768.0;
        let Ok(frame) = usize::try_from(frame) else {
            return [0.0; 2];
        };
        let at = 2 * (frame % BLOCK);
        match self.blocks.get(frame / BLOCK).and_then(|block| block.get(at..at + 2)) {
            Some([left, right]) => [f32::from(*left) * FULL, f32::from(*right) * FULL],
            _ => [0.0; 2],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// A tone of `hertz`, `seconds` long, at `rate`.
    fn tone(tape: &mut Tape, rate: f64, hertz: f64, seconds: f64) {
        let frames = (rate * seconds) as usize;
        let samples: Vec<i16> = (0..frames)
            .flat_map(|n| [(20_000.0 * (TAU * hertz * n as f64 / rate).sin()) as i16; 2])
            .collect();
        for block in samples.chunks(2 * BLOCK) {
            tape.feed(block.to_vec());
        }
    }

    fn play(tape: &mut Tape, from: f64, steps: usize) -> Vec<f32> {
        let mut heard = Vec::new();
        for step in 0..steps {
            let mut out = [[0.0; STEP]; 2];
            let time = from + (step * STEP) as f64 / tape.rate.0;
            tape.run(Some(Seconds(time)), &mut out);
            heard.extend(out[0]);
        }
        heard
    }

    #[test]
    fn every_sample_is_the_recordings_own_where_the_rates_agree() {
        let rate = SampleRate(48_000.0);
        let mut tape = Tape::new(rate, rate);
        tone(&mut tape, 48_000.0, 997.0, 3.0);
        let heard = play(&mut tape, 0.5, 2000);
        for (n, got) in heard.iter().enumerate().skip(400) {
            let [want, _] = tape.frame(24_000 + n as i64);
            assert_eq!(*got, want, "sample {n}");
        }
    }

    #[test]
    fn a_recording_at_another_rate_keeps_its_pitch_and_its_place() {
        let mut tape = Tape::new(SampleRate(48_000.0), SampleRate(44_100.0));
        tone(&mut tape, 44_100.0, 441.0, 3.0);
        let heard = play(&mut tape, 1.0, 1500);
        for (n, got) in heard.iter().enumerate().skip(400) {
            let want = 20_000.0 / 32_768.0 * (TAU * 441.0 * (1.0 + n as f64 / 48_000.0)).sin();
            assert!((f64::from(*got) - want).abs() < 2e-3, "sample {n}: {got} for {want}");
        }
    }

    #[test]
    fn no_start_no_jump_and_no_stop_is_a_click() {
        let rate = SampleRate(48_000.0);
        let mut tape = Tape::new(rate, rate);
        tone(&mut tape, 48_000.0, 220.0, 4.0);
        let mut heard = play(&mut tape, 0.123_4, 100);
        heard.extend(play(&mut tape, 2.345_6, 100));
        for _ in 0..30 {
            let mut out = [[0.0; STEP]; 2];
            tape.run(None, &mut out);
            heard.extend(out[0]);
        }
        // The tone itself moves 20000/32768 * 2 pi 220/48000 = 0.018 a sample; a fade of 288 adds a little.
        let most = heard.windows(2).map(|w| (w[1] - w[0]).abs()).fold(0.0, f32::max);
        assert!(most < 0.04, "a jump of {most}");
        assert!(tape.is_at_rest() && heard.last() == Some(&0.0));
    }

    #[test]
    fn what_is_too_loud_is_cut_off_and_what_is_no_number_is_silent() {
        let packed = pack(&[0.5, 2.0, f32::NAN], &[-0.5, -2.0, 0.0]);
        assert_eq!(packed, [16_384, -16_384, 32_767, -32_768, 0, 0]);
    }

    #[test]
    fn before_its_start_and_after_its_end_there_is_silence() {
        let rate = SampleRate(48_000.0);
        let mut tape = Tape::new(rate, rate);
        tone(&mut tape, 48_000.0, 220.0, 0.1);
        assert!(play(&mut tape, -5.0, 50).iter().all(|x| *x == 0.0));
        assert!(play(&mut tape, 60.0, 50).iter().all(|x| *x == 0.0));
    }
}
