//! How a kept pass came about, as text: each pass on its way with the one change that made it, the tab of what that
//! change touched, and the whole tab of the last.

use super::{Kept, Lineage};
use crate::app::compare::differences;
use crate::app::feels;
use crate::app::reading::Reading;
use crate::exchange::tab::{Characters, Signs, Tab};
use crate::solo::Pass;
use crate::steel::Instrument;
use crate::theory::Timeline;
use crate::words::{Said, Words};
use std::fmt::Write;
use std::ops::Range;

/// What fits a printed page.
const WIDTH: Characters = Characters(80);

impl Lineage {
    /// What made the pass at a place: a line for each pass on its way, with its number and its change.
    #[must_use]
    pub fn history(&self, index: usize) -> Vec<Said> {
        let line = |place: usize| Some(self.get(place)?.line(place));
        self.way_to(index).into_iter().filter_map(line).collect()
    }

    /// The same with tab: all of the first pass, of each later one the bars that its change touched, and all of the
    /// last, with what is said in the reader's words. Nothing when the pass was made over a chart that can't be read, or for another instrument.
    #[must_use]
    pub fn story(&self, index: usize, instrument: &Instrument, words: &Words) -> Option<String> {
        let kept = self.get(index).filter(|kept| kept.instrument == instrument.id)?;
        let song = Reading::of(&kept.chart).song?;
        let way = self.way_to(index);
        let mut text = String::new();
        let mut before: Option<&Kept> = None;
        for place in &way {
            let own = self.get(*place)?;
            let tab = tab(&own.pass, instrument, &song)?;
            let last = *place == index;
            // Writing to a string cannot fail.
            let _ = writeln!(text, "{}", words.tell(&own.line(*place)));
            if !own.note.is_empty() {
                let _ = writeln!(text, "({})", own.note);
            }
            let some = before
                .filter(|_| !last)
                .map(|before| changed(&own.pass, &before.pass, &song));
            let _ = writeln!(text, "\n{}", excerpt(tab, some.as_deref()).text_for(WIDTH, words));
            before = Some(own);
        }
        Some(text)
    }
}

impl Kept {
    /// Its number, from its place, and what made it.
    fn line(&self, place: usize) -> Said {
        said!("Pass {number}: {made}", number = place + 1, made = self.made_by())
    }

    /// What made it, in words.
    #[must_use]
    pub fn made_by(&self) -> Said {
        if let Some(change) = self.origin.change() {
            return change;
        }
        let named = |id: &str| feels::by_id(id).map_or_else(Said::default, |feel| Said::within(feel.name.clone()));
        let request = &self.pass.request;
        match &request.blend {
            None => said!("Drafted, {feel}", feel = named(&request.feel)),
            Some(blend) => said!(
                "Drafted, {feel} with {part} % {other}",
                feel = named(&request.feel),
                part = format!("{:.0}", blend.part * 100.0),
                other = named(&blend.with)
            ),
        }
    }
}

fn tab(pass: &Pass, instrument: &Instrument, song: &Timeline) -> Option<Tab> {
    let performance = pass.performance(instrument, feels::limits(pass.request.level)?, song.tempo);
    Some(Tab::of(&performance, instrument, song, Signs::Letters))
}

/// The bars, counted from 1, in which one pass differs from another.
fn changed(here: &Pass, there: &Pass, song: &Timeline) -> Vec<Range<usize>> {
    let bar = |at| song.bar_index_at(at).map_or(song.bars.len(), |index| index + 1);
    let hair = crate::theory::Beats(1e-6);
    let stretch = |d: &crate::app::compare::Difference| bar(d.from + hair)..bar(d.to - hair) + 1;
    differences(here, there, song).iter().map(stretch).collect()
}

/// Some bars of a tab, or all of them.
fn excerpt(mut tab: Tab, some: Option<&[Range<usize>]>) -> Tab {
    if let Some(some) = some {
        tab.bars
            .retain(|bar| some.iter().any(|range| range.contains(&bar.number)));
        tab.legend.clear();
    }
    tab
}
