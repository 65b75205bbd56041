//! What the player has recorded, as files beside the stems: of the same length, beginning with them.

use super::{Order, stem_file};
use crate::app::takes::{Named, Pace, TakeId, Takes, WaveFile};
use crate::exchange::wave::Stamp;
use crate::sound::comp::Comp;

/// What is written into such a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Played {
    /// One take by itself.
    Take(TakeId),
    /// What was put together of them.
    Comp,
}

impl Order {
    /// What there is to write of `takes`: each of them, and what was put together where something was.
    #[must_use]
    pub fn to_write(takes: &Takes) -> Vec<Played> {
        let each = takes.list.iter().map(|take| Played::Take(take.id));
        each.chain(takes.makes_something().then_some(Played::Comp)).collect()
    }

    /// A file of what was played, before it is written.
    #[must_use]
    pub fn named(&self, played: &Played, takes: &Takes) -> Named {
        let number = match played {
            Played::Take(id) => takes.list.iter().position(|take| take.id == *id).map(|n| n + 1),
            Played::Comp => None,
        };
        let about = match played {
            Played::Take(id) => {
                let name = takes.get(*id).map_or("a take", |take| take.name.as_str());
                said!("played by hand: {name}", name)
            }
            Played::Comp => said!("played by hand: the best bars of the takes, put together"),
        };
        let length = self.brief.length();
        let size = WaveFile::format(self.wishes.rate.hertz()).size(length.frames);
        Named::new(self.names().played(number), about, size)
    }

    /// The line of sound of such a file.
    #[must_use]
    pub fn line(&self, played: &Played, takes: &Takes) -> Comp {
        let (rate, length) = (self.brief.rate, self.brief.length());
        let song = &self.brief.score.timeline;
        let pace = Pace::of(song, self.brief.score.clock.clone());
        match played {
            Played::Comp => takes.comp(song, &pace, rate, length),
            Played::Take(id) => {
                let of = takes.list.iter().position(|take| take.id == *id);
                takes.alone(of, rate, length)
            }
        }
    }

    /// What the file says about itself.
    #[must_use]
    pub fn stamp(&self, file: &Named) -> Stamp {
        let title = self.title.as_deref().unwrap_or("Untitled song");
        Stamp {
            description: format!("{title}, {}", file.about.english()),
            reference: file.name.clone(),
            written: self.written,
            from: stem_file::start(self),
            loudness: None,
        }
    }
}
