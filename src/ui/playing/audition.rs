//! Hearing a stretch once, in its place in the song, and being back where one was.

use super::{count_in, follow, stretch};
use crate::sound::Command;
use crate::theory::Beats;
use crate::ui::state::Page;
use crate::ui::state::{Playing, Run, Trial};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::ops::Range;

/// Whether what runs is a trial.
pub(in crate::ui) fn auditioning(page: Page) -> bool {
    page.playing.trial.get_value().is_some()
}

/// Stops a trial, and nothing else.
pub(in crate::ui) fn stop_audition(page: Page) {
    if auditioning(page) {
        super::stop(page);
    }
}

/// Plays a stretch once, then goes back to where the song stood. Call it from a click or a key.
pub(in crate::ui) fn audition(page: Page, around: Range<Beats>) {
    let playing = page.playing;
    let (Some(audio), Some(song)) = (playing.audio.get_value(), page.song.get_untracked()) else {
        return;
    };
    let before = playing.trial.get_value();
    let trial = Trial {
        until: around.end,
        back: before.map_or_else(|| playing.at.get_untracked(), |trial| trial.back),
        turn: before.map_or(0, |trial| trial.turn.wrapping_add(1)),
    };
    playing.trial.set_value(Some(trial));
    let started = audio.start();
    spawn_local(async move {
        started.await;
    });
    // What is to be heard is loaded by an effect of its own: it is played once that has run.
    request_animation_frame(move || {
        if playing.trial.get_value() != Some(trial) {
            return;
        }
        let stood = playing.run.get_untracked() == Run::Stopped;
        playing.at.set(around.start);
        playing.fix.set_value(None);
        playing.run.set(Run::Starting);
        playing.tell(&Command::Loop(None));
        playing.tell(&Command::CountIn { bars: 0 });
        playing.tell(&Command::Play { from: around.start });
        playing.tell(&count_in(page));
        if stood {
            follow(page, song);
        }
    });
}

impl Playing {
    /// Whether a trial has been heard to its end.
    pub(super) fn trial_over(&self) -> bool {
        let at = self.at.get_untracked();
        self.trial.get_value().is_some_and(|trial| at >= trial.until)
    }
}

/// Ends a trial: the song stands where it stood, and loops again as it did.
pub(super) fn end(page: Page) {
    let playing = page.playing;
    let Some(trial) = playing.trial.get_value() else { return };
    playing.trial.set_value(None);
    playing.at.set(trial.back);
    let looped = page.desk.with_untracked(|d| d.looped);
    let around = page.song.with_untracked(|song| stretch(song.as_ref()?, looped?));
    playing.tell(&Command::Loop(around));
}
