//! What a learning platform is told while this page runs out of a package.
//!
//! *Invariant:* an ordinary page has no platform and looks for none; a package works without one too, and says so.

use super::state::{Lasting, Page};
use crate::app::{Command, View};
use crate::exchange::link::LinkError;
use crate::platform::frames::clock;
use crate::platform::scorm::{Platform, PlatformError};
use crate::teach::scorm::{Content, Report, Standing, timespan};
use crate::theory::Seconds;
use crate::ui::language::tell;
use leptos::ev;
use leptos::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

const TIME: &str = "cmi.core.session_time";
const EXIT: &str = "cmi.core.exit";
const PLACE: &str = "cmi.core.lesson_location";
const SUSPENDED: &str = "cmi.suspend_data";

/// How this page and a learning platform stand to each other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Link {
    /// This is no package.
    Ordinary,
    /// A package, and no platform that listens.
    Alone,
    /// The platform opened it for looking only: nothing is told.
    Looking,
    /// The platform takes what it is told.
    Live,
    /// The platform did not take something: what, in words.
    Broken(String),
    /// The visit has ended.
    Ended,
}

/// The reporting, to be had anywhere below the shell.
#[derive(Clone, Copy)]
pub(super) struct Reporting {
    content: StoredValue<Option<Arc<Content>>>,
    link: Lasting<RwSignal<Link>>,
    standing: StoredValue<Standing>,
    platform: StoredValue<Option<Platform>, LocalStorage>,
    /// What the platform holds, by element.
    told: StoredValue<BTreeMap<&'static str, String>>,
    /// When the visit began, by the page's clock.
    since: f64,
}

impl Reporting {
    /// Takes up what the platform keeps, if this is a package and there is one.
    pub(super) fn begin(page: Page, packed: Option<Result<Content, LinkError>>) {
        let (content, link, platform) = match packed {
            None => (None, Link::Ordinary, None),
            Some(Err(error)) => {
                page.say(tell(&error.said()));
                (None, Link::Ordinary, None)
            }
            Some(Ok(content)) => {
                let (link, platform) = reached(Platform::begin());
                (Some(Arc::new(content)), link, platform)
            }
        };
        let value = |name| platform.as_ref().map(|p: &Platform| p.value(name)).unwrap_or_default();
        let standing = Standing::read(&value("cmi.core.lesson_mode"), &value("cmi.student_data.mastery_score"));
        let told = [PLACE, SUSPENDED].map(|name| (name, value(name))).into();
        let looking = platform.is_some() && !standing.counts;
        let own = Self {
            content: StoredValue::new(content),
            link: Lasting::signal(if looking { Link::Looking } else { link }),
            standing: StoredValue::new(standing),
            platform: StoredValue::new_local(platform),
            told: StoredValue::new(told),
            since: clock(),
        };
        provide_context(own);
        own.end_with_the_page();
        if own.content().as_deref() == Some(&Content::Course) {
            page.act(Command::OpenLesson(Some(own.place()).filter(|id| !id.is_empty())));
            page.act(Command::Show(View::Learn));
        }
    }

    /// That of the shell around.
    pub(super) fn here() -> Self {
        expect_context()
    }

    /// What this page holds, if it runs out of a package.
    pub(super) fn content(self) -> Option<Arc<Content>> {
        self.content.get_value()
    }

    /// How page and platform stand to each other.
    pub(super) fn link(self) -> Link {
        self.link.get()
    }

    /// Whether a platform keeps what is done here, so that this device keeps nothing of it.
    pub(super) fn keeps(self) -> bool {
        self.platform.with_value(Option::is_some)
    }

    /// How the platform opened the package.
    pub(super) fn standing(self) -> Standing {
        self.standing.get_value()
    }

    /// What was told last to go on from, in this visit or the one before.
    pub(super) fn suspended(self) -> String {
        self.held(SUSPENDED)
    }

    /// Where the student was.
    pub(super) fn place(self) -> String {
        self.held(PLACE)
    }

    fn held(self, element: &str) -> String {
        self.told
            .with_value(|told| told.get(element).cloned().unwrap_or_default())
    }

    /// Tells the platform what has changed.
    pub(super) fn tell(self, report: &Report) {
        if !self.keeps() {
            return;
        }
        let mut news = report.elements();
        self.told.update_value(|told| {
            news.retain(|(name, value)| told.get(name) != Some(value));
            told.extend(news.iter().cloned());
        });
        if self.standing.get_value().counts && !news.is_empty() {
            self.send(&news);
        }
    }

    /// Sends elements with the time spent, and has them written down.
    fn send(self, elements: &[(&'static str, String)]) {
        let spent = timespan(Seconds((clock() - self.since) / 1000.0));
        let sent = self.platform.with_value(|platform| {
            let platform = platform.as_ref()?;
            let elements = elements.iter().map(|(name, value)| (*name, value.as_str()));
            let last = [(TIME, spent.as_str()), (EXIT, "suspend")];
            let refused = elements
                .chain(last)
                .filter_map(|(name, value)| platform.set(name, value).err())
                .next();
            Some(refused.map_or_else(|| platform.commit(), Err))
        });
        match sent {
            Some(Ok(())) => self.link.set(Link::Live),
            Some(Err(error)) => {
                // What was refused is told again with the next change.
                self.told.update_value(BTreeMap::clear);
                self.link.set(Link::Broken(tell(&error.said())));
            }
            None => {}
        }
    }

    /// Has the time written down whenever the page is put away, and ends the visit with it.
    fn end_with_the_page(self) {
        if !self.keeps() {
            return;
        }
        let hidden = window_event_listener(ev::visibilitychange, move |_| {
            if document().hidden() && self.standing.get_value().counts {
                self.send(&[]);
            }
        });
        let gone = window_event_listener(ev::pagehide, move |_| {
            if self.standing.get_value().counts {
                self.send(&[]);
            }
            self.platform.set_value(None);
            self.link.set(Link::Ended);
        });
        on_cleanup(move || {
            hidden.remove();
            gone.remove();
        });
    }
}

fn reached(begun: Result<Option<Platform>, PlatformError>) -> (Link, Option<Platform>) {
    match begun {
        Ok(Some(platform)) => (Link::Live, Some(platform)),
        Ok(None) => (Link::Alone, None),
        Err(error) => (Link::Broken(tell(&error.said())), None),
    }
}

/// How things stand, in words; nothing on an ordinary page.
#[component]
pub(super) fn Standings() -> impl IntoView {
    let reporting = Reporting::here();
    let words = move || {
        let words = match reporting.link() {
            Link::Ordinary => return None,
            Link::Live => say!("Your learning platform is told your score after each answer, and keeps your place."),
            Link::Looking => say!("Your learning platform opened this for looking: nothing is reported or kept."),
            Link::Alone => {
                say!("No learning platform answers here, so no score is reported. What you do stays on this device.")
            }
            Link::Ended => say!("This visit has ended. Open it again from your learning platform."),
            Link::Broken(words) => return Some(view! { <p class="fault">{format!("{words}.")}</p> }.into_any()),
        };
        Some(view! { <p class="small soft">{words}</p> }.into_any())
    };
    view! { <div role="status">{words}</div> }
}
