//! The course as a path: its parts, its lessons, and which is next.

use crate::app::{Command, View};
use crate::teach::course;
use crate::teach::lesson::Head;
use crate::ui::state::Page;
use leptos::prelude::*;

/// The parts and their lessons in order.
#[component]
pub(super) fn CoursePath() -> impl IntoView {
    let page = Page::here();
    let heads = course::heads();
    let mut parts: Vec<(String, Vec<Head>)> = Vec::new();
    for head in heads {
        match parts.last_mut() {
            Some((name, lessons)) if *name == head.part => lessons.push(head),
            _ => parts.push((head.part.clone(), vec![head])),
        }
    }
    let part = |(name, lessons): (String, Vec<Head>)| {
        view! {
            <section class="course-part">
                <h2>{name}</h2>
                <ol class="course-lessons">{lessons.into_iter().map(|head| view! { <Step head /> }).collect_view()}</ol>
            </section>
        }
    };
    view! {
        <div class="course">
            <h1>"From a number to a solo"</h1>
            <p class="course-about">
                "A song comes with a hole of eight bars in it. In these lessons you learn to read its numbers, find them on the neck, and fill the hole with something worth keeping."
            </p>
            {parts.into_iter().map(part).collect_view()}
            <section class="course-part">
                <h2>"For teachers"</h2>
                <p class="soft">"Set work, send it as a link or a file, and mark what comes back."</p>
                <button type="button" class="do" on:click=move |_| page.act(Command::Show(View::Class))>"Class"</button>
            </section>
        </div>
    }
}

#[component]
fn Step(head: Head) -> impl IntoView {
    let page = Page::here();
    let id = head.id.clone();
    view! {
        <li class="course-lesson">
            <button type="button" on:click=move |_| page.act(Command::OpenLesson(Some(id.clone())))>
                <b>{head.title}</b>
                <span class="small soft">{format!("{} minutes", head.minutes)}</span>
            </button>
        </li>
    }
}
