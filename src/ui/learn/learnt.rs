//! What has been learnt: kept on the device, shown on the path, taken away or erased.

use crate::platform::{files, moment, storage};
use crate::teach::exercise::Mark;
use crate::teach::progress::{Day, Progress};
use crate::teach::scorm::{Report, resume_progress};
use crate::ui::reporting::Reporting;
use crate::ui::state::Page;
use leptos::prelude::*;
use web_sys::Blob;

/// Where it is kept.
const KEPT: &str = "leadbar-learnt";
/// What the exported file is called.
const FILE: &str = "leadbar-progress.json";

/// The student's progress, to be had anywhere below the course.
#[derive(Clone, Copy)]
pub(super) struct Learnt {
    progress: RwSignal<Progress>,
    reporting: Reporting,
}

impl Learnt {
    /// Takes up what is kept: by the learning platform where there is one, else by the device. What cannot be read is
    /// left as it lies until something new is learnt.
    pub(super) fn provide() {
        let reporting = Reporting::here();
        let kept = if reporting.keeps() {
            resume_progress(&reporting.suspended()).ok().flatten()
        } else {
            storage::kept(KEPT).and_then(|text| Progress::import(&text).ok())
        };
        let progress = RwSignal::new(kept.unwrap_or_default());
        provide_context(Self { progress, reporting });
    }

    /// Tells a learning platform how far the course is, now and whenever that changes.
    pub(super) fn tell(self, page: Page) {
        if !self.reporting.keeps() {
            return;
        }
        let lesson = Memo::new(move |_| page.desk.with(|d| d.lesson.clone()));
        Effect::new(move |_| {
            let told = self.reporting;
            let report = self
                .progress
                .with(|p| Report::of_course(p, lesson.get().as_deref(), told.standing()));
            told.tell(&report);
        });
    }

    /// That of the course around.
    pub(super) fn here() -> Self {
        expect_context()
    }

    /// What is read of it.
    pub(super) fn with<T>(self, read: impl FnOnce(&Progress) -> T) -> T {
        self.progress.with(read)
    }

    /// Notes a marked answer.
    pub(super) fn note(self, page: Page, skill: &str, mark: &Mark, hinted: bool) {
        self.change(page, |progress| progress.note(skill, mark, hinted, moment::today()));
    }

    /// Notes that a lesson was worked through.
    pub(super) fn finish(self, page: Page, lesson: &str) {
        self.change(page, |progress| progress.finish(lesson, moment::today()));
    }

    fn change(self, page: Page, change: impl FnOnce(&mut Progress)) {
        self.progress.update(change);
        if self.reporting.keeps() {
            return;
        }
        if let Err(error) = storage::keep(KEPT, &self.progress.with_untracked(Progress::export)) {
            page.say(error.to_string());
        }
    }
}

/// The day it is.
pub(super) fn today() -> Day {
    moment::today()
}

/// Saving and erasing.
#[component]
pub(super) fn Keeping() -> impl IntoView {
    let page = Page::here();
    let learnt = Learnt::here();
    let sure = RwSignal::new(false);
    let save = move |_| {
        let parts = js_sys::Array::of1(&learnt.progress.with_untracked(Progress::export).into());
        let saved = Blob::new_with_str_sequence(&parts).map_err(|_| files::SaveError);
        match saved.and_then(|file| files::save(&file, FILE)) {
            Ok(()) => page.say(format!("Saved as {FILE}.")),
            Err(error) => page.say(error.to_string()),
        }
    };
    let erase = move |_| {
        sure.set(false);
        learnt.change(page, |progress| *progress = Progress::default());
    };
    let shown = move || !learnt.with(Progress::is_empty);
    let choice = move || {
        if sure.get() {
            view! {
                <p>"Everything you have learnt is forgotten on this device."</p>
                <div class="line-up">
                    <button type="button" class="do" on:click=erase>"Erase it"</button>
                    <button type="button" class="do" on:click=move |_| sure.set(false)>"Keep it"</button>
                </div>
            }
            .into_any()
        } else {
            view! {
                <div class="line-up">
                    <button type="button" class="do" on:click=save>"Save as a file"</button>
                    <button type="button" class="do" on:click=move |_| sure.set(true)>"Erase"</button>
                </div>
            }
            .into_any()
        }
    };
    move || {
        shown().then(|| {
            view! {
                <section class="course-part">
                    <h2>"Your progress"</h2>
                    <p class="soft">
                        {if learnt.reporting.keeps() { "Your learning platform keeps it." } else { "It stays on this device." }}
                    </p>
                    {choice}
                </section>
            }
        })
    }
}
