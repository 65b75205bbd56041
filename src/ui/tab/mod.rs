//! Tablature on the screen: the same systems as in plain text, engraved, following what is played.

mod drawing;
mod laid;
mod signs;

pub(super) use drawing::{Tools, draw_system, times};

use super::follow::{Axis, Follow, width_of};
use super::state::Page;
use crate::app::appearance::with_chords;
use crate::app::lanes_view::Spot;
use crate::app::rehearsal::{Hidden, Limb};
use crate::exchange::tab::{Characters, Signs, System, Tab};
use crate::solo::Performance;
use crate::steel::Instrument;
use crate::theory::{Beats, Timeline};
use crate::ui::language::{look, spell};
use crate::ui::later::put_off;
use drawing::{CHARACTER, LEFT, system_height};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::ops::Range;
use std::sync::Arc;
use wasm_bindgen_futures::JsFuture;

/// Between two systems; the style sheet has the same.
const SYSTEM_GAP: f64 = 16.0;
/// How many systems are in sight at most, and how many are drawn before and after those.
const IN_SIGHT: usize = 4;
const AROUND: usize = 3;
/// The width of the copied text: what fits a printed page.
const PAGE_WIDTH: Characters = Characters(80);
const COPIED: &str = key!("The tab is copied: paste it where you like.");

/// A performance as tablature. `position` marks the column that sounds; `on_seek` hears a tap on a column,
/// unless `on_point` does.
/// For rehearsing, some bars can be `hidden` and one `limb` shown alone.
#[component]
pub fn TabSheet(
    #[prop(into)] performance: Signal<Arc<Performance>>,
    #[prop(into)] timeline: Signal<Arc<Timeline>>,
    #[prop(into)] instrument: Signal<Arc<Instrument>>,
    #[prop(into)] position: Signal<Option<Beats>>,
    #[prop(into)] on_seek: Callback<Beats>,
    #[prop(optional, into)] spots: Option<Signal<Vec<Spot>>>,
    #[prop(optional, into)] on_point: Option<Callback<Beats>>,
    #[prop(optional, into)] hidden: Option<Signal<Hidden>>,
    #[prop(optional, into)] limb: Option<Signal<Limb>>,
) -> impl IntoView {
    let page = Page::here();
    let limb = Memo::new(move |_| limb.map_or(Limb::All, |limb| limb.get()));
    let hidden = Memo::new(move |_| hidden.map_or(Hidden::Nothing, |hidden| hidden.get()));
    let spots = spots.unwrap_or_else(|| Signal::stored(Vec::new()));
    let raises = RwSignal::new(false);
    let naming = Memo::new(move |_| page.desk.with(|d| d.naming));
    let whole = Memo::new(move |_| {
        let signs = if raises.get() {
            Signs::Accidentals
        } else {
            Signs::Letters
        };
        let tab = performance.with(|p| instrument.with(|i| timeline.with(|t| Tab::of(p, i, t, signs))));
        Arc::new(timeline.with(|t| with_chords(tab, t, naming.get(), spell)))
    });
    let tab = Memo::new(move |_| match limb.get() {
        Limb::All => whole.get(),
        limb => Arc::new(whole.with(|whole| performance.with(|p| limb.tab(whole, p)))),
    });
    let has_changes = move || instrument.with(|i| !i.changes.is_empty());
    let follow = Follow::new();
    let (width, measured) = width_of(follow.scroller);
    let room = Memo::new(move |_| Characters(characters(width.get() - LEFT - 8.0)));
    // How it is broken into systems goes by the width.
    let systems = Memo::new(move |_| match measured.get() {
        true => tab.with(|t| t.systems(room.get())),
        false => Vec::new(),
    });
    let now = Memo::new(move |_| position.get().and_then(|at| tab.with(|t| t.column_at(at))));
    let height = move || tab.with(|t| system_height(t.rows.len()));

    let engraved = Memo::new(move |before: Option<&Engraved>| Engraved {
        turn: before.map_or(0, |before| before.turn + 1),
        tab: tab.get(),
        systems: Arc::new(systems.get()),
        hidden: hidden.get(),
    });
    let top = RwSignal::new(0.0);
    let seen = seen(top, Signal::derive(move || height() + SYSTEM_GAP), engraved);

    Effect::new(move || {
        let Some((bar, column)) = now.get() else { return };
        let place = systems.with(|s| {
            s.iter()
                .position(|s| s.pieces.iter().any(|p| p.bar == bar && p.columns.contains(&column)))
        });
        if let Some(index) = place {
            #[allow(clippy::cast_precision_loss)]
            follow.show(Axis::Down, (index as f64 + 0.5) * (height() + SYSTEM_GAP), 0.3, false);
        }
    });
    let tools = Tools {
        now,
        on_seek: on_point.unwrap_or(on_seek),
        spots,
    };
    let room_around = move || {
        let (seen, all) = (seen.get(), engraved.with(|e| e.systems.len()));
        let one = height() + SYSTEM_GAP;
        format!(
            "{:.0}px 0 {:.0}px",
            times(seen.start) * one,
            times(all.saturating_sub(seen.end)) * one
        )
    };
    view! {
        <div class="tab">
            <div
                class="tab-scroll"
                node_ref=follow.scroller
                tabindex="0"
                role="region"
                aria-label=say!("Tablature")
                on:wheel=move |_| follow.touched()
                on:touchmove=move |_| follow.touched()
                on:scroll=move |_| {
                    top.set(follow.scroller.get_untracked().map_or(0.0, |s| f64::from(s.scroll_top())));
                    follow.scrolled();
                }
            >
                <div style:padding=room_around>
                    <For
                        each=move || engraved.with(|engraved| seen.get().map(|index| (engraved.clone(), index)).collect::<Vec<_>>())
                        key=|(engraved, index)| (engraved.turn, *index)
                        children=move |(engraved, index)| engraved.draw(index, tools)
                    />
                </div>
            </div>
            <dl class="tab-legend">
                {move || tab.with(|t| t.legend.clone()).into_iter().map(|e| view! { <div><dt>{e.sign}</dt><dd>{e.meaning}</dd></div> }).collect_view()}
            </dl>
            <div class="tab-tools">
                <button type="button" class="do slim" on:click=move |_| copy_text(page, &tab.with_untracked(|t| t.text(PAGE_WIDTH)), COPIED)>
                    {say!("Copy as text")}
                </button>
                <label class="tick small" hidden=move || !has_changes()>
                    <input type="checkbox" on:change=move |e| raises.set(event_target_checked(&e)) />
                    {say!("Raises as # and b")}
                </label>
            {move || {
                follow
                    .let_go
                    .get()
                    .then(|| {
                        view! {
                            <button type="button" class="do slim" on:click=move |_| follow.resume()>
                                {say!("Follow")}
                            </button>
                        }
                    })
            }}
            </div>
        </div>
    }
}

/// A tab as it is drawn: other ones have other turns, so that a system that stays is not drawn anew.
#[derive(Clone)]
struct Engraved {
    turn: u64,
    tab: Arc<Tab>,
    systems: Arc<Vec<System>>,
    hidden: Hidden,
}

impl PartialEq for Engraved {
    fn eq(&self, other: &Self) -> bool {
        self.turn == other.turn
    }
}

impl Engraved {
    fn draw(&self, index: usize, tools: Tools) -> impl IntoView + use<> {
        let rows: Vec<usize> = (0..self.tab.rows.len()).collect();
        let system = self.systems.get(index);
        system.map(|system| draw_system(&self.tab, system, &rows, self.hidden, tools))
    }
}

/// The systems to draw where so much is scrolled away at the `top` and `one` is the height of a system with its gap:
/// those in sight at once, and a few more around them in a task of its own. All of them are there.
fn seen(top: RwSignal<f64>, one: Signal<f64>, engraved: Memo<Engraved>) -> Memo<Range<usize>> {
    let within = move |range: Range<usize>| {
        let all = engraved.with(|e| e.systems.len());
        range.start.min(all)..range.end.min(all)
    };
    let sight = Memo::new(move |_| {
        let first = whole_systems(top.get() / one.get());
        (engraved.with(|e| e.turn), first..first + IN_SIGHT)
    });
    let caught_up = RwSignal::new(None);
    Effect::new(move || {
        let now = sight.get();
        put_off(move || {
            // What is looked at meanwhile has a task of its own; a view that is gone has none.
            if sight.try_with_untracked(|newest| *newest == now) == Some(true) {
                caught_up.try_set(Some(now));
            }
        });
    });
    let seen = Memo::new(move |before: Option<&(u64, Range<usize>)>| {
        let (turn, sight) = sight.get();
        if caught_up.get() == Some((turn, sight.clone())) {
            return (turn, sight.start.saturating_sub(AROUND)..sight.end + AROUND);
        }
        let stays = before.filter(|(of, drawn)| *of == turn && drawn.start <= sight.start && sight.end <= drawn.end);
        stays.cloned().unwrap_or((turn, sight))
    });
    Memo::new(move |_| within(seen.get().1))
}

/// Puts text on the clipboard, and says so in these words.
pub(super) fn copy_text(page: Page, text: &str, said: &'static str) {
    let written = window().navigator().clipboard().write_text(text);
    spawn_local(async move {
        match JsFuture::from(written).await {
            Ok(_) => page.say(look(said)),
            Err(_) => page.say(say!(
                "The browser does not let this page copy. Allow it the clipboard and try again."
            )),
        }
    });
}

/// How many systems lie above a place, in twos, so that little is drawn anew while it scrolls.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn whole_systems(place: f64) -> usize {
    (place.max(0.0) / 2.0).floor() as usize * 2
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn characters(pixels: f64) -> usize {
    (pixels / CHARACTER).floor().max(8.0) as usize
}
