//! The player: takes commands, gives stereo samples and reports.
//!
//! Everything is computed in steps of 32 samples on a fixed grid, so the output does not depend on how the caller
//! cuts its buffers. Plucks fall on their exact sample; lanes and levels move in straight lines within a step.

use super::amp::{Amp, Amplifier};
use super::band::{Band, BandStep};
use super::click::Click;
use super::command::{Command, LiveEvent, Report};
use super::limiter::Limiter;
use super::mix::{Mix, Part, Ramp};
use super::score::{SampleRate, Score, Speed};
use super::string::waveguide::STEP;
use super::string::{Hands, Steel, steel::Picked};
use super::transport::{SHORTEST_LOOP, Stretch, Transport};
use crate::solo::{BlockKind, Finger, Touch};
use crate::steel::{Fret, StringSet, Travel};
use crate::theory::{Beats, Seconds};
use std::collections::VecDeque;
use std::ops::Range;

/// Time between two reports of the position.
const REPORT_EVERY: Seconds = Seconds(0.02);
/// Fade before a new start while something sounds, and the way of a fader that is moved.
const FADE: Seconds = Seconds(0.012);
/// Before a loop jumps back, the ringing strings are stopped this long ahead.
const STOP_BEFORE_JUMP: Seconds = Seconds(0.05);
/// How much of its way a hand-moved bar or pedal goes in one step: smooths the jumps of a pointer.
const FOLLOW: f64 = 0.05;
/// The guitar stands to the left, so that the middle is the solo's.
const RHYTHM_LEFT: f32 = 1.25;
const RHYTHM_RIGHT: f32 = 0.6;
/// The volume pedal's resting place, at which the level is as set.
const RESTING_VOLUME: f64 = 0.7;

/// What the player is doing.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Mode {
    Stopped,
    /// Fading out what sounds, to start from here.
    Starting(Beats),
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
    transport: Transport,
    speed: Speed,
    mode: Mode,
    count_in: u8,
    mix: Mix,
    gains: [Ramp; Part::ALL.len()],
    master: Ramp,
    /// Closes while something is exchanged under the sound.
    gate: Ramp,
    volume: f32,
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
            transport: Transport::new(rate),
            speed: Speed::FULL,
            mode: Mode::Stopped,
            count_in: 0,
            mix,
            gains: [Ramp::at(0.0); Part::ALL.len()],
            master: Ramp::at(0.0),
            gate: Ramp::at(1.0),
            volume: volume_gain(RESTING_VOLUME),
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
            Command::Load(score) => self.load(*score),
            Command::Play { from } => self.play(from),
            Command::Stop => self.stop(),
            Command::Loop(around) => self.set_loop(around),
            Command::Speed(speed) => self.set_speed(speed),
            Command::Mix(mix) => self.set_mix(mix),
            Command::Amp(amp) => self.set_amp(amp),
            Command::CountIn { bars } => self.count_in = bars.min(4),
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

    /// Counts in and plays from `from`.
    pub fn play(&mut self, from: Beats) {
        if self.score.is_none() {
            self.fail("There is nothing to play yet: draft a solo or load a song first.");
            return;
        }
        self.mode = Mode::Starting(from.max(Beats::ZERO));
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
                self.fail("The loop is too short: choose at least a quarter of a beat.");
            }
            other => self.transport.set_loop(other),
        }
    }

    /// Sets the playing speed.
    pub fn set_speed(&mut self, speed: Speed) {
        self.speed = speed;
        if let Some(score) = &self.score {
            self.transport.set_tempo(speed.of(score.timeline.tempo));
        }
    }

    /// Sets levels and mutes; they move there within a short fade.
    #[allow(clippy::cast_possible_truncation)]
    pub fn set_mix(&mut self, mix: Mix) {
        self.mix = mix;
        let fade = self.fade();
        for (ramp, part) in self.gains.iter_mut().zip(Part::ALL) {
            ramp.go(mix.fader(part).gain() as f32, fade);
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
            LiveEvent::Bar { fret } => self.move_bar(fret),
            LiveEvent::Press { change, travel } => {
                if let Some(t) = self.wanted.travels.get_mut(change.index()) {
                    *t = Travel(travel.0.clamp(0.0, 1.0));
                }
                self.jump_when_silent();
            }
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
        self.band.is_at_rest() && self.amplifier.is_at_rest() && self.steel.as_ref().is_none_or(Steel::is_at_rest)
    }

    fn pluck_now(&mut self, picked: Picked) {
        let hands = self.hands;
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

    fn move_bar(&mut self, fret: Fret) {
        self.wanted.bar = Fret(fret.0.clamp(0.0, 36.0));
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

    fn seek(&mut self, to: Beats) {
        self.band.seek(to);
        let Some(score) = &self.score else { return };
        self.next_pluck = score.performance.plucks.partition_point(|p| p.at < to);
        self.next_block = score.performance.blocks.partition_point(|b| b.at < to);
    }

    /// Computes the next [`STEP`] samples.
    fn step(&mut self) {
        if let Mode::Starting(from) = self.mode
            && self.gate.is_silent()
        {
            self.begin(from);
        }
        let mut steel = [0.0; STEP];
        let mut click = [0.0; STEP];
        match self.mode {
            Mode::Playing { from } => self.play_step(from),
            _ => self.follow_hands(),
        }
        if let Some(strings) = &mut self.steel {
            strings.run(&self.hands, &mut steel);
        }
        self.press_volume(&mut steel);
        self.amplifier.run(&mut steel);
        let mut band = BandStep::SILENT;
        self.band.run(&mut band);
        self.click.run(&mut click);
        self.mix_step(&steel, &band, &click);
        self.frame += STEP as u64;
        if let Mode::Playing { from } = self.mode {
            self.report_position(from);
        }
    }

    /// Starts at `from`, a count-in before it.
    fn begin(&mut self, from: Beats) {
        if let Some(steel) = &mut self.steel {
            steel.silence();
        }
        self.amplifier.silence();
        self.band.silence();
        self.click.silence();
        let bar = self
            .score
            .as_ref()
            .and_then(|s| s.timeline.bar_index_at(from).and_then(|i| s.timeline.bars.get(i)))
            .map_or(Beats(4.0), |b| b.metre.bar());
        self.transport.seek(from - bar.scaled(f64::from(self.count_in)));
        self.seek(from);
        self.mode = Mode::Playing { from };
        self.gate = Ramp::at(1.0);
        self.report_in = 0.0;
    }

    #[allow(clippy::cast_precision_loss)]
    fn play_step(&mut self, from: Beats) {
        self.stop_before_jump();
        for stretch in self.transport.advance(STEP).into_iter().flatten() {
            if stretch.jumped {
                self.seek(stretch.from);
            }
            self.strike_clicks(from, &stretch);
            if stretch.to > from {
                self.band.play(&stretch, self.transport.beats_a_sample());
            }
            self.pick(&stretch);
        }
        let Some(score) = &self.score else { return };
        let at = self.transport.position();
        self.hands = Hands::of(&score.performance, at.max(from), self.transport.tempo());
        if at >= score.timeline.length().max(score.performance.length) {
            self.end();
        }
    }

    /// Strings that ring into a jump back would jump in pitch: they are stopped just before.
    fn stop_before_jump(&mut self) {
        let ahead = STOP_BEFORE_JUMP.at(self.transport.tempo());
        let near = self
            .transport
            .loop_end()
            .is_some_and(|end| end - self.transport.position() < ahead);
        if near && let Some(steel) = &mut self.steel {
            steel.block_all(BlockKind::Pick);
        }
    }

    /// Hands the plucks and blocks of a stretch to the strings, in order of time.
    fn pick(&mut self, stretch: &Stretch) {
        let (Some(score), Some(steel)) = (&self.score, &mut self.steel) else {
            return;
        };
        let performance = &score.performance;
        let (tempo, step) = (self.transport.tempo(), self.transport.beats_a_sample());
        loop {
            let pluck = performance.plucks.get(self.next_pluck).filter(|p| p.at < stretch.to);
            let block = performance.blocks.get(self.next_block).filter(|b| b.at < stretch.to);
            match (pluck, block) {
                (pluck, Some(b)) if pluck.is_none_or(|p| b.at <= p.at) => {
                    steel.block(b.strings, b.kind);
                    self.next_block += 1;
                }
                (Some(p), _) => {
                    let picked = Picked {
                        string: p.string,
                        strength: p.strength,
                        finger: p.finger,
                        touch: p.touch,
                    };
                    let hands = Hands::of(performance, p.at, tempo);
                    steel.pluck(picked, stretch.sample(p.at, step, STEP), &hands);
                    self.next_pluck += 1;
                }
                _ => return,
            }
        }
    }

    /// Clicks on the felt beats: always in the count-in, and through the song for those who want it.
    fn strike_clicks(&mut self, from: Beats, stretch: &Stretch) {
        let Some(score) = &self.score else { return };
        let inside = stretch.from.max(from);
        let Some(bar) = score
            .timeline
            .bar_index_at(inside)
            .and_then(|i| score.timeline.bars.get(i))
        else {
            return;
        };
        let (pulse, length) = (bar.metre.pulse().0, bar.metre.bar().0);
        let counting = stretch.from < from;
        let start = if counting { from } else { bar.start };
        let index = ((stretch.from - start).0 / pulse - 1e-9).ceil();
        let at = start + Beats(index * pulse);
        if at >= stretch.to || (counting && at >= from) {
            return;
        }
        let first = ((at - start).0 / length).rem_euclid(1.0) * length < 1e-6;
        let offset = stretch.sample(at, self.transport.beats_a_sample(), STEP);
        if counting || !self.mix.click.muted {
            self.click.strike(offset, first);
        }
    }

    /// Moves the hands some of the way to where the user wants them.
    fn follow_hands(&mut self) {
        let towards = |now: f64, to: f64| now + FOLLOW * (to - now);
        self.hands.bar = Fret(towards(self.hands.bar.0, self.wanted.bar.0));
        self.hands.sway.0 = towards(self.hands.sway.0, self.wanted.sway.0);
        for (now, to) in self.hands.travels.iter_mut().zip(self.wanted.travels) {
            now.0 = towards(now.0, to.0);
        }
    }

    /// The volume pedal, which stands before the amplifier: it drives less as it is let up.
    #[allow(clippy::cast_precision_loss)]
    fn press_volume(&mut self, steel: &mut [f32; STEP]) {
        let volume = match (self.mode, &self.score) {
            (Mode::Playing { from }, Some(score)) => {
                score.performance.volume.value(self.transport.position().max(from))
            }
            _ => RESTING_VOLUME,
        };
        let slope = (volume_gain(volume) - self.volume) / STEP as f32;
        for sample in steel {
            self.volume += slope;
            *sample *= self.volume;
        }
    }

    /// Sums the parts, sets the level and limits.
    fn mix_step(&mut self, steel: &[f32; STEP], band: &BandStep, click: &[f32; STEP]) {
        let counting = matches!(self.mode, Mode::Playing { from } if self.transport.position() < from);
        for i in 0..STEP {
            let [solo, drums, bass, rhythm, clicks] = self.gains.each_mut().map(Ramp::next);
            let clicks = if counting { 1.0 } else { clicks };
            let middle = solo * steel[i] + drums * band.drums[i] + bass * band.bass[i] + clicks * click[i];
            let side = rhythm * band.rhythm[i];
            let level = self.master.next() * self.gate.next();
            let (left, right) = (
                (middle + RHYTHM_LEFT * side) * level,
                (middle + RHYTHM_RIGHT * side) * level,
            );
            (self.left[i], self.right[i]) = self.limiter.next(left, right);
        }
    }

    fn report_position(&mut self, from: Beats) {
        self.report_in -= STEP as f64;
        if self.report_in > 0.0 {
            return;
        }
        self.report_in += self.rate.samples(REPORT_EVERY);
        let at = self.transport.position();
        self.tell(Report::Position {
            at,
            frame: self.frame,
            counting_in: at < from,
        });
    }
}

/// The volume pedal's gain: square law, 1 at its resting place.
#[allow(clippy::cast_possible_truncation)]
fn volume_gain(volume: f64) -> f32 {
    let part = volume.clamp(0.0, 1.0) / RESTING_VOLUME;
    (part * part) as f32
}
