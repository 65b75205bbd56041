//! The bar's path: fret against time, glides as they are shaped, vibrato as its wave.

use crate::exchange::tab::fret_text;
use crate::solo::{Note, Performance};
use crate::steel::{Fret, Instrument, Lie};
use crate::theory::{Beats, Tempo, rank};

/// Points along one glide.
const GLIDE_POINTS: u32 = 14;
/// Points along one swing of the vibrato.
const SWING_POINTS: f64 = 10.0;
/// Vibrato is drawn this much deeper than it sounds: a quarter of a semitone would hardly be seen.
const WAVE_SCALE: f64 = 2.5;
/// The least number of frets shown, so that a small movement does not look like a leap.
const LEAST_FRETS: f64 = 6.0;

/// A piece of the path, with or without a string sounding.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// Whether a string sounds: a moving bar that nobody hears is drawn faintly.
    pub sounding: bool,
    /// The line, in order of time; a jump is two points at one moment.
    pub points: Vec<(Beats, Fret)>,
}

/// A fret to be written on the path.
#[derive(Debug, Clone, PartialEq)]
pub struct FretLabel {
    /// Where the bar comes to rest.
    pub at: Beats,
    /// The fret it rests on.
    pub fret: Fret,
    /// As a player writes it.
    pub text: String,
    /// How long it rests there.
    pub rests: Beats,
}

/// The frets between which a path is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    /// At the bottom.
    pub low: Fret,
    /// At the top.
    pub high: Fret,
}

impl Axis {
    /// Room for all strokes, at least [`LEAST_FRETS`] high.
    #[must_use]
    pub(super) fn around<'s>(strokes: impl Iterator<Item = &'s Stroke> + Clone) -> Self {
        let frets = || strokes.clone().flat_map(|s| &s.points).map(|(_, f)| f.0);
        let low = frets().fold(f64::INFINITY, f64::min);
        let high = frets().fold(f64::NEG_INFINITY, f64::max);
        if low > high {
            return Self {
                low: Fret(0.0),
                high: Fret(LEAST_FRETS * 2.0),
            };
        }
        let (low, high) = ((low - 0.5).floor().max(0.0), (high + 0.5).ceil());
        let lacking = ((LEAST_FRETS - (high - low)) / 2.0).max(0.0);
        let low = (low - lacking).max(0.0).floor();
        Self {
            low: Fret(low),
            high: Fret(high.max(low + LEAST_FRETS)),
        }
    }

    /// An axis that holds both.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        Self {
            low: Fret(self.low.0.min(other.low.0)),
            high: Fret(self.high.0.max(other.high.0)),
        }
    }

    /// How far down the lane a fret lies: 0 at the top, 1 at the bottom.
    #[must_use]
    pub fn part(self, fret: Fret) -> f64 {
        (self.high.0 - fret.0) / (self.high.0 - self.low.0).max(f64::MIN_POSITIVE)
    }

    /// The whole frets to rule, from the lowest: every one of the neck's marks in reach.
    #[must_use]
    pub fn rules(self) -> Vec<Fret> {
        const MARKED: [u8; 11] = [0, 3, 5, 7, 9, 12, 15, 17, 19, 21, 24];
        MARKED
            .into_iter()
            .map(|f| Fret(f64::from(f)))
            .filter(|f| *f >= self.low && *f <= self.high)
            .collect()
    }
}

/// The path from the start to the end, cut where sound begins and ends.
pub(super) fn strokes(performance: &Performance, notes: &[Note], tempo: Tempo) -> Vec<Stroke> {
    let sounding = sounding(notes);
    let mut times = times(performance, tempo);
    times.extend(sounding.iter().flat_map(|(from, to)| [from.0, to.0]));
    times.retain(|t| (0.0..=performance.length.0).contains(t));
    times.sort_by_cached_key(|one| rank(*one));
    times.dedup_by(|a, b| (*a - *b).abs() < 1e-6);

    let heard = |at: f64| {
        let begun = sounding.partition_point(|(from, _)| from.0 <= at);
        let last = begun.checked_sub(1).and_then(|index| sounding.get(index));
        last.is_some_and(|(_, to)| at < to.0)
    };
    let jumps: Vec<(Beats, Fret)> = performance
        .bar
        .movements()
        .filter(|m| m.end <= m.start)
        .map(|m| (m.start, Fret(m.from)))
        .collect();
    let mut strokes: Vec<Stroke> = Vec::new();
    for pair in times.windows(2) {
        let (from, to) = (Beats(pair[0]), Beats(pair[1]));
        let now = heard((from.0 + to.0) / 2.0);
        // Where the bar jumps at the end of this stretch, its old fret is held up to then.
        let near = jumps.partition_point(|(at, _)| (*at - to).0 <= -1e-6);
        let jump = jumps.get(near).filter(|(at, _)| (*at - to).0 < 1e-6);
        let first = (from, drawn(performance, from, tempo));
        let last = (
            to,
            jump.map_or_else(|| drawn(performance, to, tempo), |(_, fret)| *fret),
        );
        match strokes.last_mut() {
            Some(stroke) if stroke.sounding == now => {
                if stroke.points.last() != Some(&first) {
                    stroke.points.push(first);
                }
                stroke.points.push(last);
            }
            _ => strokes.push(Stroke {
                sounding: now,
                points: vec![first, last],
            }),
        }
    }
    strokes
}

/// The stretches in which the bar is slanted, on the last string, while something sounds.
pub(super) fn near(performance: &Performance, notes: &[Note]) -> Vec<Stroke> {
    if performance.slant.is_still_at_zero() {
        return Vec::new();
    }
    let slanted = |at: Beats| performance.slant.value(at).abs() > 1e-6;
    let movements = performance.bar_movements();
    let mut found: Vec<Stroke> = Vec::new();
    for (from, to) in sounding(notes) {
        let mut times = vec![from.0, to.0];
        for m in movements.iter().filter(|m| m.end >= from && m.start <= to) {
            let length = (m.end - m.start).0;
            times.extend((0..=GLIDE_POINTS).map(|i| m.start.0 + length * f64::from(i) / f64::from(GLIDE_POINTS)));
        }
        times.retain(|t| (from.0..=to.0).contains(t));
        times.sort_by_cached_key(|one| rank(*one));
        times.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
        for pair in times.windows(2) {
            let (from, to) = (Beats(pair[0]), Beats(pair[1]));
            if !slanted(Beats(f64::midpoint(from.0, to.0))) {
                continue;
            }
            // Just before the end: a jump there belongs to what follows.
            let point = |at: Beats, look: Beats| (at, performance.lie_at(look).near);
            let last = point(to, Beats(to.0 - 1e-6));
            match found.last_mut() {
                Some(stroke) if stroke.points.last().is_some_and(|p| p.0 == from) => stroke.points.push(last),
                _ => found.push(Stroke {
                    sounding: true,
                    points: vec![point(from, from), last],
                }),
            }
        }
    }
    found
}

/// The path at one moment, its vibrato enlarged.
fn drawn(performance: &Performance, at: Beats, tempo: Tempo) -> Fret {
    let wave = performance.vibrato_at(at, tempo).0 / 100.0 * WAVE_SCALE;
    Fret(performance.bar_at(at).0 + wave)
}

/// The moments at which the path needs a point.
fn times(performance: &Performance, tempo: Tempo) -> Vec<f64> {
    let mut times = vec![0.0, performance.length.0];
    for m in performance.bar.movements() {
        let length = (m.end - m.start).0;
        times.extend((0..=GLIDE_POINTS).map(|i| m.start.0 + length * f64::from(i) / f64::from(GLIDE_POINTS)));
    }
    for v in &performance.vibrato {
        let swings = v.length.at(tempo).0 * v.rate.0;
        let points = (swings * SWING_POINTS).ceil().clamp(1.0, 4000.0);
        let step = v.length.0 / points;
        times.extend(
            std::iter::successors(Some(0.0), |i| Some(i + 1.0))
                .take_while(|i| *i <= points)
                .map(|i| v.at.0 + i * step),
        );
    }
    times
}

/// The fret of a bar as written; of a slanted one, those of the strings that sound at `at`, as in "5-6".
fn written(lie: Lie, instrument: &Instrument, notes: &[Note], at: Beats) -> String {
    if lie.is_straight() {
        return fret_text(lie.far);
    }
    let sounding = notes.iter().filter(|n| n.start() <= at && at < n.end);
    let mut frets: Vec<Fret> = sounding.map(|n| lie.on(instrument, n.string())).collect();
    frets.sort_by_cached_key(|one| rank(one.0));
    let mut texts: Vec<String> = frets.into_iter().map(fret_text).collect();
    texts.dedup();
    texts.join("-")
}

/// The stretches in which any string sounds.
fn sounding(notes: &[Note]) -> Vec<(Beats, Beats)> {
    let mut stretches: Vec<(Beats, Beats)> = notes.iter().map(|n| (n.start(), n.end)).collect();
    stretches.sort_by_cached_key(|one| rank(one.0.0));
    let mut joined: Vec<(Beats, Beats)> = Vec::new();
    for (from, to) in stretches {
        match joined.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    joined
}

/// Where the bar rests while something sounds, longest stay first: written where it is first heard there, and
/// again after each silence.
pub(super) fn labels(performance: &Performance, instrument: &Instrument, notes: &[Note]) -> Vec<FretLabel> {
    let movements = performance.bar_movements();
    let start = (Beats::ZERO, performance.lie_at(Beats::ZERO));
    let start = movements.first().map_or(start, |m| (Beats::ZERO, m.from));
    let arrivals = std::iter::once(start).chain(movements.iter().map(|m| (m.end, m.to)));
    let leaves = movements.iter().map(|m| m.start).chain([performance.length]);
    let sounding = sounding(notes);
    let mut labels: Vec<FretLabel> = Vec::new();
    for ((arrived, lie), left) in arrivals.zip(leaves) {
        for (from, to) in &sounding {
            let (at, until) = (arrived.max(*from), left.min(*to));
            if until > at {
                labels.push(FretLabel {
                    at,
                    fret: lie.far,
                    text: written(lie, instrument, notes, at),
                    rests: until - at,
                });
            }
        }
    }
    labels.sort_by_cached_key(|one| !rank(one.rests.0));
    labels
}
