//! Where on the neck two passes differ: a piece of the neck, to scale, told apart by shape.

use crate::app::compare::{NeckMark, Whose};
use crate::app::neck_view::NeckFrame;
use crate::steel::{Fret, Instrument};
use crate::ui::tab::times;
use leptos::prelude::*;
use std::sync::Arc;

/// Sizes in CSS pixels: between strings, above them, beside them.
const GAP: f64 = 18.0;
const HEAD: f64 = 22.0;
const SIDE: f64 = 26.0;
/// Between two marks of one place.
const BESIDE: f64 = 20.0;
/// The width of the piece; it is scaled to its room.
const WIDTH: f64 = 360.0;
/// Frets shown on either side of what is played.
const AROUND: f64 = 1.0;
/// The least frets shown.
const LEAST: f64 = 5.0;

/// The piece of the neck.
#[component]
pub(super) fn CompareNeck(marks: Memo<Vec<NeckMark>>, instrument: Signal<Arc<Instrument>>) -> impl IntoView {
    let frame = Memo::new(move |_| instrument.with(|i| NeckFrame::of(i)));
    move || {
        let (marks, frame) = (marks.get(), frame.get());
        if marks.is_empty() {
            return None;
        }
        let piece = Piece::around(&marks, &frame);
        let rows = frame.strings.len();
        let foot = piece.y(rows.saturating_sub(1)) + GAP;
        let frets = frame.frets.iter().filter(|f| piece.holds(f.number));
        let lines: String = frets
            .clone()
            .map(|f| {
                format!(
                    "M{x:.1} {top:.1}V{bottom:.1}",
                    x = piece.x(f.along),
                    top = HEAD - 6.0,
                    bottom = foot - GAP + 6.0
                )
            })
            .collect();
        let strings: String = (0..rows)
            .map(|row| format!("M{SIDE} {y:.1}H{WIDTH}", y = piece.y(row)))
            .collect();
        let numbers = frets
            .map(|f| view! { <text class="neck-diff-number" x=piece.x(f.along) y="11">{f.number}</text> })
            .collect_view();
        let names = frame
            .strings
            .iter()
            .enumerate()
            .map(|(row, s)| view! { <text class="neck-diff-string" x="14" y=piece.y(row) + 4.0>{s.string.number()}</text> })
            .collect_view();
        // Two ways to hold one place stand side by side.
        let beside = |index: usize| {
            let here = marks.get(index);
            let same = |m: &&NeckMark| here.is_some_and(|h| (m.string, m.fret) == (h.string, h.fret));
            marks.iter().take(index).filter(same).count()
        };
        let drawn = marks
            .iter()
            .enumerate()
            .map(|(index, mark)| {
                let x = piece.x(frame.along(mark.fret)) + BESIDE * times(beside(index));
                draw(mark, x, piece.y(mark.string.index()))
            })
            .collect_view();
        Some(view! {
            <svg class="neck-diff" viewBox=format!("0 0 {WIDTH} {foot:.0}") role="img" aria-label=told(&marks)>
                <path class="lanes-string" d=strings></path>
                <path class="lanes-line" d=lines></path>
                {numbers}
                {names}
                {drawn}
            </svg>
        })
    }
}

/// A mark by its shape: a square is this pass's, a circle the other's, a dot both's.
fn draw(mark: &NeckMark, x: f64, y: f64) -> impl IntoView + use<> {
    let (class, shape) = match mark.whose {
        Whose::Here => ("diff-here", format!("M{:.1} {:.1}h16v16h-16z", x - 8.0, y - 8.0)),
        Whose::There => (
            "diff-there",
            format!("M{:.1} {y:.1}a8 8 0 1 1 16 0a8 8 0 1 1 -16 0z", x - 8.0),
        ),
        Whose::Both => (
            "diff-both",
            format!("M{:.1} {y:.1}a5 5 0 1 1 10 0a5 5 0 1 1 -10 0z", x - 5.0),
        ),
    };
    let letters = (!mark.pressed.is_empty())
        .then(|| view! { <text x=if mark.whose == Whose::Both { x + 12.0 } else { x } y=y + 4.0>{mark.pressed.clone()}</text> });
    view! {
        <g class=class>
            <path d=shape></path>
            {letters}
        </g>
    }
}

/// The marks in words.
fn told(marks: &[NeckMark]) -> String {
    let of = |whose: Whose| {
        let own = marks.iter().filter(|m| m.whose == whose);
        let words = own.map(|m| {
            say!(
                "string {string} fret {fret}{pressed}",
                string = m.string.number(),
                fret = m.fret.0,
                pressed = m.pressed
            )
        });
        words.collect::<Vec<_>>().join(", ")
    };
    let parts = [
        (say!("this pass"), Whose::Here),
        (say!("the other"), Whose::There),
        (say!("both"), Whose::Both),
    ];
    let parts = parts.into_iter().map(|(name, whose)| (name, of(whose)));
    let told: Vec<String> = parts
        .filter(|(_, words)| !words.is_empty())
        .map(|(name, words)| format!("{name}: {words}"))
        .collect();
    told.join("; ")
}

/// A stretch of the neck and how it is laid out.
struct Piece {
    low: f64,
    high: f64,
    from: f64,
    to: f64,
}

impl Piece {
    fn around(marks: &[NeckMark], frame: &NeckFrame) -> Self {
        let frets = || marks.iter().map(|m| m.fret.0);
        let low = (frets().fold(f64::INFINITY, f64::min) - AROUND).max(0.0);
        let high = (frets().fold(0.0, f64::max) + AROUND).max(low + LEAST);
        Self {
            low,
            high,
            from: frame.along(Fret(low)),
            to: frame.along(Fret(high)),
        }
    }

    fn holds(&self, fret: u8) -> bool {
        (self.low..=self.high).contains(&f64::from(fret))
    }

    fn x(&self, along: f64) -> f64 {
        let part = (along - self.from) / (self.to - self.from).max(f64::MIN_POSITIVE);
        SIDE + 14.0 + part * (WIDTH - SIDE - 28.0)
    }

    fn y(&self, row: usize) -> f64 {
        HEAD + GAP * (times(row) + 0.5)
    }
}
