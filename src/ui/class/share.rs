//! Something to be carried away: its link, its code, its file.

use crate::app::class::{Share, share};
use crate::exchange::link::Content;
use crate::platform::deflate::deflated;
use crate::ui::state::Page;
use crate::words::Said;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen_futures::JsFuture;

/// Light modules that have to be left around a code (ISO/IEC 18004).
const QUIET: usize = 4;

/// The ways to carry something away, made anew whenever what goes along changes.
///
/// *Invariant:* nobody gets a link to what was there before: until the new one is made, nothing in here can be pressed.
#[component]
pub(super) fn Shared(content: Memo<Result<Content, Said>>, file: Signal<String>, what: &'static str) -> impl IntoView {
    let made = RwSignal::new(None::<Result<Share, Said>>);
    let wanted = StoredValue::new(0_usize);
    let busy = RwSignal::new(true);
    Effect::new(move |_| {
        let content = content.get();
        wanted.update_value(|turn| *turn += 1);
        let turn = wanted.get_value();
        busy.set(true);
        spawn_local(async move {
            let done = make(content).await;
            // Else something changed meanwhile, or the view is gone.
            if wanted.try_get_value() == Some(turn) {
                made.set(Some(done));
                busy.set(false);
            }
        });
    });
    view! {
        <div class="class-share" aria-busy=move || if busy.get() { "true" } else { "false" } prop:inert=move || busy.get()>
            {move || match made.get() {
                None => ().into_any(),
                Some(Err(words)) => view! { <p class="fault">{words}</p> }.into_any(),
                Some(Ok(share)) => view! { <Ways share file=file.get() what /> }.into_any(),
            }}
        </div>
    }
}

async fn make(content: Result<Content, Said>) -> Result<Share, Said> {
    let content = content?;
    let short = match deflated(content.json()).await {
        Some(short) => short,
        None => content.deflated(),
    };
    let page = window().location().href().unwrap_or_default();
    share(&content, &short, &page)
}

/// The ways to carry it away.
#[component]
fn Ways(share: Share, file: String, what: &'static str) -> impl IntoView {
    let page = Page::here();
    let Share { link, code, words } = share;
    let (copied, written) = (link.clone(), link.clone());
    let code = code.map(|code| {
        let side = code.side() + 2 * QUIET;
        let quiet = QUIET;
        view! {
            <svg
                class="class-code"
                viewBox=format!("0 0 {side} {side}")
                role="img"
                aria-label=say!("A code that a phone's camera reads: the link to this {what}", what)
            >
                <rect width=side height=side fill="#fff" />
                <path transform=format!("translate({quiet} {quiet})") d=code.path() fill="#000" shape-rendering="crispEdges" />
            </svg>
        }
    });
    view! {
        <p class="small">{words}</p>
        <div class="line-up">
            <button type="button" class="go" on:click=move |_| copy(page, copied.clone())>{say!("Copy the link")}</button>
            <a class="do" download=file href=format!("data:text/plain;charset=utf-8,{}", escaped(&written))>{say!("Save as a file")}</a>
        </div>
        <label class="class-field">
            {say!("The link")}
            <input type="text" readonly prop:value=link />
        </label>
        {code}
    }
}

/// A link within a data address: only its `#` means something there.
fn escaped(link: &str) -> String {
    link.replace('%', "%25").replace('#', "%23")
}

fn copy(page: Page, link: String) {
    let written = window().navigator().clipboard().write_text(&link);
    spawn_local(async move {
        match JsFuture::from(written).await {
            Ok(_) => page.say(say!("The link is on the clipboard.")),
            Err(_) => page.say(say!(
                "The browser does not let this page copy. Mark the link below and copy it, or save the file."
            )),
        }
    });
}
