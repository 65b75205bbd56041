//! The sheet holds what the tab and the neck hold, and its pictures are well-formed whatever was written.

use super::*;
use crate::sample;
use crate::solo::stroke::{Grip, Stroke};
use crate::solo::{Kind, Move, Pass, Request};
use crate::steel::{Instrument, Place, Slant, Stance, StringNumber};
use crate::theory::Beats;
use quick_xml::Reader;
use quick_xml::events::Event;

/// The words of a picture, which must be well-formed XML with nothing that leads elsewhere.
fn words(picture: &Picture) -> Vec<String> {
    let svg = picture.svg();
    let mut reader = Reader::from_str(&svg);
    let mut found = Vec::new();
    loop {
        match reader.read_event().expect("well-formed XML") {
            Event::Eof => break,
            Event::Text(text) if !text.is_empty() => {
                found.push(text.xml_content(quick_xml::XmlVersion::Implicit1_0).into_owned())
            }
            Event::Start(tag) | Event::Empty(tag) => {
                for attribute in tag.attributes() {
                    let name = attribute.expect("a well-formed attribute").key.into_inner().to_owned();
                    assert!(!name.starts_with("on") && !name.ends_with("href"), "{name:?}");
                }
            }
            _ => {}
        }
    }
    found
}

static ENGLISH: Words = Words::ENGLISH;

/// What is drawn of the sample's song by default, in English.
fn drawn<'a>(song: &'a Timeline, instrument: &'a Instrument, performance: &'a Performance) -> Drawn<'a> {
    Drawn {
        song,
        instrument,
        performance,
        words: &ENGLISH,
    }
}

fn sheet() -> Sheet {
    Sheet::of(
        Some("Mill Song"),
        drawn(&sample::song(), &sample::e9(), &sample::solo()),
    )
}

fn systems(sheet: &Sheet) -> Vec<Picture> {
    (0..sheet.systems()).filter_map(|index| sheet.system(index)).collect()
}

fn necks(drawn: Drawn<'_>) -> Vec<Held> {
    let sheet = Sheet::of(None, drawn);
    (0..sheet.necks())
        .filter_map(|index| sheet.neck(index, drawn.instrument, drawn.words))
        .collect()
}

#[test]
fn a_picture_says_what_it_says_in_the_readers_words_and_calls_notes_as_they_do() {
    let (song, instrument, solo) = (sample::song(), sample::e9(), sample::solo());
    let german = sample::german();
    let in_german = Drawn {
        words: &german,
        ..drawn(&song, &instrument, &solo)
    };
    let names = words(&tab_picture(in_german));
    assert!(
        names.contains(&"Fis".to_owned()) && names.contains(&"H".to_owned()),
        "{names:?}"
    );
    assert!(!names.contains(&"F#".to_owned()), "{names:?}");
    assert_eq!(Sheet::of(None, in_german).title, "Stück ohne Namen");
    let english: Vec<String> = words(&neck_picture(drawn(&song, &instrument, &solo)));
    assert!(english.contains(&"no pedals".to_owned()), "{english:?}");
    let told = words(&neck_picture(in_german));
    assert!(told.contains(&"keine Pedale".to_owned()), "{told:?}");
    assert!(!told.contains(&"no pedals".to_owned()), "{told:?}");
    for held in &necks(in_german) {
        let told = german.tell(&held.words);
        assert!(told.contains(": Bund ") && told.contains(", Saiten "), "{told}");
    }
}

#[test]
fn every_sign_of_the_tab_stands_in_a_system_of_the_sheet() {
    let (song, instrument, solo) = (sample::song(), sample::e9(), sample::solo());
    let tab = Tab::of(&solo, &instrument, &song, Signs::Letters);
    let mut signs: Vec<String> = tab
        .bars
        .iter()
        .flat_map(|bar| &bar.columns)
        .flat_map(|column| &column.cells)
        .filter(|cell| !cell.is_empty())
        .map(|cell| cell.iter().map(crate::exchange::tab::Mark::text).collect())
        .collect();
    assert!(!signs.is_empty());
    let mut drawn: Vec<String> = systems(&sheet()).iter().flat_map(words).collect();
    for sign in signs.drain(..) {
        let place = drawn.iter().position(|word| *word == sign);
        drawn.swap_remove(place.unwrap_or_else(|| panic!("{sign} is not drawn")));
    }
}

#[test]
fn the_neck_pictures_show_every_string_that_is_plucked_under_its_chord() {
    let (song, solo) = (sample::song(), sample::solo());
    let necks = necks(drawn(&song, &sample::e9(), &solo));
    for pluck in &solo.plucks {
        let chord = song.span_at(pluck.at).expect("a chord").numeral.to_string();
        let string = pluck.string.number().to_string();
        let shown = necks.iter().any(|held| {
            let told = held.words.english();
            let strings = told.split_once("strings ").map_or("", |(_, strings)| strings);
            told.starts_with(&format!("{chord}: ")) && strings.split(' ').any(|s| s == string)
        });
        assert!(shown, "string {string} on the {chord}: {necks:?}");
    }
}

#[test]
fn what_a_user_writes_is_text_in_a_picture_and_never_markup() {
    let mut instrument = sample::e9();
    for change in &mut instrument.changes {
        change.name = "<script>&\"\u{1}".to_owned();
    }
    let necks = necks(drawn(&sample::song(), &instrument, &sample::solo()));
    assert!(
        necks
            .iter()
            .any(|held| words(&held.picture).iter().any(|w| w.contains("script")))
    );
    assert!(necks.iter().all(|held| !held.picture.svg().contains("<script")));
}

#[test]
fn whole_pictures_are_well_formed_and_as_wide_as_their_widest_part() {
    let (song, instrument, solo) = (sample::song(), sample::e9(), sample::solo());
    let sheet = sheet();
    let tab = tab_picture(drawn(&song, &instrument, &solo));
    let widest = systems(&sheet).iter().map(|s| s.width.0).fold(0.0, f64::max);
    assert_eq!(tab.width, Pixels(widest));
    assert!(!words(&tab).is_empty());
    assert!(!words(&neck_picture(drawn(&song, &instrument, &solo))).is_empty());
}

#[test]
fn a_solo_without_a_stroke_gives_a_sheet_with_the_chart_alone() {
    let (song, instrument) = (sample::song(), sample::e9());
    let silent = Performance::silent(song.length(), instrument.changes.len());
    let sheet = Sheet::of(None, drawn(&song, &instrument, &silent));
    assert_eq!((sheet.bars.len(), sheet.necks()), (4, 0));
    words(&tab_picture(drawn(&song, &instrument, &silent)));
}

#[test]
fn a_slanted_bar_is_drawn_as_it_lies_and_told_by_the_fret_of_each_string() {
    let lap = Instrument::shipped("c6-lap-6").expect("a shipped instrument");
    let string = |number| StringNumber::new(number).expect("a string");
    let song = sample::song();
    let stroke = |at: f64, frets: i8| {
        let place = Place {
            slant: (frets != 0).then(|| Slant {
                hold: string(2),
                turn: string(4),
                frets,
            }),
            ..Place::straight(5, Stance::OPEN)
        };
        let strings = [2, 4].into_iter().map(string).collect();
        Stroke::struck(Grip { place, strings }, Beats(at), Beats(at + 1.0))
    };
    let moves = [(0.0, 1), (4.0, -1), (8.0, 0)].map(|(at, frets)| Move {
        kind: Kind::DoubleStop,
        at: Beats(at),
        length: Beats(2.0),
        strokes: vec![stroke(0.0, frets)],
        locked: false,
    });
    let pass = Pass {
        moves: moves.into_iter().map(std::sync::Arc::new).collect(),
        request: Request::default(),
        length: song.length(),
    };
    let limits = crate::app::feels::limits(crate::solo::Level::default()).expect("the limits");
    let performance = pass.performance(&lap, limits, song.tempo);
    let necks = necks(drawn(&song, &lap, &performance));
    let told: Vec<String> = necks.iter().map(|held| held.words.english()).collect();
    for (words, place) in told.iter().zip(["slanted, frets 5 6", "slanted, frets 5 4", "fret 5"]) {
        assert!(words.contains(place), "{place}: {told:?}");
    }
    assert_eq!(told.len(), 3);
    for held in &necks {
        // Figures of the frets around the bar, the numbers of the strings, and what the two strings are to the chord.
        assert!(
            words(&held.picture).contains(&"5".to_owned()),
            "{:?}",
            words(&held.picture)
        );
    }
}
