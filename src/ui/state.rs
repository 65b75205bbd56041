//! What the views share: the session and what is derived from it, each part with its own signal.

mod changing;
mod delivering;
mod drafting;
mod lasting;
mod playing;
mod proposing;

pub use changing::Changing;
pub use delivering::Delivering;
pub(super) use delivering::{Made, Stage};
pub use drafting::Drafting;
pub use lasting::Lasting;
pub(super) use playing::Trial;
pub use playing::{Playing, Run};
pub use proposing::{Hand, Proposing};

use crate::app::reading::Reading;
use crate::app::rehearsal::Limb;
use crate::app::{Chosen, Command, Desk, Rig, Session, Shown, Work};
use crate::solo::{Pass, Performance};
use crate::sound::{Decibels, Score};
use crate::steel::Instrument;
use crate::theory::Timeline;
use leptos::prelude::*;
use std::sync::Arc;
use std::time::Duration;

/// How long a line of news stays.
const NEWS_STAYS: Duration = Duration::from_secs(7);

/// The page's state, to be had from the context anywhere below the shell.
#[derive(Clone, Copy)]
pub struct Page {
    session: Lasting<RwSignal<Session>>,
    /// The work in hand.
    pub work: Lasting<Memo<Work>>,
    /// How the page is set up.
    pub desk: Lasting<Memo<Desk>>,
    /// The chart as it is understood.
    pub reading: Lasting<Memo<Reading>>,
    /// The song in time, where there is one.
    pub song: Lasting<Memo<Option<Arc<Timeline>>>>,
    /// The instrument.
    pub instrument: Lasting<Memo<Option<Arc<Instrument>>>>,
    /// The same as it is tuned: what is heard, never what is planned with.
    pub tuned: Lasting<Memo<Option<Arc<Instrument>>>>,
    /// What has been drafted.
    pub drafting: Drafting,
    /// The drafted passes.
    pub drafted: Lasting<Memo<Vec<Arc<Pass>>>>,
    /// The pass that is looked at and heard.
    pub chosen: Lasting<Memo<Option<Arc<Shown>>>>,
    /// What is played in place of the work while it is lent to the page: an example of a lesson.
    pub lent: Lasting<RwSignal<Option<Arc<Score>>>>,
    /// The pass it is compared with.
    pub other: Lasting<Memo<Option<Arc<Shown>>>>,
    /// How loud the two are set so that both are equally loud, once that is measured.
    pub balance: Lasting<RwSignal<Option<(Decibels, Decibels)>>>,
    /// The move that is being changed.
    pub changing: Changing,
    /// What is proposed for it.
    pub proposing: Proposing,
    /// What a change that is tried or proposed makes of the chosen pass.
    pub tried: Lasting<Memo<Option<Arc<Performance>>>>,
    /// What is to be played.
    pub score: Lasting<Memo<Option<Arc<Score>>>>,
    /// The song that is played: that of what is lent, else the work's.
    pub heard: Lasting<Memo<Option<Arc<Timeline>>>>,
    /// The sound and where it is.
    pub playing: Playing,
    /// The stems that are being written, or were.
    pub delivering: Delivering,
    news: Lasting<RwSignal<(u32, String)>>,
}

impl Page {
    /// Makes the state around a session and hands it to everything below.
    pub(super) fn provide(session: Session) -> Self {
        let session = Lasting::signal(session);
        let work = Lasting::memo(move |_| session.with(|s| s.work().clone()));
        let desk = Lasting::memo(move |_| session.with(|s| s.desk().clone()));
        let chart = Lasting::memo(move |_| work.with(|w| Arc::clone(&w.chart)));
        let reading = Lasting::memo(move |_| Reading::of(&chart.read()));
        let rig = Lasting::memo(move |_| work.with(|w| w.rig.clone()));
        let song = Lasting::memo(move |_| reading.with(|r| r.song.clone()));
        let instrument = Lasting::memo(move |_| rig.with(Rig::built).map(Arc::new));
        let tuned = Lasting::memo(move |_| {
            let instrument = instrument.get()?;
            let tuning = rig.with(|rig| rig.tuning(&instrument));
            Some(Arc::new(tuning.tuned(&instrument)))
        });
        let drafting = Drafting::new();
        let drafted = Lasting::memo(move |_| {
            let (Some(_), Some(instrument), Some((id, draft))) = (song.get(), instrument.get(), drafting.draft.get())
            else {
                return Vec::new();
            };
            if id != instrument.id {
                return Vec::new();
            }
            draft.passes.iter().cloned().map(Arc::new).collect::<Vec<_>>()
        });
        let shown = move |which: Chosen| match which {
            Chosen::Drafted(index) => {
                let pass = drafted.with(|all| all.get(index).cloned())?;
                Shown::of(&pass, song.get().as_deref()?, instrument.get().as_deref()?).map(Arc::new)
            }
            Chosen::Kept(index) => {
                let kept = work.with(|w| w.kept.get(index).cloned())?;
                let (song, instrument) = (song.get()?, instrument.get()?);
                let fits = kept.instrument == instrument.id && work.with(|w| w.is_over(&kept, &song));
                let pass = fits.then(|| Arc::new(kept.pass.clone()))?;
                Shown::of(&pass, &song, &instrument).map(Arc::new)
            }
        };
        let which = Lasting::memo(move |_| desk.with(|d| d.chosen));
        let chosen = Lasting::memo(move |_| match which.get() {
            draft @ Chosen::Drafted(_) => shown(draft).or_else(|| shown(Chosen::default())),
            kept => shown(kept),
        });
        let compared = Lasting::memo(move |_| desk.with(|d| d.compared));
        let other = Lasting::memo(move |_| shown(compared.get().with?));
        let heard_limb = Lasting::memo(move |_| {
            let rehearsal = desk.with(|d| d.rehearsal);
            if rehearsal.alone { rehearsal.limb } else { Limb::All }
        });
        let lent = Lasting::signal(None::<Arc<Score>>);
        let heard = Lasting::memo(move |_| match lent.get() {
            Some(lent) => Some(Arc::new(lent.timeline.clone())),
            None => song.get(),
        });
        // A name, another mark beside the song, a nudge that makes no clock: nothing to play anew.
        let clock = Lasting::memo(move |_| {
            let recording = work.with(|w| w.recording.clone())?;
            song.with(|song| recording.clock(song.as_ref()?).ok())
        });
        let (changing, proposing) = (Changing::new(), Proposing::new());
        let tried = Lasting::memo(move |_| {
            let (song, instrument) = (song.get(), instrument.get());
            let proposed = proposing.performance(song.as_deref(), instrument.as_deref());
            proposed.or_else(|| {
                chosen.with(|shown| changing.performance(shown.as_deref(), song.as_deref(), instrument.as_deref()))
            })
        });
        // What is dragged is heard once it is let go.
        let heard_trial = Lasting::memo(move |before: Option<&Option<Arc<Performance>>>| {
            if proposing.dragging.get() {
                return before.cloned().flatten();
            }
            tried.get()
        });
        let score = Lasting::memo(move |_| {
            if let Some(lent) = lent.get() {
                return Some(lent);
            }
            let limb = heard_limb.get();
            let swapped = compared.get().hears_other.then(|| other.get()).flatten();
            let whole = swapped
                .map(|other| Arc::clone(&other.performance))
                .or_else(|| heard_trial.get())
                .or_else(|| chosen.with(|shown| Some(Arc::clone(&shown.as_ref()?.performance))));
            let performance = whole.map(|whole| match limb {
                Limb::All => whole,
                limb => Arc::new(limb.alone(&whole)),
            });
            let (song, instrument) = (song.get()?, tuned.get()?);
            Some(Arc::new(Score::over(
                &song,
                &instrument,
                performance.as_deref(),
                clock.get(),
            )))
        });
        let page = Self {
            session,
            work,
            desk,
            reading,
            song,
            instrument,
            tuned,
            drafting,
            drafted,
            chosen,
            lent,
            other,
            balance: Lasting::signal(None),
            changing,
            proposing,
            tried,
            score,
            heard,
            playing: Playing::new(),
            delivering: Delivering::new(),
            news: Lasting::signal((0, String::new())),
        };
        provide_context(page);
        page
    }

    /// The state that the shell provided.
    #[must_use]
    pub fn here() -> Self {
        expect_context()
    }

    /// Does what the user asks.
    pub fn act(&self, command: Command) {
        // What was said of the last step is not true any more.
        if matches!(command, Command::Undo | Command::Redo) {
            self.news.update(|(turn, said)| {
                *turn += 1;
                said.clear();
            });
        }
        self.session.update(|session| session.apply(command));
    }

    /// Whether there is something to undo.
    #[must_use]
    pub fn can_undo(&self) -> bool {
        self.session.with(Session::can_undo)
    }

    /// Whether there is something to do again.
    #[must_use]
    pub fn can_redo(&self) -> bool {
        self.session.with(Session::can_redo)
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
