//! Marks as a player reads them.

use super::{Played, PlayedExtra, PlayedNote};
use crate::listen::played::{Intonation, tolerance};
use crate::teach::evidence::{Evidence, HeardNote, MOST_NOTES, Tally};
use crate::theory::{Accidental, Beats, Cents, NoteName, Seconds, Timeline, rank};
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
        lines.sort_by_cached_key(|one| rank(one.at.0));
        lines
    }

    /// How it went as a whole.
    #[must_use]
    pub fn summary(&self) -> Summary {
        let tolerance = |note: &PlayedNote| note.mark.intonation.map_or(tolerance(note.fret), |i| i.tolerance);
        let notes = self.notes.iter().map(|note| (note.measured(), tolerance(note)));
        let tally = Tally::of(notes, self.extra.len());
        Summary {
            head: tally.head(),
            faults: tally.faults(),
        }
    }

    /// What a teacher may see of it, played at so many hundredths of the tempo: what was measured, to a tenth of a
    /// millisecond and of a cent.
    #[must_use]
    pub fn evidence(&self, speed: u16) -> Evidence {
        Evidence {
            speed,
            delay_known: self.delay_known,
            notes: self.notes.iter().map(PlayedNote::rounded).collect(),
            extra: u16::try_from(self.extra.len().min(MOST_NOTES)).unwrap_or(u16::MAX),
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
    fn measured(&self) -> HeardNote {
        HeardNote {
            string: self.string,
            late: self.mark.late,
            off: self.mark.intonation.map(|i| i.off),
            past: self.mark.overshoot,
            rings: self.mark.rings_on,
        }
    }

    fn rounded(&self) -> HeardNote {
        let cents = |cents: Cents| Cents((10.0 * cents.0).round() / 10.0);
        let note = self.measured();
        HeardNote {
            late: note.late.map(|late| Seconds((1e4 * late.0).round() / 1e4)),
            off: note.off.map(cents),
            past: note.past.map(cents),
            ..note
        }
    }

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
