//! On paper: the sheet that is printed, and its pictures as files.
//!
//! The sheet is part of the page but only printers see it: `css/print.css` shows it to them and hides the rest.

use crate::app::bars::BarCard;
use crate::app::files::Export;
use crate::app::sheet::{Drawn, Held, Picture, Sheet};
use crate::platform::picture;
use crate::ui::chart::BarFace;
use crate::ui::files::{save, save_as_dots};
use crate::ui::language::words;
use crate::ui::later::Later;
use crate::ui::state::Page;
use crate::words::Said;
use leptos::html::Img;
use leptos::prelude::*;

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
    let sheet = Memo::new(move |_| {
        let (song, instrument, shown) = (page.song.get()?, page.instrument.get()?, page.chosen.get()?);
        let title = page.reading.with(|r| r.title.clone());
        let drawn = Drawn {
            song: &song,
            instrument: &instrument,
            performance: &shown.performance,
            words: words(),
        };
        Some(Sheet::of(title.as_deref(), drawn))
    });
    move || {
        sheet.get().map(|sheet| {
            let Sheet { title, facts, bars, systems, legend, necks } = sheet;
            view! {
                <article class="printed" aria-hidden="true">
                    <header>
                        <p class="printed-title">{title}</p>
                        <p>{Said::joined(facts, " · ")}</p>
                    </header>
                    <ol class="printed-bars">{bars.into_iter().enumerate().map(bar).collect_view()}</ol>
                    {systems.iter().map(|s| view! { <p class="printed-system">{image(s)}</p> }).collect_view()}
                    <p class="printed-legend">
                        {legend.into_iter().map(|e| view! { <span><b>{e.sign}</b>" "{e.meaning}</span> }).collect_view()}
                    </p>
                    <div class="printed-necks">{necks.iter().map(neck).collect_view()}</div>
                </article>
            }
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

fn neck(held: &Held) -> impl IntoView + use<> {
    view! { <p class="printed-neck">{image(&held.picture)}</p> }
}

/// A picture in a picture's own frame, where nothing in it can reach the page: read in a task of its own.
fn image(picture: &Picture) -> impl IntoView + use<> {
    let picture = picture.clone();
    let frame = NodeRef::<Img>::new();
    let (width, height) = (picture.width.0, picture.height.0);
    frame.on_load(move |frame| picture::show(&frame, &picture.svg()));
    view! {
        <Later>
            <img node_ref=frame width=width height=height alt="" />
        </Later>
    }
}
