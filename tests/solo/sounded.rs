//! What a drafted pass sounds, and the temperament that suits it.

use leadbar::app::DEMO_SONGS;
use leadbar::solo::{Brief, Feel, Limits, Request, draft, sounded};
use leadbar::steel::temper::{Anchor, Quest, Scheme, Wanted, judged, solve};
use leadbar::steel::{Fret, Instrument, StringNumber};
use leadbar::theory::{Cents, Limit, Timeline, chart};

fn song(index: usize) -> Timeline {
    chart::parse(DEMO_SONGS[index].chart).chart.timeline()
}

/// All that the first pass drafted over a demo song sounds.
fn heard(instrument: &Instrument, timeline: &Timeline, limit: Limit) -> Vec<Wanted> {
    let feels = Feel::shipped().unwrap();
    let limits = Limits::steady().unwrap();
    let drafted = draft(&Brief {
        timeline,
        instrument,
        feel: &feels[0],
        limits: &limits,
        request: &Request::default(),
    });
    let pass = &drafted.unwrap().passes[0];
    let performance = pass.performance(instrument, &limits, timeline.tempo);
    let all = sounded(&performance, instrument, timeline, limit);
    all.iter().map(|s| s.wanted).collect()
}

fn quest(nearness: f64) -> Quest {
    let anchor = Anchor {
        string: StringNumber::new(4).unwrap(),
        at: Cents(0.0),
    };
    Quest {
        anchor,
        nearness,
        drop: Cents(0.0),
    }
}

#[test]
fn every_interval_heard_is_within_reach_of_its_just_size() {
    let e9 = Instrument::shipped("e9").unwrap();
    let equal = Scheme::Equal.temper(&e9);
    for (index, demo) in DEMO_SONGS.iter().enumerate() {
        for limit in [Limit::Five, Limit::Seven] {
            let wanted = heard(&e9, &song(index), limit);
            assert!(wanted.len() > 5, "{}", demo.name);
            for want in wanted {
                assert!(want.weight > 0.0 && (0.0..=24.0).contains(&want.fret.0));
                let off = want.off(&e9, &equal, Cents(0.0)).unwrap();
                assert!(off.0.abs() < 45.0, "{want:?}: {off}");
            }
        }
    }
}

#[test]
fn the_temperament_found_for_a_pass_is_purer_than_any_scheme() {
    let e9 = Instrument::shipped("e9").unwrap();
    for index in 0..DEMO_SONGS.len() {
        let wanted = heard(&e9, &song(index), Limit::Five);
        let found = solve(&e9, &wanted, &quest(0.0));
        for scheme in Scheme::ALL {
            let rival = judged(&e9, &wanted, &quest(0.0), scheme.temper(&e9));
            println!(
                "{index} {scheme:?}: {:.2} against {:.2} cents",
                rival.impurity.0, found.impurity.0
            );
            assert!(found.impurity.0 <= rival.impurity.0 + 0.1);
        }
    }
}

#[test]
fn a_tuned_instrument_sounds_fewer_beats_where_the_bar_lies() {
    let e9 = Instrument::shipped("e9").unwrap();
    let wanted = heard(&e9, &song(0), Limit::Five);
    let found = solve(&e9, &wanted, &quest(0.0));
    let total = |temper| -> f64 {
        let rate = |w: &Wanted| w.beats(&e9, temper, Cents(0.0)).unwrap().0 * w.weight;
        wanted.iter().filter(|w| w.ratio.over() <= 8).map(rate).sum()
    };
    assert!(total(&found.temper) < 0.7 * total(&Scheme::Equal.temper(&e9)));
    assert!(wanted.iter().any(|w| w.fret != Fret(0.0)));
}
