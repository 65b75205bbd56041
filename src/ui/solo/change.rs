//! The menu of a move: what could be otherwise about it, each heard in its place as soon as it is pointed at.

use crate::app::passes::MoveLine;
use crate::solo::Offer;
use crate::ui::changing::{keep, listen, lock};
use crate::ui::icons::{Icon, Sign};
use crate::ui::language::{look, tell};
use crate::ui::proposing::{take, type_bar};
use crate::ui::state::Page;
use leptos::html::Div;
use leptos::prelude::*;

/// The sheet with the menu. It opens when a move is looked at, and leaving it leaves the pass as it was.
#[component]
pub(in crate::ui) fn ChangeSheet() -> impl IntoView {
    let page = Page::here();
    let changing = page.changing;
    let sheet = NodeRef::<Div>::new();
    let line = Memo::new(move |_| {
        let index = changing.index.get()?;
        page.chosen.with(|shown| shown.as_ref()?.moves.get(index).cloned())
    });
    Effect::new(move || {
        let (Some(sheet), open) = (sheet.get(), changing.index.get().is_some()) else {
            return;
        };
        let shown = is_open(&sheet);
        let done = match (open, shown) {
            (true, false) => sheet.show_popover(),
            (false, true) => sheet.hide_popover(),
            _ => Ok(()),
        };
        // Refused only while the page is being torn down.
        drop(done);
    });
    let closed = move |_| {
        if sheet.get_untracked().is_some_and(|sheet| !is_open(&sheet)) {
            crate::ui::playing::stop_audition(page);
            changing.leave();
        }
    };
    let why = move || {
        let (index, song, instrument) = (changing.index.get()?, page.song.get()?, page.instrument.get()?);
        page.chosen
            .with(|shown| Some(tell(&shown.as_ref()?.why(index, &song, &instrument))))
    };
    let head = move || {
        line.with(|line| {
            line.as_ref()
                .map(|l| say!("{name}, bar {bar}", name = look(l.name), bar = l.bar))
        })
    };
    view! {
        <div class="sheet change" id="change" popover="auto" role="dialog" aria-label=say!("Change one thing") node_ref=sheet on:toggle=closed>
            <div class="sheet-head">
                <h2>{head}</h2>
                <LockButton line />
                <button type="button" class="tool" aria-label=say!("Leave it as it is") popovertarget="change" popovertargetaction="hide">
                    <Icon sign=Sign::Close />
                </button>
            </div>
            <p class="small soft">{why}</p>
            {move || match line.with(|line| line.as_ref().is_some_and(|l| l.locked)) {
                true => view! { <p class="hint small">{say!("Locked: it stays as it is. Unlock it to change it.")}</p> }.into_any(),
                false => view! { <Hands line /><Offers /> }.into_any(),
            }}
        </div>
    }
}

fn is_open(sheet: &web_sys::HtmlElement) -> bool {
    sheet.matches(":popover-open").unwrap_or(false)
}

/// Locks the move, or frees it.
#[component]
fn LockButton(line: Memo<Option<MoveLine>>) -> impl IntoView {
    let page = Page::here();
    let locked = move || line.with(|line| line.as_ref().is_some_and(|l| l.locked));
    let press = move |_| {
        if let Some(index) = page.changing.index.get_untracked() {
            lock(
                page,
                index,
                !line.with_untracked(|line| line.as_ref().is_some_and(|l| l.locked)),
            );
        }
    };
    view! {
        <button type="button" class="do slim" aria-pressed=move || if locked() { "true" } else { "false" } on:click=press>
            <Icon sign=Signal::derive(move || if locked() { Sign::Lock } else { Sign::Unlock }) />
            {move || if locked() { say!("Locked") } else { say!("Lock") }}
        </button>
    }
}

/// The ways to change it by hand.
#[component]
fn Hands(line: Memo<Option<MoveLine>>) -> impl IntoView {
    let page = Page::here();
    let by_hand = move |_| {
        if let Some(index) = page.changing.index.get_untracked() {
            take(page, index);
        }
    };
    let bar = move || line.with(|line| line.as_ref().map_or(1, |l| l.bar));
    view! {
        <div class="line-up">
            <button type="button" class="do slim" on:click=by_hand>{say!("By hand")}</button>
            <button type="button" class="do slim" on:click=move |_| type_bar(page, bar().saturating_sub(1))>
                {move || say!("Type bar {bar}", bar = bar())}
            </button>
        </div>
    }
}

/// What is offered, the pass as it is first.
#[component]
fn Offers() -> impl IntoView {
    let page = Page::here();
    let changing = page.changing;
    let row = move |(index, offer): (usize, Offer)| {
        view! { <Row place=Some(index) words=tell(&offer.words) about=look(offer.aspect.name()) /> }
    };
    let state = move || match (changing.fault.get(), changing.working.get()) {
        (Some(words), _) => words,
        (None, true) => say!("Looking for changes a body can play.").to_owned(),
        (None, false) if changing.offers.with(Vec::is_empty) => {
            say!("Nothing else can be played here as it stands: change a neighbour first.").to_owned()
        }
        (None, false) => String::new(),
    };
    let more = move || {
        let few = !changing.all.get() && changing.offers.with(Vec::len) >= 12;
        few.then(|| {
            view! {
                <button type="button" class="do slim" on:click=move |_| changing.all.set(true)>{say!("More")}</button>
            }
        })
    };
    view! {
        <fieldset class="offers">
            <legend class="unseen">{say!("What to change: each is played when it is chosen")}</legend>
            <Row place=None words=say!("As it is").to_owned() about="" />
            {move || changing.offers.get().into_iter().enumerate().map(row).collect_view()}
        </fieldset>
        <p class="small soft offers-state" role="status">{state}</p>
        <div class="line-up offers-do">
            <button
                type="button"
                class="go"
                prop:disabled=move || changing.tried.get().is_none()
                on:click=move |_| keep(page)
            >
                {say!("Keep this")}
            </button>
            {more}
        </div>
    }
}

/// One offer. Choosing it plays it, and so does tapping it again.
#[component]
fn Row(place: Option<usize>, words: String, about: &'static str) -> impl IntoView {
    let page = Page::here();
    let is = move || page.changing.tried.get() == place;
    view! {
        <label class="offer">
            <input type="radio" name="offer" prop:checked=is on:click=move |_| listen(page, place) />
            <span class="offer-words">{words}</span>
            <span class="fine soft">{about}</span>
        </label>
    }
}
