//! Number charts: text to model and back, and the chart unrolled in time.
//!
//! *Invariant:* reading never fails and never loses text: [`parse`] answers what it understood, and every doubt with
//! its place. What [`Chart`] prints reads back as the same chart.
//!
//! # The text
//!
//! The trade's signs are kept where a keyboard has them. Those drawn on paper (a diamond, a box, ticks above a
//! number) have no plain form of their own; the forms below marked * are this project's.
//!
//! | sign | meaning |
//! |---|---|
//! | `Mill Song, key A, 132, 3/4, rock, swung;` | heading: any order, ended by `;` or a line end; `title`, `key`, `tempo`, `metre` and `style` may be written before a field |
//! | `1 4 b7` | a number alone is a bar; the root counts from the major scale of the key |
//! | `6-` `57` `4maj7` `7dim` `1+` `5sus` `42` | qualities; 2 is add9 |
//! | `5/7` | the bass is a degree of the key |
//! | `(1 4)` | chords that share a bar equally |
//! | `1... 4.` * | a dot a beat: three beats and one; within brackets, a chord without dots takes what is left |
//! | `<1>` * | diamond: struck and left to ring |
//! | `1!` * | choked: struck and stopped |
//! | `<4` or `>4` | pushed: an eighth early |
//! | `r` * or `N.C.` | rest |
//! | `%` | the bar before once more |
//! | `Verse:` | a section; `"1st time":` * where the name looks like chords |
//! | `/` or a new line | line break; `\|` between bars is optional |
//! | `\|: … :\|` `:\|x3` | repeat, three times over |
//! | `[1.] … :\| [2.]` * | endings, numbers in the box |
//! | `[2/4]` * | another metre from here |
//! | `[mod +2]` `[key B]` * | another key from here |
//! | `IV` `V6` `V7/V` or `D` `F#m7` | Roman numerals and letters are read and turned into numbers |
//!
//! Source of the trade's signs: common practice as the encyclopedia article on the number system has it.

mod bars;
mod body;
mod heading;
mod marks;
mod model;
mod print;
mod problems;
mod report;
mod slips;
pub mod timeline;
mod tokens;
mod unroll;

pub use model::{Bar, Break, Chart, Endings, Item, KeyChange, Slot, Ticks, Times};
pub use report::{Fix, Parsed, Place, Problem};
pub use unroll::{MOST_BARS, Unrolled};

use crate::words::Said;

/// The style words a heading knows without `style` before them.
pub const STYLES: [&str; 6] = ["rock", "country", "ballad", "blues", "shuffle", "waltz"];

/// The signs of a chart with their meanings, in the order a player needs them.
pub const HELP: [(&str, &str); 18] = [
    (
        "key A, 132, rock;",
        key!("Heading: key, tempo, style, metre, swung. End it with ; or a new line."),
    ),
    ("1 4 b7", key!("One number, one bar. b or # before it moves it a fret.")),
    ("6- 57 4maj7 7dim", key!("Minor, seventh, major seventh, diminished.")),
    ("5/7", key!("Another bass: a number of the key.")),
    ("(1 4)", key!("Two chords share a bar.")),
    ("1... 4.", key!("A dot for each beat.")),
    ("<1>", key!("Diamond: strike it and let it ring.")),
    ("1!", key!("Choke: strike it and stop it.")),
    ("<4", key!("Push: an eighth early.")),
    ("r", key!("Rest: nobody plays.")),
    ("%", key!("The bar before once more.")),
    ("Verse:", key!("A section begins.")),
    (
        "/",
        key!("New line. A line end does the same; | between bars is yours to use or leave."),
    ),
    ("|: 1 4 :|", key!("Twice. :|x3 is three times.")),
    ("[1.] 5 :| [2.] 1", key!("First and second ending.")),
    ("[2/4]", key!("Another metre from here.")),
    ("[mod +2] [key B]", key!("Another key from here.")),
    ("IV F#m7", key!("Roman numerals and letters turn into numbers.")),
];

/// Reads a chart. Never fails: what could not be read is told with its place, and the rest is understood.
///
/// Takes time in proportion to the length of the text.
///
/// ```
/// use leadbar::theory::chart;
/// let parsed = chart::parse("key A, 132, rock; 1 1 4 1 / b7 4 1 5");
/// assert!(parsed.problems.is_empty());
/// assert_eq!(parsed.chart.timeline().bars.len(), 8);
/// assert_eq!(parsed.chart.to_string(), "key A, 132, rock; 1 1 4 1 / b7 4 1 5");
/// ```
#[must_use]
pub fn parse(text: &str) -> Parsed {
    let mut doubts = report::Doubts::default();
    let (heading, start) = heading::read(text, &mut doubts);
    let mut chart = heading.chart();
    let (items, bars) = body::read(text, start, &heading, &mut doubts);
    chart.items = items;
    let unrolled = chart.unrolled();
    if !unrolled.complete {
        doubts.problem(start..start, problems::too_long());
    }
    if unrolled.timeline.bars.is_empty() && !doubts.has_problems() {
        let end = text.trim_end().len().max(start);
        doubts.problem(end..end, Said::of(problems::EMPTY));
    }
    doubts.into_parsed(text, chart, bars)
}
