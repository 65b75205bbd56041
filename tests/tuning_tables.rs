//! What the solver finds for two demo songs: cents for every string and change, beats a second left in every chord,
//! beside equal temperament, a just scheme and a meantone one. `-- --nocapture` prints the tables.
#![allow(clippy::unwrap_used)] // a test may fail by panicking

use leadbar::app::tuning::{Manner, Sheet, Tuning};
use leadbar::app::{DEMO_SONGS, feels};
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
