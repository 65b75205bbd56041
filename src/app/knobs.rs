//! The amplifier's knobs and switches: what each is called, its range and unit, and where it stands.
//!
//! *Invariant:* a knob never leaves its range, and turning one moves no other.

use crate::sound::amp::{Delay, Drive, Reverb, Tone};
use crate::sound::{Amp, Decibels};
use crate::theory::Seconds;
use crate::words::Said;
use std::ops::RangeInclusive;

/// A knob of the amplifier.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Knob {
    Drive,
    DriveLevel,
    Bass,
    Middle,
    Treble,
    EchoTime,
    EchoLevel,
    EchoAgain,
    ReverbLevel,
    ReverbDecay,
}

/// What a knob's figure is measured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Unit {
    Decibels,
    Milliseconds,
}

impl Knob {
    /// Its name on the page.
    #[must_use]
    pub fn name(self) -> Said {
        match self {
            Self::Drive => said!("Drive"),
            Self::DriveLevel => said!("Level after it"),
            Self::Bass => said!("Bass, {hertz} Hz", hertz = Tone::BASS_AT.0),
            Self::Middle => said!("Middle, {hertz} Hz", hertz = Tone::MIDDLE_AT.0),
            Self::Treble => said!("Treble, {hertz} Hz", hertz = Tone::TREBLE_AT.0),
            Self::EchoTime => said!("Time"),
            Self::EchoLevel => said!("First echo"),
            Self::EchoAgain => said!("Each next one"),
            Self::ReverbLevel => said!("Reverb level"),
            Self::ReverbDecay => said!("Rings for"),
        }
    }

    /// What it can be set to, in its unit.
    #[must_use]
    pub fn range(self) -> RangeInclusive<f64> {
        let decibels = |range: RangeInclusive<Decibels>| range.start().0..=range.end().0;
        let milliseconds = |range: RangeInclusive<Seconds>| range.start().0 * 1000.0..=range.end().0 * 1000.0;
        match self {
            Self::Drive => decibels(Drive::GAIN),
            Self::DriveLevel => decibels(Drive::LEVEL),
            Self::Bass | Self::Middle | Self::Treble => decibels(Tone::RANGE),
            Self::EchoTime => milliseconds(Delay::TIME),
            Self::EchoLevel => decibels(Delay::LEVEL),
            Self::EchoAgain => decibels(Delay::AGAIN),
            Self::ReverbLevel => decibels(Reverb::LEVEL),
            Self::ReverbDecay => milliseconds(Reverb::DECAY),
        }
    }

    /// One step of an arrow key, in its unit.
    #[must_use]
    pub fn step(self) -> f64 {
        match self {
            Self::EchoTime => 10.0,
            Self::ReverbDecay => 100.0,
            _ => 0.5,
        }
    }

    /// Where it stands, in its unit; nothing while what it belongs to is switched off.
    #[must_use]
    pub fn read(self, amp: &Amp) -> Option<f64> {
        let value = match self {
            Self::Drive => amp.drive?.gain.0,
            Self::DriveLevel => amp.drive?.level.0,
            Self::Bass => amp.tone.bass.0,
            Self::Middle => amp.tone.middle.0,
            Self::Treble => amp.tone.treble.0,
            Self::EchoTime => amp.echo?.time.0 * 1000.0,
            Self::EchoLevel => amp.echo?.level.0,
            Self::EchoAgain => amp.echo?.again.0,
            Self::ReverbLevel => amp.reverb?.level.0,
            Self::ReverbDecay => amp.reverb?.decay.0 * 1000.0,
        };
        Some(value)
    }

    /// Turns it, within its range. A knob of something that is switched off stays as it is, and so does one
    /// that is given no number.
    pub fn turn(self, amp: &mut Amp, to: f64) {
        if !to.is_finite() {
            return;
        }
        let (decibels, seconds) = (Decibels(to), Seconds(to / 1000.0));
        let (drive, tone, echo, reverb) = (&mut amp.drive, &mut amp.tone, &mut amp.echo, &mut amp.reverb);
        match self {
            Self::Drive => drive.iter_mut().for_each(|d| d.gain = decibels),
            Self::DriveLevel => drive.iter_mut().for_each(|d| d.level = decibels),
            Self::Bass => tone.bass = decibels,
            Self::Middle => tone.middle = decibels,
            Self::Treble => tone.treble = decibels,
            Self::EchoTime => echo.iter_mut().for_each(|e| e.time = seconds),
            Self::EchoLevel => echo.iter_mut().for_each(|e| e.level = decibels),
            Self::EchoAgain => echo.iter_mut().for_each(|e| e.again = decibels),
            Self::ReverbLevel => reverb.iter_mut().for_each(|r| r.level = decibels),
            Self::ReverbDecay => reverb.iter_mut().for_each(|r| r.decay = seconds),
        }
        *amp = amp.kept();
    }

    /// A setting with its unit.
    #[must_use]
    pub fn words(self, value: f64) -> String {
        match self.unit() {
            Unit::Milliseconds => format!("{} ms", value.round()),
            Unit::Decibels => {
                let sign = if value > 0.0 { "+" } else { "" };
                // Adding 0 makes of -0 a plain 0.
                format!("{sign}{} dB", (value * 2.0).round() / 2.0 + 0.0).replace('-', "\u{2212}")
            }
        }
    }

    fn unit(self) -> Unit {
        match self {
            Self::EchoTime | Self::ReverbDecay => Unit::Milliseconds,
            _ => Unit::Decibels,
        }
    }
}

/// A part of the amplifier that can be switched off, with the knobs it has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Section {
    Drive,
    Tone,
    Speaker,
    Echo,
    Reverb,
}

impl Section {
    /// All of them, in the order the sound runs through.
    pub const ALL: [Self; 5] = [Self::Drive, Self::Tone, Self::Speaker, Self::Echo, Self::Reverb];

    /// Its name on the page.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Drive => key!("Drive pedal"),
            Self::Tone => key!("Tone"),
            Self::Speaker => key!("Loudspeaker"),
            Self::Echo => key!("Echo"),
            Self::Reverb => key!("Spring reverb"),
        }
    }

    /// Its knobs.
    #[must_use]
    pub fn knobs(self) -> &'static [Knob] {
        match self {
            Self::Drive => &[Knob::Drive, Knob::DriveLevel],
            Self::Tone => &[Knob::Bass, Knob::Middle, Knob::Treble],
            Self::Speaker => &[],
            Self::Echo => &[Knob::EchoTime, Knob::EchoLevel, Knob::EchoAgain],
            Self::Reverb => &[Knob::ReverbLevel, Knob::ReverbDecay],
        }
    }

    /// Whether it is on; nothing for one that has no switch.
    #[must_use]
    pub fn is_on(self, amp: &Amp) -> Option<bool> {
        match self {
            Self::Drive => Some(amp.drive.is_some()),
            Self::Speaker => Some(amp.speaker),
            Self::Echo => Some(amp.echo.is_some()),
            Self::Reverb => Some(amp.reverb.is_some()),
            Self::Tone => None,
        }
    }

    /// Switches it. What is switched on starts with its usual settings.
    pub fn switch(self, amp: &mut Amp, on: bool) {
        match self {
            Self::Drive => amp.drive = on.then(|| amp.drive.unwrap_or(Drive::USUAL)),
            Self::Speaker => amp.speaker = on,
            Self::Echo => amp.echo = on.then(|| amp.echo.unwrap_or(Delay::USUAL)),
            Self::Reverb => amp.reverb = on.then(|| amp.reverb.unwrap_or(Reverb::USUAL)),
            Self::Tone => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn knobs() -> impl Iterator<Item = Knob> {
        Section::ALL.into_iter().flat_map(|s| s.knobs().iter().copied())
    }

    #[test]
    fn a_knob_stays_within_its_range_and_moves_no_other() {
        for knob in knobs() {
            for (asked, got) in [(-1e9, *knob.range().start()), (1e9, *knob.range().end())] {
                let mut amp = Amp::DRIVEN;
                knob.turn(&mut amp, asked);
                assert!((knob.read(&amp).unwrap() - got).abs() < 1e-9, "{knob:?}");
                for other in knobs().filter(|other| *other != knob) {
                    assert_eq!(other.read(&amp), other.read(&Amp::DRIVEN), "{knob:?} moved {other:?}");
                }
            }
        }
    }

    #[test]
    fn what_is_switched_off_has_no_setting_and_comes_back_as_shipped() {
        let mut amp = Amp::DRIVEN;
        Section::Echo.switch(&mut amp, false);
        assert_eq!(Knob::EchoTime.read(&amp), None);
        Knob::EchoTime.turn(&mut amp, 500.0);
        assert_eq!(amp.echo, None);
        Section::Echo.switch(&mut amp, true);
        assert_eq!(amp.echo, Amp::DRIVEN.echo);
    }

    #[test]
    fn settings_are_said_with_their_unit() {
        assert_eq!(Knob::EchoTime.words(310.0), "310 ms");
        assert_eq!(Knob::Drive.words(24.0), "+24 dB");
        assert_eq!(Knob::Bass.words(-1.5), "\u{2212}1.5 dB");
        assert_eq!(Knob::Bass.words(-0.1), "0 dB");
    }
}
