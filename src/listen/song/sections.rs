//! What comes again: bars with the same chords as bars before.

/// Lengths of a section that are tried, in bars, best last where they explain as much.
const LENGTHS: [usize; 3] = [4, 16, 8];

/// Two stretches are the same section when at least this part of their bars is alike.
const SAME: f64 = 0.75;

/// The section of each bar, counted from 0 in the order they are first heard; nothing for a song without repeats.
///
/// `bars` are any names of what each bar holds.
pub(super) fn sections<T: PartialEq>(bars: &[T]) -> Option<Vec<usize>> {
    let ways = LENGTHS
        .into_iter()
        .filter(|length| bars.len() >= 2 * length)
        .map(|length| (length, by(bars, length)));
    // The way with the fewest sections for the bars it repeats; where no stretch comes again there are none.
    ways.filter(|(length, way)| {
        let kinds = way.iter().max().map_or(0, |most| most + 1);
        kinds < way.len().div_ceil(*length) && kinds * 2 <= way.len().div_ceil(4).max(2)
    })
    .map(|(_, way)| way)
    .max_by(|a, b| repeated(a).total_cmp(&repeated(b)))
}

/// How much of a way's bars belong to a section heard before.
#[allow(clippy::cast_precision_loss)]
fn repeated(way: &[usize]) -> f64 {
    let mut known = Vec::new();
    let mut again = 0;
    for pair in way.chunk_by(|a, b| a == b) {
        if known.contains(&pair[0]) {
            again += pair.len();
        } else {
            known.push(pair[0]);
        }
    }
    again as f64 / way.len() as f64
}

/// The sections when each is `length` bars long.
fn by<T: PartialEq>(bars: &[T], length: usize) -> Vec<usize> {
    let mut kinds: Vec<&[T]> = Vec::new();
    let mut way = Vec::with_capacity(bars.len());
    for stretch in bars.chunks(length) {
        let kind = kinds.iter().position(|kind| same(kind, stretch)).unwrap_or_else(|| {
            kinds.push(stretch);
            kinds.len() - 1
        });
        way.extend(std::iter::repeat_n(kind, stretch.len()));
    }
    way
}

#[allow(clippy::cast_precision_loss)]
fn same<T: PartialEq>(a: &[T], b: &[T]) -> bool {
    let alike = a.iter().zip(b).filter(|(a, b)| a == b).count();
    a.len() == b.len() && alike as f64 >= SAME * a.len() as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(bars: &str) -> Option<String> {
        let bars: Vec<char> = bars.chars().collect();
        let letter = |n: usize| char::from(b'A' + u8::try_from(n).expect("few sections"));
        sections(&bars).map(|way| way.into_iter().map(letter).collect())
    }

    #[test]
    fn what_comes_again_is_the_same_section_though_a_bar_differs() {
        assert_eq!(
            found("1145114511451155664466551145114s").as_deref(),
            Some("AAAAAAAAAAAAAAAABBBBBBBBAAAAAAAA")
        );
    }

    #[test]
    fn a_song_without_repeats_has_no_sections() {
        assert_eq!(found("abcdefghijklmnop"), None);
        assert_eq!(found("abc"), None);
        assert_eq!(found(""), None);
    }
}
