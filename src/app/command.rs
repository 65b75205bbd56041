//! What a user can do.

use super::appearance::{NamedBy, Side};
use super::backing_song::BackingSong;
use super::delivery::Wishes;
use super::desk::{Theme, View};
use super::levels::Levels;
use super::lineage::{Kept, PassId};
use super::looped::LoopBars;
use super::midi_map::Mapping;
use super::passes::Chosen;
use super::rehearsal::Rehearsal;
use super::shelf::SongId;
use super::takes::Takes;
use super::tuning::Tuning;
use super::work::Work;
use crate::solo::request::{Blend, Ending, Entry, Slants};
use crate::solo::{Level, Melody, Motif, Pass};
use crate::steel::{ChangeId, Instrument, StringNumber};
use crate::theory::Seconds;
use crate::words::Said;
use std::ops::Range;
use std::sync::Arc;

/// One of the three places on the neck that a solo is drawn through.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ArcPoint {
    /// Where it begins.
    Start,
    /// Its high point.
    High,
    /// Where it ends.
    End,
}

/// What a change was made in.
#[derive(Debug, Clone, PartialEq)]
pub enum Revised {
    /// A pass that is kept.
    Kept(PassId),
    /// A draft: it is kept first, as what the new one comes from.
    Draft(Arc<Kept>),
}

/// Something the user does. Pure data: applying it never fails and never asks anybody.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    /// The chart now reads so. Edits of one `run` are undone together.
    WriteChart {
        /// The whole text.
        text: String,
        /// Which run of typing this belongs to.
        run: Option<u64>,
    },
    /// Start on another song.
    OpenSong {
        /// Its chart.
        chart: String,
        /// Its feel, where it asks for one.
        feel: Option<String>,
    },
    /// Start on a song that was heard of a recording, which plays behind it.
    OpenHeard {
        /// Its chart.
        chart: String,
        /// The recording with its bars marked.
        recording: Arc<BackingSong>,
    },
    /// Play another instrument.
    ChooseInstrument(String),
    /// The instrument has, or has not got, the change of this name.
    HasChange {
        /// The change's name.
        name: String,
        /// Whether it is there.
        has: bool,
    },
    /// The instrument is this way where players have it in different ways.
    TakeWay {
        /// Which choice.
        choice: String,
        /// Which way.
        option: String,
    },
    /// Play an instrument that was altered.
    Alter {
        /// The instrument as it is now.
        altered: Box<Instrument>,
        /// Whether its strings or changes have other numbers than before.
        moved: bool,
    },
    /// Play an instrument from a file.
    AddInstrument(Box<Instrument>),
    /// Let the player's own instrument in hand go.
    DiscardInstrument,
    /// Tune the instrument in hand. Moves of one `run` (a drag) are undone together.
    Tune {
        /// How, with the targets found.
        tuning: Box<Tuning>,
        /// Which drag this belongs to.
        run: Option<u64>,
    },
    /// Ask for another attitude.
    AskFeel(String),
    /// Mix another attitude into the one that is asked for, or none. Moves of one `run` (a drag) are undone together.
    AskBlend {
        /// Which, and how much of it.
        blend: Option<Blend>,
        /// Which drag this belongs to.
        run: Option<u64>,
    },
    /// Save the attitude that is asked for under a name of the player's.
    SaveAttitude(String),
    /// Ask for one of the player's own attitudes, by its name.
    TakeAttitude(String),
    /// Give one of the player's own attitudes another name.
    RenameAttitude {
        /// The name it has.
        from: String,
        /// The name it gets.
        to: String,
    },
    /// Let one of the player's own attitudes go, by its name.
    DropAttitude(String),
    /// Move one of the three places. Moves of one `run` (a drag) are undone together.
    AskFret {
        /// Which place.
        point: ArcPoint,
        /// To which fret, 0..=24.
        fret: u8,
        /// Which drag this belongs to.
        run: Option<u64>,
    },
    /// Ask for more or fewer notes, 0..=1.
    AskDensity {
        /// How many.
        density: f64,
        /// Which drag this belongs to.
        run: Option<u64>,
    },
    /// Ask for another entry.
    AskEntry(Entry),
    /// Whether the bar may be slanted.
    AskSlants(Slants),
    /// Ask for another ending.
    AskEnding(Ending),
    /// Want, or do not want, a change in this solo.
    AskChange {
        /// Which change.
        change: ChangeId,
        /// Whether it is wanted.
        wanted: bool,
    },
    /// Favour a string in this solo, or favour it no longer.
    AskString {
        /// Which string.
        string: StringNumber,
        /// Whether it is favoured.
        favoured: bool,
    },
    /// Ask for a solo for the hands of a player of this level.
    AskLevel(Level),
    /// Ask for a figure of one's own, or for none.
    AskMotif(Option<Motif>),
    /// Ask for a melody to be shadowed, or for none.
    AskMelody(Option<Melody>),
    /// Ask for a solo in these bars only (counted from 0, the end not included), or in all of them.
    AskBars(Option<Range<usize>>),
    /// Ask for other solos to the same wish.
    AskAnew,
    /// Keep a pass.
    Keep(Arc<Kept>),
    /// Keep what one change made of a pass, and look at it.
    Revise {
        /// The pass that was changed.
        of: Revised,
        /// The pass it has become.
        pass: Arc<Pass>,
        /// The change, in words.
        words: Said,
    },
    /// Lock a move of a kept pass, or free it.
    Lock {
        /// The pass.
        pass: PassId,
        /// The move, from 0.
        index: usize,
        /// Whether it stays as it is.
        locked: bool,
    },
    /// Give a kept pass so many stars.
    Star {
        /// The pass.
        pass: PassId,
        /// How many, 0..=3.
        stars: u8,
    },
    /// Write something about a kept pass. Edits of one `run` are undone together.
    Annotate {
        /// The pass.
        pass: PassId,
        /// The whole note.
        note: String,
        /// Which run of typing this belongs to.
        run: Option<u64>,
    },
    /// Let a kept pass go, counted from 0.
    LetGo(usize),
    /// Look at and hear a pass.
    Choose(Chosen),
    /// Compare with another pass, or with none.
    Compare(Option<Chosen>),
    /// Hear the other pass instead.
    HearOther(bool),
    /// Take back the last change of the work.
    Undo,
    /// Do again what was taken back.
    Redo,
    /// Go to a view.
    Show(View),
    /// Open a lesson by its id, or the whole course.
    OpenLesson(Option<String>),
    /// Open or close the text of the chart.
    Writing(bool),
    /// Change the light.
    Light(Theme),
    /// See the neck from this side.
    Turn(Side),
    /// Call notes and chords so.
    Name(NamedBy),
    /// Change levels, mutes and the amplifier.
    Mix(Box<Levels>),
    /// Play at this part of the tempo, in hundredths.
    Speed(u16),
    /// Want this of a delivery.
    WishDelivery(Wishes),
    /// Count in or not.
    CountIn(bool),
    /// Play a stretch over and over, or stop doing so.
    Loop(Option<LoopBars>),
    /// Rehearse in another way. Where the speed begins to climb, it is set to the lowest rung.
    Rehearse(Rehearsal),
    /// The looped stretch has been played once more.
    Round,
    /// Take a recording of the song, move its marks, or let it go.
    Record(Option<Arc<BackingSong>>),
    /// These are the takes of the song now. Moves of one `run` (a drag) are undone together.
    Takes {
        /// All of them, and the comp.
        takes: Arc<Takes>,
        /// Which drag this belongs to.
        run: Option<u64>,
    },
    /// This song goes on as another one on the shelf, also in what can be undone: its place there is taken.
    Refile(SongId),
    /// This device hears itself so late, as it was measured.
    Delay(Option<Seconds>),
    /// Let a MIDI controller move these things.
    Wire(Mapping),
    /// Put back work that was kept elsewhere (on the device).
    Restore(Box<Work>),
}
