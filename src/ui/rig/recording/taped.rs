//! The recording itself: opened, put on, kept on the device, and found again.

use crate::app::backing_song::BackingSong;
use crate::app::{Command, Levels};
use crate::platform::audio::Slot;
use crate::platform::decode::{Recording, decode};
use crate::platform::files::address_for;
use crate::platform::recordings;
use crate::sound::Part;
use crate::ui::language::tell;
use crate::ui::state::{Lasting, Page};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::sync::Arc;
use web_sys::{Blob, File};

/// How far the recording is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Stage {
    /// There is none.
    #[default]
    None,
    /// It is being read.
    Opening,
    /// It can be heard.
    Ready,
    /// It is known, and not on this device.
    Missing,
}

/// The recording as the browser has it.
#[derive(Clone, Copy)]
pub(in crate::ui) struct Taped {
    pub(super) stage: Lasting<RwSignal<Stage>>,
    /// Where the page's own player finds it.
    pub(super) address: Lasting<RwSignal<Option<String>>>,
    /// Which one is on.
    key: StoredValue<Option<String>>,
}

/// Puts on the recording that belongs to the work, now and whenever it is another one.
pub(in crate::ui) fn connect(page: Page) {
    let taped = Taped {
        stage: Lasting::signal(Stage::None),
        address: Lasting::signal(None),
        key: StoredValue::new(None),
    };
    provide_context(taped);
    let wanted = Memo::new(move |_| page.work.with(|w| w.recording.as_ref().map(|r| r.key.clone())));
    Effect::new(move || {
        let wanted = wanted.get();
        if wanted == taped.key.get_value() {
            return;
        }
        taped.key.set_value(wanted.clone());
        taped.take_off(page);
        if let Some(key) = wanted {
            spawn_local(taped.find(page, key));
        }
    });
}

impl Taped {
    /// What [`connect`] provided.
    pub(in crate::ui) fn here() -> Self {
        expect_context()
    }

    fn take_off(self, page: Page) {
        page.playing.put_on(Slot::Song, None);
        self.stage.set(Stage::None);
        self.show(None);
    }

    /// Opens the recording that is kept under `key`.
    async fn find(self, page: Page, key: String) {
        self.stage.set(Stage::Opening);
        let found = match recordings::kept(&key).await {
            Some(file) => decode(&file).await.ok().map(|recording| (file, recording)),
            None => None,
        };
        // Another one may have been chosen meanwhile.
        if self.key.get_value().as_deref() != Some(&key) {
            return;
        }
        match found {
            Some((file, recording)) => self.put_on(page, &file, recording),
            None => self.stage.set(Stage::Missing),
        }
    }

    fn put_on(self, page: Page, file: &Blob, recording: Recording) {
        page.playing.put_on(Slot::Song, Some(recording));
        self.show(Some(file));
        self.stage.set(Stage::Ready);
    }

    /// Lets the page's own player find a file, and the last one go.
    fn show(self, file: Option<&Blob>) {
        self.address.set(address_for(file, self.address.get_untracked()));
    }

    /// Takes a file that the user chose.
    pub(super) fn choose(self, page: Page, file: File) {
        let before = self.stage.get_untracked();
        self.stage.set(Stage::Opening);
        spawn_local(async move {
            match decode(&file).await {
                Ok(recording) => self.accept(page, &file, recording).await,
                Err(error) => {
                    self.stage.set(before);
                    page.say(tell(&error.said()));
                }
            }
        });
    }

    async fn accept(self, page: Page, file: &File, recording: Recording) {
        let key = key_of(file);
        let fresh = BackingSong::new(file.name(), key.clone(), recording.length);
        let known = page.work.with_untracked(|w| w.recording.clone());
        let next = known.as_ref().map_or(fresh.clone(), |known| known.moved_to(fresh));
        self.key.set_value(Some(key.clone()));
        self.put_on(page, file, recording);
        page.act(Command::Record(Some(Arc::new(next))));
        if known.is_none() {
            mute_band(page);
        }
        keep(page, &key, file).await;
    }

    /// Takes a recording that `command` brings to the work under its own key, with its bars marked already.
    pub(in crate::ui) fn bring(self, page: Page, file: Blob, key: String, command: Command) {
        self.key.set_value(Some(key.clone()));
        self.take_off(page);
        self.stage.set(Stage::Opening);
        page.act(command);
        mute_band(page);
        spawn_local(async move {
            let decoded = decode(&file).await;
            if self.key.get_value().as_ref() == Some(&key) {
                match decoded {
                    Ok(recording) => self.put_on(page, &file, recording),
                    Err(error) => {
                        self.stage.set(Stage::Missing);
                        page.say(tell(&error.said()));
                    }
                }
            }
            keep(page, &key, &file).await;
        });
    }
}

/// What a file is kept under: the same file has the same.
pub(in crate::ui) fn key_of(file: &File) -> String {
    format!("{}-{}-{}", file.name(), file.size(), file.last_modified())
}

async fn keep(page: Page, key: &str, file: &Blob) {
    if let Err(error) = recordings::keep(key, file).await {
        page.say(tell(&error.said()));
    }
}

/// Two bands at once are one too many.
fn mute_band(page: Page) {
    super::super::levels::set(page, |levels: &mut Levels| {
        for part in [Part::Drums, Part::Bass, Part::Rhythm, Part::Organ] {
            levels.mix.fader_mut(part).muted = true;
        }
    });
    page.say(say!(
        "The page's own band is muted while your recording plays. Levels brings it back."
    ));
}
