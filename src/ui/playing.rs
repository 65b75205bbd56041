//! Playing: what the audio is told, and where the song is between its reports.
//!
//! *Invariant:* the place shown follows the sound; between two reports it runs on by the clock, never far.

mod audition;
mod recital;

pub(super) use audition::{audition, auditioning, stop_audition};
pub(super) use recital::{end_recital, recite};

use super::state::{Page, Run};
use crate::app::neck_view::Hold;
use crate::app::sections::looped_at_first;
use crate::app::{Command as Act, LoopBars};
use crate::platform::audio::{Audio, AudioState};
use crate::platform::frames::each_frame;
use crate::sound::{Command, Decibels, LiveEvent, Part, Score, Speed};
use crate::steel::StringSet;
use crate::theory::{Beats, Seconds, Timeline};
use crate::ui::language::{known, tell};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::ops::Range;
use std::sync::Arc;

/// How long the place may run on without a report before it waits for one.
const RUN_ON: Seconds = Seconds(0.25);
/// How hard a tap on the neck plucks.
const PLUCK: f64 = 0.7;

/// Connects the sound to the page: it is given what changes, and what it reports is shown.
pub(super) fn connect(page: Page) {
    let playing = page.playing;
    let on_report = move |report| {
        if let Some(words) = playing.hear(report) {
            page.say(known(&words));
        }
        if playing.run.get_untracked() == Run::Stopped {
            audition::end(page);
        }
    };
    let on_state = move |state: AudioState| {
        let words = state.said();
        if !words.is_empty() {
            page.say(tell(&words));
        }
        if state.is_silenced() || state == AudioState::Mending {
            playing.run.set(Run::Stopped);
        }
        playing.state.set(state);
    };
    playing.audio.set_value(Some(Audio::new(on_report, on_state)));

    Effect::new(move || {
        if let Some(score) = page.score.get() {
            playing.load(&score);
        }
    });
    let turned = Memo::new(move |_| {
        let (here, there) = page.balance.get()?;
        Some(if page.desk.with(|d| d.compared.hears_other) {
            there
        } else {
            here
        })
    });
    let mix = Memo::new(move |_| {
        // What is lent is to be heard.
        let own = page.lent.with(Option::is_none);
        let turned = turned.get().filter(|_| own).unwrap_or(Decibels(0.0));
        page.desk.with(|d| {
            let mut mix = d.levels.mix;
            if !own && page.work.with(|w| w.recording.is_some()) {
                // The band is muted for the player's recording, which does not play with what is lent.
                for part in [Part::Drums, Part::Bass, Part::Rhythm, Part::Organ] {
                    mix.fader_mut(part).muted = false;
                }
            }
            // Who plays the solo wants it out of the way, whatever its fader says.
            mix.solo.muted |= own && d.rehearsal.muted;
            // Of two compared solos the louder is turned down.
            mix.solo.level = Decibels(mix.solo.level.0 + turned.0);
            mix
        })
    });
    Effect::new(move || playing.tell(&Command::Mix(mix.get())));
    let amp = Memo::new(move |_| page.desk.with(|d| d.levels.amp()));
    Effect::new(move || playing.tell(&Command::Amp(amp.get())));
    // Told when they change, not whenever anything of the desk does.
    let speed = Memo::new(move |_| page.desk.with(|d| d.speed));
    Effect::new(move || playing.tell(&Command::Speed(Speed(f64::from(speed.get()) / 100.0))));
    let bars = Memo::new(move |_| counted_bars(page));
    Effect::new(move || playing.tell(&Command::CountIn { bars: bars.get() }));
    let looped = Memo::new(move |_| {
        let song = page.heard.get()?;
        page.desk.with(|d| d.looped).and_then(|l| stretch(&song, l))
    });
    Effect::new(move || playing.tell(&Command::Loop(looped.get())));
    // Another song, another place.
    Effect::new(move || {
        let length = page.heard.with(|s| s.as_ref().map_or(Beats::ZERO, |s| s.length()));
        if playing.at.get_untracked() >= length {
            playing.at.set(Beats::ZERO);
        }
    });
}

fn count_in(page: Page) -> Command {
    Command::CountIn {
        bars: counted_bars(page),
    }
}

/// How many bars are counted before the song.
fn counted_bars(page: Page) -> u8 {
    u8::from(page.desk.with(|d| d.count_in) && !page.playing.at_once.get())
}

/// The beats of a stretch of bars.
pub(super) fn stretch(song: &Timeline, looped: LoopBars) -> Option<Range<Beats>> {
    let LoopBars { from, to } = looped.within(song.bars.len())?;
    let last = song.bars.get(to)?;
    Some(song.bars.get(from)?.start..last.start + last.metre.bar())
}

/// Plays from where we are, or stops. Call it from a click or a key.
pub(super) fn toggle(page: Page) {
    if page.playing.run.get_untracked() == Run::Stopped {
        play(page);
    } else {
        stop(page);
    }
}

/// Starts playing from where we are.
pub(super) fn play(page: Page) {
    let playing = page.playing;
    let Some(song) = page.heard.get_untracked() else {
        page.say(say!(
            "There is nothing to play yet: write a few bars in the chart, such as 1 4 5 1."
        ));
        return;
    };
    let Some(audio) = playing.audio.get_value() else { return };
    let mut from = playing.at.get_untracked();
    if from >= song.length() {
        from = Beats::ZERO;
    }
    if let Some(around) = page.desk.with_untracked(|d| d.looped).and_then(|l| stretch(&song, l))
        && !(around.start <= from && from < around.end)
    {
        from = around.start;
    }
    playing.at.set(from);
    playing.fix.set_value(None);
    playing.run.set(Run::Starting);
    let started = audio.start();
    playing.tell(&Command::Play { from });
    spawn_local(async move {
        started.await;
    });
    follow(page, song);
}

/// Stops.
pub(super) fn stop(page: Page) {
    page.playing.run.set(Run::Stopped);
    page.playing.tell(&Command::Stop);
    audition::end(page);
}

/// Goes to a moment of the song; playing goes on from there.
pub(super) fn seek(page: Page, at: Beats) {
    let playing = page.playing;
    audition::end(page);
    playing.at.set(at.max(Beats::ZERO));
    if playing.run.get_untracked() != Run::Stopped {
        playing.fix.set_value(None);
        // Who is already playing needs no count.
        playing.tell(&Command::CountIn { bars: 0 });
        playing.tell(&Command::Play { from: at });
        playing.tell(&count_in(page));
    }
}

/// Goes to a moment and plays from there.
pub(super) fn play_from(page: Page, at: Beats) {
    if page.playing.run.get_untracked() == Run::Stopped {
        page.playing.at.set(at.max(Beats::ZERO));
        play(page);
    } else {
        seek(page, at);
    }
}

/// Sounds strings by hand, while the song stands still. Call it from a click or a key.
pub(super) fn pluck(page: Page, strings: StringSet, hold: &Hold) {
    let Some(audio) = page.playing.audio.get_value() else {
        return;
    };
    let started = audio.start();
    let live = |event| page.playing.tell(&Command::Live(event));
    page.playing.laid.set_value(hold.bar);
    live(LiveEvent::Lay { lie: hold.lie() });
    let changes = page
        .score
        .with_untracked(|s| s.iter().flat_map(|s| s.instrument.change_ids()).collect::<Vec<_>>());
    for change in changes {
        live(LiveEvent::Press {
            change,
            travel: hold.travel(change),
        });
    }
    live(LiveEvent::Grip {
        strings,
        strength: PLUCK,
    });
    spawn_local(async move {
        started.await;
    });
}

/// Plays `score` in place of the work, from its start. Call it from a click or a key.
pub(super) fn play_lent(page: Page, score: &Arc<Score>) {
    lend(page, score);
    page.playing.at.set(Beats::ZERO);
    play(page);
}

/// Plays `score` in place of the work, from its start and without a count. Call it from a click or a key.
pub(super) fn play_lent_at_once(page: Page, score: &Arc<Score>) {
    lend(page, score);
    page.playing.at_once.set(true);
    page.playing.at.set(Beats::ZERO);
    page.playing.tell(&count_in(page));
    play(page);
}

/// Puts `score` in the place of the work, so that the transport and the neck sound it.
pub(super) fn lend(page: Page, score: &Arc<Score>) {
    let there = page
        .lent
        .with_untracked(|l| l.as_ref().is_some_and(|l| Arc::ptr_eq(l, score)));
    stop(page);
    page.playing.at_once.set(false);
    if !there {
        // A loop counts in the bars of one song.
        page.act(Act::Loop(None));
        page.playing.load(score);
        page.lent.set(Some(Arc::clone(score)));
        page.playing.at.set(Beats::ZERO);
    }
}

/// Puts the work back in its place.
pub(super) fn give_back(page: Page) {
    if page.lent.with_untracked(Option::is_some) {
        stop(page);
        page.act(Act::Loop(None));
        page.playing.at_once.set(false);
        page.lent.set(None);
        page.playing.at.set(Beats::ZERO);
    }
}

/// Moves the bar, a pedal or a lever by hand under what rings. Before anything was plucked there is nothing to
/// bend, and the next pluck tells the sound where everything is.
pub(super) fn bend(page: Page, event: LiveEvent) {
    if let LiveEvent::Bar { fret } = event {
        page.playing.laid.set_value(fret);
    }
    page.playing.by_controller(event);
}

/// Moves the place shown with the sound until it stops.
fn follow(page: Page, song: Arc<Timeline>) {
    let playing = page.playing;
    each_frame(move |now| {
        if playing.run.get_untracked() == Run::Stopped {
            return false;
        }
        let Some(fix) = playing.fix.get_value() else {
            return true;
        };
        if playing.run.get_untracked() == Run::Sounding {
            let speed = f64::from(page.desk.with_untracked(|d| d.speed)) / 100.0;
            let gone = Seconds(((now - fix.clock) / 1000.0).clamp(0.0, RUN_ON.0));
            let tempo = Speed(speed).of(song.tempo);
            playing.at.set(fix.at + gone.at(tempo));
            if playing.trial_over() {
                stop(page);
                return false;
            }
        }
        true
    });
}

/// Loops the whole song, or stops looping.
pub(super) fn toggle_loop(page: Page) {
    let looped = match page.desk.with_untracked(|d| d.looped) {
        Some(_) => None,
        None => {
            // What was asked of the song says nothing about what is lent.
            let own = page.lent.with_untracked(Option::is_none);
            let asked = page.work.with_untracked(|w| w.request.bars.clone()).filter(|_| own);
            page.heard
                .with_untracked(|s| looped_at_first(asked.as_ref(), s.as_ref()?.bars.len()))
        }
    };
    page.act(Act::Loop(looped));
}
