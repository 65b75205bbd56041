//! Whole schemes, set from a scale over the instrument's home note.

use super::{Temper, Trim};
use crate::steel::instrument::Instrument;
use crate::theory::{Cents, PitchClass, Ratio};
use serde::{Deserialize, Serialize};

/// The just scale over the home note, by semitones. Source: five-limit just intonation, any textbook; the
/// choices among its forms (25/24, 9/8, 45/32, 8/5, 9/5) are those of the published just tuning of the E9.
const JUST: [(u32, u32); 12] = [
    (1, 1),
    (25, 24),
    (9, 8),
    (6, 5),
    (5, 4),
    (4, 3),
    (45, 32),
    (3, 2),
    (8, 5),
    (5, 3),
    (9, 5),
    (15, 8),
];

/// Fifths up (down, where negative) from the home note to each semitone, spelled as the same table has it.
const FIFTHS: [i8; 12] = [0, 7, 2, -3, 4, -1, 6, 1, -4, 3, -2, 5];

/// How far a fifth of quarter-comma meantone lies off an equal one, in cents: four of them make a pure third and
/// two octaves, so each is a quarter of 1200 log2(5). Source: the definition of quarter-comma meantone.
fn meantone_fifth() -> f64 {
    1200.0 * 5.0_f64.log2() / 4.0 - 700.0
}

/// A way to tune that needs no song.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scheme {
    /// Every semitone alike, as a tuner shows it.
    #[default]
    Equal,
    /// Pure over the home note; chords far from it pay.
    Just,
    /// Pure major thirds, fifths 3.4 cents narrow: in between, and alike in all near keys.
    Meantone,
}

impl Scheme {
    /// Every scheme.
    pub const ALL: [Self; 3] = [Self::Equal, Self::Just, Self::Meantone];

    /// What a player calls it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Equal => key!("Equal"),
            Self::Just => key!("Just"),
            Self::Meantone => key!("Meantone"),
        }
    }

    /// How far the note `up` semitones above the home note is off.
    fn off(self, up: usize) -> Cents {
        match self {
            Self::Equal => Cents(0.0),
            #[allow(clippy::cast_precision_loss)] // 0..=11
            Self::Just => JUST
                .get(up)
                .and_then(|(over, under)| Ratio::new(*over, *under))
                .map_or(Cents(0.0), |r| Cents(r.cents().0 - 100.0 * up as f64)),
            Self::Meantone => Cents(f64::from(FIFTHS.get(up).copied().unwrap_or(0)) * meantone_fifth()),
        }
    }

    /// The scheme on an instrument: each string, and each string with a change pressed, is set by its place in
    /// the scale over the [home note](home_note).
    #[must_use]
    pub fn temper(self, instrument: &Instrument) -> Temper {
        let mut temper = Temper::equal(instrument);
        let Some(home) = home_note(instrument) else {
            return temper;
        };
        let up = |class: PitchClass| class.above(home).0.unsigned_abs().into();
        for (spec, cents) in instrument.strings.iter().zip(&mut temper.strings) {
            *cents = self.off(up(spec.pitch.name.class()));
        }
        for (id, change) in instrument.change_ids().zip(&instrument.changes) {
            for pull in &change.pulls {
                let Some(spec) = instrument.strings.get(pull.string.index()) else {
                    continue;
                };
                let Some(semitones) = crate::steel::instrument::whole(pull.by) else {
                    continue;
                };
                let raised = self.off(up(spec.pitch.name.class().plus(semitones)));
                temper.trims.push(Trim {
                    change: id,
                    string: pull.string,
                    by: raised - temper.string(pull.string),
                });
            }
        }
        temper
    }
}

/// The note most of the open strings gather around as root, third and fifth: E on E9, C on C6. The lower string
/// decides between equals. Nothing for an instrument without strings.
///
/// ```
/// use leadbar::{steel::{Instrument, temper::home_note}, theory::PitchClass};
/// assert_eq!(home_note(&Instrument::shipped("e9").unwrap()), Some(PitchClass::new(4)));
/// ```
#[must_use]
pub fn home_note(instrument: &Instrument) -> Option<PitchClass> {
    let classes: Vec<PitchClass> = instrument.strings.iter().map(|s| s.pitch.name.class()).collect();
    let gathered = |root: PitchClass| {
        let in_chord = |c: &&PitchClass| matches!(c.above(root).0, 0 | 4 | 7);
        classes.iter().filter(in_chord).count()
    };
    // The last of equals wins: the lowest string.
    classes.iter().copied().max_by_key(|root| gathered(*root))
}
