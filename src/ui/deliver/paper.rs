//! On paper: the sheet that is printed, and its pictures as files.
//!
//! The sheet is part of the page but only printers see it: `css/print.css` shows it to them and hides the rest.

use crate::app::bars::BarCard;
use crate::app::files::Export;
use crate::app::sheet::{Drawn, Picture, Sheet};
use crate::platform::picture;
use crate::ui::chart::BarFace;
use crate::ui::files::{save, save_as_dots};
use crate::ui::language::words;
use crate::ui::later::Later;
use crate::ui::state::Page;
use crate::words::Said;
use leptos::html::Img;
use leptos::prelude::*;
use std::sync::Arc;

/// The section and, for printers, the sheet.
#[component]
pub(super) fn Paper() -> impl IntoView {
    let page = Page::here();
    let print = move |_| {
        if window().print().is_err() {
            page.say(say!(
                "The browser does not let this page print. Use its own print command."
            ));
        }
    };
    view! {
        <section class="deliver-paper" aria-labelledby="on-paper">
            <h2 id="on-paper">{say!("On paper")}</h2>
            <p class="small soft">{say!("The chart, the tab with its count, and each place on the neck. A4 or Letter.")}</p>
            <button type="button" class="do" on:click=print>
                {say!("Print a sheet")}
            </button>
            <PictureButtons name=say!("Tab") export=Export::TabPicture />
            <PictureButtons name=say!("Neck") export=Export::NeckPicture />
        </section>
        <Later>
            <PrintedSheet />
        </Later>
    }
}

/// Saves one picture, as a drawing or as dots.
#[component]
fn PictureButtons(name: &'static str, export: Export) -> impl IntoView {
    let page = Page::here();
    view! {
        <div class="line-up">
            <button type="button" class="do" on:click=move |_| save(page, export)>
                {say!("{name} as SVG", name)}
            </button>
            <button type="button" class="do" on:click=move |_| save_as_dots(page, export)>
                {say!("{name} as PNG", name)}
            </button>
        </div>
    }
}

/// What is printed.
#[component]
fn PrintedSheet() -> impl IntoView {
    let page = Page::here();
    let title = Memo::new(move |_| page.reading.with(|r| r.title.clone()));
    move || {
        let (song, instrument, shown) = (page.song.get()?, page.instrument.get()?, page.chosen.get()?);
        let drawn = Drawn {
            song: &song,
            instrument: &instrument,
            performance: &shown.performance,
            words: words(),
        };
        let sheet = Arc::new(Sheet::of(title.get().as_deref(), drawn));
        let bars = sheet.bars.iter().cloned().enumerate().map(bar).collect_view();
        let legend = sheet.legend().iter().cloned();
        let system = |index| {
            let sheet = Arc::clone(&sheet);
            view! { <p class="printed-system">{image(move || sheet.system(index))}</p> }
        };
        let neck = |index| {
            let (sheet, instrument) = (Arc::clone(&sheet), Arc::clone(&instrument));
            let draw = move || Some(sheet.neck(index, &instrument, words())?.picture);
            view! { <p class="printed-neck">{image(draw)}</p> }
        };
        Some(view! {
            <article class="printed" aria-hidden="true">
                <header>
                    <p class="printed-title">{sheet.title.clone()}</p>
                    <p>{Said::joined(sheet.facts.clone(), " · ")}</p>
                </header>
                <ol class="printed-bars">{bars}</ol>
                {(0..sheet.systems()).map(system).collect_view()}
                <p class="printed-legend">
                    {legend.map(|e| view! { <span><b>{e.sign}</b>" "{e.meaning}</span> }).collect_view()}
                </p>
                <div class="printed-necks">{(0..sheet.necks()).map(neck).collect_view()}</div>
            </article>
        })
    }
}

fn bar((index, card): (usize, BarCard)) -> impl IntoView {
    view! {
        <li>
            <BarFace index card />
        </li>
    }
}

/// A picture in a picture's own frame, where nothing in it can reach the page: drawn in a task of its own.
fn image(draw: impl Fn() -> Option<Picture> + Send + Sync + 'static) -> impl IntoView {
    view! { <Later>{draw().map(framed)}</Later> }
}

fn framed(picture: Picture) -> impl IntoView {
    let frame = NodeRef::<Img>::new();
    let (width, height) = (picture.width.0, picture.height.0);
    frame.on_load(move |frame| picture::show(&frame, &picture.svg()));
    view! { <img node_ref=frame width=width height=height alt="" /> }
}
