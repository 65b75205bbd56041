//! Tablature on the screen: the same systems as in plain text, engraved, following what is played.

mod drawing;

pub(super) use drawing::{Tools, draw_system, times};

use super::follow::{Axis, Follow, width_of};
use super::state::Page;
use crate::app::appearance::with_chords;
use crate::app::lanes_view::Spot;
use crate::app::rehearsal::{Hidden, Limb};
use crate::exchange::tab::{Characters, Signs, Tab};
use crate::solo::Performance;
use crate::steel::Instrument;
use crate::theory::{Beats, Timeline};
use crate::ui::language::{look, spell};
use drawing::{CHARACTER, LEFT, system_height};
use leptos::prelude::*;
use leptos::task::spawn_local;
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
    let (width, _) = width_of(follow.scroller);
    let room = Memo::new(move |_| Characters(characters(width.get() - LEFT - 8.0)));
    let systems = Memo::new(move |_| tab.with(|t| t.systems(room.get())));
    let now = Memo::new(move |_| position.get().and_then(|at| tab.with(|t| t.column_at(at))));
    let height = move || tab.with(|t| system_height(t.rows.len()));

    // Only the systems in sight are drawn, with a few more around them.
    let top = RwSignal::new(0.0);
    let seen = Memo::new(move |_| {
        let first = whole_systems(top.get() / (height() + SYSTEM_GAP));
        first.saturating_sub(AROUND)..first + IN_SIGHT + AROUND
    });

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
                {move || {
                    let (tab, hidden, seen) = (tab.get(), hidden.get(), seen.get());
                    let rows: Vec<usize> = (0..tab.rows.len()).collect();
                    let on_seek = on_point.unwrap_or(on_seek);
                    let tools = Tools { now, on_seek, spots };
                    let one = height() + SYSTEM_GAP;
                    let (above, all) = (times(seen.start) * one, systems.with(Vec::len));
                    let below = times(all.saturating_sub(seen.end)) * one;
                    let drawn = systems.with(|s| {
                        let some = s.get(seen.start.min(all)..seen.end.min(all)).unwrap_or_default();
                        some.iter().map(|s| draw_system(&tab, s, &rows, hidden, tools)).collect_view()
                    });
                    view! { <div style:padding=format!("{above:.0}px 0 {below:.0}px")>{drawn}</div> }
                }}
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
