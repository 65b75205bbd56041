//! A phrase as an answer: seen as lanes and tab while it is built, stroke by stroke, and heard with the band.

use super::asked::Told;
use super::grip::GripEditor;
use super::pointed::Pointed;
use crate::app::answering::{NOWHERE, Way, example_of, grip_words};
use crate::app::lanes_view::{Spot, SpotKind};
use crate::app::lesson_view::Example;
use crate::app::sketch::Sketch;
use crate::solo::Performance;
use crate::solo::stroke::{Grip, Stroke};
use crate::teach::exercise::{Input, Shown, Task};
use crate::teach::{Answer, rows};
use crate::theory::Beats;
use crate::ui::controls::{BackForth, Choice, words};
use crate::ui::example::Played;
use crate::ui::icons::{Icon, Sign};
use crate::ui::language::tell;
use crate::ui::neck::OpenNeck;
use leptos::prelude::*;
use std::sync::Arc;

/// How much of the song is pointed at: a beat of a stroke, or the half beat where nothing is struck.
const POINT: [Beats; 2] = [Beats(1.0), Beats(0.5)];

/// The phrase under the hand.
#[derive(Clone, Copy)]
struct Desk {
    task: StoredValue<Arc<Task>>,
    sketch: RwSignal<Sketch>,
    example: RwSignal<Option<Example>>,
    answer: RwSignal<Option<Answer>>,
    /// Whether the hand has been anywhere: until then the lanes show their beginning.
    moved: RwSignal<bool>,
}

impl Desk {
    fn of(task: &Arc<Task>, answer: RwSignal<Option<Answer>>) -> Self {
        let sketch = Sketch::of(task, answer.get_untracked().as_ref());
        Self {
            example: RwSignal::new(played(task, &sketch)),
            task: StoredValue::new(Arc::clone(task)),
            sketch: RwSignal::new(sketch),
            moved: RwSignal::new(false),
            answer,
        }
    }

    /// Changes the phrase: it is drawn and answered anew.
    fn edit(self, how: impl FnOnce(&mut Sketch)) {
        self.look(how);
        let task = self.task.get_value();
        self.sketch.with_untracked(|sketch| {
            self.example.set(played(&task, sketch));
            self.answer.set(sketch.answer(&task.setting));
        });
    }

    /// Looks elsewhere, without changing anything.
    fn look(self, how: impl FnOnce(&mut Sketch)) {
        self.moved.set(true);
        self.sketch.update(how);
    }

    fn moment(self, at: Beats) -> String {
        self.task.with_value(|t| rows::moment_name(&t.setting.timeline, at))
    }

    fn words(self, grip: Grip) -> String {
        self.task.with_value(|t| tell(&grip_words(&t.setting.instrument, grip)))
    }
}

/// What is heard and seen of a phrase; one without a string is silent.
fn played(task: &Task, sketch: &Sketch) -> Option<Example> {
    let answer = sketch.answer(&task.setting);
    let silent = || Answer::Phrase(String::new());
    example_of(task, Some(&answer.unwrap_or_else(silent)))
}

/// What the phrase was at first, to be seen behind what is made of it.
fn given(task: &Task) -> Option<(Vec<Stroke>, Arc<Performance>)> {
    match (task.shown(), task.input()) {
        (Shown::Strokes(shown), Input::Phrase(first)) if shown == first => {
            let performance = task.setting.performance(&first);
            Some((first, Arc::new(performance)))
        }
        _ => None,
    }
}

/// Strokes to put down, change and take away.
#[component]
pub(super) fn PhrasePad(task: Arc<Task>, answer: RwSignal<Option<Answer>>, told: Told) -> impl IntoView {
    let desk = Desk::of(&task, answer);
    let sketch = desk.sketch;
    Effect::new(move || {
        if let Some(Pointed::At(at)) = told.pointed.get() {
            desk.look(|s| s.point(at));
        }
    });
    let before = given(&task);
    let other = Signal::derive(move || {
        let (first, performance) = before.as_ref()?;
        sketch.with(|s| (s.strokes() != first).then(|| Arc::clone(performance)))
    });
    let spots = Signal::derive(move || {
        // What is looked at lies under what was marked.
        let mut spots = vec![sketch.with(looked_at)];
        spots.extend(told.spots.get());
        spots
    });
    let on_point = Callback::new(move |at| desk.look(|s| s.point(at)));
    let here = Signal::derive(move || desk.moved.get().then(|| sketch.with(Sketch::here)));
    let drawn = desk.example.get_untracked().map(|first| {
        let example = Signal::derive(move || desk.example.get().unwrap_or_else(|| first.clone()));
        view! { <Played example name=say!("Hear it with the band") other spots here on_point /> }
    });
    view! {
        <div class="phrase-pad">
            {drawn}
            <Strokes desk />
            <div class="line-up">
                <button type="button" class="do" on:click=move |_| desk.edit(Sketch::put)>{say!("Put down a stroke")}</button>
                <BackForth
                    can_undo=Signal::derive(move || sketch.with(Sketch::can_undo))
                    can_redo=Signal::derive(move || sketch.with(Sketch::can_redo))
                    on_undo=move || desk.edit(Sketch::undo)
                    on_redo=move || desk.edit(Sketch::redo)
                />
            </div>
            <Here desk />
        </div>
    }
}

/// The stretch that is looked at: the beginning of a stroke, or the half beat where one can be put.
fn looked_at(sketch: &Sketch) -> Spot {
    let from = sketch.here();
    let next = sketch.strokes().iter().map(|s| s.at).find(|at| *at > from);
    let to = from + if sketch.chosen().is_some() { POINT[0] } else { POINT[1] };
    Spot {
        from,
        to: next.map_or(to, |next| next.min(to)),
        kind: SpotKind::Picked,
    }
}

/// The strokes as a row of buttons: what is drawn above, for the keyboard and for readers.
#[component]
fn Strokes(desk: Desk) -> impl IntoView {
    let one = move |stroke: &Stroke| {
        let at = stroke.at;
        let name = format!("{} {}", desk.moment(at), desk.words(stroke.grip));
        let is_here = move || desk.sketch.with(|s| s.chosen().is_some() && s.here() == at);
        view! {
            <li>
                <button
                    type="button"
                    class="chip small"
                    aria-pressed=move || if is_here() { "true" } else { "false" }
                    on:click=move |_| desk.look(|s| s.point(at))
                >
                    {name}
                </button>
            </li>
        }
    };
    // Drawn anew only when a stroke is another.
    let strokes = Memo::new(move |_| desk.sketch.with(|s| s.strokes().to_vec()));
    view! {
        <ol class="chips" aria-label=say!("Strokes")>{move || strokes.with(|s| s.iter().map(one).collect_view())}</ol>
    }
}

/// The moment that is looked at, and the stroke there.
#[component]
fn Here(desk: Desk) -> impl IntoView {
    let sketch = desk.sketch;
    let here = Memo::new(move |_| sketch.with(Sketch::here));
    let is_struck = Memo::new(move |_| sketch.with(|s| s.chosen().is_some()));
    let moment = move || {
        let name = desk.moment(here.get());
        let (bar, beat) = name.split_once('.').unwrap_or((&name, "1"));
        say!("Bar {bar}, beat {beat}", bar, beat)
    };
    let step = move |later: bool| desk.look(|s| s.step(later));
    view! {
        <div class="stepper" role="group" aria-label=say!("Moment")>
            <span class="label">{say!("Moment")}</span>
            <button type="button" aria-label=say!("Half a beat earlier") on:click=move |_| step(false)>
                <Icon sign=Sign::Less />
            </button>
            <output>{moment}</output>
            <button type="button" aria-label=say!("Half a beat later") on:click=move |_| step(true)>
                <Icon sign=Sign::More />
            </button>
        </div>
        {move || {
            if is_struck.get() {
                view! { <StrokePad desk /> }.into_any()
            } else {
                view! { <p class="small soft">{say!("Nothing is struck here yet.")}</p> }.into_any()
            }
        }}
    }
}

/// The stroke that is looked at: where, how it is reached, and when.
#[component]
fn StrokePad(desk: Desk) -> impl IntoView {
    let sketch = desk.sketch;
    let stroke = Memo::new(move |_| sketch.with(Sketch::stroke));
    let grip = Signal::derive(move || stroke.get().map_or(NOWHERE, |s| s.grip));
    let way = Signal::derive(move || stroke.get().map_or(Way::Struck, |s| Way::of(&s)));
    let task = desk.task.get_value();
    let span = {
        let task = Arc::clone(&task);
        let hair = Beats(1e-6);
        Signal::derive(move || sketch.with(|s| task.setting.timeline.span_at(s.here() + hair).copied()))
    };
    let opened = OpenNeck::here();
    let mine = opened.ticket();
    let on_change = Callback::new(move |grip| desk.edit(|s| s.hold(grip)));
    let editor = move || {
        let task = Arc::clone(&task);
        opened
            .is(mine)
            .then(|| view! { <GripEditor task name=say!("The place") grip span on_change /> })
    };
    view! {
        <div class="stroke-pad" role="group" aria-label=say!("The stroke here")>
            <div class="slots">
                <button
                    type="button"
                    class="slot"
                    aria-expanded=move || if opened.is(mine) { "true" } else { "false" }
                    on:click=move |_| opened.turn(mine)
                >
                    <b>{say!("Where")}</b>
                    <span>{move || desk.words(grip.get())}</span>
                </button>
            </div>
            {editor}
            <form on:submit=move |e| e.prevent_default()>
                <Choice name=say!("How") options=words(Way::ALL) value=way on_change=move |way: Way| desk.edit(|s| s.reach(way)) />
            </form>
            <div class="line-up">
                <button type="button" class="do slim" on:click=move |_| desk.edit(|s| s.shift(false))>{say!("Move earlier")}</button>
                <button type="button" class="do slim" on:click=move |_| desk.edit(|s| s.shift(true))>{say!("Move later")}</button>
                <button type="button" class="do slim" on:click=move |_| desk.edit(Sketch::take_away)>{say!("Take it away")}</button>
            </div>
        </div>
    }
}
