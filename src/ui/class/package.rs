//! A package for learning platforms, made and saved.

use crate::app::class::file_name;
use crate::app::delivery::size_words;
use crate::platform::{files, package};
use crate::teach::scorm::Content;
use crate::ui::language::tell;
use crate::ui::state::Page;
use leptos::prelude::*;
use leptos::task::spawn_local;

/// A button that makes a package of `content` and saves it.
#[component]
pub(in crate::ui) fn SavePackage(content: impl Fn() -> Content + Copy + 'static) -> impl IntoView {
    let page = Page::here();
    let making = RwSignal::new(false);
    let failed = RwSignal::new(String::new());
    let save = move |_| {
        failed.set(String::new());
        making.set(true);
        let content = content();
        spawn_local(async move {
            match saved(&content).await {
                Ok(words) => page.say(words),
                Err(words) => failed.set(words),
            }
            making.set(false);
        });
    };
    view! {
        <p class="small soft">
            {say!("A SCORM 1.2 package: the platform shows it to each student, keeps their place, and is told score, status and time. It holds a copy of this page and needs nothing from outside.")}
        </p>
        <button type="button" class="do" prop:disabled=making on:click=save>
            {move || if making.get() { say!("Packing…") } else { say!("Save the package") }}
        </button>
        <div role="status">
            {move || (!failed.with(String::is_empty)).then(|| view! { <p class="fault">{failed.get()}</p> })}
        </div>
    }
}

/// Makes and saves it; what to say of it, or why there is none.
async fn saved(content: &Content) -> Result<String, String> {
    let file = package::make(content)
        .await
        .map_err(|e| say!("There is no package: {e}.", e = e.said()))?;
    let what = match content {
        Content::Work(_) => "work",
        Content::Course => "course",
    };
    let name = file_name(what, &content.title(), "zip");
    files::save(&file, &name).map_err(|e| tell(&e.said()))?;
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a whole number of bytes
    let size = size_words(file.size() as u64);
    Ok(say!("Saved as {name}, {size}.", name, size))
}
