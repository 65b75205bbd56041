use super::*;
use crate::app::reading::Reading;
use crate::theory::SongClock;

const RATE: SampleRate = SampleRate(48_000.0);

/// Eight bars of two seconds each.
fn song() -> Arc<Timeline> {
    Reading::of("key Bb, 120; 1 4 5 1 1 4 5 1").song.expect("a song")
}

fn heard(at: f64, seconds: f64) -> Heard {
    Heard {
        rate: RATE,
        frames: (seconds * RATE.0) as u64,
        at: Seconds(at),
        peaks: Vec::new(),
        clipped: false,
    }
}

const ALL: LoopBars = LoopBars { from: 0, to: 7 };

/// Takes over these bars, each heard from two seconds before the first on, and a second after the last.
fn takes(over: &[LoopBars]) -> Takes {
    let (song, mut takes) = (song(), Takes::default());
    let pace = Pace::of(&song, None);
    for (n, bars) in over.iter().enumerate() {
        let from = 2.0 * bars.from as f64 - 2.0;
        let to = 2.0 * (bars.to + 1) as f64 + 1.0;
        takes.add(
            heard(from + 0.1, to - from),
            format!("k{n}"),
            *bars,
            Some(Seconds(0.1)),
            &song,
            &pace,
        );
    }
    takes
}

fn id(takes: &Takes, n: usize) -> TakeId {
    takes.list[n].id
}

#[test]
fn a_take_lies_where_it_was_played_whatever_the_delay() {
    let takes = takes(&[ALL]);
    let source = takes.list[0].source();
    assert!((source.start.0 + 2.0).abs() < 1e-9);
    // The count is cut off, the pick-up is not.
    assert!((source.from.0 + 0.5).abs() < 1e-9);
    assert!((source.to.0 - 17.0).abs() < 1e-9);
}

#[test]
fn the_first_take_sounds_where_it_was_played_and_a_later_one_where_none_does() {
    let takes = takes(&[LoopBars { from: 2, to: 4 }, ALL]);
    let (first, second) = (id(&takes, 0), id(&takes, 1));
    let chosen: Vec<_> = (0..8).map(|bar| takes.in_bar(bar)).collect();
    let want = [1, 1, 0, 0, 0, 1, 1, 1].map(|n| Some([first, second][n]));
    assert_eq!(chosen, want);
}

#[test]
fn a_take_that_was_broken_off_is_chosen_only_as_far_as_it_goes() {
    let (song, mut takes) = (song(), Takes::default());
    takes.add(
        heard(-2.0, 7.0),
        "k".to_owned(),
        ALL,
        None,
        &song,
        &Pace::of(&song, None),
    );
    let chosen: Vec<bool> = (0..8).map(|bar| takes.in_bar(bar).is_some()).collect();
    assert_eq!(chosen, [true, true, true, false, false, false, false, false]);
}

#[test]
fn bars_are_chosen_one_by_one_and_all_at_once() {
    let song = song();
    let pace = Pace::of(&song, None);
    let mut takes = takes(&[ALL, LoopBars { from: 4, to: 5 }]);
    let (first, second) = (id(&takes, 0), id(&takes, 1));
    takes.choose(1, None);
    takes.choose_all(second, &song, &pace);
    let chosen: Vec<_> = (0..8).map(|bar| takes.in_bar(bar)).collect();
    // The second rings on into bar 7 (counted from 1), and begins with a pick-up in bar 4.
    let of = |n: usize| [None, Some(first), Some(second)][n];
    assert_eq!(chosen, [1, 0, 1, 2, 2, 2, 2, 1].map(of));
    takes.discard(second);
    assert_eq!(
        (takes.list.len(), takes.in_bar(4), takes.in_bar(0)),
        (1, None, Some(first))
    );
}

#[test]
fn handovers_fall_on_bar_lines_and_out_of_silence_comes_the_pick_up() {
    let song = song();
    let pace = Pace::of(&song, None);
    let mut takes = takes(&[LoopBars { from: 1, to: 3 }, LoopBars { from: 3, to: 4 }]);
    takes.choose(3, Some(id(&takes, 1)));
    let cuts: Vec<(f64, Option<usize>)> = takes.cuts(&song, &pace).iter().map(|c| (c.at.0, c.source)).collect();
    // After its last bar the second rings on: no cut ends it.
    assert_eq!(cuts, [(1.5, Some(0)), (6.0, Some(1))]);
    takes.choose(2, None);
    let cuts: Vec<(f64, Option<usize>)> = takes.cuts(&song, &pace).iter().map(|c| (c.at.0, c.source)).collect();
    assert_eq!(cuts, [(1.5, Some(0)), (4.0, None), (5.5, Some(1))]);
}

#[test]
fn the_comp_follows_a_recording_that_hurries() {
    let song = song();
    let clock = SongClock::steady(Seconds(3.0), Tempo(60.0)).expect("a clock");
    let pace = Pace::of(&song, Some(clock));
    assert_eq!(pace.time(Beats(4.0)), Seconds(4.0));
    assert_eq!(Pace::of(&song, None).time(Beats(4.0)), Seconds(2.0));
}

#[test]
fn a_take_is_trimmed_moved_and_named_within_reason() {
    let mut takes = takes(&[ALL]);
    let first = id(&takes, 0);
    takes.amend(first, |take| {
        take.trim(Seconds(-3.0), Seconds(1e9));
        take.shift(Seconds(99.0));
    });
    takes.rename(first, "  the good one  ");
    takes.rename(first, "   ");
    let take = &takes.list[0];
    assert_eq!(
        (take.from_start, take.nudge, take.name.as_str()),
        (Seconds(0.0), FURTHEST, "the good one")
    );
    let source = take.source();
    assert!((source.to.0 - source.from.0 - 0.1).abs() < 1e-9);
    assert_eq!(takes.clone().believed(), takes);
}

#[test]
fn takes_from_elsewhere_are_believed_as_far_as_they_can_be() {
    let mut takes = takes(&[ALL, ALL, ALL, ALL]);
    let ids: Vec<TakeId> = takes.list.iter().map(|take| take.id).collect();
    takes.amend(ids[0], |take| take.heard = Seconds(f64::NAN));
    takes.amend(ids[1], |take| take.frames = u64::MAX);
    takes.amend(ids[2], |take| take.peaks = vec![0; 1 << 20]);
    takes.choose(3, Some(ids[3]));
    takes.choose(4, Some(TakeId(77)));
    let believed = takes.believed();
    assert_eq!(believed.list.iter().map(|take| take.id).collect::<Vec<_>>(), [ids[3]]);
    assert_eq!(
        (believed.in_bar(0), believed.in_bar(3), believed.in_bar(4)),
        (None, Some(ids[3]), None)
    );
    assert_eq!(believed.comp.len(), 4);
}

#[test]
fn takes_come_back_from_text_as_they_were() {
    let takes = takes(&[ALL]);
    let text = serde_json::to_string(&takes).expect("plain data");
    assert_eq!(serde_json::from_str::<Takes>(&text).expect("its own"), takes);
    assert_eq!(serde_json::from_str::<Takes>("{}").expect("empty"), Takes::default());
}
