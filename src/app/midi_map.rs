//! What a MIDI controller moves: its keys, pedals and wheels laid on the pedals, levers, bar and volume pedal.
//!
//! *Invariant:* a source moves one thing; a message that moves nothing is passed over.
//!
//! The messages are those of MIDI 1.0 (channel voice messages, detailed specification 4.2); the channel does not
//! matter.

use crate::sound::LiveEvent;
use crate::steel::{Fret, Instrument, Travel};
use crate::words::Said;
use serde::{Deserialize, Serialize};

/// What a message comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Source {
    /// A key or a switch that sends notes, by its number, 0..=127.
    Note(u8),
    /// A pedal, slider or wheel that sends a controller, by its number, 0..=127.
    Control(u8),
    /// The pitch wheel.
    Bend,
}

impl Source {
    /// What a player calls it.
    #[must_use]
    pub fn said(self) -> Said {
        match self {
            Self::Note(number) => said!("Key {number}¦of a keyboard", number),
            Self::Control(number) => said!("Controller {number}", number),
            Self::Bend => said!("Pitch wheel"),
        }
    }
}

/// A message: where it comes from and how far that is moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Message {
    /// What was moved.
    pub source: Source,
    /// How far: 0..=1, the pitch wheel -1..=1.
    pub value: f64,
}

impl Message {
    /// Reads a message's bytes; nothing for kinds that move nothing (clock, program change ...) and for damaged ones.
    #[must_use]
    pub fn read(bytes: &[u8]) -> Option<Self> {
        let [status, first, second] = *bytes else { return None };
        if status < 0x80 || first > 0x7f || second > 0x7f {
            return None;
        }
        let part = f64::from(second) / 127.0;
        let (source, value) = match status >> 4 {
            0x8 => (Source::Note(first), 0.0),
            // How hard a switch is hit is not how far a pedal goes: it goes all the way.
            0x9 => (Source::Note(first), if second > 0 { 1.0 } else { 0.0 }),
            0xb if first < CHANNEL_MODE => (Source::Control(first), part),
            0xe => (Source::Bend, bend(first, second)),
            _ => return None,
        };
        Some(Self { source, value })
    }

    /// Whether this is the clear movement that a link is learned from, and not a release or a wheel at rest.
    #[must_use]
    pub fn is_clear(&self) -> bool {
        self.value.abs() > 0.25
    }
}

/// Controllers from here on are channel mode messages.
const CHANNEL_MODE: u8 = 120;

/// The pitch wheel's 14 bits, -1..=1; 8192 is the middle.
fn bend(low: u8, high: u8) -> f64 {
    let whole = f64::from(u16::from(high) << 7 | u16::from(low)) - 8192.0;
    if whole < 0.0 { whole / 8192.0 } else { whole / 8191.0 }
}

/// What can be moved.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Target {
    /// A pedal or lever, by its name on the instrument.
    Change(String),
    /// The bar.
    Bar,
    /// The volume pedal.
    Volume,
}

impl Target {
    /// Everything that can be moved on an instrument.
    #[must_use]
    pub fn all(instrument: &Instrument) -> Vec<Self> {
        let changes = instrument
            .changes
            .iter()
            .map(|change| Self::Change(change.name.clone()));
        changes.chain([Self::Bar, Self::Volume]).collect()
    }
}

/// How far the pitch wheel moves the bar from where it lies, in frets: as far as most wheels bend by default
/// (two semitones).
const WHEEL: f64 = 2.0;
/// How far a controller's whole way moves the bar, in frets from the nut.
const NECK: f64 = 24.0;

/// Which source moves which thing.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Mapping {
    links: Vec<(Source, Target)>,
}

impl Mapping {
    /// Lets `source` move `target`, and nothing else, and `target` be moved by nothing else.
    pub fn learn(&mut self, source: Source, target: Target) {
        self.links.retain(|(s, t)| *s != source && *t != target);
        self.links.push((source, target));
    }

    /// Lets nothing move `target`.
    pub fn forget(&mut self, target: &Target) {
        self.links.retain(|(_, t)| t != target);
    }

    /// What moves `target`.
    #[must_use]
    pub fn source(&self, target: &Target) -> Option<Source> {
        self.links.iter().find(|(_, t)| t == target).map(|(s, _)| *s)
    }

    /// What a message does on an instrument whose bar was laid at `bar`; nothing where it is linked to nothing, or
    /// to a pedal that this instrument has not got.
    #[must_use]
    pub fn event(&self, message: Message, instrument: &Instrument, bar: Fret) -> Option<LiveEvent> {
        let (_, target) = self.links.iter().find(|(source, _)| *source == message.source)?;
        let part = message.value.clamp(-1.0, 1.0);
        Some(match target {
            Target::Change(name) => LiveEvent::Press {
                change: instrument.change_named(name)?,
                // A wheel presses when it is moved away from its rest, either way.
                travel: Travel(part.abs()),
            },
            Target::Bar if message.source == Source::Bend => LiveEvent::Bar {
                fret: Fret((bar.0 + WHEEL * part).max(0.0)),
            },
            Target::Bar => LiveEvent::Bar {
                fret: Fret(NECK * part),
            },
            Target::Volume => LiveEvent::Volume { part: part.abs() },
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn e9() -> Instrument {
        Instrument::shipped("e9").unwrap()
    }

    fn moved(mapping: &Mapping, bytes: &[u8]) -> Option<LiveEvent> {
        mapping.event(Message::read(bytes)?, &e9(), Fret(8.0))
    }

    #[test]
    fn messages_are_read_as_the_standard_has_them() {
        let read = |bytes: &[u8]| Message::read(bytes).map(|m| (m.source, m.value));
        assert_eq!(read(&[0x90, 60, 1]), Some((Source::Note(60), 1.0)));
        // A note-on without velocity is a note-off.
        assert_eq!(read(&[0x93, 60, 0]), Some((Source::Note(60), 0.0)));
        assert_eq!(read(&[0x80, 60, 64]), Some((Source::Note(60), 0.0)));
        assert_eq!(read(&[0xb0, 64, 127]), Some((Source::Control(64), 1.0)));
        assert_eq!(read(&[0xe0, 0, 64]), Some((Source::Bend, 0.0)));
        assert_eq!(read(&[0xe0, 0, 0]), Some((Source::Bend, -1.0)));
        assert_eq!(read(&[0xe0, 127, 127]), Some((Source::Bend, 1.0)));
    }

    #[test]
    fn what_moves_nothing_or_is_damaged_is_passed_over() {
        let others: [&[u8]; 8] = [
            &[],
            &[0xf8],
            &[0xc0, 5],
            &[0xb0, 123, 0],
            &[0xa0, 60, 9],
            &[60, 60, 60],
            &[0x90, 200, 1],
            &[0x90, 60, 64, 0],
        ];
        for bytes in others {
            assert_eq!(Message::read(bytes), None, "{bytes:?}");
        }
    }

    #[test]
    fn a_footswitch_presses_a_pedal_all_the_way_and_lets_it_go() {
        let mut mapping = Mapping::default();
        mapping.learn(Source::Control(64), Target::Change("A".to_owned()));
        let a = e9().change_named("A").unwrap();
        let press = |travel| LiveEvent::Press {
            change: a,
            travel: Travel(travel),
        };
        assert_eq!(moved(&mapping, &[0xb0, 64, 127]), Some(press(1.0)));
        assert_eq!(moved(&mapping, &[0xb0, 64, 0]), Some(press(0.0)));
        assert_eq!(moved(&mapping, &[0xb0, 65, 127]), None);
    }

    #[test]
    fn the_wheel_rolls_the_bar_around_its_place_and_a_slider_along_the_neck() {
        let mut mapping = Mapping::default();
        mapping.learn(Source::Bend, Target::Bar);
        assert_eq!(
            moved(&mapping, &[0xe0, 127, 127]),
            Some(LiveEvent::Bar { fret: Fret(10.0) })
        );
        assert_eq!(
            moved(&mapping, &[0xe0, 0, 64]),
            Some(LiveEvent::Bar { fret: Fret(8.0) })
        );
        mapping.learn(Source::Control(1), Target::Bar);
        assert_eq!(
            moved(&mapping, &[0xb0, 1, 127]),
            Some(LiveEvent::Bar { fret: Fret(24.0) })
        );
        assert_eq!(moved(&mapping, &[0xe0, 0, 0]), None, "the bar has one hand on it");
    }

    #[test]
    fn a_link_is_learned_anew_forgotten_and_kept_as_text() {
        let mut mapping = Mapping::default();
        mapping.learn(Source::Note(36), Target::Change("A".to_owned()));
        mapping.learn(Source::Note(36), Target::Volume);
        assert_eq!(mapping.source(&Target::Change("A".to_owned())), None);
        let text = serde_json::to_string(&mapping).unwrap();
        assert_eq!(serde_json::from_str::<Mapping>(&text).unwrap(), mapping);
        mapping.forget(&Target::Volume);
        assert_eq!(mapping, Mapping::default());
    }

    #[test]
    fn a_pedal_that_this_instrument_has_not_got_is_passed_over() {
        let mut mapping = Mapping::default();
        mapping.learn(Source::Note(36), Target::Change("Z".to_owned()));
        assert_eq!(moved(&mapping, &[0x90, 36, 100]), None);
    }
}
