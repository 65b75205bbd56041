//! What was heard, as it is drawn: bars with how sure they are, candidates with their figures.

use super::Hearing;
use crate::app::bars::{BarCard, Figure, cards};
use crate::listen::song::{HeardBar, Part, Tuning};
use crate::solo::Performance;
use crate::sound::Score;
use crate::steel::Instrument;
use crate::theory::chart::{Bar, Item, Slot};
use crate::theory::{Chart, Chord, Metre, Numeral, Seconds, Tempo};
use crate::words::Said;

/// A bar less sure than this is worth hearing again. Of sixty rendered songs that nothing was learned from, that is one
/// bar in nine, and three in five of the bars that were wrong; of the surer ones one in eighty was wrong.
const SURE: f64 = 0.75;

/// How sure the chords of a bar are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sureness {
    /// A player has said what it is.
    Said,
    /// Sure enough, in hundredths.
    Sure(u8),
    /// Worth hearing again, in hundredths.
    Unsure(u8),
}

impl Sureness {
    fn of(bar: &HeardBar) -> Self {
        if bar.chords.iter().all(|chord| chord.said) {
            return Self::Said;
        }
        let confidence = bar.confidence();
        let percent = percent(confidence);
        if confidence < SURE {
            Self::Unsure(percent)
        } else {
            Self::Sure(percent)
        }
    }

    /// Whether it is worth hearing again.
    #[must_use]
    pub fn is_unsure(self) -> bool {
        matches!(self, Self::Unsure(_))
    }

    /// In words.
    #[must_use]
    pub fn words(self) -> Said {
        match self {
            Self::Said => said!("yours"),
            Self::Sure(percent) => said!("{percent}% sure", percent),
            Self::Unsure(percent) => said!("only {percent}% sure", percent),
        }
    }
}

/// A bar as it was heard.
#[derive(Debug, Clone, PartialEq)]
pub struct HeardCard {
    /// What stands in it.
    pub card: BarCard,
    /// When the recording has it.
    pub at: Seconds,
    /// How sure that is.
    pub sureness: Sureness,
}

/// A chord that a part of a bar could have.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// The chord; nothing where none sounds.
    pub chord: Option<Chord>,
    /// Its number.
    pub figure: Figure,
    /// Its letters.
    pub letters: Said,
    /// How likely it is among all, in hundredths; nothing of no chord, which is not weighed.
    pub percent: Option<u8>,
    /// Whether it is the one that stands there.
    pub stands: bool,
}

impl Hearing {
    /// The bars in order.
    #[must_use]
    pub fn cards(&self) -> Vec<HeardCard> {
        let timeline = self.song.chart().timeline();
        let shown = cards(&timeline).into_iter().zip(&self.song.bars);
        let card = |(card, bar): (BarCard, &HeardBar)| HeardCard {
            card,
            at: bar.at,
            sureness: Sureness::of(bar),
        };
        shown.map(card).collect()
    }

    /// How many bars are worth hearing again.
    #[must_use]
    pub fn unsure(&self) -> usize {
        self.song
            .bars
            .iter()
            .filter(|bar| Sureness::of(bar).is_unsure())
            .count()
    }

    /// The next bar worth hearing again, after `bar` and then from the first one on.
    #[must_use]
    pub fn next_unsure(&self, bar: Option<usize>) -> Option<usize> {
        let from = bar.map_or(0, |bar| bar + 1);
        let all = || self.song.bars.iter().enumerate();
        let unsure = |(bar, heard): (usize, &HeardBar)| Sureness::of(heard).is_unsure().then_some(bar);
        all().skip(from).find_map(unsure).or_else(|| all().find_map(unsure))
    }

    /// What a part of a bar could be: the likeliest chords, what stands there among them, and no chord at all.
    #[must_use]
    pub fn candidates(&self, bar: usize, part: Part) -> Vec<Candidate> {
        let stands = self.song.chord_at(bar, part);
        let candidate = |(chord, share): (Chord, f64)| Candidate {
            chord: Some(chord),
            figure: Figure::of(&Numeral::of(chord, self.song.key).to_string()),
            letters: Said::notes(chord),
            percent: Some(percent(share)),
            stands: stands == Some(chord),
        };
        let none = Candidate {
            chord: None,
            figure: Figure::of("r"),
            letters: said!("no chord"),
            percent: None,
            stands: stands.is_none(),
        };
        let likely = self.song.candidates(bar, part).into_iter().map(candidate);
        likely.chain([none]).collect()
    }

    /// A bar of a chord, for the band alone, in the tempo of the song.
    #[must_use]
    pub fn trial(&self, chord: Chord, instrument: &Instrument) -> Score {
        let song = &self.song;
        let chart = Chart {
            key: song.key,
            tempo: Some(song.tempo),
            metre: song.metre,
            items: vec![Item::Bar(Bar::Chords(vec![Slot::of(Numeral::of(chord, song.key))]))],
            ..Chart::empty()
        };
        let timeline = chart.timeline();
        let silent = Performance::silent(timeline.length(), instrument.changes.len());
        Score::new(instrument.clone(), silent, timeline)
    }

    /// Key, metre, tempo and tuning in a line.
    #[must_use]
    pub fn summary(&self) -> Said {
        let song = &self.song;
        let (Metre { count, unit }, Tempo(tempo)) = (song.metre, song.tempo);
        let bars = song.bars.len();
        said!(
            "{bars} bars in {key}, {count}/{unit}, {tempo} a minute{tuning}.",
            bars,
            key = Said::notes(song.key),
            count,
            unit,
            tempo = Said::number(format_args!("{tempo:.1}")),
            tuning = off_pitch(song.tuning)
        )
    }
}

/// In hundredths; 100 is said of nothing that could be otherwise.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0..=99
fn percent(share: f64) -> u8 {
    (share * 100.0).clamp(0.0, 99.0) as u8
}

/// How far from concert pitch, where a player would hear it.
fn off_pitch(Tuning(cents): Tuning) -> Said {
    const HEARD: f64 = 5.0;
    let far = cents.0.abs().round();
    match cents.0 {
        c if c >= HEARD => said!(", {far} cents above concert pitch", far),
        c if c <= -HEARD => said!(", {far} cents below concert pitch", far),
        _ => Said::default(),
    }
}
