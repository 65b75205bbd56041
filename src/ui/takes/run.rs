//! The recording itself: the microphone set up, the count, the take, and where it goes.

use super::{Studio, cut_off};
use crate::app::shelf::SongId;
use crate::app::takes::{Begun, Level, Meter, Recorder};
use crate::app::{Command, LoopBars, View};
use crate::platform::audio::AudioState;
use crate::platform::microphone::{Block, MicError, MicFacts, Microphone};
use crate::platform::takes::{Vault, VaultError};
use crate::platform::wake::Wake;
use crate::sound::SampleRate;
use crate::theory::{Beats, Seconds};
use crate::ui::language::{look, tell};
use crate::ui::playing;
use crate::ui::rehearsing;
use crate::ui::state::{Page, Run};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// So long is recorded on after the last beat: what rings is part of the take.
const TAIL: Seconds = Seconds(2.0);
/// A song stopped this near its end was played to its end.
const NEAR_END: Beats = Beats(0.25);
/// Blocks between two readings of the meter that are shown.
const SHOWN_EVERY: u32 = 3;
/// So often what there is of a take is written down, should the page be left.
const WRITTEN_EVERY: Seconds = Seconds(2.0);
const NO_SOUND: &str = key!("The sound did not start, and a take is recorded to it. Press play once, then try again.");
const OTHER_SONG: &str = key!("The song was changed while you played: this take was not kept.");
const NOTHING: &str =
    key!("Nothing came from the microphone. Look for a switch that mutes it, or choose another one in the browser.");

/// What is going on.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Stage {
    /// The microphone is off.
    Off,
    /// Sound and microphone are being started.
    Waiting,
    /// It is heard, and nothing is recorded.
    Armed,
    /// A take is being recorded.
    Recording,
}

/// What is being recorded.
#[derive(Debug, Clone)]
struct Plan {
    song: SongId,
    bars: LoopBars,
    end: Beats,
    key: String,
    chunks: u64,
    /// How long the take was when it was last written down, and whether that is still going on.
    written: Seconds,
    writing: bool,
    /// Whether the solo was silent before.
    was_muted: bool,
    /// Whether the song has begun to run.
    began: bool,
}

/// Recording takes, as long as the solo is looked at.
#[derive(Clone, Copy)]
pub(super) struct Booth {
    studio: Studio,
    page: Page,
    pub(super) stage: RwSignal<Stage>,
    pub(super) fault: RwSignal<Option<String>>,
    pub(super) level: RwSignal<Level>,
    pub(super) facts: RwSignal<MicFacts>,
    /// How long the take is by now.
    pub(super) length: RwSignal<Seconds>,
    plan: StoredValue<Option<Plan>>,
    recorder: StoredValue<Option<Recorder>>,
    meter: StoredValue<(Meter, u32)>,
    microphone: StoredValue<Option<Microphone>, LocalStorage>,
    wake: StoredValue<Wake, LocalStorage>,
    /// Tells a microphone from one that was given up.
    turn: StoredValue<u32>,
}

impl Booth {
    pub(super) fn new(studio: Studio) -> Self {
        let booth = Self {
            studio,
            page: studio.page,
            stage: RwSignal::new(Stage::Off),
            fault: RwSignal::new(None),
            level: RwSignal::new(Level::default()),
            facts: RwSignal::new(MicFacts::default()),
            length: RwSignal::new(Seconds::default()),
            plan: StoredValue::new(None),
            recorder: StoredValue::new(None),
            meter: StoredValue::new((Meter::default(), 0)),
            microphone: StoredValue::new_local(None),
            wake: StoredValue::new_local(Wake::default()),
            turn: StoredValue::new(0),
        };
        on_cleanup(move || {
            booth.finish();
            booth.turn.try_update_value(|turn| *turn += 1);
            booth.microphone.try_update_value(Option::take);
            booth.wake.try_with_value(Wake::release);
        });
        booth
    }

    /// Sets the microphone up. Call it from a click or a key.
    pub(super) fn arm(self) {
        self.disarm();
        let page = self.page;
        let Some(waking) = page.playing.wake() else { return };
        self.stage.set(Stage::Waiting);
        self.fault.set(None);
        let turn = self.turn.get_value();
        spawn_local(async move {
            let sounds = waking.await == AudioState::Running;
            if self.turn.try_get_value() != Some(turn) {
                return;
            }
            let Some(context) = page.playing.context().filter(|_| sounds) else {
                return self.fail(look(NO_SOUND).to_owned());
            };
            let rate = SampleRate(f64::from(context.sample_rate()));
            let on_block = move |block: Block| self.hear(turn, rate, &block);
            let on_gone = move |error: MicError| {
                // What was recorded until now is kept.
                self.finish();
                self.fail(tell(&error.said()));
            };
            let opened = Microphone::join(context, on_block, on_gone).await;
            if self.turn.try_get_value() != Some(turn) {
                return;
            }
            match opened {
                Ok(microphone) => {
                    self.facts.set(microphone.facts());
                    self.microphone.set_value(Some(microphone));
                    self.wake.with_value(Wake::hold);
                    self.stage.set(Stage::Armed);
                }
                Err(error) => self.fail(tell(&error.said())),
            }
        });
    }

    /// Turns the microphone off.
    pub(super) fn disarm(self) {
        self.finish();
        self.turn.update_value(|turn| *turn += 1);
        self.microphone.set_value(None);
        self.wake.with_value(Wake::release);
        self.meter.set_value((Meter::default(), 0));
        self.level.set(Level::default());
        self.stage.set(Stage::Off);
    }

    fn fail(self, words: String) {
        self.disarm();
        self.fault.set(Some(words));
    }

    /// The bars that are recorded: those that are looped, or all.
    pub(super) fn bars(self) -> Option<LoopBars> {
        let bars = self.page.song.with(|song| song.as_ref().map(|song| song.bars.len()))?;
        let all = LoopBars {
            from: 0,
            to: bars.checked_sub(1)?,
        };
        let looped = self.page.desk.with(|d| d.looped);
        Some(looped.and_then(|looped| looped.within(bars)).unwrap_or(all))
    }

    /// Counts in and records. Call it from a click or a key, with the microphone set up.
    pub(super) fn record(self) {
        let page = self.page;
        let Some((song, bars)) = page.song.get_untracked().zip(untrack(|| self.bars())) else {
            return;
        };
        let Some(stretch) = playing::stretch(&song, bars) else {
            return;
        };
        let rate = self.microphone.with_value(|m| m.as_ref().map(Microphone::rate));
        let Some(rate) = rate else { return };
        playing::stop(page);
        playing::give_back(page);
        // Takes lie under the song as it is delivered.
        if page.desk.with_untracked(|d| d.speed != 100) {
            page.act(Command::Speed(100));
        }
        self.fault.set(None);
        self.length.set(Seconds::default());
        self.meter.update_value(|(meter, _)| meter.reset());
        self.recorder.set_value(Some(Recorder::new(rate)));
        self.plan.set_value(Some(Plan {
            song: page.work.with_untracked(|w| w.song),
            bars,
            end: stretch.end,
            key: Vault::fresh_key(),
            chunks: 0,
            written: Seconds::default(),
            writing: false,
            was_muted: page.desk.with_untracked(|d| d.rehearsal.muted),
            began: false,
        }));
        self.stage.set(Stage::Recording);
        // Who plays the solo does not want it in the microphone.
        rehearsing::change(page, |r| r.muted = true);
        playing::recite(page, stretch.start, 1);
    }

    fn hear(self, turn: u32, rate: SampleRate, block: &Block) {
        if self.turn.try_get_value() != Some(turn) {
            return;
        }
        let level = self.meter.try_update_value(|(meter, heard)| {
            *heard += 1;
            let level = meter.take(&block.samples, rate);
            heard.is_multiple_of(SHOWN_EVERY).then_some(level)
        });
        if let Some(level) = level.flatten() {
            self.level.set(level);
        }
        let full = self.recorder.try_update_value(|recorder| {
            recorder
                .as_mut()
                .map(|r| (r.take(block.at, &block.samples), r.length()))
        });
        let Some(Some((chunks, length))) = full else { return };
        if (length.0 - self.length.get_untracked().0).abs() >= 0.5 {
            self.length.set(length);
        }
        for chunk in chunks {
            self.put_away(chunk);
        }
        self.write_down(length);
        self.follow(rate, block.at);
    }

    /// Writes down what there is of the take, so that it outlives the page.
    #[allow(clippy::cast_precision_loss)] // samples of a few minutes
    fn write_down(self, length: Seconds) {
        let due = |plan: &Plan| plan.began && !plan.writing && length - plan.written >= WRITTEN_EVERY;
        let Some(plan) = self.plan.get_value().filter(due) else {
            return;
        };
        let Some(((at, frame), (_, pace))) = self.page.playing.told().zip(untrack(|| self.studio.song())) else {
            return;
        };
        let known = self.recorder.with_value(|recorder| {
            let recorder = recorder.as_ref()?;
            let heard = recorder.so_far(pace.time(at), frame as f64)?;
            Some((heard, recorder.rest().to_vec()))
        });
        let Some((heard, rest)) = known else { return };
        let delay = self.page.desk.with_untracked(|d| d.delay);
        let begun = Begun::new(plan.song, plan.bars, delay, heard);
        self.mark_written(|plan| (plan.written, plan.writing) = (length, true));
        let vault = self.studio.vault.get_value();
        spawn_local(async move {
            vault.keep_begun(&plan.key, &begun, plan.chunks, &rest).await;
            self.mark_written(|plan| plan.writing = false);
        });
    }

    fn mark_written(self, mark: impl FnOnce(&mut Plan)) {
        self.plan.try_update_value(|plan| plan.as_mut().map(mark));
    }

    /// Ends the take when the song has ended.
    #[allow(clippy::cast_precision_loss)] // samples of a few minutes
    fn follow(self, rate: SampleRate, heard: f64) {
        let (Some(plan), Some((at, frame))) = (self.plan.get_value(), self.page.playing.told()) else {
            return;
        };
        let stopped = self.page.playing.run.get_untracked() == Run::Stopped;
        if !plan.began {
            self.plan.update_value(|plan| {
                if let Some(plan) = plan {
                    plan.began = true;
                }
            });
        }
        if stopped && at < plan.end - NEAR_END {
            return self.finish();
        }
        if at >= plan.end && !stopped {
            playing::end_recital(self.page);
        }
        let Some((_, pace)) = untrack(|| self.studio.song()) else {
            return;
        };
        let rest = pace.time(plan.end) - pace.time(at);
        if heard >= frame as f64 + rate.samples(rest + TAIL) {
            self.finish();
        }
    }

    /// Keeps the next chunk of the take.
    fn put_away(self, chunk: Vec<u8>) {
        let Some((key, number)) = self
            .plan
            .try_update_value(|plan| {
                let plan = plan.as_mut()?;
                plan.chunks += 1;
                Some((plan.key.clone(), plan.chunks - 1))
            })
            .flatten()
        else {
            return;
        };
        let (vault, studio) = (self.studio.vault.get_value(), self.studio);
        spawn_local(async move {
            if vault.keep(&key, number, &chunk).await == Err(VaultError::NoRoom) {
                studio.unkept.update(|unkept| {
                    if !unkept.contains(&key) {
                        unkept.push(key);
                    }
                });
            }
        });
    }

    /// Ends the take and keeps what there is of it.
    #[allow(clippy::cast_precision_loss)] // samples of a few minutes
    pub(super) fn finish(self) {
        let recorder = self.recorder.try_update_value(Option::take).flatten();
        let plan = self.plan.try_get_value().flatten();
        let (Some(recorder), Some(plan)) = (recorder, plan) else {
            return;
        };
        let page = self.page;
        let (told, song) = (page.playing.told(), untrack(|| self.studio.song()));
        playing::end_recital(page);
        rehearsing::change(page, |r| r.muted = plan.was_muted);
        // The view may be going away.
        self.stage.try_set(Stage::Armed);
        let heard = song
            .zip(told.filter(|_| plan.began))
            .and_then(|((song, pace), (at, frame))| {
                let (heard, last) = recorder.finish(pace.time(at), frame as f64)?;
                Some((heard, last, song, pace))
            });
        if let Some((heard, last, song, pace)) = heard {
            if page.work.with_untracked(|w| w.song) == plan.song {
                self.put_away(last);
                let delay = page.desk.with_untracked(|d| d.delay);
                cut_off::forget(plan.key.clone());
                self.studio.change(None, |takes| {
                    takes.add(heard, plan.key, plan.bars, delay, &song, &pace);
                });
            } else {
                cut_off::forget(plan.key);
                page.say(look(OTHER_SONG));
            }
        } else if page.desk.with_untracked(|d| d.view) == View::Solo {
            self.fault.try_set(Some(look(NOTHING).to_owned()));
        }
        self.plan.try_update_value(Option::take);
    }
}
