//! The note a string sounds where the bar is.

use super::instrument::{Instrument, StringNumber};
use super::neck::Place;
use crate::theory::{NoteNumber, Semitones};

impl Instrument {
    /// The note `string` sounds at `place`; nothing for a string it has not, or one that lies between two
    /// notes there, be it by its changes or under a slanted bar.
    ///
    /// ```
    /// use leadbar::{steel::{Instrument, Place, StringNumber}, theory::NoteNumber};
    /// let e9 = Instrument::shipped("e9").unwrap();
    /// let place = Place::straight(3, e9.stance_of(&["A", "B"]).unwrap());
    /// // String 5, a B3, raised to C#4 by the A pedal and stopped at fret 3: E4.
    /// assert_eq!(e9.note(StringNumber::new(5).unwrap(), place), Some(NoteNumber(64)));
    /// ```
    #[must_use]
    pub fn note(&self, string: StringNumber, place: Place) -> Option<NoteNumber> {
        let open = self.strings.get(string.index())?.pitch.number()?;
        let shift = self.shift(string, place.stance)?;
        let fret = place.whole_fret_on(self, string)?;
        open.checked_add(shift + Semitones(i16::from(fret)))
    }
}
