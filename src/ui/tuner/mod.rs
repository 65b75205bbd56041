//! The tuner: the instrument in hand against its targets, by microphone.

mod dial;
mod pair;
mod strings;

use super::ears::{Ears, Listen};
use super::state::Page;
use crate::app::neck_view::Hold;
use crate::app::tuner::{Pair, PairShown, Pointer, Shown, Target, targets};
use crate::app::{Command, View};
use crate::platform::microphone::Block;
use crate::sound::SampleRate;
use crate::steel::{ChangeId, Fret, StringNumber, StringSet, Travel};
use crate::ui::controls::{Choice, words};
use crate::ui::ears::Hearing;
use crate::ui::language::{known, look};
use dial::Dial;
use leptos::prelude::*;
use pair::Beats;
use strings::{Pressed, Strings};

/// One string at a time, or the beats of two.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Manner {
    One,
    Two,
}

/// What listens to the microphone.
enum Ear {
    One(Pointer),
    Two(Pair),
}

/// What the tuner is set to and what it shows.
#[derive(Clone, Copy)]
struct Tuner {
    page: Page,
    manner: RwSignal<Manner>,
    /// The change that is held down.
    pressed: RwSignal<Option<ChangeId>>,
    /// The string it is held on; nothing while it finds the string by itself.
    held: RwSignal<Option<StringNumber>>,
    /// The two strings whose beats are counted, as far as they are chosen.
    two: RwSignal<Vec<StringNumber>>,
    targets: Memo<Vec<Target>>,
    ears: Ears,
    ear: StoredValue<Option<Ear>, LocalStorage>,
    shown: RwSignal<Option<Shown>>,
    pair: RwSignal<Option<PairShown>>,
}

impl Tuner {
    fn new(page: Page) -> Self {
        let pressed = RwSignal::new(None);
        let targets = Memo::new(move |_| {
            let Some(instrument) = page.instrument.get() else {
                return Vec::new();
            };
            let tuning = page.work.with(|w| w.rig.tuning(&instrument));
            targets(&instrument, &tuning, pressed.get())
        });
        let tuner = Self {
            page,
            manner: RwSignal::new(Manner::One),
            pressed,
            held: RwSignal::new(None),
            two: RwSignal::new(Vec::new()),
            targets,
            ears: Ears::new(),
            ear: StoredValue::new_local(None),
            shown: RwSignal::new(None),
            pair: RwSignal::new(None),
        };
        tuner.follow();
        tuner
    }

    /// Whatever is set anew is listened for anew.
    fn follow(self) {
        // Another instrument has other changes and strings.
        let instrument = Memo::new(move |_| self.page.instrument.with(|i| i.as_ref().map(|i| i.id.clone())));
        Effect::new(move |before: Option<Option<String>>| {
            let now = instrument.get();
            if before.is_some_and(|before| before != now) {
                self.press(None);
            }
            now
        });
        Effect::new(move || {
            let set = (self.manner.get(), self.held.get(), self.two.get(), self.targets.get());
            let Hearing::On(rate, _) = self.ears.hearing.get() else {
                self.ear.set_value(None);
                self.shown.set(None);
                self.pair.set(None);
                return;
            };
            let (manner, held, two, targets) = set;
            let ear = match manner {
                Manner::One => Some(Ear::One(Pointer::new(rate, targets, held))),
                Manner::Two => chosen(&targets, &two).and_then(|(a, b)| Some(Ear::Two(Pair::new(rate, &a, &b)?))),
            };
            self.shown.set(None);
            self.pair.set(None);
            self.ear.set_value(ear);
        });
    }

    /// Tunes with this change held down, or with none.
    fn press(self, change: Option<ChangeId>) {
        self.held.set(None);
        self.two.set(Vec::new());
        self.pressed.set(change);
    }

    /// Holds on a string, or finds it by itself again; with two strings, takes the string or lets it go.
    fn take(self, string: StringNumber) {
        match self.manner.get_untracked() {
            Manner::One => self
                .held
                .update(|held| *held = (*held != Some(string)).then_some(string)),
            Manner::Two => self.two.update(|two| {
                if let Some(at) = two.iter().position(|s| *s == string) {
                    two.remove(at);
                    return;
                }
                // The one chosen first makes room.
                if two.len() == 2 {
                    two.remove(0);
                }
                two.push(string);
            }),
        }
    }

    /// Whether a string is held on, or is one of the two.
    fn taken(self, string: StringNumber) -> bool {
        match self.manner.get() {
            Manner::One => self.held.get() == Some(string),
            Manner::Two => self.two.with(|two| two.contains(&string)),
        }
    }

    fn hear(self, block: &Block) {
        self.ear.update_value(|ear| match ear {
            Some(Ear::One(pointer)) => {
                pointer.hear(&block.samples);
                let shown = pointer.shown();
                if self.shown.get_untracked() != shown {
                    self.shown.set(shown);
                }
            }
            Some(Ear::Two(pair)) => {
                pair.hear(&block.samples);
                let shown = Some(pair.shown());
                if self.pair.get_untracked() != shown {
                    self.pair.set(shown);
                }
            }
            None => {}
        });
    }

    /// The strings a reference tone is for: those chosen, or the one that is pointed at.
    fn reference(self) -> StringSet {
        let one = || self.held.get().or_else(|| self.shown.with(|s| s.map(|s| s.string)));
        match self.manner.get() {
            Manner::One => one().into_iter().collect(),
            Manner::Two => self.two.get().into_iter().collect(),
        }
    }

    /// Sounds the targets of these strings.
    fn sound(self, strings: StringSet) {
        let Some(instrument) = self.page.instrument.get_untracked() else {
            return;
        };
        let mut hold = Hold::at(Fret(0.0), &instrument);
        let pressed = self.pressed.get_untracked();
        for (id, travel) in instrument.change_ids().zip(&mut hold.travels) {
            *travel = Travel(if Some(id) == pressed { 1.0 } else { 0.0 });
        }
        super::playing::pluck(self.page, strings, &hold);
    }
}

/// The two chosen targets.
fn chosen(targets: &[Target], two: &[StringNumber]) -> Option<(Target, Target)> {
    let of = |string: &StringNumber| targets.iter().find(|t| t.string == *string).cloned();
    match two {
        [one, other] => Some((of(one)?, of(other)?)),
        _ => None,
    }
}

/// The view of the tuner.
#[component]
pub(super) fn TunerView() -> impl IntoView {
    let page = Page::here();
    let tuner = Tuner::new(page);
    let manner = Signal::derive(move || tuner.manner.get());
    let tuned = move || {
        let instrument = page.instrument.get()?;
        let manner = page.work.with(|w| w.rig.tuning(&instrument)).manner;
        Some(say!(
            "{name}. Tuned: {manner}.",
            name = known(&instrument.name),
            manner = look(manner.name())
        ))
    };
    let two = move || tuner.manner.get() == Manner::Two;
    view! {
        <h1 class="unseen">{say!("Tuner")}</h1>
        <div class="tuner">
            <section class="tuner-dial" aria-label=say!("What is heard")>
                {move || if two() {
                    view! { <Beats tuner=tuner /> }.into_any()
                } else {
                    view! { <Dial tuner=tuner /> }.into_any()
                }}
                <p class="small hint tuner-care">
                    {say!("Turn slowly and keep your face away from the strings: one can break while you tune up. Glasses protect the eyes.")}
                </p>
                <Listen ears=tuner.ears listen=move |_: SampleRate, block: Block| tuner.hear(&block) />
            </section>
            <section class="tuner-strings" aria-label=say!("What is tuned")>
                <p class="small soft">
                    {tuned}" "
                    <button type="button" class="link" on:click=move |_| page.act(Command::Show(View::Rig))>{say!("Change that in the rig")}</button>
                </p>
                <Choice
                    name=say!("Measure")
                    options=words([(Manner::One, say!("One string")), (Manner::Two, say!("Beats of two"))])
                    value=manner
                    on_change=move |manner| tuner.manner.set(manner)
                />
                <Pressed tuner=tuner />
                <Strings tuner=tuner />
            </section>
        </div>
    }
}
