//! What each beat says for each chord.
//!
//! *Invariant:* kept with the song that was heard, so that other ways of counting need no second listening.

use super::harmony::Colours;
use super::states::{CHORDS, KINDS, NONE, STATES, UNLIKELY};
use super::weights::Weights;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// How well each chord fits a beat, as the natural logarithm of its share among all.
pub(super) type Row = [f32; STATES];

/// A row for each beat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(from = "Packed", into = "Packed")]
pub(super) struct Evidence(Arc<[Row]>);

impl Evidence {
    /// Of beats that sound so.
    pub(super) fn of(colours: &[Colours]) -> Self {
        let weights = Weights::learned();
        Self(colours.iter().map(|beat| row(weights, beat)).collect())
    }

    /// The rows in order.
    pub(super) fn rows(&self) -> &[Row] {
        &self.0
    }

    /// For beats half as long: each half says half as much as the whole.
    pub(super) fn halved(&self) -> Self {
        let half = |row: &Row| row.map(|x| x / 2.0);
        Self(self.0.iter().flat_map(|row| [half(row), half(row)]).collect())
    }

    /// For beats twice as long, counted from the beat `from`: together two say what each of them says.
    pub(super) fn paired(&self, from: usize) -> Self {
        let rows = self.0.get(from..).unwrap_or_default();
        let together = |pair: &[Row]| std::array::from_fn(|state| pair.iter().map(|row| row[state]).sum());
        Self(rows.chunks(2).map(together).collect())
    }
}

/// As it crosses from the worker: bytes, little-endian, because a list would cross number by number.
#[derive(Serialize, Deserialize)]
struct Packed(#[serde(with = "serde_bytes")] Vec<u8>);

impl From<Evidence> for Packed {
    fn from(evidence: Evidence) -> Self {
        Self(evidence.0.iter().flatten().flat_map(|x| x.to_le_bytes()).collect())
    }
}

impl From<Packed> for Evidence {
    fn from(packed: Packed) -> Self {
        let (numbers, _) = packed.0.as_chunks::<4>();
        let numbers: Vec<f32> = numbers.iter().map(|bytes| f32::from_le_bytes(*bytes)).collect();
        let (rows, _) = numbers.as_chunks::<STATES>();
        Self(rows.into())
    }
}

fn row(weights: &Weights, colours: &Colours) -> Row {
    let mut all = [UNLIKELY; STATES];
    if colours.iter().all(|x| *x == 0.0) {
        all[NONE] = 0.0;
        return all;
    }
    for root in 0..12 {
        let kinds = weights.of_chord(colours, root);
        all[root * KINDS.len()..][..KINDS.len()].copy_from_slice(&kinds);
    }
    let most = all[..CHORDS].iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let sum: f32 = all[..CHORDS].iter().map(|x| (x - most).exp()).sum();
    for x in &mut all[..CHORDS] {
        *x = (*x - most - sum.ln()).max(2.0 * UNLIKELY);
    }
    all
}
