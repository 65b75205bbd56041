//! One limb at a time: what of a performance one limb does, the others held still.
//!
//! *Invariant:* every pluck stays where it is, so that one limb is practised in the time of the whole.

use crate::exchange::tab::{Explained, Mark, RAKE, Step, Tab};
use crate::solo::{Curve, Finger, Performance, Pluck};
use crate::theory::Beats;
use serde::{Deserialize, Serialize};

/// Where a volume pedal rests that nobody moves, 0..=1.
const RESTING_VOLUME: f64 = 0.7;
/// A sign this close to a pluck of its string is that pluck's: a rake stands in one column.
const SAME_STROKE: Beats = Beats(0.11);

/// What is practised.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Limb {
    /// Everything together.
    #[default]
    All,
    /// The left hand: the bar's path and its vibrato.
    Bar,
    /// Feet and knees: pedals, levers, the volume pedal.
    Feet,
    /// The right hand: plucks and blocks.
    Hand,
}

impl Limb {
    /// The performance with this limb alone at work: the bar stays where it begins, pedals and levers stay up.
    #[must_use]
    pub fn alone(self, whole: &Performance) -> Performance {
        let mut part = whole.clone();
        if matches!(self, Self::Feet | Self::Hand) {
            let begins = whole
                .plucks
                .first()
                .map_or(whole.bar.first, |pluck| whole.bar.value(pluck.at));
            part.bar = Curve::holding(begins);
            part.vibrato.clear();
        }
        if matches!(self, Self::Bar | Self::Hand) {
            part.travels = vec![Curve::default(); whole.travels.len()];
            part.volume = Curve::holding(RESTING_VOLUME);
        }
        part
    }

    /// The tab with this limb's signs alone: frets for the bar, letters for the feet, fingers for the hand.
    #[must_use]
    pub fn tab(self, whole: &Tab, performance: &Performance) -> Tab {
        if self == Self::All {
            return whole.clone();
        }
        let mut part = whole.clone();
        for column in part.bars.iter_mut().flat_map(|bar| &mut bar.columns) {
            let at = column.at;
            for (row, marks) in whole.rows.iter().zip(&mut column.cells) {
                let finger = || finger_at(&performance.plucks, at, |p| p.string == row.string);
                *marks = marks.iter().filter_map(|mark| self.mark(mark, finger)).collect();
            }
        }
        part.legend.retain(|entry| self.explains(&entry.sign));
        if self == Self::Hand {
            part.legend.splice(0..0, fingers());
        }
        part
    }

    /// The letter a finger is written by.
    #[must_use]
    pub fn letter(finger: Finger) -> &'static str {
        match finger {
            Finger::Thumb => "T",
            Finger::Index => "I",
            Finger::Middle => "M",
            Finger::Ring => "R",
        }
    }

    fn mark(self, mark: &Mark, finger: impl Fn() -> Option<Finger>) -> Option<Mark> {
        match (self, mark) {
            (Self::All, mark) | (_, mark @ Mark::Stop) => Some(mark.clone()),
            (Self::Bar, Mark::Pick { step, harmonic, .. }) => Some(Mark::Pick {
                step: bare(step),
                harmonic: *harmonic,
                raked: false,
            }),
            (Self::Bar, Mark::Slide(way, step)) => Some(Mark::Slide(*way, bare(step))),
            (Self::Bar, Mark::Hold(step)) => Some(Mark::Hold(bare(step))),
            (Self::Bar, Mark::Away(way)) => Some(Mark::Away(*way)),
            (Self::Feet, Mark::Pick { step, .. }) => Some(picked(pressed(step, "·"))),
            (Self::Feet, Mark::Press(step)) => Some(Mark::Press(pressed(step, "up"))),
            (Self::Hand, Mark::Pick { harmonic, raked, .. }) => Some(Mark::Pick {
                step: Step {
                    fret: raked
                        .then_some(Finger::Thumb)
                        .or_else(finger)
                        .map_or("·", Self::letter)
                        .to_owned(),
                    // The finger comes first here: it is what this tab is read for.
                    signs: if *raked { RAKE.to_owned() } else { String::new() },
                },
                harmonic: *harmonic,
                raked: false,
            }),
            (Self::Bar | Self::Hand, Mark::Press(_)) => None,
            (Self::Feet | Self::Hand, Mark::Slide(..) | Mark::Hold(_) | Mark::Away(_)) => None,
        }
    }

    /// Whether a sign of the legend is still in use.
    fn explains(self, sign: &str) -> bool {
        let is_letter = sign.chars().any(|c| c.is_alphabetic() && c != 'x');
        match (self, sign) {
            (Self::All, _) | (_, "x") => true,
            (Self::Bar, _) => !is_letter && !matches!(sign, "~" | "½" | RAKE),
            (Self::Feet, _) => is_letter || matches!(sign, "~" | "½"),
            (Self::Hand, _) => sign.starts_with('*') || sign == RAKE,
        }
    }
}

fn picked(step: Step) -> Mark {
    Mark::Pick {
        step,
        harmonic: None,
        raked: false,
    }
}

fn bare(step: &Step) -> Step {
    Step {
        fret: step.fret.clone(),
        signs: String::new(),
    }
}

/// What is pressed, or `nothing` where nothing is.
fn pressed(step: &Step, nothing: &str) -> Step {
    Step {
        fret: if step.signs.is_empty() { nothing } else { "" }.to_owned(),
        signs: step.signs.clone(),
    }
}

fn fingers() -> [Explained; 4] {
    let words = [
        (Finger::Thumb, said!("thumb")),
        (Finger::Index, said!("index finger")),
        (Finger::Middle, said!("middle finger")),
        (Finger::Ring, said!("ring finger")),
    ];
    words.map(|(finger, meaning)| Explained {
        sign: Limb::letter(finger).to_owned(),
        meaning,
    })
}

/// The finger of the pluck nearest to a column's moment.
fn finger_at(plucks: &[Pluck], at: Beats, wanted: impl Fn(&Pluck) -> bool) -> Option<Finger> {
    let away = |pluck: &Pluck| (pluck.at - at).0.abs();
    plucks
        .iter()
        .filter(|pluck| wanted(pluck) && away(pluck) < SAME_STROKE.0)
        .min_by(|a, b| away(a).total_cmp(&away(b)))
        .map(|pluck| pluck.finger)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::tab::{Characters, Signs};
    use crate::sample;

    fn tab(limb: Limb) -> String {
        let solo = sample::solo();
        let whole = Tab::of(&solo, &sample::e9(), &sample::song(), Signs::Letters);
        limb.tab(&whole, &solo).text(Characters(80))
    }

    fn row(text: &str, string: u8) -> String {
        let head = format!("{string:>2} ");
        let rows = text.lines().filter(|line| line.starts_with(&head));
        rows.collect::<String>()
    }

    #[test]
    fn each_limb_alone_keeps_every_pluck_and_its_own_lanes() {
        let whole = sample::solo();
        let [bar, feet, hand] = [Limb::Bar, Limb::Feet, Limb::Hand].map(|limb| limb.alone(&whole));
        for part in [&bar, &feet, &hand] {
            assert_eq!((&part.plucks, &part.blocks), (&whole.plucks, &whole.blocks));
        }
        let still = |curve: &Curve| curve.movements().next().is_none();
        assert_eq!((&bar.bar, &bar.vibrato), (&whole.bar, &whole.vibrato));
        assert!(bar.travels.iter().all(still));
        assert_eq!((&feet.travels, &feet.volume), (&whole.travels, &whole.volume));
        assert!(still(&feet.bar) && feet.vibrato.is_empty());
        assert!(still(&hand.bar) && hand.travels.iter().all(still));
        assert_eq!(Limb::All.alone(&whole), whole);
    }

    #[test]
    fn the_bars_tab_has_frets_and_slides_but_no_letters() {
        let row = row(&tab(Limb::Bar), 5);
        assert!(row.contains("1/3"), "{row}");
        assert!(!row.contains(['A', '~', '½']), "{row}");
    }

    #[test]
    fn the_feets_tab_has_letters_but_no_frets() {
        let text = tab(Limb::Feet);
        assert!(text.contains("~A"), "{text}");
        let digits = text.lines().filter(|line| line.contains('|'));
        assert!(
            digits
                .flat_map(|line| line.chars().skip(3))
                .all(|c| !c.is_ascii_digit()),
            "{text}"
        );
        assert!(text.contains("A  pedal 1") && !text.contains("slide"), "{text}");
    }

    #[test]
    fn the_hands_tab_has_fingers_alone() {
        let text = tab(Limb::Hand);
        let signs = text
            .lines()
            .filter(|line| line.contains('|'))
            .flat_map(|line| line.chars().skip(6));
        assert!(signs.clone().all(|c| "TIMR*x-|".contains(c)), "{text}");
        assert!(signs.filter(|c| "TIMR".contains(*c)).count() == sample::solo().plucks.len());
        assert!(text.contains("T  thumb"), "{text}");
    }

    #[test]
    fn a_rake_says_its_finger_first_and_its_sign_behind() {
        let mut raked = sample::still(3.0);
        raked.plucks = [(0.0, 6), (0.04, 5), (0.08, 4)]
            .map(|(at, string)| sample::pluck(at, string))
            .to_vec();
        let whole = Tab::of(&raked, &sample::e9(), &sample::song(), Signs::Letters);
        let hand = Limb::Hand.tab(&whole, &raked);
        let text = hand.text(Characters(80));
        for string in [6, 5, 4] {
            assert!(row(&text, string).contains("T^"), "{text}");
        }
        assert!(hand.legend.iter().any(|entry| entry.sign == RAKE), "{text}");
    }
}
