//! What was learned: `weights.json`, written by `tests/outside/listen/learn.py`.

use super::harmony;
use super::metre;
use super::states::KINDS;
use serde::Deserialize;
use std::sync::LazyLock;

/// Learned weights.
#[derive(Debug, Clone, Default, Deserialize)]
pub(super) struct Weights {
    /// What each figure of a way of counting says for it.
    pub(super) counting: Vec<f32>,
    /// The chord net's hidden layer, a row of [`harmony::FIGURES`] for each unit, and its biases.
    pub(super) hidden: Vec<f32>,
    pub(super) hidden_bias: Vec<f32>,
    /// The chord net's answers, a row of hidden units for each kind of chord, and their biases.
    pub(super) kinds: Vec<f32>,
    pub(super) kinds_bias: Vec<f32>,
    /// How likely each chord is in a major and in a minor key: the natural logarithm, by semitones above the tonic and
    /// kind.
    pub(super) degrees: [Vec<f32>; 2],
}

impl Weights {
    /// The weights of the crate.
    pub(super) fn learned() -> &'static Self {
        static LEARNED: LazyLock<Weights> =
            LazyLock::new(|| serde_json::from_str(include_str!("weights.json")).unwrap_or_default());
        &LEARNED
    }

    /// How much speaks for a way of counting.
    pub(super) fn of_counting(&self, figures: &[f32; metre::FIGURES]) -> f32 {
        self.counting.iter().zip(figures).map(|(w, x)| w * x).sum()
    }

    /// How much speaks for each kind of chord on `root`.
    pub(super) fn of_chord(&self, colours: &harmony::Colours, root: usize) -> [f32; KINDS.len()] {
        let turned: harmony::Colours = std::array::from_fn(|n| colours[n / 12 * 12 + (n + root) % 12]);
        let units = self.hidden.chunks(harmony::FIGURES).zip(&self.hidden_bias);
        let hidden: Vec<f32> = units
            .map(|(row, bias)| (bias + row.iter().zip(&turned).map(|(w, x)| w * x).sum::<f32>()).max(0.0))
            .collect();
        let mut kinds = [0.0; KINDS.len()];
        let rows = self.kinds.chunks(hidden.len().max(1)).zip(&self.kinds_bias);
        for (kind, (row, bias)) in kinds.iter_mut().zip(rows) {
            *kind = bias + row.iter().zip(&hidden).map(|(w, x)| w * x).sum::<f32>();
        }
        kinds
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_learned_weights_fit_what_they_weigh() {
        let learned = Weights::learned();
        let units = learned.hidden_bias.len();
        assert!(units > 0);
        assert_eq!(learned.counting.len(), metre::FIGURES);
        assert_eq!(learned.hidden.len(), units * harmony::FIGURES);
        assert_eq!(learned.kinds.len(), units * KINDS.len());
        assert_eq!(learned.kinds_bias.len(), KINDS.len());
        assert!(learned.degrees.iter().all(|mode| mode.len() == 12 * KINDS.len()));
    }
}
