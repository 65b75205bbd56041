//! Marks as a player reads them.

use super::{Played, PlayedExtra, PlayedNote};
use crate::listen::played::Intonation;
use crate::theory::{Accidental, Beats, NoteName, Timeline};

/// A note, or one too many, in words.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// When.
    pub at: Beats,
    /// Where: bar and string.
    pub place: String,
    /// What is to be mended.
    pub words: String,
}

/// How it went as a whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Summary {
    /// How many notes came as they should.
    pub head: String,
    /// What was against the others, each kind once.
    pub faults: Vec<String>,
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
                place: format!("Bar {}, string {}", bar(note.at), note.string),
                words: words.join("; "),
            })
        };
        let extra = |extra: &PlayedExtra| Line {
            at: extra.at,
            place: format!("Bar {}", bar(extra.at)),
            words: format!("a note too many, about {}", named(extra)),
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
        let count = |is: fn(&PlayedNote) -> bool| self.notes.iter().filter(|n| is(n)).count();
        let faults = [
            (count(|n| !n.mark.heard()), "missing"),
            (
                count(|n| n.mark.late.is_some_and(|l| l.0 > 0.0) && !n.mark.on_time()),
                "late",
            ),
            (
                count(|n| n.mark.late.is_some_and(|l| l.0 < 0.0) && !n.mark.on_time()),
                "early",
            ),
            (
                count(|n| n.mark.intonation.is_some_and(|i| !i.in_tune() && i.off.0 < 0.0)),
                "flat",
            ),
            (
                count(|n| n.mark.intonation.is_some_and(|i| !i.in_tune() && i.off.0 > 0.0)),
                "sharp",
            ),
            (count(|n| n.mark.overshoot.is_some()), "overshot"),
            (count(|n| n.mark.rings_on), "not stopped"),
            (self.extra.len(), "too many"),
        ];
        Summary {
            head: format!("{right} of {all} notes as they should be"),
            faults: faults
                .into_iter()
                .filter(|(count, _)| *count > 0)
                .map(|(count, what)| format!("{count} {what}"))
                .collect(),
        }
    }

    /// How this time went beside the time before, where that is worth a word.
    #[must_use]
    pub fn beside(&self, before: &Self) -> String {
        let ((now, all), (then, of)) = (self.score(), before.score());
        match now.cmp(&then) {
            _ if all != of => String::new(),
            std::cmp::Ordering::Greater => format!("{} more than the time before", now - then),
            std::cmp::Ordering::Less => format!("{} fewer than the time before", then - now),
            std::cmp::Ordering::Equal => "as many as the time before".to_owned(),
        }
    }
}

impl PlayedNote {
    /// What is to be mended about it; nothing when it is right.
    fn words(&self) -> Vec<String> {
        let m = &self.mark;
        let Some(late) = m.late else {
            return vec!["not heard".to_owned()];
        };
        let timing = (!m.on_time()).then(|| {
            let way = if late.0 > 0.0 { "late" } else { "early" };
            format!("{:.0} ms {way}", 1000.0 * late.0.abs())
        });
        let pitch = m
            .intonation
            .filter(|i| !i.in_tune())
            .map(|Intonation { off, tolerance }| {
                let way = if off.0 > 0.0 { "sharp" } else { "flat" };
                format!("{:.0} cents {way} ({:.0} pass at this fret)", off.0.abs(), tolerance.0)
            });
        let past = m
            .overshoot
            .map(|by| format!("slid {:.0} cents past and came back", by.0.abs()));
        let rings = m.rings_on.then(|| "rings on: stop it".to_owned());
        [timing, pitch, past, rings].into_iter().flatten().collect()
    }
}

/// The note nearest to something that was too much: natural where it can be, else a sharp.
fn named(extra: &PlayedExtra) -> String {
    let class = extra.height.nearest().class();
    NoteName::all_within(1)
        .filter(|name| name.class() == class)
        .min_by_key(|name| name.accidental != Accidental::NATURAL)
        .map_or_else(String::new, |name| name.to_string())
}
