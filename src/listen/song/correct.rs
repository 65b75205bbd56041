//! A player's corrections of what was heard: another way of counting, another key, another chord.
//!
//! *Invariant:* nothing is listened to again; what has been said of a chord stays said however the song is counted.

use super::heard::{HeardSong, Said};
use crate::theory::{Chord, Key, Metre, Seconds, Tempo};
use std::ops::{Range, RangeInclusive};

/// Tempi that a chart may have.
const TEMPI: RangeInclusive<f64> = 20.0..=400.0;

/// Something that was heard otherwise than it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Correction {
    /// The beat is twice as fast: a bar is half as long.
    Faster,
    /// The beat is half as fast: a bar is twice as long.
    Slower,
    /// Bars begin a beat earlier.
    Earlier,
    /// Bars begin a beat later.
    Later,
    /// Three or four beats make a bar.
    Metre(Metre),
    /// It is in this key.
    Key(Key),
    /// A part of a bar has this chord, or none.
    Chord {
        /// The bar, counted from 0.
        bar: usize,
        /// Which part of it.
        part: Part,
        /// The chord; nothing where none sounds.
        chord: Option<Chord>,
    },
}

/// A part of a bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Part {
    /// All of it.
    #[default]
    Whole,
    /// Its first two beats.
    First,
    /// What follows them.
    Second,
}

impl Part {
    /// Beats of the first part.
    const CUT: usize = 2;

    /// The part of these beats.
    fn of(self, beats: Range<usize>) -> Range<usize> {
        let cut = (beats.start + Self::CUT).min(beats.end);
        match self {
            Self::Whole => beats,
            Self::First => beats.start..cut,
            Self::Second => cut..beats.end,
        }
    }
}

impl HeardSong {
    /// The song corrected. What can't be done (a tempo no chart may have, a bar that is not there) changes nothing.
    #[must_use]
    pub fn corrected(&self, correction: Correction) -> Self {
        let song = self.clone();
        match correction {
            Correction::Faster => self.faster(),
            Correction::Slower => self.slower(),
            Correction::Earlier => self.counted_from(self.first + self.count() - 1),
            Correction::Later => self.counted_from(self.first + 1),
            Correction::Metre(metre) if metre == Metre::COMMON || metre == (Metre { count: 3, unit: 4 }) => {
                let metre = Self { metre, ..song };
                metre.counted_from(self.first)
            }
            Correction::Metre(_) => song,
            Correction::Key(key) => self.in_key(key),
            Correction::Chord { bar, part, chord } => self.saying(bar, part, chord),
        }
    }

    /// Whether the song can be counted twice as fast: a chart has no faster tempo than 400 a minute.
    #[must_use]
    pub fn can_be_faster(&self) -> bool {
        TEMPI.contains(&(2.0 * self.tempo.0))
    }

    /// Whether it can be counted half as fast: a chart has no slower tempo than 20 a minute, and four bars are needed.
    #[must_use]
    pub fn can_be_slower(&self) -> bool {
        TEMPI.contains(&(self.tempo.0 / 2.0)) && self.beats.len() >= 4 * self.count()
    }

    /// The likeliest chords of a part of a bar, best first, with how likely each is among all; the one that stands there
    /// is among them, even where it is not likely.
    #[must_use]
    pub fn candidates(&self, bar: usize, part: Part) -> Vec<(Chord, f64)> {
        const MOST: usize = 5;
        let beats = part.of(self.beats_of(bar));
        let stands = self.chord_at(bar, part);
        let mut likely = self.likely(beats);
        let place = likely.iter().position(|(chord, _)| Some(*chord) == stands);
        if let Some(place) = place.filter(|place| *place >= MOST) {
            likely.swap(place, MOST - 1);
        }
        likely.truncate(MOST);
        likely
    }

    /// The chord with which a part of a bar begins; nothing where none sounds.
    #[must_use]
    pub fn chord_at(&self, bar: usize, part: Part) -> Option<Chord> {
        let beats = self.beats_of(bar);
        let at = part.of(beats.clone()).start - beats.start;
        let mut until = 0;
        let chords = &self.bars.get(bar)?.chords;
        let found = chords.iter().find(|chord| {
            until += usize::from(chord.beats);
            at < until
        });
        found?.chord
    }

    fn counted_from(&self, first: usize) -> Self {
        let song = self.clone();
        Self {
            first: first % self.count(),
            ..song
        }
        .found_anew()
    }

    fn faster(&self) -> Self {
        if !self.can_be_faster() {
            return self.clone();
        }
        let ends = self.beats.iter().skip(1).map(Some).chain([None]);
        let step = Seconds(60.0 / self.tempo.0);
        let beats = self.beats.iter().zip(ends).flat_map(|(beat, next)| {
            let next = next.copied().unwrap_or(*beat + step);
            [*beat, Seconds(f64::midpoint(beat.0, next.0))]
        });
        Self {
            beats: beats.collect(),
            evidence: self.evidence.halved(),
            said: self.said.iter().flat_map(|said| [*said; 2]).collect(),
            first: 2 * self.first % self.count(),
            tempo: Tempo(2.0 * self.tempo.0),
            ..self.clone()
        }
        .found_anew()
    }

    fn slower(&self) -> Self {
        if !self.can_be_slower() {
            return self.clone();
        }
        let from = self.first % 2;
        let said = self.said.get(from..).unwrap_or_default();
        // What was said of either half is said of both; of two that differ, the first.
        let either = |pair: &[Said]| pair.iter().copied().find(|said| *said != Said::Nothing);
        Self {
            beats: self.beats.iter().skip(from).step_by(2).copied().collect(),
            evidence: self.evidence.paired(from),
            said: said
                .chunks(2)
                .map(|pair| either(pair).unwrap_or(Said::Nothing))
                .collect(),
            first: (self.first - from) / 2,
            tempo: Tempo(self.tempo.0 / 2.0),
            ..self.clone()
        }
        .found_anew()
    }

    fn in_key(&self, key: Key) -> Self {
        let spelled = |said: &Said| match said {
            Said::Is(chord) => Said::Is(Chord::new(key.spell(chord.root.class()), chord.quality)),
            other => *other,
        };
        Self {
            key,
            said: self.said.iter().map(spelled).collect(),
            ..self.clone()
        }
        .found_anew()
    }

    fn saying(&self, bar: usize, part: Part, chord: Option<Chord>) -> Self {
        let mut song = self.clone();
        if bar < self.bars.len() {
            let said = chord.map_or(Said::Silent, Said::Is);
            let beats = part.of(self.beats_of(bar));
            song.said.get_mut(beats).unwrap_or_default().fill(said);
        }
        song.found_anew()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::listen::song::evidence::Evidence;
    use crate::listen::song::harmony::{Colours, FIGURES};
    use crate::listen::song::metre::{self, Counting};
    use crate::listen::song::tuning::Tuning;
    use crate::theory::Quality;

    /// The pitch classes of a chord, in all registers, its root below.
    fn colours(root: usize, minor: bool) -> Colours {
        let mut all = [0.0; FIGURES];
        all[root % 12] = 1.0;
        for tone in [0, if minor { 3 } else { 4 }, 7] {
            all[12 + (root + tone) % 12] = 1.0;
            all[24 + (root + tone) % 12] = 0.8;
        }
        all
    }

    /// 1 4 5 1 6- 4 5 1 in A, one beat ahead of the first bar, 120 a minute.
    fn song() -> HeardSong {
        let bars = [
            (9, false),
            (2, false),
            (4, false),
            (9, false),
            (6, true),
            (2, false),
            (4, false),
            (9, false),
        ];
        let beats = bars.iter().flat_map(|bar| [*bar; 4]);
        let all: Vec<Colours> = std::iter::once((9, false))
            .chain(beats)
            .map(|(root, minor)| colours(root, minor))
            .collect();
        let counting = Counting {
            beats: (0..all.len()).map(|n| Seconds(0.5 * n as f64)).collect(),
            count: 4,
            first: 1,
            figures: [0.0; metre::FIGURES],
        };
        HeardSong::of(Tuning::CONCERT, &counting, Evidence::of(&all))
    }

    /// The number of each chord of the chart.
    fn numbers(song: &HeardSong) -> String {
        let timeline = song.chart().timeline();
        let numbers: Vec<String> = timeline.spans.iter().map(|span| span.numeral.to_string()).collect();
        numbers.join(" ")
    }

    fn a_chord(root: &str, quality: Quality) -> Chord {
        Chord::new(root.parse().expect("a name"), quality)
    }

    #[test]
    fn counted_twice_as_fast_every_bar_becomes_two_and_slower_brings_it_back() {
        let song = song();
        assert_eq!(numbers(&song), "1 4 5 1 6- 4 5 1", "{}", song.chart());
        let fast = song.corrected(Correction::Faster);
        assert_eq!(fast.bars.len(), 16);
        assert!((fast.tempo.0 - 240.0).abs() < 0.5);
        assert_eq!(fast.bars[2].at, song.bars[1].at);
        let back = fast.corrected(Correction::Slower);
        assert_eq!(numbers(&back), numbers(&song));
        assert_eq!(back.bars[0].at, song.bars[0].at);
    }

    #[test]
    fn a_tempo_that_no_chart_may_have_is_not_taken() {
        let fast = song().corrected(Correction::Faster);
        assert_eq!(fast.corrected(Correction::Faster), fast);
    }

    #[test]
    fn bars_begin_a_beat_later_and_four_times_later_where_they_began() {
        let mut now = song();
        let begin = now.bars[0].at;
        now = now.corrected(Correction::Later);
        assert!((now.bars[0].at - begin - Seconds(0.5)).0.abs() < 1e-9);
        for _ in 0..3 {
            now = now.corrected(Correction::Later);
        }
        assert_eq!(now.bars[0].at, begin);
        let around = now.corrected(Correction::Earlier).corrected(Correction::Later);
        assert_eq!(around.bars, now.bars);
    }

    #[test]
    fn a_chord_that_was_said_stays_said_whatever_else_is_corrected() {
        let chord = a_chord("D", Quality::Minor);
        let said = |song: &HeardSong| song.bars.iter().flat_map(|b| &b.chords).filter(|c| c.said).count();
        let put = Correction::Chord {
            bar: 1,
            part: Part::Second,
            chord: Some(chord),
        };
        let song = song().corrected(put);
        assert_eq!(song.chord_at(1, Part::Second), Some(chord));
        assert_eq!(song.chord_at(1, Part::First), Some(a_chord("D", Quality::Major)));
        assert_eq!(numbers(&song), "1 4 4- 5 1 6- 4 5 1");
        let candidates = song.candidates(1, Part::Second);
        assert!(candidates.len() == 5 && candidates.iter().any(|(c, _)| *c == chord));
        for correction in [
            Correction::Faster,
            Correction::Later,
            Correction::Metre(Metre { count: 3, unit: 4 }),
            Correction::Key("Bm".parse().expect("a key")),
        ] {
            assert!(said(&song.corrected(correction)) > 0, "{correction:?}");
        }
    }

    #[test]
    fn in_another_key_the_same_chords_have_other_numbers() {
        let song = song().corrected(Correction::Key("D".parse().expect("a key")));
        assert_eq!(numbers(&song), "5 1 2 5 3- 1 2 5");
    }

    #[test]
    fn a_moment_is_found_in_its_bar_and_nowhere_outside_the_song() {
        let song = song();
        assert_eq!(song.bar_at(Seconds(0.2)), None);
        let (bar, part) = song.bar_at(Seconds(3.5)).expect("it sounds");
        assert!(bar == 1 && (part - 0.5).abs() < 1e-9, "{bar} {part}");
        assert_eq!(song.bar_at(Seconds(60.0)), None);
    }

    #[test]
    fn a_song_crosses_from_the_worker_whole() {
        let song = song();
        let text = serde_json::to_string(&song).expect("it is written");
        assert_eq!(serde_json::from_str::<HeardSong>(&text).expect("it is read"), song);
    }
}
