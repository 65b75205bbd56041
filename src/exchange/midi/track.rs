//! A track's events with their moments in ticks, and their way into a file.

use crate::theory::Beats;
use midly::num::{u4, u7, u15, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, PitchBend, Smf, Timing, TrackEvent, TrackEventKind};

/// Ticks of a quarter note: half a millisecond at 125 a minute.
const TICKS_PER_BEAT: u16 = 960;

/// A moment, or a length, in ticks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) struct Tick(pub(super) u32);

impl Tick {
    /// The tick nearest to a moment; the start for anything before it.
    pub(super) fn at(moment: Beats) -> Self {
        Self::of(moment, f64::round)
    }

    /// The last tick that is not after a moment.
    pub(super) fn before(moment: Beats) -> Self {
        Self::of(moment, f64::floor)
    }

    /// The first tick that is not before a moment.
    pub(super) fn after(moment: Beats) -> Self {
        Self::of(moment, f64::ceil)
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // casts of floats stop at the ends
    fn of(moment: Beats, rounded: fn(f64) -> f64) -> Self {
        Self(rounded(moment.0 * f64::from(TICKS_PER_BEAT)) as u32)
    }

    /// The moment of this tick.
    pub(super) fn moment(self) -> Beats {
        Beats(f64::from(self.0) / f64::from(TICKS_PER_BEAT))
    }
}

/// A channel, counted from 0 as the bytes have it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Channel(pub(super) u8);

/// What happens at a tick, in the order in which things of one tick must stand.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Event {
    Name(String),
    Tempo {
        micros_per_beat: u32,
    },
    Metre {
        count: u8,
        unit_power: u8,
    },
    Key {
        sharps: i8,
        minor: bool,
    },
    Marker(String),
    Lyric(String),
    /// Set-up messages keep the order they were added in: `step` counts them.
    SetUp {
        step: u8,
        channel: Channel,
        message: SetUp,
    },
    Off {
        channel: Channel,
        note: u8,
    },
    /// `value` is 0..=16383, the middle is no bend.
    Bend {
        channel: Channel,
        value: u16,
    },
    Expression {
        channel: Channel,
        value: u8,
    },
    On {
        channel: Channel,
        note: u8,
        velocity: u8,
    },
}

/// What prepares a channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum SetUp {
    Controller { number: u8, value: u8 },
    Program(u8),
}

/// Events of one track, in any order until they are written.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Track {
    events: Vec<(Tick, Event)>,
    steps: u8,
}

impl Track {
    pub(super) fn named(name: impl Into<String>) -> Self {
        let mut track = Self::default();
        track.add(Tick(0), Event::Name(name.into()));
        track
    }

    pub(super) fn add(&mut self, at: Tick, event: Event) {
        self.events.push((at, event));
    }

    /// Adds a message to the start, after those added before it.
    pub(super) fn set_up(&mut self, channel: Channel, message: SetUp) {
        let step = self.steps;
        self.steps = self.steps.saturating_add(1);
        self.add(Tick(0), Event::SetUp { step, channel, message });
    }

    /// Gives a registered parameter its value (coarse), and lets go of it again.
    pub(super) fn register(&mut self, channel: Channel, parameter: u8, value: u8) {
        // 101 and 100 name the parameter, 6 and 38 are its value; 127 and 127 name none.
        for (number, value) in [(101, 0), (100, parameter), (6, value), (38, 0), (101, 127), (100, 127)] {
            self.set_up(channel, SetUp::Controller { number, value });
        }
    }

    /// The bytes of a file with these tracks, each as long as the music.
    pub(super) fn file(tracks: &[Self], length: Beats) -> Vec<u8> {
        let timing = Timing::Metrical(u15::new(TICKS_PER_BEAT));
        let mut smf = Smf::new(Header::new(Format::Parallel, timing));
        let sorted: Vec<Self> = tracks.iter().cloned().map(Self::sorted).collect();
        smf.tracks = sorted.iter().map(|track| track.written(Tick::at(length))).collect();
        let mut bytes = Vec::new();
        // Writing into memory fails only for a track of more than 4 GB.
        match smf.write_std(&mut bytes) {
            Ok(()) => bytes,
            Err(_) => Vec::new(),
        }
    }

    fn sorted(mut self) -> Self {
        self.events.sort();
        self
    }

    fn written(&self, end: Tick) -> Vec<TrackEvent<'_>> {
        let mut last = Tick(0);
        let mut delta = |at: Tick| {
            let gone = at.0.saturating_sub(last.0);
            last = last.max(at);
            u28::new(gone.min(u28::max_value().as_int()))
        };
        let mut written: Vec<_> = self
            .events
            .iter()
            .map(|(at, event)| TrackEvent {
                delta: delta(*at),
                kind: event.kind(),
            })
            .collect();
        written.push(TrackEvent {
            delta: delta(end),
            kind: TrackEventKind::Meta(MetaMessage::EndOfTrack),
        });
        written
    }
}

impl Event {
    fn kind(&self) -> TrackEventKind<'_> {
        let voice = |channel: Channel, message| TrackEventKind::Midi {
            channel: u4::from_int_lossy(channel.0),
            message,
        };
        let controller = |channel, number: u8, value: u8| {
            let (controller, value) = (u7::from_int_lossy(number), u7::from_int_lossy(value));
            voice(channel, MidiMessage::Controller { controller, value })
        };
        match self {
            Self::Name(name) => TrackEventKind::Meta(MetaMessage::TrackName(name.as_bytes())),
            Self::Tempo { micros_per_beat } => {
                TrackEventKind::Meta(MetaMessage::Tempo(midly::num::u24::from_int_lossy(*micros_per_beat)))
            }
            // 24 clocks a click and eight thirty-seconds a quarter, as is usual.
            Self::Metre { count, unit_power } => {
                TrackEventKind::Meta(MetaMessage::TimeSignature(*count, *unit_power, 24, 8))
            }
            Self::Key { sharps, minor } => TrackEventKind::Meta(MetaMessage::KeySignature(*sharps, *minor)),
            Self::Marker(words) => TrackEventKind::Meta(MetaMessage::Marker(words.as_bytes())),
            Self::Lyric(words) => TrackEventKind::Meta(MetaMessage::Lyric(words.as_bytes())),
            Self::SetUp {
                channel,
                message: SetUp::Controller { number, value },
                ..
            } => controller(*channel, *number, *value),
            Self::SetUp {
                channel,
                message: SetUp::Program(program),
                ..
            } => voice(
                *channel,
                MidiMessage::ProgramChange {
                    program: u7::from_int_lossy(*program),
                },
            ),
            Self::Expression { channel, value } => controller(*channel, 11, *value),
            Self::Off { channel, note } => voice(
                *channel,
                MidiMessage::NoteOff {
                    key: u7::from_int_lossy(*note),
                    vel: u7::new(64),
                },
            ),
            Self::Bend { channel, value } => {
                let bend = PitchBend(midly::num::u14::from_int_lossy(*value));
                voice(*channel, MidiMessage::PitchBend { bend })
            }
            Self::On {
                channel,
                note,
                velocity,
            } => {
                let (key, vel) = (u7::from_int_lossy(*note), u7::from_int_lossy(*velocity));
                voice(*channel, MidiMessage::NoteOn { key, vel })
            }
        }
    }
}
