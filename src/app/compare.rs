//! Two passes side by side: where they differ, and how much one is turned down so that both are equally loud.
//!
//! *Invariant:* of two passes the louder one is turned down; none is ever turned up.

mod neck;

pub use neck::{NeckMark, Whose, on_neck};

use super::passes::Chosen;
use crate::solo::{Kind, Move, Pass};
use crate::sound::loudness::{LoudnessError, Meter};
use crate::sound::{Amp, Command, Decibels, Fader, Lufs, Mix, Part, Player, Report, SampleRate, Score};
use crate::theory::{Beats, Timeline, rank};
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// What is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Compared {
    /// The other pass, where there is one.
    pub with: Option<Chosen>,
    /// Whether the other one is heard.
    pub hears_other: bool,
}

/// A stretch in which two passes do not do the same.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    /// Where it begins.
    pub from: Beats,
    /// Where it ends.
    pub to: Beats,
    /// The bar it begins in, counted from 1.
    pub bar: usize,
    /// What each does there, in a few words.
    pub words: Said,
}

/// A move of one of two passes.
#[derive(Clone, Copy)]
struct Own<'a> {
    action: &'a Move,
    here: bool,
}

/// Where `here` differs from `there`, in order of time; stretches that touch are one.
#[must_use]
pub fn differences(here: &Pass, there: &Pass, song: &Timeline) -> Vec<Difference> {
    let own = |here: bool| move |action| Own { action, here };
    let mut only: Vec<Own> = missing(here, there).into_iter().map(own(true)).collect();
    only.extend(missing(there, here).into_iter().map(own(false)));
    only.sort_by_cached_key(|one| rank(one.action.at.0));
    let mut stretches: Vec<(Beats, Vec<Own>)> = Vec::new();
    for own in only {
        let end = own.action.end();
        match stretches.last_mut() {
            Some((to, held)) if own.action.at < *to => {
                *to = to.max(end);
                held.push(own);
            }
            _ => stretches.push((end, vec![own])),
        }
    }
    let name = |(to, held): (Beats, Vec<Own>)| {
        let from = held.first()?.action.at;
        Some(Difference {
            from,
            to,
            bar: song.bar_index_at(from + Beats(1e-6)).map_or(1, |b| b + 1),
            words: words(&held),
        })
    };
    stretches.into_iter().filter_map(name).collect()
}

/// The moves of `a` that `b` has not.
fn missing<'a>(a: &'a Pass, b: &Pass) -> Vec<&'a Move> {
    let same = |own: &Arc<Move>, other: &Arc<Move>| {
        Arc::ptr_eq(own, other)
            || (own.at == other.at
                && own.kind == other.kind
                && own.length == other.length
                && own.strokes == other.strokes)
    };
    let found = |own: &Arc<Move>| {
        // Both lists are in order of time: only those that begin at the same moment can be the same.
        let near = b.moves.partition_point(|other| other.at.0 < own.at.0 - 1e-9);
        b.moves
            .iter()
            .skip(near)
            .take_while(|other| other.at.0 <= own.at.0 + 1e-9)
            .any(|other| same(own, other))
    };
    a.moves.iter().filter(|own| !found(own)).map(Arc::as_ref).collect()
}

fn words(held: &[Own]) -> Said {
    let kinds = |here: bool| -> Vec<Kind> {
        let mut kinds: Vec<Kind> = Vec::new();
        for own in held.iter().filter(|own| own.here == here) {
            if kinds.last() != Some(&own.action.kind) {
                kinds.push(own.action.kind);
            }
        }
        kinds
    };
    let list = |kinds: &[Kind]| match kinds {
        [] => said!("rest¦nothing is played"),
        [one] => Said::within(one.name()),
        [first, .., last] => said!(
            "{first} to {last}",
            first = Said::within(first.name()),
            last = Said::within(last.name())
        ),
    };
    let (ours, theirs) = (kinds(true), kinds(false));
    if ours == theirs {
        said!("{ours}, done otherwise", ours = list(&ours))
    } else {
        said!(
            "{ours} here, {theirs} there",
            ours = list(&ours),
            theirs = list(&theirs)
        )
    }
}

/// The rate at which loudness is measured. Half of what is heard takes half as long, and the steel has little above
/// its end that the ear weighs.
const RATE: SampleRate = SampleRate(24_000.0);
/// Samples measured at a time.
const BLOCK: usize = 1024;

/// A pass to be measured, and the amplifier it is heard through.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AskLoudness {
    /// The pass over its song.
    pub score: Score,
    /// The amplifier.
    pub amp: Amp,
}

/// How loud the steel of a pass is as a whole (ITU-R BS.1770-4, gated), without the band; nothing when it is silent.
///
/// # Errors
/// When the meter can't measure.
pub fn loudness(ask: &AskLoudness) -> Result<Option<Lufs>, LoudnessError> {
    let mut meter = Meter::new(RATE)?;
    let mut player = Player::new(RATE);
    player.command(Command::Load(Arc::new(ask.score.clone())));
    player.command(Command::Amp(ask.amp));
    player.command(Command::Mix(solo_alone()));
    player.command(Command::Play { from: Beats::ZERO });
    let (mut left, mut right) = ([0.0; BLOCK], [0.0; BLOCK]);
    loop {
        player.process(&mut left, &mut right);
        meter.add(&left, &right)?;
        let over = |report| matches!(report, Report::Ended | Report::Failed { .. });
        if std::iter::from_fn(|| player.report()).any(over) {
            return Ok(meter.read().integrated);
        }
    }
}

fn solo_alone() -> Mix {
    let mut mix = Mix::default();
    for part in Part::ALL {
        *mix.fader_mut(part) = Fader {
            level: Decibels(0.0),
            muted: part != Part::Solo,
        };
    }
    mix
}

/// How loud two passes are set, against their own level, so that both sound equally loud. One that is silent leaves
/// the other as it is.
#[must_use]
pub fn balance(here: Option<Lufs>, there: Option<Lufs>) -> (Decibels, Decibels) {
    let (Some(here), Some(there)) = (here, there) else {
        return (Decibels(0.0), Decibels(0.0));
    };
    let quieter = here.0.min(there.0);
    (Decibels(quieter - here.0), Decibels(quieter - there.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::planning;
    use crate::app::revising::{AskOffers, offers};
    use crate::steel::Instrument;
    use crate::theory::chart;

    pub(super) fn scene() -> AskOffers {
        let song = chart::parse("key D, 100; 1 4 5 1 / 6- 4 5 1").chart.timeline();
        let instrument = Instrument::shipped("e9").unwrap();
        let ask = planning::Ask {
            song: song.clone(),
            instrument: instrument.clone(),
            request: crate::solo::Request::default(),
        };
        let pass = planning::plan(&ask).unwrap().passes.swap_remove(0);
        AskOffers {
            song,
            instrument,
            pass,
            index: 2,
            most: 20,
        }
    }

    #[test]
    fn a_pass_does_not_differ_from_itself_nor_by_a_lock() {
        let scene = scene();
        assert!(differences(&scene.pass, &scene.pass, &scene.song).is_empty());
        let mut locked = scene.pass.clone();
        Arc::make_mut(&mut locked.moves[1]).locked = true;
        assert!(differences(&scene.pass, &locked, &scene.song).is_empty());
    }

    #[test]
    fn one_change_is_one_stretch_where_it_was_made_and_the_same_from_both_sides() {
        let scene = scene();
        let action = &scene.pass.moves[scene.index];
        for offer in offers(&scene).unwrap() {
            let changed = offer.made_in(&scene.pass);
            let found = differences(&changed, &scene.pass, &scene.song);
            assert!(
                !found.is_empty() && found.len() <= 2,
                "{}: {found:?}",
                offer.words.english()
            );
            assert!(
                found.iter().any(|d| d.from < action.end() && d.to > action.at),
                "{}: {found:?}",
                offer.words.english()
            );
            let back = differences(&scene.pass, &changed, &scene.song);
            let places = |all: &[Difference]| all.iter().map(|d| (d.from, d.to)).collect::<Vec<_>>();
            assert_eq!(places(&found), places(&back), "{}", offer.words.english());
        }
    }

    #[test]
    fn a_move_that_is_left_out_is_a_rest_here() {
        let scene = scene();
        let mut thinner = scene.pass.clone();
        let gone = thinner.moves.remove(3);
        let found = differences(&thinner, &scene.pass, &scene.song);
        assert_eq!(found.len(), 1);
        assert!(found[0].words.english().starts_with("rest here, "), "{found:?}");
        assert_eq!((found[0].from, found[0].to), (gone.at, gone.end()));
    }

    #[test]
    fn the_louder_one_is_turned_down_and_none_up() {
        let (a, b) = balance(Some(Lufs(-20.0)), Some(Lufs(-26.5)));
        assert_eq!((a.0, b.0), (-6.5, 0.0));
        let (a, b) = balance(None, Some(Lufs(-20.0)));
        assert_eq!((a.0, b.0), (0.0, 0.0));
    }

    #[test]
    fn a_pass_played_harder_is_louder_and_balancing_makes_both_alike() {
        let scene = scene();
        let limits = crate::app::feels::limits(crate::solo::Level::default()).unwrap();
        let soft = scene.pass.performance(&scene.instrument, limits, scene.song.tempo);
        let mut hard = soft.clone();
        for pluck in &mut hard.plucks {
            pluck.strength = (pluck.strength * 1.3).min(1.0);
        }
        let measure = |performance| {
            let score = Score::new(scene.instrument.clone(), performance, scene.song.clone());
            let amp = Amp::CLEAN;
            loudness(&AskLoudness { score, amp }).unwrap()
        };
        let (soft, hard) = (measure(soft), measure(hard));
        assert!(hard.unwrap().0 > soft.unwrap().0 + 0.5, "{hard:?} {soft:?}");
        let (down, still) = balance(hard, soft);
        assert_eq!(still.0, 0.0);
        assert!((hard.unwrap().0 + down.0 - soft.unwrap().0).abs() < 1e-9);
    }
}
