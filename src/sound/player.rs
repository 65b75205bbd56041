//! The player: takes commands, gives stereo samples and reports.
//!
//! Everything is computed in steps of 32 samples on a fixed grid, so the output does not depend on how the caller
//! cuts its buffers. Plucks fall on their exact sample; lanes and levels move in straight lines within a step.

mod stepping;

use super::amp::{Amp, Amplifier};
use super::band::{Band, BandStep};
use super::click::Click;
use super::command::{Command, LiveEvent, Report};
use super::limiter::Limiter;
use super::mix::{Mix, Part, Ramp};
use super::rate::{STEP, SampleRate};
use super::score::{Score, Speed};
use super::string::{Hands, Steel, steel::Picked};
use super::tape::Tape;
use super::transport::{SHORTEST_LOOP, Stretch, Transport};
use crate::solo::{BlockKind, Finger, Touch};
use crate::steel::{Fret, Lie, StringSet, Travel};
use crate::theory::{Beats, Seconds};
use std::collections::VecDeque;
use std::ops::Range;
use std::sync::Arc;
pub(super) use stepping::Parts;
use stepping::volume_gain;

/// Time between two reports of the position.
const REPORT_EVERY: Seconds = Seconds(0.02);
/// Fade before a new start while something sounds, and the way of a fader that is moved.
const FADE: Seconds = Seconds(0.012);
/// Before a loop jumps back, the ringing strings are stopped this long ahead.
const STOP_BEFORE_JUMP: Seconds = Seconds(0.05);
/// How much of its way a hand-moved bar or pedal goes in one step: smooths the jumps of a pointer.
const FOLLOW: f64 = 0.05;
/// The guitar stands to the left and the organ to the right, so that the middle is the solo's: a part's gain on
/// its own side and on the other.
const TOWARDS: f32 = 1.25;
const AWAY: f32 = 0.6;
/// The volume pedal's resting place, at which the level is as set.
const RESTING_VOLUME: f64 = 0.7;

/// What the player is doing.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Mode {
    Stopped,
    /// Fading out what sounds, to start from here after so many bars of counting: as many as were asked for
    /// when it was told to play.
    Starting {
        from: Beats,
        count_in: u8,
    },
    /// Playing; the song itself begins here, before it is the count-in.
    Playing {
        from: Beats,
    },
}

/// Turns a score and commands into sound.
#[derive(Debug, Clone)]
pub struct Player {
    rate: SampleRate,
    score: Option<Score>,
    steel: Option<Steel>,
    amplifier: Amplifier,
    band: Band,
    click: Click,
    tape: Option<Tape>,
    /// What sounds in the place of the steel while the song plays.
    stand_in: Option<Tape>,
    /// How much is heard of the steel itself.
    own: Ramp,
    transport: Transport,
    speed: Speed,
    mode: Mode,
    count_in: u8,
    mix: Mix,
    gains: [Ramp; Part::ALL.len()],
    master: Ramp,
    /// Closes while something is exchanged under the sound.
    gate: Ramp,
    /// Where the volume pedal is, and its gain as it is heard.
    pedal: f64,
    volume: f32,
    /// Where the user holds the volume pedal, 0..=1.
    foot: f64,
    hands: Hands,
    wanted: Hands,
    next_pluck: usize,
    next_block: usize,
    limiter: Limiter,
    left: [f32; STEP],
    right: [f32; STEP],
    cursor: usize,
    frame: u64,
    report_in: f64,
    reports: VecDeque<Report>,
}

impl Player {
    /// A player with nothing to play.
    #[must_use]
    pub fn new(rate: SampleRate) -> Self {
        let mix = Mix::default();
        let mut player = Self {
            rate,
            score: None,
            steel: None,
            amplifier: Amplifier::new(rate),
            band: Band::new(rate),
            click: Click::new(rate),
            tape: None,
            stand_in: None,
            own: Ramp::at(1.0),
            transport: Transport::new(rate),
            speed: Speed::FULL,
            mode: Mode::Stopped,
            count_in: 0,
            mix,
            gains: [Ramp::at(0.0); Part::ALL.len()],
            master: Ramp::at(0.0),
            gate: Ramp::at(1.0),
            pedal: RESTING_VOLUME,
            volume: volume_gain(RESTING_VOLUME),
            foot: RESTING_VOLUME,
            hands: Hands::AWAY,
            wanted: Hands::AWAY,
            next_pluck: 0,
            next_block: 0,
            limiter: Limiter::new(),
            left: [0.0; STEP],
            right: [0.0; STEP],
            cursor: STEP,
            frame: 0,
            report_in: 0.0,
            reports: VecDeque::with_capacity(64),
        };
        player.set_mix(mix);
        player
    }

    /// Obeys a command. What can't be obeyed is reported as [`Report::Failed`] and changes nothing.
    pub fn command(&mut self, command: Command) {
        match command {
            Command::Load(score) => self.load(Arc::unwrap_or_clone(score)),
            Command::Play { from } => self.play(from),
            Command::Stop => self.stop(),
            Command::Loop(around) => self.set_loop(around),
            Command::Speed(speed) => self.set_speed(speed),
            Command::Mix(mix) => self.set_mix(mix),
            Command::Amp(amp) => self.set_amp(amp),
            Command::CountIn { bars } => self.count_in = bars.min(4),
            Command::Tape(recorded) => self.tape = recorded.map(|recorded| Tape::new(self.rate, recorded)),
            Command::StandIn(recorded) => self.set_stand_in(recorded),
            Command::Live(event) => self.live(event),
        }
    }

    /// Takes a score. While playing, playing goes on at the same moment with it.
    pub fn load(&mut self, score: Score) {
        let same_instrument = self.score.as_ref().is_some_and(|s| s.instrument == score.instrument);
        if !same_instrument {
            self.steel = Some(Steel::new(self.rate, &score.instrument));
        }
        self.band.load(&score);
        self.score = Some(score);
        self.set_speed(self.speed);
        self.seek(self.transport.position());
    }

    /// Appends a block to the recording that [`Command::Tape`] put on: [`BLOCK`](super::tape::BLOCK) frames, left and
    /// right by turns; only the last one may be shorter.
    pub fn feed_tape(&mut self, block: Vec<i16>) {
        if let Some(tape) = &mut self.tape {
            tape.feed(block);
        }
    }

    /// Appends a block to what [`Command::StandIn`] put on, in the same form.
    pub fn feed_stand_in(&mut self, block: Vec<i16>) {
        if let Some(tape) = &mut self.stand_in {
            tape.feed(block);
        }
    }

    fn set_stand_in(&mut self, recorded: Option<SampleRate>) {
        self.stand_in = recorded.map(|recorded| Tape::new(self.rate, recorded));
        let heard = if self.stand_in.is_some() && self.mode != Mode::Stopped {
            0.0
        } else {
            1.0
        };
        self.own.head_for(heard, self.fade());
    }

    /// Counts in and plays from `from`.
    pub fn play(&mut self, from: Beats) {
        if self.score.is_none() {
            self.fail(key!("There is nothing to play yet: draft a solo or load a song first."));
            return;
        }
        self.mode = Mode::Starting {
            from: from.max(Beats::ZERO),
            count_in: self.count_in,
        };
        if self.is_silent() {
            self.gate = Ramp::at(0.0);
        } else {
            self.gate.go(0.0, self.fade());
        }
    }

    /// Stops the song; ringing strings are stopped as by the palm.
    pub fn stop(&mut self) {
        if self.mode != Mode::Stopped {
            self.end();
        }
        if let Some(steel) = &mut self.steel {
            steel.block_all(BlockKind::Palm);
        }
    }

    /// Loops a stretch of the song, or stops looping.
    pub fn set_loop(&mut self, around: Option<Range<Beats>>) {
        match around {
            Some(r) if r.end - r.start < SHORTEST_LOOP || r.start < Beats::ZERO => {
                self.fail(key!("The loop is too short: choose at least a quarter of a beat."));
            }
            other => self.transport.set_loop(other),
        }
    }

    /// Sets the playing speed.
    pub fn set_speed(&mut self, speed: Speed) {
        self.speed = speed;
        if let Some(score) = &self.score {
            self.transport
                .set_pace(score.timeline.tempo, score.clock.clone(), speed);
        }
    }

    /// Sets levels and mutes; they move there within a short fade.
    #[allow(clippy::cast_possible_truncation)]
    pub fn set_mix(&mut self, mix: Mix) {
        self.mix = mix;
        let fade = self.fade();
        for (ramp, gain) in self.gains.iter_mut().zip(mix.gains()) {
            ramp.go(gain, fade);
        }
        self.master.go(mix.master.gain() as f32, fade);
    }

    /// Sets the steel's amplifier.
    pub fn set_amp(&mut self, amp: Amp) {
        self.amplifier.set(amp);
    }

    /// Does something by hand. While playing only the performance's hands are heard.
    pub fn live(&mut self, event: LiveEvent) {
        if self.mode != Mode::Stopped {
            return;
        }
        match event {
            LiveEvent::Pluck {
                string,
                strength,
                finger,
                touch,
            } => self.pluck_now(Picked {
                string,
                strength,
                finger,
                touch,
            }),
            LiveEvent::Grip { strings, strength } => self.grip_now(strings, strength),
            LiveEvent::Bar { fret } => self.move_bar(Lie::straight(fret)),
            LiveEvent::Lay { lie } => self.move_bar(lie),
            LiveEvent::Press { change, travel } => {
                if let Some(t) = self.wanted.travels.get_mut(change.index()) {
                    *t = Travel(travel.0.clamp(0.0, 1.0));
                }
                self.jump_when_silent();
            }
            LiveEvent::Volume { part } if part.is_finite() => {
                self.foot = part.clamp(0.0, 1.0);
                self.pedal = self.foot;
            }
            LiveEvent::Volume { .. } => {}
            LiveEvent::Block { strings, kind } => {
                if let Some(steel) = &mut self.steel {
                    steel.block(strings, kind);
                }
            }
        }
    }

    /// Where the song is.
    #[must_use]
    pub fn position(&self) -> Beats {
        self.transport.position()
    }

    /// Whether the song is playing or about to.
    #[must_use]
    pub fn is_playing(&self) -> bool {
        self.mode != Mode::Stopped
    }

    /// The next report, oldest first.
    pub fn report(&mut self) -> Option<Report> {
        self.reports.pop_front()
    }

    /// Writes the next samples; both slices have the same length (the shorter one counts).
    pub fn process(&mut self, left: &mut [f32], right: &mut [f32]) {
        for (l, r) in left.iter_mut().zip(right) {
            if self.cursor == STEP {
                self.step();
                self.cursor = 0;
            }
            *l = self.left.get(self.cursor).copied().unwrap_or(0.0);
            *r = self.right.get(self.cursor).copied().unwrap_or(0.0);
            self.cursor += 1;
        }
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn fade(&self) -> u32 {
        self.rate.samples(FADE) as u32
    }

    fn fail(&mut self, words: &str) {
        self.tell(Report::Failed {
            words: words.to_owned(),
        });
    }

    /// Reports that nobody fetches are dropped, oldest first.
    fn tell(&mut self, report: Report) {
        if self.reports.len() == self.reports.capacity() {
            self.reports.pop_front();
        }
        self.reports.push_back(report);
    }

    fn is_silent(&self) -> bool {
        self.band.is_at_rest()
            && [&self.tape, &self.stand_in].into_iter().flatten().all(Tape::is_at_rest)
            && self.amplifier.is_at_rest()
            && self.steel.as_ref().is_none_or(Steel::is_at_rest)
    }

    fn pluck_now(&mut self, picked: Picked) {
        let hands = self.hands;
        self.pedal = self.foot;
        // By hand the steel itself is heard.
        self.own = Ramp::at(1.0);
        if let Some(steel) = &mut self.steel {
            steel.pluck(picked, 0, &hands);
        }
    }

    fn grip_now(&mut self, strings: StringSet, strength: f64) {
        const FINGERS: [Finger; 3] = [Finger::Middle, Finger::Index, Finger::Thumb];
        for (i, string) in strings.iter().enumerate() {
            self.pluck_now(Picked {
                string,
                strength,
                finger: FINGERS.get(i).copied().unwrap_or(Finger::Thumb),
                touch: Touch::Plain,
            });
        }
    }

    fn move_bar(&mut self, lie: Lie) {
        let on_neck = |fret: Fret| Fret(fret.0.clamp(0.0, 36.0));
        self.wanted.bar = Lie {
            far: on_neck(lie.far),
            near: on_neck(lie.near),
        };
        self.jump_when_silent();
    }

    /// With nothing ringing there is no glide to hear: the next pluck must sound the new place at once.
    fn jump_when_silent(&mut self) {
        if self.steel.as_ref().is_none_or(Steel::is_at_rest) {
            self.hands = self.wanted;
        }
    }

    /// Gives the hands back to the user where the performance left them.
    fn end(&mut self) {
        self.mode = Mode::Stopped;
        self.band.stop();
        self.wanted = self.hands;
        self.wanted.sway = crate::theory::Cents(0.0);
        self.gate.go(1.0, self.fade());
        self.tell(Report::Ended);
    }
}
