//! The course as a path: its parts, its lessons, and which is next.

use super::learnt::{Keeping, Learnt, today};
use crate::app::{Command, View};
use crate::teach::course;
use crate::teach::lesson::Head;
use crate::teach::progress::Mastery;
use crate::teach::scorm::Content;
use crate::ui::class::SavePackage;
use crate::ui::reporting::{Reporting, Standings};
use crate::ui::state::Page;
use leptos::prelude::*;

/// The parts and their lessons in order.
#[component]
pub(super) fn CoursePath() -> impl IntoView {
    let packed = Reporting::here().content().is_some();
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
            <h1>{course::TITLE}</h1>
            <p class="course-about">
                "A song comes with a hole of eight bars in it. In these lessons you learn to read its numbers, find them on the neck, and fill the hole with something worth keeping."
            </p>
            <Standings />
            <Due />
            {parts.into_iter().map(part).collect_view()}
            <Keeping />
            {(!packed).then(|| view! { <ForTeachers /> })}
        </div>
    }
}

/// What is here for those who teach.
#[component]
fn ForTeachers() -> impl IntoView {
    let page = Page::here();
    view! {
        <section class="course-part">
            <h2>"For teachers"</h2>
            <p class="soft">"Set work, send it as a link or a file, and mark what comes back."</p>
            <button type="button" class="do" on:click=move |_| page.act(Command::Show(View::Class))>"Class"</button>
            <h3>"The course on a learning platform"</h3>
            <SavePackage content=|| Content::Course />
        </section>
    }
}

#[component]
fn Step(head: Head) -> impl IntoView {
    let page = Page::here();
    let learnt = Learnt::here();
    let id = head.id.clone();
    let own = head.id.clone();
    let done = move || learnt.with(|p| p.is_finished(&own));
    let (lesson, trained) = (head.id.clone(), head.skills.clone());
    let full = move || learnt.with(|p| p.is_finished(&lesson));
    let begun = move || learnt.with(|p| trained.iter().any(|s| p.mastery(s) > Mastery::New));
    let skills = head.skills.clone();
    // A lesson is as well known as the skill in it that is known least.
    let known = move || {
        learnt
            .with(|p| skills.iter().map(|s| p.mastery(s)).min())
            .filter(|m| *m > Mastery::New)
    };
    view! {
        <li class="course-lesson" class:begun=begun class:done=full>
            <button type="button" on:click=move |_| page.act(Command::OpenLesson(Some(id.clone())))>
                <b>{head.title}</b>
                <span class="small soft">
                    {format!("{} minutes", head.minutes)}
                    {move || done().then_some(", read")}
                    {move || known().map(|m| format!(", {}", m.name()))}
                </span>
            </button>
        </li>
    }
}

/// What was learnt and is to be met again, by lesson.
#[component]
fn Due() -> impl IntoView {
    let page = Page::here();
    let learnt = Learnt::here();
    let lessons = move || {
        let due: Vec<String> = learnt.with(|p| p.due(today()).into_iter().map(str::to_owned).collect());
        let again = |head: &Head| head.skills.iter().any(|skill| due.contains(skill));
        course::heads().into_iter().filter(again).take(3).collect::<Vec<_>>()
    };
    let one = move |head: Head| {
        let id = head.id.clone();
        view! {
            <button type="button" class="do" on:click=move |_| page.act(Command::OpenLesson(Some(id.clone())))>{head.title}</button>
        }
    };
    move || {
        let lessons = lessons();
        (!lessons.is_empty()).then(|| {
            view! {
                <section class="course-part">
                    <h2>"To be met again today"</h2>
                    <div class="line-up">{lessons.into_iter().map(one).collect_view()}</div>
                </section>
            }
        })
    }
}
