//! What there is to tune: every string, or those that a change pulls.

use crate::app::copedent::spelled;
use crate::app::tuning::Tuning;
use crate::steel::strain::strains;
use crate::steel::{ChangeId, Fret, Instrument, StringNumber, Travel};
use crate::theory::{Cents, Height};

/// A string and how high it should be.
#[derive(Debug, Clone, PartialEq)]
pub struct Target {
    /// Which string.
    pub string: StringNumber,
    /// The note it is meant for.
    pub note: String,
    /// How high it should sound.
    pub height: Height,
    /// How far that lies off the note in equal temperament: what any tuner would show.
    pub off: Cents,
    /// Whether the string bears more than strings usually do at the highest note the changes take it to.
    pub strained: bool,
}

/// The targets with `pressed` held down, or with nothing pressed: then every string. With a change held, only the
/// strings it pulls, for the others are tuned without it.
#[must_use]
pub fn targets(instrument: &Instrument, tuning: &Tuning, pressed: Option<ChangeId>) -> Vec<Target> {
    let tuned = tuning.tuned(instrument);
    let strains = strains(instrument);
    let travel = |id| Travel(if Some(id) == pressed { 1.0 } else { 0.0 });
    let pulls = |string| {
        let change = instrument.change(pressed?)?;
        change.pulls.iter().find(|pull| pull.string == string)
    };
    let target = |string: StringNumber| {
        let spec = instrument.strings.get(string.index())?;
        let by = match pressed {
            None => Cents(0.0),
            Some(_) => pulls(string)?.meant(),
        };
        let height = tuned.height(string, Fret(0.0), travel)?;
        let meant = spec.pitch.number()?.height().shifted(by);
        Some(Target {
            string,
            note: spelled(instrument, spec.pitch.name, (by.0 / 100.0).round()),
            height,
            off: height.above(meant),
            strained: strains.iter().any(|s| s.string == string && s.is_high()),
        })
    };
    instrument.string_numbers().filter_map(target).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::tuning::{Manner, Sheet};
    use crate::steel::temper::Scheme;

    fn just(instrument: &Instrument) -> Tuning {
        Tuning {
            manner: Manner::Scheme(Scheme::Just),
            anchor: Cents(6.0),
            ..Tuning::equal(instrument)
        }
        .found(instrument, &[])
    }

    #[test]
    fn every_string_and_every_pull_has_the_target_of_the_tuning_sheet() {
        for id in ["e9", "c6", "universal", "c6-lap-8"] {
            let instrument = Instrument::shipped(id).unwrap();
            let tuning = just(&instrument);
            let sheet = Sheet::of(&instrument, &tuning, &[]);
            let open = targets(&instrument, &tuning, None);
            assert_eq!(open.len(), sheet.strings.len());
            for (target, line) in open.iter().zip(&sheet.strings) {
                assert_eq!((target.string, &target.note), (line.string, &line.note));
                assert!((target.off - line.target).0.abs() < 1e-6, "{id} {}", line.string);
            }
            for change in instrument.change_ids() {
                for target in targets(&instrument, &tuning, Some(change)) {
                    let says = tuning.temper.pulled(change, target.string);
                    assert!((target.off - says).0.abs() < 1e-6, "{id} {}", target.string);
                }
            }
        }
    }

    #[test]
    fn a_change_offers_the_strings_it_pulls_and_no_others() {
        let e9 = Instrument::shipped("e9").unwrap();
        let a = e9.change_named("A");
        let found = targets(&e9, &just(&e9), a);
        let strings: Vec<u8> = found.iter().map(|t| t.string.number()).collect();
        assert_eq!(strings, [5, 10]);
        assert_eq!(found[0].note, "C#");
        // The pedal's C# is a pure third above the pure A: domain tables have it 15.6 cents under equal temperament.
        assert!((found[0].off.0 - (6.0 - 15.641)).abs() < 0.001);
    }
}
