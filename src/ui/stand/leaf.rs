//! One leaf of the stand: a bar with its number, its chords and its tab.

use crate::app::bars::{BarCard, Figure};
use crate::app::rehearsal::Hidden;
use crate::exchange::tab::{Piece, System, Tab};
use crate::theory::Beats;
use crate::ui::playing;
use crate::ui::state::Page;
use crate::ui::tab::{Tools, draw_system};
use leptos::prelude::*;
use std::sync::Arc;

/// What all leaves are drawn from.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Sheet {
    pub(super) tab: Arc<Tab>,
    /// The strings that are used anywhere, as indices of the tab's rows.
    rows: Vec<usize>,
    cards: Vec<BarCard>,
    hidden: Hidden,
}

impl Sheet {
    pub(super) fn new(tab: Option<Tab>, cards: Vec<BarCard>, hidden: Hidden) -> Self {
        let tab = tab.unwrap_or(Tab {
            rows: Vec::new(),
            bars: Vec::new(),
            legend: Vec::new(),
        });
        let columns = || tab.bars.iter().flat_map(|bar| &bar.columns);
        let used = |row: &usize| columns().any(|c| c.cells.get(*row).is_some_and(|marks| !marks.is_empty()));
        Self {
            rows: (0..tab.rows.len()).filter(used).collect(),
            tab: Arc::new(tab),
            cards,
            hidden,
        }
    }

    /// The bar's index in the tab and its system, where the solo plays in it.
    fn system(&self, bar: usize) -> Option<System> {
        let index = self.tab.bars.iter().position(|b| b.number == bar + 1)?;
        let columns = 0..self.tab.bars.get(index)?.columns.len();
        Some(System {
            pieces: vec![Piece {
                bar: index,
                columns,
                opens: false,
                closes: true,
            }],
        })
    }

    fn start(&self, bar: usize) -> Option<Beats> {
        self.cards.get(bar).map(|card| card.start)
    }

    fn chords(&self, bar: usize) -> String {
        let chords = self.cards.get(bar).into_iter().flat_map(|card| &card.chords);
        chords.map(|c| written(&c.figure)).collect::<Vec<_>>().join("  ")
    }
}

fn written(figure: &Figure) -> String {
    let bass = if figure.bass.is_empty() {
        String::new()
    } else {
        format!("/{}", figure.bass)
    };
    format!("{}{}{}{bass}", figure.accidental, figure.degree, figure.quality)
}

/// One leaf; a tap plays from its bar.
#[component]
pub(super) fn Leaf(
    bar: Memo<Option<usize>>,
    is_here: Memo<bool>,
    sheet: Memo<Arc<Sheet>>,
    now: Memo<Option<(usize, usize)>>,
) -> impl IntoView {
    let page = Page::here();
    let go = Callback::new(move |at: Beats| playing::play_from(page, at));
    move || {
        let sheet = sheet.get();
        let Some((bar, start)) = bar.get().and_then(|bar| Some((bar, sheet.start(bar)?))) else {
            return view! { <div class="leaf empty-leaf"></div> }.into_any();
        };
        let card = sheet.cards.get(bar);
        let section = card.and_then(|c| c.section.clone());
        let tools = Tools {
            now,
            on_seek: Callback::new(|_| ()),
            spots: Signal::stored(Vec::new()),
        };
        let picture = sheet
            .system(bar)
            .map(|system| draw_system(&sheet.tab, &system, &sheet.rows, sheet.hidden, tools));
        // A bar without tab has room for its chords in the largest type.
        let big = picture
            .is_none()
            .then(|| view! { <span class="leaf-chords" aria-hidden="true">{sheet.chords(bar)}</span> });
        view! {
            <div class="leaf" class:here=move || is_here.get()>
                <button
                    type="button"
                    class="leaf-head"
                    aria-current=move || is_here.get().then_some("true")
                    on:click=move |_| go.run(start)
                >
                    <span class="unseen">{say!("Bar ")}</span>
                    <b>{bar + 1}</b>
                    <span>{section}</span>
                    <span class="unseen">{sheet.chords(bar)}</span>
                </button>
                {big}
                {picture}
            </div>
        }
        .into_any()
    }
}
