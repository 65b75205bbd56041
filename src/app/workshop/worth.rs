//! What an instrument can do for a song, and which single change to it would help that song most.
//!
//! Where there are no pedals the bar is slanted: what only a slant brings is counted beside what lies straight.
//!
//! *Invariant:* everything is counted from the holds that the instrument has; nothing is known of it beforehand.

use super::controls::{controls, free_name};
use crate::app::bench::{Bench, Progress, Refused};
use crate::steel::body;
use crate::steel::hold::{Finder, HoldQuery, slanted};
use crate::steel::strain::strains;
use crate::steel::{Change, Instrument, Inversion, Pull, StringNumber, StringSet};
use crate::theory::{Cents, Chord, ChordSpan, Hit, Timeline};
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// What there is for one chord of the song.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChordWorth {
    /// The number as the chart has it.
    pub number: String,
    /// The chord.
    pub chord: Chord,
    /// Bar and lowest tone, apart: at how many frets of an octave and in which inversions it lies.
    pub places: usize,
    /// As many more, where the bar must be slanted; none where there are pedals.
    pub slanted: usize,
    /// The inversions there are.
    pub inversions: Vec<Inversion>,
}

/// What there is for a song.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Worth {
    /// Its chords, each once, in the order in which they come.
    pub chords: Vec<ChordWorth>,
    /// How often two chords that follow one another lie at one fret: pedals alone lead from the one to the other.
    pub joins: usize,
}

/// Changes pressed together at most: with more of them nearly every chord lies nearly everywhere, where no player looks
/// for it in time. Taste, no source.
const AT_ONCE: usize = 2;

/// A chord's holds in one octave of frets.
type Lying = BTreeSet<(u8, Inversion)>;

impl Worth {
    /// What `instrument` has for `song`.
    #[must_use]
    pub fn of(instrument: &Instrument, song: &Timeline) -> Self {
        Self::beside(instrument, song, &slants(instrument, song))
    }

    /// The same, where it is known already what slants bring.
    fn beside(instrument: &Instrument, song: &Timeline, slants: &Slants) -> Self {
        let stances = body::stances(instrument).into_iter();
        let query = HoldQuery {
            frets: 0..=11,
            stances: Some(stances.filter(|stance| stance.pressed().count() <= AT_ONCE).collect()),
            ..HoldQuery::default()
        };
        let finder = Finder::new(instrument, &query);
        let mut chords: Vec<(Chord, String, Lying)> = Vec::new();
        let mut order: Vec<usize> = Vec::new();
        for span in heard(song) {
            let known = chords.iter().position(|(chord, ..)| *chord == span.chord);
            order.push(known.unwrap_or_else(|| {
                let holds = finder.holds(&span.chord);
                let lying = holds.iter().map(|hold| (hold.place.fret, hold.inversion)).collect();
                chords.push((span.chord, span.numeral.to_string(), lying));
                chords.len() - 1
            }));
        }
        let pairs: BTreeSet<(usize, usize)> = order
            .windows(2)
            .filter_map(|pair| Some((*pair.first()?, *pair.last()?)))
            .filter(|(one, next)| one != next)
            .collect();
        let frets = |index: usize| -> BTreeSet<u8> {
            let lying = chords.get(index).map(|(.., lying)| lying);
            lying.into_iter().flatten().map(|(fret, _)| *fret).collect()
        };
        let joins = pairs
            .iter()
            .map(|(one, next)| frets(*one).intersection(&frets(*next)).count());
        Self {
            joins: joins.sum(),
            chords: chords
                .iter()
                .map(|(chord, number, lying)| {
                    let under = slants.iter().find(|(of, _)| of == chord).map(|(_, under)| under);
                    let only: Lying = under
                        .into_iter()
                        .flatten()
                        .filter(|way| !lying.contains(way))
                        .copied()
                        .collect();
                    let inversions: BTreeSet<Inversion> = lying.union(&only).map(|(_, i)| *i).collect();
                    ChordWorth {
                        number: number.clone(),
                        chord: *chord,
                        places: lying.len(),
                        slanted: only.len(),
                        inversions: inversions.into_iter().collect(),
                    }
                })
                .collect(),
        }
    }

    /// All places of all chords, straight and slanted.
    #[must_use]
    pub fn places(&self) -> usize {
        self.chords.iter().map(|chord| chord.places + chord.slanted).sum()
    }

    /// One figure to put ideas in order by. A join by pedals alone counts as two places: taste, no source.
    fn sum(&self) -> usize {
        self.places() + 2 * self.joins
    }
}

/// What is sounded of a song.
fn heard(song: &Timeline) -> impl Iterator<Item = &ChordSpan> {
    song.spans.iter().filter(|span| span.hit != Hit::Rest)
}

/// For each chord, how it lies under a slanted bar.
type Slants = Vec<(Chord, Lying)>;

/// What slanting brings to each chord of a song; nothing where there are pedals or levers.
fn slants(instrument: &Instrument, song: &Timeline) -> Slants {
    let mut found = Slants::new();
    for span in heard(song).filter(|_| instrument.changes.is_empty()) {
        if found.iter().all(|(chord, _)| *chord != span.chord) {
            let holds = slanted(instrument, &span.chord).into_iter();
            found.push((
                span.chord,
                holds.map(|hold| (hold.place.fret % 12, hold.inversion)).collect(),
            ));
        }
    }
    found
}

/// A question: which single change would help a song most?
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AskWhatIf {
    /// The instrument as it is, without what the player has not got.
    pub instrument: Instrument,
    /// The song.
    pub song: Timeline,
}

/// A lever there could be, and what it would bring.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Idea {
    /// The lever.
    pub change: Change,
    /// Places it adds for the song's chords.
    pub places: usize,
    /// Joins by pedals alone that it adds.
    pub joins: usize,
}

impl Idea {
    /// What it would do, in words.
    #[must_use]
    pub fn words(&self) -> Said {
        let set: StringSet = self.change.strings();
        let by = self.change.pulls.first().map_or(0.0, |pull| pull.by.0 / 100.0);
        let step = if by.abs() < 1.5 {
            said!("a half step")
        } else {
            said!("a whole step")
        };
        let strings = said!(set.len() => "string {strings}", "strings {strings}", strings = set);
        let control = self.change.control;
        if by > 0.0 {
            said!(
                "A lever ({control}) that raises {strings} by {step}",
                control,
                strings,
                step
            )
        } else {
            said!(
                "A lever ({control}) that lowers {strings} by {step}",
                control,
                strings,
                step
            )
        }
    }
}

/// The most ideas that are told.
const MOST: usize = 4;
/// How far a string may be moved in an idea, in half steps.
const STEPS: [f64; 4] = [1.0, 2.0, -1.0, -2.0];

/// Ideas for a lever on the first free control, the best first: each string, and strings of one name together, up and
/// down by a half and a whole step. What brings a string nearer to breaking than strings are usually used is not
/// among them. None when nothing helps.
///
/// # Errors
/// When the instrument has no room for another change, or the song has no chord.
pub fn what_if(ask: &AskWhatIf, bench: &mut dyn Bench) -> Result<Vec<Idea>, Refused> {
    let AskWhatIf { instrument, song } = ask;
    // A lever more leaves the slants what they are: nothing is pressed under them.
    let slants = slants(instrument, song);
    let now = Worth::beside(instrument, song, &slants);
    if now.chords.is_empty() {
        return Err(Refused(said!(
            "Write the song's chords first: there is nothing to help yet."
        )));
    }
    let free = controls().find(|control| instrument.changes.iter().all(|change| change.control != *control));
    let control = free.filter(|_| instrument.changes.len() < crate::steel::ChangeId::MOST);
    let control = control.ok_or_else(|| {
        Refused(said!(
            "There is no room for another pedal or lever: remove one first, and ask again."
        ))
    })?;
    let candidates = candidates(instrument);
    let mut ideas: Vec<(usize, Idea)> = Vec::new();
    #[allow(clippy::cast_precision_loss, reason = "a few dozen")]
    for (done, pulls) in candidates.iter().enumerate() {
        bench.going(Progress::of(done as f64, candidates.len() as f64));
        let change = Change {
            name: free_name(instrument, control),
            control,
            pulls: pulls.clone(),
            half: None,
        };
        let mut with = instrument.clone();
        with.changes.push(change.clone());
        if is_strained(&with, instrument) {
            continue;
        }
        let then = Worth::beside(&with, song, &slants);
        let gain = then.sum().saturating_sub(now.sum());
        if gain > 0 {
            let (places, joins) = (
                then.places().saturating_sub(now.places()),
                then.joins.saturating_sub(now.joins),
            );
            ideas.push((gain, Idea { change, places, joins }));
        }
    }
    // Of two that bring as much, the one that pulls less comes first.
    ideas.sort_by_key(|(gain, idea)| (std::cmp::Reverse(*gain), idea.change.pulls.len()));
    Ok(ideas.into_iter().take(MOST).map(|(_, idea)| idea).collect())
}

/// What a lever could pull.
fn candidates(instrument: &Instrument) -> Vec<Vec<Pull>> {
    let strings: Vec<StringNumber> = instrument.string_numbers().collect();
    let class = |string: &StringNumber| instrument.strings.get(string.index()).map(|s| s.pitch.name.class());
    let mut groups: BTreeSet<Vec<StringNumber>> = strings.iter().map(|string| vec![*string]).collect();
    for string in &strings {
        groups.insert(
            strings
                .iter()
                .copied()
                .filter(|other| class(other) == class(string))
                .collect(),
        );
    }
    let by =
        |group: &Vec<StringNumber>, step: f64| group.iter().map(|s| Pull::whole(*s, Cents(100.0 * step))).collect();
    let all = groups.iter().flat_map(|group| STEPS.map(|step| by(group, step)));
    all.filter(|pulls: &Vec<Pull>| instrument.changes.iter().all(|change| change.pulls != *pulls))
        .collect()
}

/// Whether a string would be used beyond the usual by what was added.
fn is_strained(with: &Instrument, before: &Instrument) -> bool {
    strains(with)
        .iter()
        .zip(strains(before))
        .any(|(then, now)| then.is_high() && then.most > now.most)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::reading::Reading;

    struct Still;

    impl Bench for Still {
        fn going(&mut self, _: Progress) {}
        fn put(&mut self, _: usize, _: &[u8]) -> Result<(), Refused> {
            Ok(())
        }
    }

    fn song(chart: &str) -> Timeline {
        (*Reading::of(chart).song.unwrap()).clone()
    }

    /// Common practice, no source: with no pedal pressed a major chord lies at one fret of the octave, with A and B
    /// at another, with A and F at a third.
    #[test]
    fn the_common_e9_has_a_major_chord_in_all_inversions() {
        let e9 = Instrument::shipped("e9").unwrap();
        let worth = Worth::of(&e9, &song("key Bb; 1 1 1 1"));
        assert_eq!(worth.chords.len(), 1);
        assert!(
            worth.chords[0]
                .inversions
                .starts_with(&[Inversion::Root, Inversion::First, Inversion::Second])
        );
        assert_eq!(worth.joins, 0, "one chord joins nothing");
    }

    #[test]
    fn pedals_join_one_and_four_oftener_than_the_open_strings_do() {
        let e9 = Instrument::shipped("e9").unwrap();
        let song = song("key Bb; 1 4 1 4");
        let with = Worth::of(&e9, &song);
        let mut bare = e9.clone();
        bare.changes.clear();
        let without = Worth::of(&bare, &song);
        // The open strings hold E and, on 1, 2 and 5 and on 1, 2 and 10, B: 4 and 1 at one fret either way round.
        assert_eq!(without.joins, 2);
        assert!(with.joins > without.joins, "{with:?}");
        assert!(without.places() < with.places());
    }

    #[test]
    fn an_instrument_without_the_b_pedal_is_told_of_it() {
        // Without what raises a G#, the 4 has no A beside the open strings.
        let mut e9 = Instrument::shipped("e9").unwrap();
        e9.changes.retain(|change| change.name == "A");
        let ask = AskWhatIf {
            instrument: e9.clone(),
            song: song("key Bb; 1 4 5 1"),
        };
        let ideas = what_if(&ask, &mut Still).unwrap();
        let raises = |idea: &Idea| {
            idea.change
                .pulls
                .iter()
                .all(|p| [3, 6].contains(&p.string.number()) && p.by.0 == 100.0)
        };
        assert!(
            ideas.iter().any(raises),
            "{:?}",
            ideas.iter().map(Idea::words).collect::<Vec<_>>()
        );
        // What is told is what is found when it is done.
        let now = Worth::of(&e9, &ask.song);
        for idea in &ideas {
            let mut with = e9.clone();
            with.changes.push(idea.change.clone());
            let then = Worth::of(&with, &ask.song);
            assert_eq!(
                (idea.places, idea.joins),
                (then.places() - now.places(), then.joins - now.joins)
            );
        }
    }

    #[test]
    fn without_pedals_what_only_a_slant_brings_is_counted_and_no_lever_is_praised_for_it() {
        let lap = Instrument::shipped("c6-lap-6").unwrap();
        let song = song("key Bb; 1 17 4 57");
        let worth = Worth::of(&lap, &song);
        let seventh = worth.chords.iter().find(|chord| chord.number == "17").unwrap();
        // The strings are C E G A C E: no straight bar has a third and a minor seventh.
        assert_eq!(seventh.places, 0);
        assert!(seventh.slanted > 0 && !seventh.inversions.is_empty(), "{seventh:?}");
        let pedals = Worth::of(&Instrument::shipped("e9").unwrap(), &song);
        assert!(pedals.chords.iter().all(|chord| chord.slanted == 0));
        let slants = slants(&lap, &song);
        let gain = |with: &Instrument, slants: &Slants| -> usize {
            Worth::beside(with, &song, slants).places() - Worth::beside(&lap, &song, slants).places()
        };
        let tried: Vec<(usize, usize)> = candidates(&lap)
            .into_iter()
            .map(|pulls| {
                let mut with = lap.clone();
                with.changes.push(Change {
                    name: "X".to_owned(),
                    control: crate::steel::Control::Pedal(1),
                    pulls,
                    half: None,
                });
                (gain(&with, &slants), gain(&with, &Slants::new()))
            })
            .collect();
        assert!(tried.iter().all(|(with_slants, bare)| with_slants <= bare));
        assert!(tried.iter().any(|(with_slants, bare)| with_slants < bare), "{tried:?}");
    }

    #[test]
    fn no_idea_breaks_a_string_and_a_full_instrument_is_told_so() {
        let mut e9 = Instrument::shipped("e9").unwrap();
        let song = song("key Bb; 1 4 5 1");
        let ask = |instrument: &Instrument| AskWhatIf {
            instrument: instrument.clone(),
            song: song.clone(),
        };
        for idea in what_if(&ask(&e9), &mut Still).unwrap() {
            let raised = idea
                .change
                .pulls
                .iter()
                .any(|p| p.string.number() == 3 && p.by.0 > 100.0);
            assert!(!raised, "{}", idea.words().english());
        }
        while e9.changes.len() < 16 {
            e9 = crate::app::workshop::Edit::AddChange.applied(&e9).unwrap();
        }
        assert!(what_if(&ask(&e9), &mut Still).is_err());
    }
}
