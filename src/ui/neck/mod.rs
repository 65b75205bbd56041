//! The neck to scale, with its bar, and the pedals and levers below it.

mod bar;
mod board;
mod card;
mod chords;
mod grid;
mod open;
mod page;
mod pedals;
mod places;
mod plan;
mod plate;
mod ringing;
mod row;

pub(super) use card::PlaceCard;
pub(super) use open::OpenNeck;
pub use page::NeckPage;
pub(super) use pedals::Pedals;
pub(super) use ringing::Ringing;

use super::follow::{Axis, Follow, width_of};
use super::language::look;
use super::later::Later;
use super::state::{Lasting, Page};
use crate::app::Command;
use crate::app::neck_view::{Hold, NeckFrame, cells, grip, under_bar};
use crate::steel::{ChangeId, Fret, Instrument, StringNumber, StringSet, Travel};
use crate::theory::ChordSpan;
use bar::SteelBar;
use board::{Board, Names};
use grid::Grid;
use leptos::html::Div;
use leptos::prelude::*;
use plan::Plan;
use std::sync::Arc;

/// The neck, controlled from outside: it shows `hold` and says what the user wants of it.
///
/// `ringing` are the strings that sound now. `on_bar` hears where the bar is put, `on_press` what is pressed,
/// `on_pluck` which strings are to be heard.
///
/// Where strings are chosen one by one, `picked` are those, marked on the bar, and `on_choose` hears each place that
/// is tapped. What is pressed then stays so until it is pressed again, however long.
#[component]
pub fn NeckView(
    #[prop(into)] instrument: Signal<Arc<Instrument>>,
    #[prop(into)] span: Signal<Option<ChordSpan>>,
    #[prop(into)] hold: Signal<Hold>,
    #[prop(into)] ringing: Signal<StringSet>,
    #[prop(into)] on_bar: Callback<Fret>,
    #[prop(into)] on_press: Callback<(ChangeId, Travel)>,
    #[prop(optional, into)] on_pluck: Option<Callback<StringSet>>,
    #[prop(optional, into)] picked: Option<Signal<StringSet>>,
    #[prop(optional, into)] on_choose: Option<Callback<(StringNumber, u8)>>,
) -> impl IntoView {
    // Remembered here, for much listens to them. The bar is drawn anew when the neck is turned, so what it listens to
    // forgets those that are gone.
    let (hold, ringing) = (Memo::new(move |_| hold.get()), Lasting::memo(move |_| ringing.get()));
    let latches = picked.is_some();
    let picked = Lasting::memo(move |_| picked.map_or(StringSet::EMPTY, |p| p.get()));
    let frame = NodeRef::<Div>::new();
    let (width, measured) = width_of(frame);
    let page = Page::here();
    let side = Memo::new(move |_| page.desk.with(|d| d.side));
    let naming = Lasting::memo(move |_| page.desk.with(|d| d.naming));
    let neck = Lasting::memo(move |_| instrument.with(|i| NeckFrame::of(i)));
    let plan = Lasting::memo(move |_| Plan::new(width.get(), neck.with(|n| n.strings.len()), side.get()));
    let settled = Memo::new(move |_| hold.with(Hold::settled));
    let places = Memo::new(move |_| {
        span.with(|s| settled.with(|travels| instrument.with(|i| Arc::new(cells(i, travels, s.as_ref())))))
    });
    let under = Lasting::memo(move |_| span.with(|s| hold.with(|h| instrument.with(|i| under_bar(i, h, s.as_ref())))));

    let bar = Memo::new(move |_| hold.with(|h| h.bar));
    let lie = Lasting::memo(move |_| hold.with(Hold::lie));
    // The fret whose own plates the bar hides with its.
    let covered = Memo::new(move |_| hold.with(Hold::nearest_fret));
    let follow = Follow::new();
    let was_upright = RwSignal::new(None);
    Effect::new(move || {
        let plan = plan.get();
        let first = was_upright.get_untracked() != Some(plan.upright);
        was_upright.set(Some(plan.upright));
        let axis = if plan.upright { Axis::Down } else { Axis::Across };
        follow.show(axis, neck.with(|n| plan.bar(n, bar.get())), 0.4, first);
    });

    let choose = Callback::new(move |(string, fret): (StringNumber, u8)| {
        if let Some(on_choose) = on_choose {
            follow.resume();
            return on_choose.run((string, fret));
        }
        let there = hold.get_untracked().straight(Fret(f64::from(fret)));
        let strings = span.with_untracked(|s| instrument.with_untracked(|i| grip(i, &there, s.as_ref(), string)));
        follow.resume();
        on_bar.run(there.bar);
        if let Some(on_pluck) = on_pluck {
            on_pluck.run(strings);
        }
    });
    let aria = if latches {
        say!("Neck: arrows move, Enter puts the bar there and picks the string")
    } else {
        say!("Neck: arrows move, Enter puts the bar there")
    };
    let selected = Memo::new(move |_| if latches { picked.get() } else { ringing.get() });
    view! {
        <div class="neck" class:upright=move || plan.with(|p| p.upright) node_ref=frame>
            <div class="neck-head">
                <button
                    type="button"
                    class="do slim neck-turn"
                    aria-label=move || say!("View: {name}. Turn the neck", name = look(side.get().name()))
                    on:click=move |_| page.act(Command::Turn(side.get_untracked().next()))
                >
                    {move || look(side.get().name())}
                </button>
                <button
                    type="button"
                    class="do slim neck-turn"
                    aria-label=move || say!("Names: {name}. Call notes another way", name = look(naming.get().name()))
                    on:click=move |_| page.act(Command::Name(naming.get_untracked().next()))
                >
                    {move || look(naming.get().name())}
                </button>
            </div>
            <div class="neck-body">
                <Names neck plan />
                <div
                    class="neck-scroll"
                    node_ref=follow.scroller
                    on:wheel=move |_| follow.touched()
                    on:touchmove=move |_| follow.touched()
                    on:scroll=move |_| follow.scrolled_for_a_while()
                >
                    <svg
                        class="neck-sheet"
                        role="grid"
                        aria-label=aria
                        width=move || plan.with(|p| p.size().0)
                        height=move || plan.with(|p| p.size().1)
                    >
                        <Show when=move || measured.get()>
                            <Board neck plan />
                            <Later><Grid neck plan places selected covered choose naming /></Later>
                            <Later><SteelBar instrument neck plan lie under ringing picked on_bar naming /></Later>
                        </Show>
                    </svg>
                </div>
            </div>
            <Later><Pedals instrument hold on_press latches /></Later>
        </div>
    }
}
