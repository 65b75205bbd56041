//! How long sound takes from the loudspeaker back through the microphone: by clicks whose times are known, or, less
//! surely, by the notes that should come.

use super::expected::Expected;
use super::onsets::onsets;
use crate::sound::SampleRate;
use crate::theory::Seconds;

/// The longest delay that is looked for: wireless headphones and a slow device together stay under it.
const LONGEST: Seconds = Seconds(0.6);

/// Clicks agree when they come within this of each other.
const AGREE: Seconds = Seconds(0.008);

/// The wave is looked at so long before and after a click's likely moment.
const LOOKED_AT: Seconds = Seconds(0.012);

/// A wave has risen once it has this part of its height.
const RISEN: f32 = 0.3;

/// At least this part of the clicks must agree.
const MOST: f64 = 0.7;

/// Fewer clicks than this measure nothing.
const FEWEST: usize = 4;

/// The delay at which the clicks are heard; nothing when too few are, or when they don't agree. `clicks` are when they
/// were played, in the recording's time.
#[must_use]
#[allow(clippy::cast_precision_loss)]
pub fn delay(samples: &[f32], rate: SampleRate, clicks: &[Seconds]) -> Option<Seconds> {
    if clicks.len() < FEWEST {
        return None;
    }
    let heard = onsets(samples, rate);
    let lags_of = |click: &Seconds| -> Vec<f64> {
        let after = heard.iter().map(|at| at.0 - click.0);
        after.filter(|lag| (-AGREE.0..LONGEST.0).contains(lag)).collect()
    };
    let lags: Vec<Vec<f64>> = clicks.iter().map(lags_of).collect();
    // For each lag that was heard: the nearest of every click that agrees with it.
    let agreeing = |lag: f64| -> Vec<f64> {
        let nearest = |of: &Vec<f64>| {
            of.iter()
                .copied()
                .min_by(|a, b| (a - lag).abs().total_cmp(&(b - lag).abs()))
        };
        let near = lags.iter().filter_map(nearest);
        near.filter(|other| (other - lag).abs() <= AGREE.0).collect()
    };
    let candidates = lags.iter().flatten().map(|lag| agreeing(*lag));
    // Of equally many the earliest: a click's echo from the walls agrees as well, and comes later.
    let mut best = candidates.max_by(|a, b| a.len().cmp(&b.len()).then(mean(b).total_cmp(&mean(a))))?;
    if (best.len() as f64) < MOST * clicks.len() as f64 {
        return None;
    }
    let coarse = middle(&mut best)?;
    // Where the waves themselves rise is known to a fraction of a millisecond.
    let rise = |click: &Seconds| Some(rise(samples, rate, *click + Seconds(coarse))? - click.0);
    let mut fine: Vec<f64> = clicks
        .iter()
        .filter_map(rise)
        .filter(|lag| (lag - coarse).abs() <= AGREE.0)
        .collect();
    middle(&mut fine).or(Some(coarse)).map(|lag| Seconds(lag.max(0.0)))
}

fn middle(lags: &mut [f64]) -> Option<f64> {
    lags.sort_by(f64::total_cmp);
    lags.get(lags.len() / 2).copied()
}

/// When the wave near `at` first rises to a good part of its height.
#[allow(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss
)]
fn rise(samples: &[f32], rate: SampleRate, at: Seconds) -> Option<f64> {
    let place = |time: Seconds| rate.samples(time).max(0.0) as usize;
    let from = place(at - LOOKED_AT);
    let near = samples.get(from..place(at + LOOKED_AT).min(samples.len()))?;
    let top = near.iter().map(|x| x.abs()).fold(0.0, f32::max);
    let first = near.iter().position(|x| x.abs() >= RISEN * top).filter(|_| top > 0.0)?;
    Some((from + first) as f64 / rate.0)
}

/// How many delays are worth trying.
const TRIED: usize = 4;

/// Delays that differ by less are one.
const ONE: f64 = 0.03;

/// Delays at which many notes would have come on time, the likeliest first. A phrase in even notes fits at several:
/// which is right is seen by the notes themselves.
#[must_use]
pub fn likely_delays(samples: &[f32], rate: SampleRate, expected: &[Expected]) -> Vec<Seconds> {
    let heard = onsets(samples, rate);
    let mut asked: Vec<f64> = expected.iter().map(|note| note.at.0).collect();
    asked.dedup_by(|a, b| (*a - *b).abs() < ONE);
    let near = |lag: f64| -> Vec<f64> {
        let of_note = |at: &f64| {
            let off = heard.iter().map(|onset| onset.0 - at - lag);
            off.filter(|off| off.abs() < ONE / 2.0)
                .min_by(|a, b| a.abs().total_cmp(&b.abs()))
        };
        asked.iter().filter_map(of_note).collect()
    };
    let lags = std::iter::successors(Some(0.0), |lag| Some(lag + ONE / 4.0)).take_while(|lag| *lag < LONGEST.0);
    let mut tried: Vec<(usize, f64)> = lags
        .map(|lag| {
            let off = near(lag);
            (off.len(), lag + mean(&off))
        })
        .collect();
    tried.sort_by_key(|(notes, _)| std::cmp::Reverse(*notes));
    let mut likely: Vec<Seconds> = Vec::new();
    for (_, lag) in tried {
        if likely.len() < TRIED && likely.iter().all(|known| (known.0 - lag).abs() > ONE) {
            likely.push(Seconds(lag));
        }
    }
    likely
}

#[allow(clippy::cast_precision_loss)]
fn mean(lags: &[f64]) -> f64 {
    lags.iter().sum::<f64>() / lags.len().max(1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE: SampleRate = SampleRate(44_100.0);

    fn clicks() -> Vec<Seconds> {
        (0..8).map(|n| Seconds(0.3 + 0.45 * f64::from(n))).collect()
    }

    /// Short clicks, each with a fainter echo, over a little noise.
    fn recorded(late: f64, wanders: f64) -> Vec<f32> {
        let mut chance = fastrand::Rng::with_seed(1);
        let mut out: Vec<f32> = (0..RATE.samples(Seconds(4.6)) as usize)
            .map(|_| 0.002 * (chance.f32() - 0.5))
            .collect();
        for (n, click) in clicks().into_iter().enumerate() {
            for (echo, level) in [(0.0, 0.5_f32), (0.06, 0.15)] {
                let begin = RATE.samples(Seconds(click.0 + late + wanders * n as f64 + echo)) as usize;
                for (i, sample) in out.iter_mut().skip(begin).take(1200).enumerate() {
                    *sample += level * (i as f32 * 0.14).sin() * (-(i as f32) / 300.0).exp();
                }
            }
        }
        out
    }

    #[test]
    fn the_delay_of_clicks_is_found_to_half_a_millisecond() {
        for late in [0.004, 0.05, 0.18, 0.35] {
            let found = delay(&recorded(late, 0.0), RATE, &clicks()).expect("they agree");
            assert!((found.0 - late).abs() < 0.000_5, "{late}: {found}");
        }
    }

    #[test]
    fn what_is_not_heard_or_does_not_agree_measures_nothing() {
        assert_eq!(delay(&vec![0.0; 200_000], RATE, &clicks()), None);
        assert_eq!(delay(&recorded(0.05, 0.021), RATE, &clicks()), None);
        assert_eq!(delay(&recorded(0.05, 0.0), RATE, &clicks()[..2]), None);
    }
}
