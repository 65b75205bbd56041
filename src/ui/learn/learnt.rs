//! What has been learnt: kept on the device, shown on the path, taken away or erased.

use crate::platform::{files, handed, moment, storage};
use crate::teach::exercise::Mark;
use crate::teach::progress::{Day, Progress};
use crate::teach::scorm::{Report, resume_progress};
use crate::ui::language::tell;
use crate::ui::reporting::Reporting;
use crate::ui::state::{Lasting, Page};
use leptos::html::Input;
use leptos::prelude::*;
use leptos::task::spawn_local;
use web_sys::Blob;

/// Where it is kept.
const KEPT: &str = "leadbar-learnt";
/// What the exported file is called.
const FILE: &str = "leadbar-progress.json";
/// The largest file that is looked into, in bytes; progress is some thousand.
const MOST_FILE: u64 = 1 << 20;

/// The student's progress, to be had anywhere below the course.
#[derive(Clone, Copy)]
pub(super) struct Learnt {
    progress: Lasting<RwSignal<Progress>>,
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
        let progress = Lasting::signal(kept.unwrap_or_default());
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

    /// What is read of it, once.
    pub(super) fn untracked<T>(self, read: impl FnOnce(&Progress) -> T) -> T {
        self.progress.with_untracked(read)
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
            page.say(tell(&error.said()));
        }
    }
}

/// The day it is.
pub(super) fn today() -> Day {
    moment::today()
}

/// Saving, bringing in and erasing.
#[component]
pub(super) fn Keeping() -> impl IntoView {
    let page = Page::here();
    let learnt = Learnt::here();
    let sure = RwSignal::new(false);
    let save = move |_| {
        let parts = js_sys::Array::of1(&learnt.progress.with_untracked(Progress::export).into());
        let saved = Blob::new_with_str_sequence(&parts).map_err(|_| files::SaveError);
        match saved.and_then(|file| files::save(&file, FILE)) {
            Ok(()) => page.say(say!("Saved as {file}.", file = FILE)),
            Err(error) => page.say(tell(&error.said())),
        }
    };
    let erase = move |_| {
        sure.set(false);
        learnt.change(page, |progress| *progress = Progress::default());
    };
    let there = move || !learnt.with(Progress::is_empty);
    let choice = move || {
        if sure.get() {
            view! {
                <p>{say!("Everything you have learnt is forgotten on this device.")}</p>
                <div class="line-up">
                    <button type="button" class="do" on:click=erase>{say!("Erase it")}</button>
                    <button type="button" class="do" on:click=move |_| sure.set(false)>{say!("Keep it")}</button>
                </div>
            }
            .into_any()
        } else {
            view! {
                <div class="line-up course-keeping">
                    {move || there().then(|| view! {
                        <button type="button" class="do" on:click=save>{say!("Save as a file")}</button>
                    })}
                    <BringIn />
                    {move || there().then(|| view! {
                        <button type="button" class="do" on:click=move |_| sure.set(true)>{say!("Erase")}</button>
                    })}
                </div>
            }
            .into_any()
        }
    };
    let where_it_is = move || match (there(), learnt.reporting.keeps()) {
        (_, true) => say!("Your learning platform keeps it."),
        (true, _) => say!("It stays on this device. Save it to go on elsewhere, or bring in what you saved there."),
        (false, _) => say!("Nothing yet. Have you learnt on another device? Bring in the file you saved there."),
    };
    view! {
        <section class="course-part" aria-label=say!("Your progress")>
            <h2>{say!("Your progress")}</h2>
            <p class="soft">{where_it_is}</p>
            {choice}
        </section>
    }
}

/// Takes in progress that was saved, here or elsewhere; a file that is none is named with what is wrong.
#[component]
fn BringIn() -> impl IntoView {
    let page = Page::here();
    let learnt = Learnt::here();
    let input = NodeRef::<Input>::new();
    let fault = RwSignal::new(String::new());
    let take = move |file: handed::Handed| {
        spawn_local(async move {
            let name = file.name();
            match brought(&file).await {
                Ok(progress) => {
                    let (skills, lessons) = progress.counts();
                    learnt.change(page, |own| own.merge(&progress));
                    fault.set(String::new());
                    page.say(say!(
                        "Brought in from {name}. Skills: {skills}, lessons: {lessons}.",
                        name,
                        skills,
                        lessons
                    ));
                }
                Err(why) => fault.set(format!("{name}: {why}.")),
            }
        });
    };
    let chosen = move |_| {
        if let Some(input) = input.get_untracked() {
            handed::chosen(&input).into_iter().for_each(take);
            input.set_value("");
        }
    };
    view! {
        <label class="do class-files">
            {say!("Bring in a file")}
            <input type="file" class="unseen" accept=".json,application/json" node_ref=input on:change=chosen />
        </label>
        <div role="status">
            {move || (!fault.with(String::is_empty)).then(|| view! { <p class="fault">{fault.get()}</p> })}
        </div>
    }
}

async fn brought(file: &handed::Handed) -> Result<Progress, String> {
    if file.size() > MOST_FILE {
        return Err(say!("it is far larger than a file of progress").to_owned());
    }
    let text = String::from_utf8(file.bytes().await).map_err(|_| say!("it is no text").to_owned())?;
    Progress::import(&text).map_err(|e| tell(&e.said()))
}
