//! The playing itself: the microphone, the backing, and the way to the marks.

use crate::app::Command;
use crate::app::jobs::{Job, News, Product};
use crate::app::lanes_view::Spot;
use crate::app::played::{AskDelay, AskMarks, Played, Tape};
use crate::platform::audio::AudioState;
use crate::platform::microphone::{Block, Microphone};
use crate::platform::worker::{Errand, Return};
use crate::sound::{SampleRate, Speed};
use crate::theory::{Beats, Seconds, Tempo};
use crate::ui::language::look;
use crate::ui::playing::{self, Run};
use crate::ui::rehearsing;
use crate::ui::state::Page;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::ops::Range;
use std::sync::Arc;

/// So long is listened on after the last moment: what came late and what should have been stopped is heard too.
const TAIL: Seconds = Seconds(1.0);
/// A song stopped this near its end was played to its end.
const NEAR_END: Beats = Beats(0.25);
const BROKE: &str =
    key!("The marks were not finished: the browser stopped the work. Close other pages and play it again.");
const NO_SOUND: &str = key!("The sound did not start, and the backing is needed. Press play once, then try again.");
const RECORDING_ON: &str = key!(
    "Your recording keeps its own time, and marks go by the chart's tempo: take the recording off in the rig first."
);

/// What is going on.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Stage {
    Resting,
    /// Sound and microphone are being started.
    Waiting,
    /// What is played is heard.
    Playing(What),
    /// It is being looked at.
    Marking(What),
    Failed(String),
}

/// What is heard for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum What {
    /// A phrase, for its marks.
    Phrase,
    /// Clicks, for the device's delay.
    Clicks,
}

/// What is being played.
#[derive(Debug, Clone)]
struct Plan {
    what: What,
    stretch: Range<Beats>,
    tempo: Tempo,
    /// Whether the solo was silent before.
    was_muted: bool,
}

/// Playing a phrase oneself, as long as the solo is looked at.
#[derive(Clone, Copy)]
pub(in crate::ui::solo) struct Recital {
    page: Page,
    pub(super) stage: RwSignal<Stage>,
    pub(super) played: RwSignal<Option<Arc<Played>>>,
    pub(super) before: RwSignal<Option<Arc<Played>>>,
    plan: StoredValue<Option<Plan>>,
    tape: StoredValue<Tape>,
    microphone: StoredValue<Option<Microphone>, LocalStorage>,
    errand: StoredValue<Option<Errand>, LocalStorage>,
    /// Tells a playing from one that was given up.
    turn: StoredValue<u32>,
}

impl Recital {
    pub(in crate::ui::solo) fn new(page: Page) -> Self {
        let recital = Self {
            page,
            stage: RwSignal::new(Stage::Resting),
            played: RwSignal::new(None),
            before: RwSignal::new(None),
            plan: StoredValue::new(None),
            tape: StoredValue::new(Tape::default()),
            microphone: StoredValue::new_local(None),
            errand: StoredValue::new_local(None),
            turn: StoredValue::new(0),
        };
        // Marks belong to one pass.
        let pass = Memo::new(move |_| page.chosen.with(|c| c.as_ref().map(|c| Arc::clone(&c.performance))));
        Effect::new(move |before: Option<()>| {
            pass.track();
            if before.is_some() {
                recital.played.set(None);
                recital.before.set(None);
            }
        });
        on_cleanup(move || {
            recital.turn.try_update_value(|turn| *turn += 1);
            recital.microphone.try_update_value(Option::take);
            if let Some(Some(plan)) = recital.plan.try_update_value(Option::take) {
                leave(page, &plan);
            }
        });
        recital
    }

    /// Where something is to be mended.
    pub(in crate::ui::solo) fn spots(self) -> Vec<Spot> {
        self.played.with(|p| p.as_ref().map(|p| p.spots()).unwrap_or_default())
    }

    /// The bars that are played: those that are looped, or all.
    pub(super) fn stretch(self) -> Option<Range<Beats>> {
        let looped = self.page.desk.with(|d| d.looped);
        self.page.song.with(|song| {
            let song = song.as_ref()?;
            looped
                .and_then(|looped| playing::stretch(song, looped))
                .or(Some(Beats::ZERO..song.length()))
        })
    }

    /// Counts in and listens. Call it from a click or a key.
    pub(super) fn start(self, what: What) {
        let page = self.page;
        self.give_up();
        let Some((stretch, tempo)) = untrack(|| self.stretch()).zip(self.tempo()) else {
            return;
        };
        if what == What::Phrase && untrack(|| page.score.with(|s| s.as_ref().is_some_and(|s| s.clock.is_some()))) {
            return self.stage.set(Stage::Failed(look(RECORDING_ON).to_owned()));
        }
        playing::stop(page);
        let Some(waking) = page.playing.wake() else { return };
        self.stage.set(Stage::Waiting);
        let turn = self.turn.get_value();
        let stretch = match what {
            What::Phrase => stretch,
            // Only what is counted is heard.
            What::Clicks => Beats::ZERO..Beats::ZERO,
        };
        spawn_local(async move {
            let sounds = waking.await == AudioState::Running;
            if self.turn.try_get_value() != Some(turn) {
                return;
            }
            let Some(context) = page.playing.context().filter(|_| sounds) else {
                return self.stage.set(Stage::Failed(look(NO_SOUND).to_owned()));
            };
            let rate = SampleRate(f64::from(context.sample_rate()));
            let on_block = move |block: Block| self.hear(turn, rate, &block);
            let on_gone = move |error: crate::platform::microphone::MicError| self.fail(error.to_string());
            let opened = Microphone::join(context, on_block, on_gone).await;
            if self.turn.try_get_value() != Some(turn) {
                return;
            }
            match opened {
                Ok(microphone) => {
                    self.microphone.set_value(Some(microphone));
                    self.begin(what, stretch, tempo);
                }
                Err(error) => self.stage.set(Stage::Failed(error.to_string())),
            }
        });
    }

    fn begin(self, what: What, stretch: Range<Beats>, tempo: Tempo) {
        let page = self.page;
        let was_muted = page.desk.with_untracked(|d| d.rehearsal.muted);
        self.tape.set_value(Tape::default());
        let from = stretch.start;
        self.plan.set_value(Some(Plan {
            what,
            stretch,
            tempo,
            was_muted,
        }));
        self.stage.set(Stage::Playing(what));
        // Who plays the solo does not want it in the microphone.
        rehearsing::change(page, |r| r.muted = true);
        playing::recite(page, from, if what == What::Clicks { 2 } else { 1 });
    }

    /// Stops whatever is going on.
    pub(super) fn give_up(self) {
        self.turn.update_value(|turn| *turn += 1);
        self.microphone.set_value(None);
        self.errand.set_value(None);
        if let Some(plan) = self.plan.try_update_value(Option::take).flatten() {
            leave(self.page, &plan);
        }
        self.stage.set(Stage::Resting);
    }

    fn fail(self, words: String) {
        self.give_up();
        self.stage.set(Stage::Failed(words));
    }

    fn tempo(self) -> Option<Tempo> {
        let speed = f64::from(self.page.desk.with_untracked(|d| d.speed)) / 100.0;
        self.page
            .song
            .with_untracked(|song| Some(Speed(speed).of(song.as_ref()?.tempo)))
    }

    fn hear(self, turn: u32, rate: SampleRate, block: &Block) {
        if self.turn.try_get_value() != Some(turn) {
            return;
        }
        self.tape.update_value(|tape| tape.take(block.at, &block.samples, rate));
        let (Some(plan), Some((at, frame))) = (self.plan.get_value(), self.page.playing.told()) else {
            return;
        };
        let end = plan.stretch.end;
        let stopped = self.page.playing.run.get_untracked() == Run::Stopped;
        if stopped && at < end - NEAR_END {
            return self.give_up();
        }
        if plan.what == What::Clicks && at >= end && !stopped {
            playing::end_recital(self.page);
        }
        #[allow(clippy::cast_precision_loss)] // samples of a few minutes
        let over = frame as f64 + rate.samples((end - at).at(plan.tempo) + TAIL);
        if block.at >= over {
            self.finish(rate, &plan, at, frame);
        }
    }

    fn finish(self, rate: SampleRate, plan: &Plan, at: Beats, frame: u64) {
        let page = self.page;
        #[allow(clippy::cast_precision_loss)] // samples of a few minutes
        let take = self.tape.with_value(|tape| tape.cut(rate, at, frame as f64));
        self.give_up();
        let (Some(take), Some(shown), Some(instrument), Some(song)) = (
            take,
            page.chosen.get_untracked(),
            page.tuned.get_untracked(),
            page.song.get_untracked(),
        ) else {
            return;
        };
        let job = match plan.what {
            What::Phrase => Job::Mark(Box::new(AskMarks {
                take,
                performance: Arc::clone(&shown.performance),
                instrument,
                tempo: plan.tempo,
                stretch: plan.stretch.clone(),
                delay: page.desk.with_untracked(|d| d.delay),
            })),
            What::Clicks => Job::Delay(Box::new(AskDelay {
                take,
                tempo: plan.tempo,
                clicks: clicks(&song),
            })),
        };
        self.stage.set(Stage::Marking(plan.what));
        self.errand
            .set_value(Some(Errand::send(job, move |back| self.told(back))));
    }

    fn told(self, back: Return) {
        let stage = match back {
            Return::News(News::Going(_), _) => return,
            Return::News(News::Refused(refused), _) => Stage::Failed(refused.to_string()),
            Return::News(News::Done(Product::Marked(played)), _) => {
                self.before.set(self.played.get_untracked());
                self.played.set(Some(Arc::new(*played)));
                Stage::Resting
            }
            Return::News(News::Done(Product::Delay(delay)), _) => {
                self.page.act(Command::Delay(Some(delay)));
                Stage::Resting
            }
            Return::News(News::Done(_), _) | Return::Broke => Stage::Failed(look(BROKE).to_owned()),
        };
        self.stage.set(stage);
    }
}

/// The song stands, and the solo is heard as before.
fn leave(page: Page, plan: &Plan) {
    playing::end_recital(page);
    let was_muted = plan.was_muted;
    rehearsing::change(page, |r| r.muted = was_muted);
}

/// The clicks of two bars counted before the song.
fn clicks(song: &crate::theory::Timeline) -> Vec<Beats> {
    let Some(bar) = song.bars.first() else {
        return Vec::new();
    };
    let (pulse, bar) = (bar.metre.pulse(), bar.metre.bar());
    std::iter::successors(Some(Beats::ZERO - bar.scaled(2.0)), |at| Some(*at + pulse))
        .take_while(|at| at.0 < -1e-6)
        .collect()
}
