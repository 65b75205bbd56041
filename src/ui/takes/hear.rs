//! The comp in the place of the solo: made anew whenever it is another one.

use super::Studio;
use crate::app::takes::{Pace, Takes};
use crate::platform::audio::Slot;
use crate::platform::decode::Recording;
use crate::platform::frames::pause;
use crate::sound::comp::Comp;
use crate::sound::render::{Length, TAIL};
use crate::sound::tape::{BLOCK, pack};
use crate::theory::{Seconds, Timeline};
use js_sys::Int16Array;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::ops::Range;
use std::sync::Arc;

/// So long a change waits for the next before the comp is made anew, in milliseconds.
const SETTLES: i32 = 250;

/// Makes the comp whenever it is to be heard and has changed.
pub(super) fn follow(studio: Studio) {
    let wanted = Memo::new(move |_| {
        // What is lent to the page is an example of a lesson, and has its own solo.
        let own = studio.page.lent.with(Option::is_none);
        let takes = studio.takes.get();
        let (song, pace) = studio.song()?;
        (own && studio.heard.get() && takes.makes_something()).then_some((takes, song, pace))
    });
    Effect::new(move |before: Option<bool>| {
        let wanted = wanted.get();
        let turn = studio.turn.try_update_value(|turn| {
            *turn += 1;
            *turn
        });
        let on = wanted.is_some();
        match wanted {
            Some((takes, song, pace)) => {
                studio.making.set(true);
                spawn_local(async move {
                    pause(SETTLES).await;
                    let made = studio.make(turn, &takes, &song, &pace).await;
                    if studio.turn.try_get_value() == turn {
                        studio.page.playing.put_on(Slot::StandIn, made);
                        studio.making.set(false);
                    }
                });
            }
            None if before == Some(true) => {
                studio.making.set(false);
                studio.page.playing.put_on(Slot::StandIn, None);
            }
            None => {}
        }
        on
    });
}

impl Studio {
    /// The samples of a block of a line; silence where a take is not on this device.
    pub(super) async fn block(self, line: &Comp, takes: &Takes, block: &Range<u64>, out: &mut Vec<f32>) {
        let vault = self.vault.get_value();
        let mut given = Vec::new();
        for want in line.wants(block) {
            let key = takes.list.get(want.source).map(|take| take.key.as_str());
            let samples = match key {
                Some(key) => vault.samples(key, want.frames).await.unwrap_or_default(),
                None => Vec::new(),
            };
            given.push(samples);
        }
        line.mix(block, &given, out);
    }

    /// The comp as the sound takes it; nothing once it is no longer wanted.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "samples of a few minutes"
    )]
    async fn make(self, turn: Option<u32>, takes: &Arc<Takes>, song: &Timeline, pace: &Pace) -> Option<Recording> {
        let rate = takes.list.first()?.rate;
        let length = Seconds(pace.time(song.length()).0 + TAIL.0);
        let frames = rate.samples(length).ceil().max(0.0) as u64;
        let line = takes.comp(song, pace, rate, Length { frames, bar_one: 0 });
        let (mut blocks, mut out) = (Vec::new(), Vec::new());
        for from in (0..frames).step_by(BLOCK) {
            let block = from..frames.min(from + BLOCK as u64);
            self.block(&line, takes, &block, &mut out).await;
            blocks.push(Int16Array::from(pack(&out, &out).as_slice()));
            pause(0).await;
            if self.turn.try_get_value() != turn {
                return None;
            }
        }
        Some(Recording {
            rate,
            length,
            blocks: blocks.into(),
        })
    }
}
