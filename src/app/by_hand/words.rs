//! What a hand has done, in a player's words.

use super::snap::LENGTH;
use super::{InHand, Setting};
use crate::exchange::tab::counted;
use crate::solo::stroke::{Arrival, Stroke};
use crate::solo::{Move, Shape};
use crate::steel::{Instrument, Place, Slant};
use crate::theory::{Beats, Timeline};
use crate::words::Said;

/// A setting, as it stands beside its handle's name.
pub(super) fn setting(setting: Setting, own: &Stroke, hand: &InHand<'_>) -> Said {
    match setting {
        Setting::Slant(slant) => slanted(slant, own, Some(hand.instrument)),
        other => plain(other, own, hand.song),
    }
}

/// How the bar is turned; how steeply and what that leaves out of tune, where the instrument is known.
fn slanted(slant: Slant, own: &Stroke, instrument: Option<&Instrument>) -> Said {
    if slant.frets == 0 {
        return said!("straight");
    }
    let frets = slant.frets.unsigned_abs();
    let way = Said::within(slant.way().name());
    let told = said!(frets => "slanted {way}, {frets} fret", "slanted {way}, {frets} frets", way, frets);
    let Some(instrument) = instrument else { return told };
    let place = Place {
        slant: Some(slant),
        ..own.grip.place
    };
    let degrees = format!("{:.0}°", place.lie(instrument).turned(instrument).0);
    match place.worst_of(instrument, own.grip.strings) {
        Some((string, off)) if off.0.abs() >= 0.5 => {
            let cents = format!("{:+.0}", off.0);
            said!(
                "{told}, {degrees}, string {string} {cents} cents",
                told,
                degrees,
                string,
                cents
            )
        }
        _ => said!("{told}, {degrees}", told, degrees),
    }
}

fn plain(setting: Setting, own: &Stroke, song: &Timeline) -> Said {
    match setting {
        Setting::Slant(slant) => slanted(slant, own, None),
        Setting::When(at) | Setting::Ring(at) => moment(at, song),
        Setting::From(fret) => {
            let gap = own.grip.place.bar().0 - fret.0;
            let side = if gap > 0.0 { said!("below") } else { said!("above") };
            match gap.abs() {
                0.0 => said!("no slide"),
                gap => said!(
                    "fret {fret}, {gap} {side}",
                    fret = Said::number(fret.0),
                    gap = Said::number(gap),
                    side
                ),
            }
        }
        Setting::Length(time) => said!(
            "{beats} beat, {seconds} s",
            beats = Said::number(beats(time)),
            seconds = Said::number(format_args!("{:.2}", time.at(song.tempo).0))
        ),
        Setting::Curve(shape) => Said::of(curve(shape)),
    }
}

fn moment(at: Beats, song: &Timeline) -> Said {
    if at >= song.length() - Beats(1e-6) {
        return said!("at the song's end");
    }
    let bar = song.bar_index_at(at + Beats(1e-6)).map_or(1, |index| index + 1);
    said!("bar {bar}, {count}", bar, count = counted(song, at))
}

/// A length in beats, as short as it can be told exactly.
fn beats(time: Beats) -> String {
    let told = format!("{:.4}", time.0);
    let on_grid = ((time.0 / LENGTH.0).round() * LENGTH.0 - time.0).abs() < 1e-9;
    if on_grid {
        told.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        format!("{:.2}", time.0)
    }
}

fn curve(shape: Shape) -> &'static str {
    match shape {
        Shape::Early => key!("fast, then settling"),
        Shape::Even => key!("at one speed"),
        Shape::Eased => key!("gently off and in"),
        Shape::Late => key!("slowly, then arriving fast"),
    }
}

/// What has become of a move, in a few words; nothing where it is the same.
#[must_use]
pub fn difference(before: &Move, after: &Move, song: &Timeline) -> Said {
    let mut said = Vec::new();
    let many = before.strokes.len() > 1;
    for (index, (old, new)) in before.timed().zip(after.timed()).enumerate() {
        let own = changed(&old, &new, song);
        if own.is_empty() {
            continue;
        }
        let own = Said::joined(own, ", ");
        said.push(if many {
            said!("note {index}: {own}", index = index + 1, own)
        } else {
            own
        });
    }
    Said::joined(said, "; ")
}

fn changed(old: &Stroke, new: &Stroke, song: &Timeline) -> Vec<Said> {
    let apart = |a: Beats, b: Beats| (a - b).0.abs() > 1e-6;
    let mut said = Vec::new();
    if apart(old.at, new.at) {
        said.push(said!("played on {moment}", moment = moment(new.at, song)));
    }
    let from = |s: &Stroke| match s.arrival {
        Arrival::Slid { from, .. } => from,
        _ => s.grip.place.bar(),
    };
    if from(old) != from(new) {
        let words = plain(Setting::From(from(new)), new, song);
        let slides = matches!(new.arrival, Arrival::Slid { from, .. } if from != new.grip.place.bar());
        said.push(if slides {
            said!("slide from {words}", words)
        } else {
            words
        });
    }
    if old.grip.place.slant != new.grip.place.slant {
        said.push(match new.grip.place.slant {
            None => said!("bar straight"),
            Some(slant) => said!("bar {turned}", turned = slanted(slant, new, None)),
        });
    }
    if let (Some(was), Some(is)) = (old.arrival.time(), new.arrival.time())
        && apart(was, is)
    {
        said.push(said!(
            "over {is} beat instead of {was}",
            is = beats(is),
            was = beats(was)
        ));
    }
    if old.shape != new.shape {
        said.push(Said::of(curve(new.shape)));
    }
    if apart(old.until, new.until) && !apart(old.at, new.at) {
        said.push(said!("stops {moment}", moment = moment(new.until, song)));
    }
    said
}
