//! What the engine does away from the page: the player as the audio thread drives it, and jobs in a worker.

use crate::sound::{Command, Player, Report, SampleRate};
use wasm_bindgen::prelude::wasm_bindgen;

/// Samples computed at a time: the render quantum of every browser today.
const BLOCK: usize = 128;

/// Where the engine is a module of its own, it starts here.
#[cfg(not(feature = "page"))]
#[wasm_bindgen(start)]
pub fn start_engine() {
    super::panic::tell_panics();
}

/// A player with its output buffers, made in the audio worklet.
#[wasm_bindgen(js_name = SoundEngine)]
#[derive(Debug)]
pub struct SoundEngine {
    player: Player,
    left: Box<[f32; BLOCK]>,
    right: Box<[f32; BLOCK]>,
    misread: Option<String>,
}

#[wasm_bindgen(js_class = SoundEngine)]
impl SoundEngine {
    /// A player at `rate` samples a second.
    #[wasm_bindgen(constructor)]
    #[must_use]
    pub fn new(rate: f64) -> Self {
        Self {
            player: Player::new(SampleRate(rate)),
            left: Box::new([0.0; BLOCK]),
            right: Box::new([0.0; BLOCK]),
            misread: None,
        }
    }

    /// Samples in each buffer.
    #[must_use]
    pub fn block(&self) -> usize {
        BLOCK
    }

    /// Where the left buffer lies in the module's memory.
    #[must_use]
    pub fn left(&self) -> usize {
        self.left.as_ptr() as usize
    }

    /// Where the right buffer lies in the module's memory.
    #[must_use]
    pub fn right(&self) -> usize {
        self.right.as_ptr() as usize
    }

    /// Obeys a [`Command`] written as JSON in UTF-8; one that can't be read is reported, and playing goes on.
    pub fn command(&mut self, written: &[u8]) {
        match serde_json::from_slice::<Command>(written) {
            Ok(command) => self.player.command(command),
            Err(error) => self.misread = Some(format!("The sound did not understand a command: {error}")),
        }
    }

    /// Takes the next block of the recording that a command has put on.
    pub fn feed(&mut self, block: Vec<i16>) {
        self.player.feed_tape(block);
    }

    /// Takes the next block of what stands in for the steel.
    pub fn feed_stand_in(&mut self, block: Vec<i16>) {
        self.player.feed_stand_in(block);
    }

    /// Computes the next `count` samples (at most [`Self::block`]) into the buffers.
    pub fn process(&mut self, count: usize) {
        let count = count.min(BLOCK);
        let (Some(left), Some(right)) = (self.left.get_mut(..count), self.right.get_mut(..count)) else {
            return;
        };
        self.player.process(left, right);
    }

    /// The next [`Report`] as JSON, if there is one.
    pub fn report(&mut self) -> Option<String> {
        let report = self
            .misread
            .take()
            .map(|words| Report::Failed { words })
            .or_else(|| self.player.report())?;
        serde_json::to_string(&report).ok()
    }
}
