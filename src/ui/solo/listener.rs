//! The whole pass as a listener hears it: what it does, how hard its bars are, and what would be heard as dull, with a
//! change that helps one tap away.

use crate::app::jobs::{Job, News, Product};
use crate::app::listener::{AskListener, DullSpot, Listened, Remark, Work};
use crate::platform::frames::rest;
use crate::platform::worker::Newest;
use crate::ui::language::tell;
use crate::ui::proposing::propose;
use crate::ui::state::Page;
use crate::ui::{playing, proposing};
use leptos::leptos_dom::helpers::TimeoutHandle;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::sync::Arc;
use std::time::Duration;

/// A pass is heard out once it has been looked at for so long.
const REST: Duration = Duration::from_millis(400);
/// Height of the picture of the bars' work, in its own units.
const HEIGHT: f64 = 40.0;

/// The newest reading of the chosen pass, nothing while it is being made; and whether the making of it broke.
fn reading(page: Page) -> (RwSignal<Option<Arc<Listened>>>, RwSignal<bool>) {
    let heard = RwSignal::new(None::<Arc<Listened>>);
    let broken = RwSignal::new(false);
    let on_news = move |news| {
        if let News::Done(Product::Listened(listened)) = news {
            heard.set(Some(Arc::from(listened)));
        }
    };
    let on_fault = move || broken.set(true);
    let worker = StoredValue::new_local(Newest::new(on_news, on_fault));
    let waiting = StoredValue::new(None::<TimeoutHandle>);
    let drop_wait = move || {
        if let Some(handle) = waiting.try_get_value().flatten() {
            handle.clear();
        }
    };
    let pass = Memo::new(move |_| page.chosen.with(|shown| shown.as_ref().map(|s| Arc::clone(&s.pass))));
    Effect::new(move || {
        let pass = pass.get();
        drop_wait();
        heard.set(None);
        broken.set(false);
        let (Some(pass), Some(song), Some(instrument)) =
            (pass, page.song.get_untracked(), page.instrument.get_untracked())
        else {
            return;
        };
        let ask = move || {
            let mut pass = (*pass).clone();
            pass.request.avoided = page.work.with_untracked(|work| work.full_request(&instrument).avoided);
            let ask = AskListener {
                song: (*song).clone(),
                instrument: (*instrument).clone(),
                pass,
            };
            spawn_local(async move {
                // The first pass is on the screen before the engine is asked for.
                rest().await;
                worker.try_with_value(|worker| worker.ask(Job::Listen(Box::new(ask))));
            });
        };
        waiting.set_value(set_timeout_with_handle(ask, REST).ok());
    });
    on_cleanup(drop_wait);
    (heard, broken)
}

/// The reading.
#[component]
pub(super) fn Listener() -> impl IntoView {
    let page = Page::here();
    let (heard, broken) = reading(page);
    let state = move || {
        if broken.get() {
            say!("It could not be heard out. Choose the pass again.")
        } else {
            say!("Listening.")
        }
    };
    let remark = |remark: Remark| view! { <div><dt>{remark.about}</dt><dd>{remark.words}</dd></div> };
    let there = Memo::new(move |_| page.chosen.with(Option::is_some));
    view! {
        <Show when=move || there.get()>
            <section class="listener" aria-label=say!("As a listener hears it")>
                <h2>{say!("As a listener hears it")}</h2>
                {move || match heard.get() {
                    None => view! { <p class="small soft" role="status">{state}</p> }.into_any(),
                    Some(own) => view! {
                        <dl class="remarks-list">{own.remarks.iter().cloned().map(remark).collect_view()}</dl>
                        <Hardness own=Arc::clone(&own) />
                        <DullSpots own=own />
                    }
                    .into_any(),
                }}
            </section>
        </Show>
    }
}

/// How hard each bar is: a column for each, told in words too. A tap goes to the bar.
#[component]
fn Hardness(own: Arc<Listened>) -> impl IntoView {
    let page = Page::here();
    let many = own.work.len().max(1);
    #[allow(clippy::cast_precision_loss)] // a few hundred bars
    let width = many as f64;
    let column = |(index, work): (usize, &Work)| {
        let height = (work.part * HEIGHT).max(1.0);
        format!("M{index} {HEIGHT}v-{height:.1}h0.8v{height:.1}z")
    };
    let columns: String = own.work.iter().enumerate().map(column).collect();
    let words = own.hardest();
    let work = own.work.clone();
    let go = move |event: web_sys::MouseEvent| {
        let target = event
            .current_target()
            .map(wasm_bindgen::JsCast::unchecked_into::<web_sys::Element>);
        let part = target.map_or(0.0, |t| {
            f64::from(event.offset_x()) / f64::from(t.client_width().max(1))
        });
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a place within the picture
        let index = (part * width).floor().max(0.0) as usize;
        if let Some(work) = work.get(index.min(many - 1)) {
            playing::seek(page, work.at);
        }
    };
    view! {
        <h3>{say!("How hard each bar is")}</h3>
        <div class="hardness" on:click=go aria-hidden="true">
            <svg viewBox=format!("0 0 {width} {HEIGHT}") preserveAspectRatio="none"><path d=columns></path></svg>
        </div>
        <p class="small soft">{words}</p>
    }
}

/// What would be heard as dull.
#[component]
fn DullSpots(own: Arc<Listened>) -> impl IntoView {
    let page = Page::here();
    let row = move |dull: DullSpot| {
        let at = dull.at;
        let help = dull.help.map(|offer| {
            let words = say!("Try: {offer}", offer = tell(&offer.words));
            view! { <button type="button" class="do slim" on:click=move |_| propose(page, &offer)>{words}</button> }
        });
        view! {
            <li>
                <button type="button" class="place" on:click=move |_| {
                    proposing::leave(page);
                    playing::play_from(page, at);
                }>{tell(&dull.words)}</button>
                {help}
            </li>
        }
    };
    let nothing = own.dull.is_empty();
    view! {
        <h3>{say!("What would be heard as dull")}</h3>
        {nothing.then(|| view! { <p class="small soft">{say!("Nothing stands out.")}</p> })}
        <ul class="dull-list small">{own.dull.iter().cloned().map(row).collect_view()}</ul>
    }
}
