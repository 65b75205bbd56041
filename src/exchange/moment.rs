//! A date and a time of day, as files have them. No clock is read here: whoever writes a file hands it in.

use serde::{Deserialize, Serialize};

/// A second of a day, by the writer's own clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Moment {
    pub year: u16,
    /// 1..=12.
    pub month: u8,
    /// 1..=31.
    pub day: u8,
    pub hour: u8,
    pub minute: u8,
    pub second: u8,
}

impl Moment {
    /// The earliest that every file format here can say.
    pub const EARLIEST: Self = Self {
        year: 1980,
        month: 1,
        day: 1,
        hour: 0,
        minute: 0,
        second: 0,
    };

    /// The date, as in 2026-03-09.
    #[must_use]
    pub fn date(self) -> String {
        format!("{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }

    /// The time of day, as in 09:30:00.
    #[must_use]
    pub fn time(self) -> String {
        format!("{:02}:{:02}:{:02}", self.hour, self.minute, self.second)
    }

    /// Time and date as a ZIP archive has them: two numbers of 16 bits, in steps of two seconds, from 1980 on.
    #[must_use]
    pub(super) fn packed(self) -> (u16, u16) {
        let of = |value: u8| u16::from(value);
        let year = self.year.clamp(1980, 2107) - 1980;
        (
            (of(self.hour) << 11) | (of(self.minute) << 5) | (of(self.second) / 2),
            (year << 9) | (of(self.month) << 5) | of(self.day),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_moment_is_written_in_full_and_packed() {
        let moment = Moment {
            year: 2026,
            month: 3,
            day: 9,
            hour: 21,
            minute: 5,
            second: 59,
        };
        assert_eq!((moment.date(), moment.time()), ("2026-03-09".into(), "21:05:59".into()));
        assert_eq!(moment.packed(), ((21 << 11) | (5 << 5) | 29, (46 << 9) | (3 << 5) | 9));
    }
}
