//! The lanes: what bar, feet, knees and hands do, under the song's bars and aligned with them in time.

mod drawing;
mod handles;
mod measure;
mod pass;
mod spots;
mod window;

use super::follow::{Axis, Follow, width_of};
use super::later::Later;
use super::state::Page;
use crate::app::by_hand::Handle;
use crate::app::lanes_view::{LanesView, Spot};
use crate::app::rehearsal::Limb;
use crate::solo::Performance;
use crate::steel::Instrument;
use crate::theory::{Beats, Timeline};
use drawing::{Ground, Names};
use handles::{Grid, Handles};
pub(super) use handles::{Held, Pull};
use leptos::html::Div;
use leptos::prelude::*;
use measure::{Measure, Zoom};
use pass::Pass;
use spots::Spots;
pub(super) use spots::{exclamation, zigzag};
use std::sync::Arc;

/// How far the place moves before the scroller is looked after, in CSS pixels.
const FOLLOW_STEP: f64 = 12.0;

/// One or two performances as lanes.
///
/// `position` is the moment played or shown; `on_seek` hears a tap on the ruler, and
/// on the rest of the lanes too unless `on_point` hears those. A second pass, `other`, is laid over the
/// first in the second accent. What is `held` has handles, whose pulls `on_pull` hears. For rehearsing, one `limb` can be shown alone.
#[component]
pub fn Lanes(
    #[prop(into)] performance: Signal<Arc<Performance>>,
    #[prop(into)] timeline: Signal<Arc<Timeline>>,
    #[prop(into)] instrument: Signal<Arc<Instrument>>,
    #[prop(into)] position: Signal<Option<Beats>>,
    #[prop(optional, into)] other: Option<Signal<Option<Arc<Performance>>>>,
    #[prop(optional, into)] limb: Option<Signal<Limb>>,
    #[prop(optional, into)] spots: Option<Signal<Vec<Spot>>>,
    #[prop(into)] on_seek: Callback<Beats>,
    #[prop(optional, into)] on_point: Option<Callback<Beats>>,
    #[prop(optional, into)] held: Option<Signal<Held>>,
    #[prop(optional, into)] on_pull: Option<Callback<(Handle, Pull)>>,
) -> impl IntoView {
    let page = Page::here();
    let naming = Memo::new(move |_| page.desk.with(|d| d.naming));
    let lanes_of = move |p: &Performance| instrument.with(|i| timeline.with(|t| LanesView::of(p, i, t)));
    let lanes = Memo::new(move |_| Arc::new(performance.with(|p| lanes_of(p))));
    let second = Memo::new(move |_| other.and_then(|o| o.get()).map(|p| Arc::new(lanes_of(&p))));

    let follow = Follow::new();
    let frame = NodeRef::<Div>::new();
    let (width, measured) = width_of(frame);
    let zoom = RwSignal::new(Zoom::default());
    let measure = Memo::new(move |_| {
        let axis = second.with(|s| lanes.with(|l| s.as_ref().map_or(l.axis, |s| l.axis.with(s.axis))));
        let limb = limb.map_or(Limb::All, |limb| limb.get());
        lanes.with(|l| Measure::new(l, axis, zoom.get().scale(width.get()), limb))
    });

    let left = RwSignal::new(0.0);
    let window = window::window(measure, left, width);

    // Looked at every few pixels only: asking the scroller for its place is not free.
    let step = Memo::new(move |_| {
        position
            .get()
            .map(|at| (measure.with(|m| m.x(at)) / FOLLOW_STEP).floor())
    });
    Effect::new(move || {
        if let Some(step) = step.get() {
            follow.show(Axis::Across, step * FOLLOW_STEP, 0.28, false);
        }
    });
    let seek = move |event: web_sys::MouseEvent| {
        let (at, head) = measure.with_untracked(|m| (m.at(f64::from(event.offset_x())), m.head()));
        // The ruler on top is for going there; what lies below it is what is pointed at.
        let on = on_point.filter(|_| f64::from(event.offset_y()) > head);
        on.unwrap_or(on_seek).run(at);
    };
    view! {
        <div class="lanes" node_ref=frame role="group" aria-label=say!("Lanes: the bar's path, pedals and levers, strings")>
            <div class="lanes-body">
                <Names lanes measure />
                <div
                    class="lanes-scroll"
                    node_ref=follow.scroller
                    tabindex="0"
                    role="region"
                    aria-label=say!("Lanes, scrolls sideways")
                    on:wheel=move |_| follow.touched()
                    on:touchmove=move |_| follow.touched()
                    on:scroll=move |_| {
                        left.set(follow.scroller.get_untracked().map_or(0.0, |s| f64::from(s.scroll_left())));
                        follow.scrolled();
                    }
                >
                    <div class="lanes-paper">
                    <svg
                        class="lanes-sheet"
                        role="img"
                        aria-label=move || lanes.with(|l| drawing::summary(l))
                        width=move || measure.with(|m| m.width())
                        height=move || measure.with(|m| m.height())
                        on:click=seek
                    >
                        {held.map(|held| view! { <Grid held measure /> })}
                        {spots.map(|spots| view! { <Spots spots measure /> })}
                        <Show when=move || measured.get()>
                            <Ground lanes measure window naming />
                            {move || second.get().map(|l| view! { <Pass lanes=Signal::derive(move || l.clone()) measure window second=true naming /> })}
                            <Later><Pass lanes measure window second=false naming /></Later>
                            <Playhead position measure />
                        </Show>
                    </svg>
                        {held.zip(on_pull).map(|(held, on_pull)| view! { <Later><Handles held lanes measure on_pull /></Later> })}
                    </div>
                </div>
            </div>
            <div class="lanes-tools">
                {move || {
                    follow
                        .let_go
                        .get()
                        .then(|| {
                            view! {
                                <button type="button" class="lanes-follow" on:click=move |_| follow.resume()>
                                    {say!("Follow")}
                                </button>
                            }
                        })
                }}
                <button type="button" class="tool" aria-label=say!("Narrower bars") on:click=move |_| zoom.update(Zoom::out)>
                    "−"
                </button>
                <button type="button" class="tool" aria-label=say!("Wider bars") on:click=move |_| zoom.update(Zoom::near)>
                    "+"
                </button>
            </div>
        </div>
    }
}

/// The line that is played.
#[component]
fn Playhead(position: Signal<Option<Beats>>, measure: Memo<Measure>) -> impl IntoView {
    let shift = move || {
        let x = position.get().map_or(-9.0, |at| measure.with(|m| m.x(at)));
        format!("translate({x:.2} 0)")
    };
    view! {
        <g class="playhead" transform=shift aria-hidden="true">
            <path d="M-5 0h10v6l-5 5-5-5z"></path>
            <path d=move || format!("M0 8V{:.0}", measure.with(|m| m.height()))></path>
        </g>
    }
}
