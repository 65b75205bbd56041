//! A chart played out: repeats and endings followed, every chord given its moment.
//!
//! *Invariant:* key and metre belong to the place on the page: a repeat plays a bar in the key it is written in.

use super::bars;
use super::model::{Bar, Chart, Item, Slot};
use super::timeline::{ChordSpan, Hit, Timeline, TimelineBar};
use crate::theory::key::Key;
use crate::theory::numeral::Numeral;
use crate::theory::time::{Beats, Metre, Swing, Tempo};

/// The most bars a song is played out to.
pub const MOST_BARS: usize = 2000;

/// The tempo of a chart that gives none.
const USUAL_TEMPO: Tempo = Tempo(100.0);

/// A chart played out, and whether all of it was.
#[derive(Debug, Clone, PartialEq)]
pub struct Unrolled {
    /// The song in time.
    pub timeline: Timeline,
    /// Whether it ends where the chart does; a song of more than [`MOST_BARS`] bars is cut there.
    pub complete: bool,
}

impl Chart {
    /// The song in time: repeats and endings played out, pushed chords an eighth early. Cut at [`MOST_BARS`].
    ///
    /// ```
    /// use leadbar::theory::chart::parse;
    /// let song = parse("key A; |: 1 [1.] 4 :| [2.] 5").chart.timeline();
    /// let numbers: Vec<String> = song.spans.iter().map(|s| s.numeral.to_string()).collect();
    /// assert_eq!(numbers, ["1", "4", "1", "5"]);
    /// ```
    #[must_use]
    pub fn timeline(&self) -> Timeline {
        self.unrolled().timeline
    }

    /// As [`Self::timeline`], and whether the song was cut.
    #[must_use]
    pub fn unrolled(&self) -> Unrolled {
        let page = Page::of(self);
        let mut player = Player::new(self);
        let complete = page.play(&mut player);
        Unrolled {
            timeline: player.song,
            complete,
        }
    }
}

/// A bar with all that its place on the page gives it.
struct Placed<'a> {
    slots: &'a [Slot],
    key: Key,
    metre: Metre,
    written: usize,
}

/// What stands at each place of the chart, as far as playing needs it.
enum Step<'a> {
    Section(&'a str),
    Bar(Placed<'a>),
    RepeatFrom,
    /// Back to `start` until the pass is `times`; the last sign of a repeated part ends the count.
    RepeatTo {
        start: usize,
        times: u8,
        last: bool,
    },
    /// Plays in these passes; in others playing goes on at `skip`.
    Ending {
        endings: super::model::Endings,
        skip: Option<usize>,
    },
}

struct Page<'a> {
    steps: Vec<Step<'a>>,
}

impl<'a> Page<'a> {
    fn of(chart: &'a Chart) -> Self {
        let (mut key, mut metre) = (chart.key, chart.metre);
        let mut last: &[Slot] = &[];
        let mut written = 0;
        let mut steps = Vec::with_capacity(chart.items.len());
        for item in &chart.items {
            match item {
                Item::Section(name) => steps.push(Step::Section(name)),
                Item::Bar(bar) => {
                    if let Bar::Chords(slots) = bar {
                        last = slots;
                    }
                    steps.push(Step::Bar(Placed {
                        slots: last,
                        key,
                        metre,
                        written,
                    }));
                    written += 1;
                }
                Item::RepeatFrom => steps.push(Step::RepeatFrom),
                Item::RepeatTo(times) => steps.push(Step::RepeatTo {
                    start: 0,
                    times: times.0,
                    last: false,
                }),
                Item::Ending(endings) => steps.push(Step::Ending {
                    endings: *endings,
                    skip: None,
                }),
                Item::Metre(new) => metre = *new,
                Item::Key(change) => key = change.from(key),
                Item::Break(_) => {}
            }
        }
        let mut page = Self { steps };
        page.join_repeats();
        page.join_endings();
        page
    }

    /// Gives each repeat sign the place it leads back to and the number of its passes: those of its endings,
    /// where it has some.
    fn join_repeats(&mut self) {
        let mut start = 0;
        let mut last_pass = 0;
        let mut group: Vec<usize> = Vec::new();
        for at in 0..self.steps.len() {
            let ending_follows = matches!(self.steps.get(at + 1), Some(Step::Ending { .. }));
            match &mut self.steps[at] {
                Step::RepeatFrom => {
                    self.give_passes(&group, last_pass);
                    (start, last_pass) = (at + 1, 0);
                    group.clear();
                }
                Step::Ending { endings, .. } => last_pass = last_pass.max(endings.last()),
                Step::RepeatTo { start: back, last, .. } => {
                    *back = start;
                    *last = !ending_follows;
                    group.push(at);
                    if !ending_follows {
                        self.give_passes(&group, last_pass);
                        (start, last_pass) = (at + 1, 0);
                        group.clear();
                    }
                }
                _ => {}
            }
        }
        self.give_passes(&group, last_pass);
    }

    fn give_passes(&mut self, group: &[usize], last_pass: u8) {
        for at in group {
            if let Some(Step::RepeatTo { times, .. }) = self.steps.get_mut(*at) {
                *times = if last_pass > 0 { last_pass } else { *times };
            }
        }
    }

    /// Gives each ending the place where the next one begins, or where its repeat is over.
    fn join_endings(&mut self) {
        let mut next = None;
        for at in (0..self.steps.len()).rev() {
            match &mut self.steps[at] {
                Step::RepeatTo { .. } => next = Some(at + 1),
                Step::Ending { skip, .. } => {
                    *skip = next;
                    next = Some(at);
                }
                Step::RepeatFrom => next = None,
                _ => {}
            }
        }
    }

    /// Plays the page; answers whether it came to the end.
    ///
    /// It always ends: each way back raises the pass, which only falls again where a repeated part is left.
    fn play(&self, player: &mut Player) -> bool {
        let (mut at, mut pass) = (0, 1);
        while let Some(step) = self.steps.get(at) {
            at += 1;
            match step {
                Step::Section(name) => player.section = Some((*name).to_owned()),
                Step::Bar(_) if player.song.bars.len() == MOST_BARS => return false,
                Step::Bar(bar) => player.bar(bar),
                Step::RepeatFrom => pass = 1,
                Step::RepeatTo { start, times, .. } if pass < *times => {
                    pass += 1;
                    at = *start;
                }
                Step::RepeatTo { last: true, .. } => pass = 1,
                Step::RepeatTo { .. } => {}
                Step::Ending { endings, skip } => {
                    if let Some(skip) = skip.filter(|_| !endings.holds(pass)) {
                        at = skip;
                    }
                }
            }
        }
        true
    }
}

/// The song as far as it was played.
struct Player {
    song: Timeline,
    /// The section that the next bar opens.
    section: Option<String>,
    end: Beats,
}

impl Player {
    fn new(chart: &Chart) -> Self {
        Self {
            song: Timeline {
                key: chart.key,
                tempo: chart.tempo.unwrap_or(USUAL_TEMPO),
                swing: chart.swing,
                style: chart.style.clone(),
                bars: Vec::new(),
                spans: Vec::new(),
            },
            section: None,
            end: Beats::ZERO,
        }
    }

    fn bar(&mut self, bar: &Placed<'_>) {
        let start = self.end;
        let mut at = start;
        for (slot, length) in bar.slots.iter().zip(bars::lengths(bar.slots, bar.metre)) {
            self.span(slot, at, length, bar.key);
            at += length;
        }
        self.song.bars.push(TimelineBar {
            start,
            metre: bar.metre,
            section: self.section.take(),
            written: bar.written,
        });
        self.end = start + bar.metre.bar();
    }

    fn span(&mut self, slot: &Slot, at: Beats, length: Beats, key: Key) {
        let before = self.song.spans.last();
        let numeral = slot.numeral.or(before.map(|s| s.numeral)).unwrap_or(Numeral::ONE);
        let early = if slot.pushed { self.push() } else { Beats::ZERO };
        if let Some(before) = self.song.spans.last_mut() {
            before.length -= early;
        }
        self.song.spans.push(ChordSpan {
            start: at - early,
            length: length + early,
            bar: self.song.bars.len(),
            key,
            numeral,
            chord: numeral.chord(key),
            hit: if slot.numeral.is_some() { slot.hit } else { Hit::Rest },
            pushed: slot.pushed,
        });
    }

    /// How early a pushed chord comes: an eighth, the late one where the song swings, and never more than half
    /// of the chord before it. The first chord of a song has nothing to come early in.
    fn push(&self) -> Beats {
        let eighth = match self.song.swing {
            Swing::Straight => Beats(0.5),
            Swing::Swung => Beats(1.0 / 3.0),
        };
        self.song
            .spans
            .last()
            .map_or(Beats::ZERO, |before| eighth.min(before.length.scaled(0.5)))
    }
}
