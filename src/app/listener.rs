//! A whole pass as a listener hears it, ready to show: its reading in sentences, how hard each bar is, what would be
//! heard as dull, and the change that would help.
//!
//! *Invariant:* a help can be played, and changes one move: it is one of the reviser's own offers.

use super::bench::Refused;
use super::feels;
use super::revising::reviser;
use crate::solo::{Offer, Pass, reading};
use crate::steel::Instrument;
use crate::theory::{Beats, Timeline, rank};
use crate::words::Said;
use serde::{Deserialize, Serialize};

/// Bars at least this hard are told by their numbers.
const HARD: f64 = 0.6;
/// As many are told at most.
const TOLD: usize = 6;

/// A question: how is this pass heard?
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AskListener {
    /// The song.
    pub song: Timeline,
    /// The instrument.
    pub instrument: Instrument,
    /// The pass. The changes its request avoids are avoided.
    pub pass: Pass,
}

/// One thing to know of a pass.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Remark {
    /// What it is about, in a word or two.
    pub about: Said,
    /// What there is to say.
    pub words: Said,
}

/// How hard a bar is to play.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Work {
    /// The bar, counted from 1.
    pub bar: usize,
    /// When it begins.
    pub at: Beats,
    /// 0 nothing to do ..= 1 all that hand, feet and bar can do.
    pub part: f64,
}

/// Something a listener would find dull.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DullSpot {
    /// When it begins to be so.
    pub at: Beats,
    /// What it is.
    pub words: Said,
    /// A change that would help, where there is one.
    pub help: Option<Offer>,
}

/// A pass as it is heard.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Listened {
    /// Arc, register, strong beats, figure, breathing.
    pub remarks: Vec<Remark>,
    /// How hard each bar is.
    pub work: Vec<Work>,
    /// What would be heard as dull, the worst first.
    pub dull: Vec<DullSpot>,
}

impl Listened {
    /// The hardest bars in words.
    #[must_use]
    pub fn hardest(&self) -> Said {
        let mut hard: Vec<&Work> = self.work.iter().filter(|w| w.part >= HARD).collect();
        hard.sort_by_cached_key(|one| !rank(one.part));
        hard.truncate(TOLD);
        hard.sort_by_key(|w| w.bar);
        let bars: Vec<String> = hard.iter().map(|w| w.bar.to_string()).collect();
        match bars.as_slice() {
            [] => said!("No bar asks much of you."),
            many => said!(
                many.len() => "Bar {bars} asks the most of you.", "Bars {bars} ask the most of you.",
                bars = many.join(", ")
            ),
        }
    }
}

/// Hears a pass.
///
/// # Errors
/// When the shipped attitudes or limits can't be read.
pub fn listen(ask: &AskListener) -> Result<Listened, Refused> {
    let read = reviser(&ask.song, &ask.instrument, &ask.pass.request, |reviser| {
        reading::read(&ask.pass, reviser)
    });
    let read = read.ok_or_else(feels::unread)?;
    let remark = |line: reading::Line| Remark {
        about: Said::of(line.about),
        words: line.words,
    };
    let work = |hard: reading::Difficulty| Work {
        bar: hard.bar + 1,
        at: ask.song.bars.get(hard.bar).map_or(Beats::ZERO, |bar| bar.start),
        part: hard.part,
    };
    let dull = |dull: reading::Dull| DullSpot {
        at: dull.at,
        words: dull.words,
        help: dull.help,
    };
    Ok(Listened {
        remarks: read.lines.into_iter().map(remark).collect(),
        work: read.difficulty.into_iter().map(work).collect(),
        dull: read.dull.into_iter().map(dull).collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::planning;
    use crate::solo::Request;
    use crate::theory::chart;

    fn ask(text: &str) -> AskListener {
        let (song, instrument) = (chart::parse(text).chart.timeline(), Instrument::shipped("e9").unwrap());
        let request = Request::default();
        let wish = planning::Ask {
            song: song.clone(),
            instrument: instrument.clone(),
            request,
        };
        let pass = planning::plan(&wish).unwrap().passes.swap_remove(0);
        AskListener { song, instrument, pass }
    }

    #[test]
    fn every_bar_has_its_work_and_every_help_leads_to_another_pass() {
        let ask = ask("key D, 100; 1 4 5 1 / 6- 4 5 1 / 1 4 5 1 / 6- 4 5 1");
        let heard = listen(&ask).unwrap();
        assert_eq!(heard.work.len(), ask.song.bars.len());
        assert!(heard.work.iter().all(|w| (0.0..=1.0).contains(&w.part)));
        assert!(heard.remarks.len() >= 4, "{:?}", heard.remarks);
        for help in heard.dull.iter().filter_map(|d| d.help.as_ref()) {
            assert_ne!(
                help.made_in(&ask.pass).moves,
                ask.pass.moves,
                "{}",
                help.words.english()
            );
        }
    }

    #[test]
    fn one_move_over_and_over_is_heard_as_dull() {
        let mut ask = ask("key D, 100; 1 1 1 1 / 1 1 1 1");
        let first = ask.pass.moves[0].clone();
        ask.pass.moves = (0..8_u32)
            .map(|bar| {
                let at = Beats(f64::from(bar) * 4.0);
                let again = crate::solo::Move {
                    at,
                    length: Beats(4.0),
                    ..(*first).clone()
                };
                std::sync::Arc::new(again)
            })
            .collect();
        let heard = listen(&ask).unwrap();
        assert!(
            heard
                .dull
                .iter()
                .any(|d| d.words.english().contains("same kind of move")),
            "{:?}",
            heard.dull
        );
    }

    #[test]
    fn the_hardest_bars_are_told_in_order() {
        let work = |bar, part| Work {
            bar,
            at: Beats::ZERO,
            part,
        };
        let of = |work| Listened {
            remarks: Vec::new(),
            work,
            dull: Vec::new(),
        };
        assert_eq!(of(vec![work(1, 0.1)]).hardest(), "No bar asks much of you.");
        let hard = of(vec![work(2, 0.7), work(3, 0.2), work(4, 0.9)]);
        assert_eq!(hard.hardest(), "Bars 2, 4 ask the most of you.");
    }
}
