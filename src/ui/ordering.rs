//! What would be delivered as everything stands.

use super::state::Page;
use crate::app::Chosen;
use crate::app::delivery::{Order, Reader, TakeLine};
use crate::app::levels::Setup;
use crate::exchange::moment::Moment;
use crate::sound::render::Brief;
use crate::sound::{SampleRate, Score};
use crate::words::Said;
use leptos::prelude::*;
use std::sync::Arc;

/// A take as the page calls it.
pub(super) fn take_words(take: Chosen) -> Said {
    match take {
        Chosen::Drafted(index) => said!("Pass {index}, just drafted", index = index + 1),
        Chosen::Kept(index) => said!("Kept pass {index}", index = index + 1),
    }
}

/// The order as everything stands; its moment, and in whose words its sheet is, are set when it is given.
pub(super) fn order(page: Page) -> Option<Order> {
    let shown = page.chosen.get()?;
    let (song, instrument) = (page.song.get()?, page.tuned.get()?);
    // Stems that follow the player's own recording lie under it in a workstation.
    let clock = page
        .score
        .with(|score| score.as_ref().and_then(|score| score.clock.clone()));
    let desk = page.desk.get();
    let take = match desk.chosen {
        // A drafted pass that is no longer there is shown as the first.
        Chosen::Drafted(index) if index >= page.drafted.with(Vec::len) => Chosen::Drafted(0),
        take => take,
    };
    let mut mix = desk.levels.mix;
    // The player's recording of the song is not ours to hand on.
    mix.recording.muted = true;
    let brief = Brief {
        // Of what is rehearsed only a part may be heard: a delivery has all of it.
        score: Score::over(&song, &instrument, Some(&shown.performance), clock),
        rate: SampleRate(0.0),
        count_in: 0,
        stems: Vec::new(),
        mix,
        clean: desk.levels.amp_of(Setup::Clean),
        driven: desk.levels.amp_of(Setup::Driven),
        mix_driven: desk.levels.setup == Setup::Driven,
        loudness: desk.delivery.loudness,
    };
    let order = Order {
        title: page.reading.with(|r| r.title.clone()),
        chart: page.work.with(|w| Arc::clone(&w.chart)),
        take,
        take_words: take_words(take),
        notes: TakeLine::of(&shown, &song, &instrument),
        wishes: desk.delivery,
        brief,
        written: Moment::EARLIEST,
        reader: Reader::default(),
        played: Vec::new(),
    };
    let mut order = order.settled();
    if order.wishes.played {
        let takes = page.work.with(|w| Arc::clone(&w.takes));
        order.played = Order::to_write(&takes)
            .iter()
            .map(|played| order.named(played, &takes))
            .collect();
    }
    Some(order)
}
