//! Hearing a recording: from the file to a chart that can be corrected, whatever is looked at meanwhile.
//!
//! *Invariant:* the work changes only when the chart is used; a file that can't be heard leaves everything as it was.

use crate::app::View;
use crate::app::bench::Progress;
use crate::app::hearing::{Hearing, Source};
use crate::app::jobs::{Job, News, Product};
use crate::listen::song::Correction;
use crate::platform::decode::decode_for_listening;
use crate::platform::files::address_for;
use crate::platform::recordings;
use crate::platform::worker::{Errand, Return};
use crate::theory::Beats;
use crate::ui::files::sentence;
use crate::ui::language::{look, tell};
use crate::ui::rig::{Taped, key_of};
use crate::ui::state::{Lasting, Page};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::time::Duration;
use web_sys::{Blob, File};

/// What is said when the worker broke.
const BROKE: &str = key!(
    "The recording was not heard to its end: the browser stopped the work, most likely for want of \
                     memory. Close other pages, or cut out the song, and choose it again."
);

/// What is kept of it on the device: one at a time.
const HEARD: &str = "heard-song";
const SOUND: &str = "heard-sound";
/// So long a correction waits for the next before it is kept.
const SETTLES: Duration = Duration::from_millis(600);

/// How far the hearing is.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Stage {
    /// Nothing is being heard.
    Resting,
    /// The file is being read.
    Opening,
    /// This much is heard.
    Going(Progress),
    /// It came to nothing: why, and what to do.
    Failed(String),
}

/// The page's ear.
#[derive(Clone, Copy)]
pub(in crate::ui) struct Ear {
    pub(super) stage: Lasting<RwSignal<Stage>>,
    /// What was heard last, as it is corrected.
    pub(super) hearing: Lasting<RwSignal<Option<Hearing>>>,
    /// Whether it is being corrected, and not put aside.
    pub(super) open: Lasting<RwSignal<bool>>,
    /// Where the page's own player finds the recording.
    pub(super) address: Lasting<RwSignal<Option<String>>>,
    file: StoredValue<Option<Blob>, LocalStorage>,
    errand: StoredValue<Option<Errand>, LocalStorage>,
    /// Counts what was begun, so that what was called off is known.
    turn: StoredValue<u32>,
}

/// Gives the page its ear.
pub(in crate::ui) fn connect() {
    let ear = Ear {
        stage: Lasting::signal(Stage::Resting),
        hearing: Lasting::signal(None),
        open: Lasting::signal(false),
        address: Lasting::signal(None),
        file: StoredValue::new_local(None),
        errand: StoredValue::new_local(None),
        turn: StoredValue::new(0),
    };
    provide_context(ear);
    crate::ui::apart::open_ear(ear);
}

impl Ear {
    /// What [`connect`] provided.
    pub(in crate::ui) fn here() -> Self {
        expect_context()
    }

    /// Takes up what was heard when the page was left, and keeps what is heard from now on.
    pub(in crate::ui) fn begin_keeping(self) {
        self.keep_changes();
        self.take_up();
    }

    /// Whether a chart that was heard is being corrected.
    pub(in crate::ui) fn is_open(self) -> bool {
        self.open.get()
    }

    /// Takes a step back or forth over the corrections, where they are what is looked at.
    pub(in crate::ui) fn step(self, page: Page, step: fn(&mut Hearing)) -> bool {
        let looked_at = self.open.get_untracked() && page.desk.with_untracked(|d| d.view == View::Chart);
        if looked_at {
            self.change(step);
        }
        looked_at
    }

    /// Hears a file.
    pub(in crate::ui) fn choose(self, page: Page, file: File) {
        let turn = self.begin();
        self.open.set(false);
        self.stage.set(Stage::Opening);
        spawn_local(async move {
            let decoded = decode_for_listening(&file).await;
            if self.turn.get_value() != turn {
                return;
            }
            match decoded {
                Ok((recorded, length)) => {
                    let source = Source {
                        name: file.name(),
                        key: key_of(&file),
                        length,
                    };
                    self.stage.set(Stage::Going(Progress::NONE));
                    let hear = move |back| self.hear(page, &file, &source, back);
                    let job = Job::Hear(Box::new(recorded));
                    self.errand.set_value(Some(Errand::send(job, hear)));
                }
                Err(error) => self.stage.set(Stage::Failed(tell(&error.said()))),
            }
        });
    }

    /// Stops hearing.
    pub(super) fn call_off(self, page: Page) {
        self.begin();
        self.stage.set(Stage::Resting);
        page.say(say!("Stopped listening. Nothing has changed."));
    }

    /// Leaves what was begun before.
    fn begin(self) -> u32 {
        self.errand.set_value(None);
        self.turn.update_value(|turn| *turn = turn.wrapping_add(1));
        self.turn.get_value()
    }

    fn hear(self, page: Page, file: &File, source: &Source, back: Return) {
        let stage = match back {
            Return::News(News::Going(progress), _) => Stage::Going(progress),
            Return::News(News::Refused(refused), _) => Stage::Failed(sentence(&refused.0)),
            Return::News(News::Done(Product::Heard(song)), _) => {
                self.put(file, Hearing::new(source.clone(), *song));
                self.keep_sound(file.clone().into());
                self.open.set(true);
                if page.desk.with_untracked(|d| d.view != View::Chart) {
                    page.say(say!("{name} is heard: its bars are in Chart.", name = source.name));
                }
                Stage::Resting
            }
            Return::News(News::Done(_), _) | Return::Broke => Stage::Failed(look(BROKE).to_owned()),
        };
        self.stage.set(stage);
    }

    /// Has this to be corrected from now on.
    fn put(self, file: &Blob, hearing: Hearing) {
        self.address.set(address_for(Some(file), self.address.get_untracked()));
        self.file.set_value(Some(file.clone()));
        self.hearing.set(Some(hearing));
    }

    /// Takes up what was heard when the page was left, unless something else has been heard meanwhile.
    fn take_up(self) {
        spawn_local(async move {
            let (Some(text), Some(sound)) = (recordings::kept_text(HEARD).await, recordings::kept(SOUND).await) else {
                return;
            };
            if let Some(hearing) = Hearing::from_text(&text).filter(|_| self.hearing.with_untracked(Option::is_none)) {
                self.put(&sound, hearing);
            }
        });
    }

    /// Keeps the recording itself. Where there is no room for it, nothing is kept of the last one either.
    fn keep_sound(self, sound: Blob) {
        spawn_local(async move {
            if recordings::keep(SOUND, &sound).await.is_err() {
                recordings::let_go(SOUND).await;
            }
        });
    }

    /// Keeps what was heard a moment after it has changed.
    fn keep_changes(self) {
        let turn = StoredValue::new(0_u32);
        Effect::new(move |_| {
            if self.hearing.with(Option::is_none) {
                return;
            }
            turn.update_value(|turn| *turn = turn.wrapping_add(1));
            let now = turn.get_value();
            let keep = move || {
                let text = self.hearing.with_untracked(|h| h.as_ref().map(Hearing::to_text));
                if let Some(text) = text.filter(|_| turn.get_value() == now) {
                    // What finds no room is still there until the page is left.
                    spawn_local(async move {
                        let _ = recordings::keep_text(HEARD, &text).await;
                    });
                }
            };
            set_timeout(keep, SETTLES);
        });
    }

    /// Corrects something.
    pub(super) fn correct(self, correction: Correction) {
        self.change(|hearing| hearing.correct(correction));
    }

    /// Changes what was heard.
    pub(super) fn change(self, change: impl FnOnce(&mut Hearing)) {
        self.hearing.update(|hearing| {
            if let Some(hearing) = hearing {
                change(hearing);
            }
        });
    }

    /// Reads something of what was heard; the default where there is nothing.
    pub(super) fn read<T: Default>(self, read: impl FnOnce(&Hearing) -> T) -> T {
        self.hearing
            .with(|hearing| hearing.as_ref().map(read).unwrap_or_default())
    }

    /// Makes the chart the song, with its recording behind it.
    pub(super) fn take(self, page: Page) {
        let known = |h: &Hearing| (h.command(), h.source().key.clone());
        let known = self.hearing.with_untracked(|h| h.as_ref().map(known));
        let (Some((command, key)), Some(file)) = (known, self.file.get_value()) else {
            return;
        };
        self.open.set(false);
        crate::ui::playing::give_back(page);
        crate::ui::playing::stop(page);
        page.playing.at.set(Beats::ZERO);
        Taped::here().bring(page, file, key, command);
    }
}
