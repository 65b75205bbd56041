//! Which chord each beat has, and the key they make together.
//!
//! A small net says how well each chord fits a beat's pitch classes. The best sequence is found by the Viterbi
//! algorithm (Viterbi 1967; for chords: Sheh and Ellis, ISMIR 2003): chords change gladly on the first beat of a bar,
//! less on its middle, hardly elsewhere, and to chords the key has. Every key is tried; the one whose best sequence is
//! likeliest is the key.

use super::evidence::Evidence;
use super::states::{CHORDS, KINDS, NONE, STATES, UNLIKELY};
use super::weights::Weights;
use crate::theory::{Key, Mode, PitchClass, Quality};
use std::ops::Range;

/// How much a beat's own evidence counts: neighbouring beats hear partly the same sound.
const EVIDENCE: f32 = 0.7;

/// How much it counts that a chord belongs to the key.
const BELONGING: f32 = 0.7;

/// How likely the chord changes on the first beat, half way through four, and elsewhere.
const CHANGES: [f32; 3] = [0.5, 0.12, 0.02];

/// What it says for a key that the song begins or ends on its tonic chord, in natural logarithms.
const BEGINS: f32 = 3.0;
const ENDS: f32 = 4.0;

/// A chord on a root.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Harmony {
    pub(super) root: PitchClass,
    pub(super) quality: Quality,
}

/// What was found.
#[derive(Debug, Clone)]
pub(super) struct Found {
    pub(super) key: Key,
    /// The chord of each beat.
    pub(super) beats: Vec<Option<Harmony>>,
}

/// A chord with how likely it is.
pub(super) type Likely = (Harmony, f64);

/// Finds the chords of beats that say so, and their key where it is not known; `first` is the first beat of a bar of
/// `count`.
pub(super) fn find(evidence: &Evidence, count: usize, first: usize, known: Option<Key>) -> Found {
    let weights = Weights::learned();
    let trellis = Trellis {
        evidence: evidence.rows(),
        count,
        first,
    };
    if let Some(key) = known {
        let (path, _) = trellis.best(&belonging(weights, tonic(key), key.mode));
        return Found {
            key,
            beats: path.into_iter().map(harmony).collect(),
        };
    }
    let keys = [Mode::Major, Mode::Minor]
        .into_iter()
        .flat_map(|mode| (0..12).map(move |tonic| (tonic, mode)));
    let best = keys
        .map(|(tonic, mode)| {
            let (path, score) = trellis.best(&belonging(weights, tonic, mode));
            (path.clone(), score + at_home(&path, tonic, mode), tonic, mode)
        })
        .max_by(|a, b| a.1.total_cmp(&b.1));
    let (path, _, tonic, mode) = best.unwrap_or_default();
    Found {
        key: key_on(class(tonic), mode),
        beats: path.into_iter().map(harmony).collect(),
    }
}

/// The likeliest chords of a stretch of beats in a key, best first, with how likely each is among all.
pub(super) fn candidates(evidence: &Evidence, key: Key, beats: Range<usize>) -> Vec<Likely> {
    let belonging = belonging(Weights::learned(), tonic(key), key.mode);
    let rows = evidence.rows().get(beats).unwrap_or_default();
    let sums: Vec<f32> = (0..CHORDS)
        .map(|state| EVIDENCE * rows.iter().map(|row| row[state]).sum::<f32>() + belonging[state])
        .collect();
    let most = sums.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let all: f32 = sums.iter().map(|x| (x - most).exp()).sum();
    let mut likely: Vec<Likely> = (0..CHORDS)
        .filter_map(|state| Some((harmony(state)?, f64::from((sums[state] - most).exp() / all))))
        .collect();
    likely.sort_by(|a, b| b.1.total_cmp(&a.1));
    likely
}

fn tonic(key: Key) -> usize {
    key.tonic.class().number().into()
}

fn class(semitones: usize) -> PitchClass {
    PitchClass::all().nth(semitones % 12).unwrap_or(PitchClass::new(0))
}

fn harmony(state: usize) -> Option<Harmony> {
    let quality = *KINDS.get(state % KINDS.len()).filter(|_| state < CHORDS)?;
    Some(Harmony {
        root: class(state / KINDS.len()),
        quality,
    })
}

/// The key on `tonic` with the fewest sharps or flats.
fn key_on(tonic: PitchClass, mode: Mode) -> Key {
    Key::all(mode)
        .filter(|key| key.tonic.class() == tonic)
        .min_by_key(|key| key.signature().0.unsigned_abs())
        .unwrap_or(Key::C)
}

/// What the key says for each chord.
fn belonging(weights: &Weights, tonic: usize, mode: Mode) -> [f32; STATES] {
    let table = &weights.degrees[usize::from(mode == Mode::Minor)];
    std::array::from_fn(|state| {
        let degree = (state / KINDS.len() + 12 - tonic) % 12;
        let place = degree * KINDS.len() + state % KINDS.len();
        BELONGING
            * if state == NONE {
                UNLIKELY
            } else {
                table.get(place).copied().unwrap_or(UNLIKELY)
            }
    })
}

/// What it says for a key that the first and the last chord are its tonic.
fn at_home(path: &[usize], tonic: usize, mode: Mode) -> f32 {
    let is_home = |state: Option<&usize>| {
        state
            .and_then(|state| harmony(*state))
            .is_some_and(|chord| chord.root == class(tonic) && chord.quality.has_minor_third() == (mode == Mode::Minor))
    };
    let mut chords = path.iter().filter(|state| **state != NONE);
    let begins = if is_home(chords.next()) { BEGINS } else { 0.0 };
    let ends = if is_home(path.iter().rfind(|state| **state != NONE)) {
        ENDS
    } else {
        0.0
    };
    begins + ends
}

/// Beats one after the other.
struct Trellis<'a> {
    evidence: &'a [[f32; STATES]],
    count: usize,
    first: usize,
}

impl Trellis<'_> {
    /// How likely the chord changes on a beat.
    fn change(&self, beat: usize) -> f32 {
        match (beat + self.count - self.first) % self.count {
            0 => CHANGES[0],
            2 if self.count == 4 => CHANGES[1],
            _ => CHANGES[2],
        }
    }

    /// The likeliest chord of each beat, and the logarithm of how likely they are together.
    ///
    /// What a change costs does not depend on where it comes from, so only the best of all that came before and the
    /// chord itself need be compared.
    fn best(&self, belonging: &[f32; STATES]) -> (Vec<usize>, f32) {
        let mut score = *belonging;
        let mut back: Vec<[usize; STATES]> = Vec::with_capacity(self.evidence.len());
        for (beat, evidence) in self.evidence.iter().enumerate() {
            let change = self.change(beat);
            let (from, most) = strongest(&score);
            let mut here = [0; STATES];
            for state in 0..STATES {
                let stays = score[state] + if beat == 0 { 0.0 } else { (1.0 - change).ln() };
                let changes = most + change.ln() + belonging[state];
                let (before, value) = if beat == 0 || stays >= changes {
                    (state, stays)
                } else {
                    (from, changes)
                };
                here[state] = before;
                score[state] = value + EVIDENCE * evidence[state];
            }
            back.push(here);
        }
        let (mut state, likely) = strongest(&score);
        let mut path: Vec<usize> = Vec::with_capacity(back.len());
        for here in back.iter().rev() {
            path.push(state);
            state = here[state];
        }
        path.reverse();
        (path, likely)
    }
}

/// The highest of all scores, with its place.
fn strongest(score: &[f32; STATES]) -> (usize, f32) {
    let mut best = (0, f32::NEG_INFINITY);
    for (state, value) in score.iter().enumerate() {
        if *value > best.1 {
            best = (state, *value);
        }
    }
    best
}
