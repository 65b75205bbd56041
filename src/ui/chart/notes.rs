//! What the reader has to say about the text, each with its place and its remedy.

use crate::app::Command;
use crate::app::reading::Note;
use crate::ui::state::Page;
use leptos::prelude::*;

/// Problems first, then what may not be meant.
#[component]
pub(super) fn Notes(
    /// Called with line and column to put the caret there.
    on_place: impl Fn(usize, usize) + Copy + Send + 'static,
) -> impl IntoView {
    let page = Page::here();
    let problems = Memo::new(move |_| page.reading.with(|r| r.problems.clone()));
    let remarks = Memo::new(move |_| page.reading.with(|r| r.remarks.clone()));
    let list = move |notes: Memo<Vec<Note>>, class: &'static str| {
        move || {
            notes
                .get()
                .into_iter()
                .map(|note| one(page, note, class, on_place))
                .collect_view()
        }
    };
    view! {
        <div class="notes" role="log" aria-label=say!("What the reader says")>
            <ul>{list(problems, "fault")}</ul>
            <ul>{list(remarks, "hint")}</ul>
        </div>
    }
}

/// How much the reader has to say, beside the text: a phone shows the notes themselves only further down.
#[component]
pub(super) fn NotesCount(
    /// Called to bring the notes into sight.
    on_look: impl Fn() + Copy + Send + 'static,
) -> impl IntoView {
    let page = Page::here();
    let count = Memo::new(move |_| page.reading.with(|r| (r.problems.len(), r.remarks.len())));
    let words = |(problems, remarks): (usize, usize)| match (problems, remarks) {
        (0, 0) => None,
        (0, n) => Some(say!(n => "One thing to check", "{n} things to check")),
        (n, _) => Some(say!(n => "One thing is not understood", "{n} things are not understood")),
    };
    view! {
        <div class="notes-count" class:fault=move || count.get().0 != 0>
            {move || words(count.get()).map(|words| {
                view! { <button type="button" class="place" on:click=move |_| on_look()>{words}</button> }
            })}
        </div>
    }
}

fn one(
    page: Page,
    note: Note,
    class: &'static str,
    on_place: impl Fn(usize, usize) + Copy + Send + 'static,
) -> impl IntoView {
    let Note {
        line,
        column,
        words,
        fixes,
    } = note;
    let fixes = fixes
        .into_iter()
        .map(|fix| {
            let text = fix.text;
            let mend = move |_| {
                page.act(Command::WriteChart {
                    text: text.clone(),
                    run: None,
                })
            };
            view! { <button type="button" class="do slim" on:click=mend>{fix.label}</button> }
        })
        .collect_view();
    view! {
        <li class=class>
            <p class="small">
                <button type="button" class="place" on:click=move |_| on_place(line, column)>
                    {say!("Line {line}, column {column}", line, column)}
                </button>
                " "
                {words}
            </p>
            <div class="line-up">{fixes}</div>
        </li>
    }
}
