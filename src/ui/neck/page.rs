//! The neck as a place of its own: choose a chord of the song, see and hear where it lives.

use super::NeckView;
use super::chords::{Choice, Chords};
use super::places::Places;
use super::ringing::Ringing;
use crate::app::neck_view::Hold;
use crate::exchange::tab::fret_text;
use crate::solo::{Performance, notes};
use crate::sound::LiveEvent;
use crate::steel::hold::{Hold as Home, home_near};
use crate::steel::{Fret, Instrument, Lie, StringSet};
use crate::theory::{Beats, Timeline};
use crate::ui::language::tell;
use crate::ui::later::Later;
use crate::ui::state::Lasting;
use leptos::prelude::*;
use std::sync::Arc;

/// The neck with the song's chords. While `position` moves over `performance` it shows what is played;
/// otherwise it is the user's to try. `on_hear` is called with the strings to pluck and what is held, `on_bend`
/// with what moves under strings that may still ring.
#[component]
pub fn NeckPage(
    #[prop(into)] timeline: Signal<Arc<Timeline>>,
    #[prop(into)] instrument: Signal<Arc<Instrument>>,
    #[prop(into)] performance: Signal<Option<Arc<Performance>>>,
    #[prop(into)] position: Signal<Option<Beats>>,
    #[prop(into)] on_hear: Callback<(StringSet, Hold)>,
    #[prop(into)] on_bend: Callback<LiveEvent>,
) -> impl IntoView {
    let chosen = RwSignal::new(Choice::Song(0));
    let own = RwSignal::new(first_hold(&instrument.get_untracked(), &timeline.get_untracked()));
    let picked = Ringing::new();
    // Another instrument has other changes: start from released.
    Effect::new(move || {
        let changes = instrument.with(|i| i.changes.len());
        if own.with_untracked(|h| h.travels.len()) != changes {
            own.update(|h| *h = instrument.with_untracked(|i| Hold::at(h.bar, i)));
        }
    });
    let playing = Memo::new(move |_| position.get().zip(performance.get()).map(|(at, p)| (at, Played(p))));
    let sounding = Memo::new(move |_| {
        performance
            .get()
            .map(|p| instrument.with(|i| timeline.with(|t| Arc::new(notes(&p, i, t.tempo)))))
    });
    // The buttons of chords and places are drawn anew with every song, so what they listen to forgets those that are gone.
    let hold =
        Lasting::memo(move |_| playing.with(|p| p.as_ref().map_or_else(|| own.get(), |(at, p)| Hold::of(&p.0, *at))));
    let ringing = Memo::new(move |_| match playing.with(|p| p.as_ref().map(|(at, _)| *at)) {
        None => picked.strings().get(),
        Some(at) => sounding.with(|all| {
            all.iter()
                .flat_map(|all| all.iter())
                .filter(|n| n.sounds_at(at))
                .map(|n| n.string())
                .collect()
        }),
    });
    let span = Lasting::memo(move |_| match playing.with(|p| p.as_ref().map(|(at, _)| *at)) {
        Some(at) => timeline.with(|t| t.span_at(at).copied()),
        None => timeline.with(|t| chosen.get().span(t)),
    });
    let go = Callback::new(move |home: Home| {
        own.set(instrument.with_untracked(|i| Hold::holding(home.place, i)));
        picked.pluck(home.strings);
        on_hear.run((home.strings, own.get_untracked()));
    });
    // A chord is shown at its home nearest to where the hand is.
    let choose = Callback::new(move |choice: Choice| {
        chosen.set(choice);
        let chord = timeline.with_untracked(|t| choice.span(t)).map(|s| s.chord);
        let bar = own.with_untracked(|h| h.bar);
        if let Some(home) = chord.and_then(|c| instrument.with_untracked(|i| home_near(i, &c, bar))) {
            go.run(home);
        }
    });
    let stance = move || hold.with(|h| instrument.with(|i| tell(&h.stance_name(i))));
    view! {
        <section class="neck-page" aria-label=say!("Neck")>
            <Chords timeline shown=span choose />
            <Later><Places instrument span hold go /></Later>
            <p class="neck-stance">
                <b>{move || fret_words(hold.with(Hold::lie))}</b>
                <span>{stance}</span>
            </p>
            <Later>
                <NeckView
                    instrument
                    span
                    hold
                    ringing
                    on_bar=move |bar| {
                        own.update(|h| *h = h.clone().straight(bar));
                        on_bend.run(LiveEvent::Bar { fret: bar });
                    }
                    on_press=move |(change, travel)| {
                        own.update(|h| *h = h.clone().with(change, travel));
                        on_bend.run(LiveEvent::Press { change, travel });
                    }
                    on_pluck=move |strings| {
                        picked.pluck(strings);
                        on_hear.run((strings, own.get_untracked()));
                    }
                />
            </Later>
            <p class="neck-key small">
                <span><i class="plate-key root">"1"</i>{say!("root")}</span>
                <span><i class="plate-key">"3"</i>{say!("chord tone")}</span>
                <span><i class="plate-key tension">"6"</i>{say!("not in the chord")}</span>
                <span>{say!("Large: it sounds")}</span>
            </p>
        </section>
    }
}

/// The first chord of the song at a home in the middle of the neck.
fn first_hold(instrument: &Instrument, timeline: &Timeline) -> Hold {
    const MIDDLE: Fret = Fret(5.0);
    let first = timeline
        .spans
        .first()
        .and_then(|s| home_near(instrument, &s.chord, MIDDLE));
    first.map_or_else(
        || Hold::at(MIDDLE, instrument),
        |home| Hold::holding(home.place, instrument),
    )
}

/// A performance compared by identity: it is not changed while it is played.
#[derive(Clone)]
struct Played(Arc<Performance>);

impl PartialEq for Played {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

fn fret_words(bar: Lie) -> String {
    if !bar.is_straight() {
        // Between the outer strings, to a tenth.
        let way = if bar.far > bar.near {
            say!("forward")
        } else {
            say!("reverse")
        };
        say!(
            "Slanted {way}, frets {far} to {near}",
            way,
            far = fret_text(bar.far),
            near = fret_text(bar.near)
        )
    } else if bar.far.0 < 0.5 {
        say!("Open¦strings without the bar").to_owned()
    } else {
        say!("Fret {far}", far = fret_text(bar.far))
    }
}
