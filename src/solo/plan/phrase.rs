//! Phrases: which bars of a solo state the figure, bring it back, answer it and breathe.
//!
//! *Invariant:* the first bar states the figure, the last one closes, and every phrase but the last ends on a breath.
//!
//! Four bars to a phrase: common practice, no source. That a theme is built as a statement and its answer or as a
//! statement, its repetition and a continuation: W. E. Caplin, Classical Form (1998), chapters 3 and 4; lines that are
//! each left to be answered by somebody else are those of the blues, common practice.

use crate::solo::feel::CellRole;
use std::ops::Range;

/// Bars in a phrase.
const PHRASE: usize = 4;

/// What a bar is for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Phrased {
    pub(super) role: CellRole,
    /// Whether it begins its phrase, where the figure is stated as it is.
    pub(super) opens: bool,
    /// How much of its phrase lies before it and before the bar after it, 0..=1.
    pub(super) from: f64,
    pub(super) to: f64,
}

impl Phrased {
    /// The last bar of a solo of one bar.
    pub(super) const CLOSE: Self = Self {
        role: CellRole::Close,
        opens: true,
        from: 0.0,
        to: 1.0,
    };
}

/// How a phrase is built, up to its last bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Build {
    /// Statement and answer in turn.
    Period,
    /// Statement, its repetition, then a continuation.
    Sentence,
    /// Statements with room after each.
    Lines,
}

impl Build {
    const ALL: [Self; 3] = [Self::Period, Self::Sentence, Self::Lines];

    /// How gladly: what the ear knows best comes most. Taste, no source.
    fn weight(self) -> f64 {
        match self {
            Self::Period => 0.45,
            Self::Sentence => 0.35,
            Self::Lines => 0.2,
        }
    }

    /// A way to build a phrase, other than the one before.
    fn other_than(before: Option<Self>, rng: &mut fastrand::Rng) -> Self {
        let open = Self::ALL.into_iter().filter(|b| Some(*b) != before);
        let mut pick = rng.f64() * open.clone().map(Self::weight).sum::<f64>();
        for build in open {
            pick -= build.weight();
            if pick <= 0.0 {
                return build;
            }
        }
        Self::Period
    }

    /// What its bar after the first `gone` is for.
    fn role(self, gone: usize) -> CellRole {
        match (self, gone % PHRASE) {
            (_, 0) | (Self::Period | Self::Lines, 2) | (Self::Sentence, 1) => CellRole::Call,
            (Self::Lines, 1) => CellRole::Breath,
            _ => CellRole::Answer,
        }
    }
}

/// What each of `bars` bars is for.
pub(super) fn of(bars: usize, rng: &mut fastrand::Rng) -> Vec<Phrased> {
    let mut phrased = Vec::with_capacity(bars);
    let mut build = None;
    for phrase in phrases(bars) {
        let chosen = Build::other_than(build, rng);
        build = Some(chosen);
        phrased.extend(phrase.clone().map(|bar| {
            let (gone, length) = (bar - phrase.start, phrase.len());
            let role = match bar + 1 {
                next if next == bars => CellRole::Close,
                next if next == phrase.end => CellRole::Breath,
                _ => chosen.role(gone),
            };
            Phrased {
                role,
                opens: gone == 0,
                from: part(gone, length),
                to: part(gone + 1, length),
            }
        }));
    }
    phrased
}

/// The phrases of a solo: four bars each, a lonely last bar taken into the phrase before it.
fn phrases(bars: usize) -> impl Iterator<Item = Range<usize>> {
    let starts = (0..bars).step_by(PHRASE);
    let starts = starts.filter(move |start| *start == 0 || bars - start > 1);
    starts.map(move |start| {
        let end = start + PHRASE;
        start..if end + 1 >= bars { bars } else { end }
    })
}

#[allow(clippy::cast_precision_loss)] // bars of a phrase
fn part(some: usize, all: usize) -> f64 {
    some as f64 / all.max(1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn roles(bars: usize, seed: u64) -> Vec<CellRole> {
        let all = of(bars, &mut fastrand::Rng::with_seed(seed));
        all.iter().map(|b| b.role).collect()
    }

    #[test]
    fn a_solo_states_breathes_and_closes_whatever_its_length() {
        for bars in 1..=40 {
            for seed in 0..20 {
                let roles = roles(bars, seed);
                assert_eq!(roles.len(), bars);
                assert_eq!(roles.last(), Some(&CellRole::Close));
                assert_eq!(roles.iter().filter(|r| **r == CellRole::Close).count(), 1);
                assert!(bars == 1 || roles[0] == CellRole::Call);
                for end in (PHRASE..bars - 1).step_by(PHRASE).filter(|end| end + 1 < bars) {
                    assert_eq!(roles[end - 1], CellRole::Breath, "{bars} bars, {roles:?}");
                }
            }
        }
    }

    #[test]
    fn no_two_phrases_running_are_built_alike() {
        let mut builds = Vec::new();
        for seed in 0..50 {
            let roles = roles(32, seed);
            let phrases: Vec<_> = roles.chunks(PHRASE).map(|p| p[..PHRASE - 1].to_vec()).collect();
            assert!(phrases.windows(2).all(|pair| pair[0] != pair[1]), "{phrases:?}");
            builds.extend(phrases);
        }
        builds.sort_by_key(|b| format!("{b:?}"));
        builds.dedup();
        assert_eq!(builds.len(), Build::ALL.len());
    }

    #[test]
    fn a_phrase_is_gone_through_from_nothing_to_all() {
        let all = of(9, &mut fastrand::Rng::with_seed(1));
        let ends: Vec<f64> = all.iter().map(|b| b.to).collect();
        assert_eq!(ends, [0.25, 0.5, 0.75, 1.0, 0.2, 0.4, 0.6, 0.8, 1.0]);
        assert!(all.iter().all(|b| b.opens == (b.from == 0.0)));
    }
}
