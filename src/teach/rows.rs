//! Strokes as rows of text: `2.3 3-4-5 8 A+B slide 6 over 0.5`, one stroke a row.
//!
//! A row is bar and beat (`2.3`, `2.3.5` for half past), strings, fret and what is pressed (`-` for nothing, `A/2`
//! for a half), then how:
//!
//! | words | meaning |
//! |---|---|
//! | nothing | struck in place |
//! | `slide 6` | plucked at fret 6, the bar glides in |
//! | `squeeze -` | plucked with nothing pressed, then squeezed to what the row says |
//! | `lean A` | leaned to `A` and back |
//! | `slant 4>3+1` | the bar is turned: string 4 at the row's fret, string 3 one fret farther up |
//! | `carry` | not plucked: what rings is taken here |
//! | `over 0.5` | how long that takes, in beats; half a beat where it is not said |
//! | `until 3.1` | when it is stopped; at the next row where it is not said |
//! | `soft`, `loud`, `vibrato`, `swell` | colour |
//! | `rake`, `harmonic`, `fade-in` | how it is plucked: by a rake of the thumb, an octave up, with the volume pedal up |
//!
//! *Invariant:* what [`print()`] writes, [`parse()`] reads back as the same strokes.

use crate::solo::stroke::{Arrival, Attack, Grip, Stroke, Wave};
use crate::steel::{Fret, Instrument, Place, Slant, Stance, StringNumber, StringSet, Travel};
use crate::theory::{Beats, Cents, Hertz, Timeline};
use std::fmt::Write as _;

mod trouble;

pub use trouble::{RowError, RowTrouble};

/// How hard a stroke is unless it is said, and with `soft` and `loud`: 0..=1.
const STRENGTH: [f64; 3] = [0.7, 0.45, 0.95];
/// How long a movement takes unless it is said.
const OVER: Beats = Beats(0.5);
/// The vibrato a row asks for: within what singers and string players do (ICMPC 2000, vibrato).
const WAVE: Wave = Wave {
    rate: Hertz(5.5),
    depth: Cents(18.0),
    onset: Beats(0.5),
};
/// The most rows: more are no phrase.
const MOST_ROWS: usize = 400;

/// Reads rows for an instrument over a song; empty rows are passed over.
///
/// # Errors
/// Every row that cannot be read, with what to write instead.
pub fn parse(text: &str, instrument: &Instrument, timeline: &Timeline) -> Result<Vec<Stroke>, Vec<RowError>> {
    let reader = Reader { instrument, timeline };
    let mut errors = Vec::new();
    let mut strokes: Vec<(Stroke, bool)> = Vec::new();
    for (index, line) in text.lines().enumerate().filter(|(_, l)| !l.trim().is_empty()) {
        let row = index + 1;
        let read = reader.row(line).and_then(|read| in_order(strokes.last(), read));
        match read {
            Ok(_) if strokes.len() >= MOST_ROWS => {
                errors.push(RowError {
                    row,
                    trouble: RowTrouble::TooMany,
                });
                break;
            }
            Ok(read) => strokes.push(read),
            Err(trouble) => errors.push(RowError { row, trouble }),
        }
    }
    if errors.is_empty() {
        Ok(with_ends(strokes, timeline.length()))
    } else {
        Err(errors)
    }
}

fn in_order(last: Option<&(Stroke, bool)>, read: (Stroke, bool)) -> Result<(Stroke, bool), RowTrouble> {
    match last {
        Some((last, _)) if read.0.at <= last.at => Err(RowTrouble::Order),
        None if !read.0.arrival.plucks() => Err(RowTrouble::NothingRings),
        _ => Ok(read),
    }
}

/// The strokes, those without an end of their own lasting to the next one, and through it where it carries them.
fn with_ends(strokes: Vec<(Stroke, bool)>, length: Beats) -> Vec<Stroke> {
    let mut next: Option<Stroke> = None;
    let mut ended: Vec<Stroke> = strokes
        .into_iter()
        .rev()
        .map(|(mut stroke, said)| {
            if !said {
                stroke.until = default_end(next.as_ref(), length);
            }
            next = Some(stroke);
            stroke
        })
        .collect();
    ended.reverse();
    ended
}

/// Lets each stroke of a phrase last to the next one, and through it where it carries them; the last to the song's end.
pub fn join(strokes: &mut [Stroke], length: Beats) {
    let mut next: Option<Stroke> = None;
    for stroke in strokes.iter_mut().rev() {
        stroke.until = default_end(next.as_ref(), length);
        next = Some(*stroke);
    }
}

fn default_end(next: Option<&Stroke>, length: Beats) -> Beats {
    match next {
        None => length,
        Some(next) if next.arrival.plucks() => next.at,
        Some(carried) => carried.until,
    }
}

struct Reader<'a> {
    instrument: &'a Instrument,
    timeline: &'a Timeline,
}

impl Reader<'_> {
    /// A row, and whether it says when it ends.
    fn row(&self, line: &str) -> Result<(Stroke, bool), RowTrouble> {
        let mut words = line.split_whitespace();
        let mut next = |what| words.next().ok_or(RowTrouble::Short(what));
        let at = self.moment(next(key!("the moment"))?)?;
        let strings = self.strings(next(key!("the strings"))?)?;
        let fret = self.fret(next(key!("the fret"))?)?;
        let stance = self.stance(next(key!("what is pressed"))?)?;
        let place = Place::straight(fret, stance);
        let mut stroke = Stroke::struck(Grip { place, strings }, at, at);
        let mut ends = false;
        let mut over = OVER;
        while let Some(word) = words.next() {
            let mut value = || words.next().ok_or(RowTrouble::Short(key!("a value")));
            match word {
                "slide" => {
                    let from = Fret(f64::from(self.fret(value()?)?));
                    stroke.arrival = Arrival::Slid { from, time: over };
                }
                "squeeze" => {
                    let from = self.stance(value()?)?;
                    stroke.arrival = Arrival::Squeezed { from, time: over };
                }
                "lean" => {
                    let through = self.stance(value()?)?;
                    stroke.arrival = Arrival::Leaned { through, time: over };
                }
                "slant" => stroke.grip.place.slant = Some(self.slant(value()?, fret)?),
                "carry" => stroke.arrival = Arrival::Carried { time: over },
                "over" => over = length(value()?)?,
                "until" => {
                    stroke.until = self.moment(value()?)?;
                    ends = true;
                }
                "soft" => stroke.strength = STRENGTH[1],
                "loud" => stroke.strength = STRENGTH[2],
                "vibrato" => stroke.wave = Some(WAVE),
                "swell" => stroke.swell = true,
                "rake" => stroke.attack = Attack::Raked,
                "harmonic" => stroke.attack = Attack::Harmonic(12),
                "fade-in" => stroke.attack = Attack::Swelled,
                other => return Err(RowTrouble::Word(other.to_owned())),
            }
        }
        stroke.arrival = lasting(stroke.arrival, over);
        if ends && stroke.until <= stroke.at {
            return Err(RowTrouble::Order);
        }
        Ok((stroke, ends))
    }

    /// A slant as `4>3+1`: the bar stops string 4 at the row's fret and string 3 one fret farther up.
    fn slant(&self, word: &str, fret: u8) -> Result<Slant, RowTrouble> {
        let wrong = || RowTrouble::Slant(word.to_owned());
        let (hold, rest) = word.split_once('>').ok_or_else(wrong)?;
        let sign = rest.find(['+', '-']).ok_or_else(wrong)?;
        let (turn, frets) = rest.split_at(sign);
        let string = |s: &str| s.parse().ok().and_then(StringNumber::new).ok_or_else(wrong);
        let slant = Slant {
            hold: string(hold)?,
            turn: string(turn)?,
            frets: frets.parse().map_err(|_| wrong())?,
        };
        let on_neck = fret
            .checked_add_signed(slant.frets)
            .is_some_and(|f| f > 0 && f <= self.instrument.frets);
        if fret > 0 && on_neck && slant.is_of(self.instrument) {
            Ok(slant)
        } else {
            Err(wrong())
        }
    }

    fn moment(&self, word: &str) -> Result<Beats, RowTrouble> {
        moment(self.timeline, word).ok_or_else(|| RowTrouble::Moment(word.to_owned()))
    }

    fn strings(&self, word: &str) -> Result<StringSet, RowTrouble> {
        strings_named(self.instrument, word).ok_or_else(|| RowTrouble::Strings(word.to_owned()))
    }

    fn fret(&self, word: &str) -> Result<u8, RowTrouble> {
        let fret = word.parse().ok().filter(|f| *f <= self.instrument.frets);
        fret.ok_or_else(|| RowTrouble::Fret(word.to_owned()))
    }

    fn stance(&self, word: &str) -> Result<Stance, RowTrouble> {
        stance_named(self.instrument, word).ok_or_else(|| RowTrouble::Changes(word.to_owned()))
    }
}

fn lasting(arrival: Arrival, time: Beats) -> Arrival {
    match arrival {
        Arrival::Struck => Arrival::Struck,
        Arrival::Slid { from, .. } => Arrival::Slid { from, time },
        Arrival::Squeezed { from, .. } => Arrival::Squeezed { from, time },
        Arrival::Leaned { through, .. } => Arrival::Leaned { through, time },
        Arrival::Carried { .. } => Arrival::Carried { time },
    }
}

fn length(word: &str) -> Result<Beats, RowTrouble> {
    let beats = word.parse().ok().filter(|b| (0.01..=16.0).contains(b));
    beats.map(Beats).ok_or_else(|| RowTrouble::Length(word.to_owned()))
}

/// The moment `bar.beat` names, both counted from 1, the beat in the metre's lower figure; the song's end is the
/// first beat of the bar after its last.
///
/// ```
/// use leadbar::{teach::rows, theory::{Beats, chart}};
/// let song = chart::parse("key G; 1 4").chart.timeline();
/// assert_eq!(rows::moment(&song, "2.3.5"), Some(Beats(6.5)));
/// ```
#[must_use]
pub fn moment(timeline: &Timeline, word: &str) -> Option<Beats> {
    let (bar, beat) = word.split_once('.')?;
    let bar: usize = bar.parse().ok()?;
    let beat: f64 = beat.parse().ok().filter(|b| *b >= 1.0)?;
    if bar == timeline.bars.len() + 1 && beat <= 1.0 {
        return Some(timeline.length());
    }
    let bar = timeline.bars.get(bar.checked_sub(1)?)?;
    let gone = Beats((beat - 1.0) * 4.0 / f64::from(bar.metre.unit));
    (gone < bar.metre.bar()).then_some(bar.start + gone)
}

/// A moment as [`moment`] reads it: bar and beat, counted from 1.
#[must_use]
pub fn moment_name(timeline: &Timeline, at: Beats) -> String {
    if at >= timeline.length() {
        return format!("{}.1", timeline.bars.len() + 1);
    }
    let index = timeline.bar_index_at(at).unwrap_or(0);
    let (start, unit) = timeline
        .bars
        .get(index)
        .map_or((Beats::ZERO, 4), |b| (b.start, b.metre.unit));
    format!(
        "{}.{}",
        index + 1,
        decimal((at - start).0 * f64::from(unit) / 4.0 + 1.0)
    )
}

/// A number without needless zeros.
fn decimal(number: f64) -> String {
    let text = format!("{number:.9}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The strings `3-4-5` names, if the instrument has them.
fn strings_named(instrument: &Instrument, word: &str) -> Option<StringSet> {
    let named = word.split('-').map(|n| {
        let string = StringNumber::new(n.parse().ok()?)?;
        (string.index() < instrument.strings.len()).then_some(string)
    });
    named.collect()
}

/// The stance a word names: `-` for nothing, `A+B`, `A/2` for a half press; nothing when a change is unknown.
///
/// ```
/// use leadbar::{steel::Instrument, teach::rows};
/// let e9 = Instrument::shipped("e9").unwrap();
/// let stance = rows::stance_named(&e9, "A/2+B").unwrap();
/// assert_eq!(rows::stance_name(&e9, stance), "A/2+B");
/// ```
#[must_use]
pub fn stance_named(instrument: &Instrument, word: &str) -> Option<Stance> {
    if word == "-" {
        return Some(Stance::OPEN);
    }
    word.split('+')
        .try_fold(Stance::OPEN, |stance, name| match name.strip_suffix("/2") {
            Some(name) => Some(stance.with_half(instrument.change_named(name)?)),
            None => Some(stance.with(instrument.change_named(name)?)),
        })
}

/// A stance as [`stance_named`] reads it.
#[must_use]
pub fn stance_name(instrument: &Instrument, stance: Stance) -> String {
    let mut name = String::new();
    for id in stance.pressed() {
        let change = instrument.change(id).map_or("?", |c| c.name.as_str());
        let plus = if name.is_empty() { "" } else { "+" };
        let half = if stance.travel(id) == Travel::HALF { "/2" } else { "" };
        let _ = write!(name, "{plus}{change}{half}");
    }
    if name.is_empty() { "-".to_owned() } else { name }
}

/// Strokes as rows, one a line.
#[must_use]
pub fn print(strokes: &[Stroke], instrument: &Instrument, timeline: &Timeline) -> String {
    let mut text = String::new();
    for (index, stroke) in strokes.iter().enumerate() {
        let place = stroke.grip.place;
        let pressed = stance_name(instrument, place.stance);
        let at = moment_name(timeline, stroke.at);
        let _ = write!(text, "{at} {} {} {pressed}", stroke.grip.strings, place.fret);
        if let Some(slant) = place.slant {
            let _ = write!(text, " slant {}>{}{:+}", slant.hold, slant.turn, slant.frets);
        }
        let _ = match stroke.arrival {
            Arrival::Struck => Ok(()),
            Arrival::Slid { from, .. } => write!(text, " slide {}", from.0),
            Arrival::Squeezed { from, .. } => write!(text, " squeeze {}", stance_name(instrument, from)),
            Arrival::Leaned { through, .. } => write!(text, " lean {}", stance_name(instrument, through)),
            Arrival::Carried { .. } => write!(text, " carry"),
        };
        if let Some(time) = time_of(stroke.arrival).filter(|t| *t != OVER) {
            let _ = write!(text, " over {}", decimal(time.0));
        }
        if stroke.until != default_end(strokes.get(index + 1), timeline.length()) {
            let _ = write!(text, " until {}", moment_name(timeline, stroke.until));
        }
        for (said, word) in [
            (stroke.strength < 0.55, " soft"),
            (stroke.strength > 0.85, " loud"),
            (stroke.wave.is_some(), " vibrato"),
            (stroke.swell, " swell"),
            (stroke.attack == Attack::Raked, " rake"),
            (matches!(stroke.attack, Attack::Harmonic(_)), " harmonic"),
            (stroke.attack == Attack::Swelled, " fade-in"),
        ] {
            text.push_str(if said { word } else { "" });
        }
        text.push('\n');
    }
    text
}

fn time_of(arrival: Arrival) -> Option<Beats> {
    match arrival {
        Arrival::Struck => None,
        Arrival::Slid { time, .. }
        | Arrival::Squeezed { time, .. }
        | Arrival::Leaned { time, .. }
        | Arrival::Carried { time } => Some(time),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::chart;

    fn song() -> Timeline {
        chart::parse("key G, 90; 1 4 5 1").chart.timeline()
    }

    fn e9() -> Instrument {
        Instrument::shipped("e9").unwrap()
    }

    const PHRASE: &str = "1.1 3-4-5 3 - slide 1\n\
        1.3 4-5 3 A/2 squeeze - over 0.25 until 1.4 soft\n\
        2.1 3-4-5 8 - lean A+B over 0.75 loud vibrato swell rake\n\
        3.1 4-5-6 10 - until 4.3\n\
        3.3.5 4-5-6 3 A+F carry over 1\n\
        4.4 6 3 -\n";

    #[test]
    fn rows_print_as_they_were_written() {
        let strokes = parse(PHRASE, &e9(), &song()).unwrap();
        assert_eq!(print(&strokes, &e9(), &song()), PHRASE);
        assert_eq!(
            parse(&print(&strokes, &e9(), &song()), &e9(), &song()).unwrap(),
            strokes
        );
    }

    #[test]
    fn a_slant_is_written_and_read_back_and_one_that_no_bar_can_lie_in_is_refused() {
        let lap = Instrument::shipped("c6-lap-6").unwrap();
        let rows = "1.1 2-4 5 - slant 2>4+1\n1.3 2-4 5 - carry\n";
        let strokes = parse(rows, &lap, &song()).unwrap();
        assert_eq!(print(&strokes, &lap, &song()), rows);
        let (two, four) = (StringNumber::new(2).unwrap(), StringNumber::new(4).unwrap());
        let place = strokes[0].grip.place;
        assert_eq!(
            (place.whole_fret_on(&lap, two), place.whole_fret_on(&lap, four)),
            (Some(5), Some(6))
        );
        for wrong in ["2>2+1", "2>4+9", "2>4-5", "2>9+1", "2>4", "2+4", "+", "2>4+999"] {
            let told = parse(&format!("1.1 2-4 5 - slant {wrong}"), &lap, &song()).unwrap_err();
            assert_eq!(told[0].trouble, RowTrouble::Slant(wrong.to_owned()));
        }
    }

    #[test]
    fn a_row_without_an_end_lasts_to_the_next_and_through_a_carry() {
        let strokes = parse("1.1 4-5 3 -\n1.3 4-5 5 - carry\n2.1 6 3 -", &e9(), &song()).unwrap();
        let ends: Vec<f64> = strokes.iter().map(|s| s.until.0).collect();
        assert_eq!(ends, [4.0, 4.0, 16.0]);
    }

    #[test]
    fn what_cannot_be_read_is_told_row_by_row_with_its_remedy() {
        let text = "9.1 3 3 -\n1.1 3-14 3 -\n1.1 3 30 -\n\n1.1 3 3 Q\n1.1 3\n1.1 3 3 - sldie 2\n1.1 3 3 - carry";
        let errors = parse(text, &e9(), &song()).unwrap_err();
        let rows: Vec<usize> = errors.iter().map(|e| e.row).collect();
        assert_eq!(rows, [1, 2, 3, 5, 6, 7, 8]);
        assert_eq!(
            errors[5].to_string(),
            "row 7: \"sldie\" is not known: write slide, squeeze, lean, carry, slant, over, until, soft, loud, vibrato, swell, rake, harmonic or fade-in"
        );
        assert_eq!(
            parse("2.1 3 3 -\n1.1 3 3 -", &e9(), &song()).unwrap_err()[0].trouble,
            RowTrouble::Order
        );
    }

    #[test]
    fn beats_count_in_the_metres_lower_figure() {
        let waltz = chart::parse("key D, 90, 6/8; 1 4").chart.timeline();
        assert_eq!(moment(&waltz, "1.4"), Some(Beats(1.5)));
        assert_eq!(moment(&waltz, "1.7"), None);
        assert_eq!(moment(&waltz, "3.1"), Some(waltz.length()));
        assert_eq!(moment_name(&waltz, Beats(4.5)), "2.4");
    }
}
