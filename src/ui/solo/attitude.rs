//! The attitude that is asked for: a shipped one, another mixed into it, and the player's own ones under their names.

use crate::app::Command;
use crate::app::attitudes::{Attitude, LONGEST};
use crate::app::feels;
use crate::solo::Blend;
use crate::ui::controls::Choice;
use crate::ui::icons::{Icon, Sign};
use crate::ui::language::known;
use crate::ui::state::Page;
use leptos::html::Input;
use leptos::prelude::*;

/// How much of the other one is mixed in when it is chosen.
const FIRST_PART: f64 = 0.5;

/// Attitude, mixture, own ones.
#[component]
pub(super) fn AttitudeChoice() -> impl IntoView {
    let page = Page::here();
    let feel = Signal::derive(move || page.work.with(|w| w.request.feel.clone()));
    let about = move || {
        let asked = feel.get();
        feels::shipped().find(|f| f.id == asked).map(|f| known(&f.about))
    };
    view! {
        <div>
            <Choice
                name=say!("Attitude")
                options=feels::shipped().map(|f| (f.id.clone(), known(&f.name))).collect()
                value=feel
                on_change=move |feel| page.act(Command::AskFeel(feel))
            />
            <p class="small soft ask-about">{about}</p>
            <Mixture feel />
            <Own />
        </div>
    }
}

/// What is mixed in, and how much.
#[component]
fn Mixture(feel: Signal<String>) -> impl IntoView {
    let page = Page::here();
    let blend = Memo::new(move |_| page.work.with(|w| w.request.blend.clone()));
    let drags = StoredValue::new(0_u64);
    let pick = move |event: web_sys::Event| {
        let with = event_target_value(&event);
        let part = blend.with_untracked(|b| b.as_ref().map_or(FIRST_PART, |b| b.part));
        let blend = (!with.is_empty()).then_some(Blend { with, part });
        page.act(Command::AskBlend { blend, run: None });
    };
    let slide = move |event: web_sys::Event| {
        let with = blend.with_untracked(|b| b.as_ref().map(|b| b.with.clone()));
        if let (Some(with), Ok(percent)) = (with, event_target_value(&event).parse::<f64>()) {
            page.act(Command::AskBlend {
                blend: Some(Blend {
                    with,
                    part: percent / 100.0,
                }),
                run: Some(drags.get_value()),
            });
        }
    };
    let options = move || {
        let (own, with) = (feel.get(), blend.with(|b| b.as_ref().map(|b| b.with.clone())));
        let others = feels::shipped().filter(|f| f.id != own);
        others
            .map(|f| view! { <option value=f.id.clone() selected=with.as_ref() == Some(&f.id)>{known(&f.name)}</option> })
            .collect_view()
    };
    let percent = move || blend.with(|b| b.as_ref().map_or(0.0, |b| (b.part * 100.0).round()));
    view! {
        <label class="pick">
            {say!("Mixed with")}
            <select on:change=pick>
                <option value="" selected=move || blend.with(Option::is_none)>{say!("nothing")}</option>
                {options}
            </select>
        </label>
        <Show when=move || blend.with(Option::is_some)>
            <label class="density">
                <span class="label">{say!("How much of it")}</span>
                <input
                    type="range"
                    class="slide"
                    min="10"
                    max="90"
                    step="10"
                    aria-valuetext=move || format!("{}%", percent())
                    prop:value=percent
                    on:input=slide
                    on:change=move |_| drags.update_value(|d| *d += 1)
                />
                <span class="slide-ends"><span>{say!("a little")}</span><span>{say!("most")}</span></span>
            </label>
        </Show>
    }
}

/// The player's own attitudes, and a name to save the one that is asked for.
#[component]
fn Own() -> impl IntoView {
    let page = Page::here();
    let all = Memo::new(move |_| page.work.with(|w| w.attitudes.iter().cloned().collect::<Vec<_>>()));
    let asked = Memo::new(move |_| {
        page.work
            .with(|w| w.attitudes.asked(&w.request).map(|own| own.name.clone()))
    });
    let mixed = Memo::new(move |_| page.work.with(|w| w.request.blend.is_some()));
    let field = NodeRef::<Input>::new();
    let name_of = move || {
        field
            .get_untracked()
            .map(|f| f.value().trim().to_owned())
            .filter(|n| !n.is_empty())
    };
    let save = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        let Some(name) = name_of() else {
            return page.say(say!("Write a name for it first."));
        };
        page.act(Command::SaveAttitude(name.clone()));
        if let Some(field) = field.get_untracked() {
            field.set_value("");
        }
        page.say(say!("Saved as {name}.", name));
    };
    let row = move |own: Attitude| view! { <OwnRow own asked /> };
    view! {
        <Show when=move || all.with(|all| !all.is_empty())>
            <ul class="own-attitudes" aria-label=say!("Your own attitudes")>
                <For each=move || all.get() key=|own| own.name.clone() children=row />
            </ul>
        </Show>
        <Show when=move || mixed.get() && asked.with(Option::is_none)>
            <form class="line-up" on:submit=save>
                <label class="note save-attitude">
                    <span class="label">{say!("Save this mixture as")}</span>
                    <input type="text" node_ref=field maxlength=LONGEST autocomplete="off" />
                </label>
                <button type="submit" class="do slim">{say!("Save")}</button>
            </form>
        </Show>
    }
}

/// One of them: asked for by its name, renamed, let go.
#[component]
fn OwnRow(own: Attitude, asked: Memo<Option<String>>) -> impl IntoView {
    let page = Page::here();
    let renaming = RwSignal::new(false);
    let name = StoredValue::new(own.name);
    let is = move || asked.with(|asked| asked.as_deref() == Some(name.get_value().as_str()));
    let rename = move |event: web_sys::Event| {
        let to = event_target_value(&event);
        renaming.set(false);
        page.act(Command::RenameAttitude {
            from: name.get_value(),
            to,
        });
    };
    let drop_it = move |_| {
        page.act(Command::DropAttitude(name.get_value()));
        page.say(say!("Let go. Undo brings it back."));
    };
    view! {
        <li>
            <Show
                when=move || !renaming.get()
                fallback=move || {
                    view! {
                        <input type="text" class="rename" maxlength=LONGEST aria-label=say!("New name") value=name.get_value() on:change=rename />
                    }
                }
            >
                <button
                    type="button"
                    class="do slim"
                    aria-pressed=move || if is() { "true" } else { "false" }
                    on:click=move |_| page.act(Command::TakeAttitude(name.get_value()))
                >
                    {name.get_value()}
                </button>
            </Show>
            <button type="button" class="do slim" aria-label=say!("Rename {get_value}", get_value = name.get_value()) on:click=move |_| renaming.update(|r| *r = !*r)>{say!("Rename")}</button>
            <button type="button" class="tool" aria-label=say!("Let {get_value} go", get_value = name.get_value()) on:click=drop_it><Icon sign=Sign::Close /></button>
        </li>
    }
}
