//! The signs of tablature, and which of them a performance asks for.

use super::{Explained, rakes};
use crate::solo::{BarMovement, Block, Cause, End, Motion, Note, Performance, Touch, notes};
use crate::steel::{ChangeId, Control, Fret, Instrument, StringNumber, Travel};
use crate::theory::{Beats, Tempo, rank};
use crate::words::Said;

/// Travel from which a change counts as pressed half, and from which as pressed fully.
const HALF_FROM: f64 = 0.25;
const FULL_FROM: f64 = 0.75;
/// A bar this close to a fret is at the fret.
const ON_THE_FRET: f64 = 0.12;
/// A glide shorter than this at the pluck is not written: the hand was there.
const LEAST_GLIDE: f64 = 0.3;
/// Silence shorter than this after a block is ordinary blocking and is not written.
const LEAST_STOP: Beats = Beats(0.5);

/// How the work of pedals and levers is written after the fret.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Signs {
    /// By the change's letter, "3A", as pedal players write.
    #[default]
    Letters,
    /// By how far the string is raised or lowered, "3##", as lap players write.
    Accidentals,
}

/// Before a pick: the thumb is drawn over the string and its neighbours.
pub(crate) const RAKE: &str = "^";

/// How far a change is pressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lean {
    /// Half way.
    Half,
    /// To its stop.
    Full,
}

/// Up or down the neck.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Towards the bridge.
    Up,
    /// Towards the nut.
    Down,
}

/// Where a string is stopped: the fret and what is pressed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// The fret as written: "8", or "7.5" between frets.
    pub fret: String,
    /// The letters or accidentals after it, such as "A" or "A½".
    pub signs: String,
}

/// One sign in a cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Mark {
    /// The string is plucked.
    Pick {
        /// Where.
        step: Step,
        /// For a harmonic: how many frets above the bar it is touched.
        harmonic: Option<u8>,
        /// Whether the thumb is drawn over it and its neighbours, from the lowest up.
        raked: bool,
    },
    /// The ringing string arrives by a slide.
    Slide(Way, Step),
    /// The ringing string arrives by a pedal or lever.
    Press(Step),
    /// The ringing string stays where it is while the bar turns over it.
    Hold(Step),
    /// The ringing string slides away and is lost.
    Away(Way),
    /// The string is stopped and stays silent.
    Stop,
}

impl Mark {
    /// The sign as plain text.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::Pick { step, harmonic, raked } => {
                let rake = if *raked { RAKE } else { "" };
                let touch = match harmonic {
                    None => String::new(),
                    Some(12) => "*".to_owned(),
                    Some(above) => format!("*{above}"),
                };
                format!("{rake}{}{}{touch}", step.fret, step.signs)
            }
            Self::Slide(way, step) => format!("{}{}{}", way.sign(), step.fret, step.signs),
            Self::Press(step) => format!("~{}{}", step.fret, step.signs),
            Self::Hold(step) => format!("={}{}", step.fret, step.signs),
            Self::Away(way) => way.sign().to_owned(),
            Self::Stop => "x".to_owned(),
        }
    }
}

impl Way {
    /// A stroke that rises or falls.
    #[must_use]
    pub fn sign(self) -> &'static str {
        match self {
            Self::Up => "/",
            Self::Down => "\\",
        }
    }

    fn between(from: Fret, to: Fret) -> Self {
        if to.0 >= from.0 { Self::Up } else { Self::Down }
    }
}

/// A sign with its moment and string.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Event {
    pub at: Beats,
    pub string: StringNumber,
    pub mark: Mark,
    /// The changes whose letters stand in it.
    pub letters: Vec<(ChangeId, Lean)>,
}

/// All signs of a performance in order of time.
pub(super) fn events(performance: &Performance, instrument: &Instrument, tempo: Tempo, signs: Signs) -> Vec<Event> {
    let slanted = !performance.slant.is_still_at_zero();
    let reader = Reader {
        performance,
        instrument,
        signs,
        turns: if slanted {
            performance.bar_movements()
        } else {
            Vec::new()
        },
    };
    let notes = notes(performance, instrument, tempo);
    let rakes = rakes::begun(&performance.plucks, tempo);
    let begun = |note: &Note| {
        let first = performance.plucks.partition_point(|pluck| pluck.at < note.pluck.at);
        let from_there = performance.plucks.get(first..)?;
        let own = from_there.iter().position(|pluck| *pluck == note.pluck)?;
        rakes.get(first + own).copied().flatten()
    };
    let mut events: Vec<Event> = notes.iter().flat_map(|note| reader.note(note, begun(note))).collect();
    events.extend(performance.blocks.iter().flat_map(|block| reader.stops(block, &notes)));
    events.sort_by_cached_key(|e| (rank(e.at.0), i64::from(e.string.number())));
    events
}

/// Movements of one note that overlap, taken as one.
struct Move {
    start: Beats,
    end: Beats,
    bar: Option<(Fret, Fret)>,
}

fn moves(motions: &[Motion]) -> Vec<Move> {
    let mut found: Vec<Move> = Vec::new();
    for motion in motions {
        let bar = match motion.cause {
            Cause::Bar { from, to } => Some((from, to)),
            Cause::Change { .. } => None,
        };
        match found.last_mut() {
            Some(last) if motion.start < last.end || motion.start == last.start => {
                last.end = last.end.max(motion.end);
                last.bar = match (last.bar, bar) {
                    (Some((from, _)), Some((_, to))) => Some((from, to)),
                    (one, other) => one.or(other),
                };
            }
            _ => found.push(Move {
                start: motion.start,
                end: motion.end,
                bar,
            }),
        }
    }
    found
}

struct Reader<'a> {
    performance: &'a Performance,
    instrument: &'a Instrument,
    signs: Signs,
    /// The bar's movements, where it is ever slanted.
    turns: Vec<BarMovement>,
}

impl Reader<'_> {
    /// The signs of a note; `rake` is when the rake begins that it belongs to.
    fn note(&self, note: &Note, rake: Option<Beats>) -> Vec<Event> {
        let string = note.string();
        let start = note.start();
        let moves = moves(&note.motions);
        let mut at_pick = self.stopped(string, start);
        let mut written = Vec::new();
        for (index, each) in moves.iter().enumerate() {
            let slide = each.bar.filter(|(from, to)| (to.0 - from.0).abs() >= LEAST_GLIDE);
            if index == 0 && each.start <= start {
                match (slide, each.bar) {
                    (Some((from, to)), _) => at_pick = behind(from, to),
                    (None, Some((_, to))) => at_pick = to,
                    (None, None) => {}
                }
            }
            written.extend(self.arrival(note, each, slide));
        }
        let harmonic = match note.pluck.touch {
            Touch::Harmonic(above) => Some(above),
            Touch::Plain => None,
        };
        let (step, letters) = self.step(string, at_pick, start);
        let pick = Event {
            at: rake.unwrap_or(start),
            string,
            mark: Mark::Pick {
                step,
                harmonic,
                raked: rake.is_some(),
            },
            letters,
        };
        std::iter::once(pick).chain(written).chain(self.held(note)).collect()
    }

    /// Where the bar turns over a ringing string that stays where it is.
    fn held(&self, note: &Note) -> Vec<Event> {
        let string = note.string();
        let turns = self.turns.iter().filter(|m| {
            let (from, to) = (m.from.on(self.instrument, string), m.to.on(self.instrument, string));
            let turned = !(m.from.is_straight() && m.to.is_straight());
            let rings = note.start() < m.end && (m.end < note.end || note.ended_by == End::Over && m.end <= note.end);
            turned && rings && m.start >= note.start() && (to.0 - from.0).abs() < LEAST_GLIDE
        });
        turns
            .map(|m| {
                let (step, letters) = self.step(string, self.stopped(string, m.end), m.end);
                Event {
                    at: m.end,
                    string,
                    mark: Mark::Hold(step),
                    letters,
                }
            })
            .collect()
    }

    fn stopped(&self, string: StringNumber, at: Beats) -> Fret {
        self.performance.fret_on(self.instrument, string, at)
    }

    fn arrival(&self, note: &Note, each: &Move, slide: Option<(Fret, Fret)>) -> Option<Event> {
        let string = note.string();
        let lost = each.end >= note.end && note.ended_by != End::Over;
        if lost {
            // Only a slide is heard to leave; a pedal let up as the string stops is not.
            let (from, to) = slide?;
            let at = each.start.max(note.start());
            return Some(Event {
                at,
                string,
                mark: Mark::Away(Way::between(from, to)),
                letters: Vec::new(),
            });
        }
        let (step, letters) = self.step(string, self.stopped(string, each.end), each.end);
        let before = self.step(string, self.stopped(string, each.start), each.start).0;
        let mark = match slide {
            Some((from, to)) => Mark::Slide(Way::between(from, to), step),
            None if step == before => return None,
            None => Mark::Press(step),
        };
        Some(Event {
            at: each.end,
            string,
            mark,
            letters,
        })
    }

    /// The strings that a block silences for long enough to be a sign of its own.
    fn stops(&self, block: &Block, notes: &[Note]) -> Vec<Event> {
        let soon = block.at + LEAST_STOP;
        let plucks = &self.performance.plucks;
        let next = plucks.get(plucks.partition_point(|p| p.at < block.at));
        let resumed = next.is_some_and(|p| p.at < soon);
        if resumed || self.performance.length <= soon {
            return Vec::new();
        }
        notes
            .iter()
            .filter(|n| n.end == block.at && matches!(n.ended_by, End::Block(_)) && block.strings.contains(n.string()))
            .map(|n| Event {
                at: block.at,
                string: n.string(),
                mark: Mark::Stop,
                letters: Vec::new(),
            })
            .collect()
    }

    /// How a string is stopped with the bar at `bar` and what is pressed at `at`.
    fn step(&self, string: StringNumber, bar: Fret, at: Beats) -> (Step, Vec<(ChangeId, Lean)>) {
        let mut letters = Vec::new();
        for (id, change) in self.instrument.change_ids().zip(&self.instrument.changes) {
            let Some(lean) = lean(self.performance.travel(id, at)) else {
                continue;
            };
            let works = change
                .pulls
                .iter()
                .any(|p| p.string == string && p.by.0 != 0.0 && travel_of(lean).part_between(p.from, p.to) > 0.0);
            if works {
                letters.push((id, lean));
            }
        }
        let signs = match self.signs {
            Signs::Letters => letters
                .iter()
                .map(|(id, lean)| letter(self.instrument, *id, *lean))
                .collect(),
            Signs::Accidentals => self.accidentals(string, at),
        };
        (
            Step {
                fret: fret_text(bar),
                signs,
            },
            letters,
        )
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn accidentals(&self, string: StringNumber, at: Beats) -> String {
        let pulled = self.instrument.pulled(string, |c| self.performance.travel(c, at));
        let sign = if pulled.0 < 0.0 { "b" } else { "#" };
        sign.repeat((pulled.0.abs() / 100.0).round() as usize)
    }
}

fn lean(travel: Travel) -> Option<Lean> {
    match travel.0 {
        t if t >= FULL_FROM => Some(Lean::Full),
        t if t >= HALF_FROM => Some(Lean::Half),
        _ => None,
    }
}

fn travel_of(lean: Lean) -> Travel {
    match lean {
        Lean::Half => Travel::HALF,
        Lean::Full => Travel::DOWN,
    }
}

fn letter(instrument: &Instrument, id: ChangeId, lean: Lean) -> String {
    let sign = instrument.changes.get(id.index()).map_or("", |c| c.name.as_str());
    match lean {
        Lean::Half => format!("{sign}½"),
        Lean::Full => sign.to_owned(),
    }
}

/// The whole fret a glide is heard to come from, on the far side of where it goes.
fn behind(from: Fret, to: Fret) -> Fret {
    let nearest = from.0.round();
    if (nearest - to.0).abs() >= 0.5 {
        return Fret(nearest);
    }
    Fret(if to.0 > from.0 { from.0.floor() } else { from.0.ceil() })
}

/// A bar position as written: a whole fret, or a tenth between two.
pub(crate) fn fret_text(fret: Fret) -> String {
    let nearest = fret.0.round();
    if (fret.0 - nearest).abs() <= ON_THE_FRET {
        format!("{nearest:.0}")
    } else {
        format!("{:.1}", fret.0)
    }
}

/// The signs in use, each with its meaning.
pub(super) fn legend(events: &[Event], instrument: &Instrument, signs: Signs) -> Vec<Explained> {
    let any = |test: fn(&Mark) -> bool| events.iter().any(|e| test(&e.mark));
    let mut found = Vec::new();
    let mut add = |used: bool, sign: &str, meaning: Said| {
        if used {
            found.push(Explained {
                sign: sign.to_owned(),
                meaning,
            });
        }
    };
    for (id, change) in instrument.change_ids().zip(&instrument.changes) {
        let used = signs == Signs::Letters && events.iter().any(|e| e.letters.iter().any(|(c, _)| *c == id));
        add(used, &change.name, control_words(change.control));
    }
    let half = events
        .iter()
        .any(|e| e.letters.iter().any(|(_, lean)| *lean == Lean::Half));
    add(half && signs == Signs::Letters, "½", said!("pressed half way"));
    let altered = signs == Signs::Accidentals && events.iter().any(|e| !e.letters.is_empty());
    add(altered, "# b", said!("the string is raised or lowered a semitone"));
    let goes = |way: Way| {
        events
            .iter()
            .any(|e| matches!(&e.mark, Mark::Slide(w, _) | Mark::Away(w) if *w == way))
    };
    add(
        any(|m| matches!(m, Mark::Pick { raked: true, .. })),
        RAKE,
        said!("raked: the thumb drawn from the lowest string up"),
    );
    add(goes(Way::Up), "/", said!("slide up, not picked again"));
    add(goes(Way::Down), "\\", said!("slide down, not picked again"));
    add(
        any(|m| matches!(m, Mark::Hold(_))),
        "=",
        said!("stays where it is while the bar turns"),
    );
    add(
        any(|m| matches!(m, Mark::Press(_))),
        "~",
        said!("pedal or lever moves while it rings"),
    );
    add(
        any(|m| matches!(m, Mark::Pick { harmonic: Some(12), .. })),
        "*",
        said!("harmonic, touched 12 frets above"),
    );
    let other = |m: &Mark| matches!(m, Mark::Pick { harmonic: Some(h), .. } if *h != 12);
    add(any(other), "*7", said!("harmonic, touched that many frets above"));
    add(any(|m| *m == Mark::Stop), "x", said!("stopped"));
    found
}

/// Where a pedal or lever is, in a few words.
pub(crate) fn control_words(control: Control) -> Said {
    match control {
        Control::Pedal(number) => said!("pedal {number}", number),
        Control::LeftKneeLeft => said!("left knee left"),
        Control::LeftKneeRight => said!("left knee right"),
        Control::LeftKneeVertical => said!("left knee up"),
        Control::RightKneeLeft => said!("right knee left"),
        Control::RightKneeRight => said!("right knee right"),
        Control::RightKneeVertical => said!("right knee up"),
    }
}
