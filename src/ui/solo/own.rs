//! What the player brings along: a figure of their own, and a melody to shadow. Typed, picked on the neck or from the
//! degrees; a figure's rhythm can be tapped.

use crate::app::Command;
use crate::app::neck_view::{Hold, note_under_bar};
use crate::solo::{Melody, Motif, melody, motif};
use crate::steel::{Fret, Instrument, StringNumber, StringSet};
use crate::theory::{ChordSpan, NoteNumber, Seconds, scale};
use crate::ui::language::tell;
use crate::ui::neck::{NeckView, Ringing};
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;

/// What can be picked besides the neck: degrees, then what is no degree.
const DEGREES: [(&str, &str); 7] = [
    ("1", "1"),
    ("2", "2"),
    ("3", "3"),
    ("4", "4"),
    ("5", "5"),
    ("6", "6"),
    ("7", "7"),
];
/// A tap this long after the last one begins a new rhythm.
const ANEW: Seconds = Seconds(3.0);

/// The wish for a figure.
#[component]
pub(super) fn OwnMotif() -> impl IntoView {
    let page = Page::here();
    let asked = Memo::new(move |_| page.work.with(|w| w.request.motif.as_ref().map(Motif::to_string)));
    let ask = move |text: String| {
        let motif = if text.is_empty() {
            None
        } else {
            Some(text.parse::<Motif>().map_err(|e| tell(&e.said()))?)
        };
        page.act(Command::AskMotif(motif));
        Ok(())
    };
    let word = move |span: ChordSpan, note: NoteNumber, _| {
        motif::degree(note.class(), &scale::for_span(&span)).map_or_else(|| "x".to_owned(), |d| d.to_string())
    };
    let written = Written::new(asked, ask, word);
    let open = asked.with_untracked(Option::is_some);
    view! {
        <details class="motif" role="group" aria-label=say!("Your own figure") open=open>
            <summary>{say!("Your own figure")}</summary>
            <Field written name=say!("Figure")
                hint=say!("Degrees over the chord of the moment, each a beat, or as long as you write after a colon: 3 5:0.5 6:0.5 5") />
            <Words written name=say!("Add to the figure") others=vec![("x", say!("any")), ("-", say!("rest"))] />
            <div class="line-up">
                <Tapped written />
                <Show when=move || asked.with(Option::is_some)>
                    <button type="button" class="do slim" on:click=move |_| written.ask("")>{say!("No figure")}</button>
                </Show>
            </div>
            <OnNeck written />
        </details>
    }
}

/// The wish for a melody to shadow.
#[component]
pub(super) fn Shadowed() -> impl IntoView {
    let page = Page::here();
    let asked = Memo::new(move |_| page.work.with(|w| w.request.melody.as_ref().map(Melody::to_string)));
    let ask = move |text: String| {
        let sung = if text.is_empty() {
            None
        } else {
            Some(text.parse::<Melody>().map_err(|e| tell(&e.said()))?)
        };
        page.act(Command::AskMelody(sung));
        Ok(())
    };
    let word = move |span: ChordSpan, note: NoteNumber, before| melody::word_for(span.key, before, note);
    let written = Written::new(asked, ask, word);
    let open = asked.with_untracked(Option::is_some);
    view! {
        <details class="motif" role="group" aria-label=say!("A melody to shadow") open=open>
            <summary>{say!("A melody to shadow")}</summary>
            <Field written name=say!("Melody")
                hint=say!("What is sung, in degrees of the key, bars parted by |: 3 2:0.5 1:0.5 -:2 | 5 +1:3. The solo goes along with it, and answers where it is silent.") />
            <Words written name=say!("Add to the melody") others=vec![("-", say!("rest")), ("|", say!("| bar"))] />
            <Show when=move || asked.with(Option::is_some)>
                <div class="line-up">
                    <button type="button" class="do slim" on:click=move |_| written.ask("")>{say!("No melody")}</button>
                </div>
            </Show>
            <OnNeck written />
        </details>
    }
}

type Word = dyn Fn(ChordSpan, NoteNumber, Option<NoteNumber>) -> String + Send + Sync;

/// A wish that is written down in words.
#[derive(Clone, Copy)]
struct Written {
    text: RwSignal<String>,
    fault: RwSignal<Option<String>>,
    ask: Callback<String, Result<(), String>>,
    /// The word for a note picked over a chord, after the note picked before.
    word: StoredValue<Box<Word>>,
}

impl Written {
    fn new(
        asked: Memo<Option<String>>,
        ask: impl Fn(String) -> Result<(), String> + Send + Sync + 'static,
        word: impl Fn(ChordSpan, NoteNumber, Option<NoteNumber>) -> String + Send + Sync + 'static,
    ) -> Self {
        let text = RwSignal::new(String::new());
        let fault = RwSignal::new(None::<String>);
        // What is asked is shown as it is kept; what can't be read stays as it was typed.
        Effect::new(move |_| {
            text.set(asked.get().unwrap_or_default());
            fault.set(None);
        });
        let (ask, word) = (Callback::new(ask), StoredValue::new(Box::new(word) as Box<Word>));
        Self { text, fault, ask, word }
    }

    fn ask(self, written: &str) {
        self.text.set(written.to_owned());
        self.fault.set(self.ask.run(written.trim().to_owned()).err());
    }

    fn add(self, word: &str) {
        self.ask(format!("{} {word}", self.text.get_untracked()).trim());
    }
}

/// Where it is typed, with what is wrong with it.
#[component]
fn Field(written: Written, name: &'static str, hint: &'static str) -> impl IntoView {
    let fault = written.fault;
    let id = format!("{}-fault", name.to_lowercase());
    view! {
        <label class="motif-field">
            <span class="small soft">{hint}</span>
            <input
                type="text"
                maxlength="2000"
                autocomplete="off"
                autocapitalize="off"
                spellcheck="false"
                aria-label=name
                aria-describedby=id.clone()
                aria-invalid=move || fault.with(|f| f.is_some().then_some("true"))
                prop:value=written.text
                on:change=move |event| written.ask(&event_target_value(&event))
            />
        </label>
        <p class="small motif-fault" id=id role="status">{fault}</p>
    }
}

/// What can be added by a tap.
#[component]
fn Words(written: Written, name: &'static str, others: Vec<(&'static str, &'static str)>) -> impl IntoView {
    let words = DEGREES.into_iter().chain(others).map(|(word, said)| {
        view! { <button type="button" class="tool" on:click=move |_| written.add(word)>{said}</button> }
    });
    view! { <div class="motif-words" role="group" aria-label=name>{words.collect_view()}</div> }
}

/// The rhythm tapped.
#[component]
fn Tapped(written: Written) -> impl IntoView {
    let page = Page::here();
    let taps = RwSignal::new(Vec::<Seconds>::new());
    let tap = move |event: web_sys::MouseEvent| {
        let now = Seconds(event.time_stamp() / 1000.0);
        taps.update(|taps| {
            if taps.last().is_some_and(|last| now.0 - last.0 > ANEW.0) || taps.len() >= Motif::MOST {
                taps.clear();
            }
            taps.push(now);
        });
    };
    let tapped = Memo::new(move |_| {
        let tempo = page.song.with(|s| s.as_ref().map(|s| s.tempo))?;
        taps.with(|taps| Motif::tapped(taps, tempo))
    });
    let take = move |_| {
        if let Some(motif) = tapped.get_untracked() {
            taps.set(Vec::new());
            written.ask(&motif.to_string());
        }
    };
    view! {
        <button type="button" class="do slim" on:click=tap>{say!("Tap its rhythm")}</button>
        <Show when=move || tapped.with(Option::is_some)>
            <button type="button" class="do slim" on:click=take>
                {move || tapped.with(|t| t.as_ref().map(|m| say!("Take {m}", m)))}
            </button>
        </Show>
    }
}

/// Notes picked on the drawn neck, which is opened for it.
#[component]
fn OnNeck(written: Written) -> impl IntoView {
    let page = Page::here();
    let open = RwSignal::new(false);
    view! {
        <button
            type="button"
            class="do slim"
            aria-expanded=move || open.get().to_string()
            on:click=move |_| open.update(|o| *o = !*o)
        >
            {move || if open.get() { say!("Close the neck") } else { say!("Pick notes on the neck") }}
        </button>
        {move || {
            let instrument = page.instrument.get().filter(|_| open.get())?;
            Some(view! { <Picking written instrument /> })
        }}
    }
}

#[component]
fn Picking(written: Written, instrument: Arc<Instrument>) -> impl IntoView {
    let page = Page::here();
    // The chord over which the next note will stand: of the bar that is being written.
    let span = Memo::new(move |_| {
        let first = page.work.with(|w| w.request.bars.as_ref().map_or(0, |b| b.start));
        let bar = first + written.text.with(|t| t.matches('|').count());
        page.song.with(|song| {
            let song = song.as_ref()?;
            let start = song.bars.get(bar)?.start;
            song.spans.iter().find(|s| s.end() > start).cloned()
        })
    });
    let start = page.work.with_untracked(|w| w.request.start_fret);
    let hold = RwSignal::new(Hold::at(Fret(f64::from(start)), &instrument));
    let instrument = Signal::stored(instrument);
    let ringing = Ringing::new();
    let last = StoredValue::new(None::<NoteNumber>);
    let pick = move |(string, fret): (StringNumber, u8)| {
        hold.update(|h| h.bar = Fret(f64::from(fret)));
        let held = hold.get_untracked();
        let note = instrument.with_untracked(|i| note_under_bar(i, &held, string));
        let (Some(note), Some(span)) = (note, span.get_untracked()) else {
            return;
        };
        let word = written.word.with_value(|word| word(span, note, last.get_value()));
        last.set_value(Some(note));
        written.add(&word);
        let strings = std::iter::once(string).collect();
        ringing.pluck(strings);
        playing::pluck(page, strings, &held);
    };
    let picked = Signal::stored(StringSet::EMPTY);
    let over = move || {
        span.with(|s| {
            s.as_ref()
                .map(|s| say!("Over the {numeral}: each note you tap is added.", numeral = s.numeral))
        })
    };
    view! {
        <p class="small soft">{over}</p>
        <NeckView
            instrument
            span
            hold
            ringing=ringing.strings()
            picked
            on_bar=move |bar| hold.update(|h| h.bar = bar)
            on_press=move |(change, travel)| hold.update(|h| *h = h.clone().with(change, travel))
            on_choose=pick
        />
    }
}
