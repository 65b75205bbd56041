//! Playing a stretch once for somebody who plays along: counted in, and never round.

use super::{count_in, follow, stop, stretch};
use crate::sound::Command;
use crate::theory::Beats;
use crate::ui::state::Page;
use crate::ui::state::{Playing, Run};
use leptos::prelude::*;

/// Plays from `from`, `bars` counted before it, with no loop. The sound must run already.
pub(in crate::ui) fn recite(page: Page, from: Beats, bars: u8) {
    let playing = page.playing;
    let Some(song) = page.heard.get_untracked() else { return };
    playing.at.set(from);
    playing.fix.set_value(None);
    playing.run.set(Run::Starting);
    playing.tell(&Command::Loop(None));
    playing.tell(&Command::CountIn { bars });
    playing.tell(&Command::Play { from });
    playing.tell(&count_in(page));
    follow(page, song);
}

/// Stops, and loops again as it was.
pub(in crate::ui) fn end_recital(page: Page) {
    stop(page);
    let looped = page.desk.with_untracked(|d| d.looped);
    let around = page.heard.with_untracked(|song| stretch(song.as_ref()?, looped?));
    page.playing.tell(&Command::Loop(around));
}

impl Playing {
    /// A moment of the song and the sample of the sound's clock at which it is heard, as told last.
    pub(in crate::ui) fn told(&self) -> Option<(Beats, u64)> {
        self.fix.get_value().map(|fix| (fix.at, fix.frame))
    }
}
