//! How long the loop is while the pitch moves.
//!
//! A loop of length D repeats what happened D ago, so its phase now is its phase then plus one turn. Setting
//! D = 1 / f(now) would lag half a period behind a glide (seven cents for a low string at an octave a second).
//! Instead the loop reads where the asked phase was exactly one turn less: D(t) solves
//! phase(t) - phase(t - D) = 1, the phase being the integral of the asked frequency.

/// Control points that are remembered: 8192 samples at 32 a point, enough for 6 Hz at 48 kHz.
const REMEMBERED: usize = 256;

/// The asked frequency over the last stretch of time, in cycles a sample, at equal steps.
#[derive(Debug, Clone)]
pub struct PhaseHistory {
    /// Frequencies in a ring; the newest at `newest`.
    frequency: [f64; REMEMBERED],
    newest: usize,
    /// Samples for which the frequency has stood still.
    steady: f64,
    /// Samples between two points.
    step: f64,
}

impl PhaseHistory {
    /// A history of one steady frequency, in cycles a sample, with `step` samples between points.
    #[must_use]
    pub fn steady(frequency: f64, step: f64) -> Self {
        Self {
            frequency: [frequency; REMEMBERED],
            newest: 0,
            steady: f64::INFINITY,
            step,
        }
    }

    /// The newest frequency, in cycles a sample.
    #[must_use]
    pub fn frequency(&self) -> f64 {
        self.back(0)
    }

    fn back(&self, points: usize) -> f64 {
        let at = (self.newest + REMEMBERED - points) % REMEMBERED;
        self.frequency.get(at).copied().unwrap_or(0.0)
    }

    /// Adds the frequency one step later.
    #[allow(clippy::float_cmp, reason = "the very same number is asked again")]
    pub fn push(&mut self, frequency: f64) {
        self.steady = if frequency == self.frequency() {
            self.steady + self.step
        } else {
            0.0
        };
        self.newest = (self.newest + 1) % REMEMBERED;
        if let Some(f) = self.frequency.get_mut(self.newest) {
            *f = frequency;
        }
    }

    /// Samples since the phase was one turn less than at the newest point. Between points the frequency is
    /// taken to change evenly.
    #[must_use]
    #[allow(clippy::cast_precision_loss)]
    pub fn period(&self) -> f64 {
        if self.steady * self.frequency() >= 1.0 {
            return 1.0 / self.frequency();
        }
        let mut needed = 1.0;
        for points in 0..REMEMBERED - 1 {
            let (late, early) = (self.back(points), self.back(points + 1));
            let turned = 0.5 * (late + early) * self.step;
            if turned >= needed {
                return points as f64 * self.step + self.within(late, early, needed);
            }
            needed -= turned;
        }
        (REMEMBERED - 1) as f64 * self.step
    }

    /// Time back from a point of frequency `late` until the phase is `needed` less, the frequency one step
    /// before being `early`: the root of late t - (late - early) t^2 / (2 step) = needed.
    fn within(&self, late: f64, early: f64, needed: f64) -> f64 {
        let bend = (late - early) / (2.0 * self.step);
        let root = (late * late - 4.0 * bend * needed).max(0.0).sqrt();
        2.0 * needed / (late + root)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_steady_pitch_has_its_own_period() {
        for period in [5.0, 32.4, 100.0, 582.37, 1500.0] {
            let history = PhaseHistory::steady(1.0 / period, 32.0);
            assert!((history.period() - period).abs() < 1e-9);
        }
    }

    #[test]
    fn a_gliding_pitch_turns_once_in_its_period() {
        // f(t) = f0 e^(kt); the phase between t - D and t is (f0/k)(e^(kt) - e^(k(t-D))) = 1.
        let (f0, k): (f64, f64) = (1.0 / 582.0, 0.693 / 48_000.0);
        let mut history = PhaseHistory::steady(f0, 32.0);
        for i in 1..400_u16 {
            history.push(f0 * (k * f64::from(i) * 32.0).exp());
        }
        let now = 399.0 * 32.0;
        let exact = -((k * now).exp() - k / f0).ln() / k + now;
        assert!(
            (history.period() - exact).abs() < 1e-4 * exact,
            "{} {exact}",
            history.period()
        );
    }
}
