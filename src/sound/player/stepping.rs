//! One step of 32 samples after another: what the player does with its score while time goes by.
//!
//! *Invariant:* a step neither allocates nor asks what time it is.

use super::*;
use crate::sound::tape::Sound;

/// Steps until a string that was moved has been at its new length for a whole period, the lowest included.
const SETTLE: usize = 64;

/// What the parts sound in one step, each by itself.
#[derive(Debug, Clone)]
pub(in crate::sound) struct Parts {
    /// The steel as it leaves the volume pedal, before any amplifier.
    pub(in crate::sound) steel: [f32; STEP],
    pub(in crate::sound) band: BandStep,
    pub(in crate::sound) click: [f32; STEP],
    pub(in crate::sound) recording: Sound,
    /// What sounds in the place of the steel.
    pub(in crate::sound) stand_in: Sound,
    /// Whether the song has not begun yet.
    pub(in crate::sound) counting: bool,
}

impl Parts {
    /// Sample `i` of everything but the steel, left and right, each part by its gain in the order of [`Part::ALL`].
    /// The count-in is heard whatever the click's gain.
    pub(in crate::sound) fn backing(&self, i: usize, gains: &[f32; Part::ALL.len()]) -> (f32, f32) {
        let [_, drums, bass, rhythm, organ, clicks, taped] = gains;
        let clicks = if self.counting { 1.0 } else { *clicks };
        let middle = drums * self.band.drums[i] + bass * self.band.bass[i] + clicks * self.click[i];
        let (guitar, organ) = (rhythm * self.band.rhythm[i], organ * self.band.organ[i]);
        let [left, right] = [0, 1].map(|channel| middle + taped * self.recording[channel][i]);
        (
            left + TOWARDS * guitar + AWAY * organ,
            right + AWAY * guitar + TOWARDS * organ,
        )
    }
}

impl Player {
    pub(super) fn seek(&mut self, to: Beats) {
        self.band.seek(to);
        let Some(score) = &self.score else { return };
        self.next_pluck = score.performance.plucks.partition_point(|p| p.at < to);
        self.next_block = score.performance.blocks.partition_point(|b| b.at < to);
    }

    /// Computes the next [`STEP`] samples.
    pub(super) fn step(&mut self) {
        let mut parts = self.parts();
        self.amplifier.run(&mut parts.steel);
        self.mix_step(&parts);
        self.frame += STEP as u64;
        if let Mode::Playing { from } = self.mode {
            self.report_position(from);
        }
    }

    /// Goes on by [`STEP`] samples and gives what each part sounds, not yet amplified, levelled or mixed.
    pub(in crate::sound) fn parts(&mut self) -> Parts {
        if let Mode::Starting { from, count_in } = self.mode
            && self.gate.is_silent()
        {
            self.begin(from, count_in);
        }
        let mut steel = [0.0; STEP];
        let mut click = [0.0; STEP];
        let (heard_at, song_time) = (self.recorded_moment(), self.song_time());
        match self.mode {
            Mode::Playing { from } => self.play_step(from),
            _ => self.follow_hands(),
        }
        if let Some(strings) = &mut self.steel {
            strings.run(&self.hands, &mut steel);
        }
        self.press_volume(&mut steel);
        let mut band = BandStep::SILENT;
        self.band.run(&mut band);
        self.click.run(&mut click);
        let mut recording = [[0.0; STEP]; 2];
        if let Some(tape) = &mut self.tape {
            tape.run(heard_at, &mut recording);
        }
        let mut stand_in = [[0.0; STEP]; 2];
        if let Some(tape) = &mut self.stand_in {
            tape.run(song_time, &mut stand_in);
        }
        let counting = matches!(self.mode, Mode::Playing { from } if self.transport.position() < from);
        Parts {
            steel,
            band,
            click,
            recording,
            stand_in,
            counting,
        }
    }

    /// The moment of the recording that this step begins at, if it is to be heard: it is not while bars are counted,
    /// nor at another speed than its own, which would change its pitch.
    fn recorded_moment(&self) -> Option<Seconds> {
        let Mode::Playing { from } = self.mode else { return None };
        let at = self.transport.position();
        let clock = self.score.as_ref()?.clock.as_ref()?;
        (at >= from && self.speed == Speed::FULL).then(|| clock.time(at))
    }

    /// The time that has gone by in the song when this step begins, where what was played by hand is to be heard: it is
    /// not while bars are counted, nor at another speed than the song's own.
    fn song_time(&self) -> Option<Seconds> {
        let Mode::Playing { from } = self.mode else { return None };
        let at = self.transport.position();
        let score = self.score.as_ref()?;
        let time = || match &score.clock {
            Some(clock) => clock.time(at) - clock.time(Beats::ZERO),
            None => at.at(score.timeline.tempo),
        };
        (at >= from && self.speed == Speed::FULL).then(time)
    }

    /// Starts at `from`, a count-in before it.
    fn begin(&mut self, from: Beats, count_in: u8) {
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
        self.transport.seek(from - bar.scaled(f64::from(count_in)));
        self.place_hands(from);
        self.seek(from);
        self.mode = Mode::Playing { from };
        self.own = Ramp::at(if self.stand_in.is_some() { 0.0 } else { 1.0 });
        self.gate = Ramp::at(1.0);
        self.report_in = 0.0;
    }

    /// Hands, feet and knees are in place before the first note, which would bend from where they were otherwise.
    fn place_hands(&mut self, from: Beats) {
        if let (Some(score), Some(steel)) = (&self.score, &mut self.steel) {
            self.hands = Hands::of(&score.performance, from, self.transport.tempo());
            for _ in 0..SETTLE {
                steel.run(&self.hands, &mut [0.0; STEP]);
            }
        }
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
        if at >= stretch.to || at >= score.timeline.length() || (counting && at >= from) {
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
        self.hands.bar = Lie {
            far: Fret(towards(self.hands.bar.far.0, self.wanted.bar.far.0)),
            near: Fret(towards(self.hands.bar.near.0, self.wanted.bar.near.0)),
        };
        self.hands.sway.0 = towards(self.hands.sway.0, self.wanted.sway.0);
        for (now, to) in self.hands.travels.iter_mut().zip(self.wanted.travels) {
            now.0 = towards(now.0, to.0);
        }
    }

    /// The volume pedal, which stands before the amplifier: it drives less as it is let up.
    #[allow(clippy::cast_precision_loss)]
    fn press_volume(&mut self, steel: &mut [f32; STEP]) {
        // After the song the foot stays where it was under what still rings, until a string is plucked by hand.
        if let (Mode::Playing { from }, Some(score)) = (self.mode, &self.score) {
            self.pedal = score.performance.volume.value(self.transport.position().max(from));
        }
        let slope = (volume_gain(self.pedal) - self.volume) / STEP as f32;
        for sample in steel {
            self.volume += slope;
            *sample *= self.volume;
        }
    }

    /// Sums the parts, sets the level and limits.
    fn mix_step(&mut self, parts: &Parts) {
        for i in 0..STEP {
            let gains = self.gains.each_mut().map(Ramp::next);
            let (left, right) = parts.backing(i, &gains);
            let steel = parts.steel[i] * self.own.next();
            let solo = gains[Part::Solo.index()];
            let [left, right] = [
                left + solo * (steel + parts.stand_in[0][i]),
                right + solo * (steel + parts.stand_in[1][i]),
            ];
            let level = self.master.next() * self.gate.next();
            (self.left[i], self.right[i]) = self.limiter.next(left * level, right * level);
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
pub(super) fn volume_gain(volume: f64) -> f32 {
    let part = volume.clamp(0.0, 1.0) / RESTING_VOLUME;
    (part * part) as f32
}
