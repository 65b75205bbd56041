//! The words of the problems a chart can have, in the player's language.

use super::unroll::MOST_BARS;
use crate::words::Said;

/// No bar at all.
pub(super) const EMPTY: &str =
    key!("There is no bar yet. Write the chords as numbers, one a bar, as in: key G, 110; 1 4 1 5");

/// Plain 7s as chords, and in how many places.
pub(super) fn plain_seven(places: usize) -> Said {
    let seven = said!("A plain 7 is the chord on the major seventh. Players who say \"seven\" mostly mean b7.");
    if places > 1 {
        said!("{seven} It stands in {places} places.", seven, places)
    } else {
        seven
    }
}

/// Letters where no key is given.
pub(super) const NO_KEY: &str =
    key!("Letters are counted from C, because no key is given. Write one at the top, as in: key G;");

/// `%` where no bar is before it.
pub(super) const NOTHING_BEFORE: &str = key!("% repeats the bar before, and there is none. Write the chord itself.");

/// A bracket left open.
pub(super) const OPEN_SPLIT: &str =
    key!("This ( is never closed. Write ) after the last chord of the bar, as in (1 4).");

/// A bracket closed that was not open.
pub(super) const STRAY_CLOSE: &str =
    key!("This ) closes nothing. Write ( before the first chord of the bar, as in (1 4).");

/// A bracket within a bracket.
pub(super) const NESTED: &str = key!("A bar within a bar: close the first with ) before the next (.");

/// A bar sign within a bracket.
pub(super) const SIGN_IN_SPLIT: &str = key!("Only chords go between ( and ). Close the bar first.");

/// Brackets with nothing in them.
pub(super) const EMPTY_SPLIT: &str = key!("There is no chord between ( and ). Write some, or r for a rest.");

/// A second `;`.
pub(super) const STRAY_SEMICOLON: &str = key!("The ; ends the heading, at the top. Between lines write / instead.");

/// A name in quotes that names nothing.
pub(super) const STRAY_NAME: &str =
    key!("A name in quotes begins a section: write a colon after it, as in \"Last time\":");

/// A box that cannot be read.
pub(super) const BOX: &str =
    key!("This box is not understood. Write [2/4] for a metre, [mod +2] or [key B] for a key, [1.] for an ending.");

/// A box left open.
pub(super) const OPEN_BOX: &str = key!("This [ is never closed. Write ] on the same line, as in [2/4].");

/// A repeat that begins within another.
pub(super) const REPEAT_IN_REPEAT: &str = key!("A repeat begins within a repeat. Write :| before it to end the first.");

/// A repeat that never ends.
pub(super) const OPEN_REPEAT: &str = key!("This repeat never ends. Write :| after its last bar.");

/// A repeat count out of reach.
pub(super) const REPEAT_COUNT: &str = key!("A part is played 2 to 16 times: write for instance :|x3.");

/// Dashes between chords.
pub(super) const DASHES: &str = key!("Dashes do not set chords apart: leave a blank between them, as in 1 4 5.");

/// Words alone on a line.
pub(super) const NAME_ALONE: &str = key!("These words are no chords. A section's name ends with a colon, as in Verse:");

/// A count without a repeat.
pub(super) fn stray_count(word: &str) -> Said {
    said!(
        "\"{word}\" counts a repeat: write |: before the part and :| behind it, as in |: 1 4 :|x3.",
        word
    )
}

/// A metre without its box that cannot be a chord.
pub(super) fn bare_metre(word: &str) -> Said {
    said!(
        "\"{word}\" looks like a metre. Write it in a box, as in [{word}].",
        word
    )
}

/// A chord that could be a metre.
pub(super) fn chord_or_metre(word: &str) -> Said {
    let (chord, bass) = word.split_once('/').unwrap_or((word, ""));
    said!(
        "\"{word}\" is read as a {chord} with a {bass} in the bass. For the metre write [{word}].",
        word,
        chord,
        bass
    )
}

/// More bars than are unrolled.
pub(super) fn too_long() -> Said {
    said!(
        "The song is longer than {most} bars with its repeats. Only the first {most} are played.",
        most = MOST_BARS
    )
}

/// Dots that do not make up a bar.
pub(super) fn wrong_beats(found: u32, wanted: u8) -> Said {
    said!(
        "The dots make {found} beats, and the bar has {wanted}. Give each chord a dot a beat, as in 1... 4.",
        found,
        wanted
    )
}

/// A second title.
pub(super) const TWICE_TITLE: &str = key!("The title is given twice. The last one counts: take the other away.");

/// A second key.
pub(super) const TWICE_KEY: &str = key!("The key is given twice. The last one counts: take the other away.");

/// A second tempo.
pub(super) const TWICE_TEMPO: &str = key!("The tempo is given twice. The last one counts: take the other away.");

/// A second metre.
pub(super) const TWICE_METRE: &str = key!("The metre is given twice. The last one counts: take the other away.");

/// A second style.
pub(super) const TWICE_STYLE: &str = key!("The style is given twice. The last one counts: take the other away.");

/// A second swing.
pub(super) const TWICE_SWING: &str = key!("The swing is given twice. The last one counts: take the other away.");
