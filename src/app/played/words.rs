//! Marks as a player reads them.

use super::{Played, PlayedExtra, PlayedNote};
use crate::listen::played::Intonation;
use crate::theory::{Accidental, Beats, NoteName, Timeline};
use crate::words::Said;

/// A note, or one too many, in words.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// When.
    pub at: Beats,
    /// Where: bar and string.
    pub place: Said,
    /// What is to be mended.
    pub words: Said,
}

/// How it went as a whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Summary {
    /// How many notes came as they should.
    pub head: Said,
    /// What was against the others, each kind once.
    pub faults: Vec<Said>,
}

impl Played {
    /// What is to be mended, in order of time.
    #[must_use]
    pub fn lines(&self, song: &Timeline) -> Vec<Line> {
        let bar = |at: Beats| song.bar_index_at(at).map_or(0, |bar| bar + 1);
        let note = |note: &PlayedNote| {
            let words = note.words();
            (!words.is_empty()).then(|| Line {
                at: note.at,
                place: said!("Bar {bar}, string {string}", bar = bar(note.at), string = note.string),
                words: Said::joined(words, "; "),
            })
        };
        let extra = |extra: &PlayedExtra| Line {
            at: extra.at,
            place: said!("Bar {bar}", bar = bar(extra.at)),
            words: said!("a note too many, about {note}", note = named(extra)),
        };
        let mut lines: Vec<Line> = self.notes.iter().filter_map(note).collect();
        lines.extend(self.extra.iter().map(extra));
        lines.sort_by(|a, b| a.at.0.total_cmp(&b.at.0));
        lines
    }

    /// How it went as a whole.
    #[must_use]
    pub fn summary(&self) -> Summary {
        let (right, all) = self.score();
        // By how much a note does not pass: 0 for one that does.
        let late = |n: &PlayedNote| n.mark.late.filter(|_| !n.mark.on_time()).map_or(0.0, |late| late.0);
        let off = |n: &PlayedNote| {
            let wrong = n.mark.intonation.filter(|i| !i.in_tune());
            wrong.map_or(0.0, |i| i.off.0)
        };
        let count = |is: &dyn Fn(&PlayedNote) -> bool| self.notes.iter().filter(|n| is(n)).count();
        let faults = [
            (count(&|n| !n.mark.heard()), key!("{count} missing")),
            (count(&|n| late(n) > 0.0), key!("{count} late")),
            (count(&|n| late(n) < 0.0), key!("{count} early")),
            (count(&|n| off(n) < 0.0), key!("{count} flat")),
            (count(&|n| off(n) > 0.0), key!("{count} sharp")),
            (count(&|n| n.mark.overshoot.is_some()), key!("{count} overshot")),
            (count(&|n| n.mark.rings_on), key!("{count} not stopped")),
            (self.extra.len(), key!("{count} too many")),
        ];
        Summary {
            head: said!("{right} of {all} notes as they should be", right, all),
            faults: faults
                .into_iter()
                .filter(|(count, _)| *count > 0)
                .map(|(count, what)| Said::sentence(what, vec![("count", count.into())]))
                .collect(),
        }
    }

    /// How this time went beside the time before, where that is worth a word.
    #[must_use]
    pub fn beside(&self, before: &Self) -> Said {
        let ((now, all), (then, of)) = (self.score(), before.score());
        match now.cmp(&then) {
            _ if all != of => Said::default(),
            std::cmp::Ordering::Greater => said!("{more} more than the time before", more = now - then),
            std::cmp::Ordering::Less => said!("{fewer} fewer than the time before", fewer = then - now),
            std::cmp::Ordering::Equal => said!("as many as the time before"),
        }
    }
}

impl PlayedNote {
    /// What is to be mended about it; nothing when it is right.
    fn words(&self) -> Vec<Said> {
        let m = &self.mark;
        let Some(late) = m.late else {
            return vec![said!("not heard")];
        };
        let timing = (!m.on_time()).then(|| {
            let way = if late.0 > 0.0 { said!("late") } else { said!("early") };
            said!("{late} ms {way}", late = format!("{:.0}", 1000.0 * late.0.abs()), way)
        });
        let pitch = m
            .intonation
            .filter(|i| !i.in_tune())
            .map(|Intonation { off, tolerance }| {
                let way = if off.0 > 0.0 {
                    said!("sharp¦in pitch")
                } else {
                    said!("flat¦in pitch")
                };
                said!(
                    "{off} cents {way} ({tolerance} pass at this fret)",
                    off = format!("{:.0}", off.0.abs()),
                    way,
                    tolerance = format!("{:.0}", tolerance.0)
                )
            });
        let past = m
            .overshoot
            .map(|by| said!("slid {by} cents past and came back", by = format!("{:.0}", by.0.abs())));
        let rings = m.rings_on.then(|| said!("rings on: stop it"));
        [timing, pitch, past, rings].into_iter().flatten().collect()
    }
}

/// The note nearest to something that was too much: natural where it can be, else a sharp.
fn named(extra: &PlayedExtra) -> Said {
    let class = extra.height.nearest().class();
    NoteName::all_within(1)
        .filter(|name| name.class() == class)
        .min_by_key(|name| name.accidental != Accidental::NATURAL)
        .map_or_else(Said::default, Said::notes)
}
