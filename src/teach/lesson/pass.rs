//! Something played, shown in a lesson: written stroke by stroke, or drafted by the planner.

use super::chart::{self, ChartBlock};
use super::neck;
use crate::solo::stroke::Stroke;
use crate::solo::{Brief, Ending, Entry, Feel, Kind, Limits, Move, Pass, PlanError, Request, draft};
use crate::steel::Instrument;
use crate::teach::document::Fields;
use crate::teach::fault::FaultKind;
use crate::teach::rows;
use crate::theory::{Beats, Tempo, Timeline};
use std::sync::Arc;

/// Something played over a chart.
#[derive(Debug, Clone, PartialEq)]
pub struct PassBlock {
    /// The chart as written.
    pub chart: String,
    /// The chart in time, at the block's tempo.
    pub timeline: Timeline,
    /// The instrument.
    pub instrument: Instrument,
    /// Where the playing comes from.
    pub playing: Playing,
    /// A line below it.
    pub caption: Option<String>,
}

/// Where the playing comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum Playing {
    /// Written stroke by stroke.
    Written(Vec<Stroke>),
    /// Drafted by the planner.
    Drafted(Box<(Feel, Request)>),
}

impl PassBlock {
    /// The pass: the moves that can be shown, heard and tabbed. A draft is planned anew, which takes a moment.
    ///
    /// # Errors
    /// When the planner finds nothing to play over.
    pub fn pass(&self, limits: &Limits) -> Result<Pass, PlanError> {
        match &self.playing {
            Playing::Written(strokes) => Ok(pass_of(strokes, self.timeline.length())),
            Playing::Drafted(asked) => {
                let brief = Brief {
                    timeline: &self.timeline,
                    instrument: &self.instrument,
                    feel: &asked.0,
                    limits,
                    request: &asked.1,
                };
                let mut passes = draft(&brief)?.passes;
                passes.truncate(1);
                passes.pop().ok_or(PlanError::EmptyChart)
            }
        }
    }
}

/// Strokes as a pass over a song of `length`: each its own move.
#[must_use]
pub fn pass_of(strokes: &[Stroke], length: Beats) -> Pass {
    let moves = strokes.iter().enumerate().map(|(i, stroke)| {
        let end = strokes.get(i + 1).map_or(length, |next| next.at);
        Arc::new(Move {
            kind: Kind::of_arrival(stroke.arrival),
            at: stroke.at,
            length: end - stroke.at,
            strokes: vec![Stroke {
                at: Beats::ZERO,
                until: stroke.until - stroke.at,
                ..*stroke
            }],
            locked: false,
        })
    });
    Pass {
        moves: moves.collect(),
        request: Request::default(),
        length,
    }
}

const KEYS: [&str; 13] = [
    "chart",
    "instrument",
    "tempo",
    "strokes",
    "feel",
    "seed",
    "start",
    "high",
    "end",
    "entry",
    "ending",
    "density",
    "caption",
];

pub(super) fn read(fields: &mut Fields<'_, '_>) -> Option<PassBlock> {
    fields.only(&KEYS);
    let instrument = neck::instrument(fields)?;
    let line = fields.line("chart");
    let text = fields.words("chart", "chart = \"key G, 90; 1 4 5 1\"")?;
    let ChartBlock {
        text: chart,
        mut timeline,
    } = chart::read(text, line, fields.said)?;
    if let Some(tempo) = fields.number("tempo", 20.0..=400.0) {
        timeline.tempo = Tempo(tempo);
    }
    let playing = match (fields.has("strokes"), fields.has("feel")) {
        (true, false) => written(fields, &instrument, &timeline),
        (false, true) => drafted(fields),
        _ => {
            let either = "write either strokes = \"\"\" … \"\"\" or a feel for the planner, as in feel = \"ballad\"";
            fields.fault("strokes", FaultKind::Together(either));
            None
        }
    };
    let caption = fields.text("caption").map(str::to_owned);
    Some(PassBlock {
        chart,
        timeline,
        instrument,
        playing: playing?,
        caption,
    })
}

fn written(fields: &mut Fields<'_, '_>, instrument: &Instrument, timeline: &Timeline) -> Option<Playing> {
    // Rows begin on the line after `strokes = """`.
    let first = fields.line("strokes");
    match rows::parse(fields.text("strokes")?, instrument, timeline) {
        Ok(strokes) => Some(Playing::Written(strokes)),
        Err(errors) => {
            for error in errors {
                fields
                    .said
                    .fault(first + error.row, FaultKind::Told(error.trouble.to_string()));
            }
            None
        }
    }
}

fn drafted(fields: &mut Fields<'_, '_>) -> Option<Playing> {
    let feels = Feel::shipped();
    let feels: Vec<(String, Feel)> = fields
        .told("feel", feels)?
        .into_iter()
        .map(|f| (f.id.clone(), f))
        .collect();
    let feel = fields.one_of("feel", "feel", &feels)?;
    let seed = fields.whole("seed", 0..=255).unwrap_or(1);
    let entries = [
        ("any", Entry::Any),
        ("slide", Entry::Slide),
        ("struck", Entry::Struck),
        ("squeeze", Entry::Squeeze),
        ("run", Entry::Run),
    ];
    let endings = [
        ("any", Ending::Any),
        ("ring-out", Ending::RingOut),
        ("unison", Ending::Unison),
        ("stop", Ending::Stop),
        ("fall-off", Ending::FallOff),
    ];
    let entry = fields.one_of("entry", "way in", &entries.map(|(k, v)| (k.to_owned(), v)));
    let ending = fields.one_of("ending", "ending", &endings.map(|(k, v)| (k.to_owned(), v)));
    let density = fields.number("density", 0.0..=1.0);
    let usual = Request::default();
    let mut fret = |key, usual| fields.whole(key, 0..=24).unwrap_or(usual);
    let request = Request {
        feel: feel.id.clone(),
        seed: u64::from(seed),
        entry: entry.unwrap_or_default(),
        ending: ending.unwrap_or_default(),
        density: density.unwrap_or(0.5),
        start_fret: fret("start", usual.start_fret),
        high_fret: fret("high", usual.high_fret),
        end_fret: fret("end", usual.end_fret),
        ..usual
    };
    Some(Playing::Drafted(Box::new((feel, request))))
}
