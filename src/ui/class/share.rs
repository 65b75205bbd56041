//! Something to be carried away: its link, its code, its file.

use crate::app::class::Share;
use crate::ui::state::Page;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen_futures::JsFuture;

/// Light modules that have to be left around a code (ISO/IEC 18004).
const QUIET: usize = 4;

/// The ways to carry it away.
#[component]
pub(super) fn Shared(share: Share, file: String, what: &'static str) -> impl IntoView {
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
