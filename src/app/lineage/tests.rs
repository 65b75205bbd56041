use super::*;
use crate::app::feels;
use crate::solo::{Brief, Request, Reviser, draft};
use crate::steel::Instrument;
use crate::theory::chart;
use crate::words::Words;

const CHART: &str = "key Eb, 96; 1 4 5 1 / 6- 2- 5 1";

fn drafted() -> Kept {
    let song = chart::parse(CHART).chart.timeline();
    let instrument = Instrument::shipped("e9").unwrap();
    let request = Request::default();
    let brief = Brief {
        timeline: &song,
        instrument: &instrument,
        feel: feels::by_id("country").unwrap(),
        limits: feels::limits(crate::solo::Level::default()).unwrap(),
        request: &request,
    };
    let pass = draft(&brief).unwrap().passes.swap_remove(0);
    Kept::drafted(pass, CHART.into(), "e9".to_owned())
}

/// A draft and, from it, a chain of `changes` single changes.
fn chain(changes: usize) -> Lineage {
    let song = chart::parse(CHART).chart.timeline();
    let instrument = Instrument::shipped("e9").unwrap();
    let kept = drafted();
    let brief = Brief {
        timeline: &song,
        instrument: &instrument,
        feel: feels::by_id("country").unwrap(),
        limits: feels::limits(crate::solo::Level::default()).unwrap(),
        request: &kept.pass.request.clone(),
    };
    let reviser = Reviser::new(&brief);
    let mut lineage = Lineage::default();
    let mut pass = kept.pass.clone();
    let mut id = lineage.keep(kept);
    for step in 0..changes {
        let index = step % pass.moves.len();
        let offers = reviser.offers(&pass, index, 3);
        let Some(offer) = offers.iter().find(|o| o.made_in(&pass).moves.len() > 4) else {
            continue;
        };
        pass = offer.made_in(&pass);
        id = lineage.derive(id, pass.clone(), offer.words.clone()).unwrap();
    }
    lineage
}

/// A tree by hand: 0 drafted; 1, 2 from 0; 3 from 1; 4 drafted.
fn tree() -> Lineage {
    let kept = drafted();
    let pass = kept.pass.clone();
    let mut lineage = Lineage::default();
    let first = lineage.keep(kept.clone());
    let second = lineage.derive(first, pass.clone(), "half as long".into()).unwrap();
    lineage.derive(first, pass.clone(), "one repeat fewer".into());
    lineage.derive(second, pass, "let it ring".into());
    lineage.keep(kept);
    lineage
}

#[test]
fn the_tree_lists_every_pass_after_the_one_it_comes_from() {
    let listed: Vec<_> = tree().tree().iter().map(|b| (b.index, b.depth, b.from)).collect();
    let expected = [
        (0, 0, None),
        (1, 1, Some(0)),
        (3, 2, Some(1)),
        (2, 1, Some(0)),
        (4, 0, None),
    ];
    assert_eq!(listed, expected);
    assert_eq!(tree().way_to(3), [0, 1, 3]);
    assert_eq!(tree().way_to(9), [0_usize; 0]);
}

#[test]
fn letting_a_pass_go_hands_its_changes_on() {
    let mut lineage = tree();
    lineage.let_go(1);
    let last = lineage.get(2).unwrap();
    assert_eq!(last.came_from(), Some((PassId(0), "half as long; let it ring")));
    lineage.let_go(0);
    assert!(lineage.iter().all(|kept| kept.origin == Origin::Drafted));
    lineage.let_go(7);
    assert_eq!(lineage.len(), 3);
}

#[test]
fn names_are_never_given_again() {
    let mut lineage = tree();
    lineage.let_go(4);
    assert_eq!(lineage.keep(drafted()), PassId(5));
    assert_eq!(lineage.derive(PassId(4), drafted().pass, Said::default()), None);
}

#[test]
fn what_is_written_down_reads_back_and_shares_its_moves_again() {
    let mut lineage = chain(40);
    lineage.amend(PassId(2), |kept| {
        kept.stars = 2;
        kept.note = "bridge too busy".to_owned();
    });
    let text = serde_json::to_string(&lineage).unwrap();
    let read: Lineage = serde_json::from_str(&text).unwrap();
    assert!(read == lineage);
    let pair = (read.get(0).unwrap(), read.get(1).unwrap());
    let shared = pair
        .0
        .pass
        .moves
        .iter()
        .filter(|m| pair.1.pass.moves.iter().any(|n| Arc::ptr_eq(m, n)));
    assert!(shared.count() + 3 >= pair.0.pass.moves.len());
}

#[test]
fn five_hundred_passes_stay_light() {
    let lineage = chain(500);
    assert!(lineage.len() > 400, "{} passes", lineage.len());
    let one = serde_json::to_string(&drafted().pass).unwrap().len();
    let all = serde_json::to_string(&lineage).unwrap().len();
    // Written out, each pass would take as much as the first.
    assert!(
        all * 5 < one * lineage.len(),
        "{all} bytes for {} of {one}",
        lineage.len()
    );
}

#[test]
fn what_the_first_form_kept_still_reads() {
    let text = include_str!("../../../tests/fixtures/work-1.json");
    let snapshot = crate::app::snapshot::Snapshot::from_text(text).unwrap();
    let kept = &snapshot.work.kept;
    assert_eq!(kept.len(), 2);
    assert!(
        kept.iter()
            .all(|k| !k.pass.moves.is_empty() && k.origin == Origin::Drafted && k.stars == 0)
    );
    assert_ne!(kept.get(0).unwrap().id, kept.get(1).unwrap().id);
}

#[test]
fn a_change_is_told_in_the_readers_words_whoever_kept_it() {
    let said = said!("Bar {bar}: {offer}", bar = 3, offer = said!("fret {fret}", fret = 8));
    let mut lineage = tree();
    let id = lineage.derive(PassId(0), drafted().pass, said).unwrap();
    let text = serde_json::to_string(&lineage).unwrap();
    let read: Lineage = serde_json::from_str(&text).unwrap();
    let kept = read.get(read.index_of(id).unwrap()).unwrap();
    assert_eq!(kept.came_from(), Some((PassId(0), "Bar 3: fret 8")));
    assert_eq!(crate::sample::german().tell(&kept.made_by()), "Takt 3: Bund 8");
    let story = read
        .story(5, &Instrument::shipped("e9").unwrap(), &crate::sample::german())
        .unwrap();
    assert!(story.contains("\nDurchgang 6: Takt 3: Bund 8\n"), "{story}");
    assert!(
        story.starts_with("Durchgang 1: Entworfen, ") && story.contains("\nbar 1 "),
        "{story}"
    );
}

#[test]
fn what_earlier_versions_kept_of_a_change_still_reads_and_is_told_as_it_was_written() {
    let mut lineage = tree();
    lineage.derive(PassId(0), drafted().pass, said!("no pedals"));
    let mut text = serde_json::to_value(lineage).unwrap();
    for pass in text["passes"].as_array_mut().unwrap() {
        if let Some(changed) = pass["origin"].get_mut("changed") {
            changed.as_object_mut().unwrap().remove("said").expect("what is new");
            assert_eq!(changed.as_object().unwrap().len(), 2, "from and words, as they were");
        }
    }
    let (read, doubts) = Lineage::read(text, |_| Ok(()));
    assert_eq!(doubts, []);
    assert_eq!(read.len(), 6);
    let told = |index: usize| crate::sample::german().tell(&read.get(index).unwrap().made_by());
    assert_eq!(told(3), "let it ring", "what nobody can look up stays as it was kept");
    assert_eq!(told(5), "keine Pedale", "a whole sentence is found again");
}

#[test]
fn what_says_another_thing_than_its_english_is_not_believed() {
    let mut text = serde_json::to_value(tree()).unwrap();
    let change = |said: &Said| serde_json::to_value(said).unwrap();
    text["passes"][1]["origin"]["changed"]["said"] = change(&said!("no pedals"));
    // Each name holds the one below ten times.
    let mut endless = Said::from("x");
    for _ in 0..40 {
        endless = said!("{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}", a = endless);
    }
    text["passes"][2]["origin"]["changed"]["said"] = change(&endless);
    let (read, _) = Lineage::read(text, |_| Ok(()));
    assert_eq!(read.get(1).unwrap().made_by(), "half as long");
    assert_eq!(read.get(2).unwrap().made_by(), "one repeat fewer");
}

#[test]
fn what_refers_to_nothing_is_left_out_without_a_panic() {
    let mut text: serde_json::Value = serde_json::to_value(tree()).unwrap();
    text["passes"][1]["moves"][0] = 999.into();
    text["passes"][2]["stars"] = 200.into();
    let read: Lineage = serde_json::from_value(text).unwrap();
    assert_eq!(read.len(), 4);
    assert_eq!(read.get(1).unwrap().stars, MOST_STARS);
    assert_eq!(read.get(2).unwrap().origin, Origin::Drafted);
}

#[test]
fn the_story_of_a_pass_tells_every_change_and_ends_with_the_whole_tab() {
    use crate::app::planning;
    use crate::app::revising::{AskOffers, offers};
    use crate::steel::Instrument;
    use crate::theory::chart;
    let text = "key D, 100; 1 4 5 1 / 6- 4 5 1";
    let (song, instrument) = (chart::parse(text).chart.timeline(), Instrument::shipped("e9").unwrap());
    let ask = planning::Ask {
        song: song.clone(),
        instrument: instrument.clone(),
        request: crate::solo::Request::default(),
    };
    let pass = planning::plan(&ask).unwrap().passes.swap_remove(0);
    let mut lineage = Lineage::default();
    let mut last = lineage.keep(Kept::drafted(pass, text.into(), "e9".to_owned()));
    for index in [0, 3] {
        let pass = lineage.get(lineage.len() - 1).unwrap().pass.clone();
        let ask = AskOffers {
            song: song.clone(),
            instrument: instrument.clone(),
            pass,
            index,
            most: 1,
        };
        let offer = offers(&ask).unwrap().swap_remove(0);
        last = lineage
            .derive(last, offer.made_in(&ask.pass), offer.words.clone())
            .unwrap();
    }
    let history = lineage.history(2);
    assert_eq!(history.len(), 3);
    let story = lineage.story(2, &instrument, &Words::ENGLISH).unwrap();
    let places: Vec<usize> = history
        .iter()
        .map(|line| story.find(&line.english()).expect("told"))
        .collect();
    assert!(places.windows(2).all(|w| w[0] < w[1]));
    let whole = story.matches("bar 1 ").count();
    assert!(whole >= 2, "the first and the last are there from bar 1\n{story}");
    assert_eq!(
        lineage.story(2, &Instrument::shipped("c6").unwrap(), &Words::ENGLISH),
        None
    );
    assert_eq!(lineage.index_of(last), Some(2));
}
