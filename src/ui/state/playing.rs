//! The sound, and where the song is.

use super::Lasting;
use crate::platform::audio::{Audio, AudioState, Slot};
use crate::platform::decode::Recording;
use crate::platform::frames::clock;
use crate::sound::{Command, LiveEvent, Report, Score};
use crate::steel::Fret;
use crate::theory::Beats;
use crate::ui::later::put_off;
use leptos::prelude::*;
use std::sync::Arc;
use wasm_bindgen::JsCast;
use web_sys::AudioContext;

/// A place this much earlier than the one before is a loop gone round, not a clock that trembles.
const WENT_BACK: Beats = Beats(0.2);

/// Where the song was at a moment of the clock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::ui) struct Fix {
    pub(in crate::ui) at: Beats,
    pub(in crate::ui) clock: f64,
    /// The sample of the sound's clock at which it is heard.
    pub(in crate::ui) frame: u64,
}

/// Whether the song runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Run {
    /// It stands.
    #[default]
    Stopped,
    /// The sound is being started.
    Starting,
    /// The bars before the song are counted.
    CountingIn,
    /// It sounds.
    Sounding,
}

/// The sound, and where it is.
#[derive(Clone, Copy)]
pub struct Playing {
    /// The moment of the song that is shown and, while it runs, heard.
    pub at: Lasting<RwSignal<Beats>>,
    /// Whether it runs.
    pub run: Lasting<RwSignal<Run>>,
    /// What the browser says of the sound.
    pub state: Lasting<RwSignal<AudioState>>,
    /// How often a loop has gone round since the page was opened.
    pub rounds: Lasting<RwSignal<u32>>,
    /// Whether what is lent begins without a count.
    pub(in crate::ui) at_once: Lasting<RwSignal<bool>>,
    pub(in crate::ui) audio: StoredValue<Option<Audio>, LocalStorage>,
    pub(in crate::ui) loaded: StoredValue<Option<Arc<Score>>>,
    /// What the sound is still to be given of that: a long song takes long to write down.
    to_load: StoredValue<Option<Arc<Score>>>,
    pub(in crate::ui) fix: StoredValue<Option<Fix>>,
    pub(in crate::ui) laid: StoredValue<Fret>,
    pub(in crate::ui) trial: StoredValue<Option<Trial>>,
}

/// A stretch that is heard once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::ui) struct Trial {
    pub(in crate::ui) until: Beats,
    pub(in crate::ui) back: Beats,
    /// Tells this trial from one that was begun and dropped before.
    pub(in crate::ui) turn: u32,
}

impl Playing {
    /// Silent, at the start of the song.
    pub(super) fn new() -> Self {
        Self {
            at: Lasting::signal(Beats::ZERO),
            run: Lasting::signal(Run::Stopped),
            state: Lasting::signal(AudioState::Off),
            rounds: Lasting::signal(0),
            at_once: Lasting::signal(false),
            audio: StoredValue::new_local(None),
            loaded: StoredValue::new(None),
            to_load: StoredValue::new(None),
            fix: StoredValue::new(None),
            laid: StoredValue::new(Fret::default()),
            trial: StoredValue::new(None),
        }
    }

    /// Whether the song runs, or is about to.
    #[must_use]
    pub fn runs(&self) -> bool {
        self.run.get() != Run::Stopped
    }

    /// Gives the sound a command, now or once it has started.
    pub fn tell(&self, command: &Command) {
        let lasts = matches!(
            command,
            Command::Mix(_) | Command::Amp(_) | Command::Speed(_) | Command::Loop(_) | Command::CountIn { .. }
        );
        // Before there is any sound each of what lasts is kept for itself, and the score has a task of its own.
        if !lasts || self.context().is_some() {
            self.hand_over();
        }
        self.send(command);
    }

    fn send(&self, command: &Command) {
        self.audio.with_value(|audio| {
            if let Some(audio) = audio {
                audio.send(command);
            }
        });
    }

    /// Gives the sound what it is to play, unless it has it already: before the next command, and at the latest in a
    /// task of its own.
    pub(in crate::ui) fn load(self, score: &Arc<Score>) {
        let has = self
            .loaded
            .with_value(|l| l.as_ref().is_some_and(|l| Arc::ptr_eq(l, score)));
        if !has {
            self.loaded.set_value(Some(Arc::clone(score)));
            self.to_load.set_value(Some(Arc::clone(score)));
            put_off(move || self.hand_over());
        }
    }

    /// Gives the sound what it has not been given yet.
    fn hand_over(&self) {
        let score = self.to_load.try_update_value(Option::take).flatten();
        if let Some(score) = score {
            self.send(&Command::Load(score));
        }
    }

    /// Puts on a recording that plays with the song or in the steel's place, or takes it off.
    pub(in crate::ui) fn put_on(&self, slot: Slot, recording: Option<Recording>) {
        self.hand_over();
        self.audio.with_value(|audio| {
            if let Some(audio) = audio {
                audio.put_on(slot, recording);
            }
        });
    }

    /// The context that the sound runs in, once it does.
    pub(in crate::ui) fn context(&self) -> Option<AudioContext> {
        let node = self.audio.with_value(|audio| audio.as_ref()?.node())?;
        node.context().dyn_into().ok()
    }

    /// Starts the sound. Call it from a click or a key; the future brings the outcome.
    pub(in crate::ui) fn wake(&self) -> Option<impl Future<Output = AudioState> + use<>> {
        self.audio.with_value(|audio| audio.as_ref().map(Audio::start))
    }

    /// Where the bar was laid by hand.
    pub(in crate::ui) fn laid(&self) -> Fret {
        self.laid.get_value()
    }

    /// Moves something from a controller, under what rings.
    pub(in crate::ui) fn by_controller(&self, event: LiveEvent) {
        if self.state.get_untracked() == AudioState::Running {
            self.tell(&Command::Live(event));
        }
    }

    pub(in crate::ui) fn hear(&self, report: Report) -> Option<String> {
        match report {
            Report::Position { at, counting_in, frame } => {
                if self.run.get_untracked() == Run::Stopped {
                    return None;
                }
                let now = if counting_in { Run::CountingIn } else { Run::Sounding };
                if self.run.get_untracked() != now {
                    self.run.set(now);
                }
                let gone_round = self.fix.get_value().is_some_and(|before| before.at - at > WENT_BACK);
                if gone_round && !counting_in {
                    self.rounds.update(|rounds| *rounds = rounds.wrapping_add(1));
                }
                self.fix.set_value(Some(Fix {
                    at,
                    clock: clock(),
                    frame,
                }));
            }
            // The end of what was played before: a start is under way, and nothing of it has ended.
            Report::Ended if self.run.get_untracked() == Run::Starting => {}
            Report::Ended => {
                // Played to its end (not stopped on the way): the next time starts at the top.
                if self.run.get_untracked() != Run::Stopped {
                    self.at.set(Beats::ZERO);
                }
                self.run.set(Run::Stopped);
            }
            Report::Failed { words } => return Some(words),
        }
        None
    }
}
