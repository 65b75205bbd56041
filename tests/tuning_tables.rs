//! What the solver finds for songs: cents for every string and change, beats a second left in every chord, beside equal
//! temperament, a just scheme and a meantone one. `-- --nocapture` prints the tables.
//!
//! A fixed just scheme has one place for each string and pull. A syntonic comma, 81/80 (any textbook of just intonation),
//! has to go somewhere where one string is asked for two; the pass decides where it hurts least.
#![allow(clippy::unwrap_used)] // a test may fail by panicking

use leadbar::app::tuning::{Manner, Sheet, Tuning};
use leadbar::app::{DEMO_SONGS, feels};
use leadbar::exchange::tab;
use leadbar::solo::{Brief, Request, Sounded, draft, sounded};
use leadbar::steel::Instrument;
use leadbar::steel::temper::Scheme;
use leadbar::theory::{Limit, chart};

/// The title of a demo song and what its first pass sounds.
fn heard(index: usize, instrument: &Instrument) -> (String, Vec<Sounded>) {
    let demo = &DEMO_SONGS[index];
    let song = chart::parse(demo.chart).chart.timeline();
    let request = Request {
        feel: demo.feel.to_owned(),
        ..Request::default()
    };
    let brief = Brief {
        timeline: &song,
        instrument,
        feel: feels::by_id(demo.feel).unwrap(),
        limits: feels::limits(leadbar::solo::Level::default()).unwrap(),
        request: &request,
    };
    let pass = draft(&brief).unwrap().passes.remove(0);
    let performance = pass.performance(
        instrument,
        feels::limits(leadbar::solo::Level::default()).unwrap(),
        song.tempo,
    );
    let title = demo.chart.lines().next().unwrap_or_default().to_owned();
    (title, sounded(&performance, instrument, &song, Limit::Five))
}

fn print(title: &str, sheet: &Sheet) {
    println!("\n{title}\ncents off equal temperament (* sounds in the pass)");
    for line in &sheet.strings {
        let star = |heard: bool| if heard { "*" } else { "" };
        let pulls: Vec<String> = line
            .pulls
            .iter()
            .map(|p| format!("{} {} {:+.1}{}", p.change, p.note, p.target.0, star(p.heard)))
            .collect();
        println!(
            "{:>2} {:<3} {:+6.1}{:<1}  {}",
            line.string,
            line.note,
            line.target.0,
            star(line.heard),
            pulls.join(", ")
        );
    }
    println!("beats a second  found   equal    just  meantone");
    for line in &sheet.beats {
        let [equal, just, meantone] = line.schemes;
        println!(
            "{:<14} {:>6.2}  {equal:>6.2}  {just:>6.2}  {meantone:>8.2}",
            line.number, line.here
        );
    }
    println!(
        "chords {:.2} cents from pure, tones {:.2} from equal",
        sheet.here.impurity.0, sheet.here.departure.0
    );
}

#[test]
fn for_two_demo_songs_the_tuning_found_is_no_less_pure_than_any_scheme() {
    let e9 = Instrument::shipped("e9").unwrap();
    assert_eq!(Scheme::ALL, [Scheme::Equal, Scheme::Just, Scheme::Meantone]);
    for index in [0, 1] {
        let (title, heard) = heard(index, &e9);
        let with = |manner| {
            let wish = Tuning {
                manner,
                ..Tuning::equal(&e9)
            };
            let tuning = wish.found(&e9, &heard);
            Sheet::of(&e9, &tuning, &heard)
        };
        let found = with(Manner::ForPass);
        print(&title, &found);
        for scheme in Scheme::ALL {
            let other = with(Manner::Scheme(scheme));
            println!("{}: chords {:.2} cents from pure", scheme.name(), other.here.impurity.0);
            // Least squares: nothing is purer for what this pass sounds.
            assert!(found.here.impurity.0 <= other.here.impurity.0 + 1e-6);
        }
    }
}

/// A pass written out: a chart, and a bar of tab for each of its chords. Invented.
struct Written {
    chart: &'static str,
    /// For each bar the strings, and how each is written.
    bars: &'static [&'static [(u8, &'static str)]],
}

/// All at one fret: F# on string 7 is the fifth of the 5, a pure fifth over string 5, and the root of the 2-, a pure
/// minor third under the A that the 4 sets against string 4. One string, a comma apart.
const FIFTH_AND_ROOT: Written = Written {
    chart: "key G, 72; 1 4 2- 5",
    bars: &[
        &[(4, "3"), (5, "3"), (6, "3")],
        &[(4, "3"), (5, "3A"), (6, "3B")],
        &[(5, "3A"), (6, "3B"), (7, "3")],
        &[(5, "3"), (7, "3"), (8, "3E")],
    ],
};

/// All at one fret: D on string 9 is the seventh of the 1 7, 9/5 over string 8, and the root of the b7, a pure fifth
/// under the A that the 4 sets against string 4.
const SEVENTH_AND_ROOT: Written = Written {
    chart: "key A, 80; 1 17 4 b7",
    bars: &[
        &[(4, "5"), (5, "5"), (6, "5")],
        &[(6, "5"), (8, "5"), (9, "5")],
        &[(4, "5"), (5, "5A"), (6, "5B")],
        &[(6, "5B"), (7, "5"), (9, "5")],
    ],
};

/// Here no string has two places to be: the 5 is the 4's pedals two frets up.
const NO_COMMA: Written = Written {
    chart: "key G, 72; 1 4 5 1",
    bars: &[
        &[(4, "3"), (5, "3"), (6, "3")],
        &[(4, "3"), (5, "3A"), (6, "3B")],
        &[(4, "5"), (5, "5A"), (6, "5B")],
        &[(4, "3"), (5, "3"), (6, "3")],
    ],
};

impl Written {
    fn heard(&self, e9: &Instrument) -> Vec<Sounded> {
        let song = chart::parse(self.chart).chart.timeline();
        let rows = e9.string_numbers().map(|string| {
            let cell = |bar: &&[(u8, &str)]| {
                let sign = bar.iter().find(|(own, _)| *own == string.number());
                format!("|{:-<12}", format!("-{}", sign.map_or("-", |(_, sign)| sign)))
            };
            let bars: String = self.bars.iter().map(cell).collect();
            format!("{:<2} {bars}|\n", string.number())
        });
        let read = tab::read(&rows.collect::<String>(), e9, &song);
        assert_eq!(read.problems, []);
        let limits = feels::limits(leadbar::solo::Level::default()).unwrap();
        let pass = read.into_pass(Request::default(), &song);
        let performance = pass.performance(e9, limits, song.tempo);
        sounded(&performance, e9, &song, Limit::Five)
    }
}

fn tuned(e9: &Instrument, heard: &[Sounded], manner: Manner) -> (Tuning, Sheet) {
    let wish = Tuning {
        manner,
        ..Tuning::equal(e9)
    };
    let tuning = wish.found(e9, heard);
    let sheet = Sheet::of(e9, &tuning, heard);
    (tuning, sheet)
}

#[test]
fn where_one_string_has_two_places_to_be_the_tuning_found_leaves_less_than_any_scheme() {
    // The syntonic comma 81/80 in cents, from its definition.
    let comma = 1200.0 * (81.0_f64 / 80.0).log2();
    let e9 = Instrument::shipped("e9").unwrap();
    for written in [FIFTH_AND_ROOT, SEVENTH_AND_ROOT] {
        let heard = written.heard(&e9);
        let (tuning, found) = tuned(&e9, &heard, Manner::ForPass);
        print(written.chart, &found);
        // Something is left: no tuning at all is pure here.
        assert!(found.here.impurity.0 > 1.0);
        for scheme in Scheme::ALL {
            let (_, other) = tuned(&e9, &heard, Manner::Scheme(scheme));
            println!("{}: chords {:.2} cents from pure", scheme.name(), other.here.impurity.0);
            assert!(found.here.impurity.0 + 0.2 < other.here.impurity.0, "{}", scheme.name());
        }
        // The just scheme puts the whole comma into one interval; the tuning found shares it out.
        let worst = |tuning: &Tuning| {
            let off = |s: &Sounded| s.wanted.off(&e9, &tuning.temper, tuning.drop).unwrap().0.abs();
            heard.iter().map(off).fold(0.0, f64::max)
        };
        let (just, _) = tuned(&e9, &heard, Manner::Scheme(Scheme::Just));
        println!(
            "worst interval: found {:.1}, just {:.1} cents",
            worst(&tuning),
            worst(&just)
        );
        assert!((worst(&just) - comma).abs() < 0.1, "{}", worst(&just));
        assert!(worst(&tuning) < comma * 0.6, "{}", worst(&tuning));
        // No string or pull moved by a little makes it purer: it is the least there is.
        for index in 0..tuning.temper.strings.len() {
            for by in [-0.5, 0.5] {
                let mut moved = tuning.clone();
                moved.temper.strings[index].0 += by;
                let other = Sheet::of(&e9, &moved, &heard);
                assert!(
                    other.here.impurity.0 >= found.here.impurity.0 - 0.02,
                    "string {}",
                    index + 1
                );
            }
        }
        // From pure to equal nothing is had twice: what is gained on one side is paid on the other.
        for pair in found.curve.windows(2) {
            assert!(pair[1].impurity.0 >= pair[0].impurity.0 - 1e-3);
            assert!(pair[1].departure.0 <= pair[0].departure.0 + 1e-3);
        }
    }
}

#[test]
fn where_no_string_has_two_places_to_be_the_tuning_found_can_only_equal_the_just_scheme() {
    let e9 = Instrument::shipped("e9").unwrap();
    let heard = NO_COMMA.heard(&e9);
    let (_, found) = tuned(&e9, &heard, Manner::ForPass);
    let (_, just) = tuned(&e9, &heard, Manner::Scheme(Scheme::Just));
    print(NO_COMMA.chart, &found);
    // Both are pure, and purer than pure there is nothing.
    assert!(found.here.impurity.0 < 0.01 && just.here.impurity.0 < 0.01);
    for line in found.beats.iter().chain(&just.beats) {
        assert!(line.here < 0.01, "{line:?}");
    }
}
