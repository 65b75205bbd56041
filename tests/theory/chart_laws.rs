//! Laws of charts over random ones: what is printed reads back, what is played has no gap. That no text is too odd is
//! `foreign_bytes`' affair.

use leadbar::theory::chart::{self, Bar, Break, Chart, Endings, Item, KeyChange, Slot, Ticks, Times};
use leadbar::theory::{
    Accidental, Hit, Key, Metre, Mode, Numeral, Quality, ScaleDegree, Semitones, Signature, Swing, Tempo,
};
use proptest::prelude::*;

fn degree() -> impl Strategy<Value = ScaleDegree> {
    (1_u8..=7, -1_i8..=1).prop_filter_map("1 to 7", |(n, a)| ScaleDegree::new(n, Accidental(a)))
}

fn numeral() -> impl Strategy<Value = Numeral> {
    let quality = proptest::sample::select(Quality::ALL.to_vec());
    (degree(), quality, proptest::option::of(degree())).prop_map(|(degree, quality, bass)| {
        let numeral = Numeral::new(degree, quality);
        bass.map_or(numeral, |bass| numeral.over(bass))
    })
}

fn key() -> impl Strategy<Value = Key> {
    (-7_i8..=7, any::<bool>()).prop_map(|(fifths, minor)| {
        Key::from_signature(Signature(fifths), if minor { Mode::Minor } else { Mode::Major })
    })
}

fn metre() -> impl Strategy<Value = Metre> {
    (1_u8..=16, proptest::sample::select(vec![2_u8, 4, 8, 16])).prop_map(|(count, unit)| Metre { count, unit })
}

fn slot() -> impl Strategy<Value = Slot> {
    let hit = proptest::sample::select(vec![Hit::Played, Hit::Held, Hit::Choked]);
    let chord = (numeral(), hit, any::<bool>()).prop_map(|(numeral, hit, pushed)| Slot {
        hit,
        pushed,
        ..Slot::of(numeral)
    });
    prop_oneof![9 => chord, 1 => Just(Slot::REST)]
}

/// A bar with its beats not yet written.
fn bar() -> impl Strategy<Value = Bar> {
    prop_oneof![
        8 => proptest::collection::vec(slot(), 1..5).prop_map(Bar::Chords),
        1 => Just(Bar::Same),
    ]
}

fn name() -> impl Strategy<Value = String> {
    prop_oneof![
        "[A-Za-z][a-z0-9]{0,6}( [A-Za-z0-9]{1,6}){0,4}",
        "[ -!#-~é]{0,12}".prop_map(|s| s.trim().to_owned())
    ]
}

fn item() -> impl Strategy<Value = Item> {
    prop_oneof![
        10 => bar().prop_map(Item::Bar),
        2 => name().prop_map(Item::Section),
        2 => any::<bool>().prop_map(|slash| Item::Break(if slash { Break::Slash } else { Break::Line })),
        1 => Just(Item::RepeatFrom),
        2 => (2_u8..=16).prop_filter_map("2 to 16", |n| Times::new(n).map(Item::RepeatTo)),
        1 => proptest::collection::vec(1_u8..=16, 1..4).prop_filter_map("1 to 16", |p| Endings::new(p).map(Item::Ending)),
        1 => metre().prop_map(Item::Metre),
        1 => key().prop_map(|k| Item::Key(KeyChange::To(k))),
        1 => (-11_i16..=11).prop_map(|by| Item::Key(KeyChange::By(Semitones(by)))),
    ]
}

/// Makes a row of items one that a text can hold: no line end at the edges or beside another, nothing repeated
/// before the first bar, repeats not nested, and beats that make up the bar.
fn tidy(items: Vec<Item>, mut metre: Metre, dotted: bool) -> Vec<Item> {
    let mut tidied: Vec<Item> = Vec::new();
    let (mut has_bar, mut repeating) = (false, false);
    for mut item in items {
        match &mut item {
            Item::Break(_) if !matches!(tidied.last(), Some(i) if !matches!(i, Item::Break(_))) => continue,
            Item::Bar(Bar::Same) if !has_bar => continue,
            Item::Bar(Bar::Chords(slots)) => {
                has_bar = true;
                let room = usize::from(metre.count) > slots.len();
                if dotted && room {
                    slots[0].ticks = Ticks::new(if slots.len() == 1 { metre.count } else { 1 });
                }
            }
            Item::RepeatFrom if std::mem::replace(&mut repeating, true) => continue,
            Item::RepeatTo(_) => repeating = false,
            Item::Metre(new) => metre = *new,
            _ => {}
        }
        tidied.push(item);
    }
    if repeating {
        tidied.push(Item::RepeatTo(Times::TWICE));
    }
    while matches!(tidied.last(), Some(Item::Break(_))) {
        tidied.pop();
    }
    tidied
}

fn any_chart() -> impl Strategy<Value = Chart> {
    let style = prop_oneof![Just("rock".to_owned()), name()];
    let heading = (
        proptest::option::of(name()),
        key(),
        proptest::option::of(20_u32..=400),
        metre(),
        proptest::option::of(style),
        any::<bool>(),
    );
    let body = (proptest::collection::vec(item(), 0..30), any::<bool>());
    (heading, body).prop_map(|((title, key, tempo, metre, style, swung), (items, dotted))| Chart {
        title,
        key,
        tempo: tempo.map(|t| Tempo(f64::from(t))),
        metre,
        style,
        swing: if swung { Swing::Swung } else { Swing::Straight },
        items: tidy(items, metre, dotted),
    })
}

proptest! {
    // The text says it all when one fails: no file of seeds is kept.
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_a_chart_prints_reads_back_as_the_same_chart(chart in any_chart()) {
        let text = chart.to_string();
        prop_assert_eq!(&chart::parse(&text).chart, &chart, "{}", text);
    }

    #[test]
    fn a_song_in_time_has_no_gap_and_no_overlap(chart in any_chart()) {
        let song = chart.timeline();
        let mut at = 0.0;
        for span in &song.spans {
            prop_assert!((span.start.0 - at).abs() < 1e-9, "{} after {at}: {chart}", span.start);
            prop_assert!(span.length.0 > 0.0);
            prop_assert!(song.bars.get(span.bar).is_some());
            at = span.end().0;
        }
        prop_assert!((song.length().0 - at).abs() < 1e-9);
    }
}
