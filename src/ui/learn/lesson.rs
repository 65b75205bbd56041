//! One lesson: its head, its text, and the way on.

use super::drafts::Drafts;
use super::learnt::Learnt;
use super::practice::Practice;
use super::prose;
use crate::app::Command;
use crate::teach::Lesson;
use crate::teach::course;
use crate::ui::neck::OpenNeck;
use crate::ui::state::Page;
use leptos::prelude::*;

/// A lesson as a page.
#[component]
pub(super) fn LessonPage(lesson: Lesson) -> impl IntoView {
    Drafts::provide();
    OpenNeck::provide();
    let page = Page::here();
    let learnt = Learnt::here();
    let asked: Vec<_> = lesson.exercises().cloned().collect();
    let (before, after) = prose::around_exercises(&lesson.blocks);
    let head = lesson.head;
    let heads = course::heads();
    let next = heads
        .iter()
        .position(|h| h.id == head.id)
        .and_then(|i| heads.get(i + 1))
        .cloned();
    let words = next.as_ref().map_or_else(
        || say!("Done: back to the course").to_owned(),
        |next| say!("Next: {title}", title = next.title),
    );
    let to = next.map(|next| next.id);
    let own = head.id.clone();
    let go_on = move |_| {
        learnt.finish(page, &own);
        page.act(Command::OpenLesson(to.clone()));
    };
    view! {
        <article class="lesson">
            <header class="lesson-head">
                <button type="button" class="do slim" on:click=move |_| page.act(Command::OpenLesson(None))>
                    {say!("Course")}
                </button>
                <p class="small soft">{say!(head.minutes => "{part}, {n} minute", "{part}, {n} minutes", part = head.part)}</p>
                <h1>{head.title}</h1>
            </header>
            {prose::blocks(&before)}
            {(!asked.is_empty()).then(|| view! { <Practice blocks=asked /> })}
            {prose::blocks(&after)}
            <footer class="lesson-foot">
                <button type="button" class="go" on:click=go_on>{words}</button>
            </footer>
        </article>
    }
}
