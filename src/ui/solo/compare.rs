//! Comparing: another pass beside the one that is looked at, heard from the same place and equally loud.

use super::compare_neck::CompareNeck;
use crate::app::Command;
use crate::app::compare::{Difference, differences, on_neck};
use crate::app::passes::Chosen;
use crate::app::revising;
use crate::ui::controls::{Choice, words};
use crate::ui::language::tell;
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;

/// How many kept passes the list offers; any other is reached in the tree.
const LISTED: usize = 12;
/// How many differences are listed: two drafts of a long song differ everywhere, and the toothed line tells the rest.
const MOST_ROWS: usize = 24;

/// The list of passes to compare with, the switch, and where they differ.
#[component]
pub(super) fn Compare() -> impl IntoView {
    let page = Page::here();
    let choices = Memo::new(move |_| choices(page));
    let pick = move |event: web_sys::Event| {
        let value = event_target_value(&event);
        let with = choices.with_untracked(|all| {
            let chosen = value.parse::<usize>().ok().and_then(|index| all.get(index));
            chosen.map(|(with, _)| *with)
        });
        page.act(Command::Compare(with));
    };
    let options = move || {
        let with = page.desk.with(|d| d.compared.with);
        choices
            .get()
            .into_iter()
            .enumerate()
            .map(|(index, (own, name))| view! { <option value=index.to_string() selected=with == Some(own)>{name}</option> })
            .collect_view()
    };
    let comparing = Memo::new(move |_| page.other.with(Option::is_some));
    let other_is_heard = Signal::derive(move || page.desk.with(|d| d.compared.hears_other));
    view! {
        <Show when=move || choices.with(|all| !all.is_empty())>
            <div class="compare line-up">
                <label class="pick">
                    {say!("Compare with")}
                    <select on:change=pick>
                        <option value="">{say!("nothing")}</option>
                        {options}
                    </select>
                </label>
                <Show when=move || comparing.get()>
                    <Choice
                        name=say!("Heard")
                        options=words([(false, say!("this")), (true, say!("the other"))])
                        value=other_is_heard
                        on_change=move |other| page.act(Command::HearOther(other))
                    />
                </Show>
            </div>
            <Show when=move || comparing.get()>
                <Where />
            </Show>
        </Show>
    }
}

/// Where the two differ: a tap plays from about a bar before, and shows it on the neck.
#[component]
fn Where() -> impl IntoView {
    let page = Page::here();
    let found = found(page);
    let picked = RwSignal::new(0_usize);
    Effect::new(move || {
        found.track();
        picked.set(0);
    });
    let row = move |(index, difference): (usize, Difference)| {
        let words = say!(
            "Bar {bar}: {difference}",
            bar = difference.bar,
            difference = tell(&difference.words)
        );
        let hear = move |_| {
            picked.set(index);
            if let Some(song) = page.song.get_untracked() {
                playing::play_from(page, revising::context(&song, difference.from..difference.to).start);
            }
        };
        let is = move || picked.get() == index;
        view! {
            <li>
                <button type="button" class="place" aria-pressed=move || if is() { "true" } else { "false" } on:click=hear>{words}</button>
            </li>
        }
    };
    let marks = Memo::new(move |_| {
        let both = page.chosen.get().zip(page.other.get()).zip(page.instrument.get());
        found.with(|found| match (both, found.get(picked.get())) {
            (Some(((here, there), instrument)), Some(difference)) => {
                on_neck(&here.pass, &there.pass, difference, &instrument)
            }
            _ => Vec::new(),
        })
    });
    let neck = move || {
        let first = page.instrument.get_untracked()?;
        let instrument = Signal::derive(move || page.instrument.get().unwrap_or_else(|| Arc::clone(&first)));
        Some(view! { <CompareNeck marks instrument /> })
    };
    view! {
        <ul class="small differences" aria-label=say!("Where they differ")>
            {move || found.get().into_iter().take(MOST_ROWS).enumerate().map(row).collect_view()}
        </ul>
        {neck}
        <p class="small soft">
            {move || match (found.with(Vec::is_empty), page.balance.get().is_some()) {
                (true, _) => say!("Both do the same."),
                (false, true) => say!("The toothed line marks where they differ. On the neck a square is this pass, a circle the other, a dot both. Both are played equally loud."),
                (false, false) => say!("The toothed line marks where they differ. On the neck a square is this pass, a circle the other, a dot both."),
            }}
        </p>
    }
}

/// Where the pass that is looked at differs from the other.
pub(super) fn found(page: Page) -> Memo<Vec<Difference>> {
    Memo::new(move |_| {
        let both = page.chosen.get().zip(page.other.get()).zip(page.song.get());
        both.map_or(Vec::new(), |((here, there), song)| {
            differences(&here.pass, &there.pass, &song)
        })
    })
}

/// What can be compared with: the pass before, the drafts, and the newest kept ones and those with stars.
fn choices(page: Page) -> Vec<(Chosen, String)> {
    let chosen = page.desk.with(|d| d.chosen);
    let mut all = Vec::new();
    page.work.with(|work| {
        let kept = &work.kept;
        let before = match chosen {
            Chosen::Kept(index) => kept.way_to(index).iter().rev().nth(1).copied(),
            Chosen::Drafted(_) => None,
        };
        all.extend(before.map(|index| (Chosen::Kept(index), say!("the one before ({index})", index = index + 1))));
        let many = page.drafted.with(Vec::len);
        all.extend((0..many).map(|index| (Chosen::Drafted(index), say!("draft {index}", index = index + 1))));
        let recent = kept.len().saturating_sub(LISTED);
        let listed = kept
            .iter()
            .enumerate()
            .filter(|(index, one)| *index >= recent || one.stars > 0);
        let listed = listed.filter(|(index, _)| before != Some(*index)).take(4 * LISTED);
        all.extend(listed.map(|(index, _)| (Chosen::Kept(index), say!("kept {index}", index = index + 1))));
        // The one that is asked for in the tree is always in the list.
        if let Some(with @ Chosen::Kept(index)) = page.desk.with(|d| d.compared.with)
            && all.iter().all(|(own, _)| *own != with)
        {
            all.push((with, say!("kept {index}", index = index + 1)));
        }
    });
    all.retain(|(own, _)| *own != chosen);
    all
}
