//! What day and time it is where the user is.

use crate::exchange::moment::Moment;
use crate::teach::progress::Day;

/// Now, by the device's own clock and place.
#[must_use]
#[allow(clippy::cast_possible_truncation)] // days, hours and years are small
pub fn now() -> Moment {
    let date = js_sys::Date::new_0();
    Moment {
        year: date.get_full_year() as u16,
        month: date.get_month() as u8 + 1,
        day: date.get_date() as u8,
        hour: date.get_hours() as u8,
        minute: date.get_minutes() as u8,
        second: date.get_seconds() as u8,
    }
}

/// Today, where the user is.
#[must_use]
#[allow(clippy::cast_possible_truncation)] // some tens of thousands of days
pub fn today() -> Day {
    let date = js_sys::Date::new_0();
    let here = date.get_time() - date.get_timezone_offset() * 60_000.0;
    Day((here / 86_400_000.0).floor() as i32)
}
