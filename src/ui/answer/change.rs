//! Which pedal or lever was heard: pressed where the body has it, and heard once more as it is chosen.

use crate::app::lesson_view::{Example, still};
use crate::app::neck_view::Hold;
use crate::sound::LiveEvent;
use crate::steel::{ChangeId, Fret, Instrument, Travel};
use crate::teach::Answer;
use crate::teach::exercise::Task;
use crate::theory::Beats;
use crate::ui::neck::Pedals;
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;
use std::time::Duration;

/// How long the strings ring before what is chosen moves them.
const BEFORE: Duration = Duration::from_millis(500);

/// The pedals and levers of `offered`; one at a time is chosen.
#[component]
pub(super) fn ChangePad(task: Arc<Task>, offered: Vec<String>, answer: RwSignal<Option<Answer>>) -> impl IntoView {
    let whole = &task.setting.instrument;
    // Only what is offered is there to be pressed.
    let mut drawn = whole.clone();
    drawn.changes.retain(|c| offered.contains(&c.name));
    let drawn = Arc::new(drawn);
    let chosen = move || match answer.get() {
        Some(Answer::Change(name)) => Some(name),
        _ => None,
    };
    let hold = {
        let drawn = Arc::clone(&drawn);
        Memo::new(move |_| {
            let open = Hold::at(Fret(0.0), &drawn);
            match chosen().and_then(|name| drawn.change_named(&name)) {
                Some(id) => open.with(id, Travel::DOWN),
                None => open,
            }
        })
    };
    let sound = Sound::of(&task);
    let on_press = {
        let drawn = Arc::clone(&drawn);
        Callback::new(move |(id, _): (ChangeId, Travel)| {
            let Some(name) = drawn.change(id).map(|c| c.name.clone()) else {
                return;
            };
            let now = Some(Answer::Change(name.clone()));
            if answer.with_untracked(|a| *a != now) {
                answer.set(now);
                sound.press(&name);
            }
        })
    };
    view! {
        <div class="neck change-pad">
            <Pedals instrument=Signal::stored(drawn) hold on_press latches=true />
        </div>
        <output class="small soft">{move || chosen().map(|name| say!("You chose {name}.", name))}</output>
    }
}

/// The strings that were heard, to be heard again with another change.
struct Sound {
    page: Page,
    instrument: Instrument,
    silent: Example,
    hold: Hold,
    strings: crate::steel::StringSet,
}

impl Sound {
    fn of(task: &Task) -> Self {
        let instrument = task.setting.instrument.clone();
        let heard = task.heard();
        let bar = heard.as_ref().map_or(Fret(0.0), |h| h.performance.bar_at(Beats::ZERO));
        let plucked = heard.iter().flat_map(|h| h.performance.plucks.iter().map(|p| p.string));
        Self {
            page: Page::here(),
            silent: Example::silent(still(None), instrument.clone()),
            hold: Hold::at(bar, &instrument),
            strings: plucked.collect(),
            instrument,
        }
    }

    /// Plucks with nothing pressed, then presses.
    fn press(&self, name: &str) {
        playing::lend(self.page, &self.silent.score);
        playing::pluck(self.page, self.strings, &self.hold);
        if let Some(change) = self.instrument.change_named(name) {
            let (page, travel) = (self.page, Travel::DOWN);
            set_timeout(move || playing::bend(page, LiveEvent::Press { change, travel }), BEFORE);
        }
    }
}
