//! The songs that come with the page can be read, drafted over and played.

use leadbar::app::planning::{Ask, plan};
use leadbar::app::reading::Reading;
use leadbar::app::{DEMO_SONGS, Shown, Work};
use std::sync::Arc;

#[test]
fn every_demo_song_is_read_without_a_problem_and_in_a_key_other_than_e() {
    for song in DEMO_SONGS {
        let reading = Reading::of(song.chart);
        assert_eq!(reading.problems, [], "{}", song.id);
        let timeline = reading.song.unwrap_or_else(|| panic!("{} has no bars", song.id));
        assert_ne!(timeline.key.tonic.to_string(), "E", "{}", song.id);
    }
}

#[test]
fn every_demo_song_gets_passes_that_differ_and_can_be_played() {
    for song in DEMO_SONGS {
        let mut work = Work::on(song.chart);
        work.request.feel = song.feel.to_owned();
        let timeline = Reading::of(song.chart).song.expect("read");
        let instrument = work.rig.built().expect("shipped");
        let ask = Ask {
            song: (*timeline).clone(),
            instrument: instrument.clone(),
            request: work.full_request(&instrument),
        };
        let draft = plan(&ask).unwrap_or_else(|refused| panic!("{}: {refused}", song.id));
        assert!(draft.passes.len() > 1, "{}", song.id);
        for pass in draft.passes {
            let shown = Shown::of(&Arc::new(pass), &timeline, &instrument).expect("shown");
            assert_eq!(shown.breaches, [], "{}", song.id);
            assert!(
                (0..shown.moves.len()).all(|index| !shown.why(index, &timeline, &instrument).is_empty()),
                "{}: a move without a reason",
                song.id
            );
        }
    }
}
