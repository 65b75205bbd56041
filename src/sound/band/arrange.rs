//! A groove laid along a song: who strikes what and when.
//!
//! The band follows the chart before the groove: a chord that comes early is struck early, a held one is struck
//! once and rings, a choked one is stopped, a rest is silence, and every change of chord is heard even where the
//! groove has no stroke. A bar of another metre takes as much of the groove as fits, and goes round in a longer one.

use super::drums::Drum;
use super::organ::Voicing;
use super::pattern::{BassStep, OrganStep, Pattern, StrumStep};
use super::plucked::Strum;
use super::register::at_or_above;
use crate::sound::chance::Chance;
use crate::theory::{Beats, Chord, ChordSpan, Height, Hit, Metre, Seconds, Swing, Timeline, TimelineBar, rank};

/// What is done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StrikeKind {
    /// A drum is struck.
    Drum(Drum),
    /// The bass plays a note.
    Bass(Height),
    /// The bass is stopped.
    BassStop,
    /// The guitar is strummed.
    Strum(Strum),
    /// The guitar is stopped.
    StrumStop,
    /// The organ holds a chord.
    Hold(Voicing),
    /// The organ lets go.
    LetGo,
    /// Ringing cymbals are held.
    CymbalStop,
}

/// What stops the band in a rest and a choke.
const STOPS: [StrikeKind; 4] = [
    StrikeKind::BassStop,
    StrikeKind::StrumStop,
    StrikeKind::LetGo,
    StrikeKind::CymbalStop,
];

/// One thing one player does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strike {
    /// When.
    pub at: Beats,
    /// How hard, 0..=1.
    pub strength: f64,
    /// What.
    pub kind: StrikeKind,
}

/// A player is off the beat by at most this.
const LOOSE: Seconds = Seconds(0.008);
/// A player's strength varies by at most this part.
const UNEVEN: f64 = 0.12;
/// How long a choked chord sounds.
const CHOKED: Beats = Beats(0.4);
/// Two moments nearer than this are one.
const SAME: f64 = 1e-6;
/// Lowest note of the bass (E1).
const LOWEST_BASS: i16 = 28;

/// Everything the band plays in a song, in order of time. Without a pattern the shipped one that fits is taken.
#[must_use]
pub fn arrange(song: &Timeline, pattern: Option<&Pattern>, seed: u64) -> Vec<Strike> {
    let Some(first) = song.bars.first() else {
        return Vec::new();
    };
    let fitting = pattern
        .cloned()
        .or_else(|| Pattern::fitting(song.style.as_deref(), first.metre, song.swing));
    let Some(pattern) = fitting else {
        return Vec::new();
    };
    let mut writer = Writer {
        song,
        pattern,
        voicings: voicings(song),
        strikes: Vec::new(),
    };
    for index in 0..song.bars.len() {
        writer.bar(index);
    }
    for index in 0..song.spans.len() {
        writer.change(index);
    }
    writer.ending();
    humanise(writer.strikes, song, seed)
}

/// Moves every strike a little, and puts them in order.
fn humanise(mut strikes: Vec<Strike>, song: &Timeline, seed: u64) -> Vec<Strike> {
    let mut chance = Chance::new(seed);
    let loose = LOOSE.at(song.tempo).0;
    for strike in &mut strikes {
        let (time, force) = (chance.near(), chance.near());
        // Stops stay where they are: they belong to the strike before.
        if matches!(
            strike.kind,
            StrikeKind::Drum(_) | StrikeKind::Bass(_) | StrikeKind::Strum(_) | StrikeKind::Hold(_)
        ) {
            strike.at = Beats(strike.at.0 + loose * time).max(Beats::ZERO);
            strike.strength = (strike.strength * (1.0 + UNEVEN * force)).clamp(0.0, 1.0);
        }
    }
    strikes.sort_by_cached_key(|one| rank(one.at.0));
    strikes
}

struct Writer<'a> {
    song: &'a Timeline,
    pattern: Pattern,
    /// The organ's hand for each chord of the song.
    voicings: Vec<Voicing>,
    strikes: Vec<Strike>,
}

/// Each chord of the song led from the one before.
fn voicings(song: &Timeline) -> Vec<Voicing> {
    let mut found: Vec<Voicing> = Vec::with_capacity(song.spans.len());
    for span in &song.spans {
        found.push(Voicing::leading(&span.chord, found.last()));
    }
    found
}

impl Writer<'_> {
    fn add(&mut self, at: Beats, strength: f64, kind: StrikeKind) {
        self.strikes.push(Strike { at, strength, kind });
    }

    /// The chord in force, unless the chart asks for something else than the groove there.
    fn grooving(&self, at: Beats) -> Option<&ChordSpan> {
        self.song
            .span_at(at + Beats(SAME))
            .filter(|s| s.hit == Hit::Played && at < s.end())
    }

    /// Whether a chord change is struck so near before `at` that the groove's own stroke would double it.
    fn just_changed(&self, at: Beats) -> bool {
        self.song
            .span_at(at + Beats(SAME))
            .is_some_and(|s| at - s.start < Beats(if s.pushed { 0.5 + SAME } else { SAME }))
    }

    /// One bar of groove; strokes at the very change of a chord are left to [`Self::change`].
    fn bar(&mut self, index: usize) {
        let Some(bar) = self.song.bars.get(index) else { return };
        let new_section = self.song.bars.get(index + 1).is_some_and(|b| b.section.is_some());
        let last = index + 1 == self.song.bars.len();
        let fills = (new_section || last) && !self.pattern.fill.is_empty();
        let lines = if fills { &self.pattern.fill } else { &self.pattern.drums };
        let places = |steps: usize| places(bar, steps, self.pattern.metre, self.song.swing);
        let mut found = Vec::new();
        for (drum, line) in lines {
            for (step, at) in places(line.len()) {
                let strength = line.get(step).copied().unwrap_or(0.0);
                if strength > 0.0 && self.grooving(at).is_some() {
                    found.push((at, strength, StrikeKind::Drum(*drum)));
                }
            }
        }
        for (step, at) in places(self.pattern.bass.len()) {
            let kind = self.pattern.bass.get(step).and_then(|s| self.bass(*s, at));
            if let Some(kind) = kind.filter(|_| !self.just_changed(at)) {
                found.push((at, 0.7, kind));
            }
        }
        for (step, at) in places(self.pattern.rhythm.len()) {
            let kind = self.pattern.rhythm.get(step).and_then(|s| self.strum(*s, at));
            if let Some(kind) = kind.filter(|_| !self.just_changed(at)) {
                found.push((at, 0.6, kind));
            }
        }
        for (step, at) in places(self.pattern.organ.len()) {
            let kind = self.pattern.organ.get(step).and_then(|s| self.organ(*s, at));
            if let Some(kind) = kind.filter(|_| !self.just_changed(at)) {
                found.push((at, 0.6, kind));
            }
        }
        for (at, strength, kind) in found {
            self.add(at, strength, kind);
        }
    }

    /// The stroke on a new chord, and its stop.
    fn change(&mut self, index: usize) {
        let Some(span) = self.song.spans.get(index).copied() else {
            return;
        };
        let at = span.start;
        if span.hit == Hit::Rest {
            for kind in STOPS {
                self.add(at, 0.0, kind);
            }
            return;
        }
        self.add(at, 0.85, StrikeKind::Bass(bass_root(&span.chord)));
        self.add(at, 0.75, StrikeKind::Strum(Strum::of(&span.chord, false, false)));
        if let Some(voicing) = self.voicings.get(index).filter(|_| !self.pattern.organ.is_empty()) {
            self.add(at, 0.7, StrikeKind::Hold(*voicing));
        }
        if span.hit != Hit::Played {
            self.add(at, 1.0, StrikeKind::Drum(Drum::Kick));
            self.add(at, 0.8, StrikeKind::Drum(Drum::Crash));
        } else if span.pushed {
            self.add(at, 0.9, StrikeKind::Drum(Drum::Kick));
        }
        if span.hit == Hit::Choked {
            let stop = at + CHOKED.min(span.length.scaled(0.9));
            for kind in STOPS {
                self.add(stop, 0.0, kind);
            }
        }
    }

    /// At the end of the song everybody stops, unless the last chord is held.
    fn ending(&mut self) {
        if self.song.spans.last().is_some_and(|s| s.hit == Hit::Held) {
            return;
        }
        let end = self.song.length();
        self.add(end, 0.0, StrikeKind::BassStop);
        self.add(end, 0.0, StrikeKind::StrumStop);
        self.add(end, 0.0, StrikeKind::LetGo);
    }

    fn bass(&self, step: BassStep, at: Beats) -> Option<StrikeKind> {
        let span = self.grooving(at)?;
        let root = bass_root(&span.chord);
        let tone = |steps: i16, otherwise: f64| {
            let found = span.chord.quality.intervals().iter().find(|i| i.steps() == steps);
            Height(root.0 + found.map_or(otherwise, |i| f64::from(i.size().0)))
        };
        let height = match step {
            BassStep::Ring => return None,
            BassStep::Rest => return Some(StrikeKind::BassStop),
            BassStep::Root => root,
            BassStep::Third => tone(2, 12.0),
            BassStep::Fifth => tone(4, 7.0),
            BassStep::Sixth => Height(root.0 + 9.0),
            BassStep::Octave => Height(root.0 + 12.0),
            BassStep::Approach => {
                let next = self.song.span_at(span.end() + Beats(SAME))?;
                Height(bass_root(&next.chord).0 - 1.0)
            }
        };
        Some(StrikeKind::Bass(height))
    }

    fn organ(&self, step: OrganStep, at: Beats) -> Option<StrikeKind> {
        let span = self.grooving(at)?;
        let index = self
            .song
            .spans
            .partition_point(|s| s.start <= span.start)
            .checked_sub(1)?;
        match step {
            OrganStep::Hold => None,
            OrganStep::Rest => Some(StrikeKind::LetGo),
            OrganStep::Press => self.voicings.get(index).map(|v| StrikeKind::Hold(*v)),
        }
    }

    fn strum(&self, step: StrumStep, at: Beats) -> Option<StrikeKind> {
        let span = self.grooving(at)?;
        match step {
            StrumStep::Ring => None,
            StrumStep::Rest => Some(StrikeKind::StrumStop),
            StrumStep::Down => Some(StrikeKind::Strum(Strum::of(&span.chord, false, false))),
            StrumStep::Up => Some(StrikeKind::Strum(Strum::of(&span.chord, true, false))),
            StrumStep::Chuck => Some(StrikeKind::Strum(Strum::of(&span.chord, false, true))),
        }
    }
}

/// The moments of a line's steps in a bar, each with its step.
#[allow(clippy::cast_precision_loss)]
fn places(bar: &TimelineBar, steps: usize, metre: Metre, swing: Swing) -> Vec<(usize, Beats)> {
    if steps == 0 {
        return Vec::new();
    }
    let step = metre.bar().0 / steps as f64;
    let end = bar.metre.bar().0;
    let swung = swing == Swing::Swung && bar.metre.unit == 4;
    (0..)
        .map(|i| (i, i as f64 * step))
        .take_while(|(_, at)| *at < end - SAME)
        .map(|(i, at)| {
            (
                i % steps,
                bar.start + Beats(if swung { swing_to_third(at) } else { at }),
            )
        })
        .collect()
}

/// Moves what lies on the second eighth of a beat to the last third of it, the rest in proportion.
fn swing_to_third(at: f64) -> f64 {
    let (beat, part) = (at.floor(), at.fract());
    beat + if part <= 0.5 {
        part * 4.0 / 3.0
    } else {
        2.0 / 3.0 + (part - 0.5) * 2.0 / 3.0
    }
}

fn bass_root(chord: &Chord) -> Height {
    let class = chord.bass.unwrap_or(chord.root).class();
    Height(f64::from(at_or_above(class, LOWEST_BASS)))
}
