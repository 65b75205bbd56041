//! All strings of an instrument, driven by a performance or by hand.

use super::delay::Table;
use super::loss::Material;
use super::pluck::Stroke;
use super::scrape::Scrape;
use super::stiff::Stiffness;
use super::waveguide::{StringState, Waveguide};
use crate::solo::{BlockKind, Finger, Performance, Touch};
use crate::sound::rate::{STEP, SampleRate};
use crate::steel::geometry::from_nut;
use crate::steel::{ChangeId, Fret, Gauge, Instrument, Lie, StringNumber, StringSet, Travel};
use crate::theory::{Beats, Cents, Height, Hertz, Seconds, Tempo};

/// Pickup's place: this far from the bridge, in millimetres (an inch). Common practice, no source.
const PICKUP_MM: f64 = 25.4;

/// The picking hand's place: this far from the bridge, in millimetres. Measured electrics: 60 to 100 mm.
const PICKING_MM: f64 = 85.0;

/// Most changes an instrument may have.
const CHANGES: usize = 16;

/// The level of one firm pluck, which three together bring to the limiter only at a high master level.
const LEVEL: f32 = 0.5;

/// How long a string rings on when it is stopped by this means, to -60 dB. Common practice, no source.
fn damping(kind: BlockKind) -> Seconds {
    match kind {
        BlockKind::Pick => Seconds(0.06),
        BlockKind::Palm => Seconds(0.09),
        BlockKind::Bar => Seconds(0.16),
    }
}

/// Where hands, feet and knees are at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hands {
    /// The bar.
    pub bar: Lie,
    /// Its vibrato at this moment.
    pub sway: Cents,
    /// Travel of each change.
    pub travels: [Travel; CHANGES],
}

impl Hands {
    /// Off the instrument.
    pub const AWAY: Self = Self {
        bar: Lie::straight(Fret(0.0)),
        sway: Cents(0.0),
        travels: [Travel::UP; CHANGES],
    };

    /// As a performance has them at `at`, played at `tempo`.
    #[must_use]
    pub fn of(performance: &Performance, at: Beats, tempo: Tempo) -> Self {
        let mut hands = Self {
            bar: performance.lie_at(at),
            sway: performance.vibrato_at(at, tempo),
            ..Self::AWAY
        };
        for (travel, curve) in hands.travels.iter_mut().zip(&performance.travels) {
            *travel = Travel(curve.value(at));
        }
        hands
    }

    fn travel(&self, change: ChangeId) -> Travel {
        self.travels.get(change.index()).copied().unwrap_or(Travel::UP)
    }
}

/// A pluck on its way to a string.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Picked {
    /// The string.
    pub string: StringNumber,
    /// How hard, 0..=1.
    pub strength: f64,
    /// By which finger.
    pub finger: Finger,
    /// Plain or harmonic.
    pub touch: Touch,
}

/// One string and what touches it.
#[derive(Debug, Clone)]
struct Voice {
    guide: Waveguide,
    material: Material,
    gauge: Gauge,
    /// The bar's noise, of a wound string.
    scrape: Option<Scrape>,
    damping: Option<Seconds>,
    strokes: Vec<(usize, Stroke)>,
    /// The newest state, without damping.
    state: StringState,
}

/// The instrument as a sound source.
#[derive(Debug, Clone)]
pub struct Steel {
    rate: SampleRate,
    table: Table,
    instrument: Instrument,
    voices: Vec<Voice>,
    /// What the voices' states are of.
    hands: Hands,
}

impl Steel {
    /// An instrument at rest.
    #[must_use]
    pub fn new(rate: SampleRate, instrument: &Instrument) -> Self {
        let mut steel = Self {
            rate,
            table: Table::new(),
            instrument: instrument.clone(),
            voices: Vec::new(),
            hands: Hands::AWAY,
        };
        for (string, spec) in instrument.string_numbers().zip(&instrument.strings) {
            let material = if spec.wound { Material::Wound } else { Material::Plain };
            let state = steel.state(string, material, spec.gauge, &Hands::AWAY);
            steel.voices.push(Voice {
                guide: Waveguide::new(rate, &state),
                material,
                gauge: spec.gauge,
                scrape: spec
                    .wound
                    .then(|| Scrape::new(rate, spec.gauge, string.index() as u64 + 1)),
                damping: None,
                strokes: Vec::with_capacity(4),
                state,
            });
        }
        steel
    }

    /// Plucks a string at sample `offset` (0..[`STEP`]) of the coming step, hands being as given.
    pub fn pluck(&mut self, picked: Picked, offset: usize, hands: &Hands) {
        let open = self.pitch(
            picked.string,
            &Hands {
                bar: Lie::straight(Fret(0.0)),
                ..*hands
            },
        );
        let here = self.pitch(picked.string, hands);
        let rate = self.rate.0;
        let to_hand = PICKING_MM / self.instrument.scale_length.0 * rate / open.0;
        let stroke = Stroke::new(
            picked.strength,
            picked.finger,
            picked.touch,
            to_hand,
            rate / here.0,
            rate,
        );
        if let Some(voice) = self.voices.get_mut(picked.string.index()) {
            voice.damping = None;
            if voice.strokes.len() < voice.strokes.capacity() {
                voice.strokes.push((offset, stroke));
            }
        }
    }

    /// Stops strings from sounding.
    pub fn block(&mut self, strings: StringSet, kind: BlockKind) {
        for string in strings.iter() {
            if let Some(voice) = self.voices.get_mut(string.index()) {
                voice.damping = Some(damping(kind));
            }
        }
    }

    /// Stops every string.
    pub fn block_all(&mut self, kind: BlockKind) {
        self.block(self.instrument.string_numbers().collect(), kind);
    }

    /// Brings all strings to rest at once.
    pub fn silence(&mut self) {
        for voice in &mut self.voices {
            voice.guide.silence();
            voice.strokes.clear();
            if let Some(scrape) = &mut voice.scrape {
                scrape.silence();
            }
        }
    }

    /// Whether no string sounds.
    #[must_use]
    pub fn is_at_rest(&self) -> bool {
        self.voices.iter().all(|v| v.guide.is_at_rest() && v.strokes.is_empty())
    }

    /// Runs one step towards `hands` and writes what the pickup hears.
    pub fn run(&mut self, hands: &Hands, out: &mut [f32; STEP]) {
        out.fill(0.0);
        let speed = self.bar_speed(hands);
        self.move_to(hands);
        for voice in &mut self.voices {
            let state = StringState {
                damping: voice.damping,
                ..voice.state
            };
            voice.guide.run(&self.table, &state, &voice.strokes, out);
            voice.strokes.clear();
            if let Some(scrape) = &mut voice.scrape {
                scrape.run(speed, out);
            }
        }
        for sample in out.iter_mut() {
            *sample *= LEVEL;
        }
    }

    /// How fast the bar goes along the strings to where `hands` have it, in metres a second; 0 when it is off them.
    #[allow(clippy::cast_precision_loss)]
    fn bar_speed(&self, hands: &Hands) -> f64 {
        if self.hands.bar.far.0 <= 0.0 || hands.bar.far.0 <= 0.0 {
            return 0.0;
        }
        let place = |h: &Hands| from_nut(self.instrument.scale_length, Fret(h.bar.far.0 + h.sway.0 / 100.0));
        let way = place(hands) - place(&self.hands);
        way.0 / 1000.0 * self.rate.0 / STEP as f64
    }

    /// Works out the strings' states, if the hands have moved.
    fn move_to(&mut self, hands: &Hands) {
        if self.hands == *hands {
            return;
        }
        self.hands = *hands;
        for index in 0..self.voices.len() {
            let (Some(string), Some(voice)) = (StringNumber::from_index(index), self.voices.get(index)) else {
                continue;
            };
            let state = self.state(string, voice.material, voice.gauge, hands);
            if let Some(voice) = self.voices.get_mut(index) {
                voice.state = state;
            }
        }
    }

    fn pitch(&self, string: StringNumber, hands: &Hands) -> Hertz {
        self.instrument
            .height(string, hands.bar.on(&self.instrument, string), |c| hands.travel(c))
            .unwrap_or(Height(0.0))
            .shifted(hands.sway)
            .hertz()
    }

    fn state(&self, string: StringNumber, material: Material, gauge: Gauge, hands: &Hands) -> StringState {
        let still = Hands {
            bar: Lie::straight(Fret(0.0)),
            sway: Cents(0.0),
            ..*hands
        };
        let (pitch, open) = (self.pitch(string, hands), self.pitch(string, &still));
        StringState {
            pitch,
            decay: material.decay(pitch),
            damping: None,
            stiffness: Stiffness::of(
                gauge,
                material == Material::Wound,
                self.instrument.scale_length,
                open,
                pitch,
            ),
            // The wave's speed is 2 L f of the open string: the bar changes the length, not the speed.
            to_pickup: Seconds(PICKUP_MM / self.instrument.scale_length.0 / open.0),
        }
    }
}
