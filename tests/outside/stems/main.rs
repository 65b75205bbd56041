//! Delivers takes over a demo song into a folder, for readers outside the crate to open.
//!
//! `cargo run --example stems -- FOLDER`.

use leadbar::app::bench::{Bench, Progress, Refused};
use leadbar::app::delivery::{Order, Rate, Reader, TakeLine, Wishes, deliver};
use leadbar::app::planning::{Ask, plan};
use leadbar::app::reading::Reading;
use leadbar::app::{Chosen, DEMO_SONGS, Shown, Work};
use leadbar::exchange::moment::Moment;
use leadbar::exchange::wave::Width;
use leadbar::sound::render::Brief;
use leadbar::sound::{Amp, Lufs, Mix, SampleRate, Score};
use leadbar::theory::Timeline;
use std::error::Error;
use std::path::Path;
use std::sync::Arc;
use std::{env, fs};

/// Piles in memory.
#[derive(Default)]
struct Piles(Vec<Vec<u8>>);

impl Bench for Piles {
    fn going(&mut self, _: Progress) {}

    fn put(&mut self, pile: usize, bytes: &[u8]) -> Result<(), Refused> {
        self.0.resize(self.0.len().max(pile + 1), Vec::new());
        if let Some(pile) = self.0.get_mut(pile) {
            pile.extend_from_slice(bytes);
        }
        Ok(())
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    let folder = env::args().nth(1).ok_or("usage: stems FOLDER")?;
    let folder = Path::new(&folder);
    fs::create_dir_all(folder)?;
    let studio = Wishes::default();
    let disc = Wishes {
        rate: Rate::Disc,
        width: Width::Pcm16,
        loudness: Lufs(-14.0),
        ..Wishes::default()
    };
    let plain = Wishes {
        width: Width::Float32,
        count_in: false,
        loudness: Lufs(-23.0),
        ..Wishes::default()
    };
    for (wishes, driven) in [(studio, false), (disc, true), (plain, false)] {
        let order = order(wishes, driven)?;
        let mut piles = Piles::default();
        let delivery = deliver(&order, &mut piles)?;
        fs::write(
            folder.join(&delivery.name).with_extension(name(&order)),
            piles.0.concat(),
        )?;
    }
    Ok(())
}

/// What tells the parcels apart; the reader knows what to expect of each by it.
fn name(order: &Order) -> String {
    let Wishes {
        rate,
        width,
        count_in,
        loudness,
        ..
    } = &order.wishes;
    let counted = if *count_in { "counted" } else { "plain" };
    format!("{}.{}.{counted}.{}.zip", rate.hertz(), width.bits(), -loudness.0)
}

fn order(wishes: Wishes, driven: bool) -> Result<Order, Box<dyn Error>> {
    let demo = DEMO_SONGS.iter().find(|d| d.id == "millpond-three").ok_or("no song")?;
    let reading = Reading::of(demo.chart);
    let song = reading.song.ok_or("no song")?;
    let mut work = Work::on(demo.chart);
    work.request.feel = demo.feel.to_owned();
    let instrument = work.rig.built().ok_or("no instrument")?;
    let draft = plan(&Ask {
        song: Timeline::clone(&song),
        instrument: instrument.clone(),
        request: work.full_request(&instrument),
    })?;
    let pass = Arc::new(draft.passes.into_iter().next().ok_or("no pass")?);
    let shown = Shown::of(&pass, &song, &instrument).ok_or("no limits")?;
    let performance = (*shown.performance).clone();
    let order = Order {
        title: reading.title,
        chart: work.chart.clone(),
        take: Chosen::Drafted(0),
        take_words: "Pass 1, just drafted".into(),
        notes: TakeLine::of(&shown, &song, &instrument),
        wishes,
        brief: Brief {
            score: Score::new(instrument, performance, Timeline::clone(&song)),
            rate: SampleRate(0.0),
            count_in: 0,
            stems: Vec::new(),
            mix: Mix::default(),
            clean: Amp::CLEAN,
            driven: Amp::DRIVEN,
            mix_driven: driven,
            loudness: Lufs(0.0),
        },
        reader: Reader::default(),
        played: Vec::new(),
        written: Moment {
            year: 2026,
            month: 3,
            day: 9,
            hour: 21,
            minute: 30,
            second: 0,
        },
    };
    Ok(order.settled())
}
