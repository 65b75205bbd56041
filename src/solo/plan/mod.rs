//! The planner: a chart and a request become passes a body can play.
//!
//! How: `layout` decides phrases, rhythm, the returning figure and the arc; `generate` proposes moves for every
//! slot; `search` picks the cheapest playable chain. Same brief, same passes.
//!
//! *Invariant:* what leaves here is clean by [`super::playable`] and [`super::rules`]: a move that is not is taken out.

mod arc;
mod candidate;
mod dynamics;
mod figure;
mod generate;
mod layout;
mod palette;
mod phrase;
mod refill;
mod search;
mod slant;
mod slot;
mod unmet;
mod weights;

use super::feel::Feel;
use super::limits::Limits;
use super::moves::{Kind, Move};
use super::pass::Pass;
use super::playable;
use super::reach::Reach;
use super::request::{Ending, Entry, Request};
use super::rules;
use crate::steel::Instrument;
use crate::theory::{Beats, Chord, ChordSpan, Hit, NoteNumber, Timeline, scale};
pub(super) use arc::wished_fret;
pub(super) use refill::Way;

use crate::words::Said;
use candidate::{Bench, Candidate, ranked};
use palette::{Notes, Voicing};
use search::Search;
use serde::{Deserialize, Serialize};
use slot::Slot;
use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;
use thiserror::Error;

/// Passes drafted at once.
const PASSES: u64 = 3;

/// Everything the planner needs to know.
#[derive(Debug, Clone, Copy)]
pub struct Brief<'a> {
    /// The song.
    pub timeline: &'a Timeline,
    /// The instrument.
    pub instrument: &'a Instrument,
    /// The attitude.
    pub feel: &'a Feel,
    /// What the player can do.
    pub limits: &'a Limits,
    /// The wish.
    pub request: &'a Request,
}

/// Something the player should know about a draft.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Remark {
    /// The instrument has no third of this chord together with another tone.
    Thinned {
        /// The chord's number as written.
        number: String,
        /// Its name.
        chord: String,
    },
    /// No move could be joined here in time.
    LeftOut {
        /// Which of the draft's passes, from 0.
        pass: usize,
        /// Bar, counted from 1.
        bar: usize,
    },
    /// The wish for the entry could not be met.
    EntryUnmet(Entry),
    /// The wish for the ending could not be met.
    EndingUnmet(Ending),
    /// Notes of the player's motif that could not be met.
    MotifUnmet {
        /// Which of the draft's passes, from 0.
        pass: usize,
        /// How many of them.
        missed: usize,
        /// Of how many.
        of: usize,
        /// The first bar with one, counted from 1.
        bar: usize,
    },
    /// Notes of the melody to shadow that could not be met.
    MelodyUnmet {
        /// Which of the draft's passes, from 0.
        pass: usize,
        /// How many of them.
        missed: usize,
        /// Of how many.
        of: usize,
        /// The first bar with one, counted from 1.
        bar: usize,
    },
    /// A bar of the melody is longer than its bar of the song, in whose felt beats it is cut off.
    MelodyCut {
        /// The bar, counted from 1.
        bar: usize,
        /// How many felt beats it has.
        beats: usize,
    },
    /// The melody has more bars than the solo.
    MelodyLong {
        /// How many bars the solo has.
        bars: usize,
    },
    /// The player's motif is longer than a bar, in whose felt beats it is cut off.
    MotifCut {
        /// How many felt beats a bar has.
        beats: usize,
    },
    /// Most of a pass lies on strings that are not among the favoured ones.
    StringsUnmet {
        /// Which of the draft's passes, from 0.
        pass: usize,
    },
    /// A place on the neck is far from the wish.
    PlaceUnmet {
        /// Which of the draft's passes, from 0.
        pass: usize,
        /// Which place.
        point: Point,
        /// The wished-for fret.
        wished: u8,
        /// The fret it has become.
        is: u8,
    },
}

impl Remark {
    /// Which of the draft's passes it is about, from 0; nothing where it is about all.
    #[must_use]
    pub fn pass(&self) -> Option<usize> {
        match self {
            Self::LeftOut { pass, .. }
            | Self::MotifUnmet { pass, .. }
            | Self::MelodyUnmet { pass, .. }
            | Self::StringsUnmet { pass }
            | Self::PlaceUnmet { pass, .. } => Some(*pass),
            Self::Thinned { .. }
            | Self::EntryUnmet(_)
            | Self::EndingUnmet(_)
            | Self::MotifCut { .. }
            | Self::MelodyCut { .. }
            | Self::MelodyLong { .. } => None,
        }
    }
}

/// A place on the neck that a request names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Point {
    /// Where the solo begins.
    Start,
    /// Its highest place.
    High,
    /// Where it ends.
    End,
}

/// Passes to choose from, and what to know about them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Draft {
    /// Distinct passes; never empty.
    pub passes: Vec<Pass>,
    /// Each once.
    pub remarks: Vec<Remark>,
}

/// Why nothing can be drafted.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum PlanError {
    /// Nothing to play over.
    EmptyChart,
    /// The request's bars are not in the song.
    NoSuchBars {
        /// First bar asked for, from 1.
        from: usize,
        /// Last bar asked for.
        to: usize,
        /// How many the song has.
        bars: usize,
    },
    /// Nothing is strung.
    NoStrings,
}

impl PlanError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::EmptyChart => said!("the chart has no bars to play over: write some numbers, such as 1 4 5 1"),
            Self::NoSuchBars { from, to, bars } => said!(
                "bars {from} to {to} are not in this song, which has {bars}: choose bars within it",
                from,
                to,
                bars
            ),
            Self::NoStrings => said!("this instrument has no strings: choose another, or add strings to it"),
        }
    }
}

/// Drafts passes for a brief.
///
/// # Errors
/// When there is nothing to play over or with; the message says what to do.
pub fn draft(brief: &Brief<'_>) -> Result<Draft, PlanError> {
    let bars = wanted_bars(brief)?;
    if brief.instrument.strings.is_empty() {
        return Err(PlanError::NoStrings);
    }
    let workshop = Workshop::new(brief);
    let mut draft = Draft {
        passes: Vec::new(),
        remarks: Vec::new(),
    };
    for index in 0..PASSES {
        let seed = brief.request.seed.wrapping_mul(PASSES).wrapping_add(index);
        let (pass, remarks) = workshop.pass(bars.clone(), seed, draft.passes.len());
        if draft.passes.iter().any(|p| p.moves == pass.moves) {
            continue;
        }
        draft.passes.push(pass);
        for remark in remarks {
            if !draft.remarks.contains(&remark) {
                draft.remarks.push(remark);
            }
        }
    }
    Ok(draft)
}

fn wanted_bars(brief: &Brief<'_>) -> Result<Range<usize>, PlanError> {
    let all = brief.timeline.bars.len();
    if all == 0 || brief.timeline.spans.is_empty() {
        return Err(PlanError::EmptyChart);
    }
    match &brief.request.bars {
        None => Ok(0..all),
        Some(bars) if bars.start < bars.end && bars.end <= all => Ok(bars.clone()),
        Some(bars) => Err(PlanError::NoSuchBars {
            from: bars.start + 1,
            to: bars.end,
            bars: all,
        }),
    }
}

/// What all passes of a brief share.
pub(super) struct Workshop<'a> {
    brief: Brief<'a>,
    reach: Reach<'a>,
    notes: Notes,
    voicings: HashMap<Chord, Vec<Voicing>>,
}

impl<'a> Workshop<'a> {
    fn new(brief: &Brief<'a>) -> Self {
        let mut workshop = Self::empty(brief);
        for span in &brief.timeline.spans {
            workshop.learn(&span.chord);
        }
        workshop
    }

    /// A workshop that knows no chord yet.
    pub(super) fn empty(brief: &Brief<'a>) -> Self {
        let reach = Reach::new(brief.instrument, brief.limits, brief.timeline.tempo);
        let slants = brief.request.slants.on(brief.instrument);
        let notes = Notes::new(&reach, slants, |s| brief.request.allows(s));
        Self {
            brief: *brief,
            reach,
            notes,
            voicings: HashMap::new(),
        }
    }

    /// Finds every way to sound a chord, once.
    pub(super) fn learn(&mut self, chord: &Chord) {
        let find = || palette::voicings(self.brief.instrument, &self.notes, chord);
        self.voicings.entry(*chord).or_insert_with(find);
    }

    /// One pass for one seed, the draft's `number`th from 0.
    fn pass(&self, bars: Range<usize>, seed: u64, number: usize) -> (Pass, Vec<Remark>) {
        let mut rng = fastrand::Rng::with_seed(seed);
        let slots = layout::lay_out(&self.brief, bars, &mut rng);
        let mut remarks = self.thinned(&slots);
        let ceiling = self.ceiling(&slots);
        let mut search = Search::new(self.reach, &self.notes);
        for slot in &slots {
            let mut candidates = self.candidates(slot, &search, &mut remarks);
            // Where the bar is never slanted, a seed gives what it gave before there were slants.
            let drawn = |k: Kind| k != Kind::Slant || !self.notes.slanted.is_empty();
            let mut mood = |k| {
                if drawn(k) {
                    rng.f64() * weights::KIND_SPREAD
                } else {
                    0.0
                }
            };
            let moods = Kind::ALL.map(&mut mood);
            for candidate in &mut candidates {
                candidate.cost += rng.f64() * weights::SPREAD + moods[candidate.action.kind as usize];
            }
            let mut kept = under(ceiling, slot.peak, candidates);
            kept.sort_by(|a, b| a.cost.total_cmp(&b.cost));
            kept.truncate(weights::KEPT);
            if !search.add(slot, kept) {
                let bar = slot
                    .onsets
                    .first()
                    .and_then(|o| self.brief.timeline.bar_index_at(o.at))
                    .map_or(0, |b| b + 1);
                remarks.push(Remark::LeftOut { pass: number, bar });
            }
        }
        let moves = search.finish().into_iter().map(|c| Arc::new(c.action)).collect();
        let pass = Pass {
            moves,
            request: self.brief.request.clone(),
            length: self.brief.timeline.length(),
        };
        let pass = self.cleaned(pass, number, &mut remarks);
        remarks.extend(unmet::remarks(&self.brief, &pass, &slots, number));
        (pass, remarks)
    }

    fn bench<'b>(&'b self, slot: &'b Slot) -> Option<Bench<'b>> {
        let span = self.brief.timeline.spans.get(slot.span)?;
        let (chord, fits) = classes(span);
        Some(Bench {
            reach: self.reach,
            feel: self.brief.feel,
            request: self.brief.request,
            notes: &self.notes,
            slot,
            voicings: ranked(
                self.voicings.get(&span.chord)?,
                slot,
                self.brief.feel,
                self.brief.request,
            ),
            scale: fits,
            chord,
            root: span.chord.root.class(),
            wave: self.brief.feel.wave(self.brief.timeline.tempo),
        })
    }

    /// The slot's candidates that answer the wishes for entry and ending; all of them where none does.
    fn candidates(&self, slot: &Slot, search: &Search<'_>, remarks: &mut Vec<Remark>) -> Vec<Candidate> {
        let Some(bench) = self.bench(slot) else {
            return Vec::new();
        };
        let mut from = Vec::new();
        for grip in search.reachable().iter().map(|c| c.last.grip) {
            if !from.contains(&grip) {
                from.push(grip);
            }
        }
        let all = generate::candidates(&bench, &from);
        let request = self.brief.request;
        let wished = |c: &Candidate| generate::answers(request, c.action.kind, slot.first, slot.last);
        if !(slot.first || slot.last) || all.iter().any(wished) {
            return all.into_iter().filter(wished).collect();
        }
        if slot.first && request.entry != Entry::Any {
            remarks.push(Remark::EntryUnmet(request.entry));
        }
        if slot.last && request.ending != Ending::Any {
            remarks.push(Remark::EndingUnmet(request.ending));
        }
        all
    }

    /// The top note of the high point: nothing else in the solo reaches it.
    fn ceiling(&self, slots: &[Slot]) -> Option<NoteNumber> {
        let slot = slots.iter().find(|s| s.peak)?;
        let bench = self.bench(slot)?;
        let mut all = generate::candidates(&bench, &[]);
        all.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        all.iter().take(weights::PEAK_CHOICE).map(|c| c.highest).max()
    }

    /// Chords of which no grip of two strings or more holds the third.
    fn thinned(&self, slots: &[Slot]) -> Vec<Remark> {
        let mut remarks = Vec::new();
        for span in slots.iter().filter_map(|s| self.brief.timeline.spans.get(s.span)) {
            let tones: Vec<_> = span.chord.tones().map(|(_, n)| n.class()).collect();
            let third = tones.get(1).filter(|_| tones.len() > 2);
            let whole =
                |v: &Voicing| v.notes.len() > 1 && third.is_none_or(|t| v.notes.iter().any(|n| n.class() == *t));
            let remark = Remark::Thinned {
                number: span.numeral.to_string(),
                chord: span.chord.to_string(),
            };
            let sounds = self.voicings.get(&span.chord).is_some_and(|all| all.iter().any(whole));
            if span.hit != Hit::Rest && !sounds && !remarks.contains(&remark) {
                remarks.push(remark);
            }
        }
        remarks
    }

    /// Takes out any move that breaks a limit or a rule once it is woven with its neighbours.
    fn cleaned(&self, mut pass: Pass, number: usize, remarks: &mut Vec<Remark>) -> Pass {
        let Brief {
            timeline,
            instrument,
            limits,
            ..
        } = self.brief;
        loop {
            let performance = pass.performance(instrument, limits, timeline.tempo);
            let breaches = playable::report(&performance, instrument, timeline.tempo, limits);
            let clashes = rules::clashes(&performance, instrument, timeline);
            let first = breaches
                .iter()
                .map(|b| b.at)
                .chain(clashes.iter().map(|c| c.at))
                .reduce(Beats::min);
            let Some(at) = first else { return pass };
            let after = pass.moves.partition_point(|m| m.at <= at + weights::RINGING_GAP);
            if after == 0 {
                return pass;
            }
            let gone: Arc<Move> = pass.moves.remove(after - 1);
            remarks.push(Remark::LeftOut {
                pass: number,
                bar: timeline.bar_index_at(gone.at).map_or(0, |b| b + 1),
            });
        }
    }
}

/// Keeps the high point the only one: the peak reaches the ceiling, all else stays below, where that leaves anything.
fn under(ceiling: Option<NoteNumber>, peak: bool, candidates: Vec<Candidate>) -> Vec<Candidate> {
    let Some(ceiling) = ceiling else { return candidates };
    let fits = |c: &Candidate| (c.highest >= ceiling) == peak;
    if candidates.iter().any(fits) {
        candidates.into_iter().filter(fits).collect()
    } else {
        candidates
    }
}

/// Which pitch classes are the chord's, and which fit it in its key.
fn classes(span: &ChordSpan) -> ([bool; 12], [bool; 12]) {
    let mut chord = [false; 12];
    for (_, name) in span.chord.tones() {
        chord[usize::from(name.class().number())] = true;
    }
    let mut fits = [false; 12];
    for name in scale::for_span(span).notes() {
        fits[usize::from(name.class().number())] = true;
    }
    (chord, fits)
}
