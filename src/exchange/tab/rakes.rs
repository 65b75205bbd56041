//! Rakes: the thumb drawn over neighbouring strings, which is one stroke of the hand and one column of tab.

use crate::solo::performance::{Finger, Pluck};
use crate::theory::{Beats, Seconds, Tempo};

/// From string to string a raking thumb takes no longer than this; picked one by one, strings lie farther apart.
const DRAWN: Seconds = Seconds(0.09);

/// For each pluck, when the rake it belongs to begins; nothing for one that belongs to none.
pub(super) fn begun(plucks: &[Pluck], tempo: Tempo) -> Vec<Option<Beats>> {
    let mut found: Vec<Option<Beats>> = vec![None; plucks.len()];
    for (index, pair) in plucks.windows(2).enumerate() {
        let [one, next] = pair else { continue };
        if !is_drawn_on(one, next, tempo) {
            continue;
        }
        let begin = found.get(index).copied().flatten().unwrap_or(one.at);
        for place in [index, index + 1] {
            if let Some(own) = found.get_mut(place) {
                *own = Some(begin);
            }
        }
    }
    found
}

fn is_drawn_on(one: &Pluck, next: &Pluck, tempo: Tempo) -> bool {
    let thumb = one.finger == Finger::Thumb && next.finger == Finger::Thumb;
    let time = next.at - one.at;
    let neighbour = one.string.index() == next.string.index() + 1;
    thumb && neighbour && one.touch == next.touch && time > Beats::ZERO && time.at(tempo) <= DRAWN
}
