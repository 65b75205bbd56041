//! The table of marks, in the order that is wanted, and behind each name what was answered.

use crate::app::class::{Row, rows};
use crate::app::marking::{By, answered, sorted};
use crate::teach::Class;
use crate::ui::answer::Given;
use crate::ui::help::SheetHead;
use crate::ui::language::tell;
use crate::ui::neck::OpenNeck;
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;

/// The most criteria named as missed.
const NAMED: usize = 3;
/// The sheet with a student's answers.
const SHEET: &str = "answers";
/// What tells a spreadsheet that the table is UTF-8 (RFC 3629, section 6), as it stands in an address.
const UTF8: &str = "%EF%BB%BF";

/// The table, what the class misses, what could not be marked.
#[component]
pub(super) fn Outcome(class: RwSignal<Class>) -> impl IntoView {
    let page = Page::here();
    OpenNeck::provide();
    on_cleanup(move || playing::give_back(page));
    let order = RwSignal::new((By::default(), false));
    let opened = RwSignal::new(None::<usize>);
    let table = Memo::new(move |_| {
        let (by, turned) = order.get();
        sorted(class.with(rows), by, turned)
    });
    let most = Memo::new(move |_| table.with(|t| t.iter().map(|r| r.cells.len()).max().unwrap_or(0)));
    let missed = move || {
        let missed = class.with(Class::missed);
        let words: Vec<String> = missed
            .iter()
            .take(NAMED)
            .map(|(name, part)| format!("{} ({:.0} %)", tell(name), part * 100.0))
            .collect();
        (!words.is_empty()).then(|| say!("Most points are lost in: {words}.", words = words.join(", ")))
    };
    let refused = move || {
        let refused = class.with(|c| c.refused.clone());
        refused
            .into_iter()
            .map(|r| view! { <p class="fault"><b>{r.file}</b>": "{r.why.said()}"."</p> })
            .collect_view()
    };
    let some = Memo::new(move |_| most.get() != 0);
    let marked = move || some.get().then(|| view! { <Table table most order opened /> });
    let kept = move || some.get().then(|| view! { <Kept class /> });
    view! {
        <section class="class-part" aria-label=say!("Marks")>
            <h2>{say!("Marks")}</h2>
            <p class="small soft">
                {say!("Computed here from the answers themselves. They say what was answered, not who answered it.")}
            </p>
            {marked}
            <p>{missed}</p>
            {refused}
            {kept}
            <div class="line-up"><Clear class /></div>
            <Answers class opened />
        </section>
    }
}

/// The rows under their heads.
#[component]
fn Table(
    table: Memo<Vec<Row>>,
    /// How many exercises there are at most.
    most: Memo<usize>,
    order: RwSignal<(By, bool)>,
    opened: RwSignal<Option<usize>>,
) -> impl IntoView {
    let exercises = move || {
        let one = |i: usize| {
            let label = say!("Exercise {index}", index = i + 1);
            view! { <Column name=(i + 1).to_string() label by=By::Exercise(i) order /> }
        };
        (0..most.get()).map(one).collect_view()
    };
    view! {
        <div class="class-scroll" tabindex="0" role="region" aria-label=say!("Table of marks")>
            <table>
                <thead>
                    <tr>
                        <Column name=say!("Name") by=By::Name order />
                        <Column name=say!("Score") by=By::Score order />
                        {exercises}
                    </tr>
                </thead>
                <tbody>{move || table.get().into_iter().map(|row| line(row, opened)).collect_view()}</tbody>
            </table>
        </div>
    }
}

/// Where the table goes, and where the answers stay.
#[component]
fn Kept(class: RwSignal<Class>) -> impl IntoView {
    let csv = move || {
        format!(
            "data:text/csv;charset=utf-8,{UTF8}{}",
            String::from(js_sys::encode_uri_component(&class.with(Class::csv)))
        )
    };
    view! {
        <a class="do" download="marks.csv" href=csv>{say!("Save the table")}</a>
        <p class="small soft">{say!("The answers stay on this device until you clear them.")}</p>
    }
}

/// The head of a column; a press orders the table by it, another turns the order round.
#[component]
fn Column(
    #[prop(into)] name: String,
    #[prop(optional)] label: Option<String>,
    by: By,
    order: RwSignal<(By, bool)>,
) -> impl IntoView {
    let sorted = move || match order.get() {
        (now, _) if now != by => "none",
        (_, false) => "ascending",
        (_, true) => "descending",
    };
    let press = move |_| order.update(|(now, turned)| (*now, *turned) = (by, *now == by && !*turned));
    view! {
        <th scope="col" aria-sort=sorted>
            <button type="button" class="class-column" aria-label=label on:click=press>{name}</button>
        </th>
    }
}

fn line(row: Row, opened: RwSignal<Option<usize>>) -> impl IntoView {
    let index = row.index;
    let cells = row
        .cells
        .into_iter()
        .map(|cell| view! { <td>{cell.map_or("–".to_owned(), |s| s.0.to_string())}</td> });
    let remarks = row
        .remarks
        .into_iter()
        .map(|words| view! { <span class="small">{words}</span> });
    view! {
        <tr>
            <th scope="row">
                <button
                    type="button"
                    class="place"
                    popovertarget=SHEET
                    popovertargetaction="show"
                    on:click=move |_| opened.set(Some(index))
                >
                    <bdi>{row.name}</bdi>
                </button>
                {remarks.collect_view()}
            </th>
            <td><b>{row.score.to_string()}</b></td>
            {cells.collect_view()}
        </tr>
    }
}

/// What a student answered, exercise by exercise.
#[component]
fn Answers(class: RwSignal<Class>, opened: RwSignal<Option<usize>>) -> impl IntoView {
    let sheet = Memo::new(move |_| {
        let index = opened.get()?;
        class.with(|c| c.sheets.get(index).cloned())
    });
    let content = move || {
        sheet.get().map(|sheet| {
            let given = answered(&sheet)
                .into_iter()
                .map(|(index, answered)| view! { <Given index answered /> });
            view! {
                <h3><bdi>{sheet.handed.name.clone()}</bdi>", "{sheet.score.to_string()}</h3>
                {given.collect_view()}
            }
        })
    };
    view! {
        <div class="sheet" id=SHEET popover="auto" role="dialog" aria-label=say!("What was answered")>
            <SheetHead name=say!("What was answered") sheet=SHEET />
            {content}
        </div>
    }
}

/// Lets go of everything that was taken in, once that is sure.
#[component]
fn Clear(class: RwSignal<Class>) -> impl IntoView {
    let sure = RwSignal::new(false);
    let clear = move |_| class.set(Class::default());
    move || {
        if sure.get() {
            view! {
                <button type="button" class="do" on:click=clear>{say!("Clear these answers")}</button>
                <button type="button" class="do" on:click=move |_| sure.set(false)>{say!("Keep them")}</button>
            }
            .into_any()
        } else {
            view! { <button type="button" class="do" on:click=move |_| sure.set(true)>{say!("Clear")}</button> }
                .into_any()
        }
    }
}
