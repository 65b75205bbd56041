//! For teachers: work to set, and what came back.

mod compose;
mod marks;
mod package;
mod share;
mod sit;
mod table;

use crate::app::learning::Sitting;
use crate::app::{Command, View};
use crate::exchange::json;
use crate::exchange::link;
use crate::platform::storage;
use crate::teach::Assignment;
use crate::teach::scorm::{Content, MOST_SUSPENDED, Report, resume_attempt};
use crate::ui::apart::sit;
use crate::ui::controls::{Choice, words};
use crate::ui::language::tell;
use crate::ui::later::Later;
use crate::ui::reporting::{Reporting, Standings};
use crate::ui::state::{Lasting, Page};
use compose::Compose;
use leptos::prelude::*;
use marks::Marks;
pub(super) use package::SavePackage;
use sit::Sit;

/// Under which name the work being set is kept on the device.
const NAME: &str = "leadbar.class";
/// Under which name the work being answered is kept.
const SITTING: &str = "leadbar.sitting";

/// The work that a student is at, if any.
#[derive(Clone, Copy)]
pub(super) struct Opened(Lasting<RwSignal<Option<RwSignal<Sitting>>>>);

/// How a student comes to work that was set.
pub(super) enum Seat {
    /// It is what this package holds.
    Packed,
    /// It was begun in an earlier visit.
    Kept,
    /// By a link, which this is.
    Link(String),
}

/// Makes room for work to be answered, and takes up what was begun or what a package holds.
pub(super) fn begin(page: Page) {
    let opened = Opened(Lasting::signal(None));
    provide_context(opened);
    let reporting = Reporting::here();
    if let Some(Content::Work(_)) = reporting.content().as_deref() {
        page.act(Command::Show(View::Class));
        sit(page, opened, reporting, Seat::Packed);
    } else if storage::kept(SITTING).is_some() {
        sit(page, opened, reporting, Seat::Kept);
    }
}

/// Sits down to work, now that it is known how one comes to it.
pub(super) fn take_seat(page: Page, opened: Opened, reporting: Reporting, seat: Seat) {
    match seat {
        Seat::Packed => {
            if let Some(Content::Work(work)) = reporting.content().as_deref() {
                opened.sit_packed(page, reporting, work);
            }
        }
        Seat::Kept => {
            if let Some(kept) = kept_sitting() {
                opened.sit(kept);
            }
        }
        Seat::Link(address) => {
            match link::read::<Assignment>(&address) {
                Ok(work) => opened.sit(Sitting::resumed(work, kept_sitting())),
                Err(error) => page.say(tell(&error.said())),
            }
            page.act(Command::Show(View::Class));
        }
    }
}

fn kept_sitting() -> Option<Sitting> {
    storage::kept(SITTING).and_then(|text| serde_json::from_str(&text).ok())
}

impl Opened {
    /// Sits down to the work of a package: the platform keeps what is answered, or this device where there is none.
    fn sit_packed(self, page: Page, reporting: Reporting, work: &Assignment) {
        if !reporting.keeps() {
            self.sit(Sitting::resumed(work.clone(), kept_sitting()));
            return;
        }
        let mut sitting = Sitting::new(work.clone());
        match resume_attempt(work, &reporting.suspended()) {
            Ok(kept) => sitting.attempt = kept.unwrap_or(sitting.attempt),
            Err(error) => page.say(format!("{}.", tell(&error.said()))),
        }
        let sitting = RwSignal::new(sitting);
        let attempt = Memo::new(move |_| sitting.with(|s| s.attempt.clone()));
        Effect::new(move |_| {
            let work = sitting.with_untracked(|s| s.work.clone());
            let (report, let_go) = attempt.with(|a| Report::of_attempt(&work, a, reporting.standing()));
            reporting.tell(&report);
            if let_go > 0 {
                page.say(say!(
                    let_go => "Your platform has room for {room} characters: of your oldest answer it keeps only the mark.",
                    "Your platform has room for {room} characters: of your {n} oldest answers it keeps only the marks.",
                    room = MOST_SUSPENDED
                ));
            }
        });
        self.0.set(Some(sitting));
    }

    /// Sits down to some work, and keeps what is answered.
    fn sit(self, sitting: Sitting) {
        let sitting = RwSignal::new(sitting);
        Effect::new(move |_| {
            let text = sitting.with(json::text);
            // What the browser will not keep can still be handed in.
            let _ = storage::keep(SITTING, &text);
        });
        self.0.set(Some(sitting));
    }
}

/// What a teacher is at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum At {
    Answering,
    Setting,
    Marking,
}

/// The teacher's desk.
#[component]
pub(super) fn ClassView() -> impl IntoView {
    let opened = expect_context::<Opened>();
    let packed = Reporting::here().content().is_some();
    let at = RwSignal::new(At::Setting);
    let class = marks::taken();
    // Work that is opened is what one came for.
    Effect::new(move |_| {
        if opened.0.with(Option::is_some) {
            at.set(At::Answering);
        }
    });
    let work = RwSignal::new(kept());
    Effect::new(move |before: Option<()>| {
        let text = work.with(json::text);
        if before.is_some() {
            // What the browser will not keep is still there to be shared.
            let _ = storage::keep(NAME, &text);
        }
    });
    view! {
        <div class="class">
            <h1>{say!("Class")}</h1>
            {move || {
                if packed {
                    return view! { <Standings /> }.into_any();
                }
                let mut options = words([(At::Setting, say!("Set work")), (At::Marking, say!("Mark answers"))]);
                if opened.0.with(Option::is_some) {
                    options.insert(0, (At::Answering, say!("Answer").to_owned()));
                }
                let about = move || (at.get() != At::Answering).then(|| view! {
                    <p class="soft class-about">
                        {say!("Set work and mark it, without accounts: all of it travels by link or by file, and the marks are computed here.")}
                    </p>
                });
                view! {
                    {about}
                    <Choice name=say!("Do") plain=true options value=at on_change=move |to| at.set(to) />
                }
                .into_any()
            }}
            {move || match at.get() {
                At::Answering => opened.0.get().map(|sitting| view! { <Sit sitting /> }).into_any(),
                At::Setting => view! { <Later><Compose work /></Later> }.into_any(),
                At::Marking => view! { <Marks class /> }.into_any(),
            }}
        </div>
    }
}

/// The work that was being set, or an empty sheet with hints on.
fn kept() -> Assignment {
    let kept = storage::kept(NAME).and_then(|text| serde_json::from_str(&text).ok());
    kept.unwrap_or_else(|| Assignment {
        hints: true,
        ..Assignment::default()
    })
}
