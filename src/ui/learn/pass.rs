//! Something played in a lesson: its lanes, its tab, and the sound.

use super::drafts::Drafts;
use crate::app::lesson_view::{Example, ask};
use crate::teach::lesson::PassBlock;
use crate::ui::example::Played;
use leptos::prelude::*;

/// A written pass at once, a drafted one as soon as the planner has it.
#[component]
pub(super) fn PassLive(block: PassBlock) -> impl IntoView {
    let found = RwSignal::new(Example::written(&block));
    let refused = RwSignal::new(None::<String>);
    let caption = block.caption.clone();
    if let Some(ask) = ask(&block) {
        Drafts::here().want(ask, move |answer| match answer {
            Ok(draft) => {
                found.try_set(Example::drafted(&block, &draft));
            }
            Err(words) => {
                refused.try_set(Some(words));
            }
        });
    }
    view! {
        <figure class="live live-pass" aria-label=say!("Played")>
            {move || match (found.get(), refused.get()) {
                (Some(example), _) => view! { <Played example=Signal::stored(example) name=say!("Play this") /> }.into_any(),
                (None, Some(words)) => view! { <p class="fault">{words}</p> }.into_any(),
                (None, None) => view! { <p class="soft small" role="status">{say!("Drafting…")}</p> }.into_any(),
            }}
            {caption.map(|words| view! { <figcaption>{words}</figcaption> })}
        </figure>
    }
}
