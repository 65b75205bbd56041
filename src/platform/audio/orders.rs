//! What the engine has been told and what it is still to be told.
//!
//! *Invariant:* what lasts (score, levels, speed ...) outlives any engine; what is of the moment (play, stop, a pluck)
//! is never kept for later once a start has failed, so that nothing sounds that nobody asks for now.

use crate::platform::pieces;
use crate::sound::Command;
use js_sys::Uint8Array;
use wasm_bindgen::prelude::JsValue;

/// A command as it travels: JSON in UTF-8, in the browser's memory, for a score's is long.
#[derive(Debug, Clone)]
pub struct Written(Uint8Array);

/// Two are the same when they are of the same writing: what was written later is news.
impl PartialEq for Written {
    fn eq(&self, other: &Self) -> bool {
        JsValue::from(&self.0) == JsValue::from(&other.0)
    }
}

impl Written {
    /// The command written down.
    ///
    /// # Errors
    /// When it has no form in JSON.
    pub fn of(command: &Command) -> serde_json::Result<Self> {
        pieces::bytes(command).map(Self)
    }

    /// The bytes once more, to be given away.
    pub(super) fn copy(&self) -> Uint8Array {
        Uint8Array::new(&self.0)
    }
}

/// The last command of each lasting kind, and those of the moment that wait for the sound to run.
#[derive(Debug, Default)]
pub(super) struct Orders {
    load: Option<Written>,
    mix: Option<Written>,
    amp: Option<Written>,
    speed: Option<Written>,
    around: Option<Written>,
    count_in: Option<Written>,
    waiting: Vec<Written>,
}

impl Orders {
    /// Notes a command and says whether it has to wait: one of the moment does until the sound `runs`.
    pub(super) fn note(&mut self, command: &Command, written: &Written, runs: bool) -> bool {
        let place = match command {
            Command::Load(_) => &mut self.load,
            Command::Mix(_) => &mut self.mix,
            Command::Amp(_) => &mut self.amp,
            Command::Speed(_) => &mut self.speed,
            Command::Loop(_) => &mut self.around,
            Command::CountIn { .. } => &mut self.count_in,
            // The recording itself is fed anew to each engine, and its head with it.
            Command::Tape(_) | Command::StandIn(_) => return false,
            Command::Play { .. } | Command::Stop | Command::Live(_) => {
                if !runs {
                    self.waiting.push(written.clone());
                }
                return !runs;
            }
        };
        *place = Some(written.clone());
        false
    }

    /// What a new engine has to be given, so that it stands where the old one stood.
    pub(super) fn lasting(&self) -> Vec<Written> {
        let rest = [&self.mix, &self.amp, &self.speed, &self.around, &self.count_in];
        std::iter::once(&self.load).chain(rest).flatten().cloned().collect()
    }

    /// What waited.
    pub(super) fn take_waiting(&mut self) -> Vec<Written> {
        std::mem::take(&mut self.waiting)
    }

    /// Forgets what waited: the start it waited for has failed.
    pub(super) fn forget_waiting(&mut self) {
        self.waiting.clear();
    }
}
