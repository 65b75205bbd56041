//! The heading's fields as controls that rewrite the text.

use leptos::prelude::*;

/// Key, tempo, metre, feel.
#[component]
pub(super) fn Heading() -> impl IntoView {
    view! { <div class="heading"></div> }
}
