//! The playing itself: the microphone, the backing, and the way to the marks.

use crate::app::Command;
use crate::app::jobs::{Job, News, Product};
use crate::app::lanes_view::Spot;
use crate::app::played::{AskDelay, AskMarks, Played, Take, Tape};
use crate::app::takes::{Named, WaveFile};
use crate::exchange::wave::Stamp;
use crate::platform::audio::AudioState;
use crate::platform::files;
use crate::platform::microphone::{Block, Microphone};
use crate::platform::moment::now;
use crate::platform::worker::{Errand, Return};
use crate::solo::Performance;
use crate::sound::{SampleRate, Score, Speed};
use crate::steel::Instrument;
use crate::teach::Evidence;
use crate::theory::Timeline;
use crate::theory::{Beats, Seconds, Tempo};
use crate::ui::language::{look, tell};
use crate::ui::playing;
use crate::ui::rehearsing;
use crate::ui::state::{Page, Run};
use crate::words::Said;
use js_sys::{Array, Uint8Array};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::ops::Range;
use std::sync::Arc;
use web_sys::Blob;

/// So long is listened on after the last moment: what came late and what should have been stopped is heard too.
const TAIL: Seconds = Seconds(1.0);
/// A song stopped this near its end was played to its end.
const NEAR_END: Beats = Beats(0.25);
const BROKE: &str =
    key!("The marks were not finished: the browser stopped the work. Close other pages and play it again.");
const NO_FILE: &str = key!("The browser has no room left for this file: close other pages and try again.");
const NO_SOUND: &str = key!("The sound did not start, and the backing is needed. Press play once, then try again.");
const RECORDING_ON: &str = key!(
    "Your recording keeps its own time, and marks go by the chart's tempo: take the recording off in the rig first."
);

/// What is to be played.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::ui) struct Piece {
    pub(in crate::ui) performance: Arc<Performance>,
    /// On what, as it is tuned.
    pub(in crate::ui) instrument: Arc<Instrument>,
    pub(in crate::ui) song: Arc<Timeline>,
    /// Which part of it.
    pub(in crate::ui) stretch: Range<Beats>,
    /// Whether it is not the work's own, so that the band is lent to the page for it.
    pub(in crate::ui) lent: bool,
}

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
    piece: Piece,
    stretch: Range<Beats>,
    tempo: Tempo,
    /// Whether the solo was silent before.
    was_muted: bool,
    /// In hundredths of the tempo.
    speed: u16,
}

/// Playing a phrase oneself, as long as it is looked at.
#[derive(Clone, Copy)]
pub(in crate::ui) struct Recital {
    page: Page,
    piece: Signal<Option<Piece>>,
    pub(super) stage: RwSignal<Stage>,
    pub(super) played: RwSignal<Option<Arc<Played>>>,
    pub(super) before: RwSignal<Option<Arc<Played>>>,
    plan: StoredValue<Option<Plan>>,
    tape: StoredValue<Tape>,
    microphone: StoredValue<Option<Microphone>, LocalStorage>,
    errand: StoredValue<Option<Errand>, LocalStorage>,
    /// The sound that was marked last, for the player to keep.
    take: StoredValue<Option<Take>>,
    /// How fast it was played, in hundredths of the tempo.
    speed: StoredValue<u16>,
    /// Tells a playing from one that was given up.
    turn: StoredValue<u32>,
}

impl Recital {
    pub(in crate::ui) fn new(page: Page, piece: Signal<Option<Piece>>) -> Self {
        let recital = Self {
            page,
            piece,
            stage: RwSignal::new(Stage::Resting),
            played: RwSignal::new(None),
            before: RwSignal::new(None),
            plan: StoredValue::new(None),
            tape: StoredValue::new(Tape::default()),
            microphone: StoredValue::new_local(None),
            errand: StoredValue::new_local(None),
            take: StoredValue::new(None),
            speed: StoredValue::new(100),
            turn: StoredValue::new(0),
        };
        // Marks belong to one pass.
        let pass = Memo::new(move |_| piece.with(|p| p.as_ref().map(|p| Arc::clone(&p.performance))));
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
    pub(in crate::ui) fn spots(self) -> Vec<Spot> {
        self.played.with(|p| p.as_ref().map(|p| p.spots()).unwrap_or_default())
    }

    /// The song that is played over.
    pub(super) fn song(self) -> Option<Arc<Timeline>> {
        self.piece
            .with(|piece| piece.as_ref().map(|piece| Arc::clone(&piece.song)))
    }

    /// Hands what was heard to the player as a file.
    pub(super) fn save(self) {
        let Some(take) = self.take.get_value() else { return };
        let saved = sound_file(&take)
            .ok_or_else(|| look(NO_FILE).to_owned())
            .and_then(|file| files::save(&file, "played.wav").map_err(|error| error.to_string()));
        if let Err(words) = saved {
            self.page.say(words);
        }
    }

    /// What was played last: how it went, and the evidence of it.
    pub(in crate::ui) fn last(self) -> Option<(Arc<Played>, Evidence)> {
        let played = self.played.get()?;
        let evidence = played.evidence(self.speed.get_value());
        Some((played, evidence))
    }

    /// Counts in and listens. Call it from a click or a key.
    pub(super) fn start(self, what: What) {
        let page = self.page;
        self.give_up();
        let Some(piece) = self.piece.get_untracked() else {
            return;
        };
        let own_time = page
            .score
            .with_untracked(|s| s.as_ref().is_some_and(|s| s.clock.is_some()));
        if what == What::Phrase && own_time && !piece.lent {
            return self.stage.set(Stage::Failed(look(RECORDING_ON).to_owned()));
        }
        playing::stop(page);
        let Some(waking) = page.playing.wake() else { return };
        self.stage.set(Stage::Waiting);
        let turn = self.turn.get_value();
        let stretch = match what {
            What::Phrase => piece.stretch.clone(),
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
            let on_gone = move |error: crate::platform::microphone::MicError| self.fail(tell(&error.said()));
            let opened = Microphone::join(context, on_block, on_gone).await;
            if self.turn.try_get_value() != Some(turn) {
                return;
            }
            match opened {
                Ok(microphone) => {
                    self.microphone.set_value(Some(microphone));
                    self.begin(what, piece, stretch);
                }
                Err(error) => self.stage.set(Stage::Failed(tell(&error.said()))),
            }
        });
    }

    fn begin(self, what: What, piece: Piece, stretch: Range<Beats>) {
        let page = self.page;
        if piece.lent {
            // The band alone: the steel is the player's.
            let band = Score::over(&piece.song, &piece.instrument, None, None);
            playing::lend(page, &Arc::new(band));
        }
        let speed = page.desk.with_untracked(|d| d.speed);
        let tempo = Speed(f64::from(speed) / 100.0).of(piece.song.tempo);
        let was_muted = page.desk.with_untracked(|d| d.rehearsal.muted);
        self.tape.set_value(Tape::default());
        let from = stretch.start;
        self.plan.set_value(Some(Plan {
            what,
            piece,
            stretch,
            tempo,
            was_muted,
            speed,
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
        let Some(take) = take else { return };
        self.speed.set_value(plan.speed);
        let job = match plan.what {
            What::Phrase => Job::Mark(Box::new(AskMarks {
                take: take.clone(),
                performance: Arc::clone(&plan.piece.performance),
                instrument: Arc::clone(&plan.piece.instrument),
                tempo: plan.tempo,
                stretch: plan.stretch.clone(),
                delay: page.desk.with_untracked(|d| d.delay),
            })),
            What::Clicks => Job::Delay(Box::new(AskDelay {
                take: take.clone(),
                tempo: plan.tempo,
                clicks: clicks(&plan.piece.song),
            })),
        };
        self.stage.set(Stage::Marking(plan.what));
        self.take.set_value((plan.what == What::Phrase).then_some(take));
        self.errand
            .set_value(Some(Errand::send(job, move |back| self.told(back))));
    }

    fn told(self, back: Return) {
        let stage = match back {
            Return::News(News::Going(_), _) => return,
            Return::News(News::Refused(refused), _) => Stage::Failed(tell(&refused.0)),
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
    if plan.piece.lent {
        playing::give_back(page);
    }
}

/// What was heard, as a sound file.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a rate is a small whole number
fn sound_file(take: &Take) -> Option<Blob> {
    let mut file = WaveFile::new(take.rate.0 as u32);
    let body = file.add(take.samples());
    let stamp = Stamp {
        description: "Played into the microphone".to_owned(),
        reference: String::new(),
        written: now(),
        from: 0,
        loudness: None,
    };
    let ends = file
        .finish(&stamp, &mut Named::new(String::new(), Said::default(), 0))
        .ok()?;
    let pieces = [ends.head.as_slice(), &body, ends.foot].map(Uint8Array::from);
    Blob::new_with_u8_array_sequence(&pieces.into_iter().collect::<Array>()).ok()
}

/// The clicks of two bars counted before the song.
fn clicks(song: &Timeline) -> Vec<Beats> {
    let Some(bar) = song.bars.first() else {
        return Vec::new();
    };
    let (pulse, bar) = (bar.metre.pulse(), bar.metre.bar());
    std::iter::successors(Some(Beats::ZERO - bar.scaled(2.0)), |at| Some(*at + pulse))
        .take_while(|at| at.0 < -1e-6)
        .collect()
}
