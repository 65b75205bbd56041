//! Lengths as the player writes them: in felt beats, after a colon, one where nothing is written.
//!
//! *Invariant:* what [`write`] writes, [`parted`] reads.

use std::fmt;
use std::ops::RangeInclusive;

/// Lengths that may be written, in felt beats.
pub(super) const LENGTHS: RangeInclusive<f64> = 0.25..=8.0;

/// A word and its length; nothing where the length is none.
pub(super) fn parted(written: &str) -> Option<(&str, f64)> {
    match written.split_once(':') {
        None => Some((written, 1.0)),
        Some((word, length)) => {
            let length = length.parse().ok().filter(|l| LENGTHS.contains(l))?;
            Some((word, length))
        }
    }
}

/// Writes a length behind its word.
pub(super) fn write(f: &mut fmt::Formatter<'_>, length: f64) -> fmt::Result {
    if (length - 1.0).abs() > 1e-9 {
        write!(f, ":{length}")?;
    }
    Ok(())
}
