//! Playing the phrase on the pad into the microphone.

use super::pointed::Pointed;
use crate::app::answering::example_of;
use crate::teach::exercise::{Input, Task};
use crate::teach::{Answer, Evidence};
use crate::theory::Beats;
use crate::ui::language::look;
use crate::ui::played::{Piece, PlayPart, Recital};
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;

const WORDS: &str = key!(
    "Play what is on the pad, from its beginning, into the microphone; a bar is counted, and the band plays along. "
);

/// Whether a task is answered by something that can be played.
pub(super) fn can_be_played(task: &Task) -> bool {
    matches!(task.input(), Input::Phrase(_))
}

/// The way to playing it; closed until it is wanted.
#[component]
pub(super) fn PlayExercise(
    task: Arc<Task>,
    answer: RwSignal<Option<Answer>>,
    pointed: RwSignal<Option<Pointed>>,
    /// Called with what was played and what was heard of it.
    on_played: Option<Callback<(Answer, Evidence)>>,
) -> impl IntoView {
    let open = RwSignal::new(false);
    let piece = Memo::new(move |_| {
        let answer = answer.get()?;
        let example = example_of(&task, Some(&answer))?;
        (!example.performance.plucks.is_empty()).then(|| Piece {
            stretch: Beats::ZERO..example.timeline.length(),
            performance: example.performance,
            instrument: example.instrument,
            song: example.timeline,
            lent: true,
        })
    });
    let part = move || {
        let recital = Recital::new(Page::here(), piece.into());
        Effect::new(move || {
            let Some((_, evidence)) = recital.last() else { return };
            if let (Some(on_played), Some(answer)) = (on_played, answer.get_untracked()) {
                on_played.run((answer, evidence));
            }
        });
        let on_point = Callback::new(move |at| pointed.set(Some(Pointed::At(at))));
        let there = Memo::new(move |_| piece.with(Option::is_some));
        view! {
            <p class="small soft" hidden=there>{say!("Put down a stroke first, or change one.")}</p>
            <div class="play-it" hidden=move || !there.get()>
                <PlayPart recital words=look(WORDS).to_owned() on_point />
                {on_played.is_some().then(|| view! {
                    <p class="small soft">
                        {say!("What was measured of each note goes with what you hand in, and no sound. Save the sound as WAV if your teacher wants to hear it, and send it along.")}
                    </p>
                })}
            </div>
        }
    };
    view! {
        <button
            type="button"
            class="do slim"
            aria-expanded=move || open.get().to_string()
            on:click=move |_| open.update(|open| *open = !*open)
        >
            {say!("Play it into the microphone")}
        </button>
        {move || open.get().then(part)}
    }
}
