//! What stands in a score, read back by a reader of XML.

use super::chords::kind;
use super::{ChordNames, write};
use crate::sample::{self, pluck, still, turn};
use crate::solo::Performance;
use crate::theory::{Beats, Quality, chart};
use proptest::prelude::*;
use quick_xml::Reader;
use quick_xml::events::Event;

fn score(performance: &Performance) -> String {
    write(
        performance,
        &sample::e9(),
        &sample::song(),
        Some("Sample"),
        ChordNames::Letters,
    )
}

/// The elements of a score with their texts, in order: `("fret", "3")`, and `("/note", "")` where one ends.
fn elements(text: &str) -> Vec<(String, String)> {
    let mut reader = Reader::from_str(text);
    reader.config_mut().trim_text(true);
    let mut found: Vec<(String, String)> = Vec::new();
    let name = |text: &str| text.to_owned();
    loop {
        match reader.read_event().expect("well-formed XML") {
            Event::Start(start) | Event::Empty(start) => found.push((name(start.name().as_ref()), String::new())),
            Event::Text(text) => {
                if let Some(last) = found.last_mut() {
                    last.1 = name(&text);
                }
            }
            Event::End(end) => found.push((format!("/{}", name(end.name().as_ref())), String::new())),
            Event::Eof => return found,
            _ => {}
        }
    }
}

/// The notes of one staff as (string, fret), without tied pieces.
fn frets(text: &str, staff: &str) -> Vec<(String, String)> {
    let all = elements(text);
    let notes = all.split(|(name, _)| name == "/note");
    let one = |note: &[(String, String)]| {
        let value = |wanted: &str| {
            note.iter()
                .rev()
                .find(|(name, _)| name == wanted)
                .map(|(_, text)| text.clone())
        };
        let own = value("staff").as_deref() == Some(staff);
        Some((value("string")?, value("fret")?)).filter(|_| own)
    };
    notes.filter_map(one).collect()
}

/// The divisions that each bar holds in each voice.
fn lengths(text: &str) -> Vec<(u32, u32)> {
    let mut bars = Vec::new();
    let (mut sums, mut second, mut chord, mut grace) = ((0, 0), false, false, false);
    let mut backing = false;
    for (name, text) in elements(text) {
        match name.as_str() {
            "measure" => (sums, second) = ((0, 0), false),
            "/measure" => bars.push(sums),
            "note" => (chord, grace) = (false, false),
            "chord" => chord = true,
            "grace" => grace = true,
            "backup" => (second, backing) = (true, true),
            "/backup" => backing = false,
            "duration" if !chord && !grace && !backing => {
                let sum = if second { &mut sums.1 } else { &mut sums.0 };
                *sum += text.parse::<u32>().expect("a length");
            }
            _ => {}
        }
    }
    bars
}

#[test]
fn both_staves_hold_every_pick_with_its_string_and_fret() {
    let text = score(&sample::solo());
    for staff in ["1", "2"] {
        let frets = frets(&text, staff);
        for expected in [("5", "1"), ("5", "3"), ("4", "3"), ("8", "6"), ("3", "10"), ("3", "15")] {
            assert!(
                frets.iter().any(|(s, f)| (s.as_str(), f.as_str()) == expected),
                "{expected:?} {frets:?}"
            );
        }
    }
}

#[test]
fn a_squeeze_is_a_bend_a_slide_a_slide_and_a_bar_between_frets_a_quarter_tone() {
    let mut p = still(6.5);
    p.travels[0].turns = vec![turn(1.0, 0.5, 1.0), turn(2.0, 0.5, 0.0)];
    p.bar.turns = vec![turn(3.0, 0.5, 9.0)];
    p.plucks = vec![pluck(0.0, 5), pluck(2.75, 4)];
    let all = elements(&score(&p));
    let has = |name: &str, text: &str| all.iter().any(|(n, t)| n == name && t == text);
    assert!(has("bend-alter", "2") && has("bend-alter", "-2") && has("release", ""));
    // Both strings slide on either staff, each with a start and a stop.
    assert_eq!(all.iter().filter(|(n, _)| n == "slide").count(), 8);
    // String 4, an E4, at fret 6.5 lies halfway between A#4 and B4.
    assert!(has("alter", "1.5") || has("alter", "-0.5") || has("alter", "0.5"));
}

#[test]
fn names_with_signs_of_xml_in_them_stay_names() {
    let text = write(
        &still(0.0),
        &sample::e9(),
        &sample::song(),
        Some("<b>&\"'"),
        ChordNames::Letters,
    );
    assert!(text.contains("&lt;b&gt;&amp;"));
    assert!(!elements(&text).iter().any(|(name, _)| name == "b"));
}

#[test]
fn numbers_stand_in_the_chords_or_beside_them() {
    let song = chart::parse("key A; 1 b7/4 6-7").chart.timeline();
    let p = Performance::silent(song.length(), sample::e9().changes.len());
    let text = |names| write(&p, &sample::e9(), &song, None, names);
    let beside = elements(&text(ChordNames::Letters));
    assert!(beside.contains(&("words".to_owned(), "b7/4".to_owned())));
    assert!(beside.contains(&("root-step".to_owned(), "G".to_owned())));
    let inside = elements(&text(ChordNames::Numbers));
    assert!(inside.contains(&("numeral-root".to_owned(), "7".to_owned())));
    assert!(inside.contains(&("numeral-alter".to_owned(), "-1".to_owned())));
}

#[test]
fn every_quality_has_a_kind_and_no_two_have_the_same() {
    let kinds: std::collections::BTreeSet<_> = Quality::ALL.into_iter().map(kind).collect();
    assert_eq!(kinds.len(), Quality::ALL.len());
}

#[test]
fn under_a_slanted_bar_each_string_has_its_own_fret() {
    let mut p = Performance::silent(sample::song().length(), sample::e9().changes.len());
    // From fret 4 on string 1 to fret 7 on string 10: the ninth of the way is a third of a fret.
    p.bar.first = 4.0;
    p.slant.first = 3.0;
    p.plucks = vec![pluck(0.0, 1), pluck(0.0, 10)];
    let text = write(&p, &sample::e9(), &sample::song(), None, ChordNames::Letters);
    assert!(
        text.contains("<fret>4</fret>") && text.contains("<fret>7</fret>"),
        "{text}"
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn both_staves_of_every_bar_are_filled_exactly(
        plucks in proptest::collection::btree_set((0_u32..192, 1_u8..=10), 0..40),
        metre in prop::sample::select(vec!["4/4", "3/4", "6/8", "2/2", "5/4", "7/8", "3/16"]),
        glide in 0.0_f64..12.0,
    ) {
        let song = chart::parse(&format!("key G, {metre}; 1 4 5 1 1")).chart.timeline();
        let mut p = Performance::silent(song.length(), sample::e9().changes.len());
        p.bar.first = 3.0;
        p.bar.turns = vec![turn(glide, 0.4, 8.0)];
        p.plucks = plucks
            .iter()
            .map(|(step, s)| pluck(f64::from(*step) / 12.0, *s))
            .filter(|p| p.at < song.length() - Beats(0.02))
            .collect();
        let text = write(&p, &sample::e9(), &song, None, ChordNames::Letters);
        let bar = (song.bars[0].metre.bar().0 * 24.0) as u32;
        for sums in lengths(&text) {
            prop_assert_eq!(sums, (bar, bar), "{}", metre);
        }
        prop_assert!(!text.contains("<duration>0<"));
        // Triplets and sixteenths meet in no count, so every length has a value.
        prop_assert_eq!(text.matches("<type>").count(), text.matches("<voice>").count());
    }
}
