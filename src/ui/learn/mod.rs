//! The course: its path, and one lesson at a time with what is seen, heard and tried in it.

mod chart;
mod course;
mod drafts;
mod learnt;
mod lesson;
mod neck;
mod pass;
mod practice;
mod prose;
mod review;

use crate::app::Command;
use crate::teach::course as shipped;
use crate::teach::review as due;
use crate::ui::playing;
use crate::ui::state::Page;
use course::CoursePath;
use learnt::Learnt;
use leptos::prelude::*;
use lesson::LessonPage;
use review::ReviewPage;

/// The course, or the lesson that is open.
#[component]
pub(super) fn LearnView() -> impl IntoView {
    let page = Page::here();
    Learnt::provide();
    Learnt::here().tell(page);
    on_cleanup(move || playing::give_back(page));
    let open = Memo::new(move |_| page.desk.with(|d| d.lesson.clone()));
    Effect::new(move |before: Option<()>| {
        open.track();
        if before.is_some() {
            playing::give_back(page);
            window().scroll_to_with_x_and_y(0.0, 0.0);
        }
    });
    move || match open.get() {
        None => view! { <CoursePath /> }.into_any(),
        Some(id) if id == due::ID => view! { <ReviewPage /> }.into_any(),
        Some(id) => match shipped::lesson(&id) {
            Some(lesson) => view! { <LessonPage lesson /> }.into_any(),
            None => view! { <NoLesson /> }.into_any(),
        },
    }
}

/// An address that names no lesson.
#[component]
fn NoLesson() -> impl IntoView {
    let page = Page::here();
    view! {
        <div class="empty">
            <h1>{say!("There is no such lesson")}</h1>
            <p>{say!("It may have another name by now. The course lists them all.")}</p>
            <button type="button" class="go" on:click=move |_| page.act(Command::OpenLesson(None))>
                {say!("To the course")}
            </button>
        </div>
    }
}
