//! Columns of signs turned into what the player does.
//!
//! Tab does not say when a ringing string is stopped unless silence follows, nor what stays pressed where nothing
//! shows it. So a string rings until something says otherwise, and feet and knees stay where they are until a sign
//! needs them elsewhere.

mod hands;

use super::super::marks::Way;
use super::TabProblem;
use super::grid::Column;
use super::signs::{Pressed, Sign};
use crate::solo::stroke::{Arrival, Attack, Grip, Stroke};
use crate::solo::{Kind, Move};
use crate::steel::{Fret, Instrument, Place, Slant, Stance, StringNumber, StringSet};
use crate::theory::Beats;
use crate::theory::chart;
use crate::words::Said;

/// How long bar or feet take to get somewhere while the strings ring.
const CARRY: Beats = Beats(0.25);
/// How far and how long a string slides when it slides away.
const AWAY: (u8, Beats) = (3, Beats(0.5));

/// The moves that the columns ask for.
pub(super) fn moves(
    columns: &[Column],
    instrument: &Instrument,
    end: Beats,
    problems: &mut Vec<TabProblem>,
) -> Vec<Move> {
    let mut reader = Reader {
        instrument,
        problems,
        end,
        fret: 0,
        slant: None,
        stance: Stance::OPEN,
        ringing: [None; StringNumber::MOST],
        picked_at: Vec::new(),
        drafts: Vec::new(),
    };
    for column in columns {
        reader.column(column);
    }
    reader.finish()
}

/// A string, the fret it is written at, and where that stands.
type Stopped = (StringNumber, u8, chart::Place);

/// A stroke with the end of each of its strings, where it is known.
struct Draft {
    stroke: Stroke,
    ends: [Option<Beats>; StringNumber::MOST],
}

struct Reader<'a> {
    instrument: &'a Instrument,
    problems: &'a mut Vec<TabProblem>,
    end: Beats,
    fret: u8,
    slant: Option<Slant>,
    stance: Stance,
    /// The draft that each ringing string was picked in.
    ringing: [Option<usize>; StringNumber::MOST],
    /// The moments of picks so far, rising.
    picked_at: Vec<Beats>,
    drafts: Vec<Draft>,
}

impl Reader<'_> {
    fn column(&mut self, column: &Column) {
        self.pick(column);
        self.arrive(column);
        self.away(column);
        self.stop(column);
    }

    /// The plucks of a column, all at one fret or under one slanted bar.
    fn pick(&mut self, column: &Column) {
        let mut picks = Vec::new();
        for (string, sign, place) in &column.signs {
            let Sign::Pick {
                fret,
                pressed,
                harmonic,
                raked,
            } = sign
            else {
                continue;
            };
            let whole = self.whole(*fret, *place);
            let own = match (*raked, *harmonic) {
                (_, Some(above)) => Attack::Harmonic(above),
                (true, None) => Attack::Raked,
                (false, None) => Attack::Plain,
            };
            let attack = picks.first().map_or(own, |(_, _, _, _, first)| *first);
            if attack != own {
                self.doubt(
                    *place,
                    said!("strings picked together are all begun alike: write * behind each or ^ before each, or pick them apart"),
                );
            }
            picks.push((*string, whole, pressed, *place, attack));
        }
        let Some((_, _, _, _, attack)) = picks.first().copied() else {
            return;
        };
        let stopped: Vec<Stopped> = picks
            .iter()
            .map(|(string, fret, _, place, _)| (*string, *fret, *place))
            .collect();
        let (fret, slant) = self.laid(&stopped);
        let strings: StringSet = picks.iter().map(|(string, ..)| *string).collect();
        let all: Vec<(StringNumber, &Pressed)> = picks
            .iter()
            .map(|(string, _, pressed, ..)| (*string, *pressed))
            .collect();
        self.stance = self.stance_for(&all);
        (self.fret, self.slant) = (fret, slant);
        let stroke = Stroke {
            attack,
            ..Stroke::struck(self.grip(strings), column.at, self.end)
        };
        for string in strings.iter() {
            self.ringing[string.index()] = Some(self.drafts.len());
        }
        if self.picked_at.last().is_none_or(|last| *last < column.at) {
            self.picked_at.push(column.at);
        }
        self.draft(stroke);
    }

    /// Ringing strings that come to another fret, or another stance.
    fn arrive(&mut self, column: &Column) {
        let mut strings = StringSet::EMPTY;
        let mut pressed = Vec::new();
        let mut stopped: Vec<Stopped> = Vec::new();
        for (string, sign, place) in &column.signs {
            match sign {
                Sign::Slide {
                    fret: to,
                    pressed: signs,
                    ..
                }
                | Sign::Press {
                    fret: to,
                    pressed: signs,
                }
                | Sign::Hold {
                    fret: to,
                    pressed: signs,
                } => {
                    let fret = self.whole(*to, *place);
                    if self.ringing[string.index()].is_none() {
                        self.doubt(
                            *place,
                            said!("string {string} does not ring here: pick it first, as in 3/5", string),
                        );
                        continue;
                    }
                    strings = strings.with(*string);
                    stopped.push((*string, fret, *place));
                    pressed.push((*string, signs));
                }
                _ => {}
            }
        }
        if strings.is_empty() {
            return;
        }
        let before = Place {
            slant: self.slant,
            ..Place::straight(self.fret, self.stance)
        };
        let stance = self.stance_for(&pressed);
        let (fret, slant) = self.laid(&stopped);
        let moved = if (fret, slant) == (self.fret, self.slant) {
            self.moved_between(self.stance, stance)
        } else {
            self.all_strings()
        };
        self.let_go(moved.minus(strings), column.at);
        (self.fret, self.slant, self.stance) = (fret, slant, stance);
        if !self.joins_the_pick(column, strings, before) {
            let time = if column.joined {
                self.since_last(column.at)
            } else {
                CARRY.min(self.since_last(column.at))
            };
            let carried = Stroke::struck(self.grip(strings), column.at - time, self.end);
            self.draft(carried.arriving(Arrival::Carried { time }));
            self.hand_on(strings);
        }
    }

    /// Turns the pick that the column stands right against into a slide or a squeeze, where it is one.
    fn joins_the_pick(&mut self, column: &Column, strings: StringSet, before: Place) -> bool {
        let grip = self.grip(strings);
        let Some(last) = self.drafts.last_mut().filter(|_| column.joined) else {
            return false;
        };
        let plain = last.stroke.arrival == Arrival::Struck && last.stroke.grip.strings == strings;
        let time = column.at - last.stroke.at;
        let lies = |p: Place| (p.fret, p.slant);
        let arrival = match (lies(before) == lies(grip.place), before.stance == grip.place.stance) {
            (false, true) if before.slant.is_none() => Arrival::Slid {
                from: before.bar(),
                time,
            },
            (true, false) => Arrival::Squeezed {
                from: before.stance,
                time,
            },
            _ => return false,
        };
        if plain && time > Beats::ZERO {
            (last.stroke.grip, last.stroke.arrival) = (grip, arrival);
        }
        plain && time > Beats::ZERO
    }

    /// Strings that slide away and are lost on the way.
    fn away(&mut self, column: &Column) {
        let lost = |way: Way| -> StringSet {
            let own = column.signs.iter().filter(|(_, sign, _)| *sign == Sign::Away(way));
            own.map(|(string, ..)| *string).collect()
        };
        for way in [Way::Up, Way::Down] {
            let strings = self.all_ringing().and(lost(way));
            if strings.is_empty() {
                continue;
            }
            self.let_go(self.all_strings().minus(strings), column.at);
            let (frets, time) = AWAY;
            self.slant = None;
            self.fret = match way {
                Way::Up => self.fret.saturating_add(frets),
                Way::Down => self.fret.saturating_sub(frets),
            };
            let stroke = Stroke::struck(self.grip(strings), column.at, column.at + time.scaled(0.5));
            self.draft(stroke.arriving(Arrival::Carried { time }));
            for string in strings.iter() {
                self.ringing[string.index()] = None;
            }
        }
    }

    /// Strings that are stopped; others that have been picked over since were stopped then.
    fn stop(&mut self, column: &Column) {
        let stopped: StringSet = column
            .signs
            .iter()
            .filter(|(_, sign, _)| *sign == Sign::Stop)
            .map(|(string, ..)| *string)
            .collect();
        if stopped.is_empty() {
            return;
        }
        let stale: StringSet = self
            .all_ringing()
            .minus(stopped)
            .iter()
            .filter(|s| self.picked_over(*s).is_some_and(|at| at < column.at))
            .collect();
        self.let_go(stale, column.at);
        for string in stopped.iter() {
            self.end(string, column.at);
        }
    }

    /// Ends ringing strings that no sign speaks of any more: at the first pick after their own, else at `at`.
    fn let_go(&mut self, strings: StringSet, at: Beats) {
        for string in strings.and(self.all_ringing()).iter() {
            let over = self.picked_over(string).map_or(at, |over| over.min(at));
            self.end(string, over);
        }
    }

    fn end(&mut self, string: StringNumber, at: Beats) {
        if let Some(draft) = self.ringing[string.index()].take().and_then(|i| self.drafts.get_mut(i)) {
            draft.ends[string.index()] = Some(at);
        }
    }

    /// When the first other pick came after a ringing string's own.
    fn picked_over(&self, string: StringNumber) -> Option<Beats> {
        let own = self.drafts.get(self.ringing[string.index()]?)?.stroke.at;
        let after = self.picked_at.partition_point(|at| *at <= own);
        self.picked_at.get(after).copied()
    }

    /// The strings are now carried by the newest draft, which says when they end.
    fn hand_on(&mut self, strings: StringSet) {
        let newest = self.drafts.len().checked_sub(1);
        for string in strings.iter() {
            self.ringing[string.index()] = newest;
        }
    }

    fn all_strings(&self) -> StringSet {
        self.instrument.string_numbers().collect()
    }

    fn all_ringing(&self) -> StringSet {
        self.all_strings()
            .iter()
            .filter(|s| self.ringing[s.index()].is_some())
            .collect()
    }

    fn since_last(&self, at: Beats) -> Beats {
        let last = self
            .drafts
            .last()
            .map_or(at, |d| d.stroke.at + d.stroke.arrival.settles_after());
        (at - last).max(Beats::ZERO)
    }

    fn grip(&self, strings: StringSet) -> Grip {
        Grip {
            place: Place {
                slant: self.slant,
                ..Place::straight(self.fret, self.stance)
            },
            strings,
        }
    }

    fn draft(&mut self, stroke: Stroke) {
        self.drafts.push(Draft {
            stroke,
            ends: [None; StringNumber::MOST],
        });
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // the reader of signs lets through 0 to 36
    fn whole(&mut self, fret: Fret, place: chart::Place) -> u8 {
        let whole = fret.0.round();
        if (whole - fret.0).abs() > 1e-9 {
            self.doubt(
                place,
                said!(
                    "a place between frets is not read from tab yet: {fret} is read as {whole}",
                    fret,
                    whole
                ),
            );
        }
        whole as u8
    }

    fn doubt(&mut self, place: chart::Place, words: Said) {
        self.problems.push(TabProblem { place, words });
    }

    /// The drafts as moves: each pick with what comes of it.
    fn finish(self) -> Vec<Move> {
        let mut moves: Vec<Move> = Vec::new();
        for stroke in self.drafts.iter().flat_map(Draft::strokes) {
            match moves.last_mut() {
                Some(last) if !stroke.arrival.plucks() => {
                    let at = stroke.at - last.at;
                    let until = stroke.until - last.at;
                    last.strokes.push(Stroke { at, until, ..stroke });
                }
                _ => moves.push(Move {
                    kind: kind(&stroke),
                    at: stroke.at,
                    length: Beats::ZERO,
                    strokes: vec![Stroke {
                        at: Beats::ZERO,
                        until: stroke.until - stroke.at,
                        ..stroke
                    }],
                    locked: false,
                }),
            }
        }
        let ends: Vec<Beats> = moves.iter().skip(1).map(|m| m.at).chain([self.end]).collect();
        for (action, end) in moves.iter_mut().zip(ends) {
            action.length = (end - action.at).max(Beats::ZERO);
        }
        moves
    }
}

impl Draft {
    /// The stroke with its most usual end; strings that end otherwise are told so by a stroke that moves nothing.
    fn strokes(&self) -> Vec<Stroke> {
        let strings = self.stroke.grip.strings;
        let end = |s: StringNumber| self.ends[s.index()].unwrap_or(self.stroke.until);
        let same = |s: StringNumber| strings.iter().filter(|o| end(*o) == end(s)).count();
        let Some(usual) = strings.iter().max_by_key(|s| same(*s)).map(end) else {
            return Vec::new();
        };
        let mut found = vec![Stroke {
            until: usual,
            ..self.stroke
        }];
        for string in strings.iter().filter(|s| end(*s) != usual) {
            let grip = Grip {
                strings: StringSet::EMPTY.with(string),
                ..self.stroke.grip
            };
            let held = Stroke::struck(grip, self.stroke.at, end(string));
            found.push(held.arriving(Arrival::Carried { time: Beats::ZERO }));
        }
        found
    }
}

/// What a player would call it.
fn kind(stroke: &Stroke) -> Kind {
    match (stroke.arrival, stroke.grip.strings.len()) {
        (Arrival::Slid { .. }, _) => Kind::SlideIn,
        (Arrival::Squeezed { .. }, _) => Kind::Squeeze,
        (Arrival::Carried { .. }, _) => Kind::Carry,
        _ if matches!(stroke.attack, Attack::Harmonic(_)) => Kind::Harmonic,
        _ if stroke.attack == Attack::Raked => Kind::Rake,
        (_, 1) => Kind::Run,
        (_, 2) => Kind::DoubleStop,
        _ => Kind::Strike,
    }
}
