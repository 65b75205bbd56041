//! The grid of places: one tab stop, arrows move, Enter chooses.

use super::plan::Plan;
use super::row::{Row, Shown, focus, place_of};
use crate::app::appearance::NamedBy;
use crate::app::neck_view::{Cell, NeckFrame};
use crate::steel::{StringNumber, StringSet};
use crate::ui::later::{in_turn, later};
use crate::ui::state::Lasting;
use leptos::prelude::*;
use leptos::svg::G;
use std::sync::Arc;

/// Where the tab key first comes to: the first string at the third fret.
const FIRST: (usize, usize) = (0, 3);

/// All places. `covered` is the fret whose plates the bar hides, `choose` hears which place is chosen.
#[component]
pub(super) fn Grid(
    neck: Lasting<Memo<NeckFrame>>,
    plan: Lasting<Memo<Plan>>,
    places: Memo<Arc<Vec<Vec<Cell>>>>,
    selected: Memo<StringSet>,
    covered: Memo<Option<u8>>,
    choose: Callback<(StringNumber, u8)>,
    naming: Lasting<Memo<NamedBy>>,
) -> impl IntoView {
    let here = RwSignal::new(FIRST);
    let take = move |(row, fret): (usize, usize)| {
        let string = neck.with_untracked(|n| n.strings.get(row).map(|s| s.string));
        if let (Some(string), Ok(fret)) = (string, u8::try_from(fret)) {
            choose.run((string, fret));
        }
    };
    let tapped = move |event: web_sys::MouseEvent| {
        if let Some(place) = place_of(&event) {
            here.set(place);
            take(place);
        }
    };
    let keys = move |event: web_sys::KeyboardEvent| {
        let key = event.key();
        let goal = match key.as_str() {
            "Enter" | " " => None,
            key => match goal(key, here.get_untracked(), neck, plan) {
                None => return,
                goal => goal,
            },
        };
        event.prevent_default();
        event.stop_propagation();
        match goal {
            Some(goal) => {
                here.set(goal);
                focus(goal);
            }
            None => place_of(&event).into_iter().for_each(take),
        }
    };
    let shown = move || Shown {
        places: places.get(),
        naming: naming.get(),
        covered: covered.get(),
        here: here.get(),
    };
    let strings = Memo::new(move |_| neck.with(|n| n.strings.iter().map(|s| s.string).collect::<Vec<_>>()));
    let laid = Memo::new(move |_| Arc::new((neck.get(), plan.get())));
    let row = move |string: StringNumber| {
        let group = NodeRef::<G>::new();
        // The many places of a neck are too much for one task: each row has its own, when it comes and at every turn.
        let laid = later(move || laid.get());
        in_turn(move || follow(string, group, laid, shown, selected));
        view! { <g role="row" node_ref=group></g> }
    };
    view! {
        <g role="rowgroup" on:click=tapped on:keydown=keys>
            {move || strings.get().into_iter().map(row).collect_view()}
        </g>
    }
}

/// Keeps a string's places as they are to be.
fn follow(
    string: StringNumber,
    group: NodeRef<G>,
    laid: Signal<Arc<(NeckFrame, Plan)>>,
    shown: impl Fn() -> Shown + 'static,
    selected: Memo<StringSet>,
) {
    Effect::new(move |row: Option<Option<Row>>| {
        // The view may be gone before its row's turn comes.
        let (group, laid) = (group.try_get()??, laid.try_get()?);
        let row = row.flatten().filter(|row| row.is_laid(&laid));
        // What the browser refuses to draw is drawn anew with the next change.
        let mut row = row.or_else(|| Row::draw(&group, string.index(), laid).ok())?;
        let written = row.write(shown(), selected.get().contains(string));
        written.is_ok().then_some(row)
    });
}

/// Where a key leads from a place, if it leads anywhere.
fn goal(
    key: &str,
    (row, fret): (usize, usize),
    neck: Lasting<Memo<NeckFrame>>,
    plan: Lasting<Memo<Plan>>,
) -> Option<(usize, usize)> {
    let (rows, frets) = neck.with_untracked(|n| (n.strings.len(), n.frets.len()));
    match key {
        "Home" => Some((row, 0)),
        "End" => Some((row, frets.saturating_sub(1))),
        key => {
            let (down, along) = plan.with_untracked(|p| p.step(key))?;
            let step = |at: usize, by: isize, most: usize| at.saturating_add_signed(by).min(most.saturating_sub(1));
            Some((step(row, down, rows), step(fret, along, frets)))
        }
    }
}
