//! Chance that falls alike on every machine.
//!
//! *Invariant:* a seed gives the same draws whatever the width of a `usize` there: a generator's own `usize` and
//! `choice` take other steps where it has 32 bits (a browser) than where it has 64. Never draw by those.

/// A number below `count`; 0 where there is none.
pub(crate) fn below(count: usize, rng: &mut fastrand::Rng) -> usize {
    let count = u32::try_from(count).unwrap_or(u32::MAX);
    usize::try_from(rng.u32(0..count.max(1))).unwrap_or(0)
}

/// One of several.
pub(crate) fn one_of<'a, T>(all: &'a [T], rng: &mut fastrand::Rng) -> Option<&'a T> {
    all.get(below(all.len(), rng))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_one_is_drawn_and_nothing_else() {
        let mut rng = fastrand::Rng::with_seed(7);
        let mut drawn = [0; 5];
        for _ in 0..500 {
            drawn[below(5, &mut rng)] += 1;
        }
        assert!(drawn.iter().all(|n| *n > 60), "{drawn:?}");
        assert_eq!(below(0, &mut rng), 0);
        assert_eq!(one_of::<u8>(&[], &mut rng), None);
    }

    #[test]
    fn the_draws_of_a_seed_are_those_a_browser_makes() {
        let mut rng = fastrand::Rng::with_seed(11);
        let draws: Vec<usize> = (0..12).map(|_| below(10, &mut rng)).collect();
        let mut same = fastrand::Rng::with_seed(11);
        let narrow: Vec<u32> = (0..12).map(|_| same.u32(0..10)).collect();
        assert!(draws.iter().zip(&narrow).all(|(a, b)| *a == *b as usize));
    }
}
