//! How things are shown to this player: from which side the neck is seen, and what notes are called.

use crate::exchange::tab::Tab;
use crate::theory::{Beats, ChordSpan, Timeline};
use serde::{Deserialize, Serialize};

/// From where the neck is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// From behind the instrument, the player's own view.
    #[default]
    Mine,
    /// From in front, as a teacher sits.
    Facing,
    /// The player's own view, nut under the right hand.
    LeftHand,
}

impl Side {
    /// Every side, as they are offered.
    pub const ALL: [Self; 3] = [Self::Mine, Self::LeftHand, Self::Facing];

    /// What it is called on the page, to be looked up there.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Mine => key!("My side"),
            Self::Facing => key!("Facing"),
            Self::LeftHand => key!("Left hand"),
        }
    }

    /// The side that comes after it when the neck is turned.
    #[must_use]
    pub fn next(self) -> Self {
        match self {
            Self::Mine => Self::Facing,
            Self::Facing => Self::LeftHand,
            Self::LeftHand => Self::Mine,
        }
    }
}

/// What notes and chords are called.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NamedBy {
    /// By their place: `b3` in the chord, `4` in the key.
    #[default]
    Numbers,
    /// By their letters: `Eb`.
    Letters,
    /// By both.
    Both,
}

impl NamedBy {
    /// Every way, as they are offered.
    pub const ALL: [Self; 3] = [Self::Numbers, Self::Letters, Self::Both];

    /// What it is called on the page, to be looked up there.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Numbers => key!("Numbers"),
            Self::Letters => key!("Letters"),
            Self::Both => key!("Both"),
        }
    }

    /// The way that comes after it.
    #[must_use]
    pub fn next(self) -> Self {
        match self {
            Self::Numbers => Self::Letters,
            Self::Letters => Self::Both,
            Self::Both => Self::Numbers,
        }
    }
}

/// What something is called, both ways. Nothing has a name where there is no chord.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Called {
    /// By its place.
    pub number: String,
    /// By its letter.
    pub letter: String,
}

impl Called {
    /// What a chord is called.
    #[must_use]
    pub fn of(span: &ChordSpan) -> Self {
        Self {
            number: span.numeral.to_string(),
            letter: span.chord.symbol(),
        }
    }

    /// Its name this way, its letters as `spell` has them.
    ///
    /// ```
    /// use leadbar::app::appearance::{Called, NamedBy};
    /// let third = Called { number: "b3".to_owned(), letter: "Eb".to_owned() };
    /// assert_eq!(third.by(NamedBy::Letters, str::to_owned), "Eb");
    /// assert_eq!(third.by(NamedBy::Both, str::to_owned), "b3 Eb");
    /// ```
    #[must_use]
    pub fn by(&self, naming: NamedBy, spell: impl Fn(&str) -> String) -> String {
        match naming {
            NamedBy::Numbers => self.number.clone(),
            NamedBy::Letters => spell(&self.letter),
            NamedBy::Both => format!("{} {}", self.number, spell(&self.letter)).trim().to_owned(),
        }
    }

    /// Whether it has no name.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.number.is_empty()
    }
}

/// The tab with its chords called so, their letters as `spell` has them.
#[must_use]
pub fn with_chords(mut tab: Tab, song: &Timeline, naming: NamedBy, spell: impl Fn(&str) -> String) -> Tab {
    /// A chord that begins here is in force a little later, whatever was rounded.
    const SOON: Beats = Beats(1e-6);
    let columns = tab.bars.iter_mut().flat_map(|bar| &mut bar.columns);
    for column in columns.filter(|column| column.chord.is_some()) {
        if let Some(span) = song.span_at(column.at + SOON) {
            column.chord = Some(Called::of(span).by(naming, &spell));
        }
    }
    tab
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::tab::{Characters, Signs};
    use crate::sample;

    #[test]
    fn chords_over_tab_are_called_as_the_player_likes_and_nothing_else_changes() {
        let (song, e9) = (sample::song(), sample::e9());
        let tab = Tab::of(&sample::solo(), &e9, &song, Signs::Letters);
        let chords = |naming| {
            let tab = with_chords(tab.clone(), &song, naming, str::to_owned);
            let columns = tab.bars.iter().flat_map(|bar| &bar.columns);
            columns.filter_map(|column| column.chord.clone()).collect::<Vec<_>>()
        };
        assert_eq!(chords(NamedBy::Numbers), ["1", "4", "5", "1"]);
        assert_eq!(chords(NamedBy::Letters), ["G", "C", "D", "G"]);
        assert_eq!(chords(NamedBy::Both), ["1 G", "4 C", "5 D", "1 G"]);
        let wide = Characters(200);
        assert_eq!(
            with_chords(tab.clone(), &song, NamedBy::Numbers, str::to_owned).text(wide),
            tab.text(wide)
        );
    }

    #[test]
    fn turning_the_neck_and_its_names_comes_round_through_all_ways() {
        let sides = std::iter::successors(Some(Side::default()), |side| Some(side.next()));
        let seen: Vec<Side> = sides.take(Side::ALL.len()).collect();
        assert!(Side::ALL.iter().all(|side| seen.contains(side)));
        let ways = std::iter::successors(Some(NamedBy::default()), |way| Some(way.next()));
        assert_eq!(ways.take(NamedBy::ALL.len()).collect::<Vec<_>>(), NamedBy::ALL);
    }
}
