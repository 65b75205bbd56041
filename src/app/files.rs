//! Files that leave the page and come to it: what each is called, what it holds, what a file from outside is.
//!
//! *Invariant:* whatever is handed in, opening it changes nothing: it answers what could be opened, or why nothing
//! could.

use super::passes::Shown;
use super::project::{Opened, Project, ProjectError};
use super::reading::Reading;
use super::sheet::{Drawn, neck_picture, tab_picture};
use super::work::Work;
use super::workshop;
use crate::exchange::lead::{self, Lead, LeadError};
use crate::exchange::midi::{self, Layout};
use crate::exchange::musicxml::{self, ChordNames};
use crate::exchange::tab::{Characters, Signs, Tab};
use crate::exchange::trust;
use crate::steel::Instrument;
use crate::theory::Timeline;
use crate::words::{Said, Words};

/// How wide a tab file is: what fits a page of paper in the type of a typewriter.
const TAB_WIDTH: Characters = Characters(80);
/// The longest name of a file, without its ending.
const MOST_NAME: usize = 60;

/// A file that can be saved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Export {
    /// Everything, to be opened here again.
    Project,
    /// The chart as text.
    Chart,
    /// The instrument by itself.
    Instrument,
    /// The solo as tab, in text.
    Tab,
    /// The solo as notation over tab.
    Score,
    /// The solo's tab as a picture.
    TabPicture,
    /// Where the solo's hands are, as a picture.
    NeckPicture,
    /// The solo as MIDI.
    Midi(Layout),
}

/// What is at hand to be saved.
#[derive(Debug, Clone, Copy)]
pub struct Desktop<'a> {
    /// The work in hand.
    pub work: &'a Work,
    /// Its song, where the chart has bars.
    pub song: Option<&'a Timeline>,
    /// Its instrument.
    pub instrument: Option<&'a Instrument>,
    /// The solo that is looked at.
    pub shown: Option<&'a Shown>,
    /// The reader's words, for what is a picture: all else is in English and letters.
    pub words: &'a Words,
}

/// A file ready to be saved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Saved {
    /// What it is called.
    pub name: String,
    /// What it holds.
    pub bytes: Vec<u8>,
}

impl Export {
    /// Every kind, in the order they are offered.
    pub const ALL: [Self; 10] = [
        Self::Project,
        Self::Chart,
        Self::Instrument,
        Self::Tab,
        Self::Score,
        Self::TabPicture,
        Self::NeckPicture,
        Self::Midi(Layout::PerString),
        Self::Midi(Layout::Expressive),
        Self::Midi(Layout::Plain),
    ];

    /// What the button says.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Project => key!("Everything"),
            Self::Chart => key!("Chart"),
            Self::Instrument => key!("Instrument"),
            Self::Tab => key!("Tab"),
            Self::Score => key!("Score"),
            Self::TabPicture => key!("Picture of the tab"),
            Self::NeckPicture => key!("Pictures of the neck"),
            Self::Midi(Layout::PerString) => key!("MIDI, a channel a string"),
            Self::Midi(Layout::Expressive) => key!("MIDI, expressive (MPE)"),
            Self::Midi(Layout::Plain) => key!("MIDI, plain notes"),
        }
    }

    /// What it is good for.
    #[must_use]
    pub fn about(self) -> &'static str {
        match self {
            Self::Project => key!("Chart, rig, wishes and kept solos, to be opened here again"),
            Self::Chart => key!("The numbers, as text"),
            Self::Instrument => key!("Strings, pedals and levers, for another rig"),
            Self::Tab => key!("With the count above it, as text"),
            Self::Score => key!("Notation over tab, for score programs (MusicXML)"),
            Self::TabPicture => key!("With the count above it (SVG)"),
            Self::NeckPicture => key!("Each place the solo plays from (SVG)"),
            Self::Midi(Layout::PerString) => key!("Slides and pedals as bends, for most programs"),
            Self::Midi(Layout::Expressive) => key!("For instruments that read MPE"),
            Self::Midi(Layout::Plain) => key!("No bends: the notes that are landed on"),
        }
    }

    /// Whether it is about a solo, so that there must be one.
    #[must_use]
    pub fn needs_solo(self) -> bool {
        matches!(
            self,
            Self::Tab | Self::Score | Self::TabPicture | Self::NeckPicture | Self::Midi(_)
        )
    }

    fn ending(self) -> &'static str {
        match self {
            Self::Project => "leadbar.json",
            Self::Chart => "chart.txt",
            Self::Instrument => "toml",
            Self::Tab => "tab.txt",
            Self::Score => "musicxml",
            Self::TabPicture => "tab.svg",
            Self::NeckPicture => "neck.svg",
            Self::Midi(_) => "mid",
        }
    }

    /// The file; nothing while there is no solo, or no song, to make it of.
    #[must_use]
    pub fn file(self, desktop: Desktop<'_>) -> Option<Saved> {
        let Desktop {
            work,
            song,
            instrument,
            shown,
            words,
        } = desktop;
        let title = Reading::of(&work.chart).title;
        let solo = || Some((&*shown?.performance, instrument?, song?));
        let drawn = || {
            Some(Drawn {
                song: song?,
                instrument: instrument?,
                performance: &shown?.performance,
                words,
            })
        };
        let bytes = match self {
            Self::Project => Project::of(vec![work.clone()]).to_text().into_bytes(),
            Self::Chart => work.chart.as_bytes().to_vec(),
            Self::Instrument => {
                let alone = work.rig.alone()?;
                return Some(Saved {
                    name: format!("{}.{}", plain_name(Some(&alone.name)), self.ending()),
                    bytes: alone.text().into_bytes(),
                });
            }
            Self::Tab => {
                let (performance, instrument, song) = solo()?;
                Tab::of(performance, instrument, song, Signs::Letters)
                    .text(TAB_WIDTH)
                    .into_bytes()
            }
            Self::Score => {
                let (performance, instrument, song) = solo()?;
                let names = ChordNames::Letters;
                musicxml::write(performance, instrument, song, title.as_deref(), names).into_bytes()
            }
            Self::TabPicture => tab_picture(drawn()?).svg().into_bytes(),
            Self::NeckPicture => neck_picture(drawn()?).svg().into_bytes(),
            Self::Midi(layout) => {
                let (performance, instrument, song) = solo()?;
                midi::write(performance, instrument, song, title.as_deref(), layout)
            }
        };
        let mut name = plain_name(title.as_deref());
        if let Self::Midi(layout) = self {
            name = format!("{name}-{}", layout.word());
        }
        Some(Saved {
            name: format!("{name}.{}", self.ending()),
            bytes,
        })
    }
}

/// A song's name as every system takes it in a file's: small letters, figures and dashes.
fn plain_name(title: Option<&str>) -> String {
    let mut name = String::new();
    for c in title.unwrap_or_default().chars() {
        if c.is_ascii_alphanumeric() {
            name.push(c.to_ascii_lowercase());
        } else if !name.ends_with('-') && !name.is_empty() {
            name.push('-');
        }
    }
    name.truncate(MOST_NAME);
    match name.trim_end_matches('-') {
        "" => "song".to_owned(),
        name => name.to_owned(),
    }
}

/// What a file from outside was found to be.
#[derive(Debug, Clone, PartialEq)]
pub enum Found {
    /// Songs, and what could not be read of them.
    Songs(Opened),
    /// An instrument by itself.
    Instrument(Box<Instrument>),
    /// A chart, as text, and what could not be read of the file it was made of.
    Chart {
        /// The text.
        text: String,
        /// What was not understood, each as a sentence.
        notes: Vec<Said>,
    },
}

/// Finds out what a file is: a project, an instrument, a MIDI file or a MusicXML score with chord names, or a chart as text. Each
/// is known by its form, whatever it is called.
///
/// # Errors
/// A sentence for the player that says why nothing can be opened.
pub fn open(bytes: &[u8]) -> Result<Found, Said> {
    if bytes.starts_with(b"MThd") {
        return chart_of(lead::of_midi(bytes));
    }
    if bytes.starts_with(b"PK") {
        return Err(said!(
            "This file is packed: save the score as plain MusicXML, then open that."
        ));
    }
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Err(said!(
            "This file is no text: open a project, a score, a MIDI file, or a chart as text."
        ));
    };
    let text = text.trim_start_matches('\u{feff}');
    if text.trim_start().starts_with('{') {
        return match Project::from_text(text) {
            Ok(opened) if opened.project.songs.is_empty() => Err(said!("There is no song in this project.")),
            Ok(opened) => Ok(Found::Songs(opened)),
            Err(ProjectError::Newer { charts }) if !charts.is_empty() => {
                let notes = vec![ProjectError::Newer { charts: charts.clone() }.said().as_sentence()];
                let songs = charts.iter().map(|chart| Work::on(chart)).collect();
                Ok(Found::Songs(Opened {
                    project: Project::of(songs),
                    notes,
                }))
            }
            Err(error) => Err(error.said().as_sentence()),
        };
    }
    if text.trim_start().starts_with('<') {
        return chart_of(lead::of_score(text));
    }
    if workshop::is_instrument(text) {
        return match workshop::read_instrument(text) {
            Ok(instrument) => Ok(Found::Instrument(Box::new(instrument))),
            Err(faults) => Err(said!("This instrument can't be read: {faults}.", faults)),
        };
    }
    trust::chart(text).map_err(|_| said!("This text is longer than any chart: open one song at a time."))?;
    match Reading::of(text).song {
        Some(_) => Ok(Found::Chart {
            text: text.to_owned(),
            notes: Vec::new(),
        }),
        None => Err(said!(
            "There are no bars in this text: a chart looks like \"key G; 1 4 5 1\"."
        )),
    }
}

/// A chart made of a lead sheet.
fn chart_of(lead: Result<Lead, LeadError>) -> Result<Found, Said> {
    let Lead { chart, notes } = lead.map_err(|error| said!("This file gives no chart: {why}.", why = error.said()))?;
    Ok(Found::Chart { text: chart, notes })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample;
    use std::sync::Arc;

    fn shown() -> Shown {
        let pass = crate::solo::Pass {
            moves: Vec::new(),
            request: crate::solo::Request::default(),
            length: sample::song().length(),
        };
        let mut shown = Shown::of(&Arc::new(pass), &sample::song(), &sample::e9()).expect("the limits");
        shown.performance = Arc::new(sample::solo());
        shown
    }

    fn saved(export: Export, work: &Work, shown: Option<&Shown>) -> Option<Saved> {
        saved_for(&Words::ENGLISH, export, work, shown)
    }

    fn saved_for(words: &Words, export: Export, work: &Work, shown: Option<&Shown>) -> Option<Saved> {
        let (song, instrument) = (sample::song(), sample::e9());
        export.file(Desktop {
            work,
            song: Some(&song),
            instrument: Some(&instrument),
            shown,
            words,
        })
    }

    #[test]
    fn only_pictures_are_in_the_readers_words() {
        let (work, shown) = (Work::on("key G; 1 4 5 1"), shown());
        for export in Export::ALL {
            let english = saved(export, &work, Some(&shown)).unwrap();
            let german = saved_for(&sample::german(), export, &work, Some(&shown)).unwrap();
            let picture = matches!(export, Export::TabPicture | Export::NeckPicture);
            assert_eq!(english.bytes == german.bytes, !picture, "{export:?}");
            assert_eq!(english.name, german.name);
        }
    }

    #[test]
    fn every_file_has_a_name_that_any_system_takes_and_no_two_share_one() {
        let work = Work::on("Señor's  Mill: \"Song\"/2, key G; 1 4 5 1");
        let shown = shown();
        let names: std::collections::BTreeSet<String> = Export::ALL
            .into_iter()
            .filter_map(|e| saved(e, &work, Some(&shown)))
            .map(|s| s.name)
            .collect();
        assert_eq!(names.len(), Export::ALL.len(), "{names:?}");
        for name in &names {
            assert!(
                name.bytes().all(|b| b.is_ascii_alphanumeric() || b"-.".contains(&b)),
                "{name}"
            );
            assert!(!name.starts_with(['-', '.']), "{name}");
        }
        assert_eq!(plain_name(None), "song");
        assert_eq!(plain_name(Some("???")), "song");
    }

    #[test]
    fn without_a_solo_only_what_needs_none_is_saved() {
        let work = Work::on("key G; 1 4 5 1");
        for export in Export::ALL {
            assert_eq!(saved(export, &work, None).is_none(), export.needs_solo(), "{export:?}");
        }
    }

    #[test]
    fn what_is_saved_as_project_or_chart_opens_again() {
        let work = Work::on("key G; 1 4 5 1");
        let project = saved(Export::Project, &work, None).unwrap();
        let Ok(Found::Songs(opened)) = open(&project.bytes) else {
            panic!("no project")
        };
        assert_eq!(opened.project.songs, std::slice::from_ref(&work));
        let chart = saved(Export::Chart, &work, None).unwrap();
        let Ok(Found::Chart { text, .. }) = open(&chart.bytes) else {
            panic!("no chart")
        };
        assert_eq!(text, "key G; 1 4 5 1");
    }

    #[test]
    fn an_instrument_that_is_saved_opens_as_one_and_is_called_by_its_name() {
        let mut work = Work::on("key G; 1 4 5 1");
        work.rig.instrument = "c6-lap-6".to_owned();
        let file = saved(Export::Instrument, &work, None).unwrap();
        let whole = work.rig.alone().unwrap();
        assert_eq!(file.name, format!("{}.toml", plain_name(Some(&whole.name))));
        assert_eq!(open(&file.bytes), Ok(Found::Instrument(Box::new(whole))));
        let told = open(b"id = \"x\"\n[[strings]]\npitch = \"H\"").unwrap_err().english();
        assert!(told.contains("line 2, column 1: `gauge` is missing"), "{told}");
    }

    #[test]
    fn scores_and_midi_files_open_as_the_chart_of_their_chords() {
        let work = Work::on("Mill Song, key G; 1 4 5 1");
        let shown = shown();
        for export in [Export::Score, Export::Midi(Layout::PerString)] {
            let file = saved(export, &work, Some(&shown)).unwrap();
            let Ok(Found::Chart { text, .. }) = open(&file.bytes) else {
                panic!("no chart")
            };
            let song = Reading::of(&text).song.unwrap();
            let roots: Vec<String> = song.spans.iter().map(|s| s.chord.symbol()).collect();
            assert_eq!(roots, ["G", "C", "D", "G"], "{text}");
        }
    }

    #[test]
    fn what_cannot_be_opened_is_told_in_a_sentence() {
        for (bytes, words) in [
            (b"\xff\xfe".as_slice(), "no text"),
            (b"{}", "holds no project"),
            (b"{ \"a\"", "line 1"),
            (b"", "no bars"),
            (b"MThd", "damaged"),
            (b"PK\x03\x04", "packed"),
            (b"<html>", "gives no chart"),
            (b"{\"leadbar\":\"project\",\"schema\":1,\"songs\":[]}", "no song"),
        ] {
            let told = open(bytes).expect_err("it can't be opened").english();
            assert!(told.contains(words), "{told}");
        }
        assert!(open("1 ".repeat(trust::MOST_CHART).as_bytes()).is_err());
    }

    #[test]
    fn a_newer_project_gives_its_charts_with_a_word() {
        let text = Project::of(vec![Work::on("key G; 1")])
            .to_text()
            .replace("\"schema\": 2", "\"schema\": 7");
        let Ok(Found::Songs(opened)) = open(text.as_bytes()) else {
            panic!("no charts")
        };
        assert_eq!((&*opened.project.songs[0].chart, opened.notes.len()), ("key G; 1", 1));
    }
}
