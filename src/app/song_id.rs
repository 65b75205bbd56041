//! What a song is called among those of a device.

use std::fmt;
use std::str::FromStr;

/// Names a song on this device. It leaves neither with a file nor with a link.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct SongId(u64);

impl SongId {
    /// A song that has no name yet.
    pub const NONE: Self = Self(0);

    /// A name out of any number: the caller sees to it that it is a new one.
    #[must_use]
    pub fn new(number: u64) -> Self {
        Self(number.max(1))
    }

    /// The name after this one.
    #[must_use]
    pub fn next(self) -> Self {
        Self::new(self.0.wrapping_add(1))
    }
}

impl fmt::Display for SongId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:016x}", self.0)
    }
}

impl FromStr for SongId {
    type Err = std::num::ParseIntError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        u64::from_str_radix(text, 16).map(Self)
    }
}
