//! What is due today, as one page of exercises across the lessons.

use super::learnt::{Learnt, today};
use super::practice::Practice;
use crate::app::Command;
use crate::teach::course;
use crate::teach::review;
use crate::ui::neck::OpenNeck;
use crate::ui::state::Page;
use leptos::prelude::*;

/// The review of today. What is due is looked up once: an answer does not take its exercise away.
#[component]
pub(super) fn ReviewPage() -> impl IntoView {
    OpenNeck::provide();
    let page = Page::here();
    let due = Learnt::here().untracked(|progress| review::of(progress, today()));
    let to_course = move |_| page.act(Command::OpenLesson(None));
    let titles = course::heads();
    let mut lessons: Vec<_> = due.iter().map(|r| r.lesson.clone()).collect();
    lessons.sort();
    lessons.dedup();
    let links = lessons.into_iter().filter_map(move |id| {
        let title = titles.iter().find(|h| h.id == id)?.title.clone();
        let open = move |_| page.act(Command::OpenLesson(Some(id.clone())));
        Some(view! { <button type="button" class="do slim" on:click=open>{title}</button> })
    });
    let links = links.collect_view();
    let about = match due.len() {
        0 => say!("Nothing is due today. What you learn comes back here when its day has come.").to_owned(),
        many => say!(many => "One skill is due. Right keeps it away for longer.",
            "{n} skills are due. Each one that is right stays away for longer."),
    };
    let blocks: Vec<_> = due.into_iter().map(|r| r.block).collect();
    view! {
        <article class="lesson">
            <header class="lesson-head">
                <button type="button" class="do slim" on:click=to_course>{say!("Course")}</button>
                <h1>{say!("To be met again today")}</h1>
                <p>{about}</p>
            </header>
            {(!blocks.is_empty()).then(|| view! {
                <Practice blocks />
                <section>
                    <h2>{say!("To read it up")}</h2>
                    <div class="line-up review-lessons">{links}</div>
                </section>
            })}
            <footer class="lesson-foot">
                <button type="button" class="go" on:click=to_course>{say!("Done: back to the course")}</button>
            </footer>
        </article>
    }
}
