//! A task as it is asked: the question, what is seen and heard, the pad, hints, the mark, and a right answer.

use super::AnswerPad;
use super::marked::Marked;
use super::play::{self, PlayExercise};
use super::pointed::Pointed;
use super::right::RightAnswer;
use crate::app::answering::{heard_of, held_card, is_in_time, score_of, shown_words, spots_of};
use crate::app::lanes_view::Spot;
use crate::app::lesson_view::{Example, still};
use crate::app::written::{is_one_of_several, unread};
use crate::teach::exercise::{Input, Mark, Task};
use crate::teach::{Answer, Evidence};
use crate::ui::language::tell;
use crate::ui::neck::{OpenNeck, PlaceCard};
use crate::ui::playing;
use crate::ui::state::Page;
use crate::words::Said;
use leptos::prelude::*;
use std::sync::Arc;

/// The most hints there are to a task.
const MOST_HINTS: usize = 3;

/// What a pad is told of its mark.
#[derive(Clone, Copy)]
pub(super) struct Told {
    /// Where the mark of what is on the pad points.
    pub(super) spots: Memo<Vec<Spot>>,
    /// The places that the mark of what is on the pad speaks of.
    pub(super) places: Memo<Vec<usize>>,
    /// What was pointed at in the mark.
    pub(super) pointed: RwSignal<Option<Pointed>>,
    /// Whether the answer is no secret any more.
    pub(super) is_open: Memo<bool>,
}

/// The whole of a task.
#[component]
pub(in crate::ui) fn Asked(
    /// What is asked.
    task: Arc<Task>,
    /// What is on the pad.
    answer: RwSignal<Option<Answer>>,
    /// The mark of what was checked last.
    mark: Signal<Option<Mark>>,
    /// How many hints were taken; nothing where none are given, and no right answer either.
    hints: Option<Signal<usize>>,
    /// Called with what is to be marked.
    on_check: impl Fn(Answer) + 'static,
    /// Called when one more hint is wanted.
    on_hint: impl Fn() + Copy + Send + 'static,
    /// Called with what was played and what was heard of it; nothing where that is nobody's business.
    #[prop(optional)]
    on_played: Option<Callback<(Answer, Evidence)>>,
) -> impl IntoView {
    // Where nothing around cares which neck is open, this exercise does.
    if use_context::<OpenNeck>().is_none() {
        OpenNeck::provide();
    }
    let checked = RwSignal::new(answer.get_untracked());
    // What cannot be read is no try: it is told, and nothing is marked.
    let fault = RwSignal::new(None::<(Answer, Said)>);
    let check = UnsyncCallback::new(move |()| {
        let Some(answer) = answer.get_untracked() else { return };
        let why = unread(&answer);
        if why.is_none() {
            checked.set(Some(answer.clone()));
            on_check(answer.clone());
        }
        fault.set(why.map(|why| (answer, why)));
    });
    // It is told as long as it stands there.
    let fault_words = move || {
        let (unread, why) = fault.get()?;
        let stands = answer.with(|a| a.as_ref() == Some(&unread));
        stands.then(|| view! { <p class="fault">{format!("{}.", tell(&why))}</p> })
    };
    let right = RwSignal::new(false);
    let told = {
        let task = Arc::clone(&task);
        let is_new = Memo::new(move |_| answer.with(|a| checked.with(|c| a != c)));
        // What was changed since is not what was marked.
        let fresh = move || mark.get().filter(|_| !is_new.get());
        Told {
            spots: Memo::new(move |_| fresh().map_or_else(Vec::new, |mark| spots_of(&mark, &task))),
            places: Memo::new(move |_| {
                let criteria = fresh().map_or_else(Vec::new, |mark| mark.criteria);
                criteria.iter().filter_map(|c| c.place).collect()
            }),
            pointed: RwSignal::new(None),
            is_open: Memo::new(move |_| right.get() || mark.with(|m| m.as_ref().is_some_and(Mark::is_right))),
        }
    };
    let shown = shown_words(&task)
        .into_iter()
        .map(|line| view! { <code>{line}</code> })
        .collect_view();
    let held = held_card(&task).map(|block| {
        let silent = Example::silent(still(None), block.instrument.clone());
        view! { <PlaceCard block score=silent.score /> }
    });
    let alone = !is_in_time(&task) && (task.heard().is_some() || matches!(task.input(), Input::Places(_)));
    let heard = alone.then(|| view! { <Hear task=Arc::clone(&task) answer /> });
    let words = task.hints();
    let taken = move || hints.map_or(0, |h| h.get());
    let all_taken = move || taken() >= MOST_HINTS;
    let hint_words = move || {
        words
            .iter()
            .take(taken())
            .map(|h| view! { <p class="hint">{h.clone()}</p> })
            .collect_view()
    };
    // Who has seen a right answer has had every hint.
    let show = move |_| {
        for _ in taken()..MOST_HINTS {
            on_hint();
        }
        right.set(true);
    };
    // Who has the one right answer needs no other.
    let several = is_one_of_several(&task.model_answer());
    let has_it = move || !several && mark.with(|m| m.as_ref().is_some_and(Mark::is_right));
    let can_show = move || hints.is_some() && mark.with(Option::is_some) && !right.get() && !has_it();
    let model = {
        let task = Arc::clone(&task);
        move || {
            right
                .get()
                .then(|| view! { <RightAnswer task=Arc::clone(&task) answer /> })
        }
    };
    let marked = {
        let task = Arc::clone(&task);
        move || {
            let mark = mark.get().filter(|_| fault_words().is_none());
            mark.map(|mark| view! { <Marked task=Arc::clone(&task) mark pointed=told.pointed /> })
        }
    };
    let played = play::can_be_played(&task).then(|| {
        let (task, pointed) = (Arc::clone(&task), told.pointed);
        view! { <PlayExercise task answer pointed on_played /> }
    });
    view! {
        <p>{task.question()}</p>
        <div class="exercise-shown">{shown}{held}</div>
        {heard}
        <AnswerPad task answer told on_enter=check />
        <div role="status">{fault_words}</div>
        {played}
        <div class="line-up">
            <button type="button" class="go" prop:disabled=move || answer.with(Option::is_none) on:click=move |_| check.run(())>
                {say!("Check")}
            </button>
            {hints.is_some().then(|| view! {
                <button type="button" class="do" prop:disabled=all_taken on:click=move |_| on_hint()>{say!("Hint")}</button>
            })}
        </div>
        <div class="exercise-hints" role="status">{hint_words}</div>
        <div role="status">{marked}</div>
        {move || can_show().then(|| view! {
            <button type="button" class="do slim" on:click=show>{say!("Show a right answer")}</button>
        })}
        {model}
    }
}

/// Plays what is heard, with what is on the pad taken into account.
#[component]
pub(super) fn Hear(task: Arc<Task>, answer: RwSignal<Option<Answer>>) -> impl IntoView {
    let page = Page::here();
    let press = move |_| {
        if let Some(heard) = answer.with_untracked(|a| heard_of(&task, a.as_ref())) {
            playing::play_lent(page, &score_of(heard, &task.setting));
        }
    };
    view! { <button type="button" class="do" on:click=press>{say!("Hear it")}</button> }
}
