//! A session: the work, the desk, and the history of the work.

mod past;

use super::command::{ArcPoint, Command, Revised};
use super::compare::Compared;
use super::desk::{Desk, SPEEDS};
use super::history::History;
use super::lineage::MOST_STARS;
use super::passes::Chosen;
use super::rehearsal::Rehearsal;
use super::shelf::SongId;
use super::work::Work;
use crate::solo::request::{Blend, Request};
use crate::steel::StringSet;
use past::Past;
use std::sync::Arc;

/// The highest fret one can ask for.
pub const LAST_FRET: u8 = 24;

/// What the user is doing.
#[derive(Debug, Clone)]
pub struct Session {
    work: Work,
    desk: Desk,
    history: History<Past>,
    /// What the next new song is named.
    fresh: SongId,
}

impl Session {
    /// A session with this work on this desk, and nothing to undo. New songs are named from 1 on.
    #[must_use]
    pub fn new(work: Work, desk: Desk) -> Self {
        Self::naming(work, desk, SongId::default().next())
    }

    /// The same, with new songs named from `fresh` on; this work too, if it has no name.
    #[must_use]
    pub fn naming(work: Work, desk: Desk, fresh: SongId) -> Self {
        let mut session = Self {
            work,
            desk,
            history: History::default(),
            fresh,
        };
        session.work.song = session.named(session.work.song);
        session
    }

    /// A song's name; a new one where it has none.
    fn named(&mut self, song: SongId) -> SongId {
        if song != SongId::NONE {
            return song;
        }
        let fresh = self.fresh;
        self.fresh = fresh.next();
        fresh
    }

    /// Renames a song, also in what can be undone: it goes on as a song of its own.
    fn refile(&mut self, from: SongId) {
        let to = self.named(SongId::NONE);
        let rename = |song: &mut SongId| {
            if *song == from {
                *song = to;
            }
        };
        rename(&mut self.work.song);
        self.history.states_mut().for_each(|state| rename(&mut state.song));
    }

    /// The work in hand.
    #[must_use]
    pub fn work(&self) -> &Work {
        &self.work
    }

    /// The desk it lies on.
    #[must_use]
    pub fn desk(&self) -> &Desk {
        &self.desk
    }

    /// Whether there is something to undo.
    #[must_use]
    pub fn can_undo(&self) -> bool {
        self.history.can_go_back()
    }

    /// Whether there is something to do again.
    #[must_use]
    pub fn can_redo(&self) -> bool {
        self.history.can_go_forward()
    }

    /// Does what the user asks.
    pub fn apply(&mut self, command: Command) {
        match command {
            Command::Undo => self.step(History::back),
            Command::Redo => self.step(History::forward),
            Command::Show(view) => self.desk.view = view,
            Command::OpenLesson(lesson) => self.desk.lesson = lesson,
            Command::Writing(open) => self.desk.writing = open,
            Command::Light(theme) => self.desk.theme = theme,
            Command::Turn(side) => self.desk.side = side,
            Command::Name(naming) => self.desk.naming = naming,
            Command::Mix(levels) => self.desk.levels = levels.sane(),
            Command::Speed(speed) => self.desk.speed = speed.clamp(*SPEEDS.start(), *SPEEDS.end()),
            Command::Wire(mapping) => self.desk.midi = mapping,
            Command::Delay(delay) => self.desk.delay = delay,
            Command::WishDelivery(wishes) => self.desk.delivery = wishes.sane(),
            Command::CountIn(on) => self.desk.count_in = on,
            Command::Loop(looped) => self.desk.looped = looped,
            Command::Choose(chosen) => self.choose(chosen),
            Command::Compare(with) => {
                let with = with.filter(|with| *with != self.desk.chosen);
                self.desk.compared = Compared {
                    with,
                    ..Compared::default()
                };
            }
            Command::HearOther(other) => self.desk.compared.hears_other = other && self.desk.compared.with.is_some(),
            Command::Rehearse(rehearsal) => self.rehearse(rehearsal.sane()),
            Command::Refile(song) => self.refile(song),
            Command::Round => self.desk.speed = self.desk.rehearsal.round(self.desk.speed),
            on_the_work => self.change(on_the_work),
        }
    }

    /// Looks at a pass. If it is the other one of a comparison, the two change places.
    fn choose(&mut self, chosen: Chosen) {
        let before = std::mem::replace(&mut self.desk.chosen, chosen);
        let compared = &mut self.desk.compared;
        compared.hears_other = false;
        if compared.with == Some(chosen) && before != chosen {
            compared.with = Some(before);
        }
    }

    fn rehearse(&mut self, rehearsal: Rehearsal) {
        let before = std::mem::replace(&mut self.desk.rehearsal, rehearsal);
        if rehearsal.climbing && (!before.climbing || before.ladder != rehearsal.ladder) {
            self.desk.speed = rehearsal.ladder.from;
            self.desk.rehearsal.rounds_here = 0;
        }
    }

    fn step(&mut self, walk: fn(&mut History<Past>, Past) -> Result<Past, Past>) {
        let now = Past::of(self.work.clone(), self.history.last());
        let (Ok(state) | Err(state)) = walk(&mut self.history, now);
        let work = state.into_work();
        self.desk.chosen = still_chosen(self.desk.chosen, &self.work, &work);
        if work.kept.len() < self.work.kept.len() {
            self.desk.compared = Compared::default();
        }
        self.work = work;
    }

    /// A change of the work; one that changes nothing leaves no trace in the history.
    fn change(&mut self, command: Command) {
        let run = run_of(&command);
        let new_song = matches!(command, Command::OpenSong { .. } | Command::OpenHeard { .. });
        let revised = matches!(command, Command::Revise { .. });
        let mut next = self.work.clone();
        alter(&mut next, command);
        if next == self.work {
            return;
        }
        next.song = self.named(next.song);
        if new_song {
            self.desk.looped = None;
        }
        if next.kept.len() < self.work.kept.len() || new_song {
            // Places of kept passes have moved.
            self.desk.compared = Compared::default();
        }
        self.desk.compared.hears_other = false;
        self.desk.chosen = match self.desk.chosen {
            _ if revised && !next.kept.is_empty() => Chosen::Kept(next.kept.len() - 1),
            // A new wish is to be heard, not the kept pass.
            Chosen::Kept(_) if next.request != self.work.request => Chosen::default(),
            chosen => still_chosen(chosen, &self.work, &next),
        };
        let before = std::mem::replace(&mut self.work, next);
        let before = Past::of(before, self.history.last());
        self.history.keep(before, run);
    }
}

/// The pass that was looked at, where it lies now; if it is gone, the nearest one it came from, else a draft.
fn still_chosen(chosen: Chosen, before: &Work, after: &Work) -> Chosen {
    let Chosen::Kept(index) = chosen else { return chosen };
    let way = before.kept.way_to(index);
    let left = way.iter().rev().filter_map(|i| before.kept.get(*i));
    left.filter_map(|kept| after.kept.index_of(kept.id))
        .next()
        .map_or_else(Chosen::default, Chosen::Kept)
}

/// The run a change belongs to, kept apart by what is changed.
fn run_of(command: &Command) -> Option<u64> {
    let (kind, run) = match command {
        Command::WriteChart { run, .. } => (0, *run),
        Command::AskFret { run, .. } => (1, *run),
        Command::AskDensity { run, .. } => (2, *run),
        Command::Annotate { run, .. } => (3, *run),
        Command::Tune { run, .. } => (4, *run),
        Command::AskBlend { run, .. } => (5, *run),
        Command::Takes { run, .. } => (6, *run),
        _ => return None,
    };
    run.map(|run| run.wrapping_mul(8).wrapping_add(kind))
}

/// A mixture with an attitude, as it may be asked: some of another one, not all of it.
fn mixed(blend: Blend, feel: &str) -> Option<Blend> {
    let part = blend.part.clamp(0.0, 1.0);
    (part > 0.0 && blend.with != feel).then_some(Blend { part, ..blend })
}

/// Forgets what names changes and strings of the old instrument.
fn forget_numbers(request: &mut Request) {
    request.avoided.clear();
    request.favoured = StringSet::EMPTY;
}

fn alter(work: &mut Work, command: Command) {
    let request = &mut work.request;
    match command {
        Command::WriteChart { text, .. } => work.chart = text.into(),
        Command::OpenSong { chart, feel } => {
            if *work.chart != *chart {
                work.song = SongId::NONE;
            }
            work.chart = chart.into();
            work.recording = None;
            work.takes = Arc::default();
            // They were those of the old song.
            request.bars = None;
            if let Some(feel) = feel {
                request.feel = feel;
            }
        }
        Command::OpenHeard { chart, recording } => {
            alter(work, Command::OpenSong { chart, feel: None });
            work.recording = Some(recording);
        }
        Command::ChooseInstrument(id) => {
            work.rig.instrument = id;
            forget_numbers(request);
        }
        Command::HasChange { name, has } => work.rig.set_has(&name, has),
        Command::Alter { altered, moved } => {
            work.rig.alter(*altered, moved, &work.kept);
            if moved {
                forget_numbers(request);
            }
        }
        Command::AddInstrument(given) => {
            work.rig.add(*given);
            forget_numbers(request);
        }
        Command::DiscardInstrument => {
            work.rig.discard();
            forget_numbers(request);
        }
        Command::TakeWay { choice, option } => work.rig.set_way(&choice, &option),
        Command::Tune { tuning, .. } => work.rig.tune(*tuning),
        Command::AskFeel(feel) => {
            // An attitude mixed into itself is no mixture.
            request.blend = request.blend.take().filter(|blend| blend.with != feel);
            request.feel = feel;
        }
        Command::AskBlend { blend, .. } => request.blend = blend.and_then(|blend| mixed(blend, &request.feel)),
        Command::SaveAttitude(name) => work.attitudes.save(&name, request),
        Command::TakeAttitude(name) => {
            if let Some(own) = work.attitudes.named(&name) {
                (request.feel, request.blend) = (own.feel.clone(), own.blend.clone());
            }
        }
        Command::RenameAttitude { from, to } => work.attitudes.rename(&from, &to),
        Command::DropAttitude(name) => work.attitudes.drop_named(&name),
        Command::AskFret { point, fret, .. } => {
            let place = match point {
                ArcPoint::Start => &mut request.start_fret,
                ArcPoint::High => &mut request.high_fret,
                ArcPoint::End => &mut request.end_fret,
            };
            *place = fret.min(LAST_FRET);
        }
        Command::AskDensity { density, .. } if density.is_finite() => request.density = density.clamp(0.0, 1.0),
        Command::AskEntry(entry) => request.entry = entry,
        Command::AskSlants(slants) => request.slants = slants,
        Command::AskEnding(ending) => request.ending = ending,
        Command::AskChange { change, wanted } => {
            request.avoided.retain(|id| *id != change);
            if !wanted {
                request.avoided.push(change);
            }
        }
        Command::AskString { string, favoured } => {
            let others = request.favoured.without(string);
            request.favoured = if favoured { others.with(string) } else { others };
        }
        Command::AskLevel(level) => request.level = level,
        Command::AskMotif(motif) => request.motif = motif,
        Command::AskMelody(melody) => request.melody = melody,
        Command::AskBars(bars) => request.bars = bars.filter(|bars| !bars.is_empty()),
        Command::AskAnew => request.seed = request.seed.wrapping_add(1),
        Command::Keep(kept) => {
            work.kept.keep((*kept).clone());
        }
        Command::Record(recording) => work.recording = recording,
        Command::Takes { takes, .. } => work.takes = takes,
        Command::Revise { of, pass, words } => {
            let from = match of {
                Revised::Kept(id) => id,
                Revised::Draft(kept) => work.kept.keep((*kept).clone()),
            };
            work.kept.derive(from, (*pass).clone(), words);
        }
        Command::Lock { pass, index, locked } => work.kept.amend(pass, |kept| {
            if let Some(action) = kept.pass.moves.get_mut(index) {
                Arc::make_mut(action).locked = locked;
            }
        }),
        Command::Star { pass, stars } => work.kept.amend(pass, |kept| kept.stars = stars.min(MOST_STARS)),
        Command::Annotate { pass, note, .. } => work.kept.amend(pass, |kept| kept.note = note),
        Command::LetGo(index) => work.kept.let_go(index),
        Command::Restore(kept) => *work = *kept,
        _ => {}
    }
}

#[cfg(test)]
mod tests;
