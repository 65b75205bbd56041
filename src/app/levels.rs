//! How loud each part is, and through which amplifier the steel is played.
//!
//! *Invariant:* whatever was kept, what is taken up is within its range, and no louder than it was left.

use crate::sound::{Amp, Decibels, Fader, Mix, Part};
use crate::words::Said;
use serde::{Deserialize, Serialize};

/// The lowest place of a slider, at which a part or the whole is silent.
pub const OFF: Decibels = Decibels(-40.0);
/// The most by which a part is raised above its balanced level.
pub const MOST: Decibels = Decibels(6.0);
/// The most of the whole: nothing is added to full scale.
pub const MOST_MASTER: Decibels = Decibels(0.0);

/// Below anything that can be heard.
const SILENCE: Decibels = Decibels(-120.0);

/// One of the two stored set-ups of the amplifier.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Setup {
    /// The clean one.
    #[default]
    Clean,
    /// The driven one.
    Driven,
}

impl Setup {
    /// Both, in the order they are shown.
    pub const ALL: [Self; 2] = [Self::Clean, Self::Driven];

    /// Its name on the page.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Clean => key!("Clean"),
            Self::Driven => key!("Driven"),
        }
    }

    /// Its settings before anybody turned a knob.
    #[must_use]
    pub fn shipped(self) -> Amp {
        match self {
            Self::Clean => Amp::CLEAN,
            Self::Driven => Amp::DRIVEN,
        }
    }
}

/// All levels, and the amplifier's two set-ups with the one that is played through.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(from = "Kept")]
pub struct Levels {
    /// The faders.
    pub mix: Mix,
    /// Which set-up the steel is played through.
    pub setup: Setup,
    clean: Amp,
    driven_amp: Amp,
}

impl Default for Levels {
    fn default() -> Self {
        Self {
            mix: Mix::default(),
            setup: Setup::default(),
            clean: Setup::Clean.shipped(),
            driven_amp: Setup::Driven.shipped(),
        }
    }
}

impl Levels {
    /// The settings of the set-up that is played through.
    #[must_use]
    pub fn amp(&self) -> Amp {
        self.amp_of(self.setup)
    }

    /// The settings of a set-up.
    #[must_use]
    pub fn amp_of(&self, setup: Setup) -> Amp {
        match setup {
            Setup::Clean => self.clean,
            Setup::Driven => self.driven_amp,
        }
    }

    /// The same, to be changed.
    pub fn amp_mut(&mut self) -> &mut Amp {
        match self.setup {
            Setup::Clean => &mut self.clean,
            Setup::Driven => &mut self.driven_amp,
        }
    }

    /// The levels kept inside their ranges; a level that is no number becomes silence.
    #[must_use]
    pub fn sane(mut self) -> Self {
        for part in Part::ALL {
            let fader = self.mix.fader_mut(part);
            fader.level = within(fader.level, MOST);
        }
        self.mix.master = within(self.mix.master, MOST_MASTER);
        self.clean = self.clean.kept();
        self.driven_amp = self.driven_amp.kept();
        self
    }
}

/// A level as a slider gives it: its lowest place is silence.
fn within(level: Decibels, most: Decibels) -> Decibels {
    if level.0.is_finite() && level > OFF {
        Decibels(level.0.min(most.0))
    } else {
        SILENCE
    }
}

/// Where a level stands on its slider.
#[must_use]
pub fn place(level: Decibels) -> f64 {
    level.0.max(OFF.0)
}

/// A level in words: "off", "0 dB", "+3 dB".
#[must_use]
pub fn words(level: Decibels) -> Said {
    let whole = level.0.round();
    if level <= OFF {
        said!("off¦a level")
    } else if whole > 0.0 {
        Said::from(format!("+{whole} dB"))
    } else {
        // A plain minus would be read as a hyphen, and -0 is 0.
        Said::from(format!("{} dB", whole + 0.0).replace('-', "\u{2212}"))
    }
}

/// Levels as they were written: today's form, or the parts of full, 0..=1, of the first one.
#[derive(Deserialize)]
#[serde(default)]
struct Kept {
    mix: Option<Mix>,
    setup: Option<Setup>,
    clean: Amp,
    driven_amp: Amp,
    master: Option<f64>,
    steel: Option<f64>,
    band: Option<f64>,
    driven: bool,
}

impl Default for Kept {
    fn default() -> Self {
        Self {
            mix: None,
            setup: None,
            clean: Setup::Clean.shipped(),
            driven_amp: Setup::Driven.shipped(),
            master: None,
            steel: None,
            band: None,
            driven: false,
        }
    }
}

impl From<Kept> for Levels {
    fn from(kept: Kept) -> Self {
        let driven = if kept.driven { Setup::Driven } else { Setup::Clean };
        Self {
            mix: kept.mix.unwrap_or_else(|| first_form(&kept)),
            setup: kept.setup.unwrap_or(driven),
            clean: kept.clean,
            driven_amp: kept.driven_amp,
        }
        .sane()
    }
}

/// The faders of the first form: 40 dB over the slider, the parts balanced at 0.8 of it.
fn first_form(kept: &Kept) -> Mix {
    let decibels = |part: f64, even: f64| Decibels(if part > 0.0 { 40.0 * (part - even) } else { SILENCE.0 });
    let mut mix = Mix::default();
    let fader = |part: Option<f64>, now: Fader| part.map_or(now, |p| Fader::at(decibels(p, 0.8)));
    mix.solo = fader(kept.steel, mix.solo);
    mix.drums = fader(kept.band, mix.drums);
    mix.bass = fader(kept.band, mix.bass);
    mix.rhythm = fader(kept.band, mix.rhythm);
    mix.organ = fader(kept.band, mix.organ);
    mix.master = kept.master.map_or(mix.master, |p| decibels(p, 1.0));
    mix
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_levels_of_the_first_form_are_taken_up_no_louder_than_they_were_left() {
        let old = r#"{"master":0.25,"steel":0.8,"band":0.0,"driven":true}"#;
        let levels: Levels = serde_json::from_str(old).unwrap();
        assert_eq!(levels.mix.master, Decibels(-30.0));
        assert_eq!(levels.mix.solo, Fader::at(Decibels(0.0)));
        assert_eq!(levels.mix.drums.gain(), 0.0);
        assert_eq!(levels.setup, Setup::Driven);
        assert_eq!(levels.amp(), Amp::DRIVEN);
    }

    #[test]
    fn what_is_written_is_read_back() {
        let mut levels = Levels::default();
        levels.mix.bass.muted = true;
        levels.mix.master = Decibels(-21.0);
        levels.setup = Setup::Driven;
        levels.amp_mut().reverb = None;
        let text = serde_json::to_string(&levels).unwrap();
        assert_eq!(serde_json::from_str::<Levels>(&text).unwrap(), levels);
    }

    #[test]
    fn the_start_is_modest() {
        assert!(Levels::default().mix.master <= Decibels(-12.0));
    }

    #[test]
    fn a_level_out_of_range_is_brought_in_and_one_that_is_no_number_is_silence() {
        let mut levels = Levels::default();
        levels.mix.master = Decibels(90.0);
        levels.mix.solo.level = Decibels(f64::NAN);
        levels.mix.bass.level = OFF;
        let sane = levels.sane();
        assert_eq!(sane.mix.master, Decibels(0.0));
        assert_eq!((sane.mix.solo.gain(), sane.mix.bass.gain()), (0.0, 0.0));
    }

    #[test]
    fn a_set_up_keeps_its_knobs_while_the_other_is_played_through() {
        let mut levels = Levels::default();
        levels.amp_mut().reverb = None;
        levels.setup = Setup::Driven;
        assert_eq!(levels.amp(), Amp::DRIVEN);
        levels.setup = Setup::Clean;
        assert_eq!(levels.amp().reverb, None);
    }

    #[test]
    fn levels_are_said_as_a_player_reads_them() {
        let said = [-120.0, -40.0, -12.0, -0.2, 0.0, 3.0].map(|db| words(Decibels(db)));
        assert_eq!(said, ["off", "off", "\u{2212}12 dB", "0 dB", "0 dB", "+3 dB"]);
    }
}
