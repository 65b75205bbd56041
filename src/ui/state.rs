//! What the views share: the session and what is derived from it, each part with its own signal.

use crate::app::{Command, DEMO_SONGS, Desk, Session, Work};
use crate::theory::Beats;
use leptos::prelude::*;
use std::time::Duration;

/// How long a line of news stays.
const NEWS_STAYS: Duration = Duration::from_secs(6);

/// The page's state, to be had from the context anywhere below the shell.
#[derive(Clone, Copy)]
pub struct Page {
    session: RwSignal<Session>,
    /// The work in hand.
    pub work: Memo<Work>,
    /// How the page is set up.
    pub desk: Memo<Desk>,
    /// The moment of the song that is shown and, while playing, heard.
    pub at: RwSignal<Beats>,
    /// Whether the song is being played.
    pub playing: RwSignal<bool>,
    news: RwSignal<(u32, String)>,
}

impl Page {
    /// Makes the state and hands it to everything below.
    pub(super) fn provide() -> Self {
        let session = RwSignal::new(first_session());
        let page = Self {
            session,
            work: Memo::new(move |_| session.with(|s| s.work().clone())),
            desk: Memo::new(move |_| session.with(|s| s.desk().clone())),
            at: RwSignal::new(Beats::ZERO),
            playing: RwSignal::new(false),
            news: RwSignal::new((0, String::new())),
        };
        provide_context(page);
        page
    }

    /// The state that the shell provided.
    #[must_use]
    pub fn here() -> Self {
        // Everything but the shell itself is drawn below the shell, which provides it.
        use_context::<Self>().unwrap_or_else(Self::provide)
    }

    /// Does what the user asks.
    pub fn act(&self, command: Command) {
        self.session.update(|session| session.apply(command));
    }

    /// Whether there is something to undo, and to do again.
    #[must_use]
    pub fn ways(&self) -> (bool, bool) {
        self.session.with(|s| (s.can_undo(), s.can_redo()))
    }

    /// Says one line for a while.
    pub fn say(&self, words: impl Into<String>) {
        let news = self.news;
        let words = words.into();
        news.update(|(turn, said)| {
            *turn += 1;
            *said = words;
        });
        let turn = news.with_untracked(|(turn, _)| *turn);
        let clear = move || {
            news.try_update(|(now, said)| {
                if *now == turn {
                    said.clear();
                }
            });
        };
        set_timeout(clear, NEWS_STAYS);
    }

    /// What is being said, or nothing.
    #[must_use]
    pub fn said(&self) -> String {
        self.news.with(|(_, said)| said.clone())
    }
}

fn first_session() -> Session {
    let song = &DEMO_SONGS[0];
    let mut work = Work::on(song.chart);
    work.request.feel = song.feel.to_owned();
    Session::new(work, Desk::default())
}
