//! Which sets of strings sound a chord, where for each tone the strings that sound it are known.
//!
//! *Invariant:* every set within the bounds is handed out once, and no other.

use crate::steel::instrument::StringSet;
use smallvec::SmallVec;
use std::ops::RangeInclusive;

/// For each tone of a chord, in its order, the strings that sound it; no string sounds two.
pub(super) type ByTone = SmallVec<[StringSet; 6]>;

/// The bounds of a grip.
#[derive(Debug, Clone)]
pub(super) struct Bounds {
    /// How many strings.
    pub(super) size: RangeInclusive<usize>,
    /// The strings it reaches over.
    pub(super) reach: usize,
}

/// Hands every grip to `found` whose strings all sound a tone, and which sounds each of the `required` tones.
pub(super) fn each(by_tone: &ByTone, required: &ByTone, bounds: &Bounds, found: &mut impl FnMut(StringSet)) {
    if required.iter().any(|strings| strings.is_empty()) {
        return;
    }
    let sounding = by_tone.iter().fold(StringSet::EMPTY, |all, strings| all.or(*strings));
    grow(StringSet::EMPTY, sounding, required, bounds, found);
}

/// Adds strings from `left`, all of which lie beyond those of `grip`. `lacking` are required tones not yet sounded.
fn grow(grip: StringSet, left: StringSet, lacking: &[StringSet], bounds: &Bounds, found: &mut impl FnMut(StringSet)) {
    if lacking.is_empty() && bounds.size.contains(&grip.len()) {
        found(grip);
    }
    let spare = bounds.size.end().saturating_sub(grip.len());
    if spare == 0 || lacking.len() > spare {
        return;
    }
    // With no pick to spare, only strings that add a tone help.
    let helpful = if lacking.len() == spare {
        lacking.iter().fold(StringSet::EMPTY, |all, strings| all.or(*strings))
    } else {
        left
    };
    for string in left.and(helpful).iter() {
        let beyond = left.beyond(string);
        let lacking: ByTone = lacking.iter().filter(|tone| !tone.contains(string)).copied().collect();
        let within = if grip.is_empty() {
            beyond.over(string, bounds.reach)
        } else {
            beyond
        };
        grow(grip.with(string), within, &lacking, bounds, found);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::instrument::StringNumber;

    fn set(numbers: &[u8]) -> StringSet {
        numbers.iter().filter_map(|n| StringNumber::new(*n)).collect()
    }

    /// Every subset of ten strings, tried one by one.
    fn all_subsets(by_tone: &ByTone, required: &ByTone, bounds: &Bounds) -> Vec<StringSet> {
        let sounding = by_tone.iter().fold(StringSet::EMPTY, |all, strings| all.or(*strings));
        let subset = |bits: u32| -> StringSet {
            let numbers = (1..=10_u8).filter(|n| bits >> (n - 1) & 1 == 1);
            numbers.filter_map(StringNumber::new).collect()
        };
        let fits = |grip: &StringSet| {
            let (first, last) = (grip.iter().next(), grip.iter().next_back());
            let reach = first.zip(last).map_or(0, |(a, b)| b.index() - a.index() + 1);
            bounds.size.contains(&grip.len())
                && reach <= bounds.reach
                && grip.minus(sounding).is_empty()
                && required.iter().all(|tone| !tone.and(*grip).is_empty())
        };
        (0..1024).map(subset).filter(fits).collect()
    }

    #[test]
    fn the_grips_are_those_that_trying_every_set_finds() {
        let tones: ByTone = [set(&[1, 4, 8]), set(&[2, 5, 9, 10]), set(&[3, 6])]
            .into_iter()
            .collect();
        let sparse: ByTone = [set(&[1, 4]), set(&[7]), set(&[9])].into_iter().collect();
        let lacking: ByTone = [set(&[1, 4]), set(&[])].into_iter().collect();
        for by_tone in [tones, sparse, lacking] {
            for kept in 0..=by_tone.len() {
                let required: ByTone = by_tone.iter().take(kept).copied().collect();
                for size in [1..=1, 2..=2, 3..=3, 1..=3, 2..=4, 4..=6] {
                    for reach in [1, 2, 4, 6, 10] {
                        let bounds = Bounds {
                            size: size.clone(),
                            reach,
                        };
                        let mut found = Vec::new();
                        each(&by_tone, &required, &bounds, &mut |grip| found.push(grip));
                        found.sort_unstable();
                        let mut wanted = all_subsets(&by_tone, &required, &bounds);
                        wanted.sort_unstable();
                        assert_eq!(found, wanted, "{required:?} {bounds:?}");
                    }
                }
            }
        }
    }
}
