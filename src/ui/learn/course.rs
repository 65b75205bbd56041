//! The course as a path: its parts, its lessons, and which is next.

use super::learnt::{Keeping, Learnt, today};
use crate::app::{Command, View};
use crate::teach::course;
use crate::teach::lesson::Head;
use crate::teach::progress::{Mastery, Progress};
use crate::teach::review;
use crate::teach::scorm::Content;
use crate::ui::class::SavePackage;
use crate::ui::language::look;
use crate::ui::reporting::{Reporting, Standings};
use crate::ui::state::Page;
use leptos::prelude::*;

/// The most skills that are named as due.
const NAMED: usize = 3;

/// The parts and their lessons in order.
#[component]
pub(super) fn CoursePath() -> impl IntoView {
    let packed = Reporting::here().content().is_some();
    let heads = course::heads();
    let mut parts: Vec<(String, Vec<Head>)> = Vec::new();
    for head in heads.clone() {
        match parts.last_mut() {
            Some((name, lessons)) if *name == head.part => lessons.push(head),
            _ => parts.push((head.part.clone(), vec![head])),
        }
    }
    view! {
        <div class="course">
            <h1>{course::TITLE}</h1>
            <p class="course-about">
                {say!("A song comes with a hole of eight bars in it. In these lessons you learn to read its numbers, find them on the neck, and fill the hole with something worth keeping.")}
            </p>
            <Standings />
            <NextStep heads />
            <Due />
            {parts.into_iter().map(|(name, lessons)| view! { <Part name lessons /> }).collect_view()}
            <Keeping />
            {(!packed).then(|| view! { <ForTeachers /> })}
        </div>
    }
}

/// The one thing to do next: the first lesson, or the first that was not worked through.
#[component]
fn NextStep(heads: Vec<Head>) -> impl IntoView {
    let page = Page::here();
    let learnt = Learnt::here();
    move || {
        let next = learnt.with(|p| heads.iter().find(|h| !p.is_finished(&h.id)).cloned())?;
        let word = if learnt.with(Progress::is_empty) {
            say!("Begin")
        } else {
            say!("Go on")
        };
        let id = next.id.clone();
        Some(view! {
            <div class="course-next">
                <button type="button" class="go" on:click=move |_| page.act(Command::OpenLesson(Some(id.clone())))>
                    {format!("{word}: {}", next.title)}
                </button>
                <span class="small soft">{say!(next.minutes => "{n} minute", "{n} minutes")}</span>
            </div>
        })
    }
}

/// A part of the course, how far one is with it, and its lessons.
#[component]
fn Part(name: String, lessons: Vec<Head>) -> impl IntoView {
    let learnt = Learnt::here();
    let own = lessons.clone();
    let far = Memo::new(move |_| learnt.with(|p| p.of_lessons(&own)));
    let begun = move || learnt.with(|p| !p.is_empty());
    let done = move || far.with(|f| f.read + f.shown);
    let all = move || far.with(|f| f.lessons + f.skills);
    let label = say!("{name}: how far you are", name);
    view! {
        <section class="course-part">
            <h2>{name}</h2>
            {move || begun().then(|| view! {
                <p class="small soft">{far.with(|f| f.words())}</p>
                <progress class="course-far" aria-label=label.clone() max=all value=done></progress>
            })}
            <ol class="course-lessons">{lessons.into_iter().map(|head| view! { <Step head /> }).collect_view()}</ol>
        </section>
    }
}

/// What is here for those who teach.
#[component]
fn ForTeachers() -> impl IntoView {
    let page = Page::here();
    view! {
        <section class="course-part">
            <h2>{say!("For teachers")}</h2>
            <p class="soft">{say!("Set work, send it as a link or a file, and mark what comes back.")}</p>
            <button type="button" class="do" on:click=move |_| page.act(Command::Show(View::Class))>{say!("Class")}</button>
            <h3>{say!("The course on a learning platform")}</h3>
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
                    {say!(head.minutes => "{n} minute", "{n} minutes")}
                    {move || done().then_some(say!(", read"))}
                    {move || known().map(|m| format!(", {}", look(m.name())))}
                </span>
            </button>
        </li>
    }
}

/// What was learnt and is to be met again.
#[component]
fn Due() -> impl IntoView {
    let page = Page::here();
    let learnt = Learnt::here();
    let due = Memo::new(move |_| {
        learnt.with(|p| {
            let due = p.of_the_course();
            due.due(today()).into_iter().map(str::to_owned).collect::<Vec<_>>()
        })
    });
    let review = move |_| page.act(Command::OpenLesson(Some(review::ID.to_owned())));
    move || {
        let due = due.get();
        let words = match due.len() {
            0 => return None,
            count @ 1..=NAMED => format!("{}.", due.get(..count).unwrap_or_default().join(", ")),
            count => say!(
                "{due}, and {count} more.",
                due = due.get(..NAMED).unwrap_or_default().join(", "),
                count = count - NAMED
            ),
        };
        Some(view! {
            <section class="course-part" aria-label=say!("Due today")>
                <h2>{say!("To be met again today")}</h2>
                <p class="soft">{words}</p>
                <button type="button" class="do" on:click=review>
                    {say!(due.len().min(review::MOST) => "Meet it again", "Meet {n} again")}
                </button>
            </section>
        })
    }
}
