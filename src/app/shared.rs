//! What one player sends another by link: a song, or a solo over it.
//!
//! *Invariant:* a link holds all that is needed to hear the same thing again, and nothing else of the sender's.

use super::lineage::Kept;
use super::work::{Rig, Work};
use crate::exchange::link::{Kind, Linked};
use crate::exchange::trust;
use crate::solo::{Pass, Request};
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A song: its chart, the instrument, and what is asked of the solo.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SharedSong {
    /// The chart.
    pub chart: Arc<str>,
    /// The instrument.
    pub rig: Rig,
    /// What is asked.
    pub request: Request,
}

/// A solo with the chart and the instrument it is for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SharedPass {
    /// The chart.
    pub chart: Arc<str>,
    /// The instrument.
    pub rig: Rig,
    /// The pass.
    pub pass: Pass,
}

/// What a song or a solo sent to the player becomes: work of their own.
pub trait IntoWork {
    /// The work, with nothing else in it.
    fn into_work(self) -> Work;
}

impl SharedSong {
    /// The song that is worked on.
    #[must_use]
    pub fn of(work: &Work) -> Self {
        Self {
            chart: Arc::clone(&work.chart),
            rig: sent(&work.rig),
            request: work.request.clone(),
        }
    }
}

impl SharedPass {
    /// A pass over the song that is worked on.
    #[must_use]
    pub fn of(work: &Work, pass: &Pass) -> Self {
        Self {
            chart: Arc::clone(&work.chart),
            rig: sent(&work.rig),
            pass: pass.clone(),
        }
    }
}

/// The instrument without what is noted of other ones.
fn sent(rig: &Rig) -> Rig {
    fn only<T: Clone>(all: &BTreeMap<String, T>, id: &str) -> BTreeMap<String, T> {
        all.get_key_value(id)
            .map(|(id, value)| (id.clone(), value.clone()))
            .into_iter()
            .collect()
    }
    Rig {
        instrument: rig.instrument.clone(),
        lacking: only(&rig.lacking, &rig.instrument),
        ways: only(&rig.ways, &rig.instrument),
        own: only(&rig.own, &rig.instrument),
        // Everybody tunes their own.
        tunings: BTreeMap::new(),
    }
}

impl IntoWork for SharedSong {
    fn into_work(self) -> Work {
        Work {
            rig: self.rig,
            request: self.request,
            ..Work::on(&self.chart)
        }
    }
}

impl IntoWork for SharedPass {
    /// The pass is kept, so that it is not lost when another is drafted.
    fn into_work(self) -> Work {
        let mut work = Work {
            rig: self.rig,
            request: self.pass.request.clone(),
            ..Work::on(&self.chart)
        };
        let (chart, instrument) = (self.chart, work.rig.instrument.clone());
        work.kept.keep(Kept::drafted(self.pass, chart, instrument));
        work
    }
}

impl Linked for SharedSong {
    const KIND: Kind = Kind::Song;

    fn check(&self) -> Result<(), Said> {
        trust::chart(&self.chart)
            .and_then(|()| trust::request(&self.request))
            .map_err(|doubt| doubt.said())
    }
}

impl Linked for SharedPass {
    const KIND: Kind = Kind::Pass;

    fn check(&self) -> Result<(), Said> {
        trust::chart(&self.chart)
            .and_then(|()| trust::pass(&self.pass))
            .map_err(|doubt| doubt.said())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::reading::Reading;
    use crate::app::{DEMO_SONGS, feels};
    use crate::exchange::link::{self, LinkError};
    use crate::solo::{Brief, draft};
    use crate::steel::Instrument;
    use proptest::prelude::*;

    /// The demo songs, each with its first drafted pass.
    fn drafted() -> Vec<(Work, Pass)> {
        let limits = feels::limits(crate::solo::Level::default()).expect("the limits");
        DEMO_SONGS
            .iter()
            .map(|demo| {
                let mut work = Work::on(demo.chart);
                work.request.feel = demo.feel.to_owned();
                let song = Reading::of(demo.chart).song.expect("a song");
                let instrument = work.rig.built().expect("an instrument");
                let feel = feels::by_id(demo.feel).expect("a feel");
                let brief = Brief {
                    timeline: &song,
                    instrument: &instrument,
                    feel,
                    limits,
                    request: &work.request,
                };
                let pass = draft(&brief).expect("a draft").passes.swap_remove(0);
                (work, pass)
            })
            .collect()
    }

    #[test]
    fn a_solo_sent_by_the_first_version_still_opens_and_is_sent_on_in_the_form_of_today() {
        let sent: SharedPass = link::read(include_str!("link-1.txt")).unwrap();
        assert_eq!(&*sent.chart, "Mill Song, key Eb; 1 4 5 1");
        assert_eq!(sent.pass.moves.len(), 2);
        let again = link::write(&sent).unwrap();
        // The first version reads its own form alone: of any other it says that a newer page made it.
        assert_ne!(again.get(..8), include_str!("link-1.txt").get(..8));
        assert_eq!(link::read(&again), Ok(sent));
    }

    #[test]
    fn every_drafted_pass_fits_a_link_and_comes_back_to_the_last_bit() {
        for (work, pass) in drafted() {
            let sent = SharedPass::of(&work, &pass);
            let text = link::write(&sent).unwrap();
            assert_eq!(link::read::<SharedPass>(&text), Ok(sent.clone()));
            let taken = sent.into_work();
            assert_eq!((&taken.chart, &taken.kept.get(0).unwrap().pass), (&work.chart, &pass));
        }
    }

    #[test]
    fn a_song_is_sent_without_what_is_noted_of_other_instruments() {
        let mut work = Work::on("key A; 1 4 5 1");
        work.rig.set_has("C", false);
        work.rig.instrument = "c6".to_owned();
        work.rig.set_has("5", false);
        let sent = SharedSong::of(&work);
        assert!(!sent.rig.lacking.contains_key("e9"));
        let opened: SharedSong = link::read(&link::write(&sent).unwrap()).unwrap();
        assert_eq!(opened.into_work().rig.lacking, sent.rig.lacking);
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// A link may hold any text for an own instrument: what can't be read is no instrument, and nothing breaks.
        #[test]
        fn a_link_with_any_text_for_an_instrument_is_opened_or_refused_without_a_panic(
            text in "(\\PC|\n){0,200}", id in "(own-)?[a-z0-9-]{0,12}", cut in 0_usize..2000,
        ) {
            let whole = Instrument::shipped("c6-lap-6").unwrap().text();
            let cut: String = whole.chars().take(cut).collect();
            for own in [text.clone(), cut.clone(), format!("{cut}{text}")] {
                let mut work = Work::on("key A; 1 4 5 1");
                work.rig.instrument = id.clone();
                work.rig.own.insert(id.clone(), own.as_str().into());
                let Ok(link) = link::write(&SharedSong::of(&work)) else { continue };
                if let Ok(opened) = link::read::<SharedSong>(&link) {
                    let rig = opened.into_work().rig;
                    let built = rig.built().unwrap();
                    // The default one stands in for what can't be read.
                    let read = crate::steel::instrument::parse(&own).is_ok() || Instrument::shipped(&id).is_some();
                    prop_assert_eq!(built.id == id, read, "{}", own);
                }
            }
        }
    }

    #[test]
    fn a_pass_with_figures_out_of_range_is_refused() {
        let (work, pass) = drafted().swap_remove(0);
        let mut sent = SharedPass::of(&work, &pass);
        sent.pass.length = crate::theory::Beats(1e300);
        let refused = link::read::<SharedPass>(&link::write(&sent).unwrap());
        assert_eq!(refused, Err(LinkError::Unreadable(said!("its length is out of range"))));
    }
}
