//! The sheet holds what the tab and the neck hold, and its pictures are well-formed whatever was written.

use super::*;
use crate::sample;
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

fn sheet() -> Sheet {
    Sheet::of(Some("Mill Song"), &sample::song(), &sample::e9(), &sample::solo())
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
    let mut drawn: Vec<String> = sheet().systems.iter().flat_map(words).collect();
    for sign in signs.drain(..) {
        let place = drawn.iter().position(|word| *word == sign);
        drawn.swap_remove(place.unwrap_or_else(|| panic!("{sign} is not drawn")));
    }
}

#[test]
fn the_neck_pictures_show_every_string_that_is_plucked_under_its_chord() {
    let (song, solo) = (sample::song(), sample::solo());
    let necks = sheet().necks;
    for pluck in &solo.plucks {
        let chord = song.span_at(pluck.at).expect("a chord").numeral.to_string();
        let string = pluck.string.number().to_string();
        let shown = necks.iter().any(|held| {
            let strings = held.words.split_once("strings ").map_or("", |(_, strings)| strings);
            held.words.starts_with(&format!("{chord}: ")) && strings.split(' ').any(|s| s == string)
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
    let necks = Sheet::of(None, &sample::song(), &instrument, &sample::solo()).necks;
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
    let tab = tab_picture(&song, &instrument, &solo);
    let widest = sheet.systems.iter().map(|s| s.width.0).fold(0.0, f64::max);
    assert_eq!(tab.width, Pixels(widest));
    assert!(!words(&tab).is_empty());
    assert!(!words(&neck_picture(&song, &instrument, &solo)).is_empty());
}

#[test]
fn a_solo_without_a_stroke_gives_a_sheet_with_the_chart_alone() {
    let (song, instrument) = (sample::song(), sample::e9());
    let silent = Performance::silent(song.length(), instrument.changes.len());
    let sheet = Sheet::of(None, &song, &instrument, &silent);
    assert_eq!((sheet.bars.len(), sheet.necks.len()), (4, 0));
    words(&tab_picture(&song, &instrument, &silent));
}
