//! Setting work: what it is called, its exercises, and how it is sent.

use super::package::SavePackage;
use super::share::Shared;
use crate::app::class::{Edit, content, criteria, edit, file_name, instrument_of, own_instrument};
use crate::platform::handed;
use crate::steel::Instrument;
use crate::steel::instrument::shipped;
use crate::teach::class::MOST_FILE;
use crate::teach::exercise::Kind;
use crate::teach::scorm::Content;
use crate::teach::{Assignment, Item};
use crate::theory::{Key, Mode};
use crate::ui::controls::{Stepper, Tick};
use crate::ui::language::{known, look, tell};
use crate::ui::later::Later;
use crate::words::Said;
use leptos::html::Input;
use leptos::prelude::*;
use leptos::task::spawn_local;

/// A seed for a task: any number will do, and a short one makes a short link.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0..10 000
fn seed() -> u64 {
    (js_sys::Math::random() * 10_000.0) as u64
}

/// The sheet on which work is set.
#[component]
pub(super) fn Compose(work: RwSignal<Assignment>) -> impl IntoView {
    let act = move |what: Edit| work.update(|w| edit(w, what));
    let count = Memo::new(move |_| work.with(|w| w.items.len()));
    // What an exercise is marked by is only worked out once somebody wants to weigh it.
    let weighing = RwSignal::new(false);
    let sendable = Memo::new(move |_| work.with(content));
    let file = Signal::derive(move || work.with(|w| file_name("work", &w.title, "txt")));
    view! {
        <section class="class-part" aria-label=say!("About it")>
            <label class="class-field">
                {say!("Title")}
                <input
                    type="text"
                    maxlength="80"
                    prop:value=move || work.with(|w| w.title.clone())
                    on:input=move |e| act(Edit::Title(event_target_value(&e)))
                />
            </label>
            <label class="class-field">
                {say!("Your words")}
                <textarea
                    rows="2"
                    maxlength="1000"
                    prop:value=move || work.with(|w| w.words.clone())
                    on:input=move |e| act(Edit::Words(event_target_value(&e)))
                ></textarea>
            </label>
            <label class="class-field">
                {say!("Wanted by")}
                <input
                    type="text"
                    maxlength="80"
                    prop:value=move || work.with(|w| w.due.clone())
                    on:input=move |e| act(Edit::Due(event_target_value(&e)))
                />
            </label>
            <Show when=move || work.with(|w| w.instrument.is_none())>
                <Later><On work /></Later>
            </Show>
            <Later><Own work /></Later>
            <Tick
                name=say!("Offer hints")
                on=Signal::derive(move || work.with(|w| w.hints))
                on_change=move |on| act(Edit::Hints(on))
            />
        </section>
        <section class="class-part" aria-label=say!("Exercises")>
            <h2>{say!("Exercises")}</h2>
            <ol class="class-items">
                {move || (0..count.get()).map(|index| view! { <Row work index /> }).collect_view()}
            </ol>
            <Later><Add on_add=move |kind| act(Edit::Add(kind, seed())) /></Later>
        </section>
        <section class="class-part" aria-label=say!("What counts")>
            <details class="class-counts" on:toggle=move |_| weighing.set(true)>
                <summary>{say!("What counts")}</summary>
                <p class="small soft">{say!("How much each criterion counts in this work. At 0 it is told, and costs nothing.")}</p>
                <Show when=move || weighing.get()>
                    <Criteria work />
                </Show>
            </details>
        </section>
        <section class="class-part" aria-label=say!("Send it")>
            <h2>{say!("Send it")}</h2>
            {move || match count.get() {
                0 => view! { <p class="soft">{say!("Add an exercise first.")}</p> }.into_any(),
                _ => view! { <Shared content=sendable file what=say!("work¦of a student") /> }.into_any(),
            }}
        </section>
        {move || (count.get() > 0).then(|| view! {
            <section class="class-part" aria-label=say!("For a learning platform")>
                <h2>{say!("For a learning platform")}</h2>
                <SavePackage content=move || Content::Work(Box::new(work.get_untracked())) />
            </section>
        })}
    }
}

/// The instrument it is asked on.
#[component]
fn On(work: RwSignal<Assignment>) -> impl IntoView {
    let default = shipped::ids().next().unwrap_or_default();
    let chosen = move || work.with(instrument_of).unwrap_or_else(|| default.to_owned());
    let options = shipped::ids().filter_map(Instrument::shipped).map(|i| {
        let id = i.id.clone();
        view! { <option value=i.id prop:selected=move || chosen() == id>{known(&i.name)}</option> }
    });
    let take = move |event| work.update(|w| edit(w, Edit::On(event_target_value(&event))));
    view! {
        <label class="pick">
            {say!("Instrument")}
            <select on:change=take>{options.collect_view()}</select>
        </label>
    }
}

/// An instrument of the teacher's own that goes along, from its file.
#[component]
fn Own(work: RwSignal<Assignment>) -> impl IntoView {
    let fault = RwSignal::new(String::new());
    let input = NodeRef::<Input>::new();
    let own = Memo::new(move |_| work.with(|w| w.own_instrument().ok().flatten().map(|i| i.name)));
    let take = move |file: handed::Handed| {
        spawn_local(async move {
            let name = file.name();
            let own = if file.size() > MOST_FILE {
                Err(said!("it is far larger than an instrument"))
            } else {
                own_instrument(&file.bytes().await)
            };
            match own {
                Ok((text, _)) => {
                    fault.set(String::new());
                    work.update(|w| edit(w, Edit::Bring(Some(text))));
                }
                Err(why) => fault.set(format!("{name}: {}.", tell(&why))),
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
        {move || own.get().map(|name| view! {
            <p>{say!("All of it is asked on {name}, whose file goes along.", name)}</p>
            <button type="button" class="do slim" on:click=move |_| work.update(|w| edit(w, Edit::Bring(None)))>
                {say!("Leave that instrument out")}
            </button>
        })}
        <label class="do slim class-files">
            {say!("An instrument file of your own")}
            <input type="file" class="unseen" accept=".toml" node_ref=input on:change=chosen />
        </label>
        <div role="status">
            {move || (!fault.with(String::is_empty)).then(|| view! { <p class="fault">{fault.get()}</p> })}
        </div>
    }
}

/// The criteria of the work's exercises with their weights.
#[component]
fn Criteria(work: RwSignal<Assignment>) -> impl IntoView {
    let asked = Memo::new(move |_| work.with(|w| (w.items.clone(), w.instrument.clone())));
    let names = Memo::new(move |_| {
        asked.track();
        let all = work.with_untracked(criteria);
        all.into_iter().map(|(name, _)| name).collect::<Vec<_>>()
    });
    let one = move |name: Said| {
        let (own, label) = (name.english(), tell(&name));
        let weight = Signal::derive(move || work.with(|w| i32::from(w.weight(&own))));
        let count = StoredValue::new(name.english());
        let change = move |to: i32| {
            let to = u8::try_from(to).unwrap_or(1);
            work.update(|w| edit(w, Edit::Count(count.get_value(), to)));
        };
        view! {
            <Stepper name=label value=weight least=0 most=Signal::stored(10) step=1 unit=" ×" on_change=change />
        }
    };
    move || {
        let names = names.get();
        if names.is_empty() {
            return view! { <p class="soft">{say!("Add an exercise first.")}</p> }.into_any();
        }
        view! { <div class="class-weights">{names.into_iter().map(one).collect_view()}</div> }.into_any()
    }
}

/// A kind to choose and add.
#[component]
fn Add(on_add: impl Fn(Kind) + Copy + 'static) -> impl IntoView {
    let kind = RwSignal::new(Kind::ALL[0]);
    let options = Kind::ALL.map(|k| view! { <option value=k.id()>{look(k.name())}</option> });
    let choose = move |event| {
        let id = event_target_value(&event);
        if let Some(found) = Kind::ALL.into_iter().find(|k| k.id() == id) {
            kind.set(found);
        }
    };
    view! {
        <div class="line-up class-add">
            <label class="pick">
                {say!("Kind")}
                <select on:change=choose>{options.collect_view()}</select>
            </label>
            <button type="button" class="do" on:click=move |_| on_add(kind.get_untracked())>{say!("Add")}</button>
        </div>
    }
}

/// One exercise of the work: what it asks, and what can be set about it.
#[component]
fn Row(work: RwSignal<Assignment>, index: usize) -> impl IntoView {
    let item = Memo::new(move |_| work.with(|w| w.items.get(index).cloned()));
    let asked = Memo::new(move |_| {
        let item: Item = item.get()?;
        Some(
            work.with_untracked(|w| w.task(&item))
                .map_or_else(|e| e.said(), |task| task.question()),
        )
    });
    let act = move |what: Edit| work.update(|w| edit(w, what));
    let kind = move || item.with(|i| i.as_ref().map(|i| i.exercise.kind));
    let takes = move |what: &str| kind().is_some_and(|k| k.parameters().contains(&what));
    let weight = Signal::derive(move || item.with(|i| i.as_ref().map_or(1, |i| i32::from(i.weight))));
    let name = move || kind().map(Kind::name);
    view! {
        <li>
            <b>{name}</b>
            <p>{move || asked.get().map(|words| tell(&words))}</p>
            <div class="line-up">
                {move || takes("key").then(|| view! { <InKey item on_key=move |key| act(Edit::InKey(index, key)) /> })}
                {move || takes("chart").then(|| view! { <Over item on_bars=move |bars| act(Edit::Over(index, bars)) /> })}
                <Stepper
                    name=say!("Counts")
                    value=weight
                    least=1
                    most=Signal::stored(10)
                    step=1
                    unit=" ×"
                    on_change=move |to| act(Edit::Weigh(index, u8::try_from(to).unwrap_or(1)))
                />
            </div>
            <div class="line-up">
                <button type="button" class="do slim" on:click=move |_| act(Edit::Draw(index, seed()))>{say!("Draw another")}</button>
                <button type="button" class="do slim" prop:disabled=index == 0 on:click=move |_| act(Edit::Up(index))>{say!("Move up")}</button>
                <button type="button" class="do slim" on:click=move |_| act(Edit::Remove(index))>{say!("Take out")}</button>
            </div>
        </li>
    }
}

/// The key an exercise is in, or any.
#[component]
fn InKey(item: Memo<Option<Item>>, on_key: impl Fn(Option<Key>) + Copy + 'static) -> impl IntoView {
    let now = move || item.with(|i| i.as_ref().and_then(|i| i.exercise.keys.first().map(Key::to_string)));
    let keys = Key::all(Mode::Major).map(|key| {
        let text = key.to_string();
        let mine = text.clone();
        view! { <option value=text.clone() prop:selected=move || now().as_ref() == Some(&mine)>{text.clone()}</option> }
    });
    view! {
        <label class="pick">
            {say!("Key")}
            <select on:change=move |e| on_key(event_target_value(&e).parse().ok())>
                <option value="" prop:selected=move || now().is_none()>{say!("any")}</option>
                {keys.collect_view()}
            </select>
        </label>
    }
}

/// The bars an exercise is over.
#[component]
fn Over(item: Memo<Option<Item>>, on_bars: impl Fn(String) + Copy + 'static) -> impl IntoView {
    let now = move || item.with(|i| i.as_ref().and_then(|i| i.exercise.chart.clone()).unwrap_or_default());
    view! {
        <label class="class-field class-bars">
            {say!("Bars, as numbers")}
            <input
                type="text"
                placeholder="drawn"
                maxlength="200"
                prop:value=now
                on:change=move |e| on_bars(event_target_value(&e))
            />
        </label>
    }
}
