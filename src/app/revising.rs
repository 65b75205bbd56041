//! Changing one thing: what could be otherwise about a move, and the stretch in which a change is judged by ear.

use super::bench::Refused;
use super::feels;
use crate::solo::{Brief, Change, Offer, Pass, Request, Reviser};
use crate::steel::Instrument;
use crate::theory::{Beats, Timeline};
use serde::{Deserialize, Serialize};
use std::ops::Range;
use std::sync::Arc;

/// A move that begins this soon after a bar line is heard from the bar before.
const NEAR_THE_LINE: Beats = Beats(1.5);
/// What is heard after the change, so that the ear has where it leads to.
const AFTER: Beats = Beats(1.0);

/// A question to the reviser.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AskOffers {
    /// The song.
    pub song: Timeline,
    /// The instrument.
    pub instrument: Instrument,
    /// The pass. The changes its request avoids are avoided.
    pub pass: Pass,
    /// The move, from 0.
    pub index: usize,
    /// The most offers wanted.
    pub most: usize,
}

/// What could be changed.
///
/// # Errors
/// When the shipped attitudes or limits can't be read.
pub fn offers(ask: &AskOffers) -> Result<Vec<Offer>, Refused> {
    let found = reviser(&ask.song, &ask.instrument, &ask.pass.request, |reviser| {
        reviser.offers(&ask.pass, ask.index, ask.most)
    });
    found.ok_or_else(feels::unread)
}

/// Asks a reviser of passes over a song, with the attitude that a request wants. Nothing when the shipped attitudes or
/// limits can't be read.
pub(super) fn reviser<T>(
    song: &Timeline,
    instrument: &Instrument,
    request: &Request,
    ask: impl FnOnce(&Reviser<'_>) -> T,
) -> Option<T> {
    let (feel, limits) = (feels::wanted(request)?, feels::limits(request.level)?);
    let brief = Brief {
        timeline: song,
        instrument,
        feel: &feel,
        limits,
        request,
    };
    Some(ask(&Reviser::new(&brief)))
}

/// The stretch of the song in which a change of `change` is heard: about a bar before it, to a beat after it.
#[must_use]
pub fn context(song: &Timeline, change: Range<Beats>) -> Range<Beats> {
    let bar = |index: usize| song.bars.get(index).map(|b| b.start);
    let from = song
        .bar_index_at(change.start)
        .and_then(|index| {
            let start = bar(index)?;
            let near = change.start - start < NEAR_THE_LINE;
            near.then(|| bar(index.checked_sub(1)?)).flatten().or(Some(start))
        })
        .unwrap_or(change.start);
    from..(change.end + AFTER).min(song.length())
}

/// When the moves that a change replaces, and those it puts there, begin and end.
#[must_use]
pub fn stretch(pass: &Pass, change: &Change) -> Range<Beats> {
    let old = pass.moves.iter().skip(change.from).take(change.count).map(Arc::as_ref);
    let moves = || old.clone().chain(change.moves.iter().map(Arc::as_ref));
    let start = moves().map(|m| m.at).reduce(Beats::min).unwrap_or(Beats::ZERO);
    let end = moves().map(|m| m.end()).reduce(Beats::max).unwrap_or(pass.length);
    start..end
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::planning;
    use crate::theory::chart;

    fn song() -> Timeline {
        chart::parse("key D, 100; 1 4 5 1 / 6- 4 5 1").chart.timeline()
    }

    fn ask(index: usize) -> AskOffers {
        let (song, instrument) = (song(), Instrument::shipped("e9").unwrap());
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
            index,
            most: 12,
        }
    }

    #[test]
    fn a_move_of_a_draft_has_offers_and_each_changes_only_its_stretch() {
        let ask = ask(1);
        let found = offers(&ask).unwrap();
        assert!(found.len() > 3, "{} offers", found.len());
        for offer in &found {
            let around = stretch(&ask.pass, &offer.change);
            let outside = |pass: &Pass| -> Vec<_> {
                let out = pass
                    .moves
                    .iter()
                    .filter(|m| m.end() <= around.start || m.at >= around.end);
                out.cloned().collect()
            };
            assert_eq!(
                outside(&ask.pass),
                outside(&offer.made_in(&ask.pass)),
                "{}",
                offer.words.english()
            );
        }
    }

    #[test]
    fn a_locked_move_has_none() {
        let mut ask = ask(1);
        Arc::make_mut(&mut ask.pass.moves[1]).locked = true;
        assert_eq!(offers(&ask), Ok(Vec::new()));
    }

    #[test]
    fn a_change_is_heard_from_about_a_bar_before_it() {
        let song = song();
        let heard = |from: f64, to: f64| {
            let range = context(&song, Beats(from)..Beats(to));
            (range.start.0, range.end.0)
        };
        assert_eq!(heard(8.0, 10.0), (4.0, 11.0), "on a bar line: from the bar before");
        assert_eq!(heard(11.0, 12.0), (8.0, 13.0), "late in a bar: from its line");
        assert_eq!(heard(0.0, 2.0), (0.0, 3.0), "in the first bar there is none before");
        assert_eq!(heard(30.0, 32.0), (28.0, 32.0), "never past the end");
    }
}
